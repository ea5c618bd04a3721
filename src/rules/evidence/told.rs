//! What was read and repaired so far, as evidence: one change of the belief after the other.
//!
//! Readings from before a repair speak of the car as it came, those after it of what is left when
//! the repair took. What could not be told, was skipped or was not valid says nothing.

use std::collections::{BTreeMap, BTreeSet};

use super::belief::{Belief, Contradiction};
use super::finding::{Kind, Seen, weights};
use super::joined::{Joined, Named};
use super::likelihood::Source;
use crate::engine::event::PartWas;
use crate::flow::answer::Answer;
use crate::flow::condition::Truth;
use crate::flow::model::Flow;
use crate::flow::values::Value;
use crate::flow::working::{Known, Picture, picture};
use crate::rules::suggest::value;

/// The probability that a bad part looks bad when it is opened, and a good one good (an assumption
/// of ours).
const LOOKS_SO: f64 = 0.97;

/// One test of the car, from the first reading to the repairs that ended it.
#[derive(Clone, Debug, Default)]
pub struct Round {
    /// Facts and answers.
    pub answers: BTreeMap<String, Answer>,
    /// The readings' ids in the order in which they were taken.
    pub order: Vec<String>,
    /// Repairs that were made at its end.
    pub repaired: Vec<Repaired>,
}

/// A repair that was made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Repaired {
    /// The cause that was treated.
    pub cause: String,
    /// Whether the part was bad when it was opened.
    pub part_was: PartWas,
    /// The complaint is known to be still there.
    pub in_vain: bool,
}

/// One change of the belief.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// What changed it: the id of a reading, or of the cause that was repaired.
    pub id: String,
    /// In words: "idle trim of bank 1: 18.7 %".
    pub words: String,
    /// The number of the test in which it was, from 1.
    pub test: usize,
    /// How probable it was before it came; absent for a repair.
    pub chance: Option<f64>,
    /// How probable it was before anything was read; absent for a repair and after one.
    pub alone: Option<f64>,
    /// The belief after it.
    pub after: Belief,
}

/// Everything that was told.
#[derive(Clone, Debug)]
pub struct Told {
    /// The belief before the first reading.
    pub prior: Belief,
    /// The changes, in order.
    pub changes: Vec<Change>,
    /// What the readings of the last round come to, flow by flow.
    pub pictures: Vec<Picture>,
    /// What was seen in the last round, by the findings' places, for a source of likelihoods.
    pub seen: Vec<(usize, Seen)>,
    /// Ids that say nothing though they were read, with the reason.
    pub silent: Vec<(String, String)>,
}

impl Told {
    /// The belief now.
    pub fn belief(&self) -> &Belief {
        self.changes
            .last()
            .map_or(&self.prior, |change| &change.after)
    }
}

/// Goes through all rounds.
///
/// # Errors
/// [`Contradiction`] at a reading that no cause can have made.
pub fn tell(joined: &Joined, source: &dyn Source, rounds: &[Round]) -> Result<Told, Contradiction> {
    let mut told = Told {
        prior: Belief::prior(&joined.case),
        changes: Vec::new(),
        pictures: Vec::new(),
        seen: Vec::new(),
        silent: Vec::new(),
    };
    for (n, round) in rounds.iter().enumerate() {
        read_round(joined, source, round, n + 1, &mut told)?;
        for repaired in &round.repaired {
            repair(joined, repaired, n + 1, &mut told)?;
        }
    }
    if rounds.is_empty() {
        read_round(joined, source, &Round::default(), 1, &mut told)?;
    }
    Ok(told)
}

fn read_round(
    joined: &Joined,
    source: &dyn Source,
    round: &Round,
    test: usize,
    told: &mut Told,
) -> Result<(), Contradiction> {
    let test_number = u32::try_from(test).unwrap_or(u32::MAX);
    told.pictures = joined
        .flows
        .iter()
        .map(|flow| {
            let answers = &round.answers;
            picture(
                flow,
                Known {
                    answers,
                    test_number,
                },
            )
        })
        .collect();
    told.silent.clear();
    let invalid: Vec<BTreeSet<String>> = joined
        .flows
        .iter()
        .zip(&told.pictures)
        .map(|(flow, picture)| not_valid(flow, picture))
        .collect();
    let mut seen: Vec<(usize, Seen)> = Vec::new();
    for place in in_order(joined, round) {
        let named = &joined.findings[place];
        let picture = &told.pictures[named.flow];
        if named
            .leaves
            .iter()
            .any(|leaf| invalid[named.flow].contains(leaf))
        {
            if picture.values.get(&named.id).is_some() {
                let why = "its step was not valid".to_owned();
                told.silent.push((named.name.clone(), why));
            }
            continue;
        }
        let what = match picture
            .values
            .get(&named.id)
            .map(|value| read(named, value))
        {
            Some(Ok(what)) => what,
            Some(Err(why)) => {
                told.silent.extend(why.map(|why| (named.name.clone(), why)));
                continue;
            }
            None => continue,
        };
        let Some(likelihood) = source.likelihood(place, &what, &seen) else {
            continue;
        };
        let before = told.belief();
        let after = before.after(&named.id, &likelihood)?;
        let chance = (after.log_total() - before.log_total()).exp();
        let alone = |likelihood: &Vec<f64>| -> f64 {
            let prior = told.prior.probabilities();
            prior.iter().zip(likelihood).map(|(p, l)| p * l).sum()
        };
        let alone = (test == 1).then(|| alone(&likelihood));
        let flow = joined.flows[named.flow];
        let shown = value(flow, &named.id, picture).unwrap_or_default();
        told.changes.push(Change {
            id: named.id.clone(),
            words: format!("{}: {shown}", named.name),
            test,
            chance: Some(chance),
            alone,
            after,
        });
        seen.push((place, what));
    }
    told.seen = seen;
    Ok(())
}

/// The findings that can be known, in the order in which the last of their readings was taken.
fn in_order(joined: &Joined, round: &Round) -> Vec<usize> {
    let place = |id: &String| round.order.iter().position(|other| other == id);
    let mut known: Vec<(Option<usize>, usize)> = joined
        .findings
        .iter()
        .enumerate()
        .map(|(n, named)| (named.leaves.iter().filter_map(place).max(), n))
        .collect();
    known.sort_unstable();
    known.into_iter().map(|(_, n)| n).collect()
}

/// Readings of steps whose readings do not count.
fn not_valid(flow: &Flow, picture: &Picture) -> BTreeSet<String> {
    let mut out = BTreeSet::new();
    for step in &flow.steps {
        let Some(condition) = &step.valid_when else {
            continue;
        };
        let untold = || {
            let mut subjects = condition.subjects().into_iter();
            subjects.any(|id| matches!(picture.values.get(id), Some(Value::Untold)))
        };
        let bad = match condition.truth(&picture.values) {
            Truth::No | Truth::Straddles => true,
            Truth::Unknown => untold(),
            Truth::Yes => false,
        };
        if bad {
            out.extend(step.record.iter().cloned());
        }
    }
    out
}

/// What was seen; an error with a reason where it says nothing, without one where it was not asked.
pub(super) fn read(named: &Named, value: &Value) -> Result<Seen, Option<String>> {
    match (value, &named.finding.kind) {
        (Value::Number(e), Kind::Number(edges)) => weights(edges, e.value, e.low, e.high)
            .map(Seen::Weights)
            .ok_or_else(|| Some("nothing bounds it on one side".to_owned())),
        (Value::Word(word), Kind::Words(words)) => {
            let place = words.iter().position(|w| w == word);
            // A verdict that no cause names is the last word: anything else.
            let place = place.unwrap_or(words.len() - 1);
            let weight = |n: usize| f64::from(u8::from(n == place));
            Ok(Seen::Weights((0..words.len()).map(weight).collect()))
        }
        (Value::Places(shown), Kind::Places(places)) => {
            let listed = (0..places.len()).filter(|n| shown.contains(&places[*n]));
            let listed: Vec<usize> = listed.collect();
            let others = shown.len() - listed.len();
            Ok(Seen::Places(listed, others))
        }
        (Value::Untold, _) => Err(Some("it could not be told".to_owned())),
        (Value::Refused(why), _) => Err(Some(why.clone())),
        _ => Err(None),
    }
}

fn repair(
    joined: &Joined,
    repaired: &Repaired,
    test: usize,
    told: &mut Told,
) -> Result<(), Contradiction> {
    let case = &joined.case;
    let Some(cause) = joined.causes.iter().position(|c| c.id == repaired.cause) else {
        return Ok(());
    };
    let name = &joined.causes[cause].name;
    let (bad, good) = match repaired.part_was {
        PartWas::Bad => (LOOKS_SO, 1.0 - LOOKS_SO),
        PartWas::Good => (1.0 - LOOKS_SO, LOOKS_SO),
        PartWas::CouldNotTell => (1.0, 1.0),
    };
    let looks: Vec<f64> = case
        .sets
        .iter()
        .map(|set| if set.has(cause) { bad } else { good })
        .collect();
    let id = &repaired.cause;
    if repaired.part_was != PartWas::CouldNotTell {
        let word = if bad > good { "bad" } else { "good" };
        let before = told.belief();
        let after = before.after(id, &looks)?;
        let chance = (after.log_total() - before.log_total()).exp();
        told.changes.push(Change {
            id: id.clone(),
            words: format!("{name}: the part was {word} when opened"),
            test,
            chance: Some(chance),
            alone: None,
            after,
        });
    }
    let (after, words) = if repaired.in_vain {
        let after = told.belief().after_failed_repair(case, cause);
        (
            after,
            format!("{name}: repaired, and the complaint is still there"),
        )
    } else {
        (
            told.belief().after_repair(case, cause),
            format!("{name}: repaired"),
        )
    };
    told.changes.push(Change {
        id: id.clone(),
        words,
        test,
        chance: None,
        alone: None,
        after,
    });
    Ok(())
}
