//! A step says what to do when what it is judged by does not settle it: a number is too close to call,
//! or a reading that may be left out was.

use super::outcomes::realise::worked_absent;
use super::paths::reached_from;
use super::some_ways::{Missed, misses, open};
use super::way::known::Known;
use crate::engine::judge::rests_on;
use crate::flow::choice::name;
use crate::flow::condition::{Check, Condition};
use crate::flow::finding::{Finding, code};
use crate::flow::model::{Flow, Prompt, Step};
use crate::flow::target::Target;
use crate::flow::values::{TEST_NUMBER, Value, Values};

pub fn check(flow: &Flow) -> Vec<Finding> {
    let prompts = flow.facts.iter().chain(&flow.readings);
    let optional: Vec<Missed> = prompts
        .filter(|prompt| prompt.optional)
        .map(|prompt| Missed::of(flow, prompt))
        .collect();
    flow.steps
        .iter()
        .filter_map(|step| {
            let of_any = |rule: fn(&Flow, &Step, &Missed) -> Option<Finding>| {
                optional.iter().find_map(|missed| rule(flow, step, missed))
            };
            of_any(counts_with_it)
                .or_else(|| of_any(for_ever))
                .or_else(|| of_any(left_out))
                .or_else(|| near_the_limit(step))
        })
        .collect()
}

fn near_the_limit(step: &Step) -> Option<Finding> {
    if step.unsure.is_some() {
        return None;
    }
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

/// Readings that count only with one that may be left out: without `unsure` for that, `not valid` must not lead back
/// here, where it would be left out once more.
fn counts_with_it(flow: &Flow, step: &Step, missed: &Missed) -> Option<Finding> {
    if step.unsure.is_some() || !counts_by(flow, step, missed) {
        return None;
    }
    let prompt = missed.reading;
    if let Some(detour) = &step.invalid
        && !comes_again(flow, &detour.go, step)
    {
        return None;
    }
    Some(Finding::error(
        code::NO_UNSURE,
        step.valid_place,
        format!(
            "`{}` counts only with `{}`, which may be left out, and has no `unsure` to say what to do then",
            step.id, prompt.id
        ),
        out_of_one(prompt),
    ))
}

/// Whether nothing but a reading that was missed can decide whether the readings of a step count.
fn counts_by(flow: &Flow, step: &Step, missed: &Missed) -> bool {
    let valid = step.valid_when.as_ref();
    valid.is_some_and(|valid| open(flow, valid, missed, &Known::default()))
}

/// An `unsure` that leads back to its own step where a reading is left out: whoever could not take it cannot take it the
/// second time either.
fn for_ever(flow: &Flow, step: &Step, missed: &Missed) -> Option<Finding> {
    let unsure = step.unsure.as_ref()?;
    let back = unsure.go == Target::Step(step.id.clone());
    let prompt = missed.reading;
    // What another step reads is the matter of the loops that conditions keep closed.
    let here = back && step.record.contains(&prompt.id);
    if !here || !misses(flow, step, missed, &Known::default()) {
        return None;
    }
    let (id, reading) = (&step.id, &prompt.id);
    let (place, message, help) = if counts_by(flow, step, missed) {
        (
            step.valid_place,
            format!(
                "`{id}` counts only with `{reading}`, which may be left out; then `unsure` leads back to it for ever"
            ),
            out_of_one(prompt),
        )
    } else {
        (
            unsure.place,
            format!(
                "where `{reading}` is left out, `unsure` leads back to `{id}`, which hangs on it, for ever"
            ),
            format!("let `unsure` lead to another step; or take `optional` out of `{reading}`"),
        )
    };
    Some(Finding::error(code::NO_WAY_OUT, place, message, help))
}

fn out_of_one(prompt: &Prompt) -> String {
    let id = &prompt.id;
    format!(
        "take `{id}` out of `valid when`, or `optional` out of `{id}`; or let `unsure: {{because: ..., go: ...}}` lead to another step"
    )
}

/// Whether a way from where a detour leads comes to the step again.
fn comes_again(flow: &Flow, go: &Target, step: &Step) -> bool {
    let Target::Step(id) = go else { return false };
    let start = flow.step(id).into_iter().collect();
    reached_from(flow, start, |_| false).contains(step.id.as_str())
}

/// What is judged by a reading that was left out is not settled: without `unsure` the technician is
/// told so and led nowhere.
fn left_out(flow: &Flow, step: &Step, missed: &Missed) -> Option<Finding> {
    if step.unsure.is_some() {
        return None;
    }
    let prompt = missed.reading;
    let outcomes = step.outcomes.iter().map(|outcome| &outcome.when);
    let mut subjects = outcomes.flat_map(Condition::subjects);
    let by = subjects.find(|id| missed.lacks(id))?;
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

/// The worked values that cannot be worked where a reading was left out.
pub fn hanging_on<'f>(flow: &'f Flow, prompt: &Prompt) -> Vec<&'f str> {
    let resting = flow.worked.iter().map(|work| work.id.as_str());
    let mut resting: Vec<&str> = resting
        .filter(|id| rests_on(flow, id, &prompt.id))
        .collect();
    if !resting.is_empty() {
        let mut without = Values::default();
        without.set(&prompt.id, Value::NotApplicable);
        let absent = worked_absent(flow, &without);
        resting.retain(|id| absent.get(*id) == Some(&Value::LeftOut));
    }
    resting
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
