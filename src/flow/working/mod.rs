//! From what was read to what follows from it: every value with its 95 % interval.
//!
//! The worked values of a flow form a graph. It is evaluated once as read, and twice more for each
//! independent source of error (a reading's own error, the bias that all readings of one gauge
//! share, the spread of a model), shifted to either end of its 95 % range. The effects add as the
//! root of the sum of squares. Since a source shifts the whole graph at once, an error that two
//! values share cancels where it should: the gauge's bias in a difference, the discharge
//! coefficient in a ratio of two holes.
//!
//! [`graph`] evaluates it at one point, from what [`inputs`] gathers; [`errors`] are the sources of
//! error and their shifts; [`interval`] puts the effects together; [`one_way`] says what of it does
//! not turn its sign.

mod errors;
mod graph;
mod inputs;
mod interval;
mod one_way;

use std::collections::BTreeMap;

use self::errors::{gauge_error, own_error};
use self::graph::{Base, evaluate};
use self::interval::{Shifted, note};
use super::answer::Answer;
use super::model::{Flow, Prompt, PromptKind, Work};
use super::values::{TEST_NUMBER, Value, Values};
use crate::physics::calculation::Shifts;
use crate::physics::given::Given;
use crate::physics::uncertainty::Estimate;

/// What is known about a job, as far as a flow is concerned.
#[derive(Clone, Copy, Debug)]
pub struct Known<'k> {
    /// Answers by the id of the reading or vehicle fact.
    pub answers: &'k BTreeMap<String, Answer>,
    /// 1 at first, one more after every repair.
    pub test_number: u32,
}

/// Everything that a flow's conditions and screens can refer to.
#[derive(Clone, Debug, Default)]
pub struct Picture {
    /// Values by id.
    pub values: Values,
    /// Notes of the calculations, by the worked value's id.
    pub notes: BTreeMap<String, Vec<String>>,
    /// For worked values that are not there: the readings and facts that are missing.
    pub missing: BTreeMap<String, Vec<String>>,
    /// For worked values that are not there: the readings and facts that may be left out, and were.
    pub left_out: BTreeMap<String, Vec<String>>,
}

/// Works out everything that can be worked out.
pub fn picture(flow: &Flow, known: Known) -> Picture {
    let mut picture = Picture::default();
    picture.values.set(
        TEST_NUMBER,
        Value::Number(Estimate::exact(f64::from(known.test_number))),
    );
    for prompt in flow.facts.iter().chain(&flow.readings) {
        if let Some(value) = read_value(flow, prompt, known, &picture.values) {
            picture.values.set(&prompt.id, value);
        }
    }
    let base = Base::of(flow, known, &picture.values);
    let central = evaluate(flow, &base, &Shifts::none(), true);
    let shifted = Shifted::of(flow, &base);
    for work in &flow.worked {
        let Some(point) = central.get(&work.id) else {
            continue;
        };
        note(&mut picture, work, point, &shifted);
    }
    picture
}

/// What the calculation of a worked value is given on one car.
pub struct Inputs<'f> {
    /// The worked value.
    pub work: &'f Work,
    /// What its calculation is given.
    pub given: Given,
    /// Whether something is not among it, since it is not asked on this car or was left out.
    pub left_out: bool,
}

/// The inputs of every worked value of which all are there.
pub fn inputs_of<'f>(flow: &'f Flow, known: Known) -> Vec<Inputs<'f>> {
    let mut values = Values::default();
    for prompt in flow.facts.iter().chain(&flow.readings) {
        if let Some(value) = read_value(flow, prompt, known, &values) {
            values.set(&prompt.id, value);
        }
    }
    let mut base = Base::of(flow, known, &values);
    let graph = evaluate(flow, &base, &Shifts::none(), true);
    let mut all = Vec::new();
    for work in &flow.worked {
        if let Ok((given, left_out)) = inputs::given(work, &base, &graph) {
            all.push(Inputs {
                work,
                given,
                left_out: left_out.is_some(),
            });
        }
        if let Some(point) = graph.get(&work.id) {
            base.take_in(&work.id, point);
        }
    }
    all
}

/// The values as read, without their intervals: what conditions come to if nothing were uncertain.
pub fn plain_values(flow: &Flow, known: Known) -> Values {
    let exact = |value: Value| match value {
        Value::Number(estimate) => Value::Number(Estimate::exact(estimate.value)),
        other => other,
    };
    let mut picture = Picture::default();
    let number = f64::from(known.test_number);
    picture
        .values
        .set(TEST_NUMBER, Value::Number(Estimate::exact(number)));
    for prompt in flow.facts.iter().chain(&flow.readings) {
        if let Some(value) = read_value(flow, prompt, known, &picture.values) {
            picture.values.set(&prompt.id, exact(value));
        }
    }
    let base = Base::of(flow, known, &picture.values);
    let central = evaluate(flow, &base, &Shifts::none(), true);
    let shifted = Shifted::none(flow, &base);
    for work in &flow.worked {
        if let Some(point) = central.get(&work.id) {
            note(&mut picture, work, point, &shifted);
        }
    }
    picture.values
}

/// Half the widths of the 95 % intervals of a value that was read: its own, and the one that all
/// readings of its gauge share. SI.
pub fn errors_of(flow: &Flow, prompt: &Prompt, si: f64) -> (f64, f64) {
    (own_error(flow, prompt, si), gauge_error(flow, prompt, si))
}

/// Whether a prompt is asked on this car, as far as is known.
pub fn applies(prompt: &Prompt, values: &Values) -> bool {
    use super::condition::Truth;
    // An unknown condition does not hide the question: better asked once too often.
    prompt
        .only_if
        .as_ref()
        .is_none_or(|condition| condition.truth(values) != Truth::No)
}

/// The least value that a worked value takes: a diameter is never below zero, whatever comes out.
pub fn least(work: &Work) -> f64 {
    interval::floor(work)
}

fn read_value(flow: &Flow, prompt: &Prompt, known: Known, values: &Values) -> Option<Value> {
    if !applies(prompt, values) {
        return Some(Value::NotApplicable);
    }
    match (known.answers.get(&prompt.id)?, &prompt.kind) {
        (Answer::CouldNotTell(_), _) => Some(Value::Untold),
        (Answer::Quantity(q), PromptKind::Quantity(p)) if q.dimension() == p.unit.dimension() => {
            let si = q.si();
            let half = own_error(flow, prompt, si).hypot(gauge_error(flow, prompt, si));
            Some(Value::Number(Estimate {
                value: si,
                low: si - half,
                high: si + half,
            }))
        }
        (Answer::Choice(word) | Answer::Text(word), _) => Some(Value::Word(word.clone())),
        (Answer::Places(places), _) => Some(Value::Places(places.keys().cloned().collect())),
        _ => None,
    }
}
