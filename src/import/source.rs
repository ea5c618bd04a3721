//! The text of a file through a buffer of bounded size; its bytes are hashed as they pass.

use std::io::{ErrorKind, Read};

use super::encoding::{Encoding, Utf16};
use super::error::ImportError;
use super::hashing::Hashing;

/// The buffer's usual size, in bytes (256 KiB): large enough that reading costs little, small
/// enough to stay in a processor's cache.
const USUAL: usize = 1 << 18;
/// The longest line, and the longest quoted cell, in bytes (1 MiB).
pub(super) const LONGEST_LINE: usize = 1 << 20;

/// So many bytes of UTF-16 are turned at a time.
const TURNED: usize = 1 << 14;

/// A file being read.
pub(super) struct Source<R> {
    reader: R,
    hashing: Hashing,
    /// How the file's characters are written; the buffer has them in UTF-8.
    encoding: Encoding,
    utf16: Option<Utf16>,
    buffer: Vec<u8>,
    /// The first byte that is not used yet.
    at: usize,
    /// The byte after the last that was read.
    filled: usize,
    /// The byte after the last line end.
    safe: usize,
    ended: bool,
}

impl<R: Read> Source<R> {
    /// Begins to read: the buffer is filled as far as the file goes.
    pub(super) fn open(reader: R) -> Result<Self, ImportError> {
        let mut source = Self {
            reader,
            hashing: Hashing::new(),
            encoding: Encoding::Utf8,
            utf16: None,
            buffer: vec![0; USUAL],
            at: 0,
            filled: 0,
            safe: 0,
            ended: false,
        };
        source.find_encoding()?;
        while !source.ended && source.filled < source.buffer.len() {
            source.read_on()?;
        }
        source.encoding = source.encoding.by_more(&source.buffer[..source.filled]);
        Ok(source)
    }

    /// What is there, up to the end of the buffer.
    pub(super) fn rest(&self) -> &[u8] {
        &self.buffer[self.at..self.filled]
    }

    /// As [`Self::rest`], but only whole lines.
    pub(super) fn whole_lines(&self) -> &[u8] {
        self.buffer.get(self.at..self.safe).unwrap_or_default()
    }

    /// Whether the file goes no further than what is there.
    pub(super) fn ended(&self) -> bool {
        self.ended
    }

    /// Uses up bytes.
    pub(super) fn take(&mut self, bytes: usize) {
        self.at = (self.at + bytes).min(self.filled);
    }

    /// Reads more behind what is there. `line` is the number of the line at the front.
    pub(super) fn more(&mut self, line: u64) -> Result<(), ImportError> {
        if self.at > 0 {
            self.buffer.copy_within(self.at..self.filled, 0);
            self.filled -= self.at;
            self.safe = self.safe.saturating_sub(self.at);
            self.at = 0;
        }
        if self.filled == self.buffer.len() {
            if self.filled >= LONGEST_LINE {
                let limit = LONGEST_LINE;
                return Err(ImportError::LineTooLong { line, limit });
            }
            self.buffer.resize(self.buffer.len() * 2, 0);
        }
        // What is longer than the buffer is worth a thread.
        self.hashing.go_beside();
        self.read_on()
    }

    /// Reads so far that the encoding shows.
    fn find_encoding(&mut self) -> Result<(), ImportError> {
        while !self.ended && self.filled < 4 {
            self.read_on()?;
        }
        self.encoding = Encoding::of(&self.buffer[..self.filled]);
        self.utf16 = Utf16::of(self.encoding);
        if self.utf16.is_some() {
            let read = self.buffer[..self.filled].to_vec();
            (self.filled, self.safe) = (0, 0);
            self.turn(&read);
            if self.ended {
                self.end_turning();
            }
        }
        Ok(())
    }

    fn read_on(&mut self) -> Result<(), ImportError> {
        if self.utf16.is_some() {
            let mut bytes = [0; TURNED];
            let read = read_some(&mut self.reader, &mut bytes)?;
            self.ended = read == 0;
            self.hashing.update(&bytes[..read]);
            self.turn(&bytes[..read]);
            if self.ended {
                self.end_turning();
            }
            return Ok(());
        }
        let read = read_some(&mut self.reader, &mut self.buffer[self.filled..])?;
        self.ended = read == 0;
        self.hashing
            .update(&self.buffer[self.filled..self.filled + read]);
        self.has_new(read);
        Ok(())
    }

    /// Puts what bytes of UTF-16 say into the buffer, which grows if need be.
    fn turn(&mut self, bytes: &[u8]) {
        let Some(utf16) = &mut self.utf16 else { return };
        let mut text = Vec::with_capacity(2 * bytes.len());
        utf16.turn(bytes, &mut text);
        self.put_in(&text);
    }

    /// Marks half a character at the end of the file.
    fn end_turning(&mut self) {
        let Some(utf16) = &mut self.utf16 else { return };
        let mut text = Vec::new();
        utf16.finish(&mut text);
        self.put_in(&text);
    }

    fn put_in(&mut self, text: &[u8]) {
        let filled = self.filled + text.len();
        if filled > self.buffer.len() {
            self.buffer.resize(filled, 0);
        }
        self.buffer[self.filled..filled].copy_from_slice(text);
        self.has_new(text.len());
    }

    /// So many bytes behind what was there are new.
    fn has_new(&mut self, bytes: usize) {
        let new = &self.buffer[self.filled..self.filled + bytes];
        let last = |end: u8, in_it: &[u8]| in_it.iter().rposition(|byte| *byte == end);
        // Lines that end with CR alone; one in the last place may be half of CR LF.
        let alone = || last(b'\r', new.split_last().map_or(new, |(_, before)| before));
        if let Some(last) = last(b'\n', new).or_else(alone) {
            self.safe = self.filled + last + 1;
        }
        self.filled += bytes;
    }

    /// How much it holds, in bytes.
    #[cfg(test)]
    pub(super) fn held(&self) -> usize {
        self.buffer.capacity()
    }

    /// How the file's characters are written.
    pub(super) fn encoding(&self) -> Encoding {
        self.encoding
    }

    /// Hash of all bytes read so far (BLAKE3, hexadecimal).
    pub(super) fn hash(self) -> String {
        self.hashing.finish()
    }
}

fn read_some(reader: &mut impl Read, into: &mut [u8]) -> Result<usize, ImportError> {
    loop {
        match reader.read(into) {
            Err(error) if error.kind() == ErrorKind::Interrupted => {}
            other => return Ok(other?),
        }
    }
}
