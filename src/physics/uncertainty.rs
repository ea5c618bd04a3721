//! How separate errors add up.
//!
//! Each independent source of error is moved to both ends of its 95 % range, one at a time, and
//! the effects on a result are added as a root of the sum of squares. This is the first-order law
//! of propagation of the Guide to the Expression of Uncertainty in Measurement (JCGM 100:2008,
//! section 5.1; from memory), with the two signs kept apart so that a lopsided effect stays
//! lopsided. It leaves out the joint effect of two errors at once, which is of second order.

/// A coverage of 95 % of a normal distribution lies within this many standard deviations.
pub const DEVIATIONS: f64 = 1.96;

/// A value with its 95 % interval, in SI. An end is infinite when nothing bounds it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// The central value.
    pub value: f64,
    /// Lower end of the 95 % interval.
    pub low: f64,
    /// Upper end of the 95 % interval.
    pub high: f64,
}

impl Estimate {
    /// A value without any spread.
    pub const fn exact(value: f64) -> Self {
        Self {
            value,
            low: value,
            high: value,
        }
    }

    /// Half the width of the interval.
    pub fn half_width(self) -> f64 {
        (self.high - self.low) / 2.0
    }

    /// The same with neither end below `floor`, for results that have a least value.
    #[must_use]
    pub fn at_least(self, floor: f64) -> Self {
        Self {
            value: self.value.max(floor),
            low: self.low.max(floor),
            high: self.high.max(floor),
        }
    }
}

/// Root-sum-square of the effects of independent sources, each evaluated at +1.96 and -1.96
/// standard deviations: `shifted` holds the result at the one and at the other.
///
/// A shifted result that could not be worked is given as NaN: then nothing bounds the estimate.
///
/// ```
/// use ruleout::physics::uncertainty::combine;
/// let estimate = combine(10.0, [(13.0, 7.0), (14.0, 6.0)]);
/// assert_eq!((estimate.low, estimate.high), (5.0, 15.0));
/// ```
pub fn combine(centre: f64, shifted: impl IntoIterator<Item = (f64, f64)>) -> Estimate {
    let (mut up, mut down) = (0.0_f64, 0.0_f64);
    for (plus, minus) in shifted {
        if plus.is_nan() || minus.is_nan() {
            (up, down) = (f64::INFINITY, f64::INFINITY);
            continue;
        }
        up = up.hypot((plus - centre).max(minus - centre).max(0.0));
        down = down.hypot((centre - plus).max(centre - minus).max(0.0));
    }
    Estimate {
        value: centre,
        low: centre - down,
        high: centre + up,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn without_sources_there_is_no_spread() {
        assert_eq!(combine(3.0, []), Estimate::exact(3.0));
    }

    #[test]
    fn a_lopsided_effect_stays_lopsided() {
        // Both signs of the error raise the result: the lower end stays put.
        let estimate = combine(1.0, [(2.0, 1.5)]);
        assert_eq!((estimate.low, estimate.high), (1.0, 2.0));
    }

    #[test]
    fn what_cannot_be_worked_bounds_nothing() {
        let estimate = combine(1.0, [(1.1, 0.9), (f64::NAN, 1.0)]);
        assert_eq!(
            (estimate.low, estimate.high),
            (f64::NEG_INFINITY, f64::INFINITY)
        );
    }

    #[test]
    fn one_open_end_leaves_the_other_bounded() {
        let estimate = combine(1.0, [(f64::INFINITY, 0.5)]);
        assert_eq!((estimate.low, estimate.high), (0.5, f64::INFINITY));
    }
}
