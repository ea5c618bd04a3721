//! A flow as it is once loaded: every id resolved, every unit checked.
//!
//! Plain data. The loader makes it, the engine walks it, the report quotes it.

use std::fmt;

use super::condition::Condition;
use super::log_key::LogKey;
use super::node::Place;
use super::signature::{Effect, Shows};
use super::target::Target;
use crate::physics::calculation::Calculation;
use crate::units::{Quantity, Unit};

/// A test procedure, written by a senior technician or the workshop's owner.
#[derive(Clone, Debug)]
pub struct Flow {
    /// Its id, such as `intake-leak`.
    pub id: String,
    /// Its name on screen.
    pub title: String,
    /// Counted up by its author at every change.
    pub revision: u32,
    /// What it finds out, in a sentence or two.
    pub summary: String,
    /// Trouble codes and symptoms that it answers.
    pub answers: Answers,
    /// The system that it tests, in the trade's words.
    pub system: String,
    /// Cautions to accept before the first step.
    pub cautions: Vec<String>,
    /// Gear to have at hand.
    pub gear: Vec<String>,
    /// Facts about the vehicle that it needs, asked first where they are not known.
    pub facts: Vec<Prompt>,
    /// Gauges and their errors.
    pub gauges: Vec<Gauge>,
    /// Readings that its steps record.
    pub readings: Vec<Prompt>,
    /// Values worked out from readings and facts, in an order in which each needs only those before.
    pub worked: Vec<Work>,
    /// What readings show on a sound car.
    pub healthy: Vec<Shows>,
    /// Causes that it can find.
    pub causes: Vec<Cause>,
    /// Its steps, in the order of the file. The first is where it begins.
    pub steps: Vec<Step>,
    /// Where the retest begins, after a repair.
    pub retest: Option<Retest>,
}

/// What a flow answers.
#[derive(Clone, Debug, Default)]
pub struct Answers {
    /// Trouble codes, in capitals.
    pub codes: Vec<String>,
    /// Symptoms, in words.
    pub symptoms: Vec<String>,
}

/// Something that is asked: a reading or a vehicle fact.
#[derive(Clone, Debug)]
pub struct Prompt {
    /// Its id.
    pub id: String,
    /// The question.
    pub ask: String,
    /// More words on how to read it.
    pub help: String,
    /// What kind of answer it takes.
    pub kind: PromptKind,
    /// It is asked only where this holds (facts and earlier readings may be named).
    pub only_if: Option<Condition>,
    /// It may be left out.
    pub optional: bool,
    /// What a log of scan data fills it with, where one can.
    pub log: Option<LogKey>,
    /// Where it is declared.
    pub place: Place,
}

/// The kinds of answer.
#[derive(Clone, Debug)]
pub enum PromptKind {
    /// A value with a unit.
    Quantity(Box<QuantityPrompt>),
    /// One of some words.
    Choice(Vec<String>),
    /// Places where something shows, with its strength.
    Places(Vec<String>),
    /// Pairs of values, such as a sweep of pressure and signal.
    Pairs(PairsPrompt),
    /// Words.
    Text,
}

/// A value with a unit, its sensible range and its limits.
#[derive(Clone, Debug)]
pub struct QuantityPrompt {
    /// The unit that a bare number is taken in.
    pub unit: Unit,
    /// Outside this range (SI) it is asked again.
    pub plausible: Option<(Quantity, Quantity)>,
    /// Above this the step stops and the caution is shown.
    pub never_above: Option<Limit>,
    /// The gauge that it is read on.
    pub gauge: Option<String>,
    /// The error of this one reading (95 %), apart from what all readings of the gauge share.
    pub error: Option<Tolerance>,
}

/// From one value to another, both included.
pub type Range = (Quantity, Quantity);

/// Pairs of values.
#[derive(Clone, Debug)]
pub struct PairsPrompt {
    /// The first column's name and unit.
    pub first: (String, Unit),
    /// The second column's name and unit.
    pub second: (String, Unit),
    /// Outside these ranges, one a column, a pair is asked again.
    pub plausible: (Option<Range>, Option<Range>),
    /// How many pairs there must be.
    pub at_least: usize,
    /// 95 % errors of one value of the first and of the second column.
    pub errors: (Option<Tolerance>, Option<Tolerance>),
}

/// A limit: a constant, or a fact of the vehicle.
#[derive(Clone, Debug)]
pub enum Limit {
    /// A constant.
    Constant(Quantity),
    /// The id of a vehicle fact.
    Fact(String),
}

/// An error that a reading may have, at 95 %.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Tolerance {
    /// The same everywhere.
    Absolute(Quantity),
    /// In proportion to the reading; 0.05 is 5 %.
    Relative(f64),
    /// In proportion to the reading's distance from its unit's zero, with a floor.
    Both(f64, Quantity),
}

impl Tolerance {
    /// The 95 % half-width at a value, both in SI units.
    pub fn half_width(&self, si: f64) -> f64 {
        match self {
            Self::Absolute(q) => q.unit().step_to_si(q.value()).abs(),
            Self::Relative(share) => (share * si).abs(),
            Self::Both(share, floor) => (share * si)
                .abs()
                .max(floor.unit().step_to_si(floor.value()).abs()),
        }
    }
}

/// A gauge: what all readings taken on it share.
#[derive(Clone, Debug)]
pub struct Gauge {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// One bias, unknown but shared by all readings of the gauge (95 %).
    pub accuracy: Option<Tolerance>,
    /// The smallest step that can be read on it; each reading's own error.
    pub resolution: Option<Quantity>,
    /// Where it is declared.
    pub place: Place,
}

/// A value worked out by a named calculation.
#[derive(Clone)]
pub struct Work {
    /// Its id.
    pub id: String,
    /// What it is, in words for the screen.
    pub name: String,
    /// The calculation.
    pub calculation: &'static Calculation,
    /// Which of its results (an index into its outputs).
    pub take: usize,
    /// Its inputs.
    pub inputs: Vec<(&'static str, Arg)>,
    /// The unit that it is shown in; absent for words.
    pub unit: Option<Unit>,
    /// Where it is declared.
    pub place: Place,
}

impl fmt::Debug for Work {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Work")
            .field("id", &self.id)
            .field("by", &self.calculation.name)
            .finish_non_exhaustive()
    }
}

/// What an input of a calculation is taken from.
#[derive(Clone, Debug, PartialEq)]
pub enum Arg {
    /// A constant.
    Constant(Quantity),
    /// A word, or a plain number.
    Word(String),
    /// A reading, fact or earlier worked value.
    Of(String),
    /// Several values.
    List(Vec<Arg>),
    /// Rows of points; each row in the order of the input's fields, absent where not given.
    Rows(Vec<Vec<Option<Arg>>>),
    /// The pairs of one reading as points.
    PairsOf(String),
}

/// Something that can be wrong with the car.
#[derive(Clone, Debug)]
pub struct Cause {
    /// Its id, shared between flows that mean the same part.
    pub id: String,
    /// Its name.
    pub name: String,
    /// How probable it is, given the complaint.
    pub odds: f64,
    /// What the repair is.
    pub repair: String,
    /// Minutes of the repair; of handing the car on, for the cause that is not listed.
    pub minutes: f64,
    /// What readings show if it is the cause.
    pub shows: Vec<Shows>,
    /// What is wrong physically.
    pub effects: Vec<Effect>,
    /// Where it is declared.
    pub place: Place,
}

/// The phases of a test, in the order in which a job runs through them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Phase {
    /// What the complaint looks like, measured.
    Symptom,
    /// The system is cut off from the rest.
    Isolate,
    /// What should not leak is closed.
    BlockOff,
    /// Smoke or gas is fed in.
    Pressurise,
    /// The search.
    Inspect,
    /// Is what was found big enough?
    Judge,
    /// The repair.
    Repair,
    /// The proof.
    Retest,
}

impl Phase {
    /// All phases in their order.
    pub const ALL: [Self; 8] = [
        Self::Symptom,
        Self::Isolate,
        Self::BlockOff,
        Self::Pressurise,
        Self::Inspect,
        Self::Judge,
        Self::Repair,
        Self::Retest,
    ];

    /// The word in a flow file and on screen.
    pub fn word(self) -> &'static str {
        match self {
            Self::Symptom => "symptom",
            Self::Isolate => "isolate",
            Self::BlockOff => "block-off",
            Self::Pressurise => "pressurise",
            Self::Inspect => "inspect",
            Self::Judge => "judge",
            Self::Repair => "repair",
            Self::Retest => "retest",
        }
    }
}

/// One step.
#[derive(Clone, Debug)]
pub struct Step {
    /// Its id.
    pub id: String,
    /// Its name on screen; the id in words where the file gives none.
    pub title: String,
    /// Its phase.
    pub phase: Phase,
    /// What to do.
    pub text: String,
    /// What fools people here.
    pub beware: String,
    /// Cautions to accept before this step.
    pub cautions: Vec<String>,
    /// Gear that this step needs, out of the flow's list.
    pub gear: Vec<String>,
    /// Minutes of the step itself.
    pub minutes: f64,
    /// How long to wait, in seconds.
    pub timer: Option<f64>,
    /// What it puts in place.
    pub set_up: Option<SetUp>,
    /// Ids of the readings that it records, in order.
    pub record: Vec<String>,
    /// Ids of the worked values that it shows.
    pub show: Vec<String>,
    /// When its readings are valid.
    pub valid_when: Option<Condition>,
    /// What to do where they are not.
    pub invalid: Option<Detour>,
    /// Its outcomes, the first that matches wins.
    pub outcomes: Vec<Outcome>,
    /// What to do where a value straddles a limit.
    pub unsure: Option<Detour>,
    /// Where the walk goes on if the step is skipped, where its author says so.
    pub skip_to: Option<Target>,
    /// Where it is declared.
    pub place: Place,
}

/// What a step puts in place, shared by the steps after it.
#[derive(Clone, Debug, Default)]
pub struct SetUp {
    /// Openings that are closed off.
    pub seal: Vec<String>,
    /// Openings that are opened again.
    pub open: Vec<String>,
    /// The supply that is on, if any.
    pub supply: Option<String>,
    /// Minutes of setting up.
    pub minutes: f64,
}

/// One way in which a step can end.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// Its id, unique in the step.
    pub id: String,
    /// When it applies.
    pub when: Condition,
    /// Why it leads where it does.
    pub because: String,
    /// Where it leads.
    pub go: Target,
    /// Causes that it rules out.
    pub rules_out: Vec<String>,
    /// It ends the flow with the complaint proved cured.
    pub proved: bool,
    /// Where it is declared.
    pub place: Place,
}

/// Where to go when the step cannot be judged.
#[derive(Clone, Debug)]
pub struct Detour {
    /// Why.
    pub because: String,
    /// Where.
    pub go: Target,
}

/// The retest after a repair.
#[derive(Clone, Debug)]
pub struct Retest {
    /// The step where it begins.
    pub from: String,
    /// What to do first, such as resetting the trims.
    pub first: String,
}

impl Flow {
    /// The step with this id.
    pub fn step(&self, id: &str) -> Option<&Step> {
        self.steps.iter().find(|step| step.id == id)
    }
    /// The reading with this id.
    pub fn reading(&self, id: &str) -> Option<&Prompt> {
        self.readings.iter().find(|reading| reading.id == id)
    }
    /// The vehicle fact with this id.
    pub fn fact(&self, id: &str) -> Option<&Prompt> {
        self.facts.iter().find(|fact| fact.id == id)
    }
    /// The reading or vehicle fact with this id.
    pub fn prompt(&self, id: &str) -> Option<&Prompt> {
        self.reading(id).or_else(|| self.fact(id))
    }
    /// The worked value with this id.
    pub fn work(&self, id: &str) -> Option<&Work> {
        self.worked.iter().find(|work| work.id == id)
    }
    /// The cause with this id.
    pub fn cause(&self, id: &str) -> Option<&Cause> {
        self.causes.iter().find(|cause| cause.id == id)
    }
    /// The gauge with this id.
    pub fn gauge(&self, id: &str) -> Option<&Gauge> {
        self.gauges.iter().find(|gauge| gauge.id == id)
    }
}
