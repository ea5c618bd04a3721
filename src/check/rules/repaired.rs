//! What an outcome sends to repair it does not rule out.

use crate::flow::finding::{Finding, code};
use crate::flow::model::Flow;
use crate::flow::target::Target;

pub fn check(flow: &Flow) -> Vec<Finding> {
    let outcomes = flow.steps.iter().flat_map(|step| &step.outcomes);
    outcomes
        .filter_map(|outcome| match &outcome.go {
            Target::Repair(cause) if outcome.may_rule_out().any(|id| id == cause) => {
                Some(Finding::error(
                    code::REPAIRS_RULED_OUT,
                    outcome.place,
                    format!("`{}` repairs `{cause}` and rules it out", outcome.id),
                    format!("take `{cause}` off its `rules out`, or let it lead elsewhere"),
                ))
            }
            _ => None,
        })
        .collect()
}
