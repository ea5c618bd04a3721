//! A repair can be proved, and nothing is called proved before there is a repair.
//!
//! An end with `proved` is for the test after a repair. Which ends the first test can reach is told by
//! the ways from the first step, with the number of the test at 1 and nothing else known. A flow that
//! repairs must have such an end where its retest can reach it.

use std::collections::BTreeSet;

use crate::flow::condition::Truth;
use crate::flow::finding::{Finding, code};
use crate::flow::model::{Flow, Outcome, Step};
use crate::flow::target::Target;
use crate::flow::values::{TEST_NUMBER, Value, Values};
use crate::physics::uncertainty::Estimate;

pub fn check(flow: &Flow) -> Vec<Finding> {
    let Some(first) = flow.steps.first() else {
        return Vec::new();
    };
    let sooner = open_outcomes(flow, first, 1.0);
    let mut found: Vec<Finding> = sooner
        .iter()
        .filter(|outcome| proves(outcome))
        .map(|outcome| too_soon(outcome))
        .collect();
    let again = flow.retest.as_ref().and_then(|r| flow.step(&r.from));
    let later = again.map_or_else(Vec::new, |from| open_outcomes(flow, from, 2.0));
    if !later.iter().any(|outcome| proves(outcome)) {
        let repairs = |o: &&&Outcome| matches!(o.go, Target::Repair(_));
        found.extend(sooner.iter().find(repairs).map(|outcome| never(outcome)));
    }
    found
}

fn proves(outcome: &Outcome) -> bool {
    outcome.proved && outcome.go == Target::Done
}

fn too_soon(outcome: &Outcome) -> Finding {
    Finding::warning(
        code::PROVED_TOO_SOON,
        outcome.place,
        format!(
            "`{}` calls a repair proved, and the first test can end here, before any repair",
            outcome.id
        ),
        "add test-number: {at least: 2} to its `when`, and an outcome without `proved` for test-number: {below: 2}",
    )
}

fn never(outcome: &Outcome) -> Finding {
    Finding::warning(
        code::NEVER_PROVED,
        outcome.place,
        "this leads to a repair, and no end that the retest can reach proves one",
        "add an outcome with test-number: {at least: 2} in its `when`, and go: done, proved: \"yes\"",
    )
}

/// The outcomes that can be taken in a test of this number, on the ways from a step.
fn open_outcomes<'f>(flow: &'f Flow, from: &'f Step, test: f64) -> Vec<&'f Outcome> {
    let mut known = Values::default();
    known.set(TEST_NUMBER, Value::Number(Estimate::exact(test)));
    let mut seen: BTreeSet<&str> = BTreeSet::new();
    let mut open: Vec<&Outcome> = Vec::new();
    let mut next = vec![from];
    while let Some(step) = next.pop() {
        if !seen.insert(&step.id) {
            continue;
        }
        let here = open_here(step, &known);
        let detours = step.invalid.iter().chain(&step.unsure).map(|d| &d.go);
        let ways = here
            .iter()
            .map(|o| &o.go)
            .chain(detours)
            .chain(&step.skip_to);
        for way in ways {
            if let Target::Step(id) = way {
                next.extend(flow.step(id));
            }
        }
        open.extend(here);
    }
    open.sort_by_key(|outcome| outcome.place.start);
    open
}

/// The outcomes of a step that the number of the test leaves open, up to the first that is sure.
fn open_here<'f>(step: &'f Step, known: &Values) -> Vec<&'f Outcome> {
    let mut here = Vec::new();
    for outcome in &step.outcomes {
        match outcome.when.truth(known) {
            Truth::No => {}
            Truth::Yes => {
                here.push(outcome);
                break;
            }
            Truth::Straddles | Truth::Unknown => here.push(outcome),
        }
    }
    here
}
