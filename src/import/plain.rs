//! Plain cells, taken where they stand: without a copy, and without a look for quotes in them.
//!
//! What is not plain is no mistake yet: the careful way through the line decides.

use super::dialect::Decimal;
use super::eight::Shape;
use super::number::{self, Cell};

/// A number as it is written: what its digits say, and what they are to be divided by.
///
/// Both are exact, so that their quotient is the nearest number (Clinger 1990; from memory). The
/// division is left to the end of the row, where those of all columns are done side by side.
pub(super) type Written = (f64, f64);

/// The number in the first `length` bytes of a line's rest; NaN where the cell says that there is
/// none. `None` for anything else. The shape is that of the cell above, and becomes that of this.
#[expect(
    clippy::inline_always,
    reason = "measured: a call a cell is a tenth of the time"
)]
#[inline(always)]
pub(super) fn number(
    rest: &[u8],
    length: usize,
    decimal: Decimal,
    shape: &mut Shape,
) -> Option<Written> {
    let digits = if let [b'-', behind @ ..] = rest {
        shape
            .digits(behind, length.wrapping_sub(1))
            .map(|size| -size)
    } else {
        shape.digits(rest, length)
    };
    match digits {
        Some(digits) => Some((digits, shape.tens())),
        None => Some((otherwise(rest.get(..length)?, decimal, shape)?, 1.0)),
    }
}

/// As [`number`], for what has another shape, or is longer than eight bytes.
#[inline(never)]
fn otherwise(cell: &[u8], decimal: Decimal, shape: &mut Shape) -> Option<f64> {
    *shape = Shape::of(cell, decimal.byte());
    match number::read(bare(cell)?, decimal) {
        Cell::Number(value) => Some(value),
        Cell::Missing => Some(f64::NAN),
        Cell::Other => None,
    }
}

/// A cell without the quotes around it; `None` where there are quotes in it, or it goes on behind
/// the separator that stands in its quotes.
#[inline]
pub(super) fn bare(cell: &[u8]) -> Option<&[u8]> {
    match cell {
        [b'"', inside @ .., b'"'] if !inside.contains(&b'"') => Some(inside),
        [b'"', ..] => None,
        _ => Some(cell),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quotes_are_taken_off_only_where_they_are_plain() {
        assert_eq!(bare(b"\"3.5\""), Some(&b"3.5"[..]));
        assert_eq!(bare(b"3.5"), Some(&b"3.5"[..]));
        assert_eq!(bare(b""), Some(&b""[..]));
        for cell in ["\"", "\"3", "\"a\"\"b\"", "\"a\" "] {
            assert_eq!(bare(cell.as_bytes()), None, "{cell}");
        }
        // Outside of quotes a quote is a letter, as in a value of inches.
        assert_eq!(bare(b"3.5\""), Some(&b"3.5\""[..]));
    }

    #[test]
    fn numbers_with_blanks_quotes_or_many_digits_are_plain_too() {
        let read = |cell: &str| {
            let mut shape = Shape::new(0, b'.');
            let read = number(cell.as_bytes(), cell.len(), Decimal::Point, &mut shape);
            read.map(|(digits, tens)| digits / tens)
        };
        assert_eq!(read(" 3.5 "), Some(3.5));
        assert_eq!(read("\"3.5\""), Some(3.5));
        assert_eq!(read("1234567.125"), Some(1_234_567.125));
        assert!(read("").is_some_and(f64::is_nan));
        assert!(read("n/a").is_some_and(f64::is_nan));
        assert_eq!(read("closed"), None);
    }
}
