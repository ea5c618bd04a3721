//! What an outcome asks for as the sign of a cause it does not rule out.

use super::wrong_repair::asks_for;
use crate::flow::finding::{Finding, code};
use crate::flow::model::{Flow, Outcome};

pub fn check(flow: &Flow) -> Vec<Finding> {
    let outcomes = flow.steps.iter().flat_map(|step| &step.outcomes);
    outcomes
        .filter_map(|outcome| shown(flow, outcome))
        .collect()
}

fn shown(flow: &Flow, outcome: &Outcome) -> Option<Finding> {
    let shown = |id: &&str| {
        let cause = flow.cause(id);
        cause.is_some_and(|cause| asks_for(flow, &outcome.when, &cause.shows, &flow.healthy))
    };
    let id = outcome.may_rule_out().find(shown)?;
    Some(Finding::warning(
        code::RULES_OUT_SHOWN,
        outcome.place,
        format!(
            "`{}` asks for what `{id}` shows and a sound car does not, and rules `{id}` out",
            outcome.id
        ),
        format!("take `{id}` off what it rules out; where it is found, write go: {{repair: {id}}}"),
    ))
}
