//! A step whose readings can count: its `valid when` leaves something of what is plausible.
//!
//! Where it leaves nothing, no outcome is ever taken. That is said once, of the condition, and not of each
//! outcome.

use super::limits;
use super::outcomes::reason::{Spans, nothing_left, plausible, worded_range};
use super::way::known::may_be_unasked;
use crate::flow::choice::name;
use crate::flow::finding::{Finding, code};
use crate::flow::model::{Flow, Step};

pub fn check(flow: &Flow) -> Vec<Finding> {
    let spans = plausible(flow);
    let steps = flow.steps.iter();
    // A limit that stops the step before is a finding of its own.
    let steps = steps.filter(|step| !limits::leave_no_room(flow, step));
    steps
        .filter_map(|step| finding(flow, step, &spans))
        .collect()
}

/// Whether nothing plausible is left by the `valid when` of a step.
pub fn is_so(flow: &Flow, step: &Step, spans: &Spans) -> bool {
    finding(flow, step, spans).is_some()
}

fn finding(flow: &Flow, step: &Step, spans: &Spans) -> Option<Finding> {
    let (subject, check, span) = nothing_left(step.valid_when.as_ref()?, spans)?;
    // A sum goes on without what is not asked, and then lies elsewhere.
    if flow.work(subject).is_some() && may_be_unasked(flow, subject) {
        return None;
    }
    let (wanted, range) = worded_range(check, span)?;
    Some(Finding::error(
        code::NEVER_HOLDS,
        step.valid_place,
        format!(
            "the readings of `{}` never count: `valid when` wants {} {wanted}, and readings that are plausible give {range}",
            step.id,
            name(flow, subject)
        ),
        "mend the limit in `valid when`, or the plausible ranges of what is read",
    ))
}
