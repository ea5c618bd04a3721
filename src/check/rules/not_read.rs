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
    let mut said: BTreeSet<&str> = BTreeSet::new();
    let mut found = Vec::new();
    for step in &flow.steps {
        let (mut never, some): (Vec<Missed>, Vec<Missed>) = missed(flow, step)
            .into_iter()
            .partition(|(_, reading)| !is_read(flow, reading));
        // What no step at all reads is one slip, however many steps are judged by it.
        never.retain(|(_, reading)| said.insert(reading));
        let each = some.iter().map(|missed| not_read(step, &[*missed]));
        found.extend(each);
        if !never.is_empty() {
            found.push(not_read(step, &never));
        }
    }
    found
}

/// The readings that no step records, and that a step is judged by.
pub fn forgotten(flow: &Flow) -> BTreeSet<&str> {
    let missed = flow.steps.iter().flat_map(|step| missed(flow, step));
    missed
        .map(|(_, reading)| reading)
        .filter(|reading| !is_read(flow, reading))
        .collect()
}

fn is_read(flow: &Flow, reading: &str) -> bool {
    let mut recorded = flow.steps.iter().flat_map(|step| &step.record);
    recorded.any(|id| id == reading)
}

/// What a step is judged by, and the reading which that rests on.
type Missed<'f> = (&'f str, &'f str);

fn missed<'f>(flow: &'f Flow, step: &'f Step) -> Vec<Missed<'f>> {
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
            Some((*by, reading.id.as_str()))
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

fn not_read(step: &Step, missed: &[Missed]) -> Finding {
    let id = &step.id;
    let readings: Vec<&str> = missed.iter().map(|(_, reading)| *reading).collect();
    let (why, reads) = match missed {
        [(by, reading)] if by == reading => (
            format!("`{id}` is judged by `{reading}`"),
            "nothing reads it",
        ),
        [(by, reading)] => (
            format!("`{id}` is judged by `{by}`, which rests on `{reading}`"),
            "nothing reads it",
        ),
        _ => (
            format!(
                "`{id}` is judged by what rests on `{}`",
                readings.join("`, `")
            ),
            "nothing reads them",
        ),
    };
    let help = if step.record.is_empty() {
        format!(
            "add record: [{}] to this step, or to one before it",
            readings.join(", ")
        )
    } else {
        format!(
            "add {} to the `record` of this step, or of one before it",
            readings.join(", ")
        )
    };
    Finding::error(
        code::NOT_READ,
        step.place,
        format!("{why}, but {reads} here or before"),
        help,
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
