//! Mean and spread of a run of values in bounded memory, with how much each tells of the next.
//!
//! ```text
//! r = sum (x_i - m)(x_(i+1) - m) / sum (x_i - m)^2       n' = n (1 - r) / (1 + r)
//! standard error = s / sqrt(n')
//! ```
//!
//! | symbol | meaning |
//! | --- | --- |
//! | `m`, `s` | mean and standard deviation of the `n` values |
//! | `r` | correlation of neighbours, not below 0 |
//! | `n'` | how many independent values they are worth |
//!
//! Neighbours in a log are alike: a value that is shown ten times a second and refreshed once is
//! one value, not ten. Source: the effective number of a first-order autoregressive series,
//! Bayley and Hammersley 1946 (from memory). Left out: anything slower than neighbours show,
//! though a drift makes `r` approach 1 and so the error large, as it should.
//!
//! Worked example: 0, 0, 1, 1 has `m` 0.5, `s` 0.577, `r` 0.25, `n'` 2.4, a standard error of 0.373.

/// Sums from which mean, spread and neighbours' correlation follow.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Moments {
    count: u64,
    /// Values are summed as distances from this, so that nothing is lost to rounding.
    origin: f64,
    sum: f64,
    squares: f64,
    neighbours: f64,
    first: f64,
    last: f64,
    lowest: f64,
    highest: f64,
}

/// What a run of values comes to, in the unit of the values.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Summary {
    /// How many values.
    pub count: u64,
    /// Their mean.
    pub mean: f64,
    /// Their standard deviation.
    pub deviation: f64,
    /// Standard error of the mean, as neighbours are alike.
    pub standard_error: f64,
    /// Correlation of neighbours, 0 to 1.
    pub correlation: f64,
    /// The lowest.
    pub lowest: f64,
    /// The highest.
    pub highest: f64,
}

impl Moments {
    /// Takes a value; what is no number is passed over.
    pub fn add(&mut self, value: f64) {
        if !value.is_finite() {
            return;
        }
        if self.count == 0 {
            *self = Self {
                count: 1,
                origin: value,
                lowest: value,
                highest: value,
                ..Self::default()
            };
            return;
        }
        let x = value - self.origin;
        self.neighbours += self.last * x;
        self.sum += x;
        self.squares += x * x;
        self.last = x;
        self.count += 1;
        self.lowest = self.lowest.min(value);
        self.highest = self.highest.max(value);
    }

    /// Puts a run behind this one.
    pub fn append(&mut self, other: &Self) {
        if other.count == 0 {
            return;
        }
        if self.count == 0 {
            *self = *other;
            return;
        }
        // The other run's distances are from its own origin, `d` away from this one's:
        // sum (x+d)^2 = sum x^2 + 2 d sum x + n d^2, and likewise for the products of neighbours.
        let d = other.origin - self.origin;
        let n = other.count as f64;
        self.neighbours += self.last * (other.first + d)
            + other.neighbours
            + d * (2.0 * other.sum - other.first - other.last)
            + (n - 1.0) * d * d;
        self.squares += other.squares + 2.0 * d * other.sum + n * d * d;
        self.sum += other.sum + n * d;
        self.last = other.last + d;
        self.count += other.count;
        self.lowest = self.lowest.min(other.lowest);
        self.highest = self.highest.max(other.highest);
    }

    /// How many values there were.
    pub fn count(&self) -> u64 {
        self.count
    }

    /// Their mean, if there were any.
    pub fn mean(&self) -> Option<f64> {
        (self.count > 0).then(|| self.origin + self.sum / self.count as f64)
    }

    /// From the lowest to the highest.
    pub fn range(&self) -> f64 {
        self.highest - self.lowest
    }

    /// What they come to; `None` for fewer than two.
    pub fn summary(&self) -> Option<Summary> {
        if self.count < 2 {
            return None;
        }
        let n = self.count as f64;
        let m = self.sum / n;
        let spread = (self.squares - n * m * m).max(0.0);
        let together =
            self.neighbours - m * (2.0 * self.sum - self.first - self.last) + (n - 1.0) * m * m;
        let correlation = if spread > 0.0 {
            (together / spread).clamp(0.0, 1.0)
        } else {
            0.0
        };
        let deviation = (spread / (n - 1.0)).sqrt();
        let independent = (n * (1.0 - correlation) / (1.0 + correlation)).max(1.0);
        Some(Summary {
            count: self.count,
            mean: self.origin + m,
            deviation,
            standard_error: deviation / independent.sqrt(),
            correlation,
            lowest: self.lowest,
            highest: self.highest,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn of(values: &[f64]) -> Moments {
        let mut moments = Moments::default();
        for value in values {
            moments.add(*value);
        }
        moments
    }

    /// The formulas at the head of the file, written out.
    fn plainly(x: &[f64]) -> (f64, f64, f64) {
        let n = x.len() as f64;
        let m = x.iter().sum::<f64>() / n;
        let spread: f64 = x.iter().map(|x| (x - m).powi(2)).sum();
        let together: f64 = x.windows(2).map(|w| (w[0] - m) * (w[1] - m)).sum();
        let r = (together / spread).clamp(0.0, 1.0);
        let s = (spread / (n - 1.0)).sqrt();
        (m, r, s / (n * (1.0 - r) / (1.0 + r)).max(1.0).sqrt())
    }

    #[test]
    fn the_worked_example_is_right() {
        let summary = of(&[0.0, 0.0, 1.0, 1.0]).summary().expect("four values");
        assert!((summary.mean - 0.5).abs() < 1e-15);
        assert!((summary.deviation - 0.577_35).abs() < 1e-5);
        assert!((summary.correlation - 0.25).abs() < 1e-12);
        assert!(
            (summary.standard_error - 0.372_68).abs() < 1e-5,
            "{summary:?}"
        );
    }

    #[test]
    fn a_value_shown_ten_times_over_is_worth_little_more_than_once() {
        let fresh: Vec<f64> = (0..60).map(|n| f64::from((n * 7919) % 101)).collect();
        let held: Vec<f64> = fresh.iter().flat_map(|x| [*x; 10]).collect();
        let error = |values: &[f64]| of(values).summary().expect("values").standard_error;
        let ratio = error(&held) / error(&fresh);
        assert!((0.8..1.6).contains(&ratio), "{ratio}");
    }

    #[test]
    fn what_is_no_number_counts_for_nothing() {
        let moments = of(&[f64::NAN, 3.0, f64::INFINITY, 5.0]);
        assert_eq!((moments.count(), moments.mean()), (2, Some(4.0)));
        assert_eq!(of(&[1.0]).summary(), None);
        assert_eq!(of(&[]).mean(), None);
    }

    proptest! {
        #[test]
        fn the_sums_give_what_the_formulas_give(
            values in proptest::collection::vec(-50.0_f64..5000.0, 3..80),
            cut in 0_usize..80,
        ) {
            let (mean, correlation, error) = plainly(&values);
            prop_assume!(error > 1e-6);
            let cut = cut.min(values.len());
            let mut parts = of(&values[..cut]);
            parts.append(&of(&values[cut..]));
            for moments in [of(&values), parts] {
                let summary = moments.summary().expect("three values at least");
                prop_assert!((summary.mean - mean).abs() < 1e-8);
                prop_assert!((summary.correlation - correlation).abs() < 1e-6);
                prop_assert!((summary.standard_error / error - 1.0).abs() < 1e-5);
            }
        }
    }
}
