//! What a step is judged by is read there, or at a step before it.
//!
//! A condition on a reading that no step on the way has recorded is never settled: the technician is
//! asked for something that no screen asks for. What is read on some ways only is the matter of
//! [`super::some_ways`].

use std::collections::BTreeSet;

use super::unsure::hanging_on;
use crate::check::draw::ways;
use crate::engine::judge::rests_on;
use crate::flow::condition::Condition;
use crate::flow::finding::{Finding, code};
use crate::flow::model::{Flow, Step};
use crate::flow::target::Target;

pub fn check(flow: &Flow) -> Vec<Finding> {
    flow.steps
        .iter()
        .flat_map(|step| check_step(flow, step))
        .collect()
}

fn check_step(flow: &Flow, step: &Step) -> Vec<Finding> {
    let recorded = recorded(flow, step);
    let judged: BTreeSet<&str> = step.conditions().flat_map(Condition::subjects).collect();
    flow.readings
        .iter()
        .filter(|reading| !recorded.contains(reading.id.as_str()))
        .filter_map(|reading| {
            // What is worked without a reading that may be left out does not miss it.
            let hanging = if judged.iter().any(|id| rests_on(flow, id, &reading.id)) {
                hanging_on(flow, reading)
            } else {
                Vec::new()
            };
            let hangs = |id: &&&str| {
                **id == reading.id
                    || (!reading.optional && rests_on(flow, id, &reading.id))
                    || hanging.contains(*id)
            };
            let by = judged.iter().find(hangs)?;
            Some(not_read(step, by, &reading.id))
        })
        .collect()
}

/// The readings that some step on a way here has taken, this one's own among them.
pub fn recorded<'f>(flow: &'f Flow, step: &'f Step) -> BTreeSet<&'f str> {
    let before = up_to(flow, step);
    // A step that is only left for here by a skip has recorded nothing.
    let done = |from: &&&Step| from.id == step.id || leads(from, &before, false);
    before
        .iter()
        .filter(done)
        .flat_map(|step| &step.record)
        .map(String::as_str)
        .collect()
}

fn not_read(step: &Step, by: &str, reading: &str) -> Finding {
    let why = if by == reading {
        format!("`{}` is judged by `{reading}`", step.id)
    } else {
        format!(
            "`{}` is judged by `{by}`, which rests on `{reading}`",
            step.id
        )
    };
    Finding::error(
        code::NOT_READ,
        step.place,
        format!("{why}, but nothing reads it here or before"),
        format!("add {reading} to the `record` of this step, or of one before it"),
    )
}

/// The step and all from which a way leads to it.
fn up_to<'f>(flow: &'f Flow, step: &'f Step) -> Vec<&'f Step> {
    let mut found = vec![step];
    loop {
        let known = |from: &&Step| found.iter().any(|step| step.id == from.id);
        let more: Vec<&Step> = flow
            .steps
            .iter()
            .filter(|from| !known(from) && leads(from, &found, true))
            .collect();
        if more.is_empty() {
            return found;
        }
        found.extend(more);
    }
}

/// Whether a way leads from a step to one of these; with `skips`, one that skips it counts as well.
fn leads(from: &Step, to: &[&Step], skips: bool) -> bool {
    ways(from)
        .iter()
        .filter(|way| skips || !way.skips)
        .any(|way| matches!(way.go, Target::Step(id) if to.iter().any(|step| step.id == *id)))
}
