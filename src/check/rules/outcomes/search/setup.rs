//! What a search begins with: what it may change, what is settled, and what has to come out.

use std::collections::BTreeSet;

use super::super::bounds::Told;
use super::super::cells::{Cell, Space};
use crate::engine::judge::rests_on;
use crate::flow::model::{Flow, Prompt, PromptKind, Work};
use crate::flow::values::Value;
use crate::flow::working::{applies, errors_of};

/// More combinations of words than this are not gone through one by one.
const MOST_WORDS: usize = 256;
/// How a verdict begins that an interval across its limit gives.
const DOUBT: &str = "cannot tell";

/// The cell once for each combination of the words that worked values rest on and that it leaves
/// open; and whether something is left that is drawn for each point.
pub(super) fn with_words(space: &Space, cell: &Cell) -> (Vec<Cell>, bool) {
    let flow = &space.flow;
    let rest_on = |prompt: &&Prompt| {
        let by = |work: &Work| rests_on(flow, &work.id, &prompt.id);
        applies(prompt, &cell.values)
            && cell.values.get(&prompt.id).is_none()
            && flow.worked.iter().any(by)
    };
    let mut cells = vec![cell.clone()];
    let mut drawn = false;
    for prompt in flow.facts.iter().chain(&flow.readings).filter(rest_on) {
        match &prompt.kind {
            PromptKind::Choice(words) if cells.len() * words.len() <= MOST_WORDS => {
                let with = |cell: &Cell, word: &String| {
                    let mut cell = cell.clone();
                    cell.values.set(&prompt.id, Value::Word(word.clone()));
                    cell
                };
                let all = cells
                    .iter()
                    .flat_map(|cell| words.iter().map(|word| with(cell, word)));
                cells = all.collect();
            }
            PromptKind::Quantity(_) => {}
            _ => drawn = true,
        }
    }
    (cells, drawn)
}

/// What worked values have to say in the cell, but for doubts.
pub(super) fn words(space: &Space, cell: &Cell) -> Vec<(String, String)> {
    said(space, cell, |work, word| !is_doubt(space, work, word))
}

/// The doubts that the cell wants: the values as read never come to one, their errors do.
pub fn doubts(space: &Space, cell: &Cell) -> Vec<(String, String)> {
    said(space, cell, |work, word| is_doubt(space, work, word))
}

/// What verdicts on an interval have to say in the cell, doubts and others: with the errors of what
/// is read, a verdict near its limit is another than without.
pub(super) fn judged(space: &Space, cell: &Cell) -> Vec<(String, String)> {
    said(space, cell, |work, _| is_judged(&space.flow, work))
}

fn said(space: &Space, cell: &Cell, wanted: impl Fn(&Work, &str) -> bool) -> Vec<(String, String)> {
    let worked = space.flow.worked.iter();
    worked
        .filter_map(|work| match cell.values.get(&work.id)? {
            Value::Word(word) if wanted(work, word) => Some((work.id.clone(), word.clone())),
            _ => None,
        })
        .collect()
}

/// A verdict on an interval across its limit, where there is an interval at all.
fn is_doubt(space: &Space, work: &Work, word: &str) -> bool {
    word.starts_with(DOUBT) && is_judged(&space.flow, work)
}

/// A verdict on a number that has an interval.
fn is_judged(flow: &Flow, work: &Work) -> bool {
    let output = work.calculation.outputs.get(work.take);
    output.is_some_and(|output| output.judge.is_some()) && has_interval(flow, work)
}

/// Whether a worked value has an interval: by a spread of its own, or by the error of something that
/// it rests on.
fn has_interval(flow: &Flow, work: &Work) -> bool {
    let by = |other: &&Work| other.id == work.id || rests_on(flow, &work.id, &other.id);
    let spread = |other: &Work| !other.calculation.nuisances.is_empty();
    let prompts = flow.facts.iter().chain(&flow.readings);
    flow.worked.iter().filter(by).any(spread)
        || prompts
            .filter(|prompt| rests_on(flow, &work.id, &prompt.id))
            .any(|prompt| has_error(flow, prompt))
}

fn has_error(flow: &Flow, prompt: &Prompt) -> bool {
    let (own, shared) = errors_of(flow, prompt, 1.0);
    own.hypot(shared) > 0.0
}

/// Whether a number of the cell stands right at a limit and has an interval, which then lies on both
/// sides of it: beside the car the step is unsure.
pub(super) fn straddles(space: &Space, cell: &Cell) -> bool {
    let flow = &space.flow;
    let at_limit = cell.spans.iter().filter(|(_, (from, to))| from >= to);
    at_limit.into_iter().any(|(id, _)| {
        flow.prompt(id)
            .is_some_and(|prompt| has_error(flow, prompt))
            || flow.work(id).is_some_and(|work| has_interval(flow, work))
    })
}

/// The worked values that the cell fixes, with their stretches.
pub(super) fn targets(space: &Space, cell: &Cell) -> Vec<(String, (f64, f64))> {
    let worked = space.flow.worked.iter();
    worked
        .filter_map(|work| Some((work.id.clone(), *cell.spans.get(&work.id)?)))
        .collect()
}

/// The numbers that can be read freely and that some worked value rests on.
pub(super) fn free<'s>(space: &'s Space, cell: &Cell) -> Vec<&'s Prompt> {
    let flow = &space.flow;
    let prompts = flow.facts.iter().chain(&flow.readings);
    prompts
        .filter(|prompt| matches!(prompt.kind, PromptKind::Quantity(_)))
        .filter(|prompt| applies(prompt, &cell.values))
        .filter(|prompt| cell.values.get(&prompt.id) != Some(&Value::NotApplicable))
        .filter(|prompt| {
            flow.worked
                .iter()
                .any(|w| rests_on(flow, &w.id, &prompt.id))
        })
        .collect()
}

/// What is settled on such a car beside its numbers.
pub(super) fn told<'s>(space: &'s Space, cell: &Cell) -> Told<'s> {
    let flow = &space.flow;
    let prompts = flow.facts.iter().chain(&flow.readings);
    let words = prompts.filter_map(|prompt| match cell.values.get(&prompt.id) {
        Some(Value::Word(word)) => Some((prompt.id.as_str(), word.clone())),
        _ => None,
    });
    Told {
        absent: absent(space, cell),
        words: words.collect(),
    }
}

/// What is not asked on such a car, or left out, and the worked values that there are not.
fn absent<'s>(space: &'s Space, cell: &Cell) -> BTreeSet<&'s str> {
    let flow = &space.flow;
    let is_absent = |id: &str| {
        matches!(
            cell.values.get(id),
            Some(Value::NotApplicable | Value::LeftOut)
        )
    };
    let prompts = flow.facts.iter().chain(&flow.readings);
    prompts
        .filter(|prompt| is_absent(&prompt.id) || !applies(prompt, &cell.values))
        .map(|prompt| prompt.id.as_str())
        .chain(
            flow.worked
                .iter()
                .map(|w| w.id.as_str())
                .filter(|id| is_absent(id)),
        )
        .collect()
}
