//! The events of a job: everything that happened, in order, and nothing else.
//!
//! A job *is* its list of events; the state on screen is folded from them. Their serialised form
//! is what lies on disk and in job files for years, so variants and fields are only ever added,
//! never renamed or given another meaning.

use std::collections::BTreeMap;

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use uuid::Uuid;

use super::fitted::Fitted;
use super::practised::Practised;
use super::weighed::Weighed;
use crate::flow::answer::Answer;
use crate::flow::target::Target;
use crate::units::Quantity;

/// One thing that happened on a job.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Event {
    /// The event's own name, unique for ever (version 7: it sorts by time).
    pub id: Uuid,
    /// Its number in the job, from 1 without gaps. This is the order of the fold: clocks may jump.
    pub seq: u64,
    /// When, by the computer's clock.
    pub at: DateTime<Utc>,
    /// Who, as they are called in the workshop.
    pub who: String,
    /// What happened.
    pub what: What,
}

/// What happened.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum What {
    /// A car came in. Always the first event.
    JobOpened(Opening),
    /// What the control unit had stored, saved before anything is cleared or unplugged.
    CodesNoted(Codes),
    /// A fact about the vehicle became known.
    FactNoted {
        /// The fact's id, as flows declare it.
        fact: String,
        /// The answer.
        value: Answer,
        /// Outside its plausible range, and confirmed when asked again.
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        confirmed: bool,
        /// Taken from the workshop's settings, where it was offered.
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        by_settings: bool,
    },
    /// A flow was begun. Its full text goes along, so that the job replays for ever.
    FlowBegun {
        /// The flow's id.
        flow: String,
        /// Its revision, as its author counts.
        revision: u32,
        /// Hash of the text (BLAKE3, hexadecimal).
        hash: String,
        /// The flow file itself.
        text: String,
    },
    /// Somebody read a caution and accepted it.
    CautionAccepted {
        /// The caution's id.
        caution: String,
    },
    /// A reading was taken at the current step.
    ReadingTaken {
        /// The reading's id.
        reading: String,
        /// What was read.
        value: Answer,
        /// Outside its plausible range, and confirmed when asked again.
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        confirmed: bool,
        /// The earlier reading (its number in the job) that was taken over, if it was.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        carried_from: Option<u64>,
        /// The file that it was read from, if it was.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        from_file: Option<FromFile>,
    },
    /// A reading of the current step that may be left out was left out, on purpose.
    ReadingLeftOut {
        /// The reading's id.
        reading: String,
    },
    /// One pair of a list of pairs was read at the current step. [`What::ReadingTaken`] with all
    /// of them ends the list; until then each is kept by itself.
    PairTaken {
        /// The reading's id.
        reading: String,
        /// What was read.
        pair: (Quantity, Quantity),
        /// Outside its plausible range, and confirmed when asked again.
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        confirmed: bool,
    },
    /// A pair was read or typed wrongly. It stays in the record and no longer counts.
    PairTakenBack {
        /// The number of the event that took the pair.
        taken: u64,
    },
    /// The gauge while a hold ran, before its end. Nothing is judged by it; it shows how it went.
    SampleTaken {
        /// The reading that ends the hold.
        reading: String,
        /// How long after the hold's clock began.
        after: Quantity,
        /// What was read.
        value: Quantity,
    },
    /// A sample was read or typed wrongly. It stays in the record and no longer counts.
    SampleTakenBack {
        /// The number of the event that took the sample.
        taken: u64,
    },
    /// The clock of the present step was begun again, from this moment: a hold was set up anew, or
    /// the waiting began later than the walk came here.
    ClockBegunAgain,
    /// Somebody timed the present step by another clock: its time was over at this moment.
    TimedElsewhere,
    /// An answer or a judgement came before the wait of the present step was over; what follows is that.
    WaitCutShort {
        /// How much of the wait was left.
        left: Quantity,
    },
    /// An earlier reading was wrong. It stays in the record; this one counts from now on.
    ReadingCorrected {
        /// The number of the event that took the reading.
        taken: u64,
        /// What it should have been.
        value: Answer,
        /// Why it is corrected.
        why: String,
    },
    /// A value above its never-exceed limit was typed. The step stops until [`What::LimitCleared`].
    LimitPassed {
        /// The reading's id.
        reading: String,
        /// The value that was typed.
        value: Quantity,
        /// The limit.
        limit: Quantity,
    },
    /// The pressure was let down (or whatever passed its limit was put right).
    LimitCleared,
    /// The value that passed its limit was mistyped: the gauge never showed it. What was typed stays
    /// in the record; the reading is asked for again.
    LimitMistyped,
    /// Something worth noting was found that no reading asks for.
    FindingNoted {
        /// Where on the car.
        place: String,
        /// What.
        note: String,
    },
    /// The step was ended with one of its outcomes.
    OutcomeTaken(OutcomeTaken),
    /// The step was left without an outcome.
    StepSkipped {
        /// The step.
        step: String,
        /// Where the job went instead.
        go: Target,
        /// Why.
        reason: String,
    },
    /// One step back along the path. Nothing is lost.
    WentBack,
    /// One step forward along the path that was walked before.
    WentForward,
    /// The customer agreed to a repair.
    RepairApproved {
        /// The cause to be repaired.
        cause: String,
        /// Who agreed, and how (in person, by telephone).
        by: String,
    },
    /// The customer did not agree.
    RepairDeclined {
        /// The cause that stays.
        cause: String,
        /// Who declined and why.
        by: String,
    },
    /// A repair was made.
    RepairDone {
        /// The cause that was treated.
        cause: String,
        /// What was done.
        work: String,
        /// Whether the part was bad when it was opened.
        part_was: PartWas,
    },
    /// What was noted of a repair was mistyped: who agreed or declined, what was done, how the part was. It stays in the
    /// record; this one counts from now on.
    RepairCorrected {
        /// The number of the event that noted it.
        noted: u64,
        /// Who answered and how, or what was done, as it should have been.
        words: String,
        /// How the part was, where that is corrected.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        part_was: Option<PartWas>,
        /// Why it is corrected.
        why: String,
    },
    /// The test is repeated from the start, because one leak can hide another.
    RetestBegun {
        /// The flow whose test is repeated.
        flow: String,
        /// The step from which.
        from: String,
    },
    /// A flow ended.
    FlowClosed {
        /// The flow.
        flow: String,
        /// How.
        result: Verdict,
    },
    /// Something that a set-up of this job fitted, closed off or connected was looked at and is off
    /// the car again, or put back as it was.
    TakenOff(Fitted),
    /// The car was handed over. Only a remark or [`What::Reopened`] can follow.
    Handover {
        /// What the customer was told.
        note: String,
    },
    /// A job that was handed over goes on: by mistake, or because the car came back.
    Reopened {
        /// Why.
        why: String,
    },
    /// A remark for the record.
    Remark {
        /// The remark.
        text: String,
    },
    /// What the job was opened with was mistyped: car, complaint, symptoms, codes or bay. What
    /// stood there before stays in the record; facts are corrected one by one and not here.
    OpeningCorrected {
        /// What it should have been, in whole.
        opening: Opening,
        /// Why, if it was said.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        why: String,
    },
    /// Something was done on a car that is not there. No real job has such an event.
    Practised(Practised),
}

/// How a job begins.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Opening {
    /// The car.
    pub vehicle: Vehicle,
    /// The complaint in the customer's words.
    pub complaint: String,
    /// Symptoms, in the words that flows list.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub symptoms: Vec<String>,
    /// Trouble codes that came with the car.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub codes: Vec<String>,
    /// Vehicle facts known from the start, by the ids that flows declare.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub facts: BTreeMap<String, Answer>,
    /// The bay where the car stands.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub bay: String,
}

/// Where in a file a reading stands, so that anybody can look it up again.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct FromFile {
    /// The file's name, without the folders above it.
    pub name: String,
    /// First and last line that count, from 1, as an editor numbers them.
    pub rows: (u64, u64),
    /// Hash of the whole file (BLAKE3, hexadecimal).
    pub hash: String,
}

/// A car, as it is told apart from the others in the yard.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Vehicle {
    /// Registration plate.
    pub plate: String,
    /// Make, model and year in one line.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub model: String,
    /// Vehicle identification number.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub vin: String,
    /// Odometer, as read (with its unit).
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub odometer: String,
}

/// What the control unit had stored.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Codes {
    /// Stored codes.
    pub stored: Vec<String>,
    /// Pending codes.
    pub pending: Vec<String>,
    /// Freeze frame, as noted.
    pub freeze_frame: String,
    /// Monitors that were ready or not, as noted.
    pub readiness: String,
}

/// Whether a part proved bad when it was opened: the cheapest strong reading there is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PartWas {
    /// It was plainly bad.
    Bad,
    /// It looked good.
    Good,
    /// Could not tell.
    CouldNotTell,
}

/// How a step was ended.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct OutcomeTaken {
    /// The step.
    pub step: String,
    /// The outcome's id; absent where the technician went somewhere that no outcome names.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outcome: Option<String>,
    /// Where it led.
    pub go: Target,
    /// What the flow's own rules said at that moment.
    pub suggested: Suggested,
    /// Why the technician chose otherwise, if so.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
    /// Readings of the step that were neither taken nor left out when it was ended all the same.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub unread: Vec<String>,
    /// The worked values that the step showed.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub worked: BTreeMap<String, Recorded>,
    /// What the evidence said beside it, where it said something else.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub weighed: Option<Box<Weighed>>,
}

/// What the rules said, as it was recorded.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Suggested {
    /// This outcome matched.
    Outcome(String),
    /// A value straddles a limit: cannot tell.
    Unsure,
    /// The reading is not valid.
    NotValid,
    /// No outcome matched.
    NoMatch,
}

/// A worked value as it stood when the step was ended.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Recorded {
    /// The calculation's name and version, such as `hole 1`.
    pub by: String,
    /// The value: in SI units with its 95 % interval, or a word.
    pub value: RecordedValue,
    /// As it was shown.
    pub shown: String,
}

/// The value of a [`Recorded`].
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum RecordedValue {
    /// A number in SI units.
    Number {
        /// Central value.
        si: f64,
        /// Lower end of the 95 % interval; absent: unbounded.
        low: Option<f64>,
        /// Upper end of the 95 % interval; absent: unbounded.
        high: Option<f64>,
    },
    /// A verdict in words.
    Words(String),
}

/// How a flow ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// A cause was found, repaired, and the retest passed.
    Proved,
    /// What the flow looks for was ruled out.
    RuledOut,
    /// It led on to another flow.
    LedOn,
    /// It was left before its end.
    Left,
}
