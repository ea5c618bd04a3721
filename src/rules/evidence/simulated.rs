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
use serde::{Deserialize, Deserializer, Serialize, Serializer};

use super::cars::Cars;
use super::case::BadCase;
use super::columns::Columns;
use super::finding::Kind as Outcomes;
use super::joined::{Joined, Named, join, leaves};
use super::outcomes::{Raw, Shape};
use super::sets::Set;
use super::told::Round;
use crate::flow::answer::Answer;
use crate::flow::meaning::{Plain, What};
use crate::flow::model::{Flow, Phase, Prompt, PromptKind, Step};
use crate::flow::shelf::hash;
use crate::flow::signature::Shows;
use crate::flow::working::{Known, plain_values};
use crate::plant::car::Car;
use crate::plant::dice::Dice;
use crate::plant::drive::Drive;
use crate::plant::plan::{Plan, without_other_values};
use crate::plant::spread::Spread;

/// Cars with each cause alone, unless somebody asks for more or fewer.
pub const CARS: usize = 500;

/// Raised whenever the same question may get other cars.
const CARS_VERSION: u32 = 1;

/// Simulated cars for every set of causes of some flows. Cheap to clone.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Simulated {
    #[serde(serialize_with = "inside", deserialize_with = "shared")]
    columns: Arc<Columns>,
    count: usize,
    /// Ids of the causes, as the sets count them.
    causes: Vec<String>,
    /// Ids of the findings.
    findings: Vec<String>,
}

impl Simulated {
    /// Draws `count` cars with each cause alone, half as many for two and an eighth for three, up to `together` causes
    /// of the flows, on vehicles with these facts; facts that are not given are drawn. Everything follows from the seed, on any number of cores.
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
        let drawn = Drawn {
            facts,
            seed,
            count: count.max(1),
        };
        let pruned: Vec<Pruned> = (0..flows.len()).map(|n| Pruned::of(&joined, n)).collect();
        let halves: Vec<Half> = (0..flows.len())
            .map(|n| Half::of(&joined, n, &pruned[n], &sets))
            .collect();
        let made: Vec<Made> = halves.iter().map(|half| half.make(&drawn)).collect();
        let shapes: Vec<Option<Shape>> = (0..joined.findings.len())
            .map(|finding| shape(&joined, finding, &halves, &made))
            .collect();
        let sized: Vec<(Set, usize)> = sets.iter().map(|set| (*set, drawn.of(*set))).collect();
        let mut columns = Columns::new(&sized, shapes);
        for (n, (set, count)) in sized.into_iter().enumerate() {
            for car in 0..count {
                fill(&mut columns, n, set, car, &halves, &made);
            }
        }
        columns.finish();
        Ok(Self {
            count: drawn.count,
            columns: Arc::new(columns),
            causes: joined.causes.into_iter().map(|cause| cause.id).collect(),
            findings: joined.findings.into_iter().map(|named| named.id).collect(),
        })
    }

    /// What the cars rest on, in one word: flows with all that they say, facts, seed, numbers and the program.
    pub fn key(
        flows: &[&Flow],
        facts: &BTreeMap<String, Answer>,
        together: usize,
        seed: u64,
        count: usize,
    ) -> String {
        let program = env!("CARGO_PKG_VERSION");
        // A worked value shows its name alone; here what it is worked from counts.
        let works = flows.iter().flat_map(|flow| &flow.worked);
        let works: Vec<_> = works.map(|work| (work.take, &work.inputs)).collect();
        hash(&format!(
            "{program} {CARS_VERSION} {together} {seed} {count} {facts:?} {flows:?} {works:?}"
        ))
    }

    /// The cars as a text to keep; [`Self::of_text`] takes it in again.
    pub fn text(&self) -> String {
        // Nothing in it can fail to be written.
        serde_json::to_string(self).unwrap_or_default()
    }

    /// Cars from a text that was kept; nothing where it is broken.
    pub fn of_text(text: &str) -> Option<Self> {
        let cars: Self = serde_json::from_str(text).ok()?;
        cars.columns.sound().then_some(cars)
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

    /// The findings that the cars know, by their ids.
    pub fn knows(&self) -> Vec<&str> {
        let findings = self.findings.iter().enumerate();
        findings
            .filter(|(n, _)| self.columns.shape(*n).is_some())
            .map(|(_, id)| id.as_str())
            .collect()
    }

    /// How many cars there are with each cause alone.
    pub fn count(&self) -> usize {
        self.count
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

fn inside<S: Serializer>(columns: &Arc<Columns>, to: S) -> Result<S::Ok, S::Error> {
    columns.as_ref().serialize(to)
}

fn shared<'d, D: Deserializer<'d>>(from: D) -> Result<Arc<Columns>, D::Error> {
    Columns::deserialize(from).map(Arc::new)
}

/// The facts about the vehicle that the last round knows.
pub fn facts(flows: &[&Flow], rounds: &[Round]) -> BTreeMap<String, Answer> {
    let answers = rounds.last().into_iter().flat_map(|round| &round.answers);
    answers
        .filter(|(id, _)| flows.iter().any(|flow| flow.fact(id).is_some()))
        .map(|(id, answer)| (id.clone(), answer.clone()))
        .collect()
}

/// What all cars have in common.
struct Drawn<'a> {
    facts: &'a BTreeMap<String, Answer>,
    seed: u64,
    count: usize,
}

impl Drawn<'_> {
    /// Cars of a set: sets of several causes are seldom, and there are many of them.
    fn of(&self, set: Set) -> usize {
        match set.len() {
            0 | 1 => self.count,
            2 => self.count.div_ceil(2),
            _ => self.count.div_ceil(8),
        }
    }
}

/// Which causes of a flow a car has, and whether they must make the complaint by themselves.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
struct Kind {
    causes: Set,
    complains: bool,
}

/// A flow with nothing but what the findings need that cars know.
struct Pruned {
    flow: Flow,
    /// The findings, by their place in the joint list.
    findings: Vec<usize>,
}

impl Pruned {
    fn of(joined: &Joined, n: usize) -> Self {
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
struct Half<'f> {
    plan: Plan<'f>,
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
    fn of(joined: &Joined, n: usize, pruned: &'f Pruned, sets: &[Set]) -> Self {
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
            .flat_map(|kind| (0..self.most(*kind, drawn)).map(|car| (*kind, car)))
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

    /// Cars of a kind: as many as the set with most of them asks for. Where other flows have a part in the sets, no
    /// set asks for more than this part alone would.
    fn most(&self, kind: Kind, drawn: &Drawn) -> usize {
        drawn.of(kind.causes)
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
