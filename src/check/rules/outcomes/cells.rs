//! The cells into which a step's conditions cut everything that can be read.

use std::collections::{BTreeMap, BTreeSet};

use super::realise;
use crate::engine::judge::rests_on;
use crate::flow::condition::{Check, Condition, NOWHERE};
use crate::flow::model::{Flow, PromptKind, Step};
use crate::flow::values::{TEST_NUMBER, Value, Values};
use crate::flow::working::applies;
use crate::physics::uncertainty::Estimate;

/// More cells than this are not looked through.
const MOST: usize = 60_000;
/// More places than this are not combined with one another.
const MOST_PLACES: usize = 6;

/// One thing that conditions look at, with a value out of each of its cells.
struct Axis {
    id: String,
    values: Vec<AxisValue>,
}

struct AxisValue {
    value: Value,
    /// It is a limit itself, not a stretch between limits.
    at_limit: bool,
}

/// Everything that a step's conditions look at.
pub struct Space {
    /// The flow, without what has no bearing on the step.
    pub flow: Flow,
    /// Readings and facts, what decides about others first.
    asked: Vec<Axis>,
    worked: Vec<Axis>,
    /// Readings that the step itself records.
    records: Vec<String>,
    /// The ids that the step's own conditions name, in their order.
    pub named: Vec<String>,
}

/// One cell, by a point in it.
pub struct Cell {
    /// The point.
    pub values: Values,
    /// Some number in it stands right at a limit.
    pub at_limit: bool,
}

impl Space {
    /// The space of a step; nothing where it has too many cells.
    pub fn of(flow: &Flow, step: &Step) -> Option<Self> {
        let mut marks: BTreeMap<String, Marks> = BTreeMap::new();
        let mut named: Vec<String> = Vec::new();
        for outcome in &step.outcomes {
            gather(&outcome.when, &mut marks);
            for id in outcome.when.subjects() {
                if !named.iter().any(|known| known == id) {
                    named.push(id.to_owned());
                }
            }
        }
        // Readings under which a step is not valid are not asked for an outcome.
        if let Some(valid) = &step.valid_when {
            gather(valid, &mut marks);
        }
        let flow = slim(flow, step, &marks);
        add_what_decides_asking(&flow, &mut marks);
        let axes = order(&flow, marks)
            .into_iter()
            .map(|(id, marks)| axis(&flow, id, &marks));
        let (worked, asked): (Vec<Axis>, Vec<Axis>) =
            axes.partition(|a| flow.work(&a.id).is_some());
        let mut cells = 1_usize;
        for axis in asked.iter().chain(&worked) {
            cells = cells
                .checked_mul(axis.values.len().max(1))
                .filter(|n| *n <= MOST)?;
        }
        Some(Self {
            flow,
            asked,
            worked,
            records: step.record.clone(),
            named,
        })
    }

    /// One point of every cell that can come about, with cars that can come here.
    pub fn cells(&self, can_come: impl Fn(&Values) -> bool) -> Vec<Cell> {
        let mut seen: BTreeSet<String> = BTreeSet::new();
        let mut cells = Vec::new();
        for outer in combinations(&self.asked) {
            let (values, at_limit) = self.asked_for(&outer);
            // What is not asked makes many combinations the same.
            let new = seen.insert(format!("{values:?}"));
            if !new || !can_come(&values) || !self.concerns(&values) {
                continue;
            }
            // Which worked values there are on such a car, the engine itself says.
            let some = realise::some_values(&self.flow, &values);
            let there: Vec<&Axis> = self
                .worked
                .iter()
                .filter(|axis| some.get(&axis.id) != Some(&Value::NotApplicable))
                .collect();
            for inner in combinations(&there) {
                let mut values = values.clone();
                for axis in &self.worked {
                    values.set(&axis.id, Value::NotApplicable);
                }
                let mut at_limit = at_limit;
                for (axis, choice) in there.iter().zip(inner) {
                    at_limit |= choice.at_limit;
                    values.set(&axis.id, choice.value.clone());
                }
                cells.push(Cell { values, at_limit });
            }
        }
        cells
    }

    /// The values of a combination, where asked; not applicable where the flow does not ask.
    fn asked_for(&self, combination: &[&AxisValue]) -> (Values, bool) {
        let mut values = Values::default();
        let mut at_limit = false;
        for (axis, choice) in self.asked.iter().zip(combination) {
            if self
                .flow
                .prompt(&axis.id)
                .is_none_or(|prompt| applies(prompt, &values))
            {
                at_limit |= choice.at_limit;
                values.set(&axis.id, choice.value.clone());
            } else {
                values.set(&axis.id, Value::NotApplicable);
            }
        }
        (values, at_limit)
    }

    /// Whether the step is for such a car at all: one that asks for readings, and for none of them
    /// here, is not walked with it.
    fn concerns(&self, values: &Values) -> bool {
        let mut own = self
            .records
            .iter()
            .filter_map(|id| self.flow.reading(id))
            .peekable();
        own.peek().is_none() || own.any(|prompt| applies(prompt, values))
    }
}

/// Every choice of one value an axis.
fn combinations<A: std::borrow::Borrow<Axis>>(axes: &[A]) -> Vec<Vec<&AxisValue>> {
    axes.iter().fold(vec![Vec::new()], |all, axis| {
        all.into_iter()
            .flat_map(|so_far| {
                axis.borrow().values.iter().map(move |value| {
                    let mut longer = so_far.clone();
                    longer.push(value);
                    longer
                })
            })
            .collect()
    })
}

/// The flow without worked values and readings that have no bearing on what the step looks at:
/// they would only cost time when readings are searched for.
fn slim(flow: &Flow, step: &Step, marks: &BTreeMap<String, Marks>) -> Flow {
    let mut slim = flow.clone();
    slim.worked
        .retain(|work| marks.keys().any(|id| rests_on(flow, id, &work.id)));
    let kept = slim.worked.clone();
    let decides = |id: &str| {
        let prompts = flow.facts.iter().chain(&flow.readings);
        prompts
            .filter_map(|p| p.only_if.as_ref())
            .any(|c| c.subjects().contains(&id))
    };
    slim.readings.retain(|reading| {
        marks.contains_key(&reading.id)
            || step.record.contains(&reading.id)
            || decides(&reading.id)
            || kept
                .iter()
                .any(|work| rests_on(flow, &work.id, &reading.id))
    });
    slim
}

/// What is known of one subject.
#[derive(Default)]
struct Marks {
    limits: Vec<f64>,
    words: BTreeSet<String>,
}

fn gather(condition: &Condition, out: &mut BTreeMap<String, Marks>) {
    match condition {
        Condition::Always => {}
        Condition::All(parts) | Condition::Any(parts) | Condition::None(parts) => {
            for part in parts {
                gather(part, out);
            }
        }
        Condition::Test { subject, check } => {
            let marks = out.entry(subject.clone()).or_default();
            match check {
                Check::AtLeast(q) | Check::Above(q) | Check::AtMost(q) | Check::Below(q) => {
                    marks.limits.push(q.si());
                }
                Check::Between(a, b) => marks.limits.extend([a.si(), b.si()]),
                Check::Is(word) => {
                    marks.words.insert(word.clone());
                }
                Check::AnyOf(words) | Check::NoneOf(words) => {
                    marks.words.extend(words.iter().cloned());
                }
            }
        }
    }
}

/// Adds the facts and readings that decide whether something is asked at all.
fn add_what_decides_asking(flow: &Flow, marks: &mut BTreeMap<String, Marks>) {
    loop {
        let before = marks.len();
        let ids: Vec<String> = marks.keys().cloned().collect();
        for prompt in flow.facts.iter().chain(&flow.readings) {
            let concerned = ids
                .iter()
                .any(|id| *id == prompt.id || rests_on(flow, id, &prompt.id));
            if let Some(condition) = prompt.only_if.as_ref().filter(|_| concerned) {
                gather(condition, marks);
            }
        }
        if marks.len() == before {
            return;
        }
    }
}

/// Facts before readings before worked values, each in the order of the file: what decides about
/// others comes before them.
fn order(flow: &Flow, mut marks: BTreeMap<String, Marks>) -> Vec<(String, Marks)> {
    let ids = std::iter::once(TEST_NUMBER)
        .chain(flow.facts.iter().map(|p| p.id.as_str()))
        .chain(flow.readings.iter().map(|p| p.id.as_str()))
        .chain(flow.worked.iter().map(|w| w.id.as_str()));
    ids.filter_map(|id| marks.remove_entry(id)).collect()
}

fn axis(flow: &Flow, id: String, marks: &Marks) -> Axis {
    let values = match flow.prompt(&id).map(|p| &p.kind) {
        Some(PromptKind::Choice(words)) => words.iter().map(|w| word(w)).collect(),
        Some(PromptKind::Places(_)) => places(marks),
        Some(PromptKind::Quantity(q)) => {
            let inside = q.plausible.map(|(from, to)| (from.si(), to.si()));
            numbers(&marks.limits, inside)
        }
        Some(PromptKind::Text | PromptKind::Pairs(_)) => marks
            .words
            .iter()
            .map(|w| word(w))
            .chain([word("something else")])
            .collect(),
        None if id == TEST_NUMBER => counts(&marks.limits),
        None => match flow.work(&id).map(|w| &w.calculation.outputs[w.take]) {
            Some(output) if !output.words.is_empty() => {
                output.words.iter().map(|w| word(w)).collect()
            }
            Some(output) if output.kind.floor().is_finite() => {
                numbers(&marks.limits, Some((output.kind.floor(), f64::MAX)))
            }
            _ => numbers(&marks.limits, None),
        },
    };
    Axis { id, values }
}

fn word(word: &str) -> AxisValue {
    AxisValue {
        value: Value::Word(word.to_owned()),
        at_limit: false,
    }
}

fn number(si: f64, at_limit: bool) -> AxisValue {
    AxisValue {
        value: Value::Number(Estimate::exact(si)),
        at_limit,
    }
}

/// 1, 2, ... up to one beyond the largest that is named.
fn counts(limits: &[f64]) -> Vec<AxisValue> {
    let most = limits.iter().copied().fold(1.0, f64::max) + 1.0;
    let mut values = Vec::new();
    let mut count = 1.0;
    while count <= most.min(12.0) {
        values.push(number(count, false));
        count += 1.0;
    }
    values
}

/// The limits themselves, a point between each two, and one beyond either end, as far as they lie
/// in the plausible range.
fn numbers(limits: &[f64], inside: Option<(f64, f64)>) -> Vec<AxisValue> {
    let mut at: Vec<f64> = limits.to_vec();
    at.sort_by(f64::total_cmp);
    at.dedup();
    let (Some(first), Some(last)) = (at.first().copied(), at.last().copied()) else {
        return vec![number(
            inside.map_or(0.0, |(from, to)| f64::midpoint(from, to)),
            false,
        )];
    };
    let span = if last > first {
        last - first
    } else {
        first.abs().max(1e-6)
    };
    let (from, to) = inside.unwrap_or((f64::NEG_INFINITY, f64::INFINITY));
    // Beyond the ends: half-way to the plausible end, where there is one.
    let before = if from.is_finite() {
        f64::midpoint(from, first)
    } else {
        first - span / 2.0
    };
    let beyond = if to < f64::MAX {
        f64::midpoint(last, to)
    } else {
        last + span / 2.0
    };
    let mut values = vec![(before, false)];
    for (n, limit) in at.iter().enumerate() {
        values.push((*limit, true));
        if let Some(next) = at.get(n + 1) {
            values.push((f64::midpoint(*limit, *next), false));
        }
    }
    values.push((beyond, false));
    let distinct = |(si, at_limit): &(f64, bool)| *at_limit || !at.contains(si);
    values
        .into_iter()
        .filter(|(si, _)| (from..=to).contains(si))
        .filter(distinct)
        .map(|(si, at_limit)| number(si, at_limit))
        .collect()
}

/// What shows: nothing, something that no condition names, and every combination of those named.
fn places(marks: &Marks) -> Vec<AxisValue> {
    let named: Vec<&String> = marks
        .words
        .iter()
        .filter(|word| *word != NOWHERE)
        .take(MOST_PLACES)
        .collect();
    let mut values = vec![place_set(BTreeSet::new())];
    values.push(place_set(BTreeSet::from(["another place".to_owned()])));
    for bits in 1_u32..(1 << named.len()) {
        let shown = named.iter().enumerate().filter(|(n, _)| bits >> n & 1 == 1);
        values.push(place_set(
            shown.map(|(_, place)| (*place).clone()).collect(),
        ));
    }
    values
}

fn place_set(shown: BTreeSet<String>) -> AxisValue {
    AxisValue {
        value: Value::Places(shown),
        at_limit: false,
    }
}
