//! Verdicts as the engine says them: with the errors of everything that was read.
//!
//! A verdict is in doubt only within the error of its limit, a strip that nobody hits by trying. It is
//! closed in between two points on either side of the limit, as a limit is. What is shown was worked
//! with its errors: a point far from the limit, called in doubt, would be a gap that is none.

use std::collections::BTreeMap;

use super::super::bounds::{BEYOND, Spans, sure_word};
use super::super::cells::{Cell, Space};
use super::super::realise::{Draw, answers, is_valid, truths, verdicts_say, with_errors};
use super::boxes::{is_noise, test_number};
use super::{HALVINGS, MOST_CLOSINGS, Point, Searcher, setup};
use crate::flow::answer::Answer;
use crate::flow::condition::Truth;
use crate::flow::model::{Prompt, PromptKind, Step};
use crate::flow::values::{Value, Values};
use crate::flow::working::errors_of;

/// Whether what the cell says of verdicts stands with these answers and their errors. Where it wants
/// a doubt, the errors are the point, so that every condition must then come to the same with them.
pub(super) fn stands_with_errors(
    step: &Step,
    space: &Space,
    cell: &Cell,
    answers: &BTreeMap<String, Answer>,
) -> bool {
    let judged = setup::judged(space, cell);
    let doubts = setup::doubts(space, cell);
    let wanted = truths(step, &cell.values);
    // That one outcome is taken is shown to nobody: its verdict may as well be as read.
    let is_shown = || wanted.iter().filter(|truth| **truth == Truth::Yes).count() != 1;
    if judged.is_empty() || (doubts.is_empty() && !is_shown()) {
        return true;
    }
    let real = with_errors(&space.flow, answers, test_number(&cell.values));
    if !verdicts_say(&real, &judged) {
        return false;
    }
    let is_sure = |values: &Values| {
        step.valid_when
            .as_ref()
            .is_none_or(|condition| condition.truth(values) == Truth::Yes)
    };
    doubts.is_empty() || (is_sure(&real) && truths(step, &real) == wanted)
}

/// The same for values that were rounded to be shown. What was drawn is not among them; then it is
/// taken as it was found.
pub fn stands(step: &Step, space: &Space, cell: &Cell, values: &Values) -> bool {
    let flow = &space.flow;
    let mut prompts = flow.facts.iter().chain(&flow.readings);
    if prompts.any(|prompt| matches!(prompt.kind, PromptKind::Pairs(_))) {
        return true;
    }
    let answers = answers(flow, values, &mut Draw::new());
    stands_with_errors(step, space, cell, &answers)
}

impl Searcher<'_> {
    /// Whether a verdict that is to be in doubt is sure in the whole box, whatever the errors are.
    pub(super) fn is_beyond_doubt(&self, ranges: &[(f64, f64)]) -> bool {
        let flow = &self.space.flow;
        let with_errors = |(prompt, (low, high)): (&&Prompt, &(f64, f64))| {
            let by = |si: f64| {
                let (own, shared) = errors_of(flow, prompt, si);
                BEYOND * (own + shared)
            };
            (prompt.id.clone(), (low - by(*low), high + by(*high)))
        };
        self.doubts.iter().any(|(id, _)| {
            let spans: Spans = self.prompts.iter().zip(ranges).map(with_errors).collect();
            sure_word(flow, &self.told, spans, id).is_some()
        })
    }

    /// Points that would fit but for their verdicts, sorted by what those say; between two that say
    /// different things lies one that is in doubt.
    pub(super) fn in_doubt(&mut self, point: &Point) -> Option<Values> {
        if self.doubts.is_empty() || !self.fits_but_for_errors(&point.values) {
            return None;
        }
        let others: Vec<Point> = self
            .beside
            .iter()
            .rev()
            .filter(|other| self.says_else(point, other))
            .take(MOST_CLOSINGS)
            .cloned()
            .collect();
        self.beside.push(point.clone());
        for other in others {
            if self.closings >= MOST_CLOSINGS {
                return None;
            }
            self.closings += 1;
            let between = self.change_over(point, &other);
            if self.fits(&between) {
                return Some(between.values);
            }
        }
        None
    }

    fn says_else(&self, one: &Point, other: &Point) -> bool {
        self.doubts
            .iter()
            .any(|(id, _)| one.verdict(id) != other.verdict(id))
    }

    /// The point at which a verdict changes over between two points.
    fn change_over(&mut self, one: &Point, other: &Point) -> Point {
        let (mut one, mut other) = (one.clone(), other.clone());
        for _ in 0..HALVINGS {
            let Some(middle) = one.midway(&other) else {
                break;
            };
            let point = self.worked_at(middle);
            if self.says_else(&one, &point) {
                other = point;
            } else {
                one = point;
            }
        }
        one
    }

    fn fits_but_for_errors(&mut self, values: &Values) -> bool {
        let fits = is_valid(self.step, values)
            && truths(self.step, values) == self.wanted
            && (self.can_come)(values);
        let by_noise = fits && is_noise(&self.space.flow, values, &self.targets);
        self.only_noise |= by_noise;
        fits && !by_noise
    }

    pub(super) fn fits(&mut self, point: &Point) -> bool {
        self.fits_but_for_errors(&point.values)
            && stands_with_errors(self.step, self.space, self.cell, &point.answers)
    }
}

impl Point {
    /// What a verdict says of the values as read.
    fn verdict(&self, id: &str) -> Option<&Value> {
        self.said.get(id)
    }
}
