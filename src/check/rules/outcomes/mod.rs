//! The outcomes of a step leave no gap, do not overlap by accident, and can each be taken.
//!
//! What a step's conditions look at is cut into cells ([`cells`]): numbers at every limit that is
//! named, words one by one, places by what shows. Within a cell every condition has one answer, so
//! looking at one point of each cell looks at everything. A cell over worked values may be one
//! that no readings come to; then readings are searched for that do ([`realise`]), and without
//! any nothing is said.
//!
//! Outcomes are tried in order, so an earlier one may be an exception from a later one. Said are:
//! readings that no outcome fits; two outcomes that lead to different places and both hold just at
//! a limit (`at most 3` beside `at least 3`); two that cut into one another; and an outcome that
//! others leave nothing to.

mod cars;
mod cells;
mod realise;

use std::collections::{BTreeMap, BTreeSet};

use crate::flow::condition::{Condition, Truth};
use crate::flow::finding::{Finding, code};
use crate::flow::model::{Flow, Outcome, Step};
use cars::Cars;
use cells::{Cell, Space};
use realise::Example;

pub fn check(flow: &Flow) -> Vec<Finding> {
    let cars = Cars::of(flow);
    flow.steps
        .iter()
        .flat_map(|step| check_step(flow, step, &cars))
        .collect()
}

fn check_step(flow: &Flow, step: &Step, cars: &Cars) -> Vec<Finding> {
    if step.outcomes.iter().any(|o| o.when == Condition::Always) && step.outcomes.len() == 1 {
        return Vec::new();
    }
    let Some(space) = Space::of(flow, step) else {
        return vec![Finding::warning(
            code::TOO_MANY,
            step.place,
            format!(
                "`{}` looks at too many things at once to look for gaps",
                step.id
            ),
            "split it into two steps, each with fewer conditions",
        )];
    };
    let mut seen = Seen::default();
    for cell in space.cells(|car| cars.can_come(&step.id, car)) {
        seen.look(step, &space, &cell);
    }
    seen.findings(step)
}

/// Cells with the same answers of all conditions for which readings are searched in vain before
/// they are given up.
const PATIENCE: u32 = 3;

/// What the cells looked at have shown.
#[derive(Default)]
struct Seen {
    gap: Option<String>,
    /// Outcomes that were shown to be taken, by readings that were found.
    taken: BTreeSet<usize>,
    /// Outcomes that come first in some cell, and those that hold in some cell.
    first: BTreeSet<usize>,
    holding: BTreeSet<usize>,
    pairs: BTreeMap<(usize, usize), Example>,
    /// `(one, other)`: `one` was seen to hold where `other` does not.
    alone: BTreeSet<(usize, usize)>,
    /// Where two outcomes hold, or none, right at a limit. Readings that hit a limit exactly are not
    /// found by trying; they are believed in where both sides of it were shown to come about.
    limit_pairs: BTreeMap<(usize, usize), Example>,
    limit_gap: Option<Example>,
    /// Searches in vain, by what the conditions came to.
    in_vain: BTreeMap<String, u32>,
}

impl Seen {
    fn look(&mut self, step: &Step, space: &Space, cell: &Cell) {
        // Where the readings do not count, no outcome is asked for.
        if !realise::is_valid(step, &cell.values) {
            return;
        }
        let truths = realise::truths(step, &cell.values);
        if truths
            .iter()
            .any(|truth| matches!(truth, Truth::Unknown | Truth::Straddles))
        {
            return;
        }
        let holds: Vec<usize> = (0..truths.len())
            .filter(|n| truths[*n] == Truth::Yes)
            .collect();
        self.first.extend(holds.first());
        self.holding.extend(&holds);
        for one in &holds {
            let others = (0..truths.len()).filter(|other| !holds.contains(other));
            self.alone.extend(others.map(|other| (*one, other)));
        }
        if !self.is_news(step, &holds, cell) {
            return;
        }
        if cell.at_limit {
            let here = realise::as_it_stands(space, cell);
            for pair in pairs(step, &holds) {
                self.limit_pairs.entry(pair).or_insert_with(|| here.clone());
            }
            if holds.is_empty() {
                self.limit_gap.get_or_insert(here);
            }
        }
        let key = format!("{truths:?}");
        let vain = self.in_vain.entry(key).or_insert(0);
        if *vain >= PATIENCE {
            return;
        }
        let Some(example) = realise::example(step, space, cell) else {
            *vain += 1;
            return;
        };
        let Some(first) = holds.first() else {
            self.gap = Some(example.words);
            return;
        };
        self.taken.insert(*first);
        for pair in pairs(step, &holds) {
            let known = self.pairs.entry(pair).or_insert_with(|| example.clone());
            if known.at_limit && !example.at_limit {
                known.clone_from(&example);
            }
        }
    }

    fn believe_limits(&mut self) {
        for (pair, example) in std::mem::take(&mut self.limit_pairs) {
            if self.taken.contains(&pair.0) && self.taken.contains(&pair.1) {
                self.pairs.entry(pair).or_insert(example);
            }
        }
        if self.gap.is_none() && self.taken.len() > 1 {
            self.gap = self.limit_gap.take().map(|example| example.words);
        }
    }

    fn is_news(&self, step: &Step, holds: &[usize], cell: &Cell) -> bool {
        let Some(first) = holds.first() else {
            return self.gap.is_none();
        };
        let new_pair = |pair: &(usize, usize)| {
            self.pairs
                .get(pair)
                .is_none_or(|known| known.at_limit && !cell.at_limit)
        };
        !self.taken.contains(first) || pairs(step, holds).iter().any(new_pair)
    }

    fn findings(mut self, step: &Step) -> Vec<Finding> {
        self.believe_limits();
        let mut found = Vec::new();
        if let Some(example) = &self.gap {
            found.push(Finding::error(
                code::GAP,
                step.place,
                format!("no outcome of `{}` fits {example}", step.id),
                "add an outcome for it, or widen one",
            ));
        }
        for (n, outcome) in step.outcomes.iter().enumerate() {
            if self.holding.contains(&n) && !self.first.contains(&n) {
                found.push(never_taken(outcome));
            }
        }
        for ((one, other), pair) in &self.pairs {
            let cut = self.alone.contains(&(*one, *other)) && self.alone.contains(&(*other, *one));
            if pair.at_limit || cut {
                found.push(overlap(&step.outcomes[*one], &step.outcomes[*other], pair));
            }
        }
        found
    }
}

/// The pairs among outcomes that hold together and lead to different places.
fn pairs(step: &Step, holds: &[usize]) -> Vec<(usize, usize)> {
    let mut all = Vec::new();
    for (k, one) in holds.iter().enumerate() {
        for other in &holds[k + 1..] {
            let differ = step.outcomes[*one].go != step.outcomes[*other].go;
            // `always` at the end is meant as "everything else".
            if differ && step.outcomes[*other].when != Condition::Always {
                all.push((*one, *other));
            }
        }
    }
    all
}

fn never_taken(outcome: &Outcome) -> Finding {
    Finding::error(
        code::NEVER_TAKEN,
        outcome.place,
        format!(
            "`{}` is never taken: outcomes before it take everything that fits it",
            outcome.id
        ),
        "move it up, or narrow those before it",
    )
}

fn overlap(one: &Outcome, other: &Outcome, pair: &Example) -> Finding {
    let (message, help) = (
        format!("`{}` and `{}` both fit {}", one.id, other.id, pair.words),
        if pair.at_limit {
            "let one of them leave the limit out: `below` beside `at least`, `above` beside `at most`"
        } else {
            "narrow one of them; the first in the list wins otherwise"
        },
    );
    if pair.at_limit {
        Finding::error(code::OVERLAP, other.place, message, help)
    } else {
        Finding::warning(code::OVERLAP, other.place, message, help)
    }
}
