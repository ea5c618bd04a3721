//! What a repair hangs on is something of which the flow says what it shows.
//!
//! From `healthy` and `shows` alone come the odds, the suggestion of the next test and the practice cars. An
//! outcome that leads to a repair by nothing but readings of which none of them says anything is blind to all
//! three.
//!
//! A choice that names the part at fault is no such reading: it says what was concluded, each of its words
//! leads to a repair of its own, and the evidence was taken before. Flows without signatures are not asked.
//!
//! Where a cause says what it shows and `healthy` is silent, a sound car shows anything: the reading then speaks neither
//! for the cause nor against it, and sound parts are renewed by it. What physics gives a sound car needs no words.

use std::collections::BTreeSet;

use crate::engine::judge::rests_on;
use crate::flow::finding::{Finding, code};
use crate::flow::meaning::{Plain, What};
use crate::flow::model::{Cause, Flow, Outcome, Prompt, PromptKind};
use crate::flow::signature::{Shown, Shows};
use crate::flow::target::Target;
use crate::flow::values::TEST_NUMBER;

pub fn check(flow: &Flow) -> Vec<Finding> {
    let has_signatures = flow.causes.iter().any(|cause| !cause.shows.is_empty());
    if flow.healthy.is_empty() || !has_signatures {
        return Vec::new();
    }
    let mut named: BTreeSet<&str> = BTreeSet::new();
    let mut found = Vec::new();
    for outcome in flow.steps.iter().flat_map(|step| &step.outcomes) {
        let Target::Repair(cause) = &outcome.go else {
            continue;
        };
        let mut asked = outcome.when.subjects();
        asked.retain(|id| *id != TEST_NUMBER && flow.fact(id).is_none());
        // One that is spoken of lets the evidence see where the others cannot.
        let is_seen = |id: &&str| is_said(flow, id) || names_the_part(flow, id);
        let blind = asked.first().filter(|_| !asked.iter().any(is_seen));
        if let Some(id) = blind
            && named.insert(id)
        {
            found.push(unsaid(outcome, cause, id));
        }
    }
    found.extend(half_said(flow));
    found
}

/// What causes show and repairs hang on, where nobody said what a sound car shows.
fn half_said(flow: &Flow) -> Vec<Finding> {
    let outcomes = || flow.steps.iter().flat_map(|step| &step.outcomes);
    let mut named: BTreeSet<&str> = BTreeSet::new();
    let mut found = Vec::new();
    let all = flow.causes.iter();
    for (cause, shows) in all.flat_map(|cause| cause.shows.iter().map(move |shows| (cause, shows)))
    {
        let id = shows.id.as_str();
        let of_sound =
            |sound: &Shows| rests_on(flow, &sound.id, id) || rests_on(flow, id, &sound.id);
        // Words that no sound car is asked for may well be left out.
        let is_number = matches!(shows.what, Shown::Range(..) | Shown::EitherWay(..));
        if !is_number
            || flow.healthy.iter().any(of_sound)
            || by_physics(flow, id)
            || flow.fact(id).is_some()
        {
            continue;
        }
        let repairs = |outcome: &&Outcome| {
            let mut asked = outcome.when.subjects().into_iter();
            matches!(outcome.go, Target::Repair(_)) && asked.any(|other| other == id)
        };
        if let Some(outcome) = outcomes().find(repairs)
            && named.insert(id)
        {
            found.push(unsaid_of_sound(outcome, cause, shows));
        }
    }
    found
}

/// Whether the simulated car gives a value by itself, or what it is worked from.
fn by_physics(flow: &Flow, id: &str) -> bool {
    let given = |reading: &Prompt| {
        let meaning = reading.meaning();
        meaning.is_some_and(|meaning| meaning.what != What::Plain(Plain::VisualCheck))
    };
    let mut readings = flow.readings.iter();
    readings.any(|reading| given(reading) && rests_on(flow, id, &reading.id))
}

fn unsaid_of_sound(outcome: &Outcome, cause: &Cause, shows: &Shows) -> Finding {
    let (end, by, id) = (&outcome.id, &shows.id, &cause.id);
    Finding::warning(
        code::NOTHING_SAID,
        shows.place,
        format!(
            "`{id}` says what `{by}` shows, `{end}` leads to a repair by it, and `healthy` does not say what it shows on a \
             sound car"
        ),
        format!("add a line {by}: under `healthy`, with what it shows where nothing is wrong"),
    )
}

/// Whether something is said of a value, of what it is worked from or of what is worked from it.
fn is_said(flow: &Flow, id: &str) -> bool {
    let causes = flow.causes.iter().flat_map(|cause| &cause.shows);
    let mut shows = flow.healthy.iter().chain(causes);
    shows.any(|shows| rests_on(flow, &shows.id, id) || rests_on(flow, id, &shows.id))
}

/// Whether a reading is a choice by which the outcomes of one step lead to repairs of several causes.
fn names_the_part(flow: &Flow, id: &str) -> bool {
    let kind = flow.reading(id).map(|reading| &reading.kind);
    matches!(kind, Some(PromptKind::Choice(_)))
        && flow.steps.iter().any(|step| {
            let by_it = |outcome: &&Outcome| outcome.when.subjects().contains(&id);
            let repaired = step
                .outcomes
                .iter()
                .filter(by_it)
                .filter_map(|o| match &o.go {
                    Target::Repair(cause) => Some(cause),
                    _ => None,
                });
            repaired.collect::<BTreeSet<_>>().len() > 1
        })
}

fn unsaid(outcome: &Outcome, cause: &str, id: &str) -> Finding {
    Finding::warning(
        code::NOTHING_SAID,
        outcome.place,
        format!(
            "`{}` leads to a repair by `{id}`, of which neither `healthy` nor any cause says what it shows",
            outcome.id
        ),
        format!("say under `shows` of `{cause}`, and under `healthy`, what {id} shows"),
    )
}
