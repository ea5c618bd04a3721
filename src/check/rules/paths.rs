//! The ways through a flow that avoid something.
//!
//! Whoever skips a step has not met what it does, so where its author lets a skip lead, the walk goes on
//! unmet.

use std::collections::BTreeSet;

use crate::check::draw::ways;
use crate::flow::model::{Flow, Step};
use crate::flow::target::Target;

/// The steps that a walk can stand before without having passed one of those that are `met`. The
/// walk begins at the first step, and again wherever a retest begins.
pub fn reached_without(flow: &Flow, met: impl Fn(&Step) -> bool) -> BTreeSet<&str> {
    let mut starts: Vec<&Step> = flow.steps.first().into_iter().collect();
    starts.extend(
        flow.retest
            .iter()
            .filter_map(|retest| flow.step(&retest.from)),
    );
    reached_from(flow, starts, met)
}

/// The steps that a walk from one of the starts can stand before without having passed one of those
/// that are `met`.
pub fn reached_from<'f>(
    flow: &'f Flow,
    starts: Vec<&'f Step>,
    met: impl Fn(&Step) -> bool,
) -> BTreeSet<&'f str> {
    let mut found = BTreeSet::new();
    let mut next = starts;
    while let Some(step) = next.pop() {
        if !found.insert(step.id.as_str()) {
            continue;
        }
        let met = met(step);
        for way in ways(step).iter().filter(|way| way.skips || !met) {
            if let Target::Step(id) = way.go {
                next.extend(flow.step(id));
            }
        }
    }
    found
}
