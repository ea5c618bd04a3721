//! The outcomes of a step leave no gap, do not overlap by accident, and can each be taken.
//!
//! What a step's conditions look at is cut into cells ([`cells`]): numbers at every limit that is
//! named, words one by one, places by what shows ([`axes`]). Within a cell every condition has one
//! answer, so looking at one point of each cell looks at everything. A cell over worked values may
//! be one that no readings come to; then readings are searched for that do ([`search`]), by interval
//! arithmetic where a calculation allows it ([`bounds`]). Nothing is said without readings, and what
//! is said was put to the conditions again as it is written ([`example`]).
//!
//! Only plausible readings are looked at: others are asked again beside the car. Whether a reading's
//! error straddles a limit is no matter here: then the step is unsure, which has its own way out. A
//! verdict that is in doubt within the error of its limit is a word like any other: there errors count.
//!
//! Outcomes are tried in order, so an earlier one may be an exception from a later one. Said are:
//! readings that no outcome fits; two outcomes that lead to different places and both hold just at
//! a limit (`at most 3` beside `at least 3`); two that cut into one another; and an outcome that
//! others leave nothing to, or that no plausible reading fits.

pub(super) mod axes;
pub(super) mod beyond;
mod bounds;
pub(super) mod cars;
mod cells;
pub(super) mod example;
mod findings;
mod marks;
pub(super) mod realise;
pub(super) mod reason;
mod search;

use std::collections::{BTreeMap, BTreeSet};

use super::limits;
use super::never_counts;
use super::way::known::Known;
use super::way::{Arrivals, follow};
use crate::check::draw::text::reached;
use crate::flow::condition::{Condition, Truth};
use crate::flow::finding::Finding;
use crate::flow::model::{Flow, Outcome, Step};
use crate::flow::values::Values;
use cars::Cars;
use cells::{Cell, Space};
use example::{Example, Shown, example};

pub fn check(flow: &Flow) -> Vec<Finding> {
    let cars = Cars::of(flow);
    let arrivals = follow(flow, &|_| false);
    // No car comes to a step that nothing leads to, which is a finding of its own.
    let spans = reason::plausible(flow);
    let found = reached(flow)
        .into_iter()
        .filter(|step| !limits::leave_no_room(flow, step))
        .filter(|step| !never_counts::is_so(flow, step, &spans))
        .map(|step| check_step(flow, step, &cars, &arrivals))
        .collect();
    together(flow, found)
}

/// What was found in one step.
#[derive(Default)]
struct Found {
    findings: Vec<Finding>,
    /// Outcomes that are never taken since the whole plausible range of a value lies beside their limit.
    beside: Vec<(String, String, Finding)>,
}

/// All findings. Where several outcomes are never taken by one range, the range is at fault, and is
/// named once.
fn together(flow: &Flow, found: Vec<Found>) -> Vec<Finding> {
    let (mut all, mut beside) = (Vec::new(), BTreeMap::new());
    for one in found {
        all.extend(one.findings);
        for (value, outcome, finding) in one.beside {
            let of_it: &mut Vec<(String, Finding)> = beside.entry(value).or_default();
            of_it.push((outcome, finding));
        }
    }
    for (value, mut of_it) in beside {
        let names: Vec<String> = of_it.iter().map(|(id, _)| format!("`{id}`")).collect();
        let (id, mut finding) = of_it.swap_remove(0);
        if names.len() > 1 {
            let alone = format!("`{id}` is never taken");
            let several = format!("{} are never taken", names.join(", "));
            finding.message = finding.message.replacen(&alone, &several, 1);
            if let Some(prompt) = flow.prompt(&value) {
                finding.place = prompt.place;
                finding.help = format!(
                    "mend the unit or the plausible range of `{value}`, or else each limit"
                );
            }
        }
        all.push(finding);
    }
    all
}

fn check_step(flow: &Flow, step: &Step, cars: &Cars, arrivals: &Arrivals) -> Found {
    if step.outcomes.iter().any(|o| o.when == Condition::Always) && step.outcomes.len() == 1 {
        return Found::default();
    }
    let mut known: Vec<Known> = Vec::new();
    for arrival in arrivals.get(&step.id).into_iter().flatten() {
        let here = arrival.known.clone().without(flow, &step.record);
        if !known.contains(&here) {
            known.push(here);
        }
    }
    let Some(space) = Space::of(flow, step, known) else {
        return Found {
            findings: vec![findings::too_many(step)],
            ..Found::default()
        };
    };
    let can_come = |car: &Values| cars.can_come(&step.id, car);
    let mut seen = Seen::default();
    let walked = space.walk(&can_come, &mut |cell| {
        seen.look(step, &space, cell, &can_come);
    });
    let unsettled = seen.unsettled(step);
    let mut found = seen.findings(flow, step, walked.is_ok());
    if walked.is_err() {
        // What was found is true all the same.
        found.findings.push(findings::too_many(step));
    } else {
        found.findings.extend(unsettled);
    }
    found
}

/// Cells with the same answers of all conditions for which readings are searched in vain before
/// they are given up.
const PATIENCE: u32 = 8;
/// Searches in vain before a step is given up.
const MOST_IN_VAIN: u32 = 60;

/// What the cells looked at have shown.
#[derive(Default)]
struct Seen {
    gap: Option<Example>,
    /// Outcomes that were shown to be taken, by readings that were found.
    taken: BTreeSet<usize>,
    /// Outcomes that come first in a cell for which no readings were found, which proves nothing.
    perhaps: BTreeSet<usize>,
    /// Outcomes that hold in some cell.
    holding: BTreeSet<usize>,
    pairs: BTreeMap<(usize, usize), Example>,
    /// `(one, other)`: `one` was shown to hold where `other` does not.
    alone: BTreeSet<(usize, usize)>,
    /// Searches in vain, by what the conditions came to.
    in_vain: BTreeMap<String, u32>,
    all_in_vain: u32,
    /// A cell without an outcome that was left, because no readings for it were found nor ruled out; in words.
    open: Option<String>,
    /// Pairs that hold together in a cell that was left so; whether right at a limit, and the cell in words.
    open_pairs: BTreeMap<(usize, usize), (bool, String)>,
}

impl Seen {
    fn look(
        &mut self,
        step: &Step,
        space: &Space,
        cell: &Cell,
        can_come: &dyn Fn(&Values) -> bool,
    ) {
        let truths = realise::truths(step, &cell.values);
        if !space.is_met_on_a_way(cell) {
            // An author may well say what to do with it all the same.
            let first = truths.iter().position(|truth| *truth == Truth::Yes);
            self.perhaps.extend(first);
            return;
        }
        let holds: Vec<usize> = (0..truths.len())
            .filter(|n| truths[*n] == Truth::Yes)
            .collect();
        self.holding.extend(&holds);
        if !self.is_news(step, &holds, cell) {
            return;
        }
        let key = format!("{truths:?} {}", cell.at_limit());
        let vain = self.in_vain.entry(key).or_insert(0);
        if *vain >= PATIENCE || self.all_in_vain >= MOST_IN_VAIN {
            self.leave(step, space, &holds, cell);
            return;
        }
        match example(step, space, cell, can_come) {
            Shown::Example(example) => self.note(step, &holds, &example),
            Shown::Impossible => {}
            Shown::GaveUp => {
                *vain += 1;
                self.all_in_vain += 1;
                self.leave(step, space, &holds, cell);
            }
        }
    }

    /// Notes a cell of which nobody knows whether readings come to it.
    fn leave(&mut self, step: &Step, space: &Space, holds: &[usize], cell: &Cell) {
        self.perhaps.extend(holds.first());
        if holds.is_empty() && self.open.is_none() {
            self.open = Some(example::sketch(step, space, cell));
        }
        for pair in pairs(step, holds) {
            let sketch = || (false, example::sketch(step, space, cell));
            self.open_pairs.entry(pair).or_insert_with(sketch).0 |= cell.at_limit();
        }
    }

    /// What is to be said of a gap, or of an overlap that would be said, that may be in what was left.
    fn unsettled(&self, step: &Step) -> Option<Finding> {
        if let Some(sketch) = self.open.as_ref().filter(|_| self.gap.is_none()) {
            return Some(findings::may_be_a_gap(step, sketch));
        }
        let cut = |(one, other): &(usize, usize)| {
            self.alone.contains(&(*one, *other)) && self.alone.contains(&(*other, *one))
        };
        let mut overlaps = self.open_pairs.iter().filter(|(pair, (at_limit, _))| {
            !self.pairs.contains_key(pair) && (*at_limit || cut(pair))
        });
        let ((one, other), (_, sketch)) = overlaps.next()?;
        Some(findings::may_overlap(
            step,
            &step.outcomes[*one],
            &step.outcomes[*other],
            sketch,
        ))
    }

    fn note(&mut self, step: &Step, holds: &[usize], example: &Example) {
        let Some(first) = holds.first() else {
            self.gap = Some(example.clone());
            return;
        };
        self.taken.insert(*first);
        self.alone.extend(apart(step, holds));
        for pair in pairs(step, holds) {
            let known = self.pairs.entry(pair).or_insert_with(|| example.clone());
            if known.at_limit && !example.at_limit {
                known.clone_from(example);
            }
        }
    }

    fn is_news(&self, step: &Step, holds: &[usize], cell: &Cell) -> bool {
        let better = |known: &Example| known.at_limit && !cell.at_limit();
        let Some(first) = holds.first() else {
            // A gap that is more than a single value is the better example.
            return self.gap.as_ref().is_none_or(better);
        };
        let new_pair = |pair: &(usize, usize)| self.pairs.get(pair).is_none_or(better);
        !self.taken.contains(first)
            || pairs(step, holds).iter().any(new_pair)
            || apart(step, holds).any(|pair| !self.alone.contains(&pair))
    }

    /// What is to be said; of outcomes that are never taken only where everything was `seen`.
    fn findings(self, flow: &Flow, step: &Step, seen: bool) -> Found {
        let mut found = Vec::new();
        let mut beside = Vec::new();
        if let Some(example) = &self.gap {
            found.push(findings::gap(step, example));
        }
        let rest = always_before_others(step);
        found.extend(rest.map(|n| findings::always_before(step, n)));
        for (n, outcome) in step.outcomes.iter().enumerate().filter(|_| seen) {
            let never = !self.taken.contains(&n) && !self.perhaps.contains(&n);
            if !never || rest.is_some_and(|rest| n > rest) {
                continue;
            }
            let reason = reason::reason(flow, step, outcome);
            if let Some(value) = reason.as_ref().and_then(|reason| reason.beside.clone()) {
                let finding = reason.map(|reason| findings::never_holds(outcome, &reason));
                beside.extend(finding.map(|finding| (value, outcome.id.clone(), finding)));
                continue;
            }
            found.push(match reason {
                Some(reason) => findings::never_holds(outcome, &reason),
                // That its condition holds in a cell does not say that readings come to it.
                None if n > 0 && self.holding.contains(&n) => match same_before(step, n) {
                    Some(other) => findings::asks_the_same(outcome, other),
                    None => findings::never_taken(outcome),
                },
                None => findings::never_fits(outcome),
            });
        }
        for ((one, other), pair) in &self.pairs {
            let cut = self.alone.contains(&(*one, *other)) && self.alone.contains(&(*other, *one));
            if pair.at_limit || cut {
                found.push(findings::overlap(
                    &step.outcomes[*one],
                    &step.outcomes[*other],
                    pair,
                ));
            }
        }
        Found {
            findings: found,
            beside,
        }
    }
}

/// The pairs of which the first holds and the second does not, among those that [`pairs`] may name.
fn apart<'a>(step: &'a Step, holds: &'a [usize]) -> impl Iterator<Item = (usize, usize)> + 'a {
    let others = 0..step.outcomes.len();
    holds.iter().flat_map(move |one| {
        others
            .clone()
            .filter(|other| !holds.contains(other) && may_clash(step, *one, *other))
            .map(|other| (*one, other))
    })
}

/// Whether it would matter if both held: they lead to different places, and the later one is not
/// `always`, which at the end is meant as "everything else".
fn may_clash(step: &Step, one: usize, other: usize) -> bool {
    let (one, other) = (one.min(other), one.max(other));
    step.outcomes[one].go != step.outcomes[other].go
        && step.outcomes[other].when != Condition::Always
}

/// The pairs among outcomes that hold together and lead to different places.
fn pairs(step: &Step, holds: &[usize]) -> Vec<(usize, usize)> {
    let mut all = Vec::new();
    for (k, one) in holds.iter().enumerate() {
        let others = holds[k + 1..].iter();
        all.extend(
            others
                .filter(|other| may_clash(step, *one, **other))
                .map(|other| (*one, *other)),
        );
    }
    all
}

/// Where `always` stands before other outcomes, which it leaves nothing to.
pub(super) fn always_before_others(step: &Step) -> Option<usize> {
    let always = |outcome: &Outcome| outcome.when == Condition::Always;
    let at = step.outcomes.iter().position(always)?;
    (at + 1 < step.outcomes.len()).then_some(at)
}

/// The outcome before another that asks for the very same.
pub(super) fn same_before(step: &Step, n: usize) -> Option<&Outcome> {
    let when = &step.outcomes.get(n)?.when;
    step.outcomes[..n].iter().find(|other| other.when == *when)
}
