//! The next step: the one with the least expected minutes to a proven repair.
//!
//! Two steps of look-ahead, in minutes; what is still uncertain at the end is priced in minutes a
//! bit; no threshold of probability anywhere. On random models this came within 0.3 to 0.5 % of
//! the exact optimum, where rules that stop at a probability lost 10 to 40 %
//! (`tests/evidence_optimum.rs` measures it anew).

use super::case::Case;
use super::cost::order;
use super::look::Look;
use super::table::{Bits, Test};
use super::weights::Weights;

/// Tests that are looked at two steps deep, and repairs.
const TESTS: usize = 8;
const REPAIRS: usize = 4;
/// Values closer than this, in proportion, are the same.
const SAME: f64 = 1e-9;

/// Something that can be done next.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Step {
    /// Do a test.
    Test(usize),
    /// Set up what this test and others need, and do them one after the other.
    SetUp(usize),
    /// Repair a cause and repeat the test.
    Repair(usize),
    /// Hand the car on.
    HandOn,
}

/// A candidate with its expected minutes.
#[derive(Clone, Debug, PartialEq)]
pub struct Candidate {
    /// What is done.
    pub step: Step,
    /// Its own minutes, set-up included.
    pub minutes: f64,
    /// Expected minutes to a proven repair (or to handing on) if this is done first, with what is
    /// still uncertain priced in. It ranks; it is no promise.
    pub expected: f64,
    /// For a set-up: the tests that it is made for, in their order.
    pub tests: Vec<usize>,
}

/// A set-up that several tests can share, or a step that must come before them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SetUp {
    /// Its id.
    pub id: String,
    /// Minutes of making it.
    pub minutes: f64,
    /// Minutes of taking it down for a test that is done without it; 0 where it stays.
    pub take_down: f64,
}

/// What can be done, and what it rests on.
#[derive(Clone, Debug)]
pub struct Plan<'p> {
    /// The causes.
    pub case: &'p Case,
    /// All tests.
    pub tests: &'p [Test],
    /// Which of them can be done, as far as gear, cautions and the flow allow. One that must come
    /// after another counts as soon as that is done.
    pub open: Vec<usize>,
    /// Which of them are done.
    pub done: Bits,
    /// The set-ups that the tests share.
    pub set_ups: &'p [SetUp],
    /// Which of them are in place.
    pub in_place: Bits,
    /// Whether tests can be done again after a repair that did not cure.
    pub again: bool,
}

impl<'p> Plan<'p> {
    /// A plan in which every test can be done now, with nothing to set up.
    pub fn all(case: &'p Case, tests: &'p [Test]) -> Self {
        Self {
            case,
            tests,
            open: (0..tests.len()).collect(),
            done: Bits::default(),
            set_ups: &[],
            in_place: Bits::default(),
            again: true,
        }
    }

    /// The tests whose turn it is.
    pub fn now(&self) -> Vec<usize> {
        let turn =
            |test: &usize| !self.done.has(*test) && self.tests[*test].after.within(self.done);
        self.open.iter().copied().filter(turn).collect()
    }

    /// All candidates that were looked at, the best first.
    pub fn candidates(&self, masses: &[f64]) -> Vec<Candidate> {
        let now = self.now();
        let mut look = Look::new(self, masses);
        let root = look.root().clone();
        let total = root.total();
        let per_bit = look.per_bit(&root);
        let one_step = self.one_by_one(&mut look, &now, &root, per_bit);
        let short: Vec<usize> = one_step.iter().take(TESTS).map(|one| one.2).collect();
        let mut found = Vec::new();
        for test in &short {
            let expected = look.test(*test, &short, &root, per_bit);
            let minutes = self.minutes(*test, self.in_place);
            found.push(candidate(Step::Test(*test), minutes, expected));
        }
        let likely: Vec<usize> = one_step.iter().map(|one| one.2).collect();
        for cause in order(self.case, masses).into_iter().take(REPAIRS) {
            let minutes = self.case.suspects[cause].minutes();
            let expected = look.repair(cause, &likely, &root, per_bit);
            found.push(candidate(Step::Repair(cause), minutes, expected));
        }
        if let Some((minutes, expected)) = look.hand_on(&root) {
            found.push(candidate(Step::HandOn, minutes, expected));
        }
        for group in self.groups(&now) {
            if let Some((tests, expected)) = look.together(&group, &root, per_bit) {
                let minutes = self.minutes(tests[0], self.in_place);
                let step = Step::SetUp(tests[0]);
                found.push(Candidate {
                    tests,
                    ..candidate(step, minutes, expected)
                });
            }
        }
        found.sort_by(|a, b| a.expected.total_cmp(&b.expected));
        lead(&mut found, total);
        found
    }

    /// Tests by what is expected after each alone, the best first: that, its minutes, the test.
    fn one_by_one(
        &self,
        look: &mut Look,
        tests: &[usize],
        root: &Weights,
        per_bit: Option<f64>,
    ) -> Vec<(f64, f64, usize)> {
        let mut one_step: Vec<(f64, f64, usize)> = tests
            .iter()
            .map(|test| {
                let value = look.one_step(*test, root, self.in_place, per_bit, f64::INFINITY);
                (value, self.minutes(*test, self.in_place), *test)
            })
            .collect();
        one_step.sort_by(|a, b| {
            let minutes = a.1.total_cmp(&b.1);
            a.0.total_cmp(&b.0).then(minutes).then(a.2.cmp(&b.2))
        });
        one_step
    }

    /// Expected minutes if this is done first, looked ahead as for [`Plan::candidates`], also where
    /// it is not on the short list of those.
    pub fn expected(&self, step: Step, masses: &[f64]) -> Option<f64> {
        let now = self.now();
        let mut look = Look::new(self, masses);
        let root = look.root().clone();
        let per_bit = look.per_bit(&root);
        let likely = self.one_by_one(&mut look, &now, &root, per_bit);
        let likely: Vec<usize> = likely.into_iter().map(|one| one.2).collect();
        let short = &likely[..likely.len().min(TESTS)];
        match step {
            Step::Test(test) | Step::SetUp(test) => Some(look.test(test, short, &root, per_bit)),
            Step::Repair(cause) => Some(look.repair(cause, &likely, &root, per_bit)),
            Step::HandOn => look.hand_on(&root).map(|(_, expected)| expected),
        }
    }

    /// The step to take.
    pub fn best(&self, masses: &[f64]) -> Option<Candidate> {
        self.candidates(masses).into_iter().next()
    }

    /// Expected minutes of one test and then repairs only.
    pub fn one_test(&self, test: usize, masses: &[f64]) -> f64 {
        let mut look = Look::new(self, masses);
        let root = look.root().clone();
        look.one_step(test, &root, self.in_place, None, f64::INFINITY)
    }

    /// Minutes of a test, with what must be set up and taken down for it.
    pub fn minutes(&self, test: usize, in_place: Bits) -> f64 {
        let test = &self.tests[test];
        let set_up = |index: usize| self.set_ups.get(index);
        let make: f64 = test
            .needs
            .less(in_place)
            .iter()
            .filter_map(|index| Some(set_up(index)?.minutes))
            .sum();
        let take_down: f64 = in_place
            .less(test.needs)
            .iter()
            .filter_map(|index| Some(set_up(index)?.take_down))
            .sum();
        test.minutes + make + take_down
    }

    /// Minutes of a test with all that must be done before it, each set-up made once; nothing for one
    /// that is done, or that waits for a test which cannot be done.
    pub(super) fn minutes_with_all_before(&self, test: usize) -> Option<f64> {
        let mut row: Vec<usize> = vec![test];
        let mut place = 0;
        while let Some(next) = row.get(place) {
            if self.done.has(*next) || !self.open.contains(next) {
                return None;
            }
            let before = self.tests[*next].after.less(self.done);
            let new: Vec<usize> = before.iter().filter(|other| !row.contains(other)).collect();
            row.extend(new);
            place += 1;
        }
        let mut in_place = self.in_place;
        let mut minutes = 0.0;
        for test in row.iter().rev() {
            minutes += self.minutes(*test, in_place);
            in_place = self.in_place_after(*test, in_place);
        }
        Some(minutes)
    }

    /// What is in place after a test.
    pub fn in_place_after(&self, test: usize, in_place: Bits) -> Bits {
        let stays = |index: &usize| self.set_ups.get(*index).is_some_and(|s| s.take_down <= 0.0);
        let kept = in_place.iter().filter(stays);
        self.tests[test].needs.and(Bits::of(kept))
    }

    /// The plan once a test is done.
    #[must_use]
    pub fn after(&self, test: usize) -> Self {
        Self {
            done: self.done.with(test),
            in_place: self.in_place_after(test, self.in_place),
            ..self.clone()
        }
    }

    /// For each set-up that is still to be made, the tests that it allows, two at least.
    fn groups(&self, now: &[usize]) -> Vec<Vec<usize>> {
        let mut seen: Vec<Bits> = Vec::new();
        let mut groups = Vec::new();
        for test in now {
            let needs = self.tests[*test].needs;
            if needs.within(self.in_place) || seen.contains(&needs) {
                continue;
            }
            seen.push(needs);
            let allowed = |other: &usize| {
                let other = self.tests[*other].needs;
                other.within(needs) && !other.within(self.in_place)
            };
            let group: Vec<usize> = self
                .open
                .iter()
                .copied()
                .filter(|other| !self.done.has(*other) && allowed(other))
                .collect();
            if group.len() > 1 {
                groups.push(group);
            }
        }
        groups
    }
}

fn candidate(step: Step, minutes: f64, expected: f64) -> Candidate {
    Candidate {
        step,
        minutes,
        expected,
        tests: Vec::new(),
    }
}

/// Puts in front, of those that are as good as the best, the one to take: a repair before a test
/// (a test must earn its place), a single test before a set-up for several, then fewer minutes of
/// its own, then the order of the flow.
fn lead(found: &mut [Candidate], total: f64) {
    let Some(least) = found.first().map(|best| best.expected) else {
        return;
    };
    let near = least + SAME * least.abs().max(total);
    let rank = |c: &Candidate| {
        let (kind, place) = match c.step {
            Step::Repair(cause) => (0, cause),
            Step::Test(test) => (1, test),
            Step::SetUp(test) => (2, test),
            Step::HandOn => (3, 0),
        };
        (kind, c.minutes, place)
    };
    let first = (0..found.len())
        .take_while(|n| found[*n].expected <= near)
        .min_by(|a, b| {
            let (a, b) = (rank(&found[*a]), rank(&found[*b]));
            a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.cmp(&b.2))
        });
    if let Some(first) = first {
        found[..=first].rotate_right(1);
    }
}
