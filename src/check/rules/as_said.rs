//! Cars as the flow itself describes them, and where its steps lead them.
//!
//! What `healthy` says of a sound car, and `shows` of one with a cause, is taken for what is read on it:
//! numbers within their ranges, words that are all but certain. Of what is not said, anything may be read.
//! So a way that is shut here is shut to such a car, and one that is open may be.

use std::collections::{BTreeSet, VecDeque};

use super::way::known::{Bound, Known};
use crate::flow::condition::{ANOTHER_PLACE, NOWHERE};
use crate::flow::model::{Flow, PromptKind, Step};
use crate::flow::place::Place;
use crate::flow::signature::{Shown, Shows};
use crate::flow::target::Target;

/// Words that have so much of the odds between them leave nothing to the others: as much as the ends of a
/// range, its 5th and 95th percentiles, leave outside on either side.
const ALL_BUT_CERTAIN: f64 = 0.95;

/// What is known of a car of which this is said.
pub fn known(flow: &Flow, shows: &[Shows]) -> Known {
    shows
        .iter()
        .fold(Known::default(), |known, shows| match bound(flow, shows) {
            Some(bound) => known.with(&shows.id, bound),
            None => known,
        })
}

/// Words with these odds are what such a car rather shows than anything else.
const RATHER: f64 = 0.5;

/// What is most likely on a car of which this is said: of each reading the one word that it rather shows than all
/// others.
pub fn likeliest(flow: &Flow, shows: &[Shows]) -> Known {
    shows.iter().fold(known(flow, shows), |known, shows| {
        let Shown::Words(words) = &shows.what else {
            return known;
        };
        let likely = words.iter().find(|(_, odds)| *odds > RATHER);
        match likely {
            Some((word, _)) => known.with(&shows.id, shown_at(flow, &shows.id, word)),
            None => known,
        }
    })
}

/// One word of a choice, or one place.
fn shown_at(flow: &Flow, id: &str, word: &str) -> Bound {
    match flow.prompt(id).map(|prompt| &prompt.kind) {
        Some(PromptKind::Places(_)) => at_place(word),
        _ => Bound::Words(BTreeSet::from([word.to_owned()])),
    }
}

fn bound(flow: &Flow, shows: &Shows) -> Option<Bound> {
    match &shows.what {
        Shown::Range(from, to) => Some(Bound::between(from.si(), to.si())),
        Shown::EitherWay(_, to) => Some(Bound::between(-to.si(), to.si())),
        Shown::Words(words) => {
            let kind = flow.prompt(&shows.id).map(|prompt| &prompt.kind);
            if let Some(PromptKind::Places(_)) = kind {
                return place(words);
            }
            let all: f64 = words.iter().map(|(_, odds)| odds).sum();
            let words: BTreeSet<String> = words.iter().map(|(word, _)| word.clone()).collect();
            (all >= ALL_BUT_CERTAIN).then_some(Bound::Words(words))
        }
    }
}

/// Several places can show at once, so that only one which is certain by itself says something.
fn place(places: &[(String, f64)]) -> Option<Bound> {
    let (place, _) = places.iter().find(|(_, odds)| *odds >= ALL_BUT_CERTAIN)?;
    Some(at_place(place))
}

fn at_place(place: &str) -> Bound {
    match place {
        NOWHERE => Bound::Places(BTreeSet::new(), BTreeSet::new(), Some(true)),
        ANOTHER_PLACE => Bound::Places(BTreeSet::new(), BTreeSet::new(), Some(false)),
        place => Bound::Places(
            BTreeSet::from([place.to_owned()]),
            BTreeSet::new(),
            Some(false),
        ),
    }
}

/// One way out of a step that stands open to a car.
#[derive(Clone, Copy, Debug)]
pub struct Open<'f> {
    /// Where it leads.
    pub go: &'f Target,
    /// Where it is written.
    pub place: Place,
    /// By an outcome of the step, and not by a detour or a skip.
    pub by_outcome: bool,
}

/// The ways out of a step that stand open to a car of which this is known, whenever it comes there.
pub fn open<'f>(flow: &Flow, step: &'f Step, known: &Known) -> Vec<Open<'f>> {
    let mut ways = Vec::new();
    let mut left = Some(known.clone());
    let mut settled = true;
    if let Some(valid) = &step.valid_when {
        settled = known.settles(flow, valid);
        let detour = step.invalid.iter().filter(|_| !settled);
        ways.extend(detour.map(|detour| (&detour.go, detour.place, false)));
        left = known.clone().where_it(flow, valid, true);
    }
    for outcome in &step.outcomes {
        let Some(known) = left else { break };
        settled &= known.excludes(flow, &outcome.when) || known.settles(flow, &outcome.when);
        if !known.excludes(flow, &outcome.when) {
            ways.push((&outcome.go, outcome.place, true));
        }
        left = known.where_it(flow, &outcome.when, false);
    }
    let unsure = step.unsure.iter().filter(|_| !settled);
    ways.extend(unsure.map(|detour| (&detour.go, detour.place, false)));
    ways.extend(step.skip_to.iter().map(|go| (go, step.place, false)));
    let open = |(go, place, by_outcome)| Open {
        go,
        place,
        by_outcome,
    };
    ways.into_iter().map(open).collect()
}

/// The steps that a car can come to from here, in the order in which it may, each with its open ways; and
/// whether it may come to an end. A step with no outcome is an end, and a finding of its own.
pub fn walk<'f>(
    flow: &'f Flow,
    from: &str,
    known: &Known,
) -> (Vec<(&'f Step, Vec<Open<'f>>)>, bool) {
    let mut met: Vec<(&Step, Vec<Open>)> = Vec::new();
    let mut ends = false;
    let mut next: VecDeque<&Step> = flow.step(from).into_iter().collect();
    while let Some(step) = next.pop_front() {
        if met.iter().any(|(known, _)| known.id == step.id) {
            continue;
        }
        let ways = open(flow, step, known);
        ends |= step.outcomes.is_empty();
        for way in &ways {
            match way.go {
                Target::Step(id) => next.extend(flow.step(id)),
                Target::Repair(_) | Target::Flow(_) | Target::Done => ends = true,
            }
        }
        met.push((step, ways));
    }
    (met, ends)
}
