//! From a cell to an example that an owner can read, and that can really come about.

use super::cells::{Cell, Space};
use super::realise::{is_valid, truths};
use super::search::{Search, doubts, search, stands};
use crate::flow::choice::{name, unit_of};
use crate::flow::condition::{ANOTHER_PLACE, Check, Condition};
use crate::flow::model::{Prompt, Step};
use crate::flow::values::{TEST_NUMBER, Value, Values};
use crate::flow::working::applies;
use crate::physics::uncertainty::Estimate;
use crate::units::{Dimension, Unit};

/// An example of a cell.
#[derive(Clone, Debug)]
pub struct Example {
    /// In words.
    pub words: String,
    /// It stands right at a limit.
    pub at_limit: bool,
    /// It shows at a place that is not in the list.
    pub elsewhere: bool,
    /// A verdict in it cannot tell, because its limit lies within the error.
    pub in_doubt: bool,
}

/// What came of looking for an example.
pub enum Shown {
    /// Here it is.
    Example(Example),
    /// There is none.
    Impossible,
    /// None was found.
    GaveUp,
}

/// An example of the cell: readings that come to what it says of every outcome.
pub fn example(
    step: &Step,
    space: &Space,
    cell: &Cell,
    can_come: &dyn Fn(&Values) -> bool,
) -> Shown {
    let fixes_worked = space.flow.worked.iter().any(|work| {
        !matches!(
            cell.values.get(&work.id),
            None | Some(Value::NotApplicable | Value::LeftOut)
        )
    });
    let found = if fixes_worked {
        match search(step, space, cell, can_come) {
            Search::Found(values) => values,
            Search::Impossible => return Shown::Impossible,
            Search::GaveUp => return Shown::GaveUp,
        }
    } else {
        cell.values.clone()
    };
    Shown::Example(Example {
        words: words(step, space, &found, cell),
        at_limit: cell.at_limit(),
        elsewhere: cell.values.iter().any(
            |(_, value)| matches!(value, Value::Places(shown) if shown.contains(ANOTHER_PLACE)),
        ),
        in_doubt: !doubts(space, cell).is_empty(),
    })
}

/// "smoke flow 0.4 L/min with smoke pressure 9 inH2O": as many digits as it takes for what is
/// written to come to the same as what was found.
fn words(step: &Step, space: &Space, found: &Values, cell: &Cell) -> String {
    let wanted = truths(step, &cell.values);
    let agrees = |values: &Values| {
        is_valid(step, values)
            && truths(step, values) == wanted
            && stands(step, space, cell, values)
    };
    // What the cell leaves open has no bearing, so it is not said.
    let said: Vec<&String> = space
        .named
        .iter()
        .filter(|id| cell.values.get(id).is_some())
        .collect();
    let rounded = (2..16).map(|digits| {
        let mut values = found.clone();
        for id in &said {
            if let (Some(Value::Number(e)), Some(unit)) = (found.get(id), unit_of(&space.flow, id))
            {
                let si = round(e.value, digits, unit);
                values.set(id, Value::Number(Estimate::exact(si)));
            }
        }
        values
    });
    let values = rounded
        .into_iter()
        .find(agrees)
        .unwrap_or_else(|| found.clone());
    let said = said.into_iter().filter_map(|id| {
        let value = said_of(step, space, id, &values)?;
        Some(format!("{} {value}", name(&space.flow, id)))
    });
    let said: Vec<String> = said
        .chain(because_of(step, space, cell))
        .chain(left_out(space, cell))
        .collect();
    if said.is_empty() {
        return "anything that is read".to_owned();
    }
    said.join(" with ")
}

/// A cell in words for which no readings were found: by a point in it, with few digits.
pub(super) fn sketch(step: &Step, space: &Space, cell: &Cell) -> String {
    let said = space.named.iter().filter_map(|id| {
        let mut values = Values::default();
        let value = cell.values.get(id)?;
        let rough = match (value, unit_of(&space.flow, id)) {
            (Value::Number(e), Some(unit)) => {
                Value::Number(Estimate::exact(round(e.value, SKETCHED, unit)))
            }
            _ => value.clone(),
        };
        values.set(id, rough);
        let value = said_of(step, space, id, &values)?;
        Some(format!("{} {value}", name(&space.flow, id)))
    });
    let said: Vec<String> = said.chain(left_out(space, cell)).collect();
    said.join(" with ")
}

/// Digits of a number that only shows about where it lies.
const SKETCHED: usize = 3;

/// A reading's own unit, in which it is typed; of what is worked that in which the step's own conditions speak of it, else
/// that in which it is shown.
fn unit_said(step: &Step, space: &Space, id: &str) -> Option<Unit> {
    if space.flow.prompt(id).is_some() {
        return unit_of(&space.flow, id);
    }
    let conditions = step.outcomes.iter().map(|outcome| &outcome.when);
    let mut written = conditions.filter_map(|condition| unit_in(condition, id));
    written.next().or_else(|| unit_of(&space.flow, id))
}

pub(in crate::check::rules) fn unit_in(condition: &Condition, id: &str) -> Option<Unit> {
    match condition {
        Condition::All(parts) | Condition::Any(parts) | Condition::None(parts) => {
            parts.iter().find_map(|part| unit_in(part, id))
        }
        Condition::Test { subject, check } if subject == id => match check {
            Check::AtLeast(q) | Check::Above(q) | Check::AtMost(q) | Check::Below(q) => {
                Some(q.unit())
            }
            Check::Between(from, _) => Some(from.unit()),
            _ => None,
        },
        Condition::Always | Condition::Test { .. } => None,
    }
}

/// What makes something unasked on such a car, where that matters: "banks one".
fn because_of(step: &Step, space: &Space, cell: &Cell) -> Vec<String> {
    let flow = &space.flow;
    let prompts = flow.facts.iter().chain(&flow.readings);
    let unasked = prompts.filter(|prompt| !applies(prompt, &cell.values));
    let by: Vec<&str> = unasked
        .filter_map(|prompt| prompt.only_if.as_ref())
        .flat_map(Condition::subjects)
        .collect();
    let mut said: Vec<String> = Vec::new();
    for id in by {
        let named = space.named.iter().any(|known| known == id);
        if let Some(value) = said_of(step, space, id, &cell.values).filter(|_| !named) {
            let words = format!("{} {value}", name(flow, id));
            if !said.contains(&words) {
                said.push(words);
            }
        }
    }
    said
}

/// What may be left out and is, where that matters.
fn left_out(space: &Space, cell: &Cell) -> Vec<String> {
    let flow = &space.flow;
    let is_left = |prompt: &&Prompt| {
        prompt.optional
            && cell.values.get(&prompt.id) == Some(&Value::NotApplicable)
            && applies(prompt, &cell.values)
    };
    let prompts = flow.facts.iter().chain(&flow.readings);
    prompts
        .filter(is_left)
        .map(|prompt| format!("{} left out", name(flow, &prompt.id)))
        .collect()
}

/// A number rounded to so many digits in its unit.
pub(in crate::check::rules) fn round(si: f64, digits: usize, unit: Unit) -> f64 {
    let text = format!("{:.*e}", digits - 1, unit.from_si(si));
    text.parse().map_or(si, |value| unit.to_si(value))
}

fn said_of(step: &Step, space: &Space, id: &str, values: &Values) -> Option<String> {
    Some(match values.get(id)? {
        Value::Number(e) if id == TEST_NUMBER => e.value.to_string(),
        Value::Number(e) => number(e.value, unit_said(step, space, id)?),
        Value::Word(word) => word.clone(),
        Value::Places(places) if places.is_empty() => "nowhere".to_owned(),
        Value::Places(places) => places.iter().cloned().collect::<Vec<_>>().join(" and "),
        _ => return None,
    })
}

/// The number as it is, without the last digits that the conversion of units leaves behind.
pub(in crate::check::rules) fn number(si: f64, unit: Unit) -> String {
    let value: f64 = format!("{:.12e}", unit.from_si(si)).parse().unwrap_or(si);
    match (unit.dimension(), unit.name()) {
        (Dimension::Count, _) | (_, "ratio") => value.to_string(),
        (_, name) => format!("{value} {name}"),
    }
}
