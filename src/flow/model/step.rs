//! The steps of a flow, and where each of them leads.

use crate::flow::condition::Condition;
use crate::flow::node::Place;
use crate::flow::target::Target;

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
    /// The cars on which those cautions are read, by facts alone; every car where nothing is said.
    pub cautions_only_if: Option<Condition>,
    /// Gear that this step needs, out of the flow's list.
    pub gear: Vec<String>,
    /// Minutes of the step itself.
    pub minutes: f64,
    /// How long to wait, in seconds.
    pub timer: Option<f64>,
    /// The timer waits for somebody to start it, since something is done at this step before the wait begins.
    pub timer_by_hand: bool,
    /// What it puts in place.
    pub set_up: Option<SetUp>,
    /// What else it changes on the car, in words for how each is when it is put back.
    pub put_back: Vec<String>,
    /// Ids of the readings that it records, in order.
    pub record: Vec<String>,
    /// Ids of the worked values that it shows.
    pub show: Vec<String>,
    /// When its readings are valid.
    pub valid_when: Option<Condition>,
    /// Where that is declared; the place of the step where it is not.
    pub valid_place: Place,
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

impl SetUp {
    /// Whether it has nothing to be done, but its minutes at most.
    pub fn names_nothing(&self) -> bool {
        self.seal.is_empty() && self.open.is_empty() && self.supply.is_none()
    }
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
    /// Causes that it rules out only where a condition holds: where what was set up, or what could not be tried, may
    /// have taken the cause out of the test.
    pub rules_out_if: Vec<RulesOutIf>,
    /// It ends the flow with the complaint proved cured.
    pub proved: bool,
    /// Where it is declared.
    pub place: Place,
}

/// A cause that an outcome rules out under a condition.
#[derive(Clone, Debug)]
pub struct RulesOutIf {
    /// The cause.
    pub cause: String,
    /// The condition.
    pub when: Condition,
    /// Where it is declared.
    pub place: Place,
}

impl Step {
    /// All conditions on readings that decide something here: when they count, how the step ends, and what it rules
    /// out then.
    pub fn conditions(&self) -> impl Iterator<Item = &Condition> {
        let outcomes = self.outcomes.iter().flat_map(|outcome| {
            let rules_out = outcome.rules_out_if.iter().map(|out| &out.when);
            std::iter::once(&outcome.when).chain(rules_out)
        });
        outcomes.chain(&self.valid_when)
    }
}

impl Outcome {
    /// The causes that it rules out, always or under a condition.
    pub fn may_rule_out(&self) -> impl Iterator<Item = &str> {
        let under_conditions = self.rules_out_if.iter().map(|out| &out.cause);
        self.rules_out
            .iter()
            .chain(under_conditions)
            .map(String::as_str)
    }
}

/// Where to go when the step cannot be judged.
#[derive(Clone, Debug)]
pub struct Detour {
    /// Why.
    pub because: String,
    /// Where.
    pub go: Target,
    /// Where it is declared.
    pub place: Place,
}

/// The retest after a repair.
#[derive(Clone, Debug)]
pub struct Retest {
    /// The step where it begins.
    pub from: String,
    /// What to do first, such as resetting the trims.
    pub first: String,
    /// Where it is declared.
    pub place: Place,
}
