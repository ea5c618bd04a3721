//! The hash of a file (BLAKE3), worked out beside the reading of its rows.
//!
//! Hashing takes a fifth of the time that reading rows does, and needs nothing of it: a long file is
//! hashed by a thread of its own. A bounded number of blocks is on the way at any time, and they are
//! used again and again.

use std::sync::mpsc::{Receiver, SyncSender, sync_channel};
use std::thread::{self, JoinHandle};

/// Blocks on the way at most; with these, neither side waits for the other's slowest moment.
const BLOCKS: usize = 4;

/// Hashes what it is given, block by block.
pub(super) struct Hashing {
    /// What was hashed before there was a thread, and all of it where there is none.
    here: blake3::Hasher,
    beside: Option<Beside>,
}

/// The thread, and the ways to it and back.
struct Beside {
    full: SyncSender<Vec<u8>>,
    empty: Receiver<Vec<u8>>,
    thread: JoinHandle<blake3::Hasher>,
}

impl Hashing {
    pub(super) fn new() -> Self {
        Self {
            here: blake3::Hasher::new(),
            beside: None,
        }
    }

    /// Lets a thread go on, where the system gives one.
    pub(super) fn go_beside(&mut self) {
        if self.beside.is_none() {
            self.beside = Beside::start(&self.here);
        }
    }

    /// Takes the next bytes.
    pub(super) fn update(&mut self, bytes: &[u8]) {
        match &self.beside {
            Some(beside) => beside.send(bytes),
            None => {
                self.here.update(bytes);
            }
        }
    }

    /// Hash of all bytes (hexadecimal).
    pub(super) fn finish(self) -> String {
        let hasher = self.beside.map_or(self.here, Beside::join);
        hasher.finalize().to_hex().to_string()
    }
}

impl Beside {
    fn start(so_far: &blake3::Hasher) -> Option<Self> {
        let mut hasher = so_far.clone();
        let (full, blocks) = sync_channel::<Vec<u8>>(BLOCKS);
        let (back, empty) = sync_channel(BLOCKS);
        for _ in 0..BLOCKS {
            back.try_send(Vec::new()).ok()?;
        }
        let work = move || {
            for mut block in blocks {
                hasher.update(&block);
                block.clear();
                // Nobody wants it back once all was read.
                let _ = back.try_send(block);
            }
            hasher
        };
        let thread = thread::Builder::new().name("hash".to_owned()).spawn(work);
        Some(Self {
            full,
            empty,
            thread: thread.ok()?,
        })
    }

    /// Neither way breaks off before [`Self::join`], unless the thread has panicked; that shows there.
    fn send(&self, bytes: &[u8]) {
        if let Ok(mut block) = self.empty.recv() {
            block.extend_from_slice(bytes);
            let _ = self.full.send(block);
        }
    }

    fn join(self) -> blake3::Hasher {
        drop(self.full);
        match self.thread.join() {
            Ok(hasher) => hasher,
            Err(panic) => std::panic::resume_unwind(panic),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn beside_or_not_it_is_the_hash_of_all_bytes() {
        let bytes: Vec<u8> = (0..100_000_u32).flat_map(u32::to_le_bytes).collect();
        let wanted = blake3::hash(&bytes).to_hex().to_string();
        for beside in [None, Some(0), Some(3)] {
            let mut hashing = Hashing::new();
            for (n, block) in bytes.chunks(7_001).enumerate() {
                if beside == Some(n) {
                    hashing.go_beside();
                }
                hashing.update(block);
            }
            assert_eq!(hashing.finish(), wanted);
        }
    }
}
