//! The results of a calculation in the corners of what its inputs can be.

use std::collections::BTreeMap;

use super::table::{NOT_THROUGH_ZERO, Row};
use super::{Span, Spans, Told, span_of};
use crate::flow::model::{Arg, Work};
use crate::physics::calculation::{Answer, Kind, Shifts};
use crate::physics::given::{Given, Value as Input};

/// More free inputs than this, and their corners are not looked at.
const MOST_FREE: usize = 7;

/// All results of a calculation in each corner; nothing where one is refused.
type Results = Option<Vec<Vec<Answer>>>;

/// So many are kept at a time: the largest boxes come again in every cell of a step, the others soon or never.
const MOST_KEPT: usize = 400;

/// What calculations came to in their corners, by what they were given. Several worked values may take a
/// result of one run, and every search of a step begins with the same boxes.
#[derive(Default)]
pub struct Kept(BTreeMap<Vec<u64>, Results>);

impl Kept {
    /// The results in all corners; nothing where an input that is not in the row can be several things,
    /// or where a corner has no result: then nothing is known of the rest either.
    pub(super) fn corners(
        &mut self,
        work: &Work,
        row: &Row,
        told: &Told,
        spans: &Spans,
    ) -> Option<Vec<Answer>> {
        let inputs = Inputs::of(work, row, told, spans)?;
        let key = inputs.key(work);
        if let Some(results) = self.0.get(&key) {
            return taken(work, results.as_deref()?);
        }
        let results = inputs.worked(work, &Shifts::none());
        let answers = results.as_deref().and_then(|results| taken(work, results));
        if self.0.len() >= MOST_KEPT {
            self.0.clear();
        }
        self.0.insert(key, results);
        answers
    }
}

/// The same, with the spreads of the calculation shifted.
pub(super) fn corners(
    work: &Work,
    row: &Row,
    told: &Told,
    spans: &Spans,
    shifts: &Shifts,
) -> Option<Vec<Answer>> {
    let inputs = Inputs::of(work, row, told, spans)?;
    taken(work, &inputs.worked(work, shifts)?)
}

fn taken(work: &Work, results: &[Vec<Answer>]) -> Option<Vec<Answer>> {
    let result = |results: &Vec<Answer>| match results.get(work.take)? {
        Answer::Absent => None,
        answer => Some(answer.clone()),
    };
    results.iter().map(result).collect()
}

/// One input: its shape, with a range at every number.
enum Shape {
    Word(String),
    One(Span),
    List(Vec<Span>),
    Rows(Vec<Vec<Option<Span>>>),
}

/// The inputs of a calculation, and how many of their numbers are not one value.
struct Inputs<'w> {
    shapes: Vec<(&'w str, Shape)>,
    free: usize,
}

impl<'w> Inputs<'w> {
    fn of(work: &'w Work, row: &Row, told: &Told, spans: &Spans) -> Option<Self> {
        let mut shapes = Vec::new();
        for (name, arg) in &work.inputs {
            let declared = work.calculation.input(name)?;
            // What is not asked on this car is left out where it can be.
            if let Arg::Of(id) = arg
                && told.absent.contains(id.as_str())
                && !declared.needed
            {
                continue;
            }
            shapes.push((*name, shape(name, arg, declared.kind, row, told, spans)?));
        }
        let free = shapes.iter().map(|(_, shape)| free(shape)).sum();
        (free <= MOST_FREE).then_some(Self { shapes, free })
    }

    /// What a calculation comes to in each corner.
    fn worked(&self, work: &Work, shifts: &Shifts) -> Results {
        let corners = 0..1_u32 << self.free;
        let results = corners.map(|corner| {
            let worked = work.calculation.work(&self.at(corner), shifts).ok()?;
            Some(worked.results)
        });
        results.collect()
    }

    /// A calculation and all that it is given, in figures: names and words letter by letter, each behind its length.
    fn key(&self, work: &Work) -> Vec<u64> {
        let mut key = Vec::new();
        let text = |key: &mut Vec<u64>, text: &str| {
            key.push(text.len() as u64);
            key.extend(text.bytes().map(u64::from));
        };
        let span =
            |key: &mut Vec<u64>, (low, high): &Span| key.extend([low.to_bits(), high.to_bits()]);
        text(&mut key, work.calculation.name);
        for (name, shape) in &self.shapes {
            text(&mut key, name);
            match shape {
                Shape::Word(word) => {
                    key.push(0);
                    text(&mut key, word);
                }
                Shape::One(one) => {
                    key.push(1);
                    span(&mut key, one);
                }
                Shape::List(spans) => {
                    key.extend([2, spans.len() as u64]);
                    for one in spans {
                        span(&mut key, one);
                    }
                }
                Shape::Rows(rows) => {
                    key.extend([3, rows.len() as u64]);
                    for row in rows {
                        key.push(row.len() as u64);
                        for cell in row {
                            key.push(u64::from(cell.is_some()));
                            if let Some(one) = cell {
                                span(&mut key, one);
                            }
                        }
                    }
                }
            }
        }
        key
    }

    /// The inputs at a corner: for each free number one bit says which end.
    fn at(&self, corner: u32) -> Given {
        let mut bits = corner;
        let mut end = |(low, high): &Span| {
            if low >= high {
                return *low;
            }
            let upper = bits & 1 == 1;
            bits >>= 1;
            if upper { *high } else { *low }
        };
        let mut given = Given::new();
        for (name, shape) in &self.shapes {
            let value = match shape {
                Shape::Word(word) => Input::Word(word.clone()),
                Shape::One(span) => Input::Number(end(span)),
                Shape::List(spans) => Input::List(spans.iter().map(&mut end).collect()),
                Shape::Rows(rows) => {
                    let mut ends = |row: &Vec<Option<Span>>| {
                        row.iter().map(|cell| cell.as_ref().map(&mut end)).collect()
                    };
                    Input::Points(rows.iter().map(&mut ends).collect())
                }
            };
            given.set(name, value);
        }
        given
    }
}

fn is_free((low, high): &Span) -> bool {
    low < high
}

fn free(shape: &Shape) -> usize {
    match shape {
        Shape::Word(_) => 0,
        Shape::One(span) => usize::from(is_free(span)),
        Shape::List(spans) => spans.iter().filter(|span| is_free(span)).count(),
        Shape::Rows(rows) => rows
            .iter()
            .flatten()
            .flatten()
            .filter(|span| is_free(span))
            .count(),
    }
}

fn shape(
    name: &str,
    arg: &Arg,
    kind: Kind,
    row: &Row,
    told: &Told,
    spans: &Spans,
) -> Option<Shape> {
    let allowed = |input: &str, span: Span| {
        let (low, high) = span;
        let through = NOT_THROUGH_ZERO.contains(&input) && low < 0.0 && high > 0.0;
        (!is_free(&span) || (row.inputs.contains(&input) && !through)).then_some(span)
    };
    Some(match (arg, kind) {
        (Arg::Word(word), _) => match word.parse() {
            Ok(number) => Shape::One((number, number)),
            Err(_) => Shape::Word(word.clone()),
        },
        (Arg::Of(id), _) if told.words.contains_key(id.as_str()) => {
            Shape::Word(told.words.get(id.as_str())?.clone())
        }
        (Arg::Of(_) | Arg::Constant(_), _) => Shape::One(allowed(name, span_of(arg, spans)?)?),
        (Arg::List(items), _) => {
            let one = |item| allowed(name, span_of(item, spans)?);
            Shape::List(items.iter().map(one).collect::<Option<_>>()?)
        }
        (Arg::Rows(rows), Kind::Points(fields)) => {
            let columns: Vec<String> = fields
                .iter()
                .map(|field| format!("{name}.{}", field.name))
                .collect();
            let cell = |(cell, column): (&Option<Arg>, &String)| match cell {
                None => Some(None),
                Some(arg) => allowed(column, span_of(arg, spans)?).map(Some),
            };
            let read: Option<Vec<Vec<Option<Span>>>> = rows
                .iter()
                .map(|row| row.iter().zip(&columns).map(cell).collect())
                .collect();
            let shape = Shape::Rows(read?);
            // Of more points a line is fitted, and no longer goes through each.
            if rows.len() > 2 && free(&shape) > 0 {
                return None;
            }
            shape
        }
        _ => return None,
    })
}
