//! A step that reads numbers under pressure says when they are valid.
//!
//! A float that still falls, a gauge that stands near nothing: readings taken then are judged like
//! any others unless the step says when they count. Asked of the steps of the phases `pressurise`
//! and `inspect` that are judged by a number which rests on what the step records: a number that is
//! only noted misleads nobody, and outside of these phases a value can often be read at any time.

use super::unsure::numbers;
use crate::engine::judge::rests_on;
use crate::flow::finding::{Finding, code};
use crate::flow::model::{Flow, Phase, Prompt, PromptKind, Step};
use crate::units::{Dimension, Quantity};

pub fn check(flow: &Flow) -> Vec<Finding> {
    let mut found = unsaid(flow);
    found.extend(no_way_back(flow));
    found
}

/// Says when its readings count, and nothing for where they do not.
fn no_way_back(flow: &Flow) -> impl Iterator<Item = Finding> {
    let open = |step: &&Step| step.valid_when.is_some() && step.invalid.is_none();
    flow.steps.iter().filter(open).map(|step| {
        Finding::warning(
            code::NO_NOT_VALID,
            step.place,
            format!(
                "`{}` has `valid when`, and does not say what to do where that does not hold",
                step.id
            ),
            format!(
                "add `not valid:`, such as {{because: Too little pressure to tell, go: {}}}",
                step.id
            ),
        )
    })
}

fn unsaid(flow: &Flow) -> Vec<Finding> {
    flow.steps
        .iter()
        .filter(|step| matches!(step.phase, Phase::Pressurise | Phase::Inspect))
        .filter(|step| step.valid_when.is_none() && judged_by_own_number(flow, step))
        .map(|step| {
            Finding::warning(
                code::NO_VALID_WHEN,
                step.place,
                format!("`{}` does not say when its readings are valid", step.id),
                format!(
                    "add `valid when:`, such as {}, and `not valid:` with what to do",
                    example(flow, step)
                ),
            )
        })
        .collect()
}

/// What a `valid when` of a step could ask, by what it records itself.
fn example(flow: &Flow, step: &Step) -> String {
    let read = || step.record.iter().filter_map(|id| flow.reading(id));
    let by_word = |reading: &Prompt| match &reading.kind {
        PromptKind::Choice(words) => {
            Some(format!("{{{}: {{is: {}}}}}", reading.id, words.first()?))
        }
        _ => None,
    };
    // A tenth of what is plausible is more than nothing connected.
    let by_number = |reading: &Prompt| match &reading.kind {
        PromptKind::Quantity(q) if q.unit.dimension() != Dimension::Count => {
            let (from, to) = q.plausible?;
            let least = q.unit.from_si(from.si() + (to.si() - from.si()) / 10.0);
            let least = Quantity::new((least * 100.0).round() / 100.0, q.unit).ok()?;
            Some(format!("{{{}: {{at least: {least}}}}}", reading.id))
        }
        _ => None,
    };
    read()
        .find_map(by_word)
        .or_else(|| read().find_map(by_number))
        .unwrap_or_else(|| "{counted: {is: \"yes\"}} with a reading counted: {ask: Is it counted for certain?, choices: [yes, no]}".to_owned())
}

fn judged_by_own_number(flow: &Flow, step: &Step) -> bool {
    let judged = step.outcomes.iter().flat_map(|o| numbers(&o.when));
    judged.into_iter().any(|id| {
        // What may be left out is asked of nobody: a `valid when` upon it would stop whoever has no gauge for it.
        let asked = |id: &&String| flow.reading(id).is_some_and(|reading| !reading.optional);
        let mut recorded = step.record.iter().filter(asked);
        recorded.any(|reading| rests_on(flow, id, reading))
    })
}
