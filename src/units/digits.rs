//! A number rounded to fewer decimal digits than a double holds.
//!
//! A factor between two units costs the last bits of a double, other bits on every way to the same
//! value. Rounded to 14 digits all ways meet, and no gauge of the trade reads a tenth as many.

/// Digits that count in a value in SI units.
pub(super) const DIGITS: i32 = 14;

/// The largest power of ten that a double holds exactly is 10^22.
const EXACT: i32 = 22;

/// Smaller than this, and larger than its inverse, no value of the trade is; they are left as they are.
const SMALLEST: f64 = 1e-30;

/// What is added before cutting off: a little more than a half. A value with one digit more than is
/// kept may end in a 5, and must not be rounded up on one way and down on another; ninths go on in fours.
const HALF_AND_MORE: f64 = 0.53;

/// A number rounded to [`DIGITS`] decimal digits, by powers of ten that are exact wherever the number
/// is larger than 10^-9; below it two ways to one value still meet.
pub(super) fn rounded(value: f64) -> f64 {
    let size = value.abs();
    if !(SMALLEST..=1.0 / SMALLEST).contains(&size) {
        return value;
    }
    #[expect(
        clippy::cast_possible_truncation,
        reason = "between -30 and 30 by the line above"
    )]
    let exponent = size.log10().floor() as i32;
    let mut places = DIGITS - 1 - exponent;
    let mut whole = (scaled(size, places) + HALF_AND_MORE).floor();
    // 9.99... has become 10: the same digits as if it had been 10 from the beginning.
    if whole >= power(DIGITS) {
        whole /= 10.0;
        places -= 1;
    }
    scaled(whole, -places).copysign(value)
}

/// A number times a power of ten, in steps that are exact.
fn scaled(mut value: f64, mut places: i32) -> f64 {
    while places > EXACT {
        value *= power(EXACT);
        places -= EXACT;
    }
    while places < -EXACT {
        value /= power(EXACT);
        places += EXACT;
    }
    if places < 0 {
        value / power(-places)
    } else {
        value * power(places)
    }
}

/// Ten to a power from 0 to [`EXACT`]: every product on the way is exact.
fn power(exponent: i32) -> f64 {
    (0..exponent).fold(1.0, |power, _| power * 10.0)
}

#[cfg(test)]
mod tests {
    use super::rounded;

    #[test]
    #[expect(clippy::float_cmp, reason = "the very same numbers are wanted")]
    fn noise_of_conversion_is_rounded_off_and_what_was_written_is_kept() {
        assert_eq!(rounded(0.3 * 0.0254), 0.007_62);
        assert_eq!(rounded(0.1 + 0.2), 0.3);
        assert_eq!(rounded(-4.999_999_999_999_99e3), -5e3);
        assert_eq!(rounded(999.999_999_999_999_9), 1000.0);
        assert_eq!(rounded(123_456.789_012_34), 123_456.789_012_34);
        assert_eq!(rounded(2.5e-10 / 3.0), rounded(5.0e-10 / 6.0));
        for left in [0.0, -0.0, 1e-40, 1e300, f64::INFINITY, f64::MIN_POSITIVE] {
            assert_eq!(rounded(left), left);
        }
        assert!(rounded(f64::NAN).is_nan());
    }

    #[test]
    #[expect(clippy::float_cmp, reason = "the very same numbers are wanted")]
    fn a_value_that_ends_in_a_five_behind_the_last_digit_has_one_way() {
        // 0.35 inHg is 4.758285 inH2O, and 1185.23602411935 Pa.
        assert_eq!(rounded(1_185.236_024_119_349_8), 1_185.236_024_119_4);
        assert_eq!(rounded(1_185.236_024_119_350_2), 1_185.236_024_119_4);
    }
}
