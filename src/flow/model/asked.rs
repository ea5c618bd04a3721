//! What a flow asks: readings and vehicle facts, and the gauges that they are read on.

use crate::flow::condition::{Condition, NOWHERE};
use crate::flow::log_key::LogKey;
use crate::flow::meaning::Meaning;
use crate::flow::node::Place;
use crate::units::{Quantity, Unit};

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
    /// What it is on the car, where the flow says so.
    pub is: Option<Meaning>,
    /// Where it is declared.
    pub place: Place,
}

impl Prompt {
    /// What it is on the car: as the flow says, or by what a log fills it with.
    pub fn meaning(&self) -> Option<Meaning> {
        self.is.clone().or_else(|| self.log.map(Meaning::of_log))
    }

    /// Whether it asks where something is heard, wet or felt by a list of which one is chosen, with a word for nowhere.
    pub fn is_search_by_choice(&self) -> bool {
        matches!(&self.kind, PromptKind::Choice(words) if words.iter().any(|word| word == NOWHERE))
    }
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
    Pairs(Box<PairsPrompt>),
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

impl QuantityPrompt {
    /// From where to where (SI) a reading comes to an outcome: the plausible range, where a number of
    /// its own does not stop the step before its upper end. A limit below the whole range leaves nothing
    /// to judge; then the range itself is given.
    pub fn judged(&self) -> Option<(f64, f64)> {
        let limit = match &self.never_above {
            Some(Limit::Constant(limit)) => limit.si(),
            Some(Limit::Fact(_)) | None => f64::INFINITY,
        };
        let (from, to) = match self.plausible {
            Some((from, to)) => (from.si(), to.si()),
            None if limit.is_finite() => return Some((f64::NEG_INFINITY, limit)),
            None => return None,
        };
        let to_limit = if limit < from { to } else { to.min(limit) };
        Some((from, to_limit))
    }
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
    /// The gauge that one of the columns (0 or 1) is read on: its bias is shared by all pairs.
    pub gauge: Option<(String, usize)>,
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

impl Gauge {
    /// One of its own errors that is of another kind than a unit, so that it cannot read in it.
    pub fn reads_otherwise(&self, unit: Unit) -> Option<Quantity> {
        let accuracy = match self.accuracy {
            Some(Tolerance::Absolute(q) | Tolerance::Both(_, q)) => Some(q),
            _ => None,
        };
        let mut kinds = [accuracy, self.resolution].into_iter().flatten();
        kinds.find(|q| q.dimension() != unit.dimension())
    }

    /// Whether it may read in a unit, as far as its own errors tell.
    pub fn may_read(&self, unit: Unit) -> bool {
        self.reads_otherwise(unit).is_none()
    }
}
