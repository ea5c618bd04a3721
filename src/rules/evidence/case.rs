//! A case: the causes that are in question, with what each costs to repair.

use std::collections::HashMap;

use super::sets::{MOST_CAUSES, Set, hypotheses};

/// A cause as far as the reckoning is concerned.
#[derive(Clone, Debug, PartialEq)]
pub struct Suspect {
    /// Its id.
    pub id: String,
    /// Its probability given the complaint, before any test; above 0 and below 1.
    pub odds: f64,
    /// What its repair costs, in minutes.
    pub repair: f64,
    /// What it costs to verify the repair, in minutes.
    pub verification: f64,
    /// The probability that the repair takes.
    pub success: f64,
    /// Whether there is a repair at all; for the cause that is not listed there is none.
    pub repairable: bool,
}

impl Suspect {
    /// Minutes of repair and verification.
    pub fn minutes(&self) -> f64 {
        self.repair + self.verification
    }
}

/// The causes in question.
#[derive(Clone, Debug, PartialEq)]
pub struct Case {
    /// The causes.
    pub suspects: Vec<Suspect>,
    /// What it costs to hand the car on, in minutes; `None`: it cannot be handed on.
    pub hand_on: Option<f64>,
    /// What it costs on top, in minutes, where the cause was one of those listed after all: whoever
    /// gets the car must look for it again.
    pub come_back: f64,
    /// What whoever gets the car has to spend on it, in minutes, for each of the sets: to find what was listed after
    /// all, and to repair it. Empty: nothing.
    pub left_over: Vec<f64>,
    /// The hypotheses: sets of causes present together.
    pub sets: Vec<Set>,
    /// Where each set stands in the list.
    places: HashMap<Set, usize>,
}

/// Why a case cannot be reckoned with.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum BadCase {
    /// No causes.
    #[error("there is no cause to reckon with; list at least one")]
    NoCauses,
    /// Too many causes.
    #[error(
        "{0} causes are more than can be reckoned with ({MOST_CAUSES}); leave out the unlikely ones"
    )]
    TooMany(usize),
    /// Odds that are none.
    #[error("the odds of {0} must lie between 0 and 1")]
    Odds(String),
    /// Minutes that are none.
    #[error("the minutes of {0} must be a number, zero or more")]
    Minutes(String),
    /// A probability of taking that is none.
    #[error("the probability that the repair of {0} takes must lie above 0 and not above 1")]
    Success(String),
}

impl Case {
    /// A case with up to `together` causes present at once.
    ///
    /// # Errors
    /// [`BadCase`] for no causes, too many, or numbers that are none.
    pub fn new(
        suspects: Vec<Suspect>,
        hand_on: Option<f64>,
        together: usize,
    ) -> Result<Self, BadCase> {
        if suspects.is_empty() {
            return Err(BadCase::NoCauses);
        }
        if suspects.len() > MOST_CAUSES {
            return Err(BadCase::TooMany(suspects.len()));
        }
        for suspect in &suspects {
            if !(suspect.odds > 0.0 && suspect.odds < 1.0) {
                return Err(BadCase::Odds(suspect.id.clone()));
            }
            if !(suspect.minutes() >= 0.0 && suspect.minutes().is_finite()) {
                return Err(BadCase::Minutes(suspect.id.clone()));
            }
            if !(suspect.success > 0.0 && suspect.success <= 1.0) {
                return Err(BadCase::Success(suspect.id.clone()));
            }
        }
        let sets = hypotheses(suspects.len(), together.max(1));
        let places = sets.iter().enumerate().map(|(n, set)| (*set, n)).collect();
        Ok(Self {
            suspects,
            hand_on,
            come_back: 0.0,
            left_over: Vec::new(),
            sets,
            places,
        })
    }

    /// The same with one more hypothesis, the last: nothing is wrong any more. It has no weight
    /// until a repair gives it some.
    #[must_use]
    pub fn with_cured(mut self) -> Self {
        if self.place(Set::EMPTY).is_none() {
            self.places.insert(Set::EMPTY, self.sets.len());
            self.sets.push(Set::EMPTY);
        }
        self
    }

    /// Where a set stands among the hypotheses.
    pub fn place(&self, set: Set) -> Option<usize> {
        self.places.get(&set).copied()
    }

    /// The prior weight of each set, in logarithms and not normalised: odds of the members, one
    /// minus odds of the rest.
    pub fn log_prior(&self) -> Vec<f64> {
        let none: f64 = self.suspects.iter().map(|s| (1.0 - s.odds).ln()).sum();
        let lift: Vec<f64> = self
            .suspects
            .iter()
            .map(|s| s.odds.ln() - (1.0 - s.odds).ln())
            .collect();
        self.sets
            .iter()
            .map(|set| {
                if set.is_empty() {
                    return f64::NEG_INFINITY;
                }
                none + set.members().map(|cause| lift[cause]).sum::<f64>()
            })
            .collect()
    }

    /// What it costs to put right a set that is known, in minutes: its repairs one after the other,
    /// or handing on where that is cheaper, or where there is no repair for one of its members.
    pub fn minutes_of(&self, set: Set) -> f64 {
        let repairs: f64 = set.members().map(|c| self.suspects[c].minutes()).sum();
        match (self.hand_on_of(set), self.repairable(set)) {
            (Some(hand_on), true) => repairs.min(hand_on),
            (Some(hand_on), false) => hand_on,
            (None, _) => repairs,
        }
    }

    /// What it costs to hand on a car with this set, in minutes. One on which nothing is wrong any more is no
    /// cheaper to hand on: somebody has to prove it.
    pub fn hand_on_of(&self, set: Set) -> Option<f64> {
        self.hand_on.map(|minutes| minutes + self.passed_on(set))
    }

    /// What of it falls on whoever gets the car.
    pub fn passed_on(&self, set: Set) -> f64 {
        let left_over = self.place(set).and_then(|n| self.left_over.get(n));
        let come_back = if set.is_empty() || !self.repairable(set) {
            0.0
        } else {
            self.come_back
        };
        come_back + left_over.copied().unwrap_or(0.0)
    }

    /// Whether every member of a set can be repaired.
    pub fn repairable(&self, set: Set) -> bool {
        set.members().all(|cause| self.suspects[cause].repairable)
    }
}
