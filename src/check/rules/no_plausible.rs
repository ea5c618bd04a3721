//! A value that is read has a plausible range, where the flow's other values have one.
//!
//! Outside of it a value is asked again, so that without one a slip of ten in a figure is judged like any other. A flow
//! that gives none at all means it so; one among others was forgotten.

use crate::flow::finding::{Finding, code};
use crate::flow::model::{Flow, Prompt, PromptKind};

pub fn check(flow: &Flow) -> Vec<Finding> {
    let has_range = |prompt: &&Prompt| match &prompt.kind {
        PromptKind::Quantity(q) => Some(q.plausible.is_some()),
        _ => None,
    };
    let all = || flow.readings.iter();
    if !all().any(|reading| has_range(&reading) == Some(true)) {
        return Vec::new();
    }
    all()
        .filter(|reading| has_range(reading) == Some(false))
        .map(|reading| {
            Finding::warning(
                code::MISSING_KEY,
                reading.place,
                format!("`{}` has no `plausible`, so that no slip of a figure in it is asked about", reading.id),
                "add plausible: with the least and the most that a car can show, such as plausible: 0..90 kPa",
            )
        })
        .collect()
}
