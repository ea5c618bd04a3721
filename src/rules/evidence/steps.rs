//! From a flow's steps to tests: which step reads what, and what must come before it.
//!
//! A step can only be done behind every step that all ways to it lead through. Of those, the ones
//! that read something are tests of their own, and come first where the step rests on them; the
//! ones that only prepare are
//! set-ups, made once for all that follow.

use std::collections::BTreeSet;

use super::joined::Joined;
use super::next::SetUp;
use super::table::Bits;
use super::told::Round;
use crate::flow::answer::Answer;
use crate::flow::choice::{Choice, choose};
use crate::flow::model::{Flow, Phase, Step};
use crate::flow::order;
use crate::flow::target::Target;
use crate::flow::working::Picture;
use crate::flow::working::applies;

/// Taking a set-up down asks for this share of making it (an assumption of ours).
const TAKE_DOWN: f64 = 0.5;

/// A step that reads something which says something about the causes.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// Which flow, which of its steps.
    pub flow: usize,
    /// Which of its steps.
    pub step: usize,
    /// The findings that it gives, by their place in the joint list.
    pub findings: Vec<usize>,
    /// Its set-ups, by their place in [`Steps::set_ups`].
    pub needs: Bits,
    /// Steps that must be done before, by their place in [`Steps::readings`].
    pub after: Bits,
    /// Everything that it gives is known, or was tried and could not be told.
    pub done: bool,
    /// Gear that it needs, itself or for its set-ups, and that is not at hand.
    pub lacks: Vec<String>,
}

/// All tests of some flows.
#[derive(Clone, Debug, Default)]
pub struct Steps {
    /// The tests.
    pub readings: Vec<Reading>,
    /// The set-ups, each with the flow and step that makes it.
    pub set_ups: Vec<SetUp>,
    /// Where each set-up is made: flow and step.
    pub made_at: Vec<(usize, usize)>,
    /// Which set-ups are in place.
    pub in_place: Bits,
    /// Steps that only prepare, flow and step, of which the readings say that nothing is ready: they lead back or
    /// away.
    pub unready: Vec<(usize, usize)>,
}

/// Finds the tests of all flows for what is known in the present round.
pub fn steps(joined: &Joined, pictures: &[Picture], round: &Round, missing: &[String]) -> Steps {
    let mut steps = Steps::default();
    for (n, flow) in joined.flows.iter().enumerate() {
        let Some(picture) = pictures.get(n) else {
            continue;
        };
        of_flow(joined, n, flow, picture, round, missing, &mut steps);
    }
    steps
}

fn of_flow(
    joined: &Joined,
    n: usize,
    flow: &Flow,
    picture: &Picture,
    round: &Round,
    missing: &[String],
    steps: &mut Steps,
) {
    let before = order::before(flow, &picture.values);
    let gives = gives(joined, n, flow, &before, picture, round);
    let first_set_up = steps.set_ups.len();
    // Set-ups first, so that tests can point at them.
    for (place, step) in flow.steps.iter().enumerate() {
        let prepares = gives[place].is_empty();
        let puts = step.set_up.is_some() || (prepares && !order::only_judges(step));
        if before[place].is_none() || !puts {
            continue;
        }
        steps.set_ups.push(set_up(step, prepares));
        steps.made_at.push((n, place));
        if prepares && !in_order(step, place, flow, &before, picture) {
            steps.unready.push((n, place));
        } else if is_made(flow, place, &before, round) {
            steps.in_place = steps.in_place.with(steps.set_ups.len() - 1);
        }
    }
    let first_reading = steps.readings.len();
    let order: Vec<usize> = (0..flow.steps.len())
        .filter(|s| !gives[*s].is_empty())
        .collect();
    for step in &order {
        let Some(dominators) = &before[*step] else {
            continue;
        };
        let behind = |other: &usize| *other == *step || dominators.contains(other);
        let needs = (first_set_up..steps.set_ups.len()).filter(|s| behind(&steps.made_at[*s].1));
        let after = order.iter().enumerate().filter(|(_, other)| {
            let (before, step) = (&flow.steps[**other], *step);
            dominators.contains(other)
                && comes_first(joined, flow, before, &flow.steps[step], &gives[step])
        });
        let (needs, after) = (
            Bits::of(needs),
            Bits::of(after.map(|(place, _)| first_reading + place)),
        );
        // A measurement on the way that this one does not rest on may be left out, with its gear.
        let must = |other: &&usize| {
            gives[**other].is_empty()
                || comes_first(
                    joined,
                    flow,
                    &flow.steps[**other],
                    &flow.steps[*step],
                    &gives[*step],
                )
        };
        let all = dominators.iter().filter(must).chain([step]);
        let lacks = lacks(flow, all.map(|s| &flow.steps[*s]), missing);
        steps.readings.push(Reading {
            flow: n,
            step: *step,
            done: is_done(
                joined,
                n,
                flow,
                &gives[*step],
                picture,
                round,
                &flow.steps[*step],
            ),
            findings: gives[*step].clone(),
            needs,
            after,
            lacks,
        });
    }
}

fn set_up(step: &Step, prepares: bool) -> SetUp {
    let made = step.set_up.as_ref().map_or(0.0, |s| s.minutes);
    SetUp {
        id: step.id.clone(),
        minutes: made + if prepares { step.minutes } else { 0.0 },
        take_down: TAKE_DOWN * made,
    }
}

/// Whether a measuring step that all ways lead through must really be done first: where what the
/// later one gives rests on its readings, where it fills what is searched afterwards, and where it
/// decides between ways (a place can be covered only once one shows). A mere row of steps, each of
/// which is left for the next unless it finds the cause, may be taken in another order.
fn comes_first(joined: &Joined, flow: &Flow, before: &Step, step: &Step, gives: &[usize]) -> bool {
    let leaves = gives.iter().flat_map(|f| &joined.findings[*f].leaves);
    let rests_on_it = leaves
        .filter(|leaf| !step.record.contains(leaf))
        .any(|leaf| before.record.contains(leaf));
    if rests_on_it || before.phase == Phase::Pressurise {
        return true;
    }
    before.phase != Phase::Symptom && order::leads_to(flow, before).len() > 1
}

/// A step that only prepares is done where something behind it was read in this round.
fn is_made(flow: &Flow, place: usize, before: &[Option<BTreeSet<usize>>], round: &Round) -> bool {
    let read = |step: &Step| step.record.iter().any(|id| round.order.contains(id));
    let behind = |n: &usize| *n == place || before[*n].as_ref().is_some_and(|b| b.contains(&place));
    (0..flow.steps.len())
        .filter(behind)
        .any(|n| read(&flow.steps[n]))
}

/// Whether what was read at a step that only prepares leads on: a smoke unit that fails its own check, or a set-up
/// that is not valid, has made nothing ready for the tests behind it.
fn in_order(
    step: &Step,
    place: usize,
    flow: &Flow,
    before: &[Option<BTreeSet<usize>>],
    picture: &Picture,
) -> bool {
    let go = match choose(flow, step, picture) {
        Choice::Matches(outcome) => Some(&outcome.go),
        Choice::NotValid { detour, .. } => detour.map(|detour| &detour.go),
        _ => None,
    };
    match go {
        None | Some(Target::Done) => true,
        Some(Target::Repair(_) | Target::Flow(_)) => false,
        Some(Target::Step(id)) => {
            let to = flow.steps.iter().position(|step| step.id == *id);
            let back =
                |to: usize| to == place || before[place].as_ref().is_some_and(|b| b.contains(&to));
            !to.is_some_and(back)
        }
    }
}

fn is_done(
    joined: &Joined,
    n: usize,
    flow: &Flow,
    findings: &[usize],
    picture: &Picture,
    round: &Round,
    step: &Step,
) -> bool {
    let untold = |id: &String| matches!(round.answers.get(id), Some(Answer::CouldNotTell(_)));
    let known = |finding: &usize| {
        let named = &joined.findings[*finding];
        let tried = step
            .record
            .iter()
            .any(|id| named.leaves.contains(id) && untold(id));
        // With everything read, what cannot be worked out stays so: reading again would not help.
        let mut here = step.record.iter().filter(|id| named.leaves.contains(*id));
        let read = here.all(|id| {
            let optional = flow.reading(id).is_none_or(|prompt| prompt.optional);
            optional || round.answers.contains_key(id) || picture.values.get(id).is_some()
        });
        named.flow == n && (tried || read || picture.values.get(&named.id).is_some())
    };
    let tried = step.record.iter().any(|id| round.answers.contains_key(id));
    findings.iter().all(known) && tried
}

/// Gear that these steps need and that is not at hand: named by the step, or the supply that its
/// set-up connects.
fn lacks<'s>(
    flow: &Flow,
    steps: impl Iterator<Item = &'s Step>,
    missing: &[String],
) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    for step in steps {
        for gear in missing {
            let supply = step.set_up.as_ref().and_then(|s| s.supply.as_ref());
            let connects = supply.is_some_and(|supply| {
                flow.gear.contains(gear) && gear.to_lowercase().contains(&supply.to_lowercase())
            });
            if (step.gear.contains(gear) || connects) && !out.contains(gear) {
                out.push(gear.clone());
            }
        }
    }
    out
}

/// What each step gives: findings of which it records a reading, and whose other readings are taken
/// by then, or were taken already.
fn gives(
    joined: &Joined,
    n: usize,
    flow: &Flow,
    before: &[Option<BTreeSet<usize>>],
    picture: &Picture,
    round: &Round,
) -> Vec<Vec<usize>> {
    let mut gives = vec![Vec::new(); flow.steps.len()];
    let asked = |id: &String| {
        let prompt = flow.prompt(id);
        prompt.is_some_and(|p| applies(p, &picture.values))
    };
    for (place, step) in flow.steps.iter().enumerate() {
        let Some(dominators) = &before[place] else {
            continue;
        };
        if matches!(step.phase, Phase::Repair | Phase::Retest) {
            continue;
        }
        let by_then: BTreeSet<&String> = dominators
            .iter()
            .chain([&place])
            .flat_map(|s| &flow.steps[*s].record)
            .chain(round.answers.keys())
            .collect();
        for (f, named) in joined.findings.iter().enumerate() {
            let leaves = || named.leaves.iter().filter(|leaf| asked(leaf));
            let here = leaves().any(|leaf| step.record.contains(leaf));
            let needed = |leaf: &&String| flow.reading(leaf).is_some_and(|r| !r.optional);
            let all = leaves().filter(needed).all(|leaf| by_then.contains(leaf));
            // Given where the last of its readings is taken, and nowhere before.
            let own = named.flow == n || joined.flows[named.flow].id == flow.id;
            if own && here && all {
                gives[place].push(f);
            }
        }
    }
    gives
}
