//! Numbers and missing values as cells hold them.
//!
//! Works on bytes, since most of a file's time goes here. A number is read exactly: the result is
//! the `f64` nearest to what is written, as the standard library's parser gives it.

use super::dialect::Decimal;

/// Powers of ten that are exact as `f64`.
const TENS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16,
    1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
];
/// Whole numbers up to this are exact as `f64` (2^53).
const EXACT: u64 = 1 << 53;
/// Digits that surely fit a `u64`.
const MOST_DIGITS: usize = 18;
/// The longest number that is looked at; longer ones are no numbers of a gauge.
const LONGEST: usize = 64;

/// A number at the front of the bytes and how many bytes it takes, if it is a plain one: a sign,
/// up to 18 digits, a decimal mark. Anything else is for [`read`] to decide.
#[inline]
pub(super) fn plain(bytes: &[u8], mark: u8) -> Option<(f64, usize)> {
    let mut at = 0;
    let negative = match bytes.first()? {
        b'-' => {
            at = 1;
            true
        }
        b'+' => {
            at = 1;
            false
        }
        _ => false,
    };
    let mut whole = 0_u64;
    let begin = at;
    while let Some(digit) = digit_at(bytes, at) {
        whole = whole.wrapping_mul(10).wrapping_add(digit);
        at += 1;
    }
    let mut digits = at - begin;
    let mut decimals = 0;
    if bytes.get(at) == Some(&mark) {
        at += 1;
        let after = at;
        while let Some(digit) = digit_at(bytes, at) {
            whole = whole.wrapping_mul(10).wrapping_add(digit);
            at += 1;
        }
        decimals = at - after;
        digits += decimals;
    }
    if digits == 0 || digits > MOST_DIGITS || whole > EXACT {
        return None;
    }
    // Both are exact, so the quotient is the nearest number (Clinger 1990; from memory).
    let size = whole as f64 / TENS.get(decimals)?;
    Some((if negative { -size } else { size }, at))
}

#[inline]
fn digit_at(bytes: &[u8], at: usize) -> Option<u64> {
    let digit = bytes.get(at)?.wrapping_sub(b'0');
    (digit < 10).then_some(u64::from(digit))
}

/// What a cell says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Cell {
    /// Nothing, or a word for nothing.
    Missing,
    /// A number.
    Number(f64),
    /// Something else.
    Other,
}

/// Reads a whole cell as a number.
pub(super) fn read(cell: &[u8], decimal: Decimal) -> Cell {
    let cell = cell.trim_ascii();
    if is_missing(cell) {
        return Cell::Missing;
    }
    let mark = decimal.byte();
    if let Some((value, taken)) = plain(cell, mark)
        && taken == cell.len()
    {
        return Cell::Number(value);
    }
    written_out(cell, mark).map_or(Cell::Other, Cell::Number)
}

/// Whether a cell is a number with a sign between its thousands: three digits after each.
pub(super) fn has_thousands(cell: &[u8], decimal: Decimal) -> bool {
    let Ok(text) = std::str::from_utf8(cell) else {
        return false;
    };
    let text = text.trim().trim_start_matches(['+', '-']);
    let mark = char::from(decimal.byte());
    let (whole, decimals) = text.split_once(mark).unwrap_or((text, "0"));
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    let signs = [',', '.', '\'', ' ', '\u{a0}', '\u{202f}'];
    signs.into_iter().filter(|sign| *sign != mark).any(|sign| {
        let mut groups = whole.split(sign);
        let first = groups.next().unwrap_or_default();
        let mut others = groups.peekable();
        let grouped =
            others.peek().is_some() && others.all(|group| group.len() == 3 && digits(group));
        grouped && digits(first) && first.len() <= 3 && digits(decimals)
    })
}

/// Words that stand where a value is missing.
pub(super) fn is_missing(cell: &[u8]) -> bool {
    const WORDS: [&[u8]; 7] = [b"n/a", b"na", b"nan", b"null", b"none", b"#n/a", b"?"];
    cell.iter().all(|byte| *byte == b'-')
        || WORDS.iter().any(|word| cell.eq_ignore_ascii_case(word))
}

/// A number with an exponent or many digits.
fn written_out(cell: &[u8], mark: u8) -> Option<f64> {
    if cell.len() > LONGEST {
        return None;
    }
    let fits = |byte: &u8| byte.is_ascii_digit() || b"+-eE".contains(byte) || *byte == mark;
    // The parser of the standard library also takes words such as `infinity`; these do not.
    if !cell.iter().all(fits) || !cell.iter().any(u8::is_ascii_digit) {
        return None;
    }
    let text: String = cell
        .iter()
        .map(|byte| {
            if *byte == mark {
                '.'
            } else {
                char::from(*byte)
            }
        })
        .collect();
    text.parse().ok().filter(|value: &f64| value.is_finite())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn numbers_are_read_with_either_mark() {
        for (text, decimal, value) in [
            ("820", Decimal::Point, 820.0),
            (" 3.15 ", Decimal::Point, 3.15),
            ("3,15", Decimal::Comma, 3.15),
            ("-0,78", Decimal::Comma, -0.78),
            ("+1.5E-03", Decimal::Point, 0.0015),
            ("1,5e3", Decimal::Comma, 1500.0),
            (".5", Decimal::Point, 0.5),
            ("5.", Decimal::Point, 5.0),
            ("00012", Decimal::Point, 12.0),
        ] {
            assert_eq!(
                read(text.as_bytes(), decimal),
                Cell::Number(value),
                "{text}"
            );
        }
        for text in ["", "  ", "-", "---", "n/a", "NaN", "NULL"] {
            assert_eq!(
                read(text.as_bytes(), Decimal::Point),
                Cell::Missing,
                "{text}"
            );
        }
        for text in [
            "3,15", "1.2.3", "inf", "12 rpm", "1e999", "e", ".", "+", "0x10", "closed",
        ] {
            assert_eq!(read(text.as_bytes(), Decimal::Point), Cell::Other, "{text}");
        }
    }

    #[test]
    fn a_sign_between_thousands_is_known_as_one() {
        let has = |text: &str, decimal| has_thousands(text.as_bytes(), decimal);
        for text in [
            "1,004.72",
            "1,040",
            "-12,345,678",
            "1 004.7",
            "1'004",
            "1\u{a0}004",
        ] {
            assert!(has(text, Decimal::Point), "{text}");
        }
        assert!(has("1.039,62", Decimal::Comma));
        for text in [
            "1040", "3,15", "1,0404", "1,,040", ",040", "1,04.5", "1,040.", "1,040,7", "a,040",
        ] {
            assert!(!has(text, Decimal::Point), "{text}");
        }
    }

    proptest! {
        #[test]
        fn a_number_is_the_one_that_the_standard_library_reads(value in any::<f64>(), comma: bool) {
            prop_assume!(value.is_finite());
            let decimal = if comma { Decimal::Comma } else { Decimal::Point };
            for text in [format!("{value}"), format!("{value:e}"), format!("{value:.3}")] {
                let expected: f64 = text.parse().expect("just written");
                let text = if comma { text.replace('.', ",") } else { text };
                if text.len() <= LONGEST {
                    prop_assert_eq!(read(text.as_bytes(), decimal), Cell::Number(expected));
                }
            }
        }

        #[test]
        fn short_decimals_are_exact(whole in -99_999_999_i64..99_999_999, decimals in 0_usize..8) {
            let digits = whole.unsigned_abs().to_string();
            let digits = format!("{digits:0>9}");
            let (head, tail) = digits.split_at(digits.len() - decimals);
            let sign = if whole < 0 { "-" } else { "" };
            let text = format!("{sign}{head}.{tail}");
            let expected: f64 = text.parse().expect("a number");
            prop_assert_eq!(plain(text.as_bytes(), b'.'), Some((expected, text.len())));
        }

        #[test]
        fn no_bytes_make_it_panic(cell in proptest::collection::vec(any::<u8>(), 0..24)) {
            let _ = read(&cell, Decimal::Comma);
        }
    }
}
