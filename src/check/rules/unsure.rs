//! A step that is judged by a number says what to do when the number is too close to call.

use crate::flow::condition::{Check, Condition};
use crate::flow::finding::{Finding, code};
use crate::flow::model::{Flow, Step};
use crate::flow::values::TEST_NUMBER;

pub fn check(flow: &Flow) -> Vec<Finding> {
    flow.steps
        .iter()
        .filter(|step| step.unsure.is_none() && by_number(step))
        .map(|step| {
            Finding::warning(
                code::NO_UNSURE,
                step.place,
                format!(
                    "`{}` is judged by a number, but does not say what to do near the limit",
                    step.id
                ),
                "add `unsure: {because: ..., go: ...}`, such as reading once more",
            )
        })
        .collect()
}

fn by_number(step: &Step) -> bool {
    step.outcomes
        .iter()
        .any(|outcome| has_number(&outcome.when))
}

fn has_number(condition: &Condition) -> bool {
    match condition {
        Condition::Always => false,
        Condition::All(parts) | Condition::Any(parts) | Condition::None(parts) => {
            parts.iter().any(has_number)
        }
        Condition::Test { subject, check } => {
            subject != TEST_NUMBER
                && !matches!(check, Check::Is(_) | Check::AnyOf(_) | Check::NoneOf(_))
        }
    }
}
