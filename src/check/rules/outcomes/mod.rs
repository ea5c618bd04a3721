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

mod cells;
mod realise;

use std::collections::{BTreeMap, BTreeSet};

use crate::flow::condition::{Condition, Truth};
use crate::flow::finding::{Finding, code};
use crate::flow::model::{Flow, Outcome, Step};
use cells::{Cell, Space};

pub fn check(flow: &Flow) -> Vec<Finding> {
    flow.steps
        .iter()
        .flat_map(|step| check_step(flow, step))
        .collect()
}

fn check_step(flow: &Flow, step: &Step) -> Vec<Finding> {
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
    for cell in space.cells() {
        seen.look(flow, step, &space, &cell);
    }
    seen.findings(step)
}

/// What the cells looked at have shown.
#[derive(Default)]
struct Seen {
    gap: Option<String>,
    taken: BTreeSet<usize>,
    /// Pairs of outcomes with: example, both hold only at limits so far, first alone, second alone.
    pairs: BTreeMap<(usize, usize), Pair>,
    alone: BTreeMap<(usize, usize), ()>,
}

struct Pair {
    example: String,
    only_at_limits: bool,
}

impl Seen {
    fn look(&mut self, flow: &Flow, step: &Step, space: &Space, cell: &Cell) {
        let holds: Vec<usize> = step
            .outcomes
            .iter()
            .enumerate()
            .filter(|(_, o)| o.when.truth(&cell.values) == Truth::Yes)
            .map(|(n, _)| n)
            .collect();
        for one in &holds {
            for other in (0..step.outcomes.len()).filter(|other| !holds.contains(other)) {
                self.alone.insert((*one, other), ());
            }
        }
        let news = match holds.first() {
            None => self.gap.is_none(),
            Some(first) => !self.taken.contains(first) || self.has_new_pair(step, &holds, cell),
        };
        if !news {
            return;
        }
        let Some(example) = realise::example(flow, step, space, cell) else {
            return;
        };
        match holds.first() {
            None => self.gap = Some(example),
            Some(first) => {
                self.taken.insert(*first);
                for pair in pairs(step, &holds) {
                    let known = self.pairs.entry(pair).or_insert(Pair {
                        example: example.clone(),
                        only_at_limits: true,
                    });
                    if !cell.at_limit {
                        known.example.clone_from(&example);
                        known.only_at_limits = false;
                    }
                }
            }
        }
    }

    fn has_new_pair(&self, step: &Step, holds: &[usize], cell: &Cell) -> bool {
        pairs(step, holds).iter().any(|pair| {
            self.pairs
                .get(pair)
                .is_none_or(|p| p.only_at_limits && !cell.at_limit)
        })
    }

    fn findings(self, step: &Step) -> Vec<Finding> {
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
            if !self.taken.contains(&n) && self.is_shadowed(n, step) {
                found.push(never_taken(outcome));
            }
        }
        for ((one, other), pair) in &self.pairs {
            let cut = self.alone.contains_key(&(*one, *other))
                && self.alone.contains_key(&(*other, *one));
            if pair.only_at_limits || cut {
                found.push(overlap(&step.outcomes[*one], &step.outcomes[*other], pair));
            }
        }
        found
    }

    /// Whether an outcome holds somewhere, but always after another: one that cannot be shown to
    /// hold at all is not blamed.
    fn is_shadowed(&self, n: usize, step: &Step) -> bool {
        (0..step.outcomes.len()).any(|other| self.alone.contains_key(&(n, other)))
            || self.pairs.keys().any(|(_, second)| *second == n)
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

fn overlap(one: &Outcome, other: &Outcome, pair: &Pair) -> Finding {
    let (message, help) = (
        format!("`{}` and `{}` both fit {}", one.id, other.id, pair.example),
        if pair.only_at_limits {
            "let one of them leave the limit out: `below` beside `at least`, `above` beside `at most`"
        } else {
            "narrow one of them; the first in the list wins otherwise"
        },
    );
    if pair.only_at_limits {
        Finding::error(code::OVERLAP, other.place, message, help)
    } else {
        Finding::warning(code::OVERLAP, other.place, message, help)
    }
}
