//! The retest comes by every step that found something to repair.
//!
//! A repair is proved by the test that found the fault. A retest that begins behind that test proves
//! nothing, and another leak that the first one hid stays hidden. The number of the test is 2 or more
//! there, so that an outcome of the first test alone leads back to nothing.

use std::collections::BTreeSet;

use super::way::known::Known;
use crate::check::draw::text::reached;
use crate::flow::finding::{Finding, code};
use crate::flow::model::{Flow, Outcome, Step};
use crate::flow::target::Target;

pub fn check(flow: &Flow) -> Vec<Finding> {
    let Some(retest) = &flow.retest else {
        return Vec::new(); // The loader asks for one.
    };
    let again = reached_again(flow, &retest.from);
    // A step that nothing leads to finds nothing; it is a finding of its own.
    let left_out: Vec<(&Step, &Outcome)> = reached(flow)
        .into_iter()
        .filter(|step| !again.contains(step.id.as_str()))
        .filter_map(|step| {
            let mut outcomes = step.outcomes.iter();
            let repairs = outcomes.find(|outcome| matches!(outcome.go, Target::Repair(_)))?;
            Some((step, repairs))
        })
        .collect();
    let names: Vec<String> = left_out
        .iter()
        .map(|(step, _)| format!("`{}`", step.id))
        .collect();
    let (place, found) = match &left_out[..] {
        [] => return Vec::new(),
        [(_, repairs)] => (repairs.place, "which found this"),
        // Several are left out by where it begins.
        _ => (retest.place, "which find what is repaired"),
    };
    let first = flow.steps.first();
    vec![Finding::warning(
        code::SHORT_RETEST,
        place,
        format!(
            "the retest from `{}` does not come by {}, {found}",
            retest.from,
            names.join(", ")
        ),
        format!(
            "let it begin earlier, such as retest: {{from: {}}}",
            first.map_or("first-step", |first| first.id.as_str())
        ),
    )]
}

/// The steps that a retest from here can come to. An outcome that only the first test can take leads nowhere then.
fn reached_again<'f>(flow: &'f Flow, from: &str) -> BTreeSet<&'f str> {
    let known = Known::default().with_test_from(2.0);
    let mut found: BTreeSet<&str> = BTreeSet::new();
    let mut next: Vec<&Step> = flow.step(from).into_iter().collect();
    while let Some(step) = next.pop() {
        if !found.insert(&step.id) {
            continue;
        }
        let open = step
            .outcomes
            .iter()
            .filter(|outcome| !known.excludes(flow, &outcome.when));
        let detours = step
            .unsure
            .iter()
            .chain(&step.invalid)
            .map(|detour| &detour.go);
        let ways = open
            .map(|outcome| &outcome.go)
            .chain(detours)
            .chain(&step.skip_to);
        next.extend(ways.filter_map(|go| match go {
            Target::Step(id) => flow.step(id),
            _ => None,
        }));
    }
    found
}
