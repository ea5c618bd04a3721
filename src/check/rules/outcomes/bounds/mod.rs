//! What worked values can be at all, from what readings can be: interval arithmetic over the graph.
//!
//! `ratio`, `difference` and `sum` have exact interval forms. A calculation that rises or falls with
//! each of its inputs all the way is bounded by its values in the corners ([`table`] lists those,
//! [`corners`] works them); others by intervals over their formula ([`formulas`]). Of what is left
//! nothing is said, so what this module rules out is ruled out, and what it does not rule out may
//! still be impossible.

mod corners;
mod formulas;
mod table;
#[cfg(test)]
mod tests;

use std::collections::{BTreeMap, BTreeSet};

pub use corners::Kept;

use crate::engine::judge::rests_on;
use crate::flow::model::{Arg, Flow, Work};
use crate::flow::working::least;
use crate::physics::calculation::{Answer, Shifts};
use crate::physics::uncertainty::DEVIATIONS;

/// From where to where.
pub type Span = (f64, f64);

/// Ranges by id.
pub type Spans = BTreeMap<String, Span>;

/// What is settled on a car beside its numbers.
#[derive(Default)]
pub struct Told<'t> {
    /// What is not asked or left out.
    pub absent: BTreeSet<&'t str>,
    /// The words that were answered, by reading.
    pub words: BTreeMap<&'t str, String>,
}

/// Adds bounds of the worked values to those of the readings, and the words of those that can say
/// but one.
pub fn add_worked(
    flow: &Flow,
    told: &Told,
    spans: &mut Spans,
    kept: &mut Kept,
) -> BTreeMap<String, String> {
    let mut words = BTreeMap::new();
    for work in &flow.worked {
        match bound(work, told, spans, kept) {
            Some(Bound::Span((low, high))) => {
                let least = least(work);
                spans.insert(work.id.clone(), (low.max(least), high.max(least)));
            }
            Some(Bound::Word(word)) => {
                words.insert(work.id.clone(), word);
            }
            None => {}
        }
    }
    words
}

/// How far beyond their 95 % ranges everything is moved, all at once, before a verdict is called sure.
/// The engine moves one thing at a time and adds the effects as the root of their squares, which is
/// less than all of them together; twice that leaves room for what is not a straight line.
pub const BEYOND: f64 = 2.0;

/// The word that a verdict says throughout, whatever the errors make of it: `spans` are the readings
/// with theirs, [`BEYOND`] the ends of their ranges. Nothing where that is not known.
pub fn sure_word(flow: &Flow, told: &Told, mut spans: Spans, id: &str) -> Option<String> {
    let work = flow.work(id)?;
    let spreads = |other: &&Work| other.id != id && !other.calculation.nuisances.is_empty();
    let mut others = flow.worked.iter().filter(spreads);
    if others.any(|other| rests_on(flow, id, &other.id)) {
        return None;
    }
    add_worked(flow, told, &mut spans, &mut Kept::default());
    let result = work.calculation.outputs.get(work.take)?;
    let row = table::find(work.calculation.name, result.id)?;
    let nuisances = work.calculation.nuisances;
    let mut all = Vec::new();
    for signs in 0..1_u32 << nuisances.len() {
        let shifts = nuisances.iter().enumerate().map(|(n, nuisance)| {
            let sign = if signs >> n & 1 == 1 { 1.0 } else { -1.0 };
            (nuisance.name, sign * BEYOND * DEVIATIONS)
        });
        let shifts = shifts.fold(Shifts::none(), |all, (name, by)| all.and(name, by));
        all.extend(corners::corners(work, row, told, &spans, &shifts)?);
    }
    match of_all(&all)? {
        Bound::Word(word) => Some(word),
        Bound::Span(_) => None,
    }
}

/// What a worked value can be.
#[derive(Debug)]
enum Bound {
    Span(Span),
    Word(String),
}

fn bound(work: &Work, told: &Told, spans: &Spans, kept: &mut Kept) -> Option<Bound> {
    let span = match work.calculation.name {
        "ratio" => ratio(&list(work, spans)?),
        "difference" => match list(work, spans)?[..] {
            [(a, b), (c, d)] => Some((a - d, b - c)),
            _ => None,
        },
        "sum" => sum(work, told, spans),
        name => {
            let result = work.calculation.outputs.get(work.take)?;
            let row = table::find(name, result.id);
            let in_corners = row.and_then(|row| of_all(&kept.corners(work, row, told, spans)?));
            return in_corners.or_else(|| formulas::bound(work, told, spans));
        }
    };
    span.map(Bound::Span)
}

/// A range around all numbers, or the word that all are.
fn of_all(answers: &[Answer]) -> Option<Bound> {
    let word = match answers.first()? {
        Answer::Text(word) => Some(word.clone()),
        _ => None,
    };
    if let Some(word) = word {
        let same = |answer: &Answer| matches!(answer, Answer::Text(other) if *other == word);
        return answers.iter().all(same).then_some(Bound::Word(word));
    }
    // One that is only a bound says nothing of where the value ends.
    let number = |answer: &Answer| answer.number().filter(|_| answer.open() == (false, false));
    let numbers: Option<Vec<f64>> = answers.iter().map(number).collect();
    hull(numbers?).map(Bound::Span)
}

/// A sum leaves out what is not there.
fn sum(work: &Work, told: &Told, spans: &Spans) -> Option<Span> {
    let [(_, Arg::List(items))] = &work.inputs[..] else {
        return None;
    };
    let is_there = |arg: &&Arg| !matches!(arg, Arg::Of(id) if told.absent.contains(id.as_str()));
    items
        .iter()
        .filter(is_there)
        .map(|item| span_of(item, spans))
        .reduce(|one, other| {
            let ((a, b), (c, d)) = (one?, other?);
            Some((a + c, b + d))
        })?
}

fn ratio(of: &[Span]) -> Option<Span> {
    let [(a, b), (c, d)] = *of else { return None };
    if c <= 0.0 && d >= 0.0 {
        return None;
    }
    hull([a / c, a / d, b / c, b / d])
}

fn hull(values: impl IntoIterator<Item = f64>) -> Option<Span> {
    let mut hull: Option<Span> = None;
    for value in values {
        if !value.is_finite() {
            return None;
        }
        let (low, high) = hull.unwrap_or((value, value));
        hull = Some((low.min(value), high.max(value)));
    }
    hull
}

/// The bounds of the list that arithmetic is done on; nothing where one of it is not bounded.
fn list(work: &Work, spans: &Spans) -> Option<Vec<Span>> {
    let [(_, Arg::List(items))] = &work.inputs[..] else {
        return None;
    };
    items.iter().map(|item| span_of(item, spans)).collect()
}

fn span_of(arg: &Arg, spans: &Spans) -> Option<Span> {
    match arg {
        Arg::Constant(q) => Some((q.si(), q.si())),
        Arg::Of(id) => spans.get(id).copied(),
        _ => None,
    }
}
