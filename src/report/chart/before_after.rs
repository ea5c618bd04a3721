//! Worked values before and after a repair, as bars from zero with their intervals; and readings, as they were read.

use std::collections::BTreeMap;

use super::{Bar, Bars, Figure};
use crate::engine::{covered, shown};
use crate::flow::answer::Answer;
use crate::flow::choice::name;
use crate::flow::condition::Condition;
use crate::flow::meaning::State;
use crate::flow::model::{Flow, Prompt, PromptKind, Work};
use crate::flow::values::Value;
use crate::physics::uncertainty::Estimate;
use crate::report::case::{Case, Walked};
use crate::report::plain;
use crate::report::text::sentence;
use crate::units::{Dimension, Quantity, Unit, preferred};

/// A value that was shown in several tests.
struct Followed {
    name: String,
    calculation: &'static str,
    /// Which of its results it is.
    result: &'static str,
    unit: Option<Unit>,
    /// It only says whether the test was done as it should, or corrects another value.
    is_aid: bool,
    by_test: BTreeMap<u32, Estimate>,
}

/// How bars are read whose name says the rest.
const RANGES: &str = "The range stands in brackets. Where two ranges lie apart, something has changed; where \
                      they overlap, it may be the same as before.";

/// Calculations that only serve others: they tell nobody whether a car is mended.
pub const AIDS: [&str; 5] = ["fill", "volume", "air", "gauge", "equilibrium"];

/// Values that were shown in the last test and in one before it; `most` of them, those that the last
/// step judged by first. With `one_of_a_kind` a calculation is shown once only.
pub fn before_after(case: &Case, most: usize, one_of_a_kind: bool) -> Vec<Figure> {
    let last = case.tests();
    if last < 2 {
        return Vec::new();
    }
    let mut all: Vec<(String, Followed)> = Vec::new();
    // Backwards, so that what the end was judged by stands first.
    let walked: Vec<_> = case.walked().filter(|w| w.taken().is_some()).collect();
    for step in walked.iter().rev() {
        let flow = &step.run.flow;
        let picture = step.picture(case);
        for id in &step.step.show {
            let (Some(work), Some(Value::Number(estimate))) =
                (flow.work(id), picture.values.get(id))
            else {
                continue;
            };
            let place = all.iter().position(|(known, followed)| {
                known == id && followed.calculation == work.calculation.name
            });
            let place = place.unwrap_or_else(|| {
                let followed = Followed {
                    name: name(flow, id),
                    calculation: work.calculation.name,
                    result: work.calculation.outputs[work.take].id,
                    unit: work.unit,
                    is_aid: serves_only(flow, work),
                    by_test: BTreeMap::new(),
                };
                all.push((id.clone(), followed));
                all.len() - 1
            });
            let test = step.visit.test;
            if covered::alike(case.job, flow, id, test, last) {
                all[place].1.by_test.entry(test).or_insert(*estimate);
            }
        }
    }
    let mut kinds: Vec<&str> = Vec::new();
    all.iter()
        .map(|(_, followed)| followed)
        .filter(|f| f.by_test.contains_key(&last) && f.by_test.len() > 1)
        .filter(|f| !(one_of_a_kind && (AIDS.contains(&f.calculation) || f.is_aid)))
        .filter(|f| {
            let known = kinds.contains(&f.calculation);
            kinds.push(f.calculation);
            !(one_of_a_kind && known)
        })
        .take(most)
        .map(|followed| figure(case, followed))
        .collect()
}

/// Whether a worked value only serves the test itself: a warmth beside a pressure, or what the steps ask of a valid
/// reading and no outcome asks for.
fn serves_only(flow: &Flow, work: &Work) -> bool {
    let warmth = work.unit.map(Unit::dimension) == Some(Dimension::Temperature);
    let mut steps = flow.steps.iter();
    let makes_valid = steps.any(|step| {
        let valid = step.valid_when.iter();
        valid.flat_map(Condition::subjects).any(|id| id == work.id)
    });
    let mut outcomes = flow.steps.iter().flat_map(|step| &step.outcomes);
    let judges = outcomes.any(|outcome| outcome.when.subjects().contains(&work.id.as_str()));
    (warmth || makes_valid) && !judges
}

/// Readings of a number that were judged by in the last test and read in one before it; `most` of
/// them.
pub fn read_again(case: &Case, most: usize) -> Vec<Figure> {
    let last = case.tests();
    if last < 2 || most == 0 {
        return Vec::new();
    }
    let mut out: Vec<Figure> = Vec::new();
    let mut known: Vec<&str> = Vec::new();
    let walked: Vec<_> = case.walked().filter(|w| w.visit.test == last).collect();
    for step in walked.iter().rev() {
        for id in judged_by(step) {
            let Some(prompt) = step.run.flow.reading(id) else {
                continue;
            };
            // What the smoke unit shows of itself says nothing of the car.
            if out.len() == most || known.contains(&id) || is_of_the_unit(prompt) {
                continue;
            }
            if let PromptKind::Quantity(asked) = &prompt.kind {
                known.push(id);
                out.extend(read(case, &step.run.flow.id, &prompt.ask, id, asked.unit));
            }
        }
    }
    out
}

/// What a step was judged by: what its outcome asks for; where it was left by another way, what its outcomes ask for.
fn judged_by<'j>(walked: &Walked<'j>) -> Vec<&'j str> {
    match walked.outcome() {
        Some(outcome) => outcome.when.subjects().into_iter().collect(),
        None if walked.taken().is_none() => Vec::new(),
        None => {
            let outcomes = walked.step.outcomes.iter();
            outcomes
                .flat_map(|outcome| outcome.when.subjects())
                .collect()
        }
    }
}

/// Whether a reading is taken with the tip of the smoke unit blocked: it proves the unit, whatever hangs on the hose.
fn is_of_the_unit(prompt: &Prompt) -> bool {
    let meaning = prompt.meaning();
    meaning.is_some_and(|meaning| meaning.state == State::TipBlocked)
}

/// One reading over the tests, on the way that counts.
fn read(case: &Case, flow: &str, ask: &str, id: &str, unit: Unit) -> Option<Figure> {
    let unit = preferred::shown_unit(unit);
    let mut by_test: BTreeMap<u32, Quantity> = BTreeMap::new();
    for walked in case.walked().filter(|w| w.run.flow.id == flow) {
        let (own, last) = (walked.visit.test, case.tests());
        if !covered::alike(case.job, &walked.run.flow, id, own, last) {
            continue;
        }
        for taken in case.job.taken_in(walked.visit.since_seq) {
            if let (true, Answer::Quantity(value)) = (taken.reading == id, &taken.value) {
                by_test.insert(taken.test, *value);
            }
        }
    }
    if by_test.len() < 2 || !by_test.contains_key(&case.tests()) {
        return None;
    }
    let bars: Vec<Bar> = by_test
        .iter()
        .map(|(test, value)| Bar {
            name: test_name(case, *test),
            value: unit.from_si(value.si()),
            interval: None,
            shown: shown::quantity(*value),
        })
        .collect();
    Some(Figure::Bars(Bars {
        title: ask.trim_end_matches(['.', ':']).to_owned(),
        reading: String::new(),
        about: said(&bars),
        unit: unit.name().to_owned(),
        bars,
    }))
}

/// "Before: 60 s; After: 10 s."
fn said(bars: &[Bar]) -> String {
    let said: Vec<String> = bars
        .iter()
        .map(|bar| format!("{}: {}", bar.name, bar.shown))
        .collect();
    format!("{}.", said.join("; "))
}

/// What a test is called beside its bar.
fn test_name(case: &Case, test: u32) -> String {
    match test {
        1 => "Before".to_owned(),
        test if test == case.tests() => "After".to_owned(),
        test => format!("Test {test}"),
    }
}

fn figure(case: &Case, followed: &Followed) -> Figure {
    let unit = followed.unit.map(preferred::shown_unit);
    let bars: Vec<Bar> = followed
        .by_test
        .iter()
        .map(|(test, estimate)| bar(case, *test, estimate, unit))
        .collect();
    Figure::Bars(Bars {
        title: sentence(&followed.name),
        reading: plain::gloss(followed.calculation, followed.result, followed.unit)
            .unwrap_or(RANGES)
            .to_owned(),
        about: said(&bars),
        unit: unit.map_or("", Unit::name).to_owned(),
        bars,
    })
}

fn bar(case: &Case, test: u32, estimate: &Estimate, unit: Option<Unit>) -> Bar {
    let scale = |si: f64| unit.map_or(si, |unit| unit.from_si(si));
    let bounded = estimate.low.is_finite() && estimate.high.is_finite();
    Bar {
        name: test_name(case, test),
        value: scale(estimate.value),
        interval: bounded.then(|| (scale(estimate.low), scale(estimate.high))),
        shown: shown::estimate(estimate, unit),
    }
}
