//! A log of scan data, read in one pass: its steady stretches and what they come to.

use std::io::Read;

use super::channel::Channel;
use super::error::ImportError;
use super::flaws::Flaws;
use super::helper::Helper;
use super::look::{Look, Options, Purpose};
use super::rows::Rows;
use super::slot::Row;
use super::source::Source;
use super::steady::{Finder, Tally, Window};
use super::{open, require};
use crate::flow::log_key::LogWindow;

/// Rows in a batch, 0.3 MB: enough that waking the other thread costs little.
const BATCH: usize = 2048;

/// What a log says.
#[derive(Clone, Debug)]
pub struct Log {
    /// How it is written and what its columns hold.
    pub look: Look,
    /// Hash of the file (BLAKE3, hexadecimal).
    pub hash: String,
    /// Rows of values.
    pub rows: u64,
    /// The steady stretches, in the order of the log.
    pub windows: Vec<Window>,
    /// Rows that did not count.
    pub tally: Tally,
    /// What was left out of it.
    pub flaws: Flaws,
}

impl Log {
    /// The longest stretch of a kind.
    pub fn best(&self, kind: LogWindow) -> Option<&Window> {
        self.windows
            .iter()
            .filter(|window| window.kind == kind)
            .max_by(|a, b| a.length().total_cmp(&b.length()))
    }
}

/// Reads a log to its end, in bounded memory.
///
/// # Errors
/// [`ImportError::Unasked`] names the columns whose unit must be asked: put the answers among the
/// options and read again. [`ImportError::Missing`] if no column holds time or engine speed. All
/// others name the line at fault.
pub fn read_log(reader: impl Read, options: &Options) -> Result<Log, ImportError> {
    let (source, look) = open(reader, options)?;
    log_from(source, look)
}

/// Lets the finder see all rows; from the second batch on it works in a thread beside the reading.
fn find<R: Read>(rows: &mut Rows<R>, mut finder: Finder) -> Result<Finder, ImportError> {
    let mut batch = Batch::default();
    batch.fill(rows)?;
    batch.show(&mut finder);
    if batch.filled < BATCH {
        return Ok(finder);
    }
    let work = |finder: &mut Finder, batch: &mut Batch| batch.show(finder);
    let Some(beside) = Helper::start("steady", finder.clone(), work) else {
        while batch.filled == BATCH {
            batch.fill(rows)?;
            batch.show(&mut finder);
        }
        return Ok(finder);
    };
    let mut more = Ok(true);
    let mut goes_on = true;
    while goes_on && matches!(more, Ok(true)) {
        goes_on = beside.hand_over(|batch| more = batch.fill(rows).map(|()| batch.filled == BATCH));
    }
    let finder = beside.join();
    more.map(|_| finder)
}

/// Rows that are handed over together.
struct Batch {
    rows: Vec<Row>,
    filled: usize,
}

impl Default for Batch {
    fn default() -> Self {
        Self {
            rows: vec![Row::default(); BATCH],
            filled: 0,
        }
    }
}

impl Batch {
    /// Takes the next rows; fewer than fit are the last.
    fn fill<R: Read>(&mut self, rows: &mut Rows<R>) -> Result<(), ImportError> {
        self.filled = 0;
        for row in &mut self.rows {
            if !rows.next(row)? {
                break;
            }
            self.filled += 1;
        }
        Ok(())
    }

    fn show(&mut self, finder: &mut Finder) {
        self.rows
            .iter()
            .take(self.filled)
            .for_each(|row| finder.row(row));
    }
}

/// Reads a log whose beginning was looked at.
pub(super) fn log_from<R: Read>(source: Source<R>, look: Look) -> Result<Log, ImportError> {
    require(&look, Purpose::Log, &[Channel::Time, Channel::Speed])?;
    let finder = Finder::new(|channel| look.column(channel).is_some());
    let mut rows = Rows::new(source, &look, Purpose::Log);
    let (windows, tally) = find(&mut rows, finder)?.finish();
    let count = rows.count;
    let (hash, flaws) = rows.finish()?;
    Ok(Log {
        rows: count,
        flaws,
        hash,
        windows,
        tally,
        look,
    })
}
