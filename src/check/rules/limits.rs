//! Limits that can work: `never above` lies within what is plausible, and leaves room for `valid when`.
//!
//! A limit a little beyond the plausible range still stops what is typed there. One at twice the
//! range and more is a slip in a digit or a unit: whatever is too high is long thought implausible. One below the whole
//! range stops whatever is read.
//! A limit below what a step asks for stops it before its readings count.

use crate::flow::condition::{Check, Condition};
use crate::flow::finding::{Finding, code};
use crate::flow::model::{Flow, Limit, Prompt, PromptKind, QuantityPrompt, Step};
use crate::units::Quantity;

/// So many times the top of the plausible range is too far for a limit: an assumption of ours, no source.
const FAR: f64 = 2.0;

pub fn check(flow: &Flow) -> Vec<Finding> {
    let prompts = flow.facts.iter().chain(&flow.readings);
    let own = |prompt| beyond(prompt).or_else(|| below_all(prompt));
    let mut found: Vec<Finding> = prompts.filter_map(own).collect();
    for step in &flow.steps {
        // A limit that stops whatever is read is at fault itself.
        let without_room = without_room(flow, step)
            .filter(|(id, ..)| flow.reading(id).and_then(below_all).is_none());
        found.extend(without_room.map(|(id, limit, needed)| too_low(step, id, limit, needed)));
    }
    found
}

/// Whether limits stop a step before its readings count, which is a finding of its own.
pub fn leave_no_room(flow: &Flow, step: &Step) -> bool {
    without_room(flow, step).next().is_some()
}

/// The readings of a step that are stopped before they count, each with its limit and what is needed.
fn without_room<'f>(
    flow: &'f Flow,
    step: &'f Step,
) -> impl Iterator<Item = (&'f str, Quantity, Quantity)> {
    let needed = step.valid_when.iter().flat_map(needs);
    needed.filter_map(|(id, needed)| {
        let limit = flow.reading(id).and_then(constant)?;
        (limit.si() < needed.si()).then_some((id, limit, needed))
    })
}

fn quantity(prompt: &Prompt) -> Option<&QuantityPrompt> {
    match &prompt.kind {
        PromptKind::Quantity(q) => Some(q),
        _ => None,
    }
}

/// The limit of a reading, where it is a number.
fn constant(prompt: &Prompt) -> Option<Quantity> {
    match &quantity(prompt)?.never_above {
        Some(Limit::Constant(limit)) => Some(*limit),
        _ => None,
    }
}

/// A limit far above all that is plausible.
fn beyond(prompt: &Prompt) -> Option<Finding> {
    let limit = constant(prompt)?;
    let (_, high) = quantity(prompt)?.plausible?;
    (high.si() > 0.0 && limit.si() >= FAR * high.si()).then(|| {
        Finding::warning(
            code::IDLE_LIMIT,
            prompt.place,
            format!(
                "`{}` is plausible up to {high}, and its limit `never above: {limit}` lies far beyond",
                prompt.id
            ),
            "mend the digit or unit that slipped: a limit stands within what is plausible, or just above it",
        )
    })
}

/// A limit below all that is plausible.
fn below_all(prompt: &Prompt) -> Option<Finding> {
    let limit = constant(prompt)?;
    let (low, high) = quantity(prompt)?.plausible?;
    (limit.si() < low.si()).then(|| {
        Finding::error(
            code::IDLE_LIMIT,
            prompt.place,
            format!(
                "`{}` is plausible from {low} to {high}, and its limit `never above: {limit}` stops all of that",
                prompt.id
            ),
            "mend the digit or unit that slipped, in the limit or in the plausible range",
        )
    })
}

fn too_low(step: &Step, id: &str, limit: Quantity, needed: Quantity) -> Finding {
    Finding::error(
        code::IDLE_LIMIT,
        step.place,
        format!(
            "`{}` counts only with `{id}` at {needed}, and above {limit} it is stopped",
            step.id
        ),
        format!("mend `valid when` of this step, or `never above` of `{id}`"),
    )
}

/// What a condition needs at least, by the checks that must all hold.
fn needs(condition: &Condition) -> Vec<(&str, Quantity)> {
    match condition {
        Condition::All(parts) => parts.iter().flat_map(needs).collect(),
        Condition::Test { subject, check } => match check {
            Check::AtLeast(q) | Check::Above(q) | Check::Between(q, _) => vec![(subject, *q)],
            _ => Vec::new(),
        },
        Condition::Any(_) | Condition::None(_) | Condition::Always => Vec::new(),
    }
}
