//! The number at the head of a written quantity: "14", "-0.5", "1e-3", "1/16", "1 1/2".
//!
//! Fractions are here because drill sizes and test holes are still sold in them.

use super::UnitError;

/// Splits a written quantity into its number and the rest, which is the unit's text.
///
/// # Errors
/// [`UnitError::Empty`], [`UnitError::NotANumber`], [`UnitError::OffScale`], [`UnitError::DecimalComma`] or
/// [`UnitError::NotFinite`].
pub(super) fn leading_number(text: &str) -> Result<(f64, &str), UnitError> {
    let text = text.trim();
    if text.is_empty() {
        return Err(UnitError::Empty);
    }
    let (negative, body) = sign(text);
    let not_a_number = || {
        let shown = text.split_whitespace().next().unwrap_or_default();
        let off_scale = ["OL", "O.L", "O.L."]
            .iter()
            .any(|known| shown.eq_ignore_ascii_case(known));
        let text = text.to_owned();
        if off_scale {
            UnitError::OffScale { text }
        } else {
            UnitError::NotANumber { text }
        }
    };
    let end = decimal_end(body).ok_or_else(not_a_number)?;
    let (first, rest) = body.split_at(end);
    if rest.starts_with(',') {
        return Err(UnitError::DecimalComma {
            text: text.to_owned(),
        });
    }
    let first_value: f64 = first.parse().map_err(|_| not_a_number())?;
    let (magnitude, rest) = with_fraction(first, first_value, rest);
    if !magnitude.is_finite() {
        return Err(UnitError::NotFinite {
            text: text.to_owned(),
        });
    }
    let value = if negative { -magnitude } else { magnitude };
    Ok((value, rest.trim_start()))
}

/// Takes a sign off the front; the typographic minus counts, since text is pasted from documents.
fn sign(text: &str) -> (bool, &str) {
    for minus in ['-', '\u{2212}'] {
        if let Some(rest) = text.strip_prefix(minus) {
            return (true, rest.trim_start());
        }
    }
    (false, text.strip_prefix('+').map_or(text, str::trim_start))
}

/// Where a plain decimal number, with its exponent if it has one, ends.
fn decimal_end(text: &str) -> Option<usize> {
    let bytes = text.as_bytes();
    let whole = digits(bytes, 0);
    let mut end = whole;
    let mut seen = whole;
    if bytes.get(end) == Some(&b'.') {
        let after = digits(bytes, end + 1);
        seen += after - (end + 1);
        end = after;
    }
    if seen == 0 {
        return None;
    }
    if matches!(bytes.get(end), Some(b'e' | b'E')) {
        let signed = usize::from(matches!(bytes.get(end + 1), Some(b'+' | b'-')));
        let after = digits(bytes, end + 1 + signed);
        // "3 e" would be a unit's first letter; only digits make it an exponent.
        if after > end + 1 + signed {
            end = after;
        }
    }
    Some(end)
}

/// Index of the first byte at or after `from` that is no digit.
fn digits(bytes: &[u8], from: usize) -> usize {
    from + bytes
        .iter()
        .skip(from)
        .take_while(|b| b.is_ascii_digit())
        .count()
}

/// Reads "/16" after a whole number, or " 1/2" after it.
fn with_fraction<'a>(first: &str, value: f64, rest: &'a str) -> (f64, &'a str) {
    let whole = first.bytes().all(|b| b.is_ascii_digit());
    if !whole {
        return (value, rest);
    }
    if let Some((below, after)) = rest.strip_prefix('/').and_then(whole_number) {
        return (value / below, after);
    }
    if rest.starts_with(char::is_whitespace)
        && let Some((above, after)) = whole_number(rest.trim_start())
        && let Some((below, after)) = after.strip_prefix('/').and_then(whole_number)
    {
        return (value + above / below, after);
    }
    (value, rest)
}

/// A run of digits at the head of the text.
fn whole_number(text: &str) -> Option<(f64, &str)> {
    let end = digits(text.as_bytes(), 0);
    let (head, rest) = text.split_at(end);
    head.parse().ok().map(|value| (value, rest))
}
