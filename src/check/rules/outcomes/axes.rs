//! The stretches into which limits cut what one subject can be, with a value out of each.

use std::collections::{BTreeMap, BTreeSet};

use super::marks::Marks;
use crate::flow::choice::unit_of;
use crate::flow::condition::{ANOTHER_PLACE, NOWHERE};
use crate::flow::model::{Flow, PromptKind};
use crate::flow::values::{TEST_NUMBER, Value};
use crate::physics::uncertainty::Estimate;
use crate::units::{Dimension, Unit};

/// More places that no two checks treat alike than this are not combined with one another.
const MOST_PLACES: usize = 10;
/// Tests beyond this are like this one.
const MOST_TESTS: f64 = 12.0;

/// One thing that conditions look at.
pub struct Axis {
    /// Its id.
    pub id: String,
    /// What it can be, as far as any condition can tell.
    pub values: Vec<AxisValue>,
}

/// One stretch of an axis.
#[derive(Clone)]
pub struct AxisValue {
    /// A value out of it; nothing where it is read, but not looked at itself.
    pub value: Option<Value>,
    /// For numbers, where it lies; both ends are the limit itself where it is one.
    pub span: Option<(f64, f64)>,
}

impl AxisValue {
    fn of(value: Value) -> Self {
        Self {
            value: Some(value),
            span: None,
        }
    }
}

/// The axis of a subject; nothing where it can be too many things.
pub fn axis(flow: &Flow, id: String, marks: &Marks) -> Option<Axis> {
    let prompt = flow.prompt(&id);
    let mut values = match prompt.map(|p| &p.kind) {
        // It is here only because it may be left out.
        Some(_) if marks.limits.is_empty() && marks.words.is_empty() => vec![AxisValue {
            value: None,
            span: None,
        }],
        Some(PromptKind::Choice(words)) => words.iter().map(|w| word(w)).collect(),
        Some(PromptKind::Places(_)) => places(&marks.words)?,
        Some(PromptKind::Quantity(q)) => {
            let inside = q.judged();
            let inside = inside.unwrap_or((f64::NEG_INFINITY, f64::INFINITY));
            numbers(&marks.limits, inside, Some(q.unit))
        }
        Some(PromptKind::Text | PromptKind::Pairs(_)) => {
            let named = marks.words.keys().map(|w| word(w));
            named.chain([word("something else")]).collect()
        }
        None if id == TEST_NUMBER => counts(&marks.limits),
        None => worked(flow, &id, marks),
    };
    if prompt.is_some_and(|p| p.optional) && values.iter().all(|v| v.value.is_none()) {
        values.push(AxisValue::of(Value::NotApplicable));
    }
    Some(Axis { id, values })
}

fn worked(flow: &Flow, id: &str, marks: &Marks) -> Vec<AxisValue> {
    let Some(work) = flow.work(id) else {
        return Vec::new();
    };
    let output = &work.calculation.outputs[work.take];
    if output.words.is_empty() {
        let floor = output.floor();
        let mut values = numbers(&marks.limits, (floor, f64::INFINITY), unit_of(flow, id));
        // The floor is no limit: it belongs to the stretch above it.
        for (from, to) in values.iter_mut().filter_map(|v| v.span.as_mut()) {
            if *from <= floor && from < to {
                *from = f64::NEG_INFINITY;
            }
        }
        return values;
    }
    output.words.iter().map(|w| word(w)).collect()
}

fn word(word: &str) -> AxisValue {
    AxisValue::of(Value::Word(word.to_owned()))
}

fn number(si: f64, span: (f64, f64)) -> AxisValue {
    AxisValue {
        value: Some(Value::Number(Estimate::exact(si))),
        span: Some(span),
    }
}

/// 1, 2, ... up to one beyond the largest that is named. None of them is "at a limit": a count
/// that is named is a case of its own.
fn counts(limits: &[f64]) -> Vec<AxisValue> {
    let most = limits.iter().copied().fold(1.0, f64::max) + 1.0;
    let mut values = Vec::new();
    let mut count = 1.0;
    while count <= most.min(MOST_TESTS) {
        values.push(AxisValue::of(Value::Number(Estimate::exact(count))));
        count += 1.0;
    }
    values
}

/// The limits themselves and the stretches between them, as far as they lie in the plausible range.
/// Whole things are counted: between 2 and 3 cylinders there is nothing.
fn numbers(limits: &[f64], (from, to): (f64, f64), unit: Option<Unit>) -> Vec<AxisValue> {
    let mut at: Vec<f64> = limits
        .iter()
        .copied()
        .filter(|l| (from..=to).contains(l))
        .collect();
    at.sort_by(f64::total_cmp);
    at.dedup();
    let whole = unit.is_some_and(|u| u.dimension() == Dimension::Count);
    let mut values = Vec::new();
    let mut low = from;
    for limit in at.iter().copied().chain([f64::NAN]) {
        let high = if limit.is_nan() { to } else { limit };
        if low < high {
            let inside = within(low, high, unit);
            let fits = if whole {
                whole_within(low, high, &at)
            } else {
                Some(inside)
            };
            values.extend(fits.map(|si| number(si, (low, high))));
        }
        if !limit.is_nan() {
            if !whole || limit.fract() == 0.0 {
                values.push(number(limit, (limit, limit)));
            }
            low = limit;
        }
    }
    // A range of one value that no limit hits.
    if values.is_empty() && from.is_finite() {
        values.push(number(from, (from, to)));
    }
    values
}

/// A value inside a stretch that is read aloud easily: as few digits as keep it off the ends.
pub(in crate::check::rules) fn within(low: f64, high: f64, unit: Option<Unit>) -> f64 {
    let wide = |known: f64| if known == 0.0 { 1.0 } else { known.abs() };
    let (low, high) = match (low.is_finite(), high.is_finite()) {
        (true, true) => (low, high),
        (true, false) => (low, low + wide(low)),
        (false, true) => (high - wide(high), high),
        (false, false) => (0.0, 1.0),
    };
    let middle = f64::midpoint(low, high);
    let Some(unit) = unit else { return middle };
    let quarter = (high - low) / 4.0;
    few_digits(middle, unit)
        .find(|si| (low + quarter..=high - quarter).contains(si))
        .unwrap_or(middle)
}

/// A value rounded to one digit, to two, and so on, in its unit.
pub fn few_digits(si: f64, unit: Unit) -> impl Iterator<Item = f64> {
    let value = unit.from_si(si);
    (0..9).filter_map(move |digits| {
        let text = format!("{value:.digits$e}");
        text.parse().ok().map(|rounded| unit.to_si(rounded))
    })
}

/// The first whole number between two limits; an end that is no limit counts as well.
fn whole_within(low: f64, high: f64, limits: &[f64]) -> Option<f64> {
    let (low_out, high_out) = (limits.contains(&low), limits.contains(&high));
    let first = match (low.is_finite(), low_out) {
        (false, _) => high.ceil() - 1.0,
        (true, true) => low.floor() + 1.0,
        (true, false) => low.ceil(),
    };
    (first < high || (first <= high && !high_out)).then_some(first)
}

/// What shows: nothing, something that no condition names, and every combination of those named.
/// Places that stand in the same checks everywhere are one place to every condition.
fn places(words: &BTreeMap<String, BTreeSet<usize>>) -> Option<Vec<AxisValue>> {
    let mut unlike: BTreeMap<&BTreeSet<usize>, &str> = BTreeMap::new();
    for (word, checks) in words.iter().filter(|(word, _)| *word != NOWHERE) {
        unlike.entry(checks).or_insert(word);
    }
    if unlike.len() > MOST_PLACES {
        return None;
    }
    let named: Vec<&str> = unlike.into_values().collect();
    let set = |shown: BTreeSet<String>| AxisValue::of(Value::Places(shown));
    let mut values = vec![
        set(BTreeSet::new()),
        set(BTreeSet::from([ANOTHER_PLACE.to_owned()])),
    ];
    // The fewest places first: what a finding shows is then the simplest.
    let mut combinations: Vec<u32> = (1_u32..(1 << named.len())).collect();
    combinations.sort_by_key(|bits| bits.count_ones());
    for bits in combinations {
        let shown = named.iter().enumerate().filter(|(n, _)| bits >> n & 1 == 1);
        values.push(set(shown.map(|(_, place)| (*place).to_owned()).collect()));
    }
    Some(values)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(limits: &[f64], inside: (f64, f64), unit: &str) -> Vec<f64> {
        numbers(limits, inside, Unit::parse(unit).ok())
            .into_iter()
            .filter_map(|v| match v.value {
                Some(Value::Number(e)) => Some(e.value),
                _ => None,
            })
            .collect()
    }

    #[test]
    fn the_whole_plausible_range_is_cut_at_the_limits_within_it() {
        assert_eq!(shown(&[3.0], (0.0, 7.0), "Pa"), [2.0, 3.0, 5.0]);
        assert_eq!(shown(&[1.0, 5.0], (4.0, 6.0), "Pa"), [4.5, 5.0, 5.5]);
        assert_eq!(shown(&[5.0], (8.0, 10.0), "Pa"), [9.0]);
        assert_eq!(shown(&[4.0], (4.0, 4.0), "Pa"), [4.0]);
        assert_eq!(shown(&[5.0], (4.0, 4.0), "Pa"), [4.0]);
        assert_eq!(
            shown(&[2.0], (f64::NEG_INFINITY, f64::INFINITY), "Pa"),
            [1.0, 2.0, 3.0]
        );
    }

    #[test]
    fn whole_things_have_nothing_between_them() {
        let whole = Unit::default_for(Dimension::Count).name();
        assert_eq!(shown(&[2.0, 3.0], (1.0, 12.0), whole), [1.0, 2.0, 3.0, 4.0]);
        assert_eq!(shown(&[2.0], (2.0, 3.0), whole), [2.0, 3.0]);
        assert_eq!(shown(&[2.5], (2.0, 3.0), whole), [2.0, 3.0]);
    }
}
