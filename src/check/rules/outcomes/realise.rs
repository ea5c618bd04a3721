//! From a cell to an example that an owner can read, and that can really come about.

use std::collections::BTreeMap;

use super::cells::{Cell, Space};
use crate::engine::shown;
use crate::flow::answer::{Answer, Strength};
use crate::flow::choice::{name, unit_of};
use crate::flow::condition::Truth;
use crate::flow::model::{Flow, Prompt, PromptKind, Step};
use crate::flow::values::{TEST_NUMBER, Value, Values};
use crate::flow::working::{Known, applies, plain_values};
use crate::physics::uncertainty::Estimate;
use crate::units::{Dimension, Quantity};

/// Readings that are tried for a cell over worked values.
const TRIES: usize = 300;
/// Where the generator starts: always the same, so that a check says the same twice.
const SEED: u64 = 0x9e37_79b9_7f4a_7c15;

/// An example of a cell.
#[derive(Clone, Debug)]
pub struct Example {
    /// In words.
    pub words: String,
    /// It stands right at a limit.
    pub at_limit: bool,
}

/// The cell in words; nothing where the step's readings are not valid in it, or where no readings
/// were found that come to its worked values.
pub fn example(step: &Step, space: &Space, cell: &Cell) -> Option<Example> {
    let flow = &space.flow;
    let is_worked = |id: &&String| {
        flow.work(id).is_some() && cell.values.get(id) != Some(&Value::NotApplicable)
    };
    if !space.named.iter().any(|id| is_worked(&id)) {
        let words = words(flow, space, &cell.values);
        return is_valid(step, &cell.values).then_some(Example {
            words,
            at_limit: cell.at_limit,
        });
    }
    let found = search(flow, step, cell)?;
    // Found by trying: nobody hits a limit by chance.
    Some(Example {
        words: words(flow, space, &found),
        at_limit: false,
    })
}

/// The cell in words, as it stands.
pub fn as_it_stands(space: &Space, cell: &Cell) -> Example {
    Example {
        words: words(&space.flow, space, &cell.values),
        at_limit: cell.at_limit,
    }
}

/// The values on some car that answers like this: which worked values there are at all.
pub fn some_values(flow: &Flow, asked: &Values) -> Values {
    let mut draw = Draw(SEED);
    let answers = answers(flow, asked, &mut draw);
    plain_values(
        flow,
        Known {
            answers: &answers,
            test_number: 1,
        },
    )
}

/// Whether the step's readings count.
pub fn is_valid(step: &Step, values: &Values) -> bool {
    step.valid_when
        .as_ref()
        .is_none_or(|condition| condition.truth(values) != Truth::No)
}

/// Readings under which every outcome comes to the same as in the cell. What the cell fixes is
/// kept; all else is drawn from its plausible range by a generator that always starts the same.
fn search(flow: &Flow, step: &Step, cell: &Cell) -> Option<Values> {
    let wanted = truths(step, &cell.values);
    let mut draw = Draw(SEED);
    let number = match cell.values.get(TEST_NUMBER) {
        Some(Value::Number(estimate)) => estimate.value,
        _ => 1.0,
    };
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "1 to 12"
    )]
    let test_number = number as u32;
    (0..TRIES).find_map(|_| {
        let answers = answers(flow, &cell.values, &mut draw);
        let values = plain_values(
            flow,
            Known {
                answers: &answers,
                test_number,
            },
        );
        (is_valid(step, &values) && truths(step, &values) == wanted).then_some(values)
    })
}

/// What each outcome comes to.
pub fn truths(step: &Step, values: &Values) -> Vec<Truth> {
    step.outcomes
        .iter()
        .map(|outcome| outcome.when.truth(values))
        .collect()
}

/// Answers to everything that the flow asks: as fixed, or drawn.
fn answers(flow: &Flow, fixed: &Values, draw: &mut Draw) -> BTreeMap<String, Answer> {
    let mut answers = BTreeMap::new();
    let mut known = Values::default();
    for prompt in flow.facts.iter().chain(&flow.readings) {
        if !applies(prompt, &known) {
            continue;
        }
        let answer = match fixed.get(&prompt.id) {
            Some(Value::Word(word)) => Some(Answer::Choice(word.clone())),
            Some(Value::Number(e)) => quantity(prompt, e.value),
            Some(Value::Places(places)) => Some(Answer::Places(
                places
                    .iter()
                    .map(|p| (p.clone(), Strength::Steady))
                    .collect(),
            )),
            _ => drawn(prompt, draw),
        };
        let Some(answer) = answer else { continue };
        match &answer {
            Answer::Choice(word) => known.set(&prompt.id, Value::Word(word.clone())),
            Answer::Quantity(q) => known.set(&prompt.id, Value::Number(Estimate::exact(q.si()))),
            _ => {}
        }
        answers.insert(prompt.id.clone(), answer);
    }
    answers
}

fn quantity(prompt: &Prompt, si: f64) -> Option<Answer> {
    let PromptKind::Quantity(q) = &prompt.kind else {
        return None;
    };
    Quantity::new(q.unit.from_si(si), q.unit)
        .ok()
        .map(Answer::Quantity)
}

fn drawn(prompt: &Prompt, draw: &mut Draw) -> Option<Answer> {
    match &prompt.kind {
        PromptKind::Quantity(q) => {
            let (from, to) = q.plausible.map_or((0.0, 1.0), |(a, b)| (a.si(), b.si()));
            let mut si = from + (to - from) * draw.next();
            if q.unit.dimension() == Dimension::Count {
                si = si.round();
            }
            quantity(prompt, si)
        }
        PromptKind::Choice(words) => {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a list's length"
            )]
            let at = (draw.next() * words.len() as f64) as usize;
            words.get(at).or(words.first()).cloned().map(Answer::Choice)
        }
        PromptKind::Places(_) => Some(Answer::Places(BTreeMap::new())),
        PromptKind::Pairs(p) => {
            let pair = |x: f64, noise: f64| {
                let first = Quantity::new(p.first.1.from_si(1e5 * x), p.first.1).ok()?;
                let second = Quantity::new(5.0 * x * noise, p.second.1).ok()?;
                Some((first, second))
            };
            let noise = 0.5 + draw.next();
            let count = p.at_least.max(4);
            let at = |n: usize| 0.2 + 0.8 * n as f64 / count as f64;
            (0..count)
                .map(|n| pair(at(n), noise))
                .collect::<Option<_>>()
                .map(Answer::Pairs)
        }
        PromptKind::Text => None,
    }
}

/// A generator of numbers from 0 to 1 (xorshift, Marsaglia 2003): any would do, as long as it
/// always gives the same.
struct Draw(u64);

impl Draw {
    fn next(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }
}

/// "smoke flow 0.4 L/min with smoke pressure 9 inH2O".
fn words(flow: &Flow, space: &Space, values: &Values) -> String {
    let said: Vec<String> = space
        .named
        .iter()
        .filter_map(|id| {
            let value = match values.get(id)? {
                Value::Number(e) if id == TEST_NUMBER => e.value.to_string(),
                Value::Number(e) => shown::estimate(e, unit_of(flow, id)),
                Value::Word(word) => word.clone(),
                Value::Places(places) if places.is_empty() => "nowhere".to_owned(),
                Value::Places(places) => places.iter().cloned().collect::<Vec<_>>().join(" and "),
                _ => return None,
            };
            Some(format!("{} {value}", name(flow, id)))
        })
        .collect();
    said.join(" with ")
}
