//! The whole: from flows and what was read to the causes' probabilities and the next step.
//!
//! Two figures for each cause. *Present*: it is there. *Explains*: it is there and big enough for
//! the complaint; repairs and tests are ranked by this one. From words alone the two are the same,
//! unless the flow says or has measured how much of the complaint the place explains (`share`). After a repair there
//! is a third: how probable it is that nothing big enough is left, so that the car is cured.

use std::collections::BTreeMap;

use super::belief::{Contradiction, marginals};
use super::case::BadCase;
use super::finding::Finding;
use super::joined::{Joined, join};
use super::likelihood::{Beside, Source, Words};
use super::next::{Candidate, Plan, Step};
use super::outlook::tests;
use super::parts;
use super::sets::Set;
use super::steps::{Reading, Steps, steps};
use super::table::{Bits, Test};
use super::told::{Round, Told, tell};
use crate::flow::answer::Answer;
use crate::flow::model::Flow;

/// From this probability on a car is taken for cured, and its retest goes on.
pub const CURED: f64 = 0.5;

/// What is asked.
#[derive(Clone, Copy, Debug)]
pub struct Asked<'a, 'f> {
    /// The flows that are walked, in the order in which they were begun.
    pub flows: &'a [&'f Flow],
    /// What was read and repaired, test by test.
    pub rounds: &'a [Round],
    /// How many causes may be present together.
    pub together: usize,
    /// Gear that is not at hand.
    pub not_available: &'a [String],
    /// Odds to use instead of the author's.
    pub odds: &'a BTreeMap<String, f64>,
}

/// Why there is no answer.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NoAnswer {
    /// The flows do not make a case.
    #[error(transparent)]
    Case(#[from] BadCase),
    /// The readings contradict everything.
    #[error(transparent)]
    Contradiction(#[from] Contradiction),
}

/// The answer.
#[derive(Clone, Debug)]
pub struct Inquiry<'f> {
    /// Causes and findings.
    pub joined: Joined<'f>,
    /// What was told, change by change.
    pub told: Told,
    /// Facts and answers of the present test.
    pub known: BTreeMap<String, Answer>,
    /// The steps that read something.
    pub steps: Steps,
    /// The tests, in the order of [`Steps::readings`].
    pub tests: Vec<Test>,
    /// The probability of each set.
    pub sets: Vec<f64>,
    /// The probability of each set to be what explains the complaint.
    pub explaining: Vec<f64>,
    /// The probability of each cause to be present.
    pub present: Vec<f64>,
    /// The probability of each cause to be there and big enough. Never more than [`Self::present`].
    pub explains: Vec<f64>,
    /// On how many simulated cars each set rests, as far as they show what was read; empty: on none.
    pub effective: Vec<f64>,
    /// What can be done next, the best first.
    pub candidates: Vec<Candidate>,
}

/// Reckons by words alone.
///
/// # Errors
/// [`NoAnswer`].
pub fn inquire<'f>(asked: &Asked<'_, 'f>) -> Result<Inquiry<'f>, NoAnswer> {
    inquire_with(asked, |_| None)
}

/// Reckons with simulated cars beside the words: `cars` is given the joint list and makes a source
/// for the readings that it knows.
///
/// # Errors
/// [`NoAnswer`].
pub fn inquire_with<'f>(
    asked: &Asked<'_, 'f>,
    cars: impl FnOnce(&Joined) -> Option<Box<dyn Source>>,
) -> Result<Inquiry<'f>, NoAnswer> {
    let joined = join(asked.flows, asked.odds, asked.together)?;
    let inquiry = inquire_joined(joined, asked.rounds, asked.not_available, cars)?;
    Ok(inquiry)
}

/// The same where the joint list is at hand.
///
/// # Errors
/// [`Contradiction`].
pub fn inquire_joined<'f>(
    mut joined: Joined<'f>,
    rounds: &[Round],
    not_available: &[String],
    cars: impl FnOnce(&Joined) -> Option<Box<dyn Source>>,
) -> Result<Inquiry<'f>, Contradiction> {
    if rounds.iter().flat_map(|r| &r.repaired).any(|r| !r.in_vain) {
        joined.case = joined.case.with_cured();
    }
    let cars = cars(&joined);
    let findings: Vec<&Finding> = joined.findings.iter().map(|named| &named.finding).collect();
    let words = Words {
        findings,
        sets: &joined.case.sets,
    };
    let both;
    let source: &dyn Source = match &cars {
        Some(cars) => {
            both = Beside(cars.as_ref(), &words);
            &both
        }
        None => &words,
    };
    let told = tell(&joined, source, rounds)?;
    let nothing = Round::default();
    let round = rounds.last().unwrap_or(&nothing);
    let steps = steps(&joined, &told.pictures, round, not_available);
    let sets = told.belief().probabilities();
    let tests = tests(&joined, &steps, &told, &sets, source);
    let case = &joined.case;
    let explaining = parts::explaining(case, &sets, &told.parts);
    let mut inquiry = Inquiry {
        present: marginals(case, &sets),
        explains: marginals(case, &explaining),
        effective: source.effective(&told.now).unwrap_or_default(),
        sets,
        explaining,
        candidates: Vec::new(),
        known: round.answers.clone(),
        joined,
        told,
        steps,
        tests,
    };
    inquiry.candidates = inquiry.plan().candidates(&inquiry.explaining);
    if inquiry.told.now.seen.is_empty() {
        drop_blind_repairs(&mut inquiry.candidates);
    }
    Ok(inquiry)
}

/// Before anything is found in the running test nothing is repaired, however often it was that cause on other cars:
/// odds alone show no fault on this one. Where there is nothing to test, a repair is what is left.
fn drop_blind_repairs(candidates: &mut Vec<Candidate>) {
    let tests = |found: &Candidate| matches!(found.step, Step::Test(_) | Step::SetUp(_));
    if candidates.iter().any(tests) {
        candidates.retain(|found| !matches!(found.step, Step::Repair(_)));
    }
}

impl Inquiry<'_> {
    /// The plan that the candidates come from.
    pub fn plan(&self) -> Plan<'_> {
        let at = |wanted: fn(&Reading) -> bool| {
            let readings = self.steps.readings.iter().enumerate();
            readings.filter(move |(_, r)| wanted(r)).map(|(n, _)| n)
        };
        Plan {
            case: &self.joined.case,
            tests: &self.tests,
            open: at(|r| !r.done && r.lacks.is_empty()).collect(),
            done: Bits::of(at(|r| r.done)),
            set_ups: &self.steps.set_ups,
            in_place: self.steps.in_place,
            again: true,
        }
    }

    /// The probability that nothing is left that is big enough for the complaint; 0 before any repair.
    pub fn cured(&self) -> f64 {
        let place = self.joined.case.place(Set::EMPTY);
        place.map_or(0.0, |place| self.explaining[place])
    }

    /// Whether the test from its start comes before anything else after a repair: nothing that was read since says
    /// that the car is more likely not cured than cured.
    pub fn retest_first(&self) -> bool {
        self.told.now.seen.is_empty() || self.cured() >= CURED
    }

    /// Expected minutes to a proven repair where the whole test is done first, so many minutes: where it does not prove
    /// the car cured, the best that can be done comes on top.
    pub fn with_retest(&self, minutes: f64) -> f64 {
        let mut masses = self.explaining.clone();
        if let Some(cured) = self.joined.case.place(Set::EMPTY) {
            masses[cured] = 0.0;
        }
        let left: f64 = masses.iter().sum();
        let then = if left > 0.0 {
            self.plan().best(&masses)
        } else {
            None
        };
        minutes + then.map_or(0.0, |best| best.expected)
    }

    /// Causes by how probable it is that they explain the complaint, the most first.
    pub fn ranking(&self) -> Vec<usize> {
        let mut order: Vec<usize> = (0..self.joined.causes.len()).collect();
        order.sort_by(|a, b| {
            let (a, b) = (*a, *b);
            let explains = self.explains[b].total_cmp(&self.explains[a]);
            explains
                .then(self.present[b].total_cmp(&self.present[a]))
                .then(a.cmp(&b))
        });
        order
    }
}
