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

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

use serde::{Deserialize, Deserializer, Serialize, Serializer};

use super::cars::Cars;
use super::case::BadCase;
use super::columns::{Columns, Group, how_many};
use super::half::{Drawn, Half, Kind, Made, Pruned};
use super::joined::{Joined, join};
use super::outcomes::{Raw, Shape};
use super::sets::Set;
use super::told::Round;
use crate::flow::answer::Answer;
use crate::flow::model::Flow;
use crate::flow::shelf::hash;

/// Cars with each cause alone, unless somebody asks for more or fewer.
pub const CARS: usize = 500;

/// Raised whenever the same question may get other cars.
const CARS_VERSION: u32 = 8;

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
    /// What they were drawn from, for more of them.
    seed: u64,
    facts: BTreeMap<String, Answer>,
    /// What was drawn besides for the last questions.
    #[serde(skip)]
    grown: Arc<Mutex<Vec<Grown>>>,
}

/// Cars with more of some sets: how many of which were wanted, and the cars.
type Grown = (Vec<(Set, usize)>, Simulated);
/// Of those so many are kept.
const GROWN: usize = 4;

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
        let count = count.max(1);
        let sizes: Vec<(Group, usize)> = groups(&joined, together)
            .into_iter()
            .map(|group| (group, how_many(group, count)))
            .collect();
        let drawn = Drawn {
            facts,
            seed,
            cars: sizes
                .iter()
                .map(|(group, cars)| (*group, 0..*cars))
                .collect(),
        };
        let pruned: Vec<Pruned> = (0..flows.len()).map(|n| Pruned::of(&joined, n)).collect();
        let halves: Vec<Half> = (0..flows.len())
            .map(|n| Half::of(&joined, n, &pruned[n]))
            .collect();
        let made: Vec<Made> = halves.iter().map(|half| half.make(&drawn)).collect();
        let shapes: Vec<Option<Shape>> = (0..joined.findings.len())
            .map(|finding| shape(&joined, finding, &halves, &made))
            .collect();
        let mut columns = Columns::new(&sizes, shapes);
        fill(&mut columns, &drawn, &sizes, &halves, &made);
        Ok(Self {
            count,
            columns: Arc::new(columns),
            causes: joined.causes.into_iter().map(|cause| cause.id).collect(),
            findings: joined.findings.into_iter().map(|named| named.id).collect(),
            seed,
            facts: facts.clone(),
            grown: Arc::default(),
        })
    }

    /// The same cars and more of those sets of which hardly any shows what was read: `wanted` names each with how many
    /// there are to be in all. Everything follows from the seed of these, so that the same question gets the same cars;
    /// those of the last questions are kept.
    #[must_use]
    pub fn with_more(&self, joined: &Joined, wanted: &[(Set, usize)]) -> Self {
        let kept = || self.grown.lock().unwrap_or_else(PoisonError::into_inner);
        let known = kept().iter().find(|(of, _)| of == wanted).cloned();
        if let Some((_, cars)) = known {
            return cars;
        }
        let more = self.drawn_besides(joined, wanted);
        let mut kept = kept();
        if kept.len() >= GROWN {
            kept.remove(0);
        }
        kept.push((wanted.to_vec(), more.clone()));
        more
    }

    fn drawn_besides(&self, joined: &Joined, wanted: &[(Set, usize)]) -> Self {
        let before = self.columns.groups();
        let more = |group: &Group, cars: usize| {
            let all = wanted
                .iter()
                .find(|(set, _)| !group.quiet && *set == group.set);
            all.map_or(cars, |(_, all)| cars.max(*all))
        };
        let sizes = before
            .iter()
            .map(|(group, cars)| (*group, more(group, *cars)));
        let sizes: Vec<(Group, usize)> = sizes.collect();
        let added = before.iter().zip(&sizes);
        let added = added.map(|((group, from), (_, to))| (*group, *from..*to));
        let drawn = Drawn {
            facts: &self.facts,
            seed: self.seed,
            cars: added.filter(|(_, cars)| !cars.is_empty()).collect(),
        };
        let flows = joined.flows.len();
        let pruned: Vec<Pruned> = (0..flows).map(|n| Pruned::of(joined, n)).collect();
        let halves: Vec<Half> = (0..flows)
            .map(|n| Half::of(joined, n, &pruned[n]))
            .collect();
        let made: Vec<Made> = halves.iter().map(|half| half.make(&drawn)).collect();
        let mut columns = self.columns.with_room(&sizes);
        fill(&mut columns, &drawn, &sizes, &halves, &made);
        Self {
            columns: Arc::new(columns),
            grown: Arc::default(),
            ..self.clone()
        }
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
        let count = 1..=cars.columns.total();
        (cars.columns.sound() && count.contains(&cars.count)).then_some(cars)
    }

    /// A source of likelihoods for a joint list of the same flows. Nothing is known of a list of others.
    pub fn source(&self, joined: &Joined) -> Cars {
        let causes = joined.causes.iter().map(|cause| &cause.id);
        let findings = joined.findings.iter().map(|named| &named.id);
        let same = causes.eq(&self.causes) && findings.eq(&self.findings);
        if same && self.columns.fit(&joined.findings) {
            Cars::of(Arc::clone(&self.columns), &joined.case)
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

    /// How many cars there are with exactly these causes, and with the complaint.
    pub fn cars_of(&self, set: Set) -> usize {
        let groups = self.columns.groups();
        let own = groups
            .iter()
            .find(|(group, _)| group.set == set && !group.quiet);
        own.map_or(0, |(_, cars)| *cars)
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

/// All groups of cars: every set with the complaint, nothing at all, and what can be left behind a repair without it.
fn groups(joined: &Joined, together: usize) -> Vec<Group> {
    let sets = joined.case.sets.iter();
    let loud = sets.clone().copied().chain([Set::EMPTY]);
    let left = sets.copied().filter(|set| set.len() < together);
    let group = |set, quiet| Group { set, quiet };
    let loud = loud.map(|set| group(set, false));
    loud.chain(left.map(|set| group(set, true))).collect()
}

fn shape(joined: &Joined, finding: usize, halves: &[Half], made: &[Made]) -> Option<Shape> {
    let named = &joined.findings[finding];
    let (half, made) = (&halves[named.flow], &made[named.flow]);
    let place = half.findings.iter().position(|(n, _)| *n == finding)?;
    let usual = |kind: &Kind| kind.is_usual() && kind.causes.len() <= 1;
    let raws: Vec<&Raw> = made
        .iter()
        .filter(|((kind, _), _)| usual(kind))
        .map(|(_, shown)| &shown.raws[place])
        .collect();
    Shape::of(joined.flows[named.flow], named, &raws)
}

/// Notes what was drawn, and counts.
fn fill(
    columns: &mut Columns,
    drawn: &Drawn,
    sizes: &[(Group, usize)],
    halves: &[Half],
    made: &[Made],
) {
    for (group, cars) in &drawn.cars {
        if let Some(n) = sizes.iter().position(|(other, _)| other == group) {
            cars.clone()
                .for_each(|car| note(columns, n, *group, car, halves, made));
        }
    }
    columns.finish();
}

fn note(columns: &mut Columns, n: usize, group: Group, car: usize, halves: &[Half], made: &[Made]) {
    let mut enough = Set::EMPTY;
    let mut covered = Set::EMPTY;
    let mut complains = false;
    for (half, made) in halves.iter().zip(made) {
        let Some(shown) = made.get(&(half.kind(group), car)) else {
            continue;
        };
        enough = shown.enough.members().fold(enough, Set::with);
        covered = shown.covered.members().fold(covered, Set::with);
        complains |= shown.complains;
        for ((finding, _), raw) in half.findings.iter().zip(&shown.raws) {
            columns.note(*finding, n, car, raw);
        }
    }
    columns.weigh(n, car, enough, complains != group.quiet);
    columns.cover(n, car, covered);
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::super::likelihood::Source;
    use super::*;
    use crate::flow::shelf::Shelf;

    fn with_cars(then: impl FnOnce(&Joined, &Simulated)) {
        let flow = Shelf::shipped().find("intake-leak").unwrap().flow.clone();
        let facts = BTreeMap::new();
        let joined = join(&[&flow], &BTreeMap::new(), 1).unwrap();
        then(&joined, &Simulated::of(&[&flow], &facts, 1, 3, 12).unwrap());
    }

    #[test]
    fn a_damaged_text_makes_no_cars() {
        with_cars(|joined, cars| {
            let whole: Value = serde_json::from_str(&cars.text()).unwrap();
            let shapes = whole["columns"]["shapes"].as_array().unwrap();
            let number = shapes.iter().position(|s| s["Number"].is_object()).unwrap();
            let bins = shapes[number]["Number"]["bins"].as_u64().unwrap();
            let last = shapes[number]["Number"]["first"].as_array().unwrap().len() - 1;
            let damaged = |path: &str, to: Value| {
                let mut text = whole.clone();
                *text.pointer_mut(path).unwrap_or_else(|| panic!("{path}")) = to;
                Simulated::of_text(&text.to_string())
            };
            let at = |rest: &str| format!("/columns/shapes/{number}/Number/{rest}");
            assert!(Simulated::of_text(&whole.to_string()).is_some());
            for (path, to) in [
                (at(&format!("first/{last}")), json!(bins)),
                (at("first/0"), json!(1)),
                (at("edges"), json!([])),
                (at("bins"), json!(1)),
                ("/count".to_owned(), json!(0)),
                ("/count".to_owned(), json!(u64::MAX)),
                ("/columns/belongs".to_owned(), json!([true])),
                ("/columns/pooled/0/0".to_owned(), json!(-1.0)),
            ] {
                assert!(damaged(&path, to.clone()).is_none(), "{path} {to}");
            }
            // Sound by itself, but with other outcomes than the flow's.
            let other = damaged(&at("bins"), json!(bins + 1)).unwrap();
            assert!(cars.source(joined).hangs_together(number));
            assert!(!other.source(joined).hangs_together(number));
        });
    }

    #[test]
    fn what_was_drawn_for_a_question_is_kept() {
        with_cars(|joined, cars| {
            let set = joined.case.sets[0];
            let more = cars.with_more(joined, &[(set, 30)]);
            let again = cars.clone().with_more(joined, &[(set, 30)]);
            assert!(Arc::ptr_eq(&more.columns, &again.columns));
            assert_eq!(more.cars_of(set), 30);
            let other = cars.with_more(joined, &[(set, 31)]);
            assert_eq!(other.cars_of(set), 31);
        });
    }
}
