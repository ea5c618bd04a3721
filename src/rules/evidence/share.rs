//! How much of the complaint a cause makes, by what the flow says and measures of it (`share`), where no simulated
//! cars know better.

use std::collections::BTreeSet;

use super::finding::{Finding, NOWHERE, Row, Seen, normal};
use super::joined::{Joined, Listed, Named, limits};
use super::sets::Set;
use super::told::{Round, Told};
use crate::engine::covered::is_under_cover;
use crate::flow::answer::Answer;
use crate::flow::load::causes::NOT_LISTED;
use crate::flow::meaning::{Plain, What};
use crate::flow::model::{Flow, Prompt, PromptKind};
use crate::flow::signature::Shown;
use crate::flow::values::Value;

/// The share of the complaint from which a leak explains it, where the flow sets no limit.
const ENOUGH: f64 = 0.7;

/// How probably each cause is big enough for the complaint.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Enough {
    /// By cause; nothing where the flow works out no share.
    pub(super) causes: Vec<Option<f64>>,
    /// The same as it was said before anything was measured.
    pub(super) said: Vec<Option<f64>>,
    /// The value that was measured in this test and says so of some cause: its place among the findings.
    pub(super) measured: Option<usize>,
}

impl Enough {
    /// Whether it says anything.
    pub(super) fn says(&self) -> bool {
        self.causes.iter().any(Option::is_some)
    }
}

/// For each cause, how far it goes towards the complaint: 0 below the flow's lower limit of the
/// `share` of the complaint that it works out, 1 above the upper one, in between in proportion.
///
/// Before anything is measured, by what the cause is said to show there. The share that was measured
/// speaks of the place that was measured ([`there`]).
pub(super) fn enough(joined: &Joined, told: &Told, round: &Round) -> Enough {
    let mut enough = Enough {
        causes: vec![None; joined.causes.len()],
        said: vec![None; joined.causes.len()],
        measured: None,
    };
    for (finding, named) in joined.findings.iter().enumerate() {
        let (flow, picture) = (joined.flows[named.flow], &told.pictures[named.flow]);
        if !is_share(joined, named) {
            continue;
        }
        let there = there(joined, flow, round);
        let limits = limits(flow, &named.id);
        let from = limits.first().copied().unwrap_or(ENOUGH);
        let to = limits.last().copied().unwrap_or(ENOUGH);
        let counts = told.invalid[named.flow].of_any(&named.leaves).is_none();
        let measured = match picture.values.get(&named.id).filter(|_| counts) {
            Some(Value::Number(e)) => {
                Some(ramp(e.value, (e.high - e.low) / (2.0 * 1.96), from, to))
            }
            _ => None,
        };
        for (cause, there) in there.into_iter().enumerate() {
            let said = match &named.finding.causes[cause] {
                Some(Row::Normal(middle, deviation)) => Some(ramp(*middle, *deviation, from, to)),
                _ => None,
            };
            let at_the_place = measured.filter(|_| there);
            if let Some(p) = said.filter(|p| p.is_finite()) {
                enough.said[cause] = Some(p);
            }
            if let Some(p) = at_the_place.or(said).filter(|p| p.is_finite()) {
                enough.causes[cause] = Some(p);
                if at_the_place.is_some() {
                    enough.measured = Some(finding);
                }
            }
        }
    }
    enough
}

/// The mean, over a normal distribution, of what rises from 0 at `from` to 1 at `to`.
fn ramp(middle: f64, deviation: f64, from: f64, to: f64) -> f64 {
    const PARTS: usize = 32;
    let above = |x: f64| {
        if deviation > 0.0 {
            normal((middle - x) / deviation)
        } else {
            f64::from(u8::from(middle >= x))
        }
    };
    // The mean is the mean of the probability of lying above, over the rise.
    let at = |part: usize| from + (to - from) * (part as f64 + 0.5) / PARTS as f64;
    (0..PARTS).map(|part| above(at(part))).sum::<f64>() / PARTS as f64
}

/// Whether a finding is a share of the complaint.
pub(super) fn is_share(joined: &Joined, named: &Named) -> bool {
    let work = joined.flows[named.flow].work(&named.id);
    work.is_some_and(|work| work.calculation.name == "share")
}

/// Whether a finding speaks of the place that was covered for it: a share of the complaint, or what rests on a reading with
/// a place covered.
pub(super) fn is_of_place(joined: &Joined, named: &Named) -> bool {
    let flow = joined.flows[named.flow];
    is_share(joined, named) || is_under_cover(flow, &named.id)
}

/// What simulated cars say of a finding with a place covered, held to the place that was named: a set with nothing at that
/// place shows what a sound car shows with it covered, whatever its own leak would show with its own place covered.
pub(super) fn not_elsewhere(
    joined: &Joined,
    named: &Named,
    round: &Round,
    what: &Seen,
    mut by_source: Vec<f64>,
) -> Vec<f64> {
    let flow = joined.flows[named.flow];
    let places = covered_places(flow, round);
    if places.is_empty() || !is_of_place(joined, named) {
        return by_source;
    }
    let there = at(joined, flow, &places);
    let Some(finding) = at_its_place(joined, named, round).filter(|_| there.contains(&true)) else {
        return by_source;
    };
    let sound = finding.likelihood(what, &joined.case.sets);
    for ((p, sound), set) in by_source.iter_mut().zip(sound).zip(&joined.case.sets) {
        // What nobody listed can sit anywhere.
        let any = set
            .members()
            .any(|cause| there[cause] || joined.causes[cause].id == NOT_LISTED);
        if !any {
            *p = p.min(sound);
        }
    }
    by_source
}

/// The causes that show at the one place that was covered, where nothing that was seen was stronger: then it is the
/// place that simulated cars cover too. Empty where no place was covered, several were, or it was not the strongest.
pub(super) fn covered(joined: &Joined, round: &Round) -> Set {
    let of_flow = |flow: &&Flow| {
        let places = covered_places(flow, round);
        let place = places.first().filter(|_| places.len() == 1)?;
        strongest(round, place).then(|| shown_at(joined, flow, place))
    };
    let causes = joined.flows.iter().find_map(of_flow);
    causes.unwrap_or(Set::EMPTY)
}

/// Whether something shows at a place and nothing that was noted elsewhere shows more.
fn strongest(round: &Round, place: &str) -> bool {
    let seen = round.answers.values().filter_map(|answer| match answer {
        Answer::Places(seen) => Some(seen),
        _ => None,
    });
    let own = seen.clone().filter_map(|seen| seen.get(place)).max();
    own.is_some_and(|own| {
        seen.flat_map(|seen| seen.values())
            .all(|other| other <= own)
    })
}

/// The joint causes that show at a place of a flow, as [`covered`] has it.
pub(super) fn shown_at(joined: &Joined, flow: &Flow, place: &str) -> Set {
    let there = at(joined, flow, &BTreeSet::from([place]));
    let there = there.iter().enumerate().filter(|(_, there)| **there);
    Set::of(&there.map(|(cause, _)| cause).collect::<Vec<_>>())
}

/// What a share that was measured with a place covered says: of every cause that shows at that place, and of no other.
/// Nothing where the flow covers no place.
pub(super) fn at_its_place(joined: &Joined, named: &Named, round: &Round) -> Option<Finding> {
    let flow = joined.flows[named.flow];
    flow.readings.iter().find(|reading| covers(reading))?;
    let there = there(joined, flow, round);
    let mut finding = named.finding.clone();
    for (row, there) in finding.causes.iter_mut().zip(there) {
        if !there {
            *row = None;
        }
    }
    Some(finding)
}

pub(super) fn covers(reading: &Prompt) -> bool {
    let what = reading.meaning().map(|meaning| meaning.what);
    what == Some(What::Plain(Plain::CoveredPlace))
}

/// For each cause whether it shows, more often than not, at the place that was covered; where none was, at one at
/// which something was seen.
fn there(joined: &Joined, flow: &Flow, round: &Round) -> Vec<bool> {
    let mut places = covered_places(flow, round);
    if places.is_empty() {
        for answer in round.answers.values() {
            if let Answer::Places(seen) = answer {
                places.extend(seen.keys().map(String::as_str));
            }
        }
    }
    at(joined, flow, &places)
}

/// The places that were covered, by all that was said.
fn covered_places<'r>(flow: &Flow, round: &'r Round) -> BTreeSet<&'r str> {
    let mut covered = flow.readings.iter().filter(|reading| covers(reading));
    let last = covered.find_map(|reading| match round.answers.get(&reading.id)? {
        Answer::Choice(place) => Some(place.as_str()),
        _ => None,
    });
    let before = round.covered.iter().map(String::as_str);
    last.map_or_else(BTreeSet::new, |last| before.chain([last]).collect())
}

/// For each cause whether it shows, more often than not, at one of these places.
fn at(joined: &Joined, flow: &Flow, places: &BTreeSet<&str>) -> Vec<bool> {
    let shows = |listed: &Listed| {
        let cause = listed.id.as_str();
        let shows = flow.cause(cause).into_iter().flat_map(|cause| &cause.shows);
        let of_places = |id: &str| {
            let kind = flow.reading(id).map(|reading| &reading.kind);
            matches!(kind, Some(PromptKind::Places(_)))
        };
        shows.filter(|s| of_places(&s.id)).any(|s| match &s.what {
            Shown::Words(said) => said
                .iter()
                .any(|(word, p)| *p >= 0.5 && word != NOWHERE && places.contains(word.as_str())),
            Shown::Range(..) | Shown::EitherWay(..) => false,
        })
    };
    joined.causes.iter().map(shows).collect()
}
