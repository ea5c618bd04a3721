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
    let ring = no_way_out(flow);
    let mut found: Vec<Finding> = dead_ends(flow).collect();
    // What stands behind such a ring is reached once it is opened.
    if ring.is_none() {
        found.extend(unreached(flow));
    }
    found.extend(ring);
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
pub fn no_way_out(flow: &Flow) -> Option<Finding> {
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
    if let Some(own) = leads_to_itself(flow, first) {
        return Some(own);
    }
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

/// A step of which every outcome leads back to it: most often a slip in its `go`.
fn leads_to_itself(flow: &Flow, step: &Step) -> Option<Finding> {
    let own = Target::Step(step.id.clone());
    if !ways(step).iter().all(|way| *way.go == own) {
        return None;
    }
    let outcome = step.outcomes.first()?;
    let after = flow.steps.iter().skip_while(|other| other.id != step.id);
    let help = match after.skip(1).map(|next| &next.id).next() {
        Some(next) => format!("let it lead on, such as go: {next}"),
        None => "let it lead on, such as go: done".to_owned(),
    };
    Some(Finding::error(
        code::NO_WAY_OUT,
        outcome.place,
        format!(
            "`{}` leads only to itself, so that the walk never ends",
            step.id
        ),
        help,
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
