//! The error of a reading is smaller than what is plausible for it.
//!
//! Where it is not, no reading is ever far enough from any limit, and every step that is judged by it is
//! unsure. An error in proportion is looked at where it is smallest beside the range, at one of its ends; and
//! by itself, since one as large as half the reading tells nothing wherever it is read.

use crate::flow::finding::{Finding, code};
use crate::flow::model::{Flow, Gauge, Prompt, PromptKind, QuantityPrompt, Tolerance};
use crate::flow::working::errors_of;
use crate::units::Dimension;

/// No gauge is off by such a share of what it shows, and nobody estimates so badly what is judged by: an
/// assumption of ours, no source.
const HALF: f64 = 0.5;

pub fn check(flow: &Flow) -> Vec<Finding> {
    let mut found: Vec<Finding> = flow.gauges.iter().filter_map(gauge).collect();
    let wide = |gauge: &Option<String>| {
        let gauge = gauge.as_ref().and_then(|id| flow.gauge(id));
        gauge.is_some_and(|gauge| share(gauge.accuracy.as_ref()).is_some())
    };
    for prompt in flow.facts.iter().chain(&flow.readings) {
        let PromptKind::Quantity(q) = &prompt.kind else {
            continue;
        };
        // Said of the gauge already.
        if !wide(&q.gauge) {
            found.extend(own(prompt, q).or_else(|| too_wide(flow, prompt)));
        }
    }
    found
}

/// The share of the reading that an error comes to, where it is so large that nothing can be meant by it.
fn share(error: Option<&Tolerance>) -> Option<f64> {
    match error {
        Some(Tolerance::Relative(share) | Tolerance::Both(share, _)) => {
            Some(share.abs()).filter(|share| *share >= HALF)
        }
        Some(Tolerance::Absolute(_)) | None => None,
    }
}

fn gauge(gauge: &Gauge) -> Option<Finding> {
    let share = share(gauge.accuracy.as_ref())?;
    Some(Finding::warning(
        code::WIDE_ERROR,
        gauge.place,
        format!(
            "the gauge `{}` may be off by {:.0} % of what it shows: whatever is read on it is too close to call",
            gauge.id,
            share * 100.0
        ),
        "mend the digit that slipped, such as accuracy: 2 %; with a range of the gauge in mind, write its error as a \
         quantity, such as accuracy: 2 kPa",
    ))
}

fn own(prompt: &Prompt, q: &QuantityPrompt) -> Option<Finding> {
    let share = share(q.error.as_ref())?;
    Some(Finding::warning(
        code::WIDE_ERROR,
        prompt.place,
        format!(
            "`{}` may be off by {:.0} % of what is read: every reading is too close to call",
            prompt.id,
            share * 100.0
        ),
        "mend the digit that slipped, such as error: 5 %; or write it as a quantity in the unit of the reading",
    ))
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
