//! Whether the probabilities can be believed: of all cars at which one is 80 % sure, it should be so on 80 in 100.

use crate::units::whole;

/// Bins of ten percent.
const BINS: usize = 10;

/// What was believed at a decision, against what is so.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Decision {
    /// The probability of the cause believed in most.
    pub sure: f64,
    /// It is on the car.
    pub right: bool,
    /// The sum over all causes of the squared difference between its probability and what is so, 1 or 0
    /// (Brier, "Verification of forecasts expressed in terms of probability", Monthly Weather Review 78, 1950;
    /// from memory).
    pub brier: f64,
}

impl Decision {
    /// For what is believed of each cause, and whether it is there.
    pub fn of(believed: &[(String, f64)], there: impl Fn(&str) -> bool) -> Self {
        let mut decision = Self {
            sure: 0.0,
            right: false,
            brier: 0.0,
        };
        for (cause, p) in believed {
            let is = there(cause);
            decision.brier += (p - f64::from(u8::from(is))).powi(2);
            if *p > decision.sure {
                decision.sure = *p;
                decision.right = is;
            }
        }
        decision
    }
}

/// One bin of the table.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Bin {
    /// Cars in it.
    pub cars: u32,
    /// Their weight.
    pub weight: f64,
    /// Weighted mean of how sure one was.
    pub sure: f64,
    /// Weighted share of those where it was so.
    pub right: f64,
}

/// A calibration table with the Brier score, each car weighted by how often its like comes in.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Calibration {
    /// From 0 to 100 %, ten percent each.
    pub bins: [Bin; BINS],
    /// The weighted mean of [`Decision::brier`]; 0 is perfect.
    pub brier: f64,
    weight: f64,
}

impl Calibration {
    /// Adds a car.
    pub fn add(&mut self, decision: &Decision, weight: f64) {
        let place = whole(decision.sure * BINS as f64);
        let bin = &mut self.bins[place.min(BINS - 1)];
        bin.cars += 1;
        bin.weight += weight;
        bin.sure += weight * decision.sure;
        bin.right += weight * f64::from(u8::from(decision.right));
        self.brier += weight * decision.brier;
        self.weight += weight;
    }

    /// From sums to means.
    #[must_use]
    pub fn mean(mut self) -> Self {
        for bin in self.bins.iter_mut().filter(|bin| bin.weight > 0.0) {
            bin.sure /= bin.weight;
            bin.right /= bin.weight;
        }
        if self.weight > 0.0 {
            self.brier /= self.weight;
        }
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn believed(p: f64) -> Vec<(String, f64)> {
        vec![("hose".to_owned(), p), ("cap".to_owned(), 1.0 - p)]
    }

    #[test]
    fn the_score_is_what_one_reckons_by_hand() {
        let right = Decision::of(&believed(0.8), |cause| cause == "hose");
        assert!(right.right && (right.brier - 0.08).abs() < 1e-12);
        let wrong = Decision::of(&believed(0.8), |cause| cause == "cap");
        assert!(!wrong.right && (wrong.brier - 1.28).abs() < 1e-12);
        let mut table = Calibration::default();
        // Three cars of one kind against one that comes three times as often.
        for _ in 0..3 {
            table.add(&right, 1.0);
        }
        table.add(&wrong, 3.0);
        let table = table.mean();
        assert_eq!(table.bins[8].cars, 4);
        assert!((table.bins[8].right - 0.5).abs() < 1e-12);
        assert!((table.brier - 0.68).abs() < 1e-12);
    }
}
