//! A supply that feeds in outside of the phase `pressurise` has its limit all the same.
//!
//! A supply stands from the step that sets it up until another takes its place, or until the walk leaves the
//! phases in which a system is under test. Where it stands, a pressure that is read needs a limit like any
//! other that a supply makes.

use std::collections::BTreeSet;

use super::pressures::{is_limited, pressures, without_supply};
use crate::check::draw::ways;
use crate::flow::finding::{Finding, code};
use crate::flow::model::{Flow, Phase, Prompt, Step};
use crate::flow::system::plain;
use crate::flow::target::Target;

/// A pressure without a limit, read in the step that sets up the supply or in one to which it stands; or, where
/// nothing else was found, no limit anywhere in the flow.
pub fn check(flow: &Flow, nothing_else: bool) -> Option<Finding> {
    let feeding = || flow.steps.iter().filter(|step| feeds(step));
    let itself = feeding()
        .filter(|step| step.phase != Phase::Pressurise)
        .find_map(|step| Some((step, step, unlimited(flow, step).next()?)));
    let found = itself.or_else(|| feeding().find_map(|from| by_another(flow, from)));
    if let Some((from, step, prompt)) = found {
        return Some(without_limit(from, step, prompt));
    }
    let is_limited = flow.facts.iter().chain(&flow.readings).any(is_limited);
    let step = feeding().next().filter(|_| nothing_else && !is_limited)?;
    Some(unguarded_supply(
        step,
        format!(
            "`{}` has a supply, and nothing that this flow reads has a limit",
            step.id
        ),
        "record the pressure of the supply, with `never above:` and what this system bears"
            .to_owned(),
    ))
}

/// The pressures that a step reads and a supply makes, of which none has a limit.
fn unlimited<'f>(flow: &'f Flow, step: &'f Step) -> impl Iterator<Item = &'f Prompt> {
    pressures(flow, step).filter(|prompt| !is_limited(prompt) && !without_supply(prompt))
}

/// A step to which the supply of another stands, with a pressure that it reads. One with a limit watches over
/// those that are read beside it.
fn by_another<'f>(flow: &'f Flow, from: &'f Step) -> Option<(&'f Step, &'f Step, &'f Prompt)> {
    let watched = |step: &Step| pressures(flow, step).any(is_limited);
    let stands = fed_from(flow, from).into_iter();
    let stands = stands.filter(|step| matches!(step.phase, Phase::Inspect | Phase::BlockOff));
    let mut open = stands.filter(|step| !watched(step));
    open.find_map(|step| Some((from, step, unlimited(flow, step).next()?)))
}

fn feeds(step: &Step) -> bool {
    supply(step).is_some_and(makes_pressure)
}

fn supply(step: &Step) -> Option<&str> {
    step.set_up.as_ref()?.supply.as_deref()
}

/// The steps to which the supply of a step still stands, in the order of the file.
fn fed_from<'f>(flow: &'f Flow, from: &'f Step) -> Vec<&'f Step> {
    let mut met: BTreeSet<&str> = BTreeSet::new();
    let mut next: Vec<&Step> = vec![from];
    while let Some(step) = next.pop() {
        let changes = step.id != from.id && supply(step).is_some();
        let under_test = matches!(
            step.phase,
            Phase::BlockOff | Phase::Pressurise | Phase::Inspect | Phase::Judge
        );
        let stands = step.id == from.id || (under_test && !changes);
        if !stands || !met.insert(&step.id) {
            continue;
        }
        for way in ways(step) {
            if let Target::Step(id) = way.go {
                next.extend(flow.step(id));
            }
        }
    }
    met.remove(from.id.as_str());
    flow.steps
        .iter()
        .filter(|step| met.contains(step.id.as_str()))
        .collect()
}

fn without_limit(from: &Step, step: &Step, prompt: &Prompt) -> Finding {
    let (id, at) = (&prompt.id, &step.id);
    let supply = if from.id == step.id {
        "has a supply".to_owned()
    } else {
        format!("stands under the supply of `{}`", from.id)
    };
    unguarded_supply(
        step,
        format!(
            "`{at}` {supply} and reads `{id}`, which has no limit, outside of the phase pressurise"
        ),
        format!(
            "give `{id}` a limit with `never above:`, and the step `phase: pressurise` with a block-off before it"
        ),
    )
}

/// Whether a supply can bring a system above what it bears, by what it is called: all but those that draw, and
/// those that blow into an open space (common practice, no source).
fn makes_pressure(supply: &str) -> bool {
    let supply = plain(supply);
    !["vacuum", "blower", "fan"]
        .iter()
        .any(|word| supply.contains(word))
}

fn unguarded_supply(step: &Step, message: String, help: String) -> Finding {
    Finding::warning(code::UNGUARDED_SUPPLY, step.place, message, help)
}
