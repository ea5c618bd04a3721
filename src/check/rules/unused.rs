//! What is declared is used: a reading that no step records, a worked value that nothing shows or
//! judges by, a cause that no outcome finds, and a gauge that nothing is read on, are leftovers.

use std::collections::BTreeSet;

use super::as_said::{known, walk};
use super::signs::share;
use crate::engine::judge::rests_on;
use crate::flow::condition::{Check, Condition};
use crate::flow::finding::{Finding, code};
use crate::flow::load::causes::NOT_LISTED;
use crate::flow::model::{Arg, Cause, Flow, Limit, PromptKind};
use crate::flow::target::Target;

pub fn check(flow: &Flow) -> Vec<Finding> {
    let mut found = readings(flow);
    found.extend(facts(flow));
    found.extend(worked(flow));
    found.extend(causes(flow));
    found
}

fn readings(flow: &Flow) -> Vec<Finding> {
    let recorded: BTreeSet<&str> = flow
        .steps
        .iter()
        .flat_map(|s| &s.record)
        .map(String::as_str)
        .collect();
    flow.readings
        .iter()
        .filter(|reading| !recorded.contains(reading.id.as_str()))
        .map(|reading| {
            Finding::warning(
                code::UNUSED,
                reading.place,
                format!("no step records `{}`", reading.id),
                "name it in a step's `record`, or delete it",
            )
        })
        .collect()
}

/// A fact is asked of somebody who stands beside the car: for nothing, where nothing uses it.
fn facts(flow: &Flow) -> Vec<Finding> {
    let mut used = named(flow);
    used.extend(
        flow.readings
            .iter()
            .filter_map(|reading| match &reading.kind {
                PromptKind::Quantity(q) => match &q.never_above {
                    Some(Limit::Fact(id)) => Some(id.as_str()),
                    _ => None,
                },
                _ => None,
            }),
    );
    flow.facts
        .iter()
        .filter(|fact| !used.contains(fact.id.as_str()))
        .map(|fact| {
            Finding::warning(
                code::UNUSED,
                fact.place,
                format!("`{}` is asked of the car, and nothing uses it", fact.id),
                "name it in a condition, a calculation or a `never above`, or delete it",
            )
        })
        .collect()
}

fn worked(flow: &Flow) -> Vec<Finding> {
    let used = named(flow);
    flow.worked
        .iter()
        .filter(|work| !used.contains(work.id.as_str()))
        .map(|work| {
            Finding::warning(
                code::UNUSED,
                work.place,
                format!("nothing shows `{}` or judges by it", work.id),
                "name it in a step's `show` or in a condition, or delete it",
            )
        })
        .collect()
}

/// Every id that is shown, judged by, worked from, or part of what a cause looks like.
fn named(flow: &Flow) -> BTreeSet<&str> {
    let mut used: BTreeSet<&str> = BTreeSet::new();
    for step in &flow.steps {
        used.extend(step.show.iter().map(String::as_str));
        used.extend(step.conditions().flat_map(Condition::subjects));
    }
    for work in &flow.worked {
        for (_, arg) in &work.inputs {
            mentioned(arg, &mut used);
        }
    }
    let shown = flow
        .healthy
        .iter()
        .chain(flow.causes.iter().flat_map(|cause| &cause.shows));
    used.extend(shown.map(|shows| shows.id.as_str()));
    let prompts = flow.readings.iter().chain(&flow.facts);
    used.extend(
        prompts
            .filter_map(|p| p.only_if.as_ref())
            .flat_map(Condition::subjects),
    );
    used
}

fn mentioned<'f>(arg: &'f Arg, used: &mut BTreeSet<&'f str>) {
    match arg {
        Arg::Constant(_) | Arg::Word(_) => {}
        Arg::Of(id) | Arg::PairsOf(id) => {
            used.insert(id);
        }
        Arg::List(items) => items.iter().for_each(|item| mentioned(item, used)),
        Arg::Rows(rows) => {
            rows.iter()
                .flatten()
                .flatten()
                .for_each(|item| mentioned(item, used));
        }
    }
}

/// Whether an outcome asks for what a cause shows and a sound car does not, and from there its test comes to an end
/// that is no repair: whoever reads that end has found it, and another flow may repair it.
fn is_found(flow: &Flow, cause: &Cause) -> bool {
    let car = known(flow, &cause.shows);
    let ends = |go: &Target| match go {
        Target::Done | Target::Flow(_) => true,
        Target::Repair(_) => false,
        Target::Step(id) => {
            let (met, _) = walk(flow, id, &car);
            let mut ways = met.iter().flat_map(|(_, ways)| ways);
            ways.any(|way| matches!(way.go, Target::Done | Target::Flow(_)))
        }
    };
    let mut outcomes = flow.steps.iter().flat_map(|step| &step.outcomes);
    outcomes.any(|outcome| {
        let asks = asked(&outcome.when).into_iter();
        let mut asks = asks.filter_map(|(subject, check)| tells(flow, cause, subject, check));
        asks.any(|tells| tells) && !car.excludes(flow, &outcome.when) && ends(&outcome.go)
    })
}

/// Whether a check is met rather by a car with a cause than by a sound one; nothing where the cause says nothing.
fn tells(flow: &Flow, cause: &Cause, subject: &str, check: Option<&Check>) -> Option<bool> {
    let own = cause.shows.iter().find(|shows| shows.id == subject);
    if let (Some(shows), Some(check)) = (own, check) {
        let sound = flow.healthy.iter().find(|sound| sound.id == subject);
        let of_sound = sound.map_or(0.0, |sound| share(flow, sound, check));
        return Some(share(flow, shows, check) > of_sound);
    }
    // What is denied, what is worked from what it shows, or the other way about, may tell it.
    let rests = |id: &str| rests_on(flow, id, subject) || rests_on(flow, subject, id);
    cause
        .shows
        .iter()
        .any(|shows| rests(&shows.id))
        .then_some(true)
}

/// Every check in a condition, however it is joined; what is denied goes without its check.
fn asked(condition: &Condition) -> Vec<(&str, Option<&Check>)> {
    match condition {
        Condition::Always => Vec::new(),
        Condition::All(parts) | Condition::Any(parts) => parts.iter().flat_map(asked).collect(),
        Condition::None(_) => {
            let denied = condition.subjects().into_iter();
            denied.map(|subject| (subject, None)).collect()
        }
        Condition::Test { subject, check } => vec![(subject, Some(check))],
    }
}

fn causes(flow: &Flow) -> Vec<Finding> {
    let mut used: BTreeSet<&str> = BTreeSet::from([NOT_LISTED]);
    for step in &flow.steps {
        for outcome in &step.outcomes {
            used.extend(outcome.may_rule_out());
            if let Target::Repair(cause) = &outcome.go {
                used.insert(cause);
            }
        }
    }
    let gauges: BTreeSet<&str> = flow
        .readings
        .iter()
        .chain(&flow.facts)
        .filter_map(|prompt| match &prompt.kind {
            PromptKind::Quantity(q) => q.gauge.as_deref(),
            PromptKind::Pairs(pairs) => pairs.gauge.as_ref().map(|(id, _)| id.as_str()),
            _ => None,
        })
        .collect();
    let unused_gauges = flow
        .gauges
        .iter()
        .filter(|gauge| !gauges.contains(gauge.id.as_str()));
    let leftover =
        |what: String, place, help: &str| Finding::warning(code::UNUSED, place, what, help);
    flow.causes
        .iter()
        // What physics makes of an effect, nobody can say here.
        .filter(|cause| cause.effects.is_empty() && !used.contains(cause.id.as_str()))
        .filter(|cause| !is_found(flow, cause))
        .map(|cause| {
            let id = &cause.id;
            let (what, help) = if cause.shows.is_empty() {
                (
                    format!("no outcome repairs `{id}` or rules it out"),
                    "let an outcome lead to its repair, or delete it".to_owned(),
                )
            } else {
                (
                    format!("no outcome finds `{id}`, repairs it or rules it out"),
                    format!("add an outcome that asks for what it shows, with go: {{repair: {id}}}; or delete it"),
                )
            };
            leftover(what, cause.place, &help)
        })
        .chain(unused_gauges.map(|gauge| {
            let what = format!("nothing is read on the gauge `{}`", gauge.id);
            leftover(
                what,
                gauge.place,
                "name it in a reading's `gauge`, or delete it",
            )
        }))
        .collect()
}
