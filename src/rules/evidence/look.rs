//! The look-ahead: what a test or a repair would lead to, by all that can come of it.
//!
//! Works on masses that are not normalised: what is expected scales with the mass, so that nothing
//! is divided and an outcome of probability zero is no special case. Sets that are all but
//! impossible are left out here, never in the belief itself.

use std::collections::HashMap;

use super::cost::{Costs, Scratch};
use super::kept::{apart, kept};
use super::next::Plan;
use super::sets::Set;
use super::table::Bits;
use super::weights::Weights;

/// What a bit is worth, in units of the minutes that the best test asks for one.
const PRICE_OF_A_BIT: f64 = 1.5;
/// Bits a minute under which no test tells anything.
const TELLS_NOTHING: f64 = 1e-6;
/// Most cases that a row of tests is split into.
const LEAVES: usize = 9;

/// A look ahead from one belief.
#[derive(Debug)]
pub(super) struct Look<'p> {
    plan: &'p Plan<'p>,
    sets: Vec<Set>,
    places: HashMap<Set, usize>,
    costs: Costs,
    root: Weights,
    /// `chance[test][outcome]`, for the sets that are left.
    chance: Vec<Vec<Weights>>,
    hand_on: Vec<f64>,
    /// For each test the one that it opens and that tells most a minute.
    opens: Vec<Option<usize>>,
    room: Scratch,
    part: Vec<f64>,
}

impl<'p> Look<'p> {
    /// For a plan and a belief over all sets of its case.
    pub(super) fn new(plan: &'p Plan<'p>, masses: &[f64]) -> Self {
        let kept = apart(&kept(plan.case, masses));
        let sets: Vec<Set> = kept.iter().map(|n| plan.case.sets[*n]).collect();
        let pick = |row: &[f64]| Weights::of(kept.iter().map(|n| row[*n]).collect());
        let chance = plan
            .tests
            .iter()
            .map(|test| test.chance.iter().map(|row| pick(row)).collect())
            .collect();
        let hand_on = sets.iter().map(|set| plan.case.hand_on_of(*set));
        let mut look = Self {
            costs: Costs::of(plan.case, &sets),
            root: pick(masses),
            hand_on: hand_on.map(Option::unwrap_or_default).collect(),
            places: sets.iter().enumerate().map(|(n, set)| (*set, n)).collect(),
            plan,
            sets,
            chance,
            opens: Vec::new(),
            room: Scratch::default(),
            part: Vec::new(),
        };
        look.opens = (0..plan.tests.len())
            .map(|test| look.opened(test))
            .collect();
        look
    }

    /// The test that this one opens and that tells most a minute.
    fn opened(&self, test: usize) -> Option<usize> {
        let plan = self.plan;
        let after = |other: &usize| plan.tests[*other].after;
        let open = plan
            .open
            .iter()
            .copied()
            .filter(|other| after(other).has(test));
        let opened = open.filter(|other| after(other).within(plan.done.with(test)));
        let rated = opened.map(|other| {
            (
                self.bits(other, &self.root) / plan.tests[other].minutes.max(f64::MIN_POSITIVE),
                other,
            )
        });
        let best = rated.max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1)))?;
        (best.0 > TELLS_NOTHING).then_some(best.1)
    }

    /// Bits that a test is expected to tell, times the masses' sum.
    fn bits(&self, test: usize, leaf: &Weights) -> f64 {
        let parts = self.chance[test].iter();
        leaf.entropy() - parts.map(|row| leaf.by(row).entropy()).sum::<f64>()
    }

    /// The masses of the sets that are left.
    pub(super) fn root(&self) -> &Weights {
        &self.root
    }

    /// Minutes a bit: what the best of the open tests asks for what it tells, and half as much again.
    /// One that must come after others asks for their minutes too: a search that waits for the smoke
    /// is as good a reason to know more as a test whose turn it is. Nothing where no test tells
    /// anything.
    pub(super) fn per_bit(&self, leaf: &Weights) -> Option<f64> {
        let total = leaf.total();
        let open = self.plan.open.iter();
        let rate = open
            .filter_map(|test| {
                let minutes = self.plan.minutes_with_all_before(*test)?;
                let bits = self.bits(*test, leaf) / total.max(f64::MIN_POSITIVE);
                Some(bits / minutes.max(f64::MIN_POSITIVE))
            })
            .fold(0.0, f64::max);
        (rate >= TELLS_NOTHING).then(|| PRICE_OF_A_BIT / rate)
    }

    fn left_to_go(&mut self, leaf: &Weights, per_bit: Option<f64>) -> f64 {
        let known = self.costs.if_known(leaf.masses());
        let bits = || leaf.entropy();
        self.costs
            .to_go(leaf.masses(), known, (per_bit, bits), &mut self.room)
    }

    /// A test, then the cost to go. Stops reckoning once it is above `enough`.
    pub(super) fn one_step(
        &mut self,
        test: usize,
        leaf: &Weights,
        in_place: Bits,
        per_bit: Option<f64>,
        enough: f64,
    ) -> f64 {
        let mut value = self.plan.minutes(test, in_place) * leaf.total();
        // What is left costs no less than if everything about it were known.
        let mut rest = if enough.is_finite() {
            self.costs.if_known(leaf.masses())
        } else {
            0.0
        };
        let mut part = std::mem::take(&mut self.part);
        for row in &self.chance[test] {
            if value + rest >= enough {
                value = enough;
                break;
            }
            leaf.masses_by(row, &mut part);
            let known = self.costs.if_known(&part);
            rest -= known;
            let bits = || leaf.entropy_by(row, &part);
            value += self
                .costs
                .to_go(&part, known, (per_bit, bits), &mut self.room);
        }
        self.part = part;
        value
    }

    /// A test, then what it opens where that is better than to stop; else a search would seem to be worth nothing as
    /// long as the smoke must come first. Stops reckoning once it is above `enough`.
    fn with_opened(
        &mut self,
        (test, then): (usize, usize),
        leaf: &Weights,
        in_place: Bits,
        per_bit: Option<f64>,
        enough: f64,
    ) -> f64 {
        let after = self.plan.in_place_after(test, in_place);
        let mut value = self.plan.minutes(test, in_place) * leaf.total();
        for outcome in 0..self.chance[test].len() {
            if value >= enough {
                return enough;
            }
            let part = leaf.by(&self.chance[test][outcome]);
            let stop = self.left_to_go(&part, per_bit);
            value += self.one_step(then, &part, after, per_bit, stop).min(stop);
        }
        value
    }

    /// The cost to go, or one test and then the cost to go, whichever is less; a test with what it opens counts as one.
    fn two_step(
        &mut self,
        tests: &[usize],
        leaf: &Weights,
        in_place: Bits,
        per_bit: Option<f64>,
    ) -> f64 {
        let mut best = self.left_to_go(leaf, per_bit);
        // No test saves more than knowing everything would.
        let everything = self.costs.if_known(leaf.masses());
        let total = leaf.total();
        for test in tests {
            if self.plan.minutes(*test, in_place) * total + everything < best {
                best = best.min(self.one_step(*test, leaf, in_place, per_bit, best));
                if let Some(then) = self.opens[*test] {
                    best = best.min(self.with_opened((*test, then), leaf, in_place, per_bit, best));
                }
            }
        }
        best
    }

    /// Doing a test first: its minutes, then for each outcome the best of stopping and of one test
    /// more, out of these or out of those that it opens.
    pub(super) fn test(
        &mut self,
        test: usize,
        others: &[usize],
        leaf: &Weights,
        per_bit: Option<f64>,
    ) -> f64 {
        let plan = self.plan;
        let in_place = plan.in_place_after(test, plan.in_place);
        let done = plan.done.with(test);
        let mut second: Vec<usize> = others.iter().copied().filter(|t| *t != test).collect();
        second.extend(plan.open.iter().copied().filter(|other| {
            let after = plan.tests[*other].after;
            !done.has(*other) && after.has(test) && after.within(done)
        }));
        let mut value = plan.minutes(test, plan.in_place) * leaf.total();
        for outcome in 0..self.chance[test].len() {
            let part = leaf.by(&self.chance[test][outcome]);
            value += self.two_step(&second, &part, in_place, per_bit);
        }
        value
    }

    /// Repairing a cause first. Where it does not cure, the tests are open again, for what is true
    /// then, those first that were `likely` before; a test that must follow another is left out of
    /// this second step.
    pub(super) fn repair(
        &mut self,
        cause: usize,
        likely: &[usize],
        leaf: &Weights,
        per_bit: Option<f64>,
    ) -> f64 {
        let plan = self.plan;
        let still = self.after_failed_repair(cause, leaf.masses());
        let done = if plan.again {
            Bits::default()
        } else {
            plan.done
        };
        let open = |test: &usize| !done.has(*test) && plan.tests[*test].after.within(done);
        let mut tests: Vec<usize> = likely.iter().copied().filter(open).collect();
        let others = plan.open.iter().copied().filter(open);
        tests.extend(others.filter(|test| !likely.contains(test)));
        // It is made now, also on a car that is cured already.
        plan.case.suspects[cause].minutes() * leaf.total()
            + self.two_step(&tests, &still, plan.in_place, per_bit)
    }

    fn after_failed_repair(&self, cause: usize, masses: &[f64]) -> Weights {
        let success = self.plan.case.suspects[cause].success;
        let mut after = masses.to_vec();
        for (n, set) in self.sets.iter().enumerate() {
            if set.is_empty() {
                after[n] = 0.0;
            } else if set.has(cause) {
                after[n] -= success * masses[n];
                let rest = set.without(cause);
                if let Some(to) = self.places.get(&rest).filter(|_| !rest.is_empty()) {
                    after[*to] += success * masses[n];
                }
            }
        }
        Weights::of(after)
    }

    /// Handing on: its minutes, and what is expected.
    pub(super) fn hand_on(&self, leaf: &Weights) -> Option<(f64, f64)> {
        let minutes = self.plan.case.hand_on?;
        let expected = leaf
            .masses()
            .iter()
            .zip(&self.hand_on)
            .map(|(m, cost)| m * cost);
        Some((minutes, expected.sum()))
    }

    /// A set-up with the tests that it allows, one after the other in the best order found: each
    /// test is done only where that is better than to stop. Gives the order, and the expected
    /// minutes; nothing for a row of one.
    pub(super) fn together(
        &mut self,
        group: &[usize],
        leaf: &Weights,
        per_bit: Option<f64>,
    ) -> Option<(Vec<usize>, f64)> {
        let plan = self.plan;
        let mut row: Vec<usize> = Vec::new();
        let mut leaves = vec![leaf.clone()];
        let (mut in_place, mut done) = (plan.in_place, plan.done);
        loop {
            let turn = |t: &usize| {
                let after = plan.tests[*t].after;
                !row.contains(t) && after.within(done)
            };
            let fits = |t: &usize| leaves.len() * self.chance[*t].len() <= LEAVES;
            let tests = group.iter().copied();
            let ready: Vec<usize> = tests.filter(turn).filter(fits).collect();
            let stops: Vec<f64> = leaves
                .iter()
                .map(|leaf| self.left_to_go(leaf, per_bit))
                .collect();
            let next = ready
                .into_iter()
                .map(|t| {
                    let leaves = leaves.iter().zip(&stops);
                    let value = leaves.map(|(leaf, stop)| {
                        self.one_step(t, leaf, in_place, per_bit, *stop).min(*stop)
                    });
                    (value.sum::<f64>(), t)
                })
                .min_by(|a, b| a.0.total_cmp(&b.0));
            let Some((_, test)) = next else { break };
            leaves = leaves
                .iter()
                .flat_map(|leaf| self.chance[test].iter().map(|row| leaf.by(row)))
                .collect();
            in_place = plan.in_place_after(test, in_place);
            done = done.with(test);
            row.push(test);
        }
        if row.len() < 2 {
            return None;
        }
        let value = self.walk(&row, leaf, plan.in_place, per_bit, true);
        Some((row, value))
    }

    /// Walking down a row of tests, stopping where that is better. The first one is done anyway.
    fn walk(
        &mut self,
        row: &[usize],
        leaf: &Weights,
        in_place: Bits,
        per_bit: Option<f64>,
        first: bool,
    ) -> f64 {
        let stop = if first {
            f64::INFINITY
        } else {
            self.left_to_go(leaf, per_bit)
        };
        let Some((test, rest)) = row.split_first() else {
            return stop;
        };
        let mut value = self.plan.minutes(*test, in_place) * leaf.total();
        let after = self.plan.in_place_after(*test, in_place);
        for outcome in 0..self.chance[*test].len() {
            if value >= stop {
                return stop;
            }
            let part = leaf.by(&self.chance[*test][outcome]);
            value += self.walk(rest, &part, after, per_bit, false);
        }
        value.min(stop)
    }
}
