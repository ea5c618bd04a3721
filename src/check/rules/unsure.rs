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
        .any(|outcome| !numbers(&outcome.when).is_empty())
}

/// The ids that a condition compares with a number; the number of the test is known exactly.
pub fn numbers(condition: &Condition) -> Vec<&str> {
    match condition {
        Condition::Always => Vec::new(),
        Condition::All(parts) | Condition::Any(parts) | Condition::None(parts) => {
            parts.iter().flat_map(numbers).collect()
        }
        Condition::Test { subject, check } => {
            let by_word = matches!(check, Check::Is(_) | Check::AnyOf(_) | Check::NoneOf(_));
            let counts = subject != TEST_NUMBER && !by_word;
            counts.then_some(subject.as_str()).into_iter().collect()
        }
    }
}
