//! A worked value with its interval, from the graph as read and the shifted ones.

use super::Picture;
use super::graph::{Graph, Point};
use crate::flow::model::Work;
use crate::flow::values::Value;
use crate::physics::calculation::{Answer as Result1, OutputKind, Seen};
use crate::physics::evaluate::not_certain;
use crate::physics::given::Given;
use crate::units::Dimension;

/// Notes what came of one worked value, with its interval.
pub(super) fn note(picture: &mut Picture, work: &Work, point: &Point, shifted: &[(Graph, Graph)]) {
    match point {
        Point::Number(si, notes) | Point::Bound(si, _, notes) => {
            let at = |graph: &Graph, otherwise: f64| match graph.get(&work.id) {
                Some(Point::Number(si, _) | Point::Bound(si, ..)) => *si,
                // Where a shifted value cannot be worked, nothing bounds the result on that side.
                _ => otherwise,
            };
            let effects = shifted
                .iter()
                .map(|(up, down)| effect(*si, at(up, f64::NAN), at(down, f64::NAN)));
            let floor = floor(work);
            let output = &work.calculation.outputs[work.take];
            let mut estimate = output.combine(*si, effects.collect::<Vec<_>>());
            // A shifted one that is only a bound leaves the interval open on that side as well.
            let both = shifted.iter().flat_map(|(up, down)| [up, down]);
            for one in both.filter_map(|graph| graph.get(&work.id)).chain([point]) {
                if let Point::Bound(_, open, _) = one {
                    estimate = estimate.opened(*open);
                }
            }
            let estimate = estimate.at_least(floor);
            picture.values.set(&work.id, Value::Number(estimate));
            picture.notes.insert(work.id.clone(), notes.clone());
        }
        Point::Words(words, notes) => {
            picture.values.set(&work.id, Value::Word(words.clone()));
            let both = shifted.iter().flat_map(|(up, down)| [up, down]);
            let others = both.filter_map(|graph| match graph.get(&work.id) {
                Some(Point::Words(words, _)) => Some(words.as_str()),
                _ => None,
            });
            let doubt = not_certain(work.calculation.outputs[work.take].id, words, others);
            let notes = notes.iter().cloned().chain(doubt).collect();
            picture.notes.insert(work.id.clone(), notes);
        }
        Point::Judged(of, words, notes, given) => {
            let words = verdict(work, of, words, given, shifted);
            picture.values.set(&work.id, Value::Word(words));
            picture.notes.insert(work.id.clone(), notes.clone());
        }
        Point::NotApplicable => picture.values.set(&work.id, Value::NotApplicable),
        Point::Refused(why) => picture.values.set(&work.id, Value::Refused(why.clone())),
        Point::Missing(ids) => {
            picture.missing.insert(work.id.clone(), ids.clone());
        }
        Point::Absent => {}
    }
}

/// A verdict, from the interval of the number that it rests on.
pub(super) fn verdict(
    work: &Work,
    of: &Result1,
    words: &str,
    given: &Given,
    shifted: &[(Graph, Graph)],
) -> String {
    let output = &work.calculation.outputs[work.take];
    let at = |graph: &Graph| match graph.get(&work.id) {
        Some(Point::Judged(of, ..)) => of.number().unwrap_or(f64::NAN),
        _ => f64::NAN,
    };
    let centre = of.number().unwrap_or(f64::NAN);
    let effects = shifted
        .iter()
        .map(|(up, down)| effect(centre, at(up), at(down)));
    let of_output = output
        .judge
        .and_then(|judge| work.calculation.output(judge.of))
        .map_or(output, |(_, rests_on)| rests_on);
    let mut estimate = of_output.combine(centre, effects.collect::<Vec<_>>());
    let both = shifted.iter().flat_map(|(up, down)| [up, down]);
    let others = both.filter_map(|graph| match graph.get(&work.id) {
        Some(Point::Judged(of, ..)) => Some(of),
        _ => None,
    });
    for one in others.chain([of]) {
        estimate = estimate.opened(one.open());
    }
    let answer = output.judge.map(|judge| {
        (judge.rule)(&Seen {
            given,
            estimate,
            effects: &[],
            also: None,
        })
    });
    match answer {
        Some(Result1::Text(words)) => words,
        _ => words.to_owned(),
    }
}

/// The two shifted results; a side that could not be worked is unbounded both ways.
pub(super) fn effect(centre: f64, up: f64, down: f64) -> (f64, f64) {
    if up.is_nan() && down.is_nan() {
        return (f64::INFINITY, f64::NEG_INFINITY);
    }
    let mirror = |known: f64| {
        if known >= centre {
            f64::NEG_INFINITY
        } else {
            f64::INFINITY
        }
    };
    (
        if up.is_nan() { mirror(down) } else { up },
        if down.is_nan() { mirror(up) } else { down },
    )
}

/// The least value that a worked value has: a diameter is never below zero, whatever comes out.
pub(super) fn floor(work: &Work) -> f64 {
    match work.calculation.outputs[work.take].kind {
        OutputKind::SameAsInput | OutputKind::StepOfInput
            if work
                .unit
                .is_some_and(|u| u.dimension() == Dimension::Length) =>
        {
            0.0
        }
        kind => kind.floor(),
    }
}
