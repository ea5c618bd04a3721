//! Row by row through a file: the values of the columns that are used, in SI units.
//!
//! Two ways lead through a line. The fast one takes plain cells as they come, number by number,
//! without copying a byte. Wherever anything is not plain, the line is gone through again by the
//! careful way, which knows quotes, words and every kind of mistake. Both read the same things.

use std::io::Read;

use super::channel::Channel;
use super::dialect::Decimal;
use super::error::ImportError;
use super::look::{Look, Purpose};
use super::number::{self, Cell};
use super::source::{LONGEST_LINE, Source};
use super::split::{Part, Splitter, blank_lines, lines_in};
use crate::units::Unit;

/// What is done with a column's cells.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Slot {
    Skip,
    /// A number in a unit.
    Number(usize, Unit),
    /// A number whose unit is of no interest.
    Level(usize),
    Clock,
    /// Words for open and closed loop; whether the header says what a yes means.
    Loop {
        yes_is_closed: bool,
    },
}

/// One row.
#[derive(Clone, Debug)]
pub(super) struct Row {
    /// The line where it begins.
    pub(super) line: u64,
    /// Values by channel, in SI units; NaN where missing.
    pub(super) values: [f64; Channel::COUNT],
    /// Whether fuelling is in closed loop, where the row says it.
    pub(super) closed: Option<bool>,
    /// Something else stood before it: the log was begun anew here.
    pub(super) anew: bool,
}

impl Default for Row {
    fn default() -> Self {
        Self {
            line: 0,
            values: [f64::NAN; Channel::COUNT],
            closed: None,
            anew: false,
        }
    }
}

impl Row {
    pub(super) fn value(&self, channel: Channel) -> f64 {
        self.values[channel.index()]
    }
}

/// The rows of a file.
pub(super) struct Rows<R> {
    source: Source<R>,
    splitter: Splitter,
    slots: Vec<Slot>,
    names: Vec<String>,
    separator: u8,
    decimal: Decimal,
    /// The line at the front.
    line: u64,
    /// Rows given out.
    pub(super) count: u64,
    anew: bool,
    days: Days,
    loop_words: LoopWords,
    /// The last line was cut off and left out.
    pub(super) cut: Option<u64>,
}

/// Keeps a clock going over midnight.
#[derive(Default)]
struct Days {
    last: f64,
    before: f64,
}

impl Days {
    fn seconds(&mut self, clock: f64) -> f64 {
        const DAY: f64 = 86_400.0;
        // Half a day back is not a row out of order: midnight has passed.
        if clock < self.last - DAY / 2.0 {
            self.before += DAY;
        }
        self.last = clock;
        self.before + clock
    }
}

/// The last words about the loop and what they said: they seldom change from row to row.
#[derive(Default)]
struct LoopWords {
    words: Vec<u8>,
    said: Option<bool>,
}

impl LoopWords {
    fn read(&mut self, cell: &[u8], yes_is_closed: bool) -> Option<bool> {
        if self.words != cell {
            self.words.clear();
            self.words.extend_from_slice(cell);
            self.said = closed(cell, yes_is_closed);
        }
        self.said
    }
}

/// What the fast way found.
enum Fast {
    Row(usize),
    Blank(usize),
    NotPlain,
}

impl<R: Read> Rows<R> {
    /// The rows of a source that stands at the first row of values.
    pub(super) fn new(source: Source<R>, look: &Look, purpose: Purpose) -> Self {
        let slots = look.columns.iter().map(|mapped| {
            let Some(channel) = mapped.holds.filter(|channel| purpose.uses(*channel)) else {
                return Slot::Skip;
            };
            match (channel, mapped.unit) {
                (Channel::Time, _) if mapped.clock => Slot::Clock,
                (Channel::Loop, _) => Slot::Loop {
                    yes_is_closed: mapped.column.bare.to_lowercase().contains("closed"),
                },
                (Channel::RoadSpeed | Channel::Trigger, _) | (_, None) => {
                    Slot::Level(channel.index())
                }
                (_, Some(unit)) => Slot::Number(channel.index(), unit),
            }
        });
        Self {
            source,
            splitter: Splitter::new(look.dialect.separator),
            slots: slots.collect(),
            names: look.names(),
            separator: look.dialect.separator.byte(),
            decimal: look.dialect.decimal,
            line: look.dialect.first_line,
            count: 0,
            anew: false,
            days: Days::default(),
            loop_words: LoopWords::default(),
            cut: None,
        }
    }

    /// Hash of the file, once all rows were read.
    pub(super) fn hash(&self) -> String {
        self.source.hash()
    }

    /// The next row; says whether there was one.
    pub(super) fn next(&mut self, row: &mut Row) -> Result<bool, ImportError> {
        loop {
            let lines = self.source.whole_lines();
            if lines.is_empty() && !self.source.ended() {
                self.source.more(self.line)?;
                continue;
            }
            match self.fast(row) {
                Fast::Blank(taken) => {
                    self.source.take(taken);
                    self.line += 1;
                }
                Fast::Row(taken) => {
                    self.source.take(taken);
                    row.line = self.line;
                    self.line += 1;
                    self.give(row);
                    return Ok(true);
                }
                Fast::NotPlain => match self.careful(row)? {
                    Some(true) => {
                        self.give(row);
                        return Ok(true);
                    }
                    Some(false) => return Ok(false),
                    None => {}
                },
            }
        }
    }

    fn give(&mut self, row: &mut Row) {
        row.anew = std::mem::take(&mut self.anew);
        self.count += 1;
    }

    /// Takes the line at the front if all its cells are plain.
    fn fast(&mut self, row: &mut Row) -> Fast {
        let bytes = self.source.whole_lines();
        match bytes {
            [] => return Fast::NotPlain,
            [b'\n', ..] => return Fast::Blank(1),
            [b'\r', b'\n', ..] => return Fast::Blank(2),
            _ => {}
        }
        row.values = [f64::NAN; Channel::COUNT];
        row.closed = None;
        let (separator, mark) = (self.separator, self.decimal.byte());
        let mut at = 0;
        for slot in &self.slots {
            let rest = &bytes[at..];
            let taken = match slot {
                Slot::Skip => skip(rest, separator),
                Slot::Number(channel, unit) => {
                    number_at(rest, mark, separator).map(|(value, n)| {
                        row.values[*channel] = unit.to_si(value);
                        n
                    })
                }
                Slot::Level(channel) => number_at(rest, mark, separator).map(|(value, n)| {
                    row.values[*channel] = value;
                    n
                }),
                Slot::Clock => skip(rest, separator).and_then(|n| {
                    let clock = number::clock(bare(&rest[..n]), self.decimal)?;
                    row.values[Channel::Time.index()] = self.days.seconds(clock);
                    Some(n)
                }),
                Slot::Loop { yes_is_closed } => skip(rest, separator).inspect(|n| {
                    row.closed = self.loop_words.read(bare(&rest[..*n]), *yes_is_closed);
                }),
            };
            let Some(taken) = taken else {
                return Fast::NotPlain;
            };
            at += taken;
            match bytes.get(at..) {
                Some([byte, ..]) if *byte == separator => at += 1,
                Some([b'\n', ..]) => return Fast::Row(at + 1),
                Some([b'\r', b'\n', ..]) => return Fast::Row(at + 2),
                _ => return Fast::NotPlain,
            }
        }
        // There is a separator behind the last column: whether anything follows, the other way tells.
        Fast::NotPlain
    }

    /// Takes the record at the front by the careful way: `Some(true)` for a row, `Some(false)` at
    /// the end of the file, `None` to go on.
    fn careful(&mut self, row: &mut Row) -> Result<Option<bool>, ImportError> {
        let blank = blank_lines(self.source.rest());
        if blank > 0 {
            self.line += lines_in(&self.source.rest()[..blank]);
            self.source.take(blank);
            return Ok(None);
        }
        let taken = match self
            .splitter
            .record(self.source.rest(), self.source.ended())
        {
            Part::Record(taken) => taken,
            Part::More => {
                self.source.more(self.line)?;
                return Ok(None);
            }
            Part::End => return Ok(Some(false)),
            Part::TooMany => {
                return Err(ImportError::LineTooLong {
                    line: self.line,
                    limit: LONGEST_LINE,
                });
            }
        };
        let ends_here = self.source.ended() && taken == self.source.rest().len();
        let whole = !ends_here || self.source.rest().ends_with(b"\n");
        let line = self.line;
        self.line += lines_in(&self.source.rest()[..taken]);
        self.source.take(taken);
        if !whole && self.splitter.count() < self.slots.len() {
            // The tool was unplugged while it wrote this line: its last number may be half of one.
            self.cut = Some(line);
            return Ok(None);
        }
        if self.is_header() {
            self.anew = true;
            return Ok(None);
        }
        row.line = line;
        self.read_cells(row)?;
        Ok(Some(true))
    }

    /// Whether the record repeats the names: some tools write them again whenever a log goes on.
    fn is_header(&self) -> bool {
        let mut cells = self.splitter.cells();
        let first = self.names.first().map(String::as_bytes);
        first.is_some() && cells.next().map(<[u8]>::trim_ascii) == first && {
            cells
                .zip(self.names.iter().skip(1))
                .all(|(cell, name)| cell.trim_ascii() == name.as_bytes())
        }
    }

    fn read_cells(&mut self, row: &mut Row) -> Result<(), ImportError> {
        row.values = [f64::NAN; Channel::COUNT];
        row.closed = None;
        for (column, cell) in self.splitter.cells().enumerate() {
            let Some(slot) = self.slots.get(column) else {
                if cell.trim_ascii().is_empty() {
                    continue;
                }
                return Err(ImportError::RowTooLong {
                    line: row.line,
                    cells: self.splitter.count(),
                    columns: self.slots.len(),
                });
            };
            let refused = |wanted| self.refused(row.line, column, cell, wanted);
            match slot {
                Slot::Skip => {}
                Slot::Loop { yes_is_closed } => {
                    row.closed = self.loop_words.read(cell, *yes_is_closed);
                }
                Slot::Number(..) | Slot::Level(_) => match number::read(cell, self.decimal) {
                    Cell::Missing => {}
                    Cell::Number(value) => match slot {
                        Slot::Number(channel, unit) => row.values[*channel] = unit.to_si(value),
                        Slot::Level(channel) => row.values[*channel] = value,
                        _ => {}
                    },
                    Cell::Other => return Err(refused("a number")),
                },
                Slot::Clock => {
                    let text = cell.trim_ascii();
                    if number::is_missing(text) {
                        continue;
                    }
                    let clock = number::clock(text, self.decimal)
                        .ok_or_else(|| refused("a clock time such as 12:03:04.5"))?;
                    row.values[Channel::Time.index()] = self.days.seconds(clock);
                }
            }
        }
        Ok(())
    }

    fn refused(&self, line: u64, column: usize, cell: &[u8], wanted: &'static str) -> ImportError {
        /// As much of a cell as helps to find it.
        const SHOWN: usize = 40;
        let words = super::sniff::words_of(cell);
        let mut text: String = words.trim().chars().take(SHOWN).collect();
        if words.trim().chars().nth(SHOWN).is_some() {
            text.push_str("...");
        }
        let name = self.names.get(column).cloned().unwrap_or_default();
        let other = match self.decimal {
            Decimal::Point => Decimal::Comma,
            Decimal::Comma => Decimal::Point,
        };
        let remedy = if matches!(number::read(cell, other), Cell::Number(_)) {
            format!(
                "the rows before it have a decimal {}; if this is a decimal {}, say --decimal {}",
                self.decimal.word(),
                other.word(),
                other.word()
            )
        } else {
            format!("empty the cell, or leave the column out with --column \"{name}=nothing\"")
        };
        ImportError::Cell {
            line,
            column: column + 1,
            name,
            text,
            wanted,
            remedy,
        }
    }
}

/// A plain number or nothing at the front, with its quotes or the blanks around it.
#[inline]
fn number_at(bytes: &[u8], mark: u8, separator: u8) -> Option<(f64, usize)> {
    let blanks = |bytes: &[u8]| bytes.iter().take_while(|byte| **byte == b' ').count();
    if let Some(inside) = bytes.strip_prefix(b"\"") {
        let (value, taken) = number::plain(inside, mark)?;
        return (inside.get(taken) == Some(&b'"')).then_some((value, taken + 2));
    }
    let mut at = blanks(bytes);
    let inside = bytes.get(at..)?;
    let first = *inside.first()?;
    if first == separator || first == b'\r' || first == b'\n' {
        return Some((f64::NAN, at));
    }
    let (value, taken) = number::plain(inside, mark)?;
    at += taken;
    if let Some(b' ') = bytes.get(at) {
        at += blanks(&bytes[at..]);
    }
    Some((value, at))
}

/// How many bytes the cell at the front takes, if its quotes are plain.
#[inline]
fn skip(bytes: &[u8], separator: u8) -> Option<usize> {
    let ends = |byte: u8| byte == separator || byte == b'\n' || byte == b'\r';
    if let Some(inside) = bytes.strip_prefix(b"\"") {
        let close = inside
            .iter()
            .position(|byte| matches!(byte, b'"' | b'\n' | b'\r'))?;
        let plain = inside[close] == b'"' && inside.get(close + 1).is_some_and(|byte| ends(*byte));
        return plain.then_some(close + 2);
    }
    bytes.iter().position(|byte| ends(*byte))
}

/// A cell without the quotes around it.
fn bare(cell: &[u8]) -> &[u8] {
    cell.strip_prefix(b"\"")
        .and_then(|inside| inside.strip_suffix(b"\""))
        .unwrap_or(cell)
}

/// Whether a cell says that fuelling is in closed loop. Numbers are those of parameter 03 of SAE
/// J1979 (from memory): 2 and 16 closed, 1, 4 and 8 open.
fn closed(cell: &[u8], yes_is_closed: bool) -> Option<bool> {
    let text = String::from_utf8_lossy(cell.trim_ascii()).to_lowercase();
    let yes = matches!(text.as_str(), "1" | "yes" | "on" | "true");
    let no = matches!(text.as_str(), "0" | "no" | "off" | "false");
    if yes_is_closed && (yes || no) {
        return Some(yes);
    }
    let says = |word: &str, short: &str| {
        text.contains(word) || text == short || text.starts_with(&format!("{short}-"))
    };
    match (says("closed", "cl"), says("open", "ol"), text.as_str()) {
        (true, false, _) | (_, _, "2" | "16") => Some(true),
        (false, true, _) | (_, _, "1" | "4" | "8") => Some(false),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn closed_and_open_loop_are_told_apart() {
        let read = |text: &str| closed(text.as_bytes(), false);
        for text in ["closed", "CL", "Closed loop", "2", "cl-fault", "16"] {
            assert_eq!(read(text), Some(true), "{text}");
        }
        for text in ["open", "OL", "Open (cold)", "1", "4", "8"] {
            assert_eq!(read(text), Some(false), "{text}");
        }
        for text in ["", "-", "0", "open or closed", "idle", "cloud"] {
            assert_eq!(read(text), None, "{text}");
        }
        assert_eq!(closed(b"1", true), Some(true));
        assert_eq!(closed(b"Off", true), Some(false));
    }

    #[test]
    fn a_clock_goes_on_over_midnight() {
        let mut days = Days::default();
        let times: Vec<f64> = [86_398.0, 86_399.5, 1.0, 2.0]
            .map(|t| days.seconds(t))
            .into();
        assert_eq!(times, [86_398.0, 86_399.5, 86_401.0, 86_402.0]);
    }
}
