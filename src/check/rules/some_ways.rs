//! What a step is judged by is read on every way that leads to it.
//!
//! The walk helps itself where it is not: it leads to the step that reads it. That is seldom what the
//! author meant, and costs the technician a way back. Only readings that would in fact be looked at are
//! named: where an outcome is settled by the vehicle, or by what was found on that very way, no other
//! reading is missed.

use std::collections::BTreeSet;

use super::unsure::hanging_on;
use super::way::known::Known;
use super::way::{Arrival, conditions, follow};
use crate::engine::judge::rests_on;
use crate::flow::condition::Condition;
use crate::flow::finding::{Finding, code};
use crate::flow::model::{Flow, Prompt, Step};

pub fn check(flow: &Flow) -> Vec<Finding> {
    let mut found: Vec<Finding> = Vec::new();
    let mut said: BTreeSet<&str> = BTreeSet::new();
    for reading in &flow.readings {
        let reads = |step: &Step| step.record.contains(&reading.id);
        let missed = Missed::of(flow, reading);
        // What no step on any way reads is a finding of its own.
        let judges =
            |step: &&Step| !reads(step) && looks_at(step, &missed) && !only_so(flow, step, reading);
        let judging: Vec<&Step> = flow.steps.iter().filter(judges).collect();
        if judging.is_empty() {
            continue;
        }
        let arrivals = follow(flow, &reads);
        for step in judging {
            if said.contains(step.id.as_str()) {
                continue;
            }
            let mut here = arrivals.get(&step.id).into_iter().flatten();
            let without = here.find(|arrival| misses(flow, step, &missed, &arrival.known));
            if let Some(arrival) = without {
                said.insert(&step.id);
                found.push(not_read(step, reading, arrival));
            }
        }
    }
    found
}

/// A reading that may not have been taken, and what cannot be known without it.
pub struct Missed<'f> {
    /// The reading.
    pub reading: &'f Prompt,
    /// Itself and what is worked from it; of one that may be left out what cannot be worked without.
    unknown: BTreeSet<&'f str>,
}

impl<'f> Missed<'f> {
    /// What is missed with a reading or fact.
    pub fn of(flow: &'f Flow, reading: &'f Prompt) -> Self {
        let worked = if reading.optional {
            hanging_on(flow, reading)
        } else {
            let worked = flow.worked.iter().map(|work| work.id.as_str());
            worked
                .filter(|id| rests_on(flow, id, &reading.id))
                .collect()
        };
        Self {
            reading,
            unknown: worked.into_iter().chain([reading.id.as_str()]).collect(),
        }
    }

    /// Whether a value is not known then.
    pub fn lacks(&self, id: &str) -> bool {
        self.unknown.contains(id)
    }

    /// Whether something is judged that is not known then.
    pub fn hits(&self, condition: &Condition) -> bool {
        let mut subjects = condition.subjects().into_iter();
        subjects.any(|id| self.unknown.contains(id))
    }
}

fn looks_at(step: &Step, missed: &Missed) -> bool {
    conditions(step).any(|condition| missed.hits(condition))
}

/// Whether no way at all leads here from a step that reads it, which is said elsewhere.
fn only_so(flow: &Flow, step: &Step, reading: &Prompt) -> bool {
    !super::not_read::recorded(flow, step).contains(reading.id.as_str())
}

/// Whether a step can come to look at a reading that was not taken.
pub fn misses(flow: &Flow, step: &Step, missed: &Missed, known: &Known) -> bool {
    let known = known.clone().without(flow, &step.record);
    let asked = match &missed.reading.only_if {
        Some(asked) => known.where_it(flow, asked, true),
        None => Some(known),
    };
    let Some(mut left) = asked else { return false };
    if let Some(valid) = &step.valid_when {
        if open(flow, valid, missed, &left) {
            return true;
        }
        match past(flow, valid, missed, left, true) {
            Some(valid) => left = valid,
            None => return false,
        }
    }
    for outcome in &step.outcomes {
        if open(flow, &outcome.when, missed, &left) {
            return true;
        }
        match past(flow, &outcome.when, missed, left, false) {
            Some(other) => left = other,
            None => return false,
        }
    }
    false
}

/// What is known behind a condition that was settled without the reading.
fn past(
    flow: &Flow,
    condition: &Condition,
    missed: &Missed,
    known: Known,
    holds: bool,
) -> Option<Known> {
    if missed.hits(condition) {
        Some(known)
    } else {
        known.where_it(flow, condition, holds)
    }
}

/// Whether a condition can hang on a reading alone: nothing else in it settles it.
pub fn open(flow: &Flow, condition: &Condition, missed: &Missed, known: &Known) -> bool {
    match condition {
        Condition::Always => false,
        Condition::Test { subject, .. } => missed.unknown.contains(subject.as_str()),
        Condition::All(parts) => open_among(flow, parts, missed, known, true),
        Condition::Any(parts) | Condition::None(parts) => {
            open_among(flow, parts, missed, known, false)
        }
    }
}

/// Whether one part hangs on the reading while all others come to what leaves it to that one.
fn open_among(
    flow: &Flow,
    parts: &[Condition],
    missed: &Missed,
    known: &Known,
    others: bool,
) -> bool {
    let (hanging, firm): (Vec<&Condition>, Vec<&Condition>) =
        parts.iter().partition(|part| missed.hits(part));
    let so = firm.into_iter().try_fold(known.clone(), |known, part| {
        known.where_it(flow, part, others)
    });
    so.is_some_and(|known| hanging.iter().any(|part| open(flow, part, missed, &known)))
}

fn not_read(step: &Step, reading: &Prompt, arrival: &Arrival) -> Finding {
    let (step, id) = (step, &reading.id);
    let way = match arrival.way.as_slice() {
        [_] => "where the walk begins with it".to_owned(),
        way => format!("on the way {}", way.join(" - ")),
    };
    Finding::warning(
        code::NOT_READ,
        step.place,
        format!(
            "`{}` looks at `{id}`, and {way} nothing has read it",
            step.id
        ),
        format!(
            "add {id} to the `record` of `{}` or of a step on that way, or lead that way past the step that reads it",
            step.id
        ),
    )
}
