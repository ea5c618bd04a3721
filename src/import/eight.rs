//! Short numbers, eight bytes at a time.
//!
//! Nearly every cell of a log is a number of eight bytes or fewer, and nearly every cell of a
//! column has as many decimals as the one above it. So a column remembers its [`Shape`], and a cell
//! is laid over it: one look at all its bytes together tells whether digits and mark stand where
//! they should, and three multiplications add the digits up. Going byte by byte would cost a branch
//! for each digit, which no processor can foresee.
//!
//! Worked example, `36.5` over the shape of one decimal: filled up to `000036.5` it differs from
//! `000000.0` by 0, 0, 0, 0, 3, 6, 0, 5; without the place of the mark that is 365, of which one
//! digit is a decimal.

const ONES: u64 = 0x0101_0101_0101_0101;
const HIGH: u64 = 0x80 * ONES;
const LOW: u64 = 0x7f * ONES;
const ZEROS: u64 = b'0' as u64 * ONES;
/// Added to a byte from 0 to 9 it leaves the high bit clear, and sets it for 10 to 127.
const TO_NINE: u64 = 0x76;
/// The same for nothing but 0.
const TO_ZERO: u64 = 0x7f;
/// The most decimals: with them, the mark and a digit before it, eight bytes are full.
const MOST: usize = 6;
const TENS: [f64; MOST + 1] = [1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6];
/// What fills up a cell of so many bytes, at the low end.
const FILLING: [u64; 9] = [
    ZEROS,
    ZEROS >> 8,
    ZEROS >> 16,
    ZEROS >> 24,
    ZEROS >> 32,
    ZEROS >> 40,
    ZEROS >> 48,
    ZEROS >> 56,
    0,
];

/// Where a number's mark stands, counted from its end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Shape {
    /// The number zero in this shape.
    zero: u64,
    /// What a byte may be, in each place.
    limits: u64,
    /// The bytes before the mark, and those behind it.
    before: u64,
    behind: u64,
    /// What the digits together stand for.
    tens: f64,
}

impl Shape {
    /// The shape with so many decimals behind a mark; without any, there is no mark.
    pub(super) const fn new(decimals: usize, mark: u8) -> Self {
        if decimals == 0 || decimals > MOST {
            return Self {
                zero: ZEROS,
                limits: TO_NINE * ONES,
                before: 0,
                behind: u64::MAX,
                tens: 1.0,
            };
        }
        let place = 8 * (7 - decimals);
        let at_mark = 0xff << place;
        Self {
            zero: (ZEROS & !at_mark) | ((mark as u64) << place),
            limits: ((TO_NINE * ONES) & !at_mark) | (TO_ZERO << place),
            before: at_mark.wrapping_sub(1) & !(u64::MAX << place),
            behind: (u64::MAX << place) & !at_mark,
            tens: TENS[decimals],
        }
    }

    /// The shape of a cell, as far as its mark tells.
    pub(super) fn of(cell: &[u8], mark: u8) -> Self {
        let decimals = cell.iter().rev().position(|byte| *byte == mark);
        Self::new(decimals.unwrap_or(0), mark)
    }

    /// What the digits together stand for: a number of this shape is its digits over this.
    #[inline]
    pub(super) fn tens(&self) -> f64 {
        self.tens
    }

    /// The digits in the first `length` bytes, as a whole number, if they have this shape and no
    /// sign. `None` also where there are not eight bytes, or `length` is not 1 to 8.
    #[inline]
    pub(super) fn digits(&self, bytes: &[u8], length: usize) -> Option<f64> {
        let word = u64::from_le_bytes(*bytes.first_chunk::<8>()?);
        if length.wrapping_sub(1) > 7 {
            return None;
        }
        let word = (word << (64 - 8 * length)) | FILLING[length];
        let values = word ^ self.zero;
        if (((values & LOW) + self.limits) | values) & HIGH != 0 {
            return None;
        }
        let digits = ((values & self.before) << 8) | (values & self.behind);
        Some(exact(sum(digits)))
    }
}

/// The number that eight digits make; the first of them is in the lowest byte.
#[inline]
fn sum(digits: u64) -> u64 {
    let pairs = digits.wrapping_mul(10 * 256 + 1) >> 8;
    let fours = (pairs & 0x00ff_00ff_00ff_00ff).wrapping_mul(100 * 65_536 + 1) >> 16;
    (fours & 0x0000_ffff_0000_ffff).wrapping_mul(10_000 * 4_294_967_296 + 1) >> 32
}

/// A whole number below 2^52 as `f64`, by way of its bits: beside 2^52 they are the number itself.
/// The processor's own conversion would wait for the number converted before it.
#[inline]
fn exact(whole: u64) -> f64 {
    const SHIFT: f64 = 4_503_599_627_370_496.0;
    f64::from_bits(SHIFT.to_bits() | whole) - SHIFT
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn number(shape: Shape, bytes: &[u8], length: usize) -> Option<f64> {
        // Both are exact, so the quotient is the nearest number.
        Some(shape.digits(bytes, length)? / shape.tens())
    }

    fn read(cell: &str, shape: Shape) -> Option<f64> {
        let line = format!("{cell},,,,,,,,");
        number(shape, line.as_bytes(), cell.len())
    }

    #[test]
    fn the_worked_example_is_right() {
        assert_eq!(read("36.5", Shape::new(1, b'.')), Some(36.5));
        assert_eq!(Shape::of(b"36.5", b'.'), Shape::new(1, b'.'));
        assert_eq!(Shape::of(b"365", b'.'), Shape::new(0, b'.'));
    }

    #[test]
    fn what_has_another_shape_is_left() {
        let two = Shape::new(2, b'.');
        for cell in [
            "",
            "5",
            ".5",
            "36.5",
            "3/50",
            "3.5e",
            "-3.50",
            "123456.50",
            "3.5\u{b2}",
        ] {
            assert_eq!(read(cell, two), None, "{cell}");
        }
        for cell in ["", "-", "+5", "1.2", "820 ", "123456789"] {
            assert_eq!(read(cell, Shape::new(0, b'.')), None, "{cell}");
        }
        assert_eq!(two.digits(b"3.50", 4), None);
        assert_eq!(read(".50", two), Some(0.5));
    }

    proptest! {
        #[test]
        fn a_short_number_is_the_one_that_the_standard_library_reads(
            text in "[0-9]{0,7}[.]?[0-9]{0,6}",
            behind in "\\PC{8}",
            decimals in 0_usize..7,
        ) {
            let line = format!("{text}{behind}");
            for shape in [Shape::of(text.as_bytes(), b'.'), Shape::new(decimals, b'.')] {
                if let Some(value) = number(shape, line.as_bytes(), text.len()) {
                    let wanted = text.parse::<f64>().map(f64::to_bits);
                    prop_assert_eq!(Ok(value.to_bits()), wanted);
                } else {
                    let plain = (1..=8).contains(&text.len()) && text.as_bytes()[0] != b'.' && !text.ends_with('.');
                    prop_assert!(!plain || shape != Shape::of(text.as_bytes(), b'.'), "{text}");
                }
            }
        }

        #[test]
        fn what_is_read_is_what_the_slow_way_reads(
            bytes in proptest::collection::vec(any::<u8>(), 8..12),
            length in 0_usize..12,
            decimals in 0_usize..7,
            mark in "[.,]",
        ) {
            let mark = mark.as_bytes()[0];
            if let Some(value) = number(Shape::new(decimals, mark), &bytes, length) {
                let slow = super::super::number::plain(&bytes[..length], mark);
                prop_assert_eq!(slow, Some((value, length)));
            }
        }
    }
}
