//! What was read and repaired so far, as evidence: one change of the belief after the other.
//!
//! Readings from before a repair speak of the car as it came, those after it of what is left when
//! the repair took. What could not be told, was skipped or was not valid says nothing.

use std::collections::{BTreeMap, BTreeSet};

use super::again;
use super::belief::{Belief, Contradiction};
use super::finding::{Kind, Seen, Sighting, weights};
use super::joined::{Joined, Named};
use super::kinds;
use super::likelihood::{Before, Earlier, Source};
use super::mending;
use super::parts::{self, Parts};
use super::share;
use super::valid::NotValid;
use crate::engine::event::PartWas;
use crate::flow::answer::Answer;
use crate::flow::values::Value;
use crate::flow::working::{Known, Picture, picture};
use crate::rules::suggest::value;

/// One test of the car, from the first reading to the repairs that ended it.
#[derive(Clone, Debug, Default)]
pub struct Round {
    /// Facts and answers.
    pub answers: BTreeMap<String, Answer>,
    /// The readings' ids in the order in which they were taken.
    pub order: Vec<String>,
    /// Every place that was covered, where several were one after the other; the last is among the answers.
    pub covered: BTreeSet<String>,
    /// Repairs that were made at its end.
    pub repaired: Vec<Repaired>,
    /// It was a retest, and came to the proof that the complaint is gone.
    pub proved: bool,
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

/// What kind of change it was.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ChangeKind {
    /// Something was read.
    Reading,
    /// What was read of sizes says that something is big enough for the complaint: nothing that anybody saw.
    BigEnough,
    /// How a part was when it was opened.
    Part,
    /// A repair.
    Repair,
    /// The retest's proof.
    Proof,
}

/// One change of the belief.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// What kind of change it was.
    pub kind: ChangeKind,
    /// What changed it: the id of a reading, or of the cause that was repaired.
    pub id: String,
    /// In words: "idle trim of bank 1: 18.7 %".
    pub words: String,
    /// The number of the test in which it was, from 1.
    pub test: usize,
    /// How probable it was before it came; absent for what nobody saw.
    pub chance: Option<f64>,
    /// How probable it was before anything was read; only for readings of the first test.
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
    /// What of them does not count, flow by flow.
    pub(super) invalid: Vec<NotValid>,
    /// What is known of the car in the last round, for a source of likelihoods.
    pub now: Before,
    /// Which causes of each set are big enough for the complaint.
    pub parts: Parts,
    /// Causes that were repaired in the last round, each with the probability of every set before it.
    pub repaired: Vec<(usize, Vec<f64>)>,
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
        invalid: Vec::new(),
        now: Before::default(),
        parts: parts::whole(&joined.case),
        repaired: Vec::new(),
        silent: Vec::new(),
    };
    let nothing = [Round::default()];
    let rounds = if rounds.is_empty() { &nothing } else { rounds };
    // The car came with the complaint, and has it until a repair that may have cured it.
    let mut complaint = true;
    for (n, round) in rounds.iter().enumerate() {
        let before = std::mem::take(&mut told.now);
        told.now.earlier = before.earlier;
        if n > 0 {
            told.now.earlier.push(Earlier {
                seen: before.seen,
                complains: before.complains,
                repaired: std::mem::take(&mut told.repaired),
                covered: before.covered,
            });
        }
        told.now.covered = share::covered(joined, round);
        if !complaint {
            told.now.complains = parts::complains(&joined.case, &told.parts);
        }
        read_round(joined, source, round, n + 1, &mut told)?;
        big_enough(joined, source, round, n + 1, complaint, &mut told)?;
        if round.proved {
            mending::proof(joined, n + 1, &mut told)?;
            complaint = false;
        }
        for (m, repaired) in round.repaired.iter().enumerate() {
            let last = m + 1 == round.repaired.len();
            mending::repair(joined, repaired, n + 1, last, &mut told)?;
        }
        if let Some(last) = round.repaired.last() {
            complaint = last.in_vain;
        }
    }
    Ok(told)
}

/// What is big enough for the complaint, by what was read. Simulated cars know it themselves; for words it is the
/// share of the complaint that was measured, against the one that was said: what is there and too small cannot be
/// all, as long as the car has the complaint.
fn big_enough(
    joined: &Joined,
    source: &dyn Source,
    round: &Round,
    test: usize,
    complaint: bool,
    told: &mut Told,
) -> Result<(), Contradiction> {
    let case = &joined.case;
    if let Some(mut by_cars) = source.enough(&told.now) {
        for (own, before) in by_cars.iter_mut().zip(&told.parts) {
            if own.is_empty() {
                own.clone_from(before);
            }
        }
        told.parts = by_cars;
    } else {
        let enough = share::enough(joined, told, round);
        if !enough.says() || !(complaint || enough.measured.is_some()) {
            return Ok(());
        }
        told.parts = parts::by_cause(case, &enough.causes);
        if let Some(finding) = enough.measured.filter(|_| complaint) {
            let now = parts::complains(case, &told.parts);
            let said = parts::complains(case, &parts::by_cause(case, &enough.said));
            let than_said = |(now, said): (&f64, &f64)| if *said > 0.0 { now / said } else { 1.0 };
            let likelihood: Vec<f64> = now.iter().zip(&said).map(than_said).collect();
            let named = &joined.findings[finding];
            let after = told.belief().after(&named.id, &likelihood)?;
            told.changes.push(Change {
                kind: ChangeKind::BigEnough,
                id: named.id.clone(),
                words: "something must be big enough for the complaint".to_owned(),
                test,
                chance: None,
                alone: None,
                after,
            });
        }
    }
    if complaint {
        parts::with_complaint(case, &mut told.parts);
    }
    Ok(())
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
    told.invalid = joined
        .flows
        .iter()
        .zip(&told.pictures)
        .map(|(flow, picture)| NotValid::of(flow, picture))
        .collect();
    for place in in_order(joined, round) {
        let named = &joined.findings[place];
        let picture = &told.pictures[named.flow];
        if let Some(why) = told.invalid[named.flow].of_any(&named.leaves) {
            if picture.values.get(&named.id).is_some() {
                told.silent.push((named.name.clone(), why.to_owned()));
            }
            continue;
        }
        let what = match picture
            .values
            .get(&named.id)
            .map(|value| read(named, value))
        {
            Some(Ok(what)) => with_strength(named, what, round.answers.get(&named.id)),
            Some(Err(why)) => {
                told.silent.extend(why.map(|why| (named.name.clone(), why)));
                continue;
            }
            None => continue,
        };
        let Some(likelihood) = likelihood(joined, source, round, place, &what, told) else {
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
            kind: ChangeKind::Reading,
            id: named.id.clone(),
            words: format!("{}: {shown}", named.name),
            test,
            chance: Some(chance),
            alone,
            after,
        });
        told.now.seen.push((place, what));
    }
    Ok(())
}

/// The probability of what was seen under each set, given all that was known before it.
fn likelihood(
    joined: &Joined,
    source: &dyn Source,
    round: &Round,
    place: usize,
    what: &Seen,
    told: &Told,
) -> Option<Vec<f64>> {
    let named = &joined.findings[place];
    if source.hangs_together(place) {
        let by_source = source.likelihood(place, what, &told.now)?;
        return Some(share::not_elsewhere(joined, named, round, what, by_source));
    }
    if share::is_of_place(joined, named)
        && let Some(finding) = share::at_its_place(joined, named, round)
    {
        // It speaks of the place that was measured, and of no other.
        return Some(finding.likelihood(what, &joined.case.sets));
    }
    let fresh = source.likelihood(place, what, &told.now)?;
    let seen = again::before(&told.now, place);
    Some(match seen {
        Some((was, (cause, masses))) => {
            let then = source.likelihood(place, was, &told.now)?;
            again::read_again(&joined.case, *cause, masses, (was, &then), (what, &fresh))
        }
        None => fresh,
    })
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
            let (at, unlisted) = kinds::listed(places, shown);
            Ok(Seen::Places(Sighting {
                at,
                unlisted,
                strength: Vec::new(),
            }))
        }
        (Value::Untold, _) => Err(Some("it could not be told".to_owned())),
        (Value::Refused(why), _) => Err(Some(why.clone())),
        _ => Err(None),
    }
}

/// The same with how strongly it shows at each place, where that was noted; at a place that stands for several, the
/// strongest.
fn with_strength(named: &Named, seen: Seen, answer: Option<&Answer>) -> Seen {
    match (seen, answer, &named.finding.kind) {
        (Seen::Places(mut seen), Some(Answer::Places(noted)), Kind::Places(places)) => {
            let at = |place: &usize| {
                let own = noted.get(&places[*place]).copied();
                let others = noted.iter().filter(|(name, _)| !places.contains(name));
                own.or_else(|| others.map(|(_, strength)| *strength).max())
            };
            seen.strength = seen.at.iter().filter_map(at).collect();
            Seen::Places(seen)
        }
        (seen, ..) => seen,
    }
}
