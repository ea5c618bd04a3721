//! Where likelihoods come from: what the flow says in words, or simulated cars.
//!
//! Words ([`Words`]) take the readings of a car as independent once its causes are known. Cars
//! ([`super::cars::Cars`]) go through all steps whole, so that readings of one car hang together.
//! Whichever knows a reading is asked ([`Beside`]): the cars first, the words for the rest.

use super::finding::{Finding, Seen};
use super::sets::Set;

/// A source of likelihoods for the readings of a case, by their place in its list of findings.
pub trait Source {
    /// The probability of what was seen under each set of causes, given what was seen before it;
    /// `None` where this source does not know the reading.
    fn likelihood(&self, finding: usize, seen: &Seen, before: &[(usize, Seen)])
    -> Option<Vec<f64>>;

    /// `chance[outcome][set]` for a reading that is still to come, given what was seen; the
    /// outcomes are those of the finding. `None` where this source does not know the reading.
    fn chance(&self, finding: usize, before: &[(usize, Seen)]) -> Option<Vec<Vec<f64>>>;

    /// For each set of causes, which of its members make the complaint by themselves, and how
    /// probably; the probabilities of a set that is known add up to 1. `None` where this source
    /// cannot say.
    fn enough(&self, before: &[(usize, Seen)]) -> Option<Vec<Vec<(Set, f64)>>> {
        let _ = before;
        None
    }
}

/// What flows say in words.
#[derive(Clone, Debug)]
pub struct Words<'f> {
    /// The findings.
    pub findings: Vec<&'f Finding>,
    /// The hypotheses.
    pub sets: &'f [Set],
}

impl Source for Words<'_> {
    fn likelihood(&self, finding: usize, seen: &Seen, _: &[(usize, Seen)]) -> Option<Vec<f64>> {
        Some(self.findings.get(finding)?.likelihood(seen, self.sets))
    }

    fn chance(&self, finding: usize, _: &[(usize, Seen)]) -> Option<Vec<Vec<f64>>> {
        Some(self.findings.get(finding)?.chance(self.sets))
    }
}

/// Two sources side by side: the first that knows a reading is asked.
pub struct Beside<'s>(pub &'s dyn Source, pub &'s dyn Source);

impl Source for Beside<'_> {
    fn likelihood(
        &self,
        finding: usize,
        seen: &Seen,
        before: &[(usize, Seen)],
    ) -> Option<Vec<f64>> {
        let first = self.0.likelihood(finding, seen, before);
        first.or_else(|| self.1.likelihood(finding, seen, before))
    }

    fn chance(&self, finding: usize, before: &[(usize, Seen)]) -> Option<Vec<Vec<f64>>> {
        let first = self.0.chance(finding, before);
        first.or_else(|| self.1.chance(finding, before))
    }

    fn enough(&self, before: &[(usize, Seen)]) -> Option<Vec<Vec<(Set, f64)>>> {
        self.0.enough(before).or_else(|| self.1.enough(before))
    }
}

/// Two sources that are kept together; the first that knows a reading is asked.
pub struct Both(pub Box<dyn Source>, pub Box<dyn Source>);

impl Source for Both {
    fn likelihood(
        &self,
        finding: usize,
        seen: &Seen,
        before: &[(usize, Seen)],
    ) -> Option<Vec<f64>> {
        Beside(self.0.as_ref(), self.1.as_ref()).likelihood(finding, seen, before)
    }

    fn chance(&self, finding: usize, before: &[(usize, Seen)]) -> Option<Vec<Vec<f64>>> {
        Beside(self.0.as_ref(), self.1.as_ref()).chance(finding, before)
    }

    fn enough(&self, before: &[(usize, Seen)]) -> Option<Vec<Vec<(Set, f64)>>> {
        Beside(self.0.as_ref(), self.1.as_ref()).enough(before)
    }
}
