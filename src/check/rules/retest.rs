//! The retest comes by every step that found something to repair.
//!
//! A repair is proved by the test that found the fault. A retest that begins behind that test proves
//! nothing, and another leak that the first one hid stays hidden.

use std::collections::BTreeSet;

use super::paths::reached_from;
use crate::check::draw::text::reached;
use crate::flow::finding::{Finding, code};
use crate::flow::model::{Flow, Step};
use crate::flow::target::Target;

pub fn check(flow: &Flow) -> Vec<Finding> {
    let Some(retest) = &flow.retest else {
        return Vec::new(); // The loader asks for one.
    };
    let start: Vec<&Step> = flow.step(&retest.from).into_iter().collect();
    let again: BTreeSet<&str> = reached_from(flow, start, |_| false);
    // A step that nothing leads to finds nothing; it is a finding of its own.
    reached(flow)
        .into_iter()
        .filter(|step| !again.contains(step.id.as_str()))
        .filter_map(|step| {
            let found = step
                .outcomes
                .iter()
                .find(|outcome| matches!(outcome.go, Target::Repair(_)))?;
            Some(Finding::warning(
                code::SHORT_RETEST,
                found.place,
                format!(
                    "the retest from `{}` does not come by `{}`, which found this",
                    retest.from, step.id
                ),
                format!(
                    "let it begin earlier, such as retest: {{from: {}}}",
                    flow.steps
                        .first()
                        .map_or("first-step", |first| first.id.as_str())
                ),
            ))
        })
        .collect()
}
