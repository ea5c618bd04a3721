//! Parting a line into its cells, with quotes as RFC 4180 has them.
//!
//! A thin coat over `csv_core`: the plain case is handled faster by [`super::rows`], and whatever
//! is not plain comes here.

use csv_core::{ReadRecordResult, Reader, ReaderBuilder};

use super::dialect::Separator;

/// The most cells that a row may have: far beyond any logger.
const MOST_CELLS: usize = 4096;

/// What was found at the front of the bytes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Part {
    /// A record, which takes so many bytes.
    Record(usize),
    /// A beginning only; more bytes are needed.
    More,
    /// More cells than can be.
    TooMany,
    /// Nothing is left.
    End,
}

/// Parts records into cells; the cells of the last one stay here.
pub(super) struct Splitter {
    reader: Reader,
    text: Vec<u8>,
    ends: Vec<usize>,
    count: usize,
}

impl Splitter {
    pub(super) fn new(separator: Separator) -> Self {
        Self {
            reader: ReaderBuilder::new().delimiter(separator.byte()).build(),
            text: Vec::new(),
            ends: vec![0; MOST_CELLS],
            count: 0,
        }
    }

    /// Takes the record at the front of the bytes. `whole` says that nothing follows them.
    pub(super) fn record(&mut self, bytes: &[u8], whole: bool) -> Part {
        self.reader.reset();
        self.count = 0;
        if bytes.is_empty() {
            return if whole { Part::End } else { Part::More };
        }
        // A record's cells take no more room than the record.
        let room = bytes.len() + 1;
        if self.text.len() < room {
            self.text.resize(room, 0);
        }
        let (result, taken, written, cells) =
            self.reader
                .read_record(bytes, &mut self.text, &mut self.ends);
        match result {
            ReadRecordResult::Record => {
                self.count = cells;
                Part::Record(taken)
            }
            ReadRecordResult::InputEmpty if whole => self.at_end(taken, written, cells),
            ReadRecordResult::InputEmpty => Part::More,
            ReadRecordResult::OutputFull | ReadRecordResult::OutputEndsFull => Part::TooMany,
            ReadRecordResult::End => Part::End,
        }
    }

    /// The last record of a file that does not end with a line's end.
    fn at_end(&mut self, taken: usize, written: usize, cells: usize) -> Part {
        let (text, ends) = (&mut self.text[written..], &mut self.ends[cells..]);
        match self.reader.read_record(&[], text, ends) {
            (ReadRecordResult::Record, _, _, more) => {
                self.count = cells + more;
                Part::Record(taken)
            }
            (ReadRecordResult::OutputEndsFull, ..) => Part::TooMany,
            _ => Part::End,
        }
    }

    /// The cells of the last record.
    pub(super) fn cells(&self) -> impl Iterator<Item = &[u8]> {
        let starts = std::iter::once(0).chain(self.ends.iter().copied());
        starts
            .zip(&self.ends)
            .take(self.count)
            .map(|(start, end)| self.text.get(start..*end).unwrap_or_default())
    }

    /// How much it holds, in bytes.
    #[cfg(test)]
    pub(super) fn held(&self) -> usize {
        self.text.capacity()
    }

    /// How many cells the last record has.
    pub(super) fn count(&self) -> usize {
        self.count
    }
}

/// How many lines end in the first so many bytes: by LF, by CR LF, or by CR alone.
///
/// A CR at the end of them counts by what follows it.
pub(super) fn lines_in(bytes: &[u8], first: usize) -> u64 {
    let ends = |at: &usize| match bytes[*at] {
        b'\n' => true,
        b'\r' => bytes.get(at + 1) != Some(&b'\n'),
        _ => false,
    };
    (0..first.min(bytes.len())).filter(ends).count() as u64
}

/// How many bytes of line ends stand at the front.
pub(super) fn blank_lines(bytes: &[u8]) -> usize {
    bytes
        .iter()
        .take_while(|byte| matches!(byte, b'\r' | b'\n'))
        .count()
}
