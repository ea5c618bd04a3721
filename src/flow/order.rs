//! Which steps come before which: what all ways from a flow's first step lead through.

use std::collections::BTreeSet;

use super::condition::Truth;
use super::meaning::{Plain, State, What};
use super::model::{Flow, Outcome, Phase, Prompt, Step};
use super::target::Target;
use super::values::{TEST_NUMBER, Value, Values};

/// For each step, the steps that all ways from the first one lead through, by their places in the
/// flow; nothing for a step that no way leads to on this car.
///
/// Ways that the vehicle's facts close are left out, and of those that the readings close the ones to
/// a step that covers a place: there is none to cover where none shows. Otherwise readings close no
/// way: whoever doubts what the flow makes of them can go on with every test.
pub fn before(flow: &Flow, values: &Values) -> Vec<Option<BTreeSet<usize>>> {
    let facts = facts_only(flow, values);
    let n = flow.steps.len();
    let ways: Vec<Vec<usize>> = flow
        .steps
        .iter()
        .map(|step| ways(flow, step, &facts, values))
        .collect();
    let mut sets: Vec<Option<BTreeSet<usize>>> = vec![None; n];
    if n == 0 {
        return sets;
    }
    sets[0] = Some(BTreeSet::new());
    let mut changed = true;
    while changed {
        changed = false;
        for from in 0..n {
            let Some(behind) = sets[from].clone() else {
                continue;
            };
            let through: BTreeSet<usize> = behind.into_iter().chain([from]).collect();
            for to in &ways[from] {
                let new = match &sets[*to] {
                    None => through.clone(),
                    Some(known) => known.intersection(&through).copied().collect(),
                };
                if sets[*to].as_ref() != Some(&new) && *to != 0 {
                    sets[*to] = Some(new);
                    changed = true;
                }
            }
        }
    }
    for (place, set) in sets.iter_mut().enumerate() {
        if let Some(set) = set {
            set.remove(&place);
        }
    }
    sets
}

/// Whether a step does no more than judge what was read: it puts nothing in place for another, so that whoever
/// comes to that one by another way need not have been here.
pub fn only_judges(step: &Step) -> bool {
    matches!(step.phase, Phase::Judge | Phase::Retest) && step.set_up.is_none()
}

/// The steps of the same flow to which a step's outcomes lead, each once.
pub fn leads_to<'f>(flow: &'f Flow, step: &'f Step) -> BTreeSet<&'f str> {
    let led = step
        .outcomes
        .iter()
        .filter_map(|outcome| match &outcome.go {
            Target::Step(id) if flow.step(id).is_some() => Some(id.as_str()),
            _ => None,
        });
    led.collect()
}

fn ways(flow: &Flow, step: &Step, facts: &Values, values: &Values) -> Vec<usize> {
    let by = |outcome: &Outcome| match &outcome.go {
        Target::Step(id) if flow.step(id).is_some_and(|step| covers(flow, step)) => values,
        _ => facts,
    };
    let open = step
        .outcomes
        .iter()
        .filter(|outcome| outcome.when.truth(by(outcome)) != Truth::No);
    let detours = step.invalid.iter().chain(&step.unsure).map(|d| &d.go);
    let place = |go: &Target| match go {
        Target::Step(id) => flow.steps.iter().position(|s| s.id == *id),
        _ => None,
    };
    open.map(|o| &o.go)
        .chain(detours)
        .filter_map(place)
        .collect()
}

/// Whether a step reads something with a place covered.
fn covers(flow: &Flow, step: &Step) -> bool {
    let readings = step.record.iter().filter_map(|id| flow.reading(id));
    readings
        .filter_map(Prompt::meaning)
        .any(|m| m.state == State::PlaceCovered || m.what == What::Plain(Plain::CoveredPlace))
}

fn facts_only(flow: &Flow, values: &Values) -> Values {
    let mut facts = Values::default();
    for (id, value) in values.iter() {
        if id == TEST_NUMBER || flow.fact(id).is_some() || *value == Value::NotApplicable {
            facts.set(id, value.clone());
        }
    }
    facts
}
