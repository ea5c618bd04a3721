//! What is believed about the sets of causes, and how a reading changes it.
//!
//! Kept in logarithms: a long job's product of likelihoods can fall below the smallest number
//! that a machine can hold.

use super::case::Case;
use super::sets::Set;

/// A belief over the sets of a case.
#[derive(Clone, Debug, PartialEq)]
pub struct Belief {
    /// The logarithm of each set's weight; not normalised.
    log: Vec<f64>,
}

/// Evidence that no set of causes can have made.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "`{0}` cannot come about with any of the causes listed: check the reading, or the flow's list of causes"
)]
pub struct Contradiction(pub String);

impl Belief {
    /// The belief before any reading.
    pub fn prior(case: &Case) -> Self {
        Self {
            log: case.log_prior(),
        }
    }

    /// The belief after a reading whose probability under each set is given. What was read at the
    /// limit of two outcomes comes as the weighted sum of their probabilities.
    ///
    /// # Errors
    /// [`Contradiction`], naming the reading, where no set gives it a probability above zero.
    pub fn after(&self, reading: &str, likelihood: &[f64]) -> Result<Self, Contradiction> {
        let log: Vec<f64> = self
            .log
            .iter()
            .zip(likelihood)
            .map(|(log, p)| log + p.ln())
            .collect();
        if log.iter().all(|l| *l == f64::NEG_INFINITY || l.is_nan()) {
            return Err(Contradiction(reading.to_owned()));
        }
        Ok(Self { log })
    }

    /// The probability of each set.
    pub fn probabilities(&self) -> Vec<f64> {
        let top = self.log.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let weights: Vec<f64> = self.log.iter().map(|log| (log - top).exp()).collect();
        let total: f64 = weights.iter().sum();
        weights.into_iter().map(|weight| weight / total).collect()
    }

    /// The probability of each cause to be present, alone or with others.
    pub fn marginals(&self, case: &Case) -> Vec<f64> {
        marginals(case, &self.probabilities())
    }

    /// The belief after a cause was repaired and the retest still fails: another cause, a second
    /// cause and a repair that did not take, all by one formula.
    ///
    /// `new(S) = old(S) + s old(S + i)` for sets without the cause `i`, `new(S) = (1 - s) old(S)`
    /// for sets with it; the empty set is out, since something is still wrong.
    #[must_use]
    pub fn after_failed_repair(&self, case: &Case, cause: usize) -> Self {
        Self::of(&after_failed_repair(case, &self.probabilities(), cause))
    }

    /// The belief after a cause was repaired and before the retest says whether that was all. The
    /// case must have the empty set ([`Case::with_cured`]), or what is cured is lost.
    #[must_use]
    pub fn after_repair(&self, case: &Case, cause: usize) -> Self {
        Self::of(&after_repair(case, &self.probabilities(), cause))
    }

    /// The belief with these masses.
    pub fn of(masses: &[f64]) -> Self {
        Self {
            log: masses.iter().map(|mass| mass.ln()).collect(),
        }
    }

    /// The logarithm of the weights' sum: after readings, that of their joint probability.
    pub fn log_total(&self) -> f64 {
        let top = self.log.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        if top == f64::NEG_INFINITY {
            return top;
        }
        top + self
            .log
            .iter()
            .map(|log| (log - top).exp())
            .sum::<f64>()
            .ln()
    }
}

/// The marginal of each cause, for masses that need not add up to one.
pub fn marginals(case: &Case, masses: &[f64]) -> Vec<f64> {
    let mut marginals = vec![0.0; case.suspects.len()];
    for (set, mass) in case.sets.iter().zip(masses) {
        for cause in set.members() {
            marginals[cause] += mass;
        }
    }
    marginals
}

/// [`Belief::after_failed_repair`] on masses, which keep their scale: what is lost is the
/// probability that the repair was the whole cure.
pub fn after_failed_repair(case: &Case, masses: &[f64], cause: usize) -> Vec<f64> {
    let mut after = after_repair(case, masses, cause);
    if let Some(cured) = case.place(Set::EMPTY) {
        after[cured] = 0.0;
    }
    after
}

/// Masses after a repair that no retest has followed yet. What is cured goes to the empty set
/// where the case has one ([`Case::with_cured`]), and is lost otherwise.
pub fn after_repair(case: &Case, masses: &[f64], cause: usize) -> Vec<f64> {
    let success = case.suspects[cause].success;
    let mut after = masses.to_vec();
    for (n, set) in case.sets.iter().enumerate() {
        if !set.has(cause) {
            continue;
        }
        after[n] -= success * masses[n];
        if let Some(to) = case.place(set.without(cause)) {
            after[to] += success * masses[n];
        }
    }
    after
}
