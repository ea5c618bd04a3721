//! A case: the causes that are in question, with what each costs to repair.

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
    /// The hypotheses: sets of causes present together.
    pub sets: Vec<Set>,
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
        }
        let sets = hypotheses(suspects.len(), together.max(1));
        Ok(Self {
            suspects,
            hand_on,
            sets,
        })
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
            .map(|set| none + set.members().map(|cause| lift[cause]).sum::<f64>())
            .collect()
    }

    /// What it costs to put right all members of a set, one after the other, in minutes.
    pub fn minutes_of(&self, set: Set) -> f64 {
        set.members()
            .map(|cause| {
                let suspect = &self.suspects[cause];
                match (suspect.repairable, self.hand_on) {
                    (true, _) => suspect.minutes(),
                    (false, hand_on) => hand_on.unwrap_or(0.0),
                }
            })
            .sum()
    }
}
