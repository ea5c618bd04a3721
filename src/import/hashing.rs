//! The hash of a file (BLAKE3), worked out beside the reading of its rows: it takes a fifth of the
//! time that reading does.

use super::helper::Helper;

/// Hashes what it is given, block by block.
pub(super) struct Hashing {
    /// What was hashed before there was a thread, and all of it where there is none.
    here: blake3::Hasher,
    beside: Option<Helper<Vec<u8>, blake3::Hasher>>,
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
            self.beside = Helper::start("hash", self.here.clone(), |hasher, block| {
                hasher.update(block);
                block.clear();
            });
        }
    }

    /// Takes the next bytes.
    pub(super) fn update(&mut self, bytes: &[u8]) {
        match &self.beside {
            Some(beside) => {
                beside.hand_over(|block| block.extend_from_slice(bytes));
            }
            None => {
                self.here.update(bytes);
            }
        }
    }

    /// Hash of all bytes (hexadecimal).
    pub(super) fn finish(self) -> String {
        let hasher = self.beside.map_or(self.here, Helper::join);
        hasher.finalize().to_hex().to_string()
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
