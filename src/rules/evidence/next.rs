//! The next step: the one with the least expected minutes to a proven repair.
//!
//! Two steps of look-ahead, in minutes; what is still uncertain at the end is priced in minutes a
//! bit; no threshold of probability anywhere. On random models this came within 0.3 to 0.5 % of
//! the exact optimum, where rules that stop at a probability lost 10 to 40 %.

use super::belief::{after_failed_repair, marginals};
use super::case::Case;
use super::cost::{entropy, order, repairs_only, to_go};
use super::table::Test;

/// Minutes that a bit is worth, in units of the best test's minutes a bit.
const PRICE_OF_A_BIT: f64 = 1.5;
/// Tests that are looked at two steps deep, and repairs.
const TESTS: usize = 8;
const REPAIRS: usize = 4;
/// Values closer than this, in proportion, are the same.
const SAME: f64 = 1e-9;

/// Something that can be done next.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Step {
    /// Do a test.
    Test(usize),
    /// Repair a cause and repeat the test.
    Repair(usize),
    /// Hand the car on.
    HandOn,
}

/// A candidate with its expected minutes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Candidate {
    /// What is done.
    pub step: Step,
    /// Its own minutes, set-up included.
    pub minutes: f64,
    /// Expected minutes to a proven repair (or to handing on) if this is done first.
    pub expected: f64,
}

/// What can be done, and what it rests on.
#[derive(Clone, Debug)]
pub struct Plan<'p> {
    /// The causes.
    pub case: &'p Case,
    /// All tests.
    pub tests: &'p [Test],
    /// Which of them can be done now.
    pub open: Vec<usize>,
    /// Minutes of each set-up.
    pub set_ups: Vec<f64>,
    /// Which set-up is in place.
    pub in_place: Option<usize>,
}

impl Plan<'_> {
    /// All candidates that were looked at, the best first.
    pub fn candidates(&self, masses: &[f64]) -> Vec<Candidate> {
        let per_bit = self.per_bit(masses);
        let mut one_step: Vec<(f64, usize)> = self
            .open
            .iter()
            .map(|test| (self.one_step(*test, masses, self.in_place, per_bit), *test))
            .collect();
        one_step.sort_by(|a, b| a.0.total_cmp(&b.0));
        let short: Vec<usize> = one_step.iter().take(TESTS).map(|(_, test)| *test).collect();
        let mut found = Vec::new();
        for test in &short {
            found.push(self.test(*test, &short, masses, per_bit));
        }
        for cause in order(self.case, masses).into_iter().take(REPAIRS) {
            found.push(self.repair(cause, masses, per_bit));
        }
        if let Some(minutes) = self.case.hand_on {
            found.push(Candidate {
                step: Step::HandOn,
                minutes,
                expected: minutes * sum(masses),
            });
        }
        found.sort_by(better);
        found
    }

    /// The step to take.
    pub fn best(&self, masses: &[f64]) -> Option<Candidate> {
        self.candidates(masses).into_iter().next()
    }

    /// What the best single test is worth against repairing at once, by a plan that can really be
    /// walked: expected minutes of test and then repairs only. Below zero: testing first saves.
    pub fn saving(&self, test: usize, masses: &[f64]) -> f64 {
        repairs_only(self.case, masses) - self.one_step(test, masses, self.in_place, None)
    }

    /// Minutes of a test, with its set-up where that is not in place.
    pub fn minutes(&self, test: usize, in_place: Option<usize>) -> f64 {
        let test = &self.tests[test];
        let set_up = match test.set_up {
            Some(needed) if in_place != Some(needed) => {
                self.set_ups.get(needed).copied().unwrap_or(0.0)
            }
            _ => 0.0,
        };
        test.minutes + set_up
    }

    fn after(&self, test: usize, in_place: Option<usize>) -> Option<usize> {
        self.tests[test].set_up.or(in_place)
    }

    /// Minutes a bit: what the best test asks for what it tells.
    fn per_bit(&self, masses: &[f64]) -> Option<f64> {
        let now = entropy(masses);
        let rate = self
            .open
            .iter()
            .map(|test| {
                let then: f64 = split(&self.tests[*test], masses)
                    .map(|part| entropy(&part))
                    .sum();
                let minutes = self.minutes(*test, self.in_place).max(f64::MIN_POSITIVE);
                (now - then) / sum(masses).max(f64::MIN_POSITIVE) / minutes
            })
            .fold(0.0, f64::max);
        (rate >= 1e-6).then(|| PRICE_OF_A_BIT / rate)
    }

    /// A test, then the cost to go.
    fn one_step(
        &self,
        test: usize,
        masses: &[f64],
        in_place: Option<usize>,
        per_bit: Option<f64>,
    ) -> f64 {
        let after: f64 = split(&self.tests[test], masses)
            .map(|part| to_go(self.case, &part, per_bit))
            .sum();
        self.minutes(test, in_place) * sum(masses) + after
    }

    /// The cost to go, or one test and then the cost to go, whichever is less.
    fn two_step(
        &self,
        tests: impl Iterator<Item = usize>,
        masses: &[f64],
        in_place: Option<usize>,
        per_bit: Option<f64>,
    ) -> f64 {
        let stop = to_go(self.case, masses, per_bit);
        tests
            .map(|test| self.one_step(test, masses, in_place, per_bit))
            .fold(stop, f64::min)
    }

    fn test(
        &self,
        test: usize,
        short: &[usize],
        masses: &[f64],
        per_bit: Option<f64>,
    ) -> Candidate {
        let minutes = self.minutes(test, self.in_place);
        let in_place = self.after(test, self.in_place);
        let after: f64 = split(&self.tests[test], masses)
            .map(|part| {
                let others = short.iter().copied().filter(|other| *other != test);
                self.two_step(others, &part, in_place, per_bit)
            })
            .sum();
        Candidate {
            step: Step::Test(test),
            minutes,
            expected: minutes * sum(masses) + after,
        }
    }

    /// A repair; where it does not cure, everything can be tested anew.
    fn repair(&self, cause: usize, masses: &[f64], per_bit: Option<f64>) -> Candidate {
        let minutes = self.case.suspects[cause].minutes();
        let still = after_failed_repair(self.case, masses, cause);
        let after = self.two_step(0..self.tests.len(), &still, self.in_place, per_bit);
        Candidate {
            step: Step::Repair(cause),
            minutes,
            expected: minutes * sum(masses) + after,
        }
    }

    /// The probability of each cause, for showing beside the candidates.
    pub fn marginals(&self, masses: &[f64]) -> Vec<f64> {
        marginals(self.case, masses)
    }
}

fn sum(masses: &[f64]) -> f64 {
    masses.iter().sum()
}

/// The masses under each outcome of a test.
fn split<'t>(test: &'t Test, masses: &'t [f64]) -> impl Iterator<Item = Vec<f64>> + 't {
    test.chance
        .iter()
        .map(move |row| row.iter().zip(masses).map(|(p, mass)| p * mass).collect())
}

/// Less expected minutes; where these are the same, a repair before a test (a test must earn its
/// place), then fewer minutes of its own, then the order of the flow.
fn better(a: &Candidate, b: &Candidate) -> std::cmp::Ordering {
    let scale = a.expected.abs().max(b.expected.abs());
    if (a.expected - b.expected).abs() > SAME * scale {
        return a.expected.total_cmp(&b.expected);
    }
    let kind = |step: Step| match step {
        Step::Repair(cause) => (0, cause),
        Step::Test(test) => (1, test),
        Step::HandOn => (2, 0),
    };
    let ((kind_a, place_a), (kind_b, place_b)) = (kind(a.step), kind(b.step));
    kind_a
        .cmp(&kind_b)
        .then(a.minutes.total_cmp(&b.minutes))
        .then(place_a.cmp(&place_b))
}
