//! A condition under which an outcome rules out a cause can hold where that outcome is taken.
//!
//! Only the step itself is looked at: when it counts, what its earlier outcomes leave, and what this one asks for.
//! Where a technician came from is no matter, since a walk can be left by own choice.

use super::outcomes::reason::plausible;
use super::way::known::{Bound, Known};
use crate::flow::finding::{Finding, code};
use crate::flow::model::{Flow, Outcome, RulesOutIf, Step};

pub fn check(flow: &Flow) -> Vec<Finding> {
    let has_one = |step: &&Step| step.outcomes.iter().any(|o| !o.rules_out_if.is_empty());
    let mut steps = flow.steps.iter().filter(has_one).peekable();
    if steps.peek().is_none() {
        return Vec::new();
    }
    let plausible = plausible(flow)
        .into_iter()
        .fold(Known::default(), |known, (id, (low, high))| {
            known.with(id, Bound::between(low, high))
        });
    steps
        .flat_map(|step| of_step(flow, step, &plausible))
        .collect()
}

fn of_step(flow: &Flow, step: &Step, plausible: &Known) -> Vec<Finding> {
    let mut found = Vec::new();
    let mut left = match &step.valid_when {
        Some(valid) => plausible.clone().where_it(flow, valid, true),
        None => Some(plausible.clone()),
    };
    for outcome in &step.outcomes {
        let Some(known) = left else { break };
        // An outcome that is never taken is a finding of its own.
        if let Some(taken) = known.clone().where_it(flow, &outcome.when, true) {
            let never = outcome.rules_out_if.iter();
            let never = never.filter(|out| taken.excludes(flow, &out.when));
            found.extend(never.map(|out| never_holds(outcome, out)));
        }
        left = known.where_it(flow, &outcome.when, false);
    }
    found
}

fn never_holds(outcome: &Outcome, out: &RulesOutIf) -> Finding {
    let (id, cause) = (&outcome.id, &out.cause);
    Finding::warning(
        code::NEVER_HOLDS,
        out.place,
        format!(
            "`{id}` never rules out `{cause}`: where this outcome is taken, this condition cannot hold"
        ),
        format!(
            "mend the condition, or the `when` that excludes it; where `{id}` always rules it out, write \
             rules out: [{cause}]"
        ),
    )
}
