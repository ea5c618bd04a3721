//! What a calculation was given on this job, test by test, as it was read.
//!
//! The worked values themselves come with their intervals from the flow's graph; a curve needs the
//! inputs once more, without errors. Only looks them up: by id among what is known at a visit.

use std::collections::BTreeMap;

use crate::engine::job::Run;
use crate::engine::judge;
use crate::flow::answer::Answer;
use crate::flow::model::{Arg, Flow, Work};
use crate::flow::values::Value;
use crate::flow::working::Picture;
use crate::physics::calculation::{Field, Kind};
use crate::physics::given::{Given, Value as Input};
use crate::report::case::Case;

/// The calculations that can be drawn.
const DRAWN: [&str; 4] = ["decay", "trims", "sensor", "ripple"];

/// One worked value of a flow with what it was given, before and after.
pub struct OfFlow<'j> {
    /// The calculation's name.
    pub calculation: &'static str,
    /// The flow.
    pub flow: &'j Flow,
    /// Its name, where the flow draws more than one of its kind, else empty.
    pub name: String,
    /// The worked value.
    pub work: &'j Work,
    /// Name of the test, and what was given: the first test, and the last if it is another.
    pub tests: Vec<(String, Given)>,
    /// Beside each of them how the gauge of a hold went on the way, in s and Pa; empty where nobody noted it.
    pub watched: Vec<Vec<(f64, f64)>>,
}

/// Everything that can be drawn, each set of inputs once.
pub fn all<'j>(case: &Case<'j>) -> Vec<OfFlow<'j>> {
    let mut out: Vec<OfFlow> = Vec::new();
    for run in &case.job.runs {
        let flow: &'j Flow = &run.flow;
        for work in flow
            .worked
            .iter()
            .filter(|w| DRAWN.contains(&w.calculation.name))
        {
            let same = |known: &OfFlow| {
                known.calculation == work.calculation.name
                    && known.flow.id == flow.id
                    && known.work.inputs == work.inputs
            };
            if out.iter().any(same) {
                continue;
            }
            let mut by_test = given_by_test(case, flow, work);
            if by_test.len() > 2 {
                by_test.drain(1..by_test.len() - 1);
            }
            let (tests, watched): (Vec<_>, Vec<_>) = by_test
                .into_iter()
                .map(|(test, named)| (named, watched(case, flow, work, test)))
                .unzip();
            if !tests.is_empty() {
                out.push(OfFlow {
                    calculation: work.calculation.name,
                    flow,
                    name: work.name.clone(),
                    work,
                    tests,
                    watched,
                });
            }
        }
    }
    let kinds: Vec<_> = out.iter().map(|of| (of.calculation, &of.flow.id)).collect();
    let alone: Vec<bool> = kinds
        .iter()
        .map(|kind| kinds.iter().filter(|other| *other == kind).count() == 1)
        .collect();
    for (of, _) in out.iter_mut().zip(alone).filter(|(_, alone)| *alone) {
        of.name.clear();
    }
    out
}

/// What a worked value was given in each test in which it came to something.
fn given_by_test(case: &Case, flow: &Flow, work: &Work) -> Vec<(u32, (String, Given))> {
    let mut tests: BTreeMap<u32, Given> = BTreeMap::new();
    for run in case.job.runs.iter().filter(|run| run.flow.id == flow.id) {
        for test in 1..=case.tests() {
            if let Some(given) = in_test(case, run, work, test) {
                tests.insert(test, given);
            }
        }
    }
    let several = case.tests() > 1;
    tests
        .into_iter()
        .map(|(test, given)| (test, (name(case, test, several), given)))
        .collect()
}

/// How the gauge went on the way of the last hold of a test.
fn watched(case: &Case, flow: &Flow, work: &Work, test: u32) -> Vec<(f64, f64)> {
    let walked = case.walked();
    let of_it = walked.filter(|w| w.run.flow.id == flow.id && w.visit.test == test);
    let all = of_it.map(|w| case.job.watched(w.run, w.visit, work));
    all.filter(|samples| !samples.is_empty())
        .last()
        .unwrap_or_default()
}

fn name(case: &Case, test: u32, several: bool) -> String {
    match (several, test) {
        (false, _) => "as read".to_owned(),
        (true, 1) => "before any repair".to_owned(),
        (true, last) if last == case.tests() => format!("after the repair (test {last})"),
        (true, test) => format!("test {test}"),
    }
}

fn in_test(case: &Case, run: &Run, work: &Work, test: u32) -> Option<Given> {
    let visit = run
        .walked()
        .iter()
        .rfind(|visit| visit.test == test && visit.left.is_some())?;
    let picture = case.picture(run, visit);
    let came_out = picture.values.get(&work.id);
    if !matches!(came_out, Some(Value::Number(_) | Value::Word(_))) {
        return None;
    }
    let answers = judge::answers(case.job, run, visit);
    given(work, &picture, &answers)
}

fn given(work: &Work, picture: &Picture, answers: &BTreeMap<String, Answer>) -> Option<Given> {
    let mut given = Given::new();
    for (name, arg) in &work.inputs {
        let declared = work.calculation.input(name)?;
        let fields = match declared.kind {
            Kind::Points(fields) => fields,
            _ => &[],
        };
        match input(arg, fields, picture, answers) {
            Some(value) => given.set(name, value),
            None if !declared.needed => {}
            None => return None,
        }
    }
    Some(given)
}

fn input(
    arg: &Arg,
    fields: &[Field],
    picture: &Picture,
    answers: &BTreeMap<String, Answer>,
) -> Option<Input> {
    match arg {
        Arg::Word(word) => Some(
            word.parse()
                .map_or_else(|_| Input::Word(word.clone()), Input::Number),
        ),
        Arg::Constant(quantity) => Some(Input::Number(quantity.si())),
        Arg::Of(id) => match picture.values.get(id)? {
            Value::Number(estimate) => Some(Input::Number(estimate.value)),
            Value::Word(word) => Some(Input::Word(word.clone())),
            _ => None,
        },
        Arg::List(items) => {
            let numbers = items.iter().map(|item| number(item, picture));
            Some(Input::List(numbers.collect::<Option<_>>()?))
        }
        Arg::Rows(rows) => points(rows, fields, picture).map(Input::Points),
        Arg::PairsOf(id) => match answers.get(id)? {
            Answer::Pairs(pairs) => {
                let row = |(a, b): &(crate::units::Quantity, crate::units::Quantity)| {
                    let mut row = vec![Some(a.si()), Some(b.si())];
                    row.resize(fields.len(), None);
                    row
                };
                Some(Input::Points(pairs.iter().map(row).collect()))
            }
            _ => None,
        },
    }
}

/// Rows without those that lack what every row needs.
fn points(
    rows: &[Vec<Option<Arg>>],
    fields: &[Field],
    picture: &Picture,
) -> Option<Vec<Vec<Option<f64>>>> {
    let cells = |row: &Vec<Option<Arg>>| -> Vec<Option<f64>> {
        let cell = |arg: &Option<Arg>| arg.as_ref().and_then(|arg| number(arg, picture));
        row.iter().map(cell).collect()
    };
    let whole = |row: &Vec<Option<f64>>| {
        let mut pairs = row.iter().zip(fields);
        pairs.all(|(cell, field)| cell.is_some() || !field.needed)
    };
    let rows: Vec<_> = rows.iter().map(cells).filter(whole).collect();
    (!rows.is_empty()).then_some(rows)
}

fn number(arg: &Arg, picture: &Picture) -> Option<f64> {
    match arg {
        Arg::Constant(quantity) => Some(quantity.si()),
        Arg::Of(id) => match picture.values.get(id)? {
            Value::Number(estimate) => Some(estimate.value),
            _ => None,
        },
        _ => None,
    }
}
