//! Going to a step that no outcome of the present one leads to, because the evidence says that it
//! is worth more.
//!
//! The flow's order is not overruled by it: what puts the car in the state that a step needs, what
//! measures the values on which it rests and what decides whether it is reached at all must have
//! been done in this test. What stands in place and is not wanted there is named, to be taken down
//! first. Cautions and limits are asked for where the walk arrives, as everywhere.

use std::collections::BTreeSet;

use super::again::stands_on;
use super::event::Suggested;
use super::fitted::Fitted;
use super::job::{How, Job, Run, Station, Visit};
use super::judge;
use super::refusal::Refusal;
use super::weighed::Chosen;
use crate::flow::model::{Flow, Phase, SetUp, Step};
use crate::flow::order::{before, leads_to, only_judges};

/// The steps to be done before this one can be, in the order in which they can be; empty where the
/// walk may go there.
///
/// # Errors
/// Where no doing of steps helps: no such step, none to which a walk leads on this car, or one that
/// belongs to the repair and its proof.
pub fn missing<'j>(job: &'j Job, step: &str) -> Result<Vec<&'j Step>, Refusal> {
    let Some((run, visit)) = job.run().and_then(|run| Some((run, run.visit()?))) else {
        return not_now("no flow is being walked");
    };
    let flow = &run.flow;
    let Some(at) = flow.steps.iter().position(|s| s.id == step) else {
        return not_now("this flow has no such step");
    };
    let target = &flow.steps[at];
    if matches!(target.phase, Phase::Repair | Phase::Retest) {
        return not_now("only the walk itself leads to a repair's proof");
    }
    let picture = judge::picture_at(job, run, visit);
    let all = before(flow, &picture.values);
    let Some(behind) = &all[at] else {
        return not_now("on this car, and with what was read, no way leads to that step");
    };
    let done = done(job, run, visit);
    let (now, _) = standing_up(job, run, visit);
    let wanted = state_at(flow, behind, None);
    let undone = |n: &usize, target: &Step| {
        let step = &flow.steps[*n];
        let taken_down = step
            .set_up
            .as_ref()
            .is_some_and(|s| undone_by(s, &wanted, &now));
        let open = !done.contains(step.id.as_str());
        taken_down || (open && matters(flow, step, target))
    };
    // What a missing step rests on in its turn is missing as well.
    let mut missing: Vec<usize> = Vec::new();
    let mut look_at = vec![at];
    while let Some(n) = look_at.pop() {
        let before = all[n].iter().flatten();
        for first in before.filter(|first| undone(first, &flow.steps[n])) {
            if !missing.contains(first) {
                missing.push(*first);
                look_at.push(*first);
            }
        }
    }
    // The one before which nothing is missing comes first.
    missing.sort_by_key(|n| (all[*n].as_ref().map_or(0, BTreeSet::len), *n));
    Ok(missing.into_iter().map(|n| &flow.steps[n]).collect())
}

/// What stands in place now and is not part of the way to a step: to be taken down before.
pub fn left_over(job: &Job, step: &str) -> Vec<String> {
    let Some((run, visit)) = job.run().and_then(|run| Some((run, run.visit()?))) else {
        return Vec::new();
    };
    let flow = &run.flow;
    let Some(at) = flow.steps.iter().position(|s| s.id == step) else {
        return Vec::new();
    };
    let picture = judge::picture_at(job, run, visit);
    let Some(behind) = before(flow, &picture.values).swap_remove(at) else {
        return Vec::new();
    };
    let target = flow.steps[at].set_up.as_ref();
    let (_, mut perhaps) = standing_up(job, run, visit);
    if let Some(target) = target {
        perhaps.put(target);
    }
    let wanted = state_at(flow, &behind, target);
    let closed = perhaps.sealed.difference(&wanted.sealed);
    let mut out: Vec<String> = closed
        .map(|opening| Fitted::Closed((*opening).to_owned()).take_down())
        .collect();
    if let Some(supply) = perhaps.supply
        && wanted.supply != Some(supply)
    {
        out.push(Fitted::Supply(supply.to_owned()).take_down());
    }
    out
}

/// What was put in place.
#[derive(Clone, Debug, Default)]
struct State<'f> {
    sealed: BTreeSet<&'f str>,
    supply: Option<&'f str>,
}

impl<'f> State<'f> {
    fn put(&mut self, set_up: &'f SetUp) {
        self.sealed.extend(set_up.seal.iter().map(String::as_str));
        for opening in &set_up.open {
            self.sealed.remove(opening.as_str());
        }
        if let Some(supply) = &set_up.supply {
            self.supply = Some(supply);
        }
    }
}

/// What stands after these steps, in the order of the file.
fn state_at<'f>(flow: &'f Flow, steps: &BTreeSet<usize>, then: Option<&'f SetUp>) -> State<'f> {
    let mut state = State::default();
    let made = steps
        .iter()
        .filter_map(|n| flow.steps.get(*n)?.set_up.as_ref());
    for set_up in made.chain(then) {
        state.put(set_up);
    }
    state
}

/// What is in place for sure, and what may be: the present step's own set-up may be made by now.
fn standing_up<'j>(job: &Job, run: &'j Run, visit: &Visit) -> (State<'j>, State<'j>) {
    let (mut sure, mut perhaps) = (State::default(), State::default());
    for (step, passed) in passed(run, visit) {
        let Some(set_up) = &step.set_up else {
            continue;
        };
        perhaps.put(set_up);
        if is_done(job, step, passed, visit) {
            sure.put(set_up);
        }
    }
    (sure, perhaps)
}

/// Whether something that a set-up made, and that is wanted, does not stand any more.
fn undone_by(set_up: &SetUp, wanted: &State, now: &State) -> bool {
    let opened = |opening: &String| {
        wanted.sealed.contains(opening.as_str()) && !now.sealed.contains(opening.as_str())
    };
    let supply = set_up.supply.as_deref();
    set_up.seal.iter().any(opened)
        || (supply.is_some() && supply == wanted.supply && now.supply != supply)
}

/// The steps of this test up to where the walk is now, each with its visit.
fn passed<'j>(run: &'j Run, now: &Visit) -> impl Iterator<Item = (&'j Step, &'j Visit)> {
    let test = now.test;
    run.walked().iter().filter_map(move |passed| {
        let Station::Step(id) = &passed.station else {
            return None;
        };
        (passed.test == test).then_some((run.flow.step(id)?, passed))
    })
}

/// The steps that were done on the way in this test. One that led back to itself is to be done anew: a supply whose relief
/// valve does not open was not made ready, and nothing is connected to it.
fn done<'j>(job: &Job, run: &'j Run, now: &Visit) -> BTreeSet<&'j str> {
    let steps: Vec<(&Step, &Visit)> = passed(run, now).collect();
    let mut done = BTreeSet::new();
    for (n, (step, passed)) in steps.iter().enumerate() {
        let id = step.id.as_str();
        let by_outcome = matches!(&passed.left, Some(left) if matches!(left.how, How::Outcome(_)));
        if by_outcome && steps.get(n + 1).is_some_and(|(next, _)| next.id == id) {
            done.remove(id);
        } else if is_done(job, step, passed, now) {
            done.insert(id);
        }
    }
    done
}

/// Whether a step was done: ended by its own outcome or detour, or read in whole. One that only
/// prepares and is left for another may be done or not, so it counts as not done.
fn is_done(job: &Job, step: &Step, passed: &Visit, now: &Visit) -> bool {
    let read = |suggested: &Suggested| {
        let told = matches!(suggested, Suggested::Outcome(_) | Suggested::Unsure);
        told && !step.record.is_empty()
    };
    if passed.since_seq == now.since_seq {
        let picture = judge::picture_now(job).unwrap_or_default();
        let choice = judge::choice_now(job, &picture);
        return choice.is_some_and(|choice| read(&judge::suggested(&choice)));
    }
    match passed.left.as_ref().map(|left| &left.how) {
        Some(How::Outcome(taken)) => {
            let by_flow = match &taken.weighed {
                Some(weighed) => weighed.taken == Chosen::Flow,
                None => true,
            };
            by_flow || read(&taken.suggested)
        }
        _ => false,
    }
}

/// Whether a step that all ways lead through must really be done before another: it puts something
/// in place or makes the car safe, what the other one says rests on it, or it decides whether the
/// other one is reached. A mere row of tests may be taken in any order, and what only judges is left
/// to whoever knows better.
fn matters(flow: &Flow, step: &Step, target: &Step) -> bool {
    let judges = only_judges(step);
    let prepares = step.set_up.is_some() || (step.record.is_empty() && !judges);
    let safe = matches!(
        step.phase,
        Phase::Isolate | Phase::BlockOff | Phase::Pressurise
    );
    let rests = step.record.iter().any(|id| stands_on(flow, target, id));
    let decides = !judges && step.phase != Phase::Symptom && leads_to(flow, step).len() > 1;
    prepares || safe || rests || decides
}

fn not_now<T>(why: &str) -> Result<T, Refusal> {
    Err(Refusal::NotNow(why.to_owned()))
}
