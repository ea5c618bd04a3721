//! Whole numbers from numbers with a fraction.

/// The bits of the fraction of an `f64`, and what its exponent is counted from (IEEE 754, binary64).
const FRACTION: u64 = 52;
const BIAS: u64 = 1023;

/// The whole part: 0 for what lies below 1 or is no number, the highest `usize` for what lies above it.
pub fn whole(number: f64) -> usize {
    if number.is_nan() || number < 1.0 {
        return 0;
    }
    let bits = number.to_bits();
    let fraction = (bits & ((1 << FRACTION) - 1)) | (1 << FRACTION);
    // From 1 on the exponent is never below the bias, and the sign's bit is not set.
    let whole = match (bits >> FRACTION) - BIAS {
        power @ 0..=FRACTION => fraction >> (FRACTION - power),
        power @ 53..=63 => fraction << (power - FRACTION),
        _ => u64::MAX,
    };
    usize::try_from(whole).unwrap_or(usize::MAX)
}

#[cfg(test)]
mod tests {
    use super::whole;

    #[test]
    fn the_whole_part_and_the_ends() {
        for number in [f64::NAN, f64::NEG_INFINITY, -3.5, 0.0, 0.999_999] {
            assert_eq!(whole(number), 0, "{number}");
        }
        for (number, wanted) in [
            (1.0, 1),
            (1.999, 1),
            (2.0, 2),
            (107.5, 107),
            (2_251_799_813_685_249.5, 2_251_799_813_685_249),
            (9_007_199_254_740_994.0, 9_007_199_254_740_994),
        ] {
            assert_eq!(whole(number), wanted, "{number}");
        }
        assert_eq!(whole(f64::INFINITY), usize::MAX);
        assert_eq!(whole(1e300), usize::MAX);
    }
}
