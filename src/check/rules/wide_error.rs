//! The error of a reading is smaller than what is plausible for it.
//!
//! Where it is not, no reading is ever far enough from any limit, and every step that is judged by it is
//! unsure. An error in proportion is looked at where it is smallest beside the range: at its upper end.

use crate::flow::finding::{Finding, code};
use crate::flow::model::{Flow, Prompt, PromptKind};
use crate::flow::working::errors_of;
use crate::units::Dimension;

pub fn check(flow: &Flow) -> Vec<Finding> {
    let prompts = flow.facts.iter().chain(&flow.readings);
    prompts
        .filter_map(|prompt| too_wide(flow, prompt))
        .collect()
}

fn too_wide(flow: &Flow, prompt: &Prompt) -> Option<Finding> {
    let PromptKind::Quantity(q) = &prompt.kind else {
        return None;
    };
    let (from, to) = q.plausible?;
    let width = to.si() - from.si();
    let error = |si: f64| {
        let (own, shared) = errors_of(flow, prompt, si);
        own.hypot(shared)
    };
    let least = error(from.si()).min(error(to.si()));
    // Whole things are counted; a range of one value is judged by nobody.
    let counts = q.unit.dimension() == Dimension::Count || width <= 0.0;
    (!counts && least >= width).then(|| {
        Finding::warning(
            code::WIDE_ERROR,
            prompt.place,
            format!(
                "`{}` is plausible from {from} to {to}, and its error is {}: every reading is too close to call",
                prompt.id,
                q.unit.show_step(least)
            ),
            "mend the digit or unit that slipped in its `error`, its gauge's accuracy or its plausible range",
        )
    })
}
