//! The ways through a flow, with what is known of the values on each.
//!
//! Every kind of car is followed from the first step, and from where a retest begins. An outcome that is
//! taken says what the values were; what a step takes anew is forgotten there. Where ways meet, only what
//! holds on all of them is kept. A technician may leave every way by own choice: what follows from here
//! serves to spare an author what cannot come about, never to claim that something is safe.

pub mod known;

use std::collections::{BTreeMap, VecDeque};

use known::Known;

use super::outcomes::cars;
use crate::flow::condition::Condition;
use crate::flow::model::{Flow, Step};
use crate::flow::target::Target;
use crate::flow::values::{Value, Values};

/// What is known where a kind of car stands before a step.
#[derive(Clone, Debug)]
pub struct Arrival {
    /// The steps on the shortest way here, this one last.
    pub way: Vec<String>,
    /// What is known there.
    pub known: Known,
}

/// The arrivals at each step, one a kind of car and a beginning of the walk.
pub type Arrivals = BTreeMap<String, Vec<Arrival>>;

/// Follows every kind of car to every step that it can come to. From a step that is `shut` only a skip
/// leads on.
pub fn follow(flow: &Flow, shut: &dyn Fn(&Step) -> bool) -> Arrivals {
    let mut all = Arrivals::new();
    let first = flow.steps.first().map(|step| (step.id.as_str(), 1.0));
    let again = flow.retest.as_ref().map(|r| (r.from.as_str(), 2.0));
    for kind in cars::kinds(flow) {
        for (start, test) in first.into_iter().chain(again) {
            let known = of_car(&kind).with_test_from(test);
            for (id, arrival) in follow_one(flow, start, known, shut) {
                all.entry(id).or_default().push(arrival);
            }
        }
    }
    all
}

/// The facts of one kind of car.
fn of_car(kind: &Values) -> Known {
    kind.iter()
        .fold(Known::default(), |known, (id, value)| match value {
            Value::Word(word) => known.with_word(id, word),
            _ => known,
        })
}

fn follow_one(
    flow: &Flow,
    start: &str,
    known: Known,
    shut: &dyn Fn(&Step) -> bool,
) -> BTreeMap<String, Arrival> {
    let mut here: BTreeMap<String, Arrival> = BTreeMap::new();
    let mut next = VecDeque::from([(Vec::new(), start.to_owned(), known)]);
    while let Some((before, id, known)) = next.pop_front() {
        let known = match here.get(&id).map(|arrival| &arrival.known) {
            Some(old) if old.join(&known) == *old => continue,
            Some(old) => old.join(&known),
            None => known,
        };
        let arrival = here.entry(id.clone()).or_insert_with(|| Arrival {
            way: before.into_iter().chain([id.clone()]).collect(),
            known: Known::default(),
        });
        arrival.known = known.clone();
        let Some(step) = flow.step(&id) else { continue };
        let on = onward(flow, step, &known, shut(step));
        let way = arrival.way.clone();
        next.extend(on.into_iter().map(|(to, known)| (way.clone(), to, known)));
    }
    here
}

/// The steps that a walk can go on to, with what is known then.
fn onward(flow: &Flow, step: &Step, known: &Known, shut: bool) -> Vec<(String, Known)> {
    let mut ways: Vec<(&Target, Known)> = Vec::new();
    ways.extend(step.skip_to.iter().map(|go| (go, known.clone())));
    if !shut {
        ways.extend(judged(flow, step, known));
    }
    ways.into_iter()
        .filter_map(|(go, known)| match go {
            Target::Step(id) => Some((id.clone(), known)),
            _ => None,
        })
        .collect()
}

/// Where a step's own rules can lead, with what is known then.
fn judged<'f>(flow: &Flow, step: &'f Step, known: &Known) -> Vec<(&'f Target, Known)> {
    let read = known.clone().without(flow, &step.record);
    let mut ways: Vec<(&Target, Known)> = Vec::new();
    ways.extend(step.invalid.iter().map(|d| (&d.go, read.clone())));
    let mut left = match &step.valid_when {
        Some(valid) => read.clone().where_it(flow, valid, true),
        None => Some(read.clone()),
    };
    let mut settled = step.valid_when.is_none();
    for outcome in &step.outcomes {
        let Some(known) = left else { break };
        settled &= known.excludes(flow, &outcome.when) || known.settles(flow, &outcome.when);
        let taken = known.clone().where_it(flow, &outcome.when, true);
        ways.extend(taken.map(|known| (&outcome.go, known)));
        left = known.where_it(flow, &outcome.when, false);
    }
    // Where what is known settles everything, nothing is left to be unsure about.
    if !settled {
        ways.extend(step.unsure.iter().map(|d| (&d.go, read.clone())));
    }
    ways
}

/// The conditions of a step, in the order in which they are looked at.
pub fn conditions(step: &Step) -> impl Iterator<Item = &Condition> {
    let outcomes = step.outcomes.iter().map(|outcome| &outcome.when);
    step.valid_when.iter().chain(outcomes)
}
