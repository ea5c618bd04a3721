//! Where likelihoods come from: what the flow says in words, or simulated cars.
//!
//! Words ([`Words`]) take the readings of a car as independent once its causes are known, and the side of zero on
//! which each of these shows what it shows either way. Cars
//! ([`super::cars::Cars`]) go through all steps whole, so that readings of one car hang together.
//! Whichever knows a reading is asked ([`Beside`]): the cars first, the words for the rest.

use super::finding::{Finding, Seen, fit};
use super::parts::Parts;
use super::sets::Set;
use super::side;

/// What is known of the car as it stands now: since the last repair.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Before {
    /// What was seen, by the findings' places.
    pub seen: Vec<(usize, Seen)>,
    /// For each set of causes, how probable it was before any of that that something in it is big enough for the
    /// complaint. Empty: the car has the complaint, whatever it has.
    pub complains: Vec<f64>,
    /// The tests before it, each up to the repairs that ended it: the car is still the same one.
    pub earlier: Vec<Earlier>,
    /// Causes that show at the place that was covered; empty where none was, or it says nothing of the car.
    pub covered: Set,
}

/// A test that ended with repairs.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Earlier {
    /// What was seen.
    pub seen: Vec<(usize, Seen)>,
    /// As [`Before::complains`], for this test.
    pub complains: Vec<f64>,
    /// Causes that were repaired, each with the probability of every set before it.
    pub repaired: Vec<(usize, Vec<f64>)>,
    /// As [`Before::covered`], for this test.
    pub covered: Set,
}

/// A finding with its outcomes put together to as many as a decision needs.
#[derive(Clone, Debug)]
pub struct Grouped {
    /// The finding.
    pub finding: usize,
    /// For each of its outcomes the group.
    pub group: Vec<usize>,
    /// How many groups there are.
    pub groups: usize,
}

/// A source of likelihoods for the readings of a case, by their place in its list of findings.
pub trait Source {
    /// The probability of what was seen under each set of causes, given what was known before it;
    /// `None` where this source does not know the reading.
    fn likelihood(&self, finding: usize, seen: &Seen, before: &Before) -> Option<Vec<f64>>;

    /// `chance[outcome][set]` for a reading that is still to come, given what is known, where the
    /// car has the complaint; the outcomes are those of the finding. `None` where this source does
    /// not know the reading.
    fn chance(&self, finding: usize, before: &Before) -> Option<Vec<Vec<f64>>>;

    /// Whether this source knows how a reading hangs together with the others that it knows.
    fn hangs_together(&self, finding: usize) -> bool {
        let _ = finding;
        false
    }

    /// [`Self::chance`] for several readings of the same car at once: `chance[outcome][set]`, where
    /// the groups of the last finding count up first; `quiet`: where nothing of a set is big enough for the
    /// complaint. `None` where it does not know how they hang together.
    fn at_once(&self, findings: &[Grouped], quiet: bool, before: &Before) -> Option<Vec<Vec<f64>>> {
        let _ = (findings, quiet, before);
        None
    }

    /// For each set of causes, which of its members make the complaint by themselves, and how
    /// probably; the probabilities of a set add up to 1, and none is there for a set of which nothing is
    /// known. `None` where this source cannot say.
    fn enough(&self, before: &Before) -> Option<Parts> {
        let _ = before;
        None
    }

    /// On how many simulated cars each set rests, as far as they show what was read. `None` where it
    /// rests on none.
    fn effective(&self, before: &Before) -> Option<Vec<f64>> {
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
    fn likelihood(&self, finding: usize, seen: &Seen, before: &Before) -> Option<Vec<f64>> {
        let asked = self.findings.get(finding)?;
        Some(match seen {
            Seen::Weights(weights) => {
                let chance = side::chance(&self.findings, asked, self.sets, before);
                fit(&chance, weights, self.sets.len())
            }
            Seen::Places(_) => asked.likelihood(seen, self.sets),
        })
    }

    fn chance(&self, finding: usize, before: &Before) -> Option<Vec<Vec<f64>>> {
        let asked = self.findings.get(finding)?;
        Some(side::chance(&self.findings, asked, self.sets, before))
    }
}

/// Two sources side by side: the first that knows a reading is asked.
pub struct Beside<'s>(pub &'s dyn Source, pub &'s dyn Source);

impl Source for Beside<'_> {
    fn likelihood(&self, finding: usize, seen: &Seen, before: &Before) -> Option<Vec<f64>> {
        let first = self.0.likelihood(finding, seen, before);
        first.or_else(|| self.1.likelihood(finding, seen, before))
    }

    fn chance(&self, finding: usize, before: &Before) -> Option<Vec<Vec<f64>>> {
        let first = self.0.chance(finding, before);
        first.or_else(|| self.1.chance(finding, before))
    }

    fn hangs_together(&self, finding: usize) -> bool {
        self.0.hangs_together(finding) || self.1.hangs_together(finding)
    }

    fn at_once(&self, findings: &[Grouped], quiet: bool, before: &Before) -> Option<Vec<Vec<f64>>> {
        let first = self.0.at_once(findings, quiet, before);
        first.or_else(|| self.1.at_once(findings, quiet, before))
    }

    fn enough(&self, before: &Before) -> Option<Parts> {
        self.0.enough(before).or_else(|| self.1.enough(before))
    }

    fn effective(&self, before: &Before) -> Option<Vec<f64>> {
        let first = self.0.effective(before);
        first.or_else(|| self.1.effective(before))
    }
}

/// Two sources that are kept together; the first that knows a reading is asked.
pub struct Both(pub Box<dyn Source>, pub Box<dyn Source>);

impl Both {
    fn beside(&self) -> Beside<'_> {
        Beside(self.0.as_ref(), self.1.as_ref())
    }
}

impl Source for Both {
    fn likelihood(&self, finding: usize, seen: &Seen, before: &Before) -> Option<Vec<f64>> {
        self.beside().likelihood(finding, seen, before)
    }

    fn chance(&self, finding: usize, before: &Before) -> Option<Vec<Vec<f64>>> {
        self.beside().chance(finding, before)
    }

    fn hangs_together(&self, finding: usize) -> bool {
        self.beside().hangs_together(finding)
    }

    fn at_once(&self, findings: &[Grouped], quiet: bool, before: &Before) -> Option<Vec<Vec<f64>>> {
        self.beside().at_once(findings, quiet, before)
    }

    fn enough(&self, before: &Before) -> Option<Parts> {
        self.beside().enough(before)
    }

    fn effective(&self, before: &Before) -> Option<Vec<f64>> {
        self.beside().effective(before)
    }
}
