//! Nothing is pressurised before its openings are closed, nor without a limit.
//!
//! On every way from the beginning to a `pressurise` step there must be a `block-off` step: else
//! the first pressure goes into an open system, or worse, into one that was meant to be cut off. A
//! pressure that is read while pressurising needs `never above`, unless its `is` or `log` says that it
//! is one which no supply sets, such as the barometer or the manifold pressure at idle.

use super::paths::{reached_from, reached_without};
use super::pressures::{is_limited, pressures, without_supply};
use super::unguarded;
use crate::flow::finding::{Finding, code};
use crate::flow::model::{Flow, Phase, Prompt, Retest, Step};

pub fn check(flow: &Flow) -> Vec<Finding> {
    let is_closed = |step: &Step| step.phase == Phase::BlockOff;
    let open = reached_without(flow, is_closed);
    let first = reached_from(flow, flow.steps.first().into_iter().collect(), is_closed);
    let mut found = Vec::new();
    for step in flow
        .steps
        .iter()
        .filter(|step| step.phase == Phase::Pressurise)
    {
        if open.contains(step.id.as_str()) {
            found.push(match &flow.retest {
                Some(retest) if !first.contains(step.id.as_str()) => open_again(flow, step, retest),
                _ => Finding::error(
                    code::NO_BLOCK_OFF,
                    step.place,
                    format!(
                        "`{}` can be reached before anything is blocked off",
                        step.id
                    ),
                    "put a step with `phase: block-off` before it on every way",
                ),
            });
        }
        found.extend(
            pressures(flow, step)
                .filter(|p| !is_limited(p) && !without_supply(p))
                .map(no_limit),
        );
    }
    found.dedup();
    found.extend(unguarded::check(flow, found.is_empty()));
    found
}

/// Blocked off in the first test, and not in the retest, which begins behind that step.
fn open_again(flow: &Flow, step: &Step, retest: &Retest) -> Finding {
    let blocks = |step: &&Step| step.phase == Phase::BlockOff;
    let begin = flow.steps.iter().find(blocks).or(flow.steps.first());
    Finding::error(
        code::NO_BLOCK_OFF,
        retest.place,
        format!(
            "the retest from `{}` comes to `{}` before anything is blocked off",
            retest.from, step.id
        ),
        format!(
            "let it begin earlier, such as retest: {{from: {}}}",
            begin.map_or("first-step", |step| step.id.as_str())
        ),
    )
}

fn no_limit(prompt: &Prompt) -> Finding {
    Finding::error(
        code::NO_LIMIT,
        prompt.place,
        format!(
            "`{}` is read while pressurising, but has no limit",
            prompt.id
        ),
        "add `never above:` with a pressure or the name of a vehicle fact; above it the step stops. \
         Where no supply sets it, say what it is, such as `is: idle manifold pressure` or `is: barometer`",
    )
}
