//! Which cars come to which step.
//!
//! A vehicle fact that is one of several words does not change on the way. So a step that is only
//! reached through `metering: {is: manifold pressure}` need not say what to do with other cars.

use std::collections::{BTreeMap, BTreeSet};

use crate::check::rules::way::conditions;
use crate::flow::condition::{Condition, Truth};
use crate::flow::model::{Flow, PromptKind, Step};
use crate::flow::target::Target;
use crate::flow::values::{Value, Values};

/// More kinds of car than this are not told apart.
const MOST: usize = 512;

/// The kinds of car, by their facts, that can come to each step.
pub struct Cars(BTreeMap<String, Vec<Values>>);

impl Cars {
    /// Follows every kind of car through the flow.
    pub fn of(flow: &Flow) -> Self {
        let mut come: BTreeMap<String, Vec<Values>> = BTreeMap::new();
        let entries = flow.steps.first().map(|s| s.id.clone()).into_iter();
        let entries = entries.chain(flow.retest.iter().map(|retest| retest.from.clone()));
        let kinds = kinds(flow);
        let mut next: Vec<(String, Values)> = entries
            .flat_map(|id| kinds.iter().map(move |kind| (id.clone(), kind.clone())))
            .collect();
        while let Some((id, kind)) = next.pop() {
            let here = come.entry(id.clone()).or_default();
            if here.contains(&kind) {
                continue;
            }
            here.push(kind.clone());
            if let Some(step) = flow.step(&id) {
                next.extend(onward(step, &kind).into_iter().map(|to| (to, kind.clone())));
            }
        }
        Self(come)
    }

    /// Whether a car with these facts can come to a step.
    pub fn can_come(&self, step: &str, values: &Values) -> bool {
        let agrees = |kind: &Values| {
            kind.iter()
                .all(|(id, value)| values.get(id).is_none_or(|other| other == value))
        };
        self.0
            .get(step)
            .is_some_and(|kinds| kinds.iter().any(agrees))
    }
}

/// Every combination of the words of the flow's facts, as far as a condition names them: by others no way parts.
pub(in crate::check::rules) fn kinds(flow: &Flow) -> Vec<Values> {
    let prompts = flow.facts.iter().chain(&flow.readings);
    let asked = prompts.filter_map(|prompt| prompt.only_if.as_ref());
    let named: BTreeSet<&str> = asked
        .chain(flow.steps.iter().flat_map(conditions))
        .flat_map(Condition::subjects)
        .collect();
    flow.facts
        .iter()
        .filter(|fact| named.contains(fact.id.as_str()))
        .fold(vec![Values::default()], |kinds, fact| {
            let PromptKind::Choice(words) = &fact.kind else {
                return kinds;
            };
            if kinds.len() * words.len() > MOST {
                return kinds;
            }
            kinds
                .iter()
                .flat_map(|kind| {
                    words.iter().map(|word| {
                        let mut kind = kind.clone();
                        kind.set(&fact.id, Value::Word(word.clone()));
                        kind
                    })
                })
                .collect()
        })
}

/// The steps to which a car can go on: by outcomes that its facts alone do not rule out, up to the
/// first that they alone make sure.
fn onward(step: &Step, kind: &Values) -> Vec<String> {
    let mut ways: Vec<&Target> = step.invalid.iter().map(|detour| &detour.go).collect();
    let mut sure = false;
    let mut open = false;
    for outcome in &step.outcomes {
        match outcome.when.truth(kind) {
            Truth::No => continue,
            Truth::Yes => sure = true,
            Truth::Straddles | Truth::Unknown => open = true,
        }
        ways.push(&outcome.go);
        if sure {
            break;
        }
    }
    // Where an outcome is sure from the start, nothing is left to be unsure about.
    if open || !sure {
        ways.extend(step.unsure.iter().map(|detour| &detour.go));
    }
    // Whatever the car, a step can be skipped.
    ways.extend(&step.skip_to);
    ways.into_iter()
        .filter_map(|go| match go {
            Target::Step(id) => Some(id.clone()),
            _ => None,
        })
        .collect()
}
