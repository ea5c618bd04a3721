//! What a test shows under each hypothesis.

use super::sets::Set;

/// A handful of indices below [`Bits::MOST`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Bits(u128);

impl Bits {
    /// Indices must lie below this.
    pub const MOST: usize = 128;

    /// These indices; what lies beyond [`Self::MOST`] is left out.
    pub fn of(indices: impl IntoIterator<Item = usize>) -> Self {
        indices.into_iter().fold(Self::default(), Self::with)
    }

    /// The same with one more.
    #[must_use]
    pub fn with(self, index: usize) -> Self {
        if index < Self::MOST {
            Self(self.0 | 1 << index)
        } else {
            self
        }
    }

    /// Whether an index is in it.
    pub fn has(self, index: usize) -> bool {
        index < Self::MOST && self.0 >> index & 1 == 1
    }

    /// Those of either.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// Those that are not in the other.
    #[must_use]
    pub fn less(self, other: Self) -> Self {
        Self(self.0 & !other.0)
    }

    /// Whether there is none.
    pub fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// Whether all of them are in the other.
    pub fn within(self, other: Self) -> bool {
        self.less(other).is_empty()
    }

    /// The indices, in ascending order.
    pub fn iter(self) -> impl Iterator<Item = usize> {
        let mut bits = self.0;
        std::iter::from_fn(move || {
            (bits != 0).then(|| {
                let index = bits.trailing_zeros() as usize;
                bits &= bits - 1;
                index
            })
        })
    }
}

/// A test: its minutes and, for each outcome, its probability under each set of causes.
#[derive(Clone, Debug, PartialEq)]
pub struct Test {
    /// Its id.
    pub id: String,
    /// What the test itself costs, in minutes.
    pub minutes: f64,
    /// The set-ups that it needs, as indices into the plan's set-ups.
    pub needs: Bits,
    /// Tests that must be done before it.
    pub after: Bits,
    /// Names of the outcomes.
    pub outcomes: Vec<String>,
    /// `chance[outcome][set]`, each column adding up to 1.
    pub chance: Vec<Vec<f64>>,
}

/// Noisy-OR over a yes/no outcome (Pearl 1988, from memory): it shows unless the background and
/// every present cause fail to make it show.
///
/// `1 - (1 - background) * product over members of (1 - sensitivity)`; all in 0 to 1.
pub fn noisy_or(sets: &[Set], background: f64, sensitivity: &[f64]) -> Vec<f64> {
    sets.iter()
        .map(|set| {
            1.0 - set.members().fold(1.0 - background, |quiet, cause| {
                quiet * (1.0 - sensitivity[cause])
            })
        })
        .collect()
}

/// Noisy-MAX over outcomes ordered from healthy to worst (Diez 1993, from memory): each present
/// cause and the background push to some outcome, and the worst of them is seen.
///
/// Each row of `effects` (one a cause) and `background` is a distribution over the outcomes.
/// Returns `chance[outcome][set]`: the difference of the products of cumulative distributions.
pub fn noisy_max(sets: &[Set], background: &[f64], effects: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let cumulative = |row: &[f64]| -> Vec<f64> {
        row.iter()
            .scan(0.0, |sum, p| {
                *sum += p;
                Some(*sum)
            })
            .collect()
    };
    let leak = cumulative(background);
    let pushes: Vec<Vec<f64>> = effects.iter().map(|row| cumulative(row)).collect();
    let at_most = |set: Set, outcome: usize| -> f64 {
        set.members()
            .fold(leak[outcome], |all, cause| all * pushes[cause][outcome])
    };
    (0..background.len())
        .map(|outcome| {
            sets.iter()
                .map(|set| {
                    let below = if outcome == 0 {
                        0.0
                    } else {
                        at_most(*set, outcome - 1)
                    };
                    (at_most(*set, outcome) - below).max(0.0)
                })
                .collect()
        })
        .collect()
}

/// A yes/no test by noisy-OR: outcome 0 shows nothing, outcome 1 shows.
pub fn yes_no(id: &str, minutes: f64, sets: &[Set], background: f64, sensitivity: &[f64]) -> Test {
    let shows = noisy_or(sets, background, sensitivity);
    let clear = shows.iter().map(|p| 1.0 - p).collect();
    Test {
        id: id.to_owned(),
        minutes,
        needs: Bits::default(),
        after: Bits::default(),
        outcomes: vec!["clear".to_owned(), "shows".to_owned()],
        chance: vec![clear, shows],
    }
}

#[cfg(test)]
mod tests {
    use super::super::sets::hypotheses;
    use super::*;

    #[test]
    fn noisy_max_over_two_outcomes_is_noisy_or() {
        let sets = hypotheses(3, 2);
        let or = noisy_or(&sets, 0.05, &[0.9, 0.0, 0.3]);
        let rows = [[0.1, 0.9], [1.0, 0.0], [0.7, 0.3]].map(|row| row.to_vec());
        let max = noisy_max(&sets, &[0.95, 0.05], &rows);
        for (set, p) in or.iter().enumerate() {
            assert!((max[1][set] - p).abs() < 1e-15);
            assert!((max[0][set] + max[1][set] - 1.0).abs() < 1e-15);
        }
    }

    #[test]
    fn outcomes_add_up_to_one_under_every_set() {
        let sets = hypotheses(4, 3);
        let rows: Vec<Vec<f64>> = (0..4)
            .map(|i| {
                vec![
                    0.1 * f64::from(i),
                    0.5 - 0.05 * f64::from(i),
                    0.5 - 0.05 * f64::from(i),
                ]
            })
            .collect();
        let chance = noisy_max(&sets, &[0.8, 0.15, 0.05], &rows);
        for set in 0..sets.len() {
            let total: f64 = chance.iter().map(|row| row[set]).sum();
            assert!((total - 1.0).abs() < 1e-12);
        }
    }
}
