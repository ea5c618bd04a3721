//! What a step comes to with given values, and answers from which such values follow.

use std::collections::BTreeMap;

use crate::flow::answer::{Answer, Strength};
use crate::flow::condition::Truth;
use crate::flow::model::{Flow, Prompt, PromptKind, Step};
use crate::flow::values::{Value, Values};
use crate::flow::working::{Known, applies, picture, plain_values};
use crate::physics::uncertainty::Estimate;
use crate::units::{Dimension, Quantity};

/// Where the generator starts: always the same, so that a check says the same twice.
const SEED: u64 = 0x9e37_79b9_7f4a_7c15;

/// Cars that are tried before a worked value is taken for one that there is not.
const CARS: usize = 8;

/// Which worked values there cannot be on a car that answers like this, by their ids, and what stands
/// in their place. A calculation that has only refused its inputs on some of them is still there on
/// others.
pub fn worked_absent(flow: &Flow, asked: &Values) -> BTreeMap<String, Value> {
    let mut draw = Draw::new();
    let ids = flow.worked.iter().map(|work| work.id.clone());
    let mut absent: BTreeMap<String, Value> = ids.map(|id| (id, Value::NotApplicable)).collect();
    for _ in 0..CARS {
        let answers = answers(flow, asked, &mut draw);
        let values = plain_values(
            flow,
            Known {
                answers: &answers,
                test_number: 1,
            },
        );
        absent.retain(|id, stands| match values.get(id) {
            Some(value @ (Value::NotApplicable | Value::LeftOut)) => {
                stands.clone_from(value);
                true
            }
            _ => false,
        });
        if absent.is_empty() {
            break;
        }
    }
    absent
}

/// Whether the step's readings count.
pub fn is_valid(step: &Step, values: &Values) -> bool {
    step.valid_when
        .as_ref()
        .is_none_or(|condition| !matches!(condition.truth(values), Truth::No | Truth::Straddles))
}

/// What each outcome comes to.
pub fn truths(step: &Step, values: &Values) -> Vec<Truth> {
    step.outcomes
        .iter()
        .map(|outcome| outcome.when.truth(values))
        .collect()
}

/// Whether the verdicts say what is `wanted` of them.
pub fn verdicts_say(real: &Values, wanted: &[(String, String)]) -> bool {
    let says = |(id, word): &(String, String)| matches!(real.get(id), Some(Value::Word(said)) if said == word);
    wanted.iter().all(says)
}

/// What the answers come to with all their errors: what the engine judges by.
pub fn with_errors(flow: &Flow, answers: &BTreeMap<String, Answer>, test_number: u32) -> Values {
    let known = Known {
        answers,
        test_number,
    };
    picture(flow, known).values
}

/// Answers to everything that the flow asks: as fixed, or drawn. What is fixed as not applicable is
/// left out.
pub fn answers(flow: &Flow, fixed: &Values, draw: &mut Draw) -> BTreeMap<String, Answer> {
    let mut answers = BTreeMap::new();
    let mut known = Values::default();
    for prompt in flow.facts.iter().chain(&flow.readings) {
        if !applies(prompt, &known) {
            known.set(&prompt.id, Value::NotApplicable);
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
            Some(Value::NotApplicable) => None,
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
            let plausible = q.plausible.map(|(a, b)| (a.si(), b.si()));
            let (from, to) = plausible.unwrap_or((q.unit.to_si(0.0), q.unit.to_si(100.0)));
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
pub struct Draw(u64);

impl Draw {
    /// A generator at its start.
    pub fn new() -> Self {
        Self(SEED)
    }

    /// The next number.
    pub fn next(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }
}
