//! Simulated cars for every set of causes of some flows, made once and asked often.
//!
//! Of every set so many cars are drawn as come in with the complaint, and each goes through the steps of
//! its flow whole, in the order in which they are written, with openings sealed and places covered as the
//! set-ups say. What each shows at every finding is noted; [`super::cars`] weighs the cars by what is read.
//!
//! The n-th car of every set is the same vehicle with the same gauges, as far as the plant allows, so that
//! two sets differ by what is wrong and not by chance. Where causes lie in several flows, each flow has its
//! own half of the car, drawn from the same numbers; that one half feels what is wrong in the other is left out.
//!
//! Readings that physics says nothing of are left to the words: there words are exact, and cars only noisy.

use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::sync::Arc;

use rayon::prelude::*;

use super::cars::Cars;
use super::case::BadCase;
use super::columns::Columns;
use super::joined::{Joined, Named, join};
use super::outcomes::{Raw, Shape};
use super::sets::Set;
use crate::flow::answer::Answer;
use crate::flow::meaning::{Plain, What};
use crate::flow::model::{Flow, Phase};
use crate::flow::working::{Known, plain_values};
use crate::plant::car::Car;
use crate::plant::dice::Dice;
use crate::plant::drive::Drive;
use crate::plant::plan::Plan;
use crate::plant::spread::Spread;

/// Cars of each set, unless somebody asks for more or fewer.
pub const CARS: usize = 500;

/// Simulated cars for every set of causes of some flows. Cheap to clone.
#[derive(Clone, Debug)]
pub struct Simulated {
    columns: Arc<Columns>,
    /// Ids of the causes, as the sets count them.
    causes: Vec<String>,
    /// Ids of the findings.
    findings: Vec<String>,
}

impl Simulated {
    /// Draws `count` cars for every set of up to `together` causes of the flows, on vehicles with these facts; facts
    /// that are not given are drawn. Everything follows from the seed, on any number of cores.
    ///
    /// # Errors
    /// [`BadCase`] for flows without causes, or with too many.
    pub fn of(
        flows: &[&Flow],
        facts: &BTreeMap<String, Answer>,
        together: usize,
        seed: u64,
        count: usize,
    ) -> Result<Self, BadCase> {
        let joined = join(flows, &BTreeMap::new(), together)?;
        let mut sets = joined.case.sets.clone();
        // What is left when everything is repaired.
        sets.push(Set::EMPTY);
        let halves: Vec<Half> = (0..flows.len())
            .map(|flow| Half::of(&joined, flow, &sets))
            .collect();
        let drawn = Drawn {
            facts,
            seed,
            count: count.max(1),
        };
        let made: Vec<Made> = halves.iter().map(|half| half.make(&drawn)).collect();
        let shapes: Vec<Option<Shape>> = (0..joined.findings.len())
            .map(|finding| shape(&joined, finding, &halves, &made))
            .collect();
        let mut columns = Columns::new(&sets, drawn.count, shapes);
        for (n, set) in sets.iter().enumerate() {
            for car in 0..drawn.count {
                fill(&mut columns, n, *set, car, &halves, &made);
            }
        }
        columns.finish();
        Ok(Self {
            columns: Arc::new(columns),
            causes: joined.causes.into_iter().map(|cause| cause.id).collect(),
            findings: joined.findings.into_iter().map(|named| named.id).collect(),
        })
    }

    /// A source of likelihoods for a joint list of the same flows. Nothing is known of a list of others.
    pub fn source(&self, joined: &Joined) -> Cars {
        let causes = joined.causes.iter().map(|cause| &cause.id);
        let findings = joined.findings.iter().map(|named| &named.id);
        if causes.eq(&self.causes) && findings.eq(&self.findings) {
            Cars::of(Arc::clone(&self.columns), &joined.case.sets)
        } else {
            Cars::default()
        }
    }

    /// How many cars there are of each set.
    pub fn count(&self) -> usize {
        self.columns.count()
    }

    /// How many cars there are in all.
    pub fn total(&self) -> usize {
        self.columns.total()
    }

    /// Whether the cars know any reading at all.
    pub fn knows_any(&self) -> bool {
        self.columns.knows_any()
    }
}

/// What all cars have in common.
struct Drawn<'a> {
    facts: &'a BTreeMap<String, Answer>,
    seed: u64,
    count: usize,
}

/// Which causes of a flow a car has, and whether they must make the complaint by themselves.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
struct Kind {
    causes: Set,
    complains: bool,
}

/// One flow's half of the cars.
struct Half<'f> {
    plan: Plan<'f>,
    /// The flow with no other worked values than the findings need.
    worked: Flow,
    /// Its findings that the cars know, by their place in the joint list.
    findings: Vec<(usize, Named)>,
    /// The joint causes that it lists, each with its id.
    causes: Vec<(usize, &'f str)>,
    kinds: Vec<Kind>,
}

/// What one car shows, and which of its causes are big enough.
#[derive(Clone, Debug)]
struct Shown {
    raws: Vec<Raw>,
    enough: Set,
    complains: bool,
}

/// The cars of one flow by their kind.
type Made = HashMap<Kind, Vec<Shown>>;

impl<'f> Half<'f> {
    fn of(joined: &Joined<'f>, flow: usize, sets: &[Set]) -> Self {
        let own = joined.flows[flow];
        let plan = Plan::of(own);
        let causes: Vec<(usize, &str)> = joined
            .causes
            .iter()
            .enumerate()
            .filter_map(|(n, listed)| Some((n, own.cause(&listed.id)?.id.as_str())))
            .collect();
        let findings: Vec<(usize, Named)> = joined
            .findings
            .iter()
            .enumerate()
            .filter(|(_, named)| named.flow == flow && known(own, &plan, named))
            .map(|(n, named)| (n, named.clone()))
            .collect();
        let ids: BTreeSet<&str> = findings
            .iter()
            .map(|(_, named)| named.id.as_str())
            .collect();
        let mut half = Self {
            worked: plan.worked_for(&ids),
            plan,
            findings,
            causes,
            kinds: Vec::new(),
        };
        if !half.findings.is_empty() {
            let kinds: BTreeSet<Kind> = sets.iter().map(|set| half.kind(*set)).collect();
            half.kinds = kinds.into_iter().collect();
        }
        half
    }

    /// The part of a set that lies in this flow. A part need not make the complaint where the rest may.
    fn kind(&self, set: Set) -> Kind {
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

    fn make(&self, drawn: &Drawn) -> Made {
        let cars: Vec<(Kind, usize)> = self
            .kinds
            .iter()
            .flat_map(|kind| (0..drawn.count).map(|car| (*kind, car)))
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
        let mut answers = car.facts.clone();
        let mut drive = Drive::new(&self.plan, car);
        for step in &self.plan.flow.steps {
            if matches!(step.phase, Phase::Repair | Phase::Retest) {
                continue;
            }
            let taken = drive.at(step, &answers);
            answers.extend(taken);
        }
        let known = Known {
            answers: &answers,
            test_number: 1,
        };
        let values = plain_values(&self.worked, known);
        let raw = |(_, named): &(usize, Named)| Raw::of(named, values.get(&named.id));
        Shown {
            raws: self.findings.iter().map(raw).collect(),
            enough,
            complains,
        }
    }
}

/// Whether physics says anything of a finding: of one of its readings at least. The complaint itself is no
/// measurement: all cars have it until they are repaired.
fn known(flow: &Flow, plan: &Plan, named: &Named) -> bool {
    let physical = |id: &String| {
        let meaning = flow
            .reading(id)
            .and_then(|reading| plan.meaning(&reading.id));
        meaning.is_some_and(|meaning| meaning.what != What::Plain(Plain::Complaint))
    };
    let effects = flow.causes.iter().any(|cause| !cause.effects.is_empty());
    effects && named.leaves.iter().any(physical)
}

fn shape(joined: &Joined, finding: usize, halves: &[Half], made: &[Made]) -> Option<Shape> {
    let named = &joined.findings[finding];
    let (half, made) = (&halves[named.flow], &made[named.flow]);
    let place = half.findings.iter().position(|(n, _)| *n == finding)?;
    let singles = half.kinds.iter().filter(|kind| kind.causes.len() <= 1);
    let raws: Vec<&Raw> = singles
        .flat_map(|kind| &made[kind])
        .map(|shown| &shown.raws[place])
        .collect();
    Shape::of(joined.flows[named.flow], named, &raws)
}

fn fill(columns: &mut Columns, n: usize, set: Set, car: usize, halves: &[Half], made: &[Made]) {
    let mut enough = Set::EMPTY;
    let mut complains = false;
    for (half, made) in halves.iter().zip(made) {
        let Some(shown) = made.get(&half.kind(set)).map(|cars| &cars[car]) else {
            continue;
        };
        enough = shown.enough.members().fold(enough, Set::with);
        complains |= shown.complains;
        for ((finding, _), raw) in half.findings.iter().zip(&shown.raws) {
            columns.note(*finding, n, car, raw);
        }
    }
    columns.weigh(n, car, enough, complains);
}
