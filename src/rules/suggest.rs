//! What the flow's own rules say about the current step, in words, with the values behind it.

use crate::engine::job::Job;
use crate::engine::{judge, shown};
use crate::flow::choice::{Choice, name, unit_of};
use crate::flow::condition::Truth;
use crate::flow::model::{Flow, Outcome, Step};
use crate::flow::target::Target;
use crate::flow::values::{TEST_NUMBER, Value};
use crate::flow::working::Picture;
use crate::physics::orifice::diameter;
use crate::physics::uncertainty::Estimate;
use crate::units::{Dimension, Unit};

/// A suggestion.
#[derive(Clone, Debug, PartialEq)]
pub struct Suggestion {
    /// What kind it is.
    pub kind: Kind,
    /// The outcome that applies, where one does.
    pub outcome: Option<String>,
    /// The reason, in the author's words or the engine's.
    pub because: String,
    /// Where it leads, in words; empty where it leads nowhere by itself.
    pub leads_to: String,
    /// The values that made it: name and value.
    pub values: Vec<(String, String)>,
    /// For "why": each outcome's condition in English and what it comes to.
    pub why: Vec<String>,
}

/// The kinds of suggestion.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// An outcome applies by what was read.
    Clear,
    /// An outcome applies by what was known before: the car, the number of the test, or always.
    Onward,
    /// It cannot be told.
    Unsure,
    /// The readings are not valid.
    NotValid,
    /// Readings are missing.
    Incomplete,
    /// No outcome applies.
    NoMatch,
}

/// What the rules say about the current step; nothing where no step is walked.
pub fn suggest(job: &Job) -> Option<Suggestion> {
    let run = job.run()?;
    let step = run.step()?;
    let picture = judge::picture_now(job)?;
    let choice = judge::choice_now(job, &picture)?;
    let flow = &run.flow;
    let (kind, outcome, because) = match &choice {
        Choice::Matches(outcome) => (
            if judge::by_readings(flow, outcome) {
                Kind::Clear
            } else {
                Kind::Onward
            },
            Some(outcome.id.clone()),
            outcome.because.clone(),
        ),
        Choice::NotValid { why, detour } => (
            Kind::NotValid,
            None,
            joined(why, detour.map(|d| d.because.as_str())),
        ),
        Choice::Unsure {
            straddled, detour, ..
        } => {
            let why = if straddled.is_empty() {
                "something could not be told".to_owned()
            } else {
                straddled.join("; ")
            };
            (
                Kind::Unsure,
                None,
                joined(&why, detour.map(|d| d.because.as_str())),
            )
        }
        Choice::Incomplete { missing, .. } => {
            let names: Vec<String> = missing.iter().map(|id| id.replace('-', " ")).collect();
            (
                Kind::Incomplete,
                None,
                format!("still to be read: {}", names.join(", ")),
            )
        }
        Choice::NoMatch => (
            Kind::NoMatch,
            None,
            "no outcome of this step fits these readings".to_owned(),
        ),
    };
    Some(Suggestion {
        kind,
        outcome,
        because,
        leads_to: choice
            .target()
            .map(|t| leads_to(flow, step, t))
            .unwrap_or_default(),
        values: values(flow, step, &picture),
        why: why(flow, step, &picture),
    })
}

/// Where the walk goes from a step; back to the step itself is no way onward.
fn leads_to(flow: &Flow, step: &Step, go: &Target) -> String {
    match go {
        Target::Step(id) if *id == step.id => "ask this step again".to_owned(),
        go => target(flow, go),
    }
}

fn joined(first: &str, second: Option<&str>) -> String {
    match second {
        Some(second) if !second.is_empty() => format!("{first}. {second}"),
        _ => first.to_owned(),
    }
}

/// Where an outcome leads, in words.
pub fn target(flow: &Flow, target: &Target) -> String {
    match target {
        Target::Step(id) => flow
            .step(id)
            .map_or_else(|| id.clone(), |step| format!("on to: {}", step.title)),
        Target::Repair(id) => {
            let cause = flow.cause(id);
            format!("repair: {}", cause.map_or(id.as_str(), |c| c.name.as_str()))
        }
        Target::Flow(id) => format!("next flow: {}", id.replace('-', " ")),
        Target::Done => "this flow is done".to_owned(),
    }
}

/// Name and value of what a step shows or decides by, each once.
pub fn values(flow: &Flow, step: &Step, picture: &Picture) -> Vec<(String, String)> {
    // What was read stands on the screen already; here is what was worked out of it.
    let decides = step
        .outcomes
        .iter()
        .flat_map(|o| o.when.subjects())
        .filter(|id| flow.work(id).is_some());
    let mut ids: Vec<&str> = Vec::new();
    for id in step.show.iter().map(String::as_str).chain(decides) {
        if !ids.contains(&id) {
            ids.push(id);
        }
    }
    ids.into_iter()
        .filter_map(|id| Some((name(flow, id), value(flow, id, picture)?)))
        .collect()
}

/// A value in words; nothing where it is not known or not asked on this car.
pub fn value(flow: &Flow, id: &str, picture: &Picture) -> Option<String> {
    match picture.values.get(id)? {
        Value::Number(estimate) => {
            let unit = unit_of(flow, id);
            let mut shown = shown::estimate(estimate, unit);
            shown.push_str(&as_a_hole(estimate, unit));
            Some(match more_than_all(flow, id, estimate, picture) {
                Some(words) => format!("{shown}: {words}"),
                None => shown,
            })
        }
        Value::Word(word) => Some(word.clone()),
        Value::Places(places) if places.is_empty() => Some("nowhere".to_owned()),
        Value::Places(places) => Some(places.iter().cloned().collect::<Vec<_>>().join(", ")),
        Value::Untold => Some("could not be told".to_owned()),
        Value::Refused(why) => Some(format!("cannot be worked: {why}")),
        Value::NotApplicable | Value::LeftOut => None,
    }
}

/// An area as the round hole of its size, so that it can be compared with holes that stand beside it.
fn as_a_hole(estimate: &Estimate, unit: Option<Unit>) -> String {
    let is_area = unit.is_some_and(|unit| unit.dimension() == Dimension::Area);
    if !is_area || estimate.value <= 0.0 || !estimate.value.is_finite() {
        return String::new();
    }
    let across = Estimate {
        value: diameter(estimate.value),
        low: diameter(estimate.low.max(0.0)),
        high: diameter(estimate.high),
    };
    let hole = shown::estimate(&across, Some(Unit::default_for(Dimension::Length)));
    // Its range is that of the area.
    let hole = hole.split(" (").next().unwrap_or_default();
    format!(", a hole of {hole}")
}

/// What a share above all of it means, which no share of anything can be taken by its word. After a repair it is a share
/// of what is left of the complaint, and where next to nothing is left any wisp is many times that.
fn more_than_all(
    flow: &Flow,
    id: &str,
    share: &Estimate,
    picture: &Picture,
) -> Option<&'static str> {
    let all = 1.0;
    let test = match picture.values.get(TEST_NUMBER) {
        Some(Value::Number(number)) => number.value,
        _ => 1.0,
    };
    match flow.is_share(id) {
        true if share.value > all && test > 1.0 => {
            Some("measured by what is left of the complaint in this test")
        }
        true if share.low > all => Some("more is open than the complaint needs"),
        true if share.value > all => Some("as much is open as the complaint needs"),
        _ => None,
    }
}

/// When the readings count at all, where the flow says so, then each outcome.
fn why(flow: &Flow, step: &Step, picture: &Picture) -> Vec<String> {
    let valid = step.valid_when.iter().map(|valid| {
        let english = valid.english(&|id| name(flow, id));
        let comes_to = comes_to(valid.truth(&picture.values));
        format!("the readings count when {english}: {comes_to}")
    });
    let outcomes = step.outcomes.iter();
    valid
        .chain(outcomes.map(|outcome| why_outcome(flow, outcome, picture)))
        .collect()
}

fn comes_to(truth: Truth) -> &'static str {
    match truth {
        Truth::Yes => "yes",
        Truth::No => "no",
        Truth::Straddles => "cannot tell",
        Truth::Unknown => "not known yet",
    }
}

fn why_outcome(flow: &Flow, outcome: &Outcome, picture: &Picture) -> String {
    let comes_to = comes_to(outcome.when.truth(&picture.values));
    let english = outcome.when.english(&|id| name(flow, id));
    let leads = target(flow, &outcome.go);
    format!("{leads}, when {english}: {comes_to}")
}
