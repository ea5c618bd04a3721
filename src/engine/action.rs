//! What a technician can want on a job.
//!
//! Data only; [`super::act`] makes events of it.

use super::event::{Codes, FromFile, Opening, PartWas};
use super::fitted::Fitted;
use super::weighed::Weighed;
use crate::flow::answer::Answer;
use crate::flow::target::Target;
use crate::units::Quantity;

/// What the technician wants to do.
#[derive(Clone, Debug, PartialEq)]
pub enum Action {
    /// Open the job.
    Open(Opening),
    /// Save what the control unit had stored.
    NoteCodes(Codes),
    /// Give a fact about the vehicle.
    SetFact {
        /// The fact.
        fact: String,
        /// The answer.
        value: Answer,
        /// It was asked again, and is meant.
        confirmed: bool,
    },
    /// Begin a flow.
    Begin(FlowText),
    /// Accept a caution.
    Accept(String),
    /// Take a reading at the current step.
    Read {
        /// The reading.
        reading: String,
        /// The answer.
        value: Answer,
        /// It was asked again, and is meant.
        confirmed: bool,
        /// It is taken over from this earlier event.
        carried_from: Option<u64>,
    },
    /// Take a reading of the flow out of a file, whichever step asks for it. An implausible one is
    /// refused, since nobody has looked at the gauge twice.
    ReadFromFile {
        /// The reading.
        reading: String,
        /// The answer.
        value: Answer,
        /// Where in which file it stands.
        from: FromFile,
    },
    /// Leave out a reading of the current step that may be left out.
    LeaveOut {
        /// The reading.
        reading: String,
    },
    /// Take one pair of a list; [`Action::Read`] with all of them ends the list.
    Pair {
        /// The reading.
        reading: String,
        /// The pair.
        pair: (Quantity, Quantity),
        /// It was asked again, and is meant.
        confirmed: bool,
    },
    /// Take the last pair of a list back.
    TakePairBack {
        /// The reading.
        reading: String,
    },
    /// Take the gauge while a hold runs.
    Sample {
        /// The reading that ends the hold.
        reading: String,
        /// How long after its clock began, s.
        after: f64,
        /// What was read.
        value: Answer,
    },
    /// Take the last sample of a hold back.
    TakeSampleBack {
        /// The reading that ends the hold.
        reading: String,
    },
    /// Correct what the job was opened with.
    CorrectOpening {
        /// What it should have been.
        opening: Box<Opening>,
        /// Why; may stay empty.
        why: String,
    },
    /// Correct a reading.
    Correct {
        /// The event that took it.
        taken: u64,
        /// What it should have been.
        value: Answer,
        /// Why.
        why: String,
    },
    /// Correct what was noted of a repair.
    CorrectRepair {
        /// The event that noted it.
        noted: u64,
        /// Who answered and how, or what was done.
        words: String,
        /// How the part was; counts where the work is corrected.
        part_was: Option<PartWas>,
        /// Why.
        why: String,
    },
    /// The pressure is let down.
    ClearLimit,
    /// The value that passed its limit was mistyped.
    Mistyped,
    /// Note something found.
    Note {
        /// Where.
        place: String,
        /// What.
        note: String,
    },
    /// Do what the rules suggest.
    Follow,
    /// Take this outcome of the step; a reason is needed where the rules suggest another.
    Take {
        /// The outcome's id.
        outcome: String,
        /// Why.
        reason: String,
    },
    /// The same, with what the evidence said beside it; only for what ends a step.
    Weigh {
        /// What the evidence said.
        weighed: Box<Weighed>,
        /// What is done.
        action: Box<Action>,
    },
    /// The same, or a reading, though the wait of the step is not over.
    Early {
        /// Seconds that are left of the wait.
        left: i64,
        /// What is done.
        action: Box<Action>,
    },
    /// Go on where the evidence says, to a step or a repair that no outcome need lead to.
    GoBy {
        /// Where to.
        go: Target,
        /// What the evidence said.
        weighed: Box<Weighed>,
        /// What stands in place and is not wanted there was taken down.
        taken_down: bool,
    },
    /// Leave the step without an outcome.
    Skip {
        /// Why.
        reason: String,
        /// Where to go on, where the step leaves it open ([`super::skip::ways`]).
        to: Option<Target>,
    },
    /// The step's clock begins again from now.
    BeginClock,
    /// The step was timed by another clock, and its time is over now.
    EndClock,
    /// One station back.
    Back,
    /// One station forward, where it was walked before.
    Forward,
    /// The customer agrees.
    Approve {
        /// Who, and how.
        by: String,
    },
    /// The customer declines.
    Decline {
        /// Who, and why.
        by: String,
    },
    /// The repair is done.
    Repaired {
        /// What was done.
        work: String,
        /// Whether the part proved bad.
        part_was: PartWas,
    },
    /// Repeat the test from the start.
    Retest,
    /// Leave the flow before its end.
    Leave,
    /// Confirm that something which a set-up left on the car is off again.
    TakeOff(Fitted),
    /// End an exercise: there is no car on which anything could be left.
    EndExercise {
        /// What is noted at its end.
        note: String,
    },
    /// Hand the car over.
    HandOver {
        /// What the customer was told.
        note: String,
    },
    /// Go on with a job that was handed over.
    Reopen {
        /// Why.
        why: String,
    },
    /// A remark.
    Remark(String),
}

/// A flow's text with what the record needs to name it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FlowText {
    /// Id.
    pub id: String,
    /// Revision.
    pub revision: u32,
    /// Hash of the text.
    pub hash: String,
    /// Text.
    pub text: String,
}
