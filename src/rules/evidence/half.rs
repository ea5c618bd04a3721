//! One flow's half of the simulated cars: a car is drawn, taken through all steps, and what it shows is noted.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use rayon::prelude::*;

use super::finding::Kind as Outcomes;
use super::joined::{Joined, Named, leaves};
use super::outcomes::Raw;
use super::sets::Set;
use crate::flow::answer::Answer;
use crate::flow::meaning::{Plain, What};
use crate::flow::model::{Flow, Phase, Prompt, PromptKind, Step};
use crate::flow::signature::Shows;
use crate::flow::working::{Known, plain_values};
use crate::plant::car::Car;
use crate::plant::dice::Dice;
use crate::plant::drive::Drive;
use crate::plant::plan::{Plan, without_other_values};
use crate::plant::spread::Spread;

/// What all cars have in common.
pub(super) struct Drawn<'a> {
    pub(super) facts: &'a BTreeMap<String, Answer>,
    pub(super) seed: u64,
    pub(super) count: usize,
}

impl Drawn<'_> {
    /// Cars of a set: sets of several causes are seldom, and there are many of them.
    pub(super) fn of(&self, set: Set) -> usize {
        match set.len() {
            0 | 1 => self.count,
            2 => self.count.div_ceil(2),
            _ => self.count.div_ceil(8),
        }
    }
}

/// Which causes of a flow a car has, and whether they must make the complaint by themselves.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) struct Kind {
    pub(super) causes: Set,
    complains: bool,
}

/// A flow with nothing but what the findings need that cars know.
pub(super) struct Pruned {
    flow: Flow,
    /// The findings, by their place in the joint list.
    findings: Vec<usize>,
}

impl Pruned {
    pub(super) fn of(joined: &Joined, n: usize) -> Self {
        let flow = joined.flows[n];
        let known: Vec<usize> = (0..joined.findings.len())
            .filter(|f| joined.findings[*f].flow == n && physical(flow, &joined.findings[*f]))
            .collect();
        let ids: BTreeSet<&str> = known
            .iter()
            .map(|f| joined.findings[*f].id.as_str())
            .collect();
        let mut needed: BTreeSet<String> = BTreeSet::new();
        let mut open: Vec<String> = known
            .iter()
            .flat_map(|f| joined.findings[*f].leaves.iter().cloned())
            .collect();
        // What is covered, filled and held stays as it is on the way.
        open.extend(
            flow.readings
                .iter()
                .filter(|reading| moves_the_test(reading))
                .map(|reading| reading.id.clone()),
        );
        while let Some(id) = open.pop() {
            if needed.insert(id.clone())
                && let Some(condition) = flow.prompt(&id).and_then(|p| p.only_if.as_ref())
            {
                for subject in condition.subjects() {
                    open.extend(leaves(flow, subject));
                }
            }
        }
        let said =
            |shows: &Shows| flow.work(&shows.id).is_none() || ids.contains(shows.id.as_str());
        let mut pruned = Flow {
            worked: without_other_values(flow, ids.clone()).worked,
            ..flow.clone()
        };
        pruned.healthy.retain(said);
        for cause in &mut pruned.causes {
            cause.shows.retain(said);
        }
        pruned.steps.retain(measures);
        for step in &mut pruned.steps {
            step.record.retain(|id| needed.contains(id));
        }
        Self {
            flow: pruned,
            findings: known,
        }
    }
}

fn measures(step: &Step) -> bool {
    !matches!(step.phase, Phase::Repair | Phase::Retest)
}

fn moves_the_test(reading: &Prompt) -> bool {
    let meaning = reading.meaning().map(|meaning| meaning.what);
    matches!(
        meaning,
        Some(What::Plain(
            Plain::SupplyGas | Plain::SmokeFlow | Plain::HoldStart | Plain::CoveredPlace
        ))
    )
}

/// Whether physics gives a finding: all numbers that it rests on, and at least one of its readings. The
/// complaint itself is no measurement: all cars have it until they are repaired.
fn physical(flow: &Flow, named: &Named) -> bool {
    let effects = flow.causes.iter().any(|cause| !cause.effects.is_empty());
    let readings = || named.leaves.iter().filter_map(|id| flow.reading(id));
    let given = |reading: &Prompt| {
        let what = reading.meaning().map(|meaning| meaning.what);
        what.is_some_and(|what| what != What::Plain(Plain::Complaint))
    };
    let verdict =
        flow.work(&named.id).is_some() && !matches!(named.finding.kind, Outcomes::Number(_));
    let must = |reading: &Prompt| verdict || matches!(reading.kind, PromptKind::Quantity(_));
    effects && readings().any(given) && readings().all(|r| given(r) || !must(r) || r.optional)
}

/// One flow's half of the cars.
pub(super) struct Half<'f> {
    plan: Plan<'f>,
    /// Its findings that the cars know, by their place in the joint list.
    pub(super) findings: Vec<(usize, Named)>,
    /// The joint causes that it lists, each with its id.
    causes: Vec<(usize, &'f str)>,
    pub(super) kinds: Vec<Kind>,
}

/// What one car shows, and which of its causes are big enough.
#[derive(Clone, Debug)]
pub(super) struct Shown {
    pub(super) raws: Vec<Raw>,
    pub(super) enough: Set,
    pub(super) complains: bool,
}

/// The cars of one flow by their kind.
pub(super) type Made = HashMap<Kind, Vec<Shown>>;

impl<'f> Half<'f> {
    pub(super) fn of(joined: &Joined, n: usize, pruned: &'f Pruned, sets: &[Set]) -> Self {
        let own = &pruned.flow;
        let causes = joined.causes.iter().enumerate();
        let findings = pruned.findings.iter();
        let mut half = Self {
            plan: Plan::of(own),
            findings: findings
                .map(|f| (*f, joined.findings[*f].clone()))
                .collect(),
            causes: causes
                .filter_map(|(n, listed)| Some((n, own.cause(&listed.id)?.id.as_str())))
                .collect(),
            kinds: Vec::new(),
        };
        debug_assert_eq!(joined.flows[n].id, own.id);
        if !half.findings.is_empty() {
            let kinds: BTreeSet<Kind> = sets.iter().map(|set| half.kind(*set)).collect();
            half.kinds = kinds.into_iter().collect();
        }
        half
    }

    /// The part of a set that lies in this flow. A part need not make the complaint where the rest may.
    pub(super) fn kind(&self, set: Set) -> Kind {
        let own: Vec<usize> = self.causes.iter().map(|(n, _)| *n).collect();
        let causes = Set::of(
            &set.members()
                .filter(|n| own.contains(n))
                .collect::<Vec<_>>(),
        );
        Kind {
            causes,
            complains: causes == set && !set.is_empty(),
        }
    }

    pub(super) fn make(&self, drawn: &Drawn) -> Made {
        let cars: Vec<(Kind, usize)> = self
            .kinds
            .iter()
            .flat_map(|kind| (0..drawn.of(kind.causes)).map(|car| (*kind, car)))
            .collect();
        let shown: Vec<Shown> = cars
            .par_iter()
            .map(|(kind, car)| self.car(*kind, *car, drawn))
            .collect();
        let mut made = Made::new();
        for ((kind, _), shown) in cars.into_iter().zip(shown) {
            made.entry(kind).or_default().push(shown);
        }
        made
    }

    /// One car, taken through all steps.
    fn car(&self, kind: Kind, car: usize, drawn: &Drawn) -> Shown {
        let mut dice = Dice::new(drawn.seed).fork("car", car as u64);
        let own = self.causes.iter().filter(|(n, _)| kind.causes.has(*n));
        let present: Vec<&str> = own.map(|(_, id)| *id).collect();
        let draw = if kind.complains {
            Car::draw
        } else {
            Car::draw_any
        };
        let car = draw(
            &self.plan,
            drawn.facts,
            &present,
            &Spread::EXPECTED,
            &mut dice,
        );
        let enough = self.causes.iter().filter(|(_, id)| car.explains(id));
        let enough = Set::of(&enough.map(|(n, _)| *n).collect::<Vec<_>>());
        let complains = car.complains(|_| true);
        let answers = Drive::new(&self.plan, car).through(self.plan.flow.steps.iter());
        let known = Known {
            answers: &answers,
            test_number: 1,
        };
        let values = plain_values(self.plan.flow, known);
        let raw = |(_, named): &(usize, Named)| Raw::of(named, values.get(&named.id));
        Shown {
            raws: self.findings.iter().map(raw).collect(),
            enough,
            complains,
        }
    }
}
