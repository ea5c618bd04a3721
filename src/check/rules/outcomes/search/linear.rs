//! Stretches of sums and differences that exclude one another, decided by plain algebra.
//!
//! Two differences of one pair of readings, or a sum and a part of it under a fixed rest, are the same
//! number but for a factor and a constant. Halved boxes close in on the point where their stretches
//! touch for ever; laid on one axis they meet or do not.

use std::collections::{BTreeMap, BTreeSet};

use super::super::cells::{Cell, Space};
use crate::flow::model::{Arg, Flow, Work};

/// Nearer than this, as a share of the larger, two ends are one: the noise of arithmetic.
const NOISE: f64 = 1e-12;

/// A sum of readings, each times a number, and a constant.
#[derive(Clone, Debug, Default, PartialEq)]
struct Form {
    of: BTreeMap<String, f64>,
    constant: f64,
}

impl Form {
    fn plus(mut self, other: &Self, times: f64) -> Self {
        for (id, by) in &other.of {
            *self.of.entry(id.clone()).or_insert(0.0) += times * by;
        }
        self.of.retain(|_, by| *by != 0.0);
        self.constant += times * other.constant;
        self
    }
}

/// A part of an axis, and whether its ends belong to it.
#[derive(Clone, Copy)]
struct Part {
    low: f64,
    high: f64,
    low_counts: bool,
    high_counts: bool,
}

impl Part {
    fn is_empty(&self) -> bool {
        let noise = NOISE * self.low.abs().max(self.high.abs());
        if !noise.is_finite() {
            return false;
        }
        if self.low_counts && self.high_counts {
            self.low > self.high + noise
        } else {
            self.low >= self.high - noise
        }
    }

    /// What lies in both; ends that differ by noise alone are one.
    fn and(self, other: Self) -> Self {
        let finite = |a: f64, b: f64| a.is_finite() && b.is_finite();
        let near = |a: f64, b: f64| finite(a, b) && (a - b).abs() <= NOISE * a.abs().max(b.abs());
        let (low, low_counts) = match (self.low, other.low) {
            (a, b) if near(a, b) => (a, self.low_counts && other.low_counts),
            (a, b) if a > b => (a, self.low_counts),
            (_, b) => (b, other.low_counts),
        };
        let (high, high_counts) = match (self.high, other.high) {
            (a, b) if near(a, b) => (a, self.high_counts && other.high_counts),
            (a, b) if a < b => (a, self.high_counts),
            (_, b) => (b, other.high_counts),
        };
        Self {
            low,
            high,
            low_counts,
            high_counts,
        }
    }
}

/// Whether stretches of a cell exclude one another.
pub(super) fn clash(space: &Space, cell: &Cell, absent: &BTreeSet<&str>) -> bool {
    let mut axes: Vec<(BTreeMap<String, f64>, Part)> = Vec::new();
    for (id, (from, to)) in &cell.spans {
        let Some(form) = form(&space.flow, id, absent) else {
            continue;
        };
        let Some(scale) = form.of.values().next().copied() else {
            continue;
        };
        let is_worked = space.flow.work(id).is_some();
        let counts = |end: f64| from >= to || (!is_worked && !space.is_limit(id, end));
        let on_axis = |end: f64| (end - form.constant) / scale;
        let (mut part, turned) = (
            Part {
                low: on_axis(*from),
                high: on_axis(*to),
                low_counts: counts(*from),
                high_counts: counts(*to),
            },
            scale < 0.0,
        );
        if turned {
            part = Part {
                low: part.high,
                high: part.low,
                low_counts: part.high_counts,
                high_counts: part.low_counts,
            };
        }
        let direction: BTreeMap<String, f64> = form
            .of
            .iter()
            .map(|(id, by)| (id.clone(), by / scale))
            .collect();
        match axes.iter_mut().find(|(known, _)| *known == direction) {
            Some((_, known)) => *known = known.and(part),
            None => axes.push((direction, part)),
        }
    }
    axes.iter().any(|(_, part)| part.is_empty())
}

/// What a value is made of, if it is a sum or a difference of readings through and through.
fn form(flow: &Flow, id: &str, absent: &BTreeSet<&str>) -> Option<Form> {
    let Some(work) = flow.work(id) else {
        flow.prompt(id)?;
        return Some(Form {
            of: BTreeMap::from([(id.to_owned(), 1.0)]),
            constant: 0.0,
        });
    };
    let items = items(work)?;
    match (work.calculation.name, items) {
        ("difference", [first, second]) => {
            let (first, second) = (arg(flow, first, absent)?, arg(flow, second, absent)?);
            Some(first.plus(&second, -1.0))
        }
        ("sum", items) => items
            .iter()
            .filter(|item| !matches!(item, Arg::Of(id) if absent.contains(id.as_str())))
            .try_fold(Form::default(), |sum, item| {
                Some(sum.plus(&arg(flow, item, absent)?, 1.0))
            }),
        _ => None,
    }
}

fn items(work: &Work) -> Option<&[Arg]> {
    match &work.inputs[..] {
        [(_, Arg::List(items))] => Some(items),
        _ => None,
    }
}

fn arg(flow: &Flow, arg: &Arg, absent: &BTreeSet<&str>) -> Option<Form> {
    match arg {
        Arg::Constant(q) => Some(Form {
            constant: q.si(),
            ..Form::default()
        }),
        Arg::Of(id) => form(flow, id, absent),
        _ => None,
    }
}
