//! Row by row through a file: the values of the columns that are used, in SI units.
//!
//! Two ways lead through a line. The fast one takes plain cells as they come, number by number,
//! without copying a byte. Wherever anything is not plain, the line is gone through again by the
//! careful way, which knows quotes, words and every kind of mistake. Both read the same things.

use std::io::Read;

use super::channel::Channel;
use super::clock::{Days, clock};
use super::dialect::Decimal;
use super::encoding::{REPLACED, words_of};
use super::ends::Ends;
use super::error::{ImportError, Remedy};
use super::flaws::{Flaws, Unreadable};
use super::look::{Look, Purpose};
use super::loop_words::LoopWords;
use super::number::{self, Cell};
use super::plain::{bare, number};
use super::slot::{Row, Scales, Slot, TIME};
use super::source::{LONGEST_LINE, Source};
use super::split::{Part, Splitter, blank_lines, lines_in};

/// The rows of a file.
pub(super) struct Rows<R> {
    source: Source<R>,
    splitter: Splitter,
    ends: Ends,
    slots: Vec<Slot>,
    scales: Scales,
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
    flaws: Flaws,
    unreadable: Unreadable,
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
        Self {
            source,
            splitter: Splitter::new(look.dialect.separator),
            ends: Ends::default(),
            slots: Slot::of(look, purpose),
            scales: Scales::of(look),
            names: look.names(),
            separator: look.dialect.separator.byte(),
            decimal: look.dialect.decimal,
            line: look.dialect.first_line,
            count: 0,
            anew: false,
            days: Days::default(),
            loop_words: LoopWords::default(),
            flaws: Flaws::default(),
            unreadable: Unreadable::default(),
        }
    }

    /// Hash of the file, and what was left out of it, once all rows were read.
    ///
    /// # Errors
    /// The first cell that cannot be read, where they are too many.
    pub(super) fn finish(self) -> Result<(String, Flaws), ImportError> {
        let flaws = Flaws {
            unreadable: self.unreadable.finish(self.count)?,
            ..self.flaws
        };
        Ok((self.source.hash(), flaws))
    }

    /// The next row; says whether there was one.
    pub(super) fn next(&mut self, row: &mut Row) -> Result<bool, ImportError> {
        loop {
            let lines = self.source.whole_lines();
            if lines.is_empty() && !self.source.ended() {
                self.ends.forget();
                self.source.more(self.line)?;
                continue;
            }
            match self.fast(row) {
                Fast::Blank(taken) => {
                    self.ends.forget();
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
                Fast::NotPlain => {
                    self.ends.forget();
                    match self.careful(row)? {
                        Some(true) => {
                            self.give(row);
                            return Ok(true);
                        }
                        Some(false) => return Ok(false),
                        None => {}
                    }
                }
            }
        }
    }

    /// Counts a row with fewer cells than there are columns; what is missing counts as empty.
    fn is_short(&mut self, line: u64) {
        let (rows, first) = self.flaws.short.unwrap_or((0, line));
        self.flaws.short = Some((rows + 1, first));
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
        row.values = [f64::NAN; Channel::PLACES];
        row.closed = None;
        // What the digits in `row.values` are to be divided by.
        let mut over = [1.0; Channel::PLACES];
        let separator = self.separator;
        let mut ends = self.ends;
        let mut at = 0;
        let mut missing = self.slots.len();
        for slot in &mut self.slots {
            missing -= 1;
            let Some(end) = ends.next(bytes, separator) else {
                return Fast::NotPlain;
            };
            let (rest, length) = (&bytes[at..], end - at);
            let read = match slot {
                Slot::Number(channel, shape) => number(rest, length, self.decimal, shape)
                    .inspect(|(digits, tens)| {
                        row.values[*channel] = *digits;
                        over[*channel] = *tens;
                    })
                    .is_some(),
                Slot::Skip => rest.first() != Some(&b'"') || bare(&rest[..length]).is_some(),
                Slot::Clock => bare(&rest[..length])
                    .and_then(|cell| clock(cell, self.decimal))
                    .inspect(|time| row.values[TIME] = self.days.seconds(*time))
                    .is_some(),
                Slot::Loop { yes_is_closed } => bare(&rest[..length])
                    .inspect(|cell| row.closed = self.loop_words.read(cell, *yes_is_closed))
                    .is_some(),
            };
            if !read {
                return Fast::NotPlain;
            }
            at = end + 1;
            let last = bytes[end];
            if last == separator {
                continue;
            }
            if last == b'\r' && bytes.get(at) == Some(&b'\n') {
                at += 1;
                ends.next(bytes, separator);
            } else if last != b'\n' {
                return Fast::NotPlain;
            }
            ends.moved(at);
            self.ends = ends;
            self.scales.all_to_si(&mut row.values, &over);
            if missing > 0 {
                self.is_short(self.line);
            }
            return Fast::Row(at);
        }
        // There is a separator behind the last column: whether anything follows, the other way tells.
        Fast::NotPlain
    }

    /// Takes the record at the front by the careful way: `Some(true)` for a row, `Some(false)` at
    /// the end of the file, `None` to go on.
    fn careful(&mut self, row: &mut Row) -> Result<Option<bool>, ImportError> {
        let blank = blank_lines(self.source.rest());
        if self.halves_an_end(blank) {
            self.source.more(self.line)?;
            return Ok(None);
        }
        if blank > 0 {
            self.line += lines_in(self.source.rest(), blank);
            self.source.take(blank);
            return Ok(None);
        }
        let taken = match self
            .splitter
            .record(self.source.rest(), self.source.ended())
        {
            Part::Record(taken) if self.halves_an_end(taken) => {
                self.source.more(self.line)?;
                return Ok(None);
            }
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
        let whole = !ends_here || matches!(self.source.rest().last(), Some(b'\n' | b'\r'));
        let halved = ends_here && self.source.rest().ends_with(REPLACED.as_bytes());
        let line = self.line;
        self.line += lines_in(self.source.rest(), taken);
        self.source.take(taken);
        if !whole && (halved || self.splitter.count() < self.slots.len()) {
            // The tool was unplugged while it wrote this line: its last number may be half of one.
            self.flaws.cut = Some(line);
            return Ok(None);
        }
        if self.is_header() {
            self.anew = true;
            return Ok(None);
        }
        row.line = line;
        if self.splitter.count() < self.slots.len() {
            self.is_short(line);
        }
        self.read_cells(row)?;
        Ok(Some(true))
    }

    /// Whether what is there breaks off after these bytes between a CR and what may be its LF.
    fn halves_an_end(&self, taken: usize) -> bool {
        let rest = self.source.rest();
        !self.source.ended() && taken == rest.len() && rest.ends_with(b"\r")
    }

    /// Whether the record repeats the names: some tools write them again whenever a log goes on.
    fn is_header(&self) -> bool {
        let mut cells = self.splitter.cells();
        let is = |cell: &[u8], name: &String| words_of(cell).trim() == name;
        let first = cells.next().zip(self.names.first());
        first.is_some_and(|(cell, name)| is(cell, name))
            && cells
                .zip(self.names.iter().skip(1))
                .all(|(cell, name)| is(cell, name))
    }

    fn read_cells(&mut self, row: &mut Row) -> Result<(), ImportError> {
        row.values = [f64::NAN; Channel::PLACES];
        row.closed = None;
        let mut bad = Vec::new();
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
                Slot::Number(channel, _) => match number::read(cell, self.decimal) {
                    Cell::Missing => {}
                    Cell::Number(value) => {
                        row.values[*channel] = self.scales.to_si(*channel, value);
                    }
                    Cell::Other => bad.push(refused("a number")),
                },
                Slot::Clock => {
                    let text = cell.trim_ascii();
                    if number::is_missing(text) {
                        continue;
                    }
                    match clock(text, self.decimal) {
                        Some(time) => row.values[TIME] = self.days.seconds(time),
                        None => bad.push(refused("a clock time such as 12:03:04.5")),
                    }
                }
            }
        }
        bad.into_iter().try_for_each(|error| self.leave_out(error))
    }

    /// Goes on without a cell that cannot be read, unless the other decimal mark would read it: then the numbers
    /// before it may be wrong as well.
    fn leave_out(&mut self, error: ImportError) -> Result<(), ImportError> {
        match error {
            ImportError::Cell {
                remedy: Remedy::LeaveOut,
                ..
            } => self.unreadable.add(error, self.count),
            other => Err(other),
        }
    }

    fn refused(&self, line: u64, column: usize, cell: &[u8], wanted: &'static str) -> ImportError {
        /// As much of a cell as helps to find it.
        const SHOWN: usize = 40;
        let words = words_of(cell);
        let mut text: String = words.trim().chars().take(SHOWN).collect();
        if words.trim().chars().nth(SHOWN).is_some() {
            text.push_str("...");
        }
        let name = self.names.get(column).cloned().unwrap_or_default();
        let other = match self.decimal {
            Decimal::Point => Decimal::Comma,
            Decimal::Comma => Decimal::Point,
        };
        let remedy = if cell.contains(&b'\n') {
            Remedy::CloseQuote
        } else if number::has_thousands(cell, self.decimal) {
            let may_be = matches!(number::read(cell, other), Cell::Number(_)).then_some(other);
            Remedy::Thousands(may_be)
        } else if matches!(number::read(cell, other), Cell::Number(_)) {
            Remedy::Decimal(other, self.decimal)
        } else {
            Remedy::LeaveOut
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

#[cfg(test)]
mod tests {
    use std::io::{self, Cursor};

    use super::*;
    use crate::import::{Options, open};

    /// A log that is made as it is read, some of its rows not plain.
    struct Made {
        rows: u64,
        line: Cursor<String>,
    }

    impl Read for Made {
        fn read(&mut self, out: &mut [u8]) -> io::Result<usize> {
            let read = self.line.read(out)?;
            if read > 0 || self.rows == 0 {
                return Ok(read);
            }
            self.rows -= 1;
            let note = if self.rows.is_multiple_of(7) {
                "\"a, \"\"b\"\"\""
            } else {
                ""
            };
            self.line = Cursor::new(format!("{}.5,800,3.1,{note}\n", self.rows));
            self.line.read(out)
        }
    }

    #[test]
    fn what_is_held_does_not_grow_with_the_rows() {
        let held = |rows: u64| {
            let line = Cursor::new("Time (s),RPM,MAF (g/s),Note\n".to_owned());
            let (source, look) = open(Made { rows, line }, &Options::default()).expect("a table");
            let mut read = Rows::new(source, &look, Purpose::Log);
            let mut row = Row::default();
            while read.next(&mut row).expect("sound rows") {}
            assert_eq!(read.count, rows);
            // A record is never longer than what there is to read it from.
            assert!(read.splitter.held() <= read.source.held());
            read.source.held()
        };
        // The shorter one is longer than the buffer already.
        assert_eq!(held(20_000), held(100_000));
    }
}
