//! What is declared is used: a reading that no step records, a worked value that nothing shows or
//! judges by, a cause that no outcome repairs, and a gauge that nothing is read on, are leftovers.

use std::collections::BTreeSet;

use crate::flow::condition::Condition;
use crate::flow::finding::{Finding, code};
use crate::flow::load::causes::NOT_LISTED;
use crate::flow::model::{Arg, Flow, Limit, PromptKind};
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
        // A cause with a signature is reasoned about, even where another flow repairs it.
        .filter(|cause| cause.shows.is_empty() && cause.effects.is_empty())
        .filter(|cause| !used.contains(cause.id.as_str()))
        .map(|cause| {
            let what = format!("no outcome repairs `{}` or rules it out", cause.id);
            leftover(
                what,
                cause.place,
                "let an outcome lead to its repair, or delete it",
            )
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
