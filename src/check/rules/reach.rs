//! Every step can be reached, and from every step the walk can end.
//!
//! A step that nothing leads to is a leftover or a mistyped `go`. A step without outcomes is a dead
//! end. Steps that lead only to one
//! another keep a technician going round for ever: from each, some way must lead to `done`, to a
//! repair or to another flow.

use std::collections::BTreeSet;

use crate::check::draw::text::reached;
use crate::check::draw::ways;
use crate::flow::finding::{Finding, code};
use crate::flow::model::{Flow, Step};
use crate::flow::target::Target;

pub fn check(flow: &Flow) -> Vec<Finding> {
    let mut found = unreached(flow);
    found.extend(dead_ends(flow));
    found.extend(no_way_out(flow));
    found
}

fn unreached(flow: &Flow) -> Vec<Finding> {
    let reached: BTreeSet<&str> = reached(flow).iter().map(|step| step.id.as_str()).collect();
    flow.steps
        .iter()
        .filter(|step| !reached.contains(step.id.as_str()))
        .map(|step| {
            Finding::error(
                code::UNREACHED,
                step.place,
                format!("no step leads to `{}`", step.id),
                format!(
                    "let an outcome of an earlier step `go: {}`, or delete the step",
                    step.id
                ),
            )
        })
        .collect()
}

/// A step with no outcome: there the technician stands, and nothing says what comes next.
fn dead_ends(flow: &Flow) -> impl Iterator<Item = Finding> {
    let dead = flow.steps.iter().filter(|step| step.outcomes.is_empty());
    dead.map(|step| {
        Finding::error(
            code::DEAD_END,
            step.place,
            format!("`{}` has no outcome, so it leads nowhere", step.id),
            "add one, such as outcomes: [{when: always, go: done}]",
        )
    })
}

/// Steps from which no way leads out of the flow. Only the first of a ring is named, with the rest.
fn no_way_out(flow: &Flow) -> Option<Finding> {
    let mut ends: BTreeSet<&str> = BTreeSet::new();
    loop {
        let before = ends.len();
        for step in &flow.steps {
            if leaves(step, &ends) {
                ends.insert(&step.id);
            }
        }
        if ends.len() == before {
            break;
        }
    }
    let ring: Vec<&Step> = flow
        .steps
        .iter()
        .filter(|s| !ends.contains(s.id.as_str()))
        .collect();
    let first = ring.first()?;
    let names: Vec<&str> = ring.iter().map(|step| step.id.as_str()).collect();
    Some(Finding::error(
        code::NO_WAY_OUT,
        first.place,
        format!(
            "from here the walk never ends: {} lead only to one another",
            names.join(", ")
        ),
        "let one of their outcomes `go: done`, to a repair or to another flow",
    ))
}

/// A dead end is reported as such, and not once more for every step that leads to it.
fn leaves(step: &Step, ends: &BTreeSet<&str>) -> bool {
    step.outcomes.is_empty()
        || ways(step).iter().any(|way| match way.go {
            Target::Step(id) => ends.contains(id.as_str()),
            Target::Repair(_) | Target::Flow(_) | Target::Done => true,
        })
}
