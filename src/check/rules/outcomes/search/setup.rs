//! What a search begins with: what it may change, what is settled, and what has to come out.

use std::collections::BTreeSet;

use super::super::bounds::Told;
use super::super::cells::{Cell, Space};
use crate::engine::judge::rests_on;
use crate::flow::model::{Prompt, PromptKind, Work};
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
    said(space, cell, false)
}

/// The doubts that the cell wants: the values as read never come to one, their errors do.
pub fn doubts(space: &Space, cell: &Cell) -> Vec<(String, String)> {
    said(space, cell, true)
}

fn said(space: &Space, cell: &Cell, doubts: bool) -> Vec<(String, String)> {
    let worked = space.flow.worked.iter();
    worked
        .filter_map(|work| match cell.values.get(&work.id)? {
            Value::Word(word) if is_doubt(space, work, word) == doubts => {
                Some((work.id.clone(), word.clone()))
            }
            _ => None,
        })
        .collect()
}

/// A verdict on an interval across its limit, where there is an interval at all.
fn is_doubt(space: &Space, work: &Work, word: &str) -> bool {
    let flow = &space.flow;
    let judged = work.calculation.outputs.get(work.take);
    let judged = judged.is_some_and(|output| output.judge.is_some());
    let has_error = |prompt: &Prompt| {
        let (own, shared) = errors_of(flow, prompt, 1.0);
        rests_on(flow, &work.id, &prompt.id) && own.hypot(shared) > 0.0
    };
    let spread = || {
        !work.calculation.nuisances.is_empty()
            || flow.facts.iter().chain(&flow.readings).any(has_error)
    };
    judged && word.starts_with(DOUBT) && spread()
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
    let is_absent = |id: &str| cell.values.get(id) == Some(&Value::NotApplicable);
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
