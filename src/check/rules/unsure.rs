//! A step says what to do when what it is judged by does not settle it: a number is too close to call,
//! or a reading that may be left out was.

use super::outcomes::realise::worked_absent;
use crate::engine::judge::rests_on;
use crate::flow::choice::name;
use crate::flow::condition::{Check, Condition};
use crate::flow::finding::{Finding, code};
use crate::flow::model::{Flow, Prompt, Step};
use crate::flow::values::{TEST_NUMBER, Value, Values};

pub fn check(flow: &Flow) -> Vec<Finding> {
    let optional: Vec<&Prompt> = flow
        .facts
        .iter()
        .chain(&flow.readings)
        .filter(|prompt| prompt.optional)
        .collect();
    flow.steps
        .iter()
        .filter(|step| step.unsure.is_none())
        .filter_map(|step| {
            let left_out = optional
                .iter()
                .find_map(|prompt| left_out(flow, step, prompt));
            left_out.or_else(|| near_the_limit(step))
        })
        .collect()
}

fn near_the_limit(step: &Step) -> Option<Finding> {
    let by_number = step
        .outcomes
        .iter()
        .any(|outcome| !numbers(&outcome.when).is_empty());
    by_number.then(|| {
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
}

/// What is judged by a reading that was left out is not settled: without `unsure` the technician is
/// told so and led nowhere.
fn left_out(flow: &Flow, step: &Step, prompt: &Prompt) -> Option<Finding> {
    let by = judged(step).find(|id| *id == prompt.id || hangs_on(flow, id, prompt))?;
    let reading = name(flow, &prompt.id);
    let by = if by == prompt.id {
        format!("`{by}`")
    } else {
        format!("`{by}`, which needs `{}`", prompt.id)
    };
    Some(Finding::error(
        code::NO_UNSURE,
        step.place,
        format!(
            "`{}` is judged by {by}, which may be left out, and does not say what to do then",
            step.id
        ),
        format!(
            "add `unsure: {{because: ..., go: ...}}` for a walk without {reading}; or take `optional` out of `{}`",
            prompt.id
        ),
    ))
}

/// What decides about a step; where it does not count without `unsure`, `not valid` serves as well.
fn judged(step: &Step) -> impl Iterator<Item = &str> {
    let valid = step.valid_when.iter().filter(|_| step.invalid.is_none());
    let conditions = step.outcomes.iter().map(|outcome| &outcome.when);
    conditions.chain(valid).flat_map(Condition::subjects)
}

/// Whether a worked value cannot be worked where a reading was left out.
fn hangs_on(flow: &Flow, id: &str, prompt: &Prompt) -> bool {
    if flow.work(id).is_none() || !rests_on(flow, id, &prompt.id) {
        return false;
    }
    let mut without = Values::default();
    without.set(&prompt.id, Value::NotApplicable);
    worked_absent(flow, &without).get(id) == Some(&Value::LeftOut)
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
