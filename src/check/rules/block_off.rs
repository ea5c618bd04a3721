//! Nothing is pressurised before its openings are closed, nor without a limit.
//!
//! On every way from the beginning to a `pressurise` step there must be a `block-off` step: else
//! the first pressure goes into an open system, or worse, into one that was meant to be cut off. A
//! pressure that is read while pressurising needs `never above`.

use super::paths::reached_without;
use crate::flow::finding::{Finding, code};
use crate::flow::model::{Flow, Phase, Prompt, PromptKind, Step};
use crate::units::Dimension;

pub fn check(flow: &Flow) -> Vec<Finding> {
    let open = reached_without(flow, |step| step.phase == Phase::BlockOff);
    let mut found = Vec::new();
    for step in flow
        .steps
        .iter()
        .filter(|step| step.phase == Phase::Pressurise)
    {
        if open.contains(step.id.as_str()) {
            found.push(Finding::error(
                code::NO_BLOCK_OFF,
                step.place,
                format!(
                    "`{}` can be reached before anything is blocked off",
                    step.id
                ),
                "put a step with `phase: block-off` before it on every way",
            ));
        }
        found.extend(
            pressures(flow, step)
                .filter(|p| !is_limited(p))
                .map(no_limit),
        );
    }
    found.dedup();
    found
}

fn no_limit(prompt: &Prompt) -> Finding {
    Finding::error(
        code::NO_LIMIT,
        prompt.place,
        format!(
            "`{}` is read while pressurising, but has no limit",
            prompt.id
        ),
        "add `never above:` with a pressure or the name of a vehicle fact; above it the step stops",
    )
}

/// The pressures that a step records.
fn pressures<'f>(flow: &'f Flow, step: &'f Step) -> impl Iterator<Item = &'f Prompt> {
    step.record.iter().filter_map(|id| flow.reading(id)).filter(|prompt| {
        matches!(&prompt.kind, PromptKind::Quantity(q) if q.unit.dimension() == Dimension::Pressure)
    })
}

fn is_limited(prompt: &Prompt) -> bool {
    matches!(&prompt.kind, PromptKind::Quantity(q) if q.never_above.is_some())
}
