//! A job as it stands: what the events of the record add up to.
//!
//! Plain data and questions about it. Only [`super::fold`] changes it, and only by events.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use chrono::{DateTime, NaiveDate, Utc};

use super::again::Because;
use super::event::{Codes, FromFile, Opening, OutcomeTaken, PartWas, Suggested, Verdict};
use super::fitted::{Stands, TakenOff};
use crate::flow::answer::Answer;
use crate::flow::model::{Flow, Step};
use crate::flow::target::Target;
use crate::units::Quantity;

/// A job.
#[derive(Clone, Debug, Default)]
pub struct Job {
    /// The number of the last event; 0 before the first.
    pub seq: u64,
    /// The last event with which something was done on the car, and not only looked at or noted.
    pub touched_seq: u64,
    /// How it began; absent before the first event.
    pub opening: Option<Opening>,
    /// When it began.
    pub opened: Option<DateTime<Utc>>,
    /// When something last happened.
    pub last: Option<DateTime<Utc>>,
    /// It is an exercise on a car that is not there.
    pub practised: bool,
    /// What the control unit had stored.
    pub codes: Option<Codes>,
    /// Facts about the vehicle.
    pub facts: BTreeMap<String, Answer>,
    /// Those of them that lie outside their usual range and were confirmed.
    pub confirmed_facts: BTreeSet<String>,
    /// Flows, in the order in which they were begun.
    pub runs: Vec<Run>,
    /// Which of them is walked now.
    pub current: Option<usize>,
    /// Readings, in the order in which they were taken.
    pub readings: Vec<Taken>,
    /// Readings that were left out, in the order in which they were.
    pub left_out: Vec<LeftOut>,
    /// Pairs of lists, each by itself, in the order in which they were taken.
    pub pairs: Vec<TakenPair>,
    /// The gauge while holds ran, in the order in which it was read.
    pub samples: Vec<Sample>,
    /// What the job was opened with before it was corrected, with the event that corrected it.
    pub openings_before: Vec<(Opening, u64)>,
    /// Cautions that were accepted.
    pub cautions: Vec<AcceptedCaution>,
    /// Things noted beside the readings.
    pub findings: Vec<Noted>,
    /// Repairs, agreed, declined or done.
    pub repairs: Vec<Repair>,
    /// What the set-ups walked have left on the car.
    pub fitted: Vec<Stands>,
    /// What somebody confirmed to be off again, in the order in which they did.
    pub taken_off: Vec<TakenOff>,
    /// A limit was passed and the pressure is not let down yet.
    pub stop: Option<Stop>,
    /// Handed over, with this note.
    pub handed_over: Option<String>,
    /// A handover was last taken back by this event, for this reason.
    pub reopened: Option<(u64, String)>,
    /// Remarks.
    pub remarks: Vec<(u64, String)>,
    /// Events that did not fit where they stood. They stay in the record and changed nothing.
    pub misfits: Vec<Misfit>,
}

/// One flow being walked.
#[derive(Clone, Debug)]
pub struct Run {
    /// The flow, as its text was when the run began.
    pub flow: Arc<Flow>,
    /// Hash of that text.
    pub hash: String,
    /// Where the walk has been, in order.
    pub path: Vec<Visit>,
    /// Where on the path it is now.
    pub at: usize,
    /// How it ended, if it did.
    pub verdict: Option<Verdict>,
}

/// One station of a walk.
#[derive(Clone, Debug, PartialEq)]
pub struct Visit {
    /// What is done here.
    pub station: Station,
    /// The number of the test, from 1, one more after every repair.
    pub test: u32,
    /// The event that led here.
    pub since_seq: u64,
    /// When that was.
    pub since: DateTime<Utc>,
    /// The event with which the present stay began: that one, or the last that came back here after
    /// something was done elsewhere. To look at another step and come back ends no stay.
    pub stay_seq: u64,
    /// When the step could begin in this stay: as the walk came here, or as the last question or
    /// caution that stood before it was dealt with.
    pub ready: DateTime<Utc>,
    /// The event of that moment.
    pub ready_seq: u64,
    /// The event by which the walk went back or forward from here, until it comes back.
    pub gone_seq: Option<u64>,
    /// When the clock of this stay was begun again, if it was.
    pub clock: Option<DateTime<Utc>>,
    /// When another clock said that the time was over, if one did.
    pub time_up: Option<DateTime<Utc>>,
    /// How much of its wait was left as somebody went on all the same, if they did.
    pub hurried: Option<Quantity>,
    /// Who came here, and with whom its clock began.
    pub by: String,
    /// How it was left, if it was.
    pub left: Option<Left>,
    /// It was judged again because something on which it stands changed afterwards.
    pub rejudged: Option<Rejudged>,
}

/// What is done at a station.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Station {
    /// A step.
    Step(String),
    /// The repair of a cause.
    Repair(String),
    /// The way to another flow.
    LedTo(String),
    /// The end of the flow.
    End,
}

/// How a station was left.
#[derive(Clone, Debug, PartialEq)]
pub struct Left {
    /// The event.
    pub seq: u64,
    /// When.
    pub at: DateTime<Utc>,
    /// How.
    pub how: How,
}

/// The ways of leaving a station.
#[derive(Clone, Debug, PartialEq)]
pub enum How {
    /// With an outcome.
    Outcome(OutcomeTaken),
    /// Skipped.
    Skipped {
        /// Where it went.
        go: Target,
        /// Why.
        reason: String,
    },
    /// Into the retest.
    Retest,
}

/// A step judged again after something changed on which it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Rejudged {
    /// The event that changed it.
    pub by: u64,
    /// What kind of change that was.
    pub because: Because,
    /// What the rules said first.
    pub was: Suggested,
    /// What they say now.
    pub now: Suggested,
}

impl Rejudged {
    /// Whether the rules say something else since.
    pub fn changed(&self) -> bool {
        self.was != self.now
    }
}

/// A reading that was taken.
#[derive(Clone, Debug, PartialEq)]
pub struct Taken {
    /// The event that took it.
    pub seq: u64,
    /// When.
    pub at: DateTime<Utc>,
    /// By whom.
    pub who: String,
    /// The reading's id.
    pub reading: String,
    /// Its value, corrected where it was.
    pub value: Answer,
    /// Values it had before, with the event that corrected each.
    pub before: Vec<(Answer, u64)>,
    /// The flow that was walked.
    pub flow: String,
    /// The event that opened the visit in which it was taken.
    pub visit: u64,
    /// The number of the test.
    pub test: u32,
    /// It lies outside the plausible range and was confirmed.
    pub confirmed: bool,
    /// Taken over from an earlier reading.
    pub carried_from: Option<u64>,
    /// The file that it was read from, if it was.
    pub from_file: Option<FromFile>,
    /// The end of a hold that was entered so many seconds after its time was up, see [`super::clock::late`].
    pub late: Option<i64>,
}

/// A reading that was left out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LeftOut {
    /// The event.
    pub seq: u64,
    /// The reading's id.
    pub reading: String,
    /// The event that opened the visit.
    pub visit: u64,
}

/// One pair of a list.
#[derive(Clone, Debug, PartialEq)]
pub struct TakenPair {
    /// The event that took it.
    pub seq: u64,
    /// The reading's id.
    pub reading: String,
    /// The pair.
    pub pair: (Quantity, Quantity),
    /// It lies outside the plausible range and was confirmed.
    pub confirmed: bool,
    /// The event that opened the visit.
    pub visit: u64,
    /// The event that took it back, if one did.
    pub back: Option<u64>,
}

/// The gauge while a hold ran.
#[derive(Clone, Debug, PartialEq)]
pub struct Sample {
    /// The event that took it.
    pub seq: u64,
    /// When.
    pub at: DateTime<Utc>,
    /// The reading that ends the hold.
    pub reading: String,
    /// How long after the hold's clock began.
    pub after: Quantity,
    /// What was read.
    pub value: Quantity,
    /// The event that opened the visit.
    pub visit: u64,
    /// The event that took it back, if one did.
    pub back: Option<u64>,
}

/// A caution that was accepted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AcceptedCaution {
    /// Its id.
    pub caution: String,
    /// By whom.
    pub who: String,
    /// On which day (UTC).
    pub day: NaiveDate,
    /// In which flow.
    pub flow: String,
    /// In which test: after a repair it is accepted anew.
    pub test: u32,
}

/// Something noted beside the readings.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Noted {
    /// The event.
    pub seq: u64,
    /// Where on the car.
    pub place: String,
    /// What.
    pub note: String,
}

/// A repair.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Repair {
    /// The cause.
    pub cause: String,
    /// Its name in the flow.
    pub name: String,
    /// The flow that found it.
    pub flow: String,
    /// The visit in which it was decided (its opening event).
    pub visit: u64,
    /// In which test it was found.
    pub test: u32,
    /// Who agreed.
    pub approved: Option<String>,
    /// Who declined, and why.
    pub declined: Option<String>,
    /// What was done, once it was.
    pub done: Option<(String, PartWas)>,
    /// The event that noted the customer's answer which stands now.
    pub answered_seq: u64,
    /// The event that noted the work; 0 before it.
    pub done_seq: u64,
    /// What was noted of it before it was corrected.
    pub before: Vec<RepairBefore>,
}

/// What was noted of a repair before a correction.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RepairBefore {
    /// The event that corrected it.
    pub by: u64,
    /// The event that noted it.
    pub noted: u64,
    /// Who had answered, or what was done.
    pub words: String,
    /// How the part was, where the work was corrected.
    pub part_was: Option<PartWas>,
}

/// What a test that came to its proof has proved.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Proof {
    /// The complaint did not show; nothing was repaired before it.
    NothingRepaired,
    /// The complaint is gone; but every part taken out just before it looked good, so what caused it is not known.
    NotTheCause,
    /// The cause was found and repaired.
    Cause,
}

/// A limit that was passed.
#[derive(Clone, Debug, PartialEq)]
pub struct Stop {
    /// The event that passed it.
    pub seq: u64,
    /// The reading.
    pub reading: String,
    /// What was typed.
    pub value: Quantity,
    /// The limit.
    pub limit: Quantity,
}

/// An event that did not fit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Misfit {
    /// Its number.
    pub seq: u64,
    /// Why.
    pub why: String,
}

impl Taken {
    /// Whether it was corrected to something else, or from it and back.
    pub fn was_corrected(&self) -> bool {
        self.before.iter().any(|(old, _)| *old != self.value)
    }

    /// That it was entered late, in words; nothing where it was not.
    pub fn late_words(&self) -> Option<String> {
        let late = self.late?;
        let time = match (late / 60, late % 60) {
            (0, seconds) => format!("{seconds} s"),
            (minutes @ 1..60, 0) => format!("{minutes} min"),
            (minutes @ 1..60, seconds) => format!("{minutes} min {seconds} s"),
            (minutes, _) => format!("{} h {} min", minutes / 60, minutes % 60),
        };
        Some(format!("entered {time} after the time of the hold was up"))
    }
}

impl Repair {
    /// Whether an event noted what stands of it: the customer's answer, or the work.
    pub fn noted_by(&self, seq: u64) -> bool {
        seq != 0 && (seq == self.answered_seq || seq == self.done_seq)
    }

    /// What an event noted of it, as it stands now: the words, and how the part was where it was the work.
    pub fn noted(&self, seq: u64) -> Option<(&str, Option<PartWas>)> {
        if !self.noted_by(seq) {
            return None;
        }
        if seq == self.done_seq {
            let (work, part) = self.done.as_ref()?;
            return Some((work, Some(*part)));
        }
        let answer = self.approved.as_deref().or(self.declined.as_deref())?;
        Some((answer, None))
    }
}

impl Run {
    /// Where the walk is now.
    pub fn visit(&self) -> Option<&Visit> {
        self.path.get(self.at)
    }

    /// The step where the walk is now.
    pub fn step(&self) -> Option<&Step> {
        match &self.visit()?.station {
            Station::Step(id) => self.flow.step(id),
            _ => None,
        }
    }

    /// The path as walked, up to where the walk is now.
    pub fn walked(&self) -> &[Visit] {
        self.path.get(..=self.at).unwrap_or(&self.path)
    }
}

impl Job {
    /// The flow that is walked now.
    pub fn run(&self) -> Option<&Run> {
        self.runs.get(self.current?)
    }

    /// The station where the job is now.
    pub fn visit(&self) -> Option<&Visit> {
        self.run()?.visit()
    }

    /// The number of the test, from 1.
    pub fn test_number(&self) -> u32 {
        self.visit().map_or(1, |visit| visit.test)
    }

    /// Whether a repair was made that no later test has followed.
    pub fn repaired_in_this_test(&self) -> bool {
        let test = self.test_number();
        self.repairs
            .iter()
            .any(|r| r.done.is_some() && r.test >= test)
    }

    /// Whether a repair was made before the test in which a flow's walk stands: only then can that test
    /// prove one.
    pub fn can_prove(&self, run: &Run) -> bool {
        let test = run.visit().map_or(1, |visit| visit.test);
        self.repairs
            .iter()
            .any(|r| r.done.is_some() && r.test < test)
    }

    /// What a flow's walk proves where it comes to its proof.
    pub fn proof(&self, run: &Run) -> Proof {
        let test = run.visit().map_or(1, |visit| visit.test);
        self.proof_before(test)
    }

    /// What a test proves by the repairs made before it: of several rounds by those of the last one.
    pub fn proof_before(&self, test: u32) -> Proof {
        let done = self.repairs.iter().filter(|r| r.test < test);
        let done: Vec<(u32, PartWas)> = done
            .filter_map(|r| Some((r.test, r.done.as_ref()?.1)))
            .collect();
        let Some(last) = done.iter().map(|(test, _)| *test).max() else {
            return Proof::NothingRepaired;
        };
        let mut parts = done.iter().filter(|(test, _)| *test == last);
        if parts.all(|(_, part)| *part == PartWas::Good) {
            Proof::NotTheCause
        } else {
            Proof::Cause
        }
    }

    /// What was answered when the walk was at a visit: facts, and the readings taken there or at
    /// visits before it on the way, in the same test. Of readings of one id that of the latest
    /// visit counts, wherever the walk went in between: who goes back and reads a step again has
    /// not read the steps after it again.
    pub fn answers_at(&self, visit: &Visit) -> BTreeMap<String, Answer> {
        // What was read on a way that was given up does not count on the way that was taken.
        let mut way: BTreeMap<u64, usize> = BTreeMap::new();
        for (n, passed) in self.runs.iter().flat_map(|run| &run.path).enumerate() {
            way.insert(passed.since_seq, n);
            if passed.since_seq == visit.since_seq {
                break;
            }
        }
        let mut counting: Vec<(usize, &Taken)> = self
            .readings
            .iter()
            .filter(|taken| taken.test == visit.test)
            .filter_map(|taken| Some((*way.get(&taken.visit)?, taken)))
            .collect();
        counting.sort_by_key(|(n, _)| *n);
        let mut answers = self.facts.clone();
        for (_, taken) in counting {
            answers.insert(taken.reading.clone(), taken.value.clone());
        }
        answers
    }

    /// The facts with which the job was opened first, whatever was corrected since.
    pub fn opening_facts(&self) -> BTreeMap<String, Answer> {
        let first = self.openings_before.first().map(|(opening, _)| opening);
        let first = first.or(self.opening.as_ref());
        first
            .map(|opening| opening.facts.clone())
            .unwrap_or_default()
    }

    /// The latest reading of an id in a test.
    pub fn latest(&self, reading: &str, test: u32) -> Option<&Taken> {
        self.readings
            .iter()
            .rev()
            .find(|t| t.reading == reading && t.test == test)
    }

    /// Readings taken in the visit that an event opened.
    pub fn taken_in(&self, visit: u64) -> impl Iterator<Item = &Taken> {
        self.readings.iter().filter(move |t| t.visit == visit)
    }

    /// The repair that is under way or decided in a visit.
    pub fn repair_in(&self, visit: u64) -> Option<&Repair> {
        self.repairs.iter().find(|r| r.visit == visit)
    }
}

/// The flow's outcome that was taken.
pub fn outcome_of<'r>(
    run: &'r Run,
    taken: &OutcomeTaken,
) -> Option<&'r crate::flow::model::Outcome> {
    let id = taken.outcome.as_deref()?;
    run.flow
        .step(&taken.step)?
        .outcomes
        .iter()
        .find(|o| o.id == id)
}
