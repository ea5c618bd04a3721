//! A worked value with its interval, from the graph as read and the shifted ones.

use super::Picture;
use super::errors::{Source, shift, shift_all, sources};
use super::graph::{Base, Graph, Judged, Point};
use super::one_way::one_way;
use crate::flow::model::{Flow, Work};
use crate::flow::values::Value;
use crate::physics::calculation::{Answer as Result1, Judge, OutputKind, Seen};
use crate::physics::evaluate::not_certain;
use crate::physics::uncertainty::{Estimate, combine};
use crate::units::Dimension;

/// The graph with each source of error at either end of its 95 % range.
pub(super) struct Shifted<'f> {
    flow: &'f Flow,
    base: &'f Base,
    sources: Vec<(Source, Graph, Graph)>,
}

impl<'f> Shifted<'f> {
    /// By every source of error of what was read.
    pub(super) fn of(flow: &'f Flow, base: &'f Base) -> Self {
        let both = |source: Source| {
            let [up, down] = [1.0, -1.0].map(|sign| shift(flow, base, &source, sign));
            (source, up, down)
        };
        Self {
            flow,
            base,
            sources: sources(flow, base).into_iter().map(both).collect(),
        }
    }

    /// As if nothing were uncertain.
    pub(super) fn none(flow: &'f Flow, base: &'f Base) -> Self {
        Self {
            flow,
            base,
            sources: Vec::new(),
        }
    }

    /// What a worked value comes to under each shift.
    fn points<'s>(&'s self, id: &'s str) -> impl Iterator<Item = &'s Point> {
        let both = self.sources.iter().flat_map(|(_, up, down)| [up, down]);
        both.filter_map(move |graph| graph.get(id))
    }

    /// What one result of a worked value's calculation comes to at both ends of each source.
    fn ends(&self, work: &Work, place: usize) -> impl Iterator<Item = (f64, f64)> {
        // Where a shifted value cannot be worked, nothing bounds the result on that side.
        let at = move |graph: &Graph| {
            let number = graph.get(&work.id)?.number(work.take, place);
            number.map(|(si, _)| si)
        };
        let at = move |graph: &Graph| at(graph).unwrap_or(f64::NAN);
        self.sources
            .iter()
            .map(move |(_, up, down)| (at(up), at(down)))
    }

    /// One result with its interval.
    fn estimate(&self, work: &Work, place: usize, point: &Point) -> Option<Estimate> {
        let (centre, open) = point.number(work.take, place)?;
        let effects = self
            .ends(work, place)
            .map(|(up, down)| effect(centre, up, down));
        let output = &work.calculation.outputs[place];
        let mut estimate = output.combine(centre, effects);
        if centre >= 0.0 && one_way(self.flow, work, place) {
            estimate.low = estimate.low.max(0.0);
        }
        let mut estimate = estimate.opened(open);
        // A shifted one that is only a bound leaves the interval open on that side as well.
        let others = self.points(&work.id);
        for (_, open) in others.filter_map(|other| other.number(work.take, place)) {
            estimate = estimate.opened(open);
        }
        Some(estimate.at_least(floor_of(work, place)))
    }

    /// Half the width that each source by itself gives a result, by the input that it moves or the name of the spread.
    fn effects(
        &self,
        work: &Work,
        place: usize,
        judged: &Judged,
        centre: f64,
    ) -> Vec<(String, f64)> {
        let ends = self.sources.iter().zip(self.ends(work, place));
        ends.map(|((source, up, down), (plus, minus))| {
            let name = [up, down]
                .into_iter()
                .find_map(|graph| moved_input(work, judged, graph.get(&work.id)?))
                .or(match source {
                    Source::Nuisance(name) => Some(*name),
                    _ => None,
                });
            let half = combine(centre, [effect(centre, plus, minus)]).half_width();
            (name.unwrap_or_default().to_owned(), half)
        })
        .collect()
    }

    /// What the words say within the errors: by each source alone, and by all together where they move a number of the
    /// same calculation to an end of its interval ([`crate::physics::evaluate`] says why there).
    fn other_words(&self, work: &Work, point: &Point) -> Vec<String> {
        let ends = (0..work.calculation.outputs.len()).filter_map(|place| {
            let (centre, _) = point.number(work.take, place)?;
            let halves: Vec<f64> = self
                .ends(work, place)
                .map(|(up, down)| (up - down) / 2.0)
                .map(|half| if half.is_finite() { half } else { 0.0 })
                .collect();
            let whole = halves.iter().fold(0.0_f64, |sum, half| sum.hypot(*half));
            // What cancels leaves the last digits of its sums behind.
            (whole > SLIGHTEST * centre.abs()).then_some((halves, whole))
        });
        let ends: Vec<_> = ends.collect();
        let together = ends.iter().flat_map(|(halves, whole)| {
            [1.0, -1.0].map(|sign| {
                let shares = halves.iter().map(|half| sign * half / whole);
                let sources = self.sources.iter().map(|(source, ..)| source);
                shift_all(self.flow, self.base, sources.zip(shares))
            })
        });
        let together: Vec<Graph> = together.collect();
        let together = together.iter().filter_map(|graph| graph.get(&work.id));
        let words = self
            .points(&work.id)
            .chain(together)
            .filter_map(|point| match point {
                Point::Words(words, _) => Some(words.clone()),
                _ => None,
            });
        words.collect()
    }
}

/// Less than this share of a value is no interval: a rounding of sums.
const SLIGHTEST: f64 = 1e-9;

/// The first input that a shift has moved.
fn moved_input(work: &Work, judged: &Judged, shifted: &Point) -> Option<&'static str> {
    let Point::Judged(shifted) = shifted else {
        return None;
    };
    let inputs = work.calculation.inputs.iter().map(|input| input.name);
    inputs
        .into_iter()
        .find(|name| judged.given.get(name) != shifted.given.get(name))
}

/// Notes what came of one worked value, with its interval.
pub(super) fn note(picture: &mut Picture, work: &Work, point: &Point, shifted: &Shifted) {
    match point {
        Point::Number(_, notes) | Point::Bound(_, _, notes) => {
            if let Some(estimate) = shifted.estimate(work, work.take, point) {
                picture.values.set(&work.id, Value::Number(estimate));
                picture.notes.insert(work.id.clone(), notes.clone());
            }
        }
        Point::Words(words, worked) => {
            let others = shifted.other_words(work, point);
            let others = || others.iter().map(String::as_str);
            let output = &work.calculation.outputs[work.take];
            let doubt = not_certain(output.id, words, others());
            let says = output.in_doubt(words, others()).to_owned();
            picture.values.set(&work.id, Value::Word(says));
            let notes = worked.notes.iter().cloned().chain(doubt).collect();
            picture.notes.insert(work.id.clone(), notes);
        }
        Point::Judged(judged) => {
            let value = match answer(work, judged, point, shifted) {
                Result1::Text(words) => Value::Word(words),
                Result1::Absent => return,
                Result1::Number(si)
                | Result1::AtLeast(si)
                | Result1::AtMost(si)
                | Result1::Measured(si, _) => Value::Number(Estimate::exact(si)),
            };
            picture.values.set(&work.id, value);
            let notes = judged.worked.notes.clone();
            picture.notes.insert(work.id.clone(), notes);
        }
        Point::NotApplicable => picture.values.set(&work.id, Value::NotApplicable),
        Point::LeftOut(readings) => {
            picture.values.set(&work.id, Value::LeftOut);
            picture.left_out.insert(work.id.clone(), readings.clone());
        }
        Point::Refused(why) => picture.values.set(&work.id, Value::Refused(why.clone())),
        Point::Missing(ids) => {
            picture.missing.insert(work.id.clone(), ids.clone());
        }
        Point::Absent => {}
    }
}

/// What is judged from the interval of the number that it rests on.
fn answer(work: &Work, judged: &Judged, point: &Point, shifted: &Shifted) -> Result1 {
    let estimate_of = |id: &str| {
        let (place, _) = work.calculation.output(id)?;
        Some((place, shifted.estimate(work, place, point)?))
    };
    let judge: Option<Judge> = work.calculation.outputs[work.take].judge;
    let Some((judge, (place, estimate))) =
        judge.and_then(|judge| Some((judge, estimate_of(judge.of)?)))
    else {
        return judged.plain.clone();
    };
    (judge.rule)(&Seen {
        given: &judged.given,
        estimate,
        effects: &shifted.effects(work, place, judged, estimate.value),
        also: judge.also.and_then(estimate_of).map(|(_, also)| also),
    })
}

/// The two shifted results; a side that could not be worked is unbounded both ways.
fn effect(centre: f64, up: f64, down: f64) -> (f64, f64) {
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
    floor_of(work, work.take)
}

/// The same, of any result of its calculation.
fn floor_of(work: &Work, place: usize) -> f64 {
    match work.calculation.outputs[place].kind {
        OutputKind::SameAsInput | OutputKind::StepOfInput
            if work
                .unit
                .is_some_and(|u| u.dimension() == Dimension::Length) =>
        {
            0.0
        }
        _ => work.calculation.outputs[place].floor(),
    }
}
