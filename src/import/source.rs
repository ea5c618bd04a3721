//! The bytes of a file through a buffer of bounded size, hashed as they pass.

use std::io::{ErrorKind, Read};

use super::error::ImportError;

/// The buffer's usual size, in bytes (256 KiB): large enough that reading costs little, small
/// enough to stay in a processor's cache.
const USUAL: usize = 1 << 18;
/// The longest line, and the longest quoted cell, in bytes (1 MiB).
pub(super) const LONGEST_LINE: usize = 1 << 20;

/// A file being read.
pub(super) struct Source<R> {
    reader: R,
    hasher: blake3::Hasher,
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
            hasher: blake3::Hasher::new(),
            buffer: vec![0; USUAL],
            at: 0,
            filled: 0,
            safe: 0,
            ended: false,
        };
        while !source.ended && source.filled < source.buffer.len() {
            source.read_on()?;
        }
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
        self.read_on()
    }

    fn read_on(&mut self) -> Result<(), ImportError> {
        let read = loop {
            match self.reader.read(&mut self.buffer[self.filled..]) {
                Err(error) if error.kind() == ErrorKind::Interrupted => {}
                other => break other?,
            }
        };
        self.ended = read == 0;
        let new = &self.buffer[self.filled..self.filled + read];
        self.hasher.update(new);
        if let Some(last) = new.iter().rposition(|byte| *byte == b'\n') {
            self.safe = self.filled + last + 1;
        }
        self.filled += read;
        Ok(())
    }

    /// Hash of all bytes read so far (BLAKE3, hexadecimal).
    pub(super) fn hash(&self) -> String {
        self.hasher.finalize().to_hex().to_string()
    }
}
