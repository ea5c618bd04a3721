//! Where cells end: every separator and line end, found 64 bytes at a time.
//!
//! Looking for the end of one cell after the other makes each wait for the one before. Here the
//! ends in 64 bytes are found at once, eight bytes in one word, and are then handed out one by one.

const ONES: u64 = 0x0101_0101_0101_0101;
const HIGH: u64 = 0x80 * ONES;
const LOW: u64 = 0x7f * ONES;
/// Added to a byte below 0x20 it leaves the high bit clear.
const CONTROL: u64 = 0x60 * ONES;
/// Gathers the lowest bits of eight bytes in the highest byte.
const GATHER: u64 = 0x0102_0408_1020_4080;
const BLOCK: usize = 64;

/// Hands out the ends of cells from a front that moves along.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Ends {
    /// Ends not handed out yet, one bit a byte of the block.
    bits: u64,
    /// Where the block begins, counted from the front; before it, the count has wrapped.
    block: usize,
    /// Where the next block begins, counted from the front.
    next: usize,
}

impl Ends {
    /// The next separator or control character in what lies at the front. After the last one it
    /// must be [`Self::forget`]ten or moved on.
    #[expect(
        clippy::inline_always,
        reason = "measured: a call a cell is a tenth of the time"
    )]
    #[inline(always)]
    pub(super) fn next(&mut self, bytes: &[u8], separator: u8) -> Option<usize> {
        while self.bits == 0 {
            let rest = bytes.get(self.next..).filter(|rest| !rest.is_empty())?;
            self.bits = match rest.first_chunk::<BLOCK>() {
                Some(block) => look(block, separator),
                None => look_at_last(rest, separator),
            };
            self.block = self.next;
            self.next += BLOCK;
        }
        let at = self.block.wrapping_add(self.bits.trailing_zeros() as usize);
        self.bits &= self.bits - 1;
        Some(at)
    }

    /// The front moves on by so many bytes, all of whose ends were handed out.
    #[inline]
    pub(super) fn moved(&mut self, bytes: usize) {
        self.block = self.block.wrapping_sub(bytes);
        self.next = self.next.wrapping_sub(bytes);
    }

    /// What lies at the front is another matter now.
    pub(super) fn forget(&mut self) {
        *self = Self::default();
    }
}

#[inline]
fn look(block: &[u8; BLOCK], separator: u8) -> u64 {
    let separators = u64::from(separator) * ONES;
    let (words, _) = block.as_chunks::<8>();
    let mut bits = 0;
    for (place, word) in words.iter().enumerate() {
        let word = u64::from_le_bytes(*word);
        let other = word ^ separators;
        // A byte's high bit stays clear where it is the separator, or a control character.
        let not_separator = ((other & LOW) + LOW) | other;
        let not_control = ((word & LOW) + CONTROL) | word;
        let ends = !(not_separator & not_control) & HIGH;
        bits |= ((ends >> 7).wrapping_mul(GATHER) >> 56) << (8 * place);
    }
    bits
}

/// The last bytes, fewer than a block.
fn look_at_last(rest: &[u8], separator: u8) -> u64 {
    let mut block = [0; BLOCK];
    block[..rest.len()].copy_from_slice(rest);
    // What fills up the block is no end.
    look(&block, separator) & ((1 << rest.len()) - 1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn every_end_is_found_in_its_place(
            bytes in proptest::collection::vec(prop_oneof![any::<u8>(), proptest::sample::select(b"0;,\n\t\r".to_vec())], 0..300),
            separator in "[,;\t]",
            moves in proptest::collection::vec(any::<bool>(), 300),
        ) {
            let separator = separator.as_bytes()[0];
            let wanted: Vec<usize> = (0..bytes.len()).filter(|at| bytes[*at] == separator || bytes[*at] < 0x20).collect();
            let (mut ends, mut front, mut found) = (Ends::default(), 0, Vec::new());
            while let Some(at) = ends.next(&bytes[front..], separator) {
                found.push(front + at);
                if moves[found.len() % moves.len()] {
                    front += at + 1;
                    ends.moved(at + 1);
                }
            }
            prop_assert_eq!(found, wanted);
        }
    }
}
