//! Readings that come to what a cell says, found or shown not to be there.
//!
//! Boxes of readings are halved, those whose [`bounds`] miss the cell are dropped, and of the rest
//! the most promising and the oldest are looked at in turn. Where all boxes are dropped, no readings
//! come to the cell. Nobody hits a limit by trying: between a point on either side of it the limit
//! is closed in by halving, down to the last digit of a number, and worked values are continuous.

mod boxes;
mod doubt;
mod linear;
mod setup;

use std::collections::BTreeMap;

pub use doubt::stands;
pub use setup::doubts;

use boxes::{Box, halves, number, side, test_number};

use super::bounds::{self, Told};
use super::cells::{Cell, Space};
use super::realise::{Draw, answers, truths};
use crate::flow::answer::Answer;
use crate::flow::condition::Truth;
use crate::flow::model::{Prompt, PromptKind, Step};
use crate::flow::values::{Value, Values};
use crate::flow::working::{Known, plain_values};
use crate::physics::uncertainty::Estimate;
use crate::units::Dimension;

/// Boxes that are looked at for one cell.
const MOST_BOXES: usize = 160;
/// Boxes that are looked at before corners are: what is found in a box is easier to read.
const BOXES_FIRST: usize = 40;
/// The boxes are shared out among words up to so many times.
const FEWEST: usize = 4;
/// Readings at the ends of whose ranges is looked, all combinations of them.
const MOST_CORNERS_OF: usize = 4;
/// Pairs of points between which a limit is closed in.
const MOST_CLOSINGS: usize = 12;
/// Halvings until two numbers are neighbours, from any distance that readings have.
const HALVINGS: usize = 120;
/// A value that jumps by more than this share across a limit does not take the limit's value.
const JUMP: f64 = 1e-6;

/// How near to a limit that is not part of it a stretch is looked at, as a share of its numbers.
const HAIR: f64 = 1e-9;

/// What a search came to.
pub enum Search {
    /// These values; worked values that stand at a limit are set to it.
    Found(Values),
    /// No readings come to it.
    Impossible,
    /// None were found.
    GaveUp,
}

/// Searches readings under which every outcome comes to the same as in the cell.
///
/// Words that worked values rest on are gone through one by one where they are not too many.
pub fn search(
    step: &Step,
    space: &Space,
    cell: &Cell,
    can_come: &dyn Fn(&Values) -> bool,
) -> Search {
    if !setup::doubts(space, cell).is_empty() && setup::straddles(space, cell) {
        return Search::Impossible;
    }
    if linear::clash(space, cell, &setup::told(space, cell).absent) {
        return Search::Impossible;
    }
    let (cells, drawn) = setup::with_words(space, cell);
    let most_boxes = MOST_BOXES / cells.len().clamp(1, FEWEST);
    let mut gave_up = false;
    for cell in cells.iter().filter(|cell| can_come(&cell.values)) {
        let mut searcher = Searcher {
            step,
            space,
            cell,
            can_come,
            wanted: truths(step, &cell.values),
            targets: setup::targets(space, cell),
            words: setup::words(space, cell),
            doubts: setup::doubts(space, cell),
            prompts: setup::free(space, cell),
            told: setup::told(space, cell),
            drawn,
            most_boxes,
            draw: Draw::new(),
            beside: Vec::new(),
            closings: 0,
            only_noise: false,
        };
        match searcher.run() {
            Search::Impossible => {}
            Search::GaveUp if searcher.only_noise => {}
            Search::GaveUp => gave_up = true,
            found @ Search::Found(_) => return found,
        }
    }
    if gave_up {
        Search::GaveUp
    } else {
        Search::Impossible
    }
}

/// A point, and what it comes to.
#[derive(Clone)]
struct Point {
    at: Vec<f64>,
    answers: BTreeMap<String, Answer>,
    /// As read, without errors.
    said: Values,
    /// The same, with the doubts that the cell wants.
    values: Values,
}

impl Point {
    /// Halfway to another; nothing where no number lies between the two.
    fn midway(&self, other: &Self) -> Option<Vec<f64>> {
        let between = self.at.iter().zip(&other.at);
        let middle: Vec<f64> = between.map(|(a, b)| f64::midpoint(*a, *b)).collect();
        (middle != self.at && middle != other.at).then_some(middle)
    }
}

struct Searcher<'s> {
    step: &'s Step,
    space: &'s Space<'s>,
    cell: &'s Cell,
    can_come: &'s dyn Fn(&Values) -> bool,
    wanted: Vec<Truth>,
    targets: Vec<(String, (f64, f64))>,
    /// What worked values that are words have to say.
    words: Vec<(String, String)>,
    /// Those of them that a value near its limit says, whatever it is by itself.
    doubts: Vec<(String, String)>,
    prompts: Vec<&'s Prompt>,
    told: Told<'s>,
    /// Something is drawn for each point: a sweep, or one of too many words.
    drawn: bool,
    most_boxes: usize,
    draw: Draw,
    /// Points that would fit but for their errors, where a doubt is wanted.
    beside: Vec<Point>,
    /// Pairs of them between which was looked.
    closings: usize,
    /// Points came to the cell by the noise of arithmetic: what is sought lies at a limit beside it.
    only_noise: bool,
}

impl Searcher<'_> {
    fn run(&mut self) -> Search {
        let whole: Vec<(f64, f64)> = self.prompts.iter().map(|p| self.range(p)).collect();
        let limit = self
            .targets
            .iter()
            .find(|(_, (from, to))| from >= to)
            .map(|(id, (at, _))| (id.clone(), *at));
        let (mut below, mut above): (Vec<Point>, Vec<Point>) = (Vec::new(), Vec::new());
        let mut closings = 0;
        let mut boxes: Vec<Box> = Vec::new();
        let mut news = vec![whole.clone()];
        let mut gave_up = false;
        for n in 0..self.most_boxes {
            if n == BOXES_FIRST
                && let Some(found) = self.in_a_corner(&whole)
            {
                return Search::Found(found);
            }
            for ranges in std::mem::take(&mut news) {
                if self.is_ruled_out(&ranges) {
                    continue;
                }
                let point = self.point(&ranges);
                if self.fits(&point) {
                    return Search::Found(point.values);
                }
                if let Some(found) = self.in_doubt(&point) {
                    return Search::Found(found);
                }
                if let Some((id, at)) = &limit
                    && let Some(side) = side(&point.values, id, *at)
                {
                    let (same, others) = if side < 0.0 {
                        (&mut below, &above)
                    } else {
                        (&mut above, &below)
                    };
                    for other in others.iter().rev() {
                        if closings < MOST_CLOSINGS {
                            closings += 1;
                            if let Some(found) = self.close_in(&point, other, id, *at) {
                                return Search::Found(found);
                            }
                        }
                    }
                    same.push(point.clone());
                }
                boxes.push(Box {
                    misses_by: self.misses_by(&point.values),
                    ranges,
                });
            }
            let Some(next) = self.take(&mut boxes) else {
                if !gave_up {
                    return Search::Impossible;
                }
                let corner = self.in_a_corner(&whole);
                return corner.map_or(Search::GaveUp, Search::Found);
            };
            if let Some(both) = halves(&next.ranges, &whole) {
                news.extend(both);
            } else if self.drawn || next.ranges.iter().any(|(low, high)| low < high) {
                gave_up = true;
                if whole.is_empty() {
                    // Pairs and words are drawn anew.
                    news.push(next.ranges);
                }
            }
        }
        Search::GaveUp
    }

    /// Where a number can lie: in the cell's stretch, else in its plausible range.
    fn range(&self, prompt: &Prompt) -> (f64, f64) {
        let PromptKind::Quantity(q) = &prompt.kind else {
            return (0.0, 0.0);
        };
        let (from, to) = q.judged().unwrap_or((f64::NEG_INFINITY, f64::INFINITY));
        let to = if to.is_finite() {
            to
        } else {
            q.unit.to_si(100.0)
        };
        let from = if from.is_finite() {
            from
        } else {
            q.unit.to_si(0.0).min(to)
        };
        let Some((low, high)) = self.cell.spans.get(&prompt.id).copied() else {
            return (from, to);
        };
        if low >= high {
            return (low, high);
        }
        // A stretch that is open to one side gets as long as the limit is large.
        let begin = if low.is_finite() {
            low
        } else {
            from.min(high - high.abs())
        };
        let end = if high.is_finite() {
            high
        } else {
            to.max(low + low.abs())
        };
        let inset = (HAIR * begin.abs().max(end.abs())).min((end - begin) / 4.0);
        let is_limit = |si: f64| self.space.is_limit(&prompt.id, si);
        (
            if is_limit(low) { begin + inset } else { begin },
            if is_limit(high) { end - inset } else { end },
        )
    }

    fn is_ruled_out(&self, ranges: &[(f64, f64)]) -> bool {
        let mut spans: BTreeMap<String, (f64, f64)> = self
            .prompts
            .iter()
            .zip(ranges)
            .map(|(prompt, range)| (prompt.id.clone(), *range))
            .collect();
        let said = bounds::add_worked(
            &self.space.flow,
            &self.told,
            &mut spans,
            &mut self.space.kept.borrow_mut(),
        );
        let other = |(id, word): &(String, String)| said.get(id).is_some_and(|said| said != word);
        if self.words.iter().any(other) || self.is_beyond_doubt(ranges) {
            return true;
        }
        // A stretch has its limits beside it, a limit is a single value.
        self.targets.iter().any(|(id, (from, to))| {
            spans.get(id).is_some_and(|(low, high)| {
                high < from || low > to || (from < to && (high <= from || low >= to))
            })
        })
    }

    /// The largest and smallest values that there are stand in the corners of what can be read,
    /// where halving boxes never comes to.
    fn in_a_corner(&mut self, whole: &[(f64, f64)]) -> Option<Values> {
        let free = whole.iter().filter(|(low, high)| low < high).count();
        if free == 0 || free > MOST_CORNERS_OF {
            return None;
        }
        (0_u32..1 << free).find_map(|corner| {
            let mut bits = corner;
            let mut end = |(low, high): &(f64, f64)| {
                if low >= high {
                    return *low;
                }
                let upper = bits & 1 == 1;
                bits >>= 1;
                if upper { *high } else { *low }
            };
            let at: Vec<f64> = whole.iter().map(&mut end).collect();
            let point = self.worked_at(at);
            if self.fits(&point) {
                return Some(point.values);
            }
            self.in_doubt(&point)
        })
    }

    /// A point of the box: its middle at first, then anywhere in it.
    fn point(&mut self, ranges: &[(f64, f64)]) -> Point {
        let at = ranges.iter().map(|(low, high)| {
            let share = 0.25 + 0.5 * self.draw.next();
            low + (high - low) * share
        });
        let at: Vec<f64> = at.collect();
        self.worked_at(at)
    }

    fn worked_at(&mut self, at: Vec<f64>) -> Point {
        let mut fixed = self.cell.values.clone();
        for (prompt, si) in self.prompts.iter().zip(&at) {
            let whole = matches!(&prompt.kind, PromptKind::Quantity(q) if q.unit.dimension() == Dimension::Count);
            let si = if whole { si.round() } else { *si };
            fixed.set(&prompt.id, Value::Number(Estimate::exact(si)));
        }
        let answers = answers(&self.space.flow, &fixed, &mut self.draw);
        let said = plain_values(
            &self.space.flow,
            Known {
                answers: &answers,
                test_number: test_number(&self.cell.values),
            },
        );
        let mut values = said.clone();
        for (id, word) in &self.doubts {
            if matches!(values.get(id), Some(Value::Word(_))) {
                values.set(id, Value::Word(word.clone()));
            }
        }
        Point {
            at,
            answers,
            said,
            values,
        }
    }

    /// By how much a point misses the cell's worked values, each by its own measure.
    fn misses_by(&self, values: &Values) -> f64 {
        let miss = |(id, (from, to)): &(String, (f64, f64))| match values.get(id) {
            Some(Value::Number(e)) => {
                let off = (from - e.value).max(e.value - to).max(0.0);
                let ends = [*from, *to].into_iter().filter(|end| end.is_finite());
                off / ends
                    .map(f64::abs)
                    .fold(f64::MIN_POSITIVE, f64::max)
                    .max(1e-9)
            }
            _ => 10.0,
        };
        self.targets.iter().map(miss).sum()
    }

    /// The most promising box and the oldest one in turn: the first finds, the second leaves
    /// nothing out.
    fn take(&mut self, boxes: &mut Vec<Box>) -> Option<Box> {
        if boxes.is_empty() {
            return None;
        }
        let mut best = 0;
        if self.draw.next() < 0.6 {
            for (n, one) in boxes.iter().enumerate() {
                if one.misses_by < boxes[best].misses_by {
                    best = n;
                }
            }
        }
        Some(boxes.remove(best))
    }

    /// Closes in a worked value's limit between two points on either side of it.
    fn close_in(&mut self, one: &Point, other: &Point, id: &str, limit: f64) -> Option<Values> {
        let (mut one, mut other) = (one.clone(), other.clone());
        let sign = side(&one.values, id, limit)?;
        for _ in 0..HALVINGS {
            let Some(middle) = one.midway(&other) else {
                break;
            };
            let point = self.worked_at(middle);
            if self.fits(&point) {
                return Some(point.values);
            }
            let here = side(&point.values, id, limit)?;
            if here * sign > 0.0 {
                one = point;
            } else {
                other = point;
            }
        }
        let apart = (number(&one.values, id)? - number(&other.values, id)?).abs();
        if apart > JUMP * limit.abs().max(1e-9) {
            return None;
        }
        one.values.set(id, Value::Number(Estimate::exact(limit)));
        // Another limit that is reached there, as by the same difference the other way round, too.
        for (other, (at, to)) in self.targets.iter().filter(|(_, (at, to))| at >= to) {
            if number(&one.values, other).is_some_and(|si| (si - at).abs() <= JUMP * to.abs()) {
                one.values.set(other, Value::Number(Estimate::exact(*at)));
            }
        }
        self.fits(&one).then_some(one.values)
    }
}
