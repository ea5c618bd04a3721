//! One flow's half of the simulated cars: a car is drawn, taken through all steps, and what it shows is noted.

use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::ops::Range;

use rayon::prelude::*;

use super::columns::Group;
use super::finding::Kind as Outcomes;
use super::joined::{Joined, Named, leaves};
use super::outcomes::Raw;
use super::sets::Set;
use super::share;
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
    /// The cars that are drawn, group by group, by their numbers.
    pub(super) cars: Vec<(Group, Range<usize>)>,
}

/// Whether causes must make the complaint by themselves.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
enum Wanted {
    /// They must.
    Complaint,
    /// They must not.
    Quiet,
    /// As it comes: there are others on the car.
    Either,
}

/// Which causes of a flow a car has.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) struct Kind {
    pub(super) causes: Set,
    wanted: Wanted,
}

impl Kind {
    /// Cars with the complaint, or without any cause: what one is used to see.
    pub(super) fn is_usual(self) -> bool {
        self.wanted != Wanted::Quiet
    }
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
/// complaint itself is no measurement: all cars have it until they are repaired; nor is what is only looked at.
fn physical(flow: &Flow, named: &Named) -> bool {
    let effects = flow.causes.iter().any(|cause| !cause.effects.is_empty());
    let readings = || named.leaves.iter().filter_map(|id| flow.reading(id));
    let given = |reading: &Prompt| {
        let what = reading.meaning().map(|meaning| meaning.what);
        let seen = |what: &What| {
            matches!(
                what,
                What::Plain(Plain::Complaint | Plain::VisualCheck | Plain::FuellingLoop)
            )
        };
        what.is_some_and(|what| !seen(&what))
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
    /// What asks which place was covered, and for each place the joint causes that show there.
    covers: Option<(&'f str, BTreeMap<String, Set>)>,
}

/// What one car shows, and which of its causes are big enough.
#[derive(Clone, Debug)]
pub(super) struct Shown {
    pub(super) raws: Vec<Raw>,
    pub(super) enough: Set,
    pub(super) complains: bool,
    /// Causes that show at the place that was covered last.
    pub(super) covered: Set,
}

/// The cars of one flow by their kind and number.
pub(super) type Made = HashMap<(Kind, usize), Shown>;

impl<'f> Half<'f> {
    pub(super) fn of(joined: &Joined, n: usize, pruned: &'f Pruned) -> Self {
        let own = &pruned.flow;
        let causes = joined.causes.iter().enumerate();
        let findings = pruned.findings.iter();
        debug_assert_eq!(joined.flows[n].id, own.id);
        Self {
            plan: Plan::of(own),
            findings: findings
                .map(|f| (*f, joined.findings[*f].clone()))
                .collect(),
            causes: causes
                .filter_map(|(n, listed)| Some((n, own.cause(&listed.id)?.id.as_str())))
                .collect(),
            covers: places_to_cover(joined, joined.flows[n], own),
        }
    }

    /// The causes that show at the place that was covered.
    fn covered(&self, answers: &BTreeMap<String, Answer>) -> Set {
        let place = self
            .covers
            .as_ref()
            .and_then(|(asked, places)| match answers.get(*asked)? {
                Answer::Choice(place) => places.get(place).copied(),
                _ => None,
            });
        place.unwrap_or(Set::EMPTY)
    }

    /// The part of a set that lies in this flow. A part need not make the complaint where the rest may.
    pub(super) fn kind(&self, group: Group) -> Kind {
        let mut causes = Set::EMPTY;
        for (n, _) in self.causes.iter().filter(|(n, _)| group.set.has(*n)) {
            causes = causes.with(*n);
        }
        let wanted = if causes.is_empty() {
            Wanted::Either
        } else if group.quiet {
            Wanted::Quiet
        } else if causes == group.set {
            Wanted::Complaint
        } else {
            Wanted::Either
        };
        Kind { causes, wanted }
    }

    pub(super) fn make(&self, drawn: &Drawn) -> Made {
        if self.findings.is_empty() {
            return Made::new();
        }
        // Groups that differ in other flows' causes alone have the same half.
        let all = drawn.cars.iter();
        let all = all.flat_map(|(group, cars)| cars.clone().map(|car| (self.kind(*group), car)));
        let cars: BTreeSet<(Kind, usize)> = all.collect();
        let cars: Vec<(Kind, usize)> = cars.into_iter().collect();
        cars.par_iter()
            .map(|(kind, car)| ((*kind, *car), self.car(*kind, *car, drawn)))
            .collect()
    }

    /// One car, taken through all steps.
    fn car(&self, kind: Kind, car: usize, drawn: &Drawn) -> Shown {
        let mut dice = Dice::new(drawn.seed).fork("car", car as u64);
        let own = self.causes.iter().filter(|(n, _)| kind.causes.has(*n));
        let present: Vec<&str> = own.map(|(_, id)| *id).collect();
        let draw = match kind.wanted {
            Wanted::Complaint => Car::draw,
            Wanted::Quiet => Car::draw_quiet,
            Wanted::Either => Car::draw_any,
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
            covered: self.covered(&answers),
        }
    }
}

/// What asks in a flow which place was covered, with the joint causes that show at each place.
fn places_to_cover<'f>(
    joined: &Joined,
    whole: &Flow,
    own: &'f Flow,
) -> Option<(&'f str, BTreeMap<String, Set>)> {
    let asked = own.readings.iter().find(|reading| share::covers(reading))?;
    let PromptKind::Choice(places) = &asked.kind else {
        return None;
    };
    let shown = |place: &String| (place.clone(), share::shown_at(joined, whole, place));
    Some((asked.id.as_str(), places.iter().map(shown).collect()))
}
