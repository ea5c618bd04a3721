//! What is done to a car that is led, move by move, and how it ends.

use std::collections::BTreeMap;

use crate::engine::event::PartWas;
use crate::flow::answer::Answer;

/// How it ended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum End {
    /// The flow calls the complaint proved cured.
    Proved,
    /// Handed on: to another flow or a specialist.
    HandedOn,
    /// Nothing leads on from this step.
    Stuck(String),
    /// It goes round.
    GoesRound,
    /// Another repair would be more than anybody does.
    TooManyRepairs,
}

/// What is done.
#[derive(Clone, Debug, PartialEq)]
pub enum Act {
    /// A step, with the outcome by the flow's own rules.
    Step {
        /// Its id.
        step: String,
        /// The outcome's id, or in brackets why there is none.
        outcome: String,
    },
    /// What a step puts in place, without its readings.
    SetUp {
        /// The step's id.
        step: String,
    },
    /// A repair.
    Repair {
        /// The cause's id.
        cause: String,
        /// How the part was when it was opened.
        part_was: PartWas,
        /// It was there, and the repair took.
        took: bool,
    },
    /// The car is handed on.
    HandOn,
}

/// Why it is done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Reason {
    /// It is the suggestion.
    Suggested,
    /// It must come before this step.
    Before(String),
    /// The flow sends back to it from this step.
    SentBack(String),
    /// The retest comes to it.
    Retest,
}

/// One move.
#[derive(Clone, Debug, PartialEq)]
pub struct Move {
    /// What was done.
    pub act: Act,
    /// Why.
    pub reason: Reason,
    /// The number of the test, 1 before any repair.
    pub test: u32,
    /// Its minutes, with what had to be set up for it.
    pub minutes: f64,
    /// Cautions to accept for it.
    pub cautions: Vec<String>,
    /// What was read.
    pub taken: BTreeMap<String, Answer>,
    /// What was believed before it: each cause with the probability that it is present, in the flow's order.
    pub believed: Vec<(String, f64)>,
    /// The probability, before it, that nothing is left that is big enough for the complaint.
    pub cured: f64,
    /// Minutes expected to a proven repair with this move first, where it is the suggestion.
    pub expected: Option<f64>,
}

impl Move {
    /// The cause believed in most, with its probability.
    pub fn top(&self) -> Option<(&str, f64)> {
        let mut all = self.believed.iter();
        let first = all.next()?;
        let best = all.fold(
            first,
            |best, other| if other.1 > best.1 { other } else { best },
        );
        Some((&best.0, best.1))
    }
}

/// A car that was led.
#[derive(Clone, Debug, PartialEq)]
pub struct Led {
    /// How it ended.
    pub end: End,
    /// The moves.
    pub moves: Vec<Move>,
    /// Causes that were repaired, in order.
    pub repairs: Vec<String>,
    /// Minutes of steps, set-ups and repairs.
    pub minutes: f64,
    /// What was believed at the end that nothing is left that is big enough for the complaint.
    pub sure_of_cure: f64,
    /// Nothing that makes the complaint is left on the car.
    pub cured: bool,
}
