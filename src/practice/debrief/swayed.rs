//! Which reading should have changed the apprentice's mind, and by how much: the evidence that was there when they
//! decided.

use std::collections::BTreeMap;

use serde::Serialize;

use super::{came_to, written};
use crate::engine::shown;
use crate::flow::answer::Answer;
use crate::flow::meaning::{Plain, State, What};
use crate::flow::model::{Flow, Prompt};
use crate::practice::session::Session;
use crate::rules::advice::source;
use crate::rules::evidence::belief::Belief;
use crate::rules::evidence::inquiry::{Asked, Inquiry, inquire};
use crate::rules::evidence::joined::Joined;
use crate::rules::evidence::more::inquire_by_cars;
use crate::rules::evidence::of_job::rounds;
use crate::rules::evidence::reasons::{Moved, moves};
use crate::rules::evidence::simulated::Simulated;
use crate::rules::evidence::told::{ChangeKind, Round};
use crate::rules::evidence::why::{decibans, log_odds, words};

/// What was decided.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Turn {
    /// Something was repaired that was sound.
    RepairedForNothing,
    /// Something sound was opened and put back.
    OpenedForNothing,
    /// Something that was hidden was not found.
    Missed,
    /// Something that was hidden was found, and not repaired.
    NotRepaired,
    /// Something that was hidden was repaired.
    Found,
}

/// A decision, with the reading that bore on it most.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Swayed {
    /// What was decided.
    pub turn: Turn,
    /// The cause that it is about.
    pub cause: String,
    /// Its name.
    pub name: String,
    /// How probable the evidence made it, at that moment, to be there.
    pub present: f64,
    /// The reading, in words; empty where none was taken by then.
    pub reading: String,
    /// By how much it moved the cause, in decibans of its odds.
    pub moved: f64,
    /// How probable it was before that reading, and after it.
    pub before: f64,
    /// See [`Self::before`].
    pub after: f64,
    /// In words: "speaks against it, 8 to 1".
    pub words: String,
    /// What the evidence held to be most probable then.
    pub rather: String,
    /// What its size told, where something was repaired or opened that is too small for the complaint.
    pub size: Option<SizeTold>,
    /// Why the odds on the screen suggested that repair, where they did and it was taken.
    pub suggested: Option<String>,
    /// What those odds rested on that the car does not bear out, in words.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub made_up: Vec<String>,
}

/// What readings with a place covered told of a cause's size.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct SizeTold {
    /// The readings, in words.
    pub readings: String,
    /// How probable it was without them that this cause explains the complaint, and with them.
    pub before: f64,
    /// See [`Self::before`].
    pub after: f64,
}

impl Swayed {
    /// Whether the reading that bore on it most says next to nothing, or the other way.
    pub fn says_little(&self) -> bool {
        let least = decibans(1.25_f64.ln());
        match self.turn {
            Turn::RepairedForNothing | Turn::OpenedForNothing => self.moved > -least,
            Turn::Missed => self.moved < least,
            Turn::Found | Turn::NotRepaired => false,
        }
    }
}

/// All decisions of an exercise.
pub(super) fn swayed(session: &Session, cars: Option<&Simulated>) -> Vec<Swayed> {
    let mut all = Vec::new();
    let rounds = rounds(&session.job);
    let at = |test, cause: &str, turn| at(session, (&rounds, cars), test, cause, turn);
    let log = &session.bay.log;
    for repair in &log.repairs {
        let turn = if repair.needed {
            Turn::Found
        } else {
            Turn::RepairedForNothing
        };
        all.extend(at(repair.test, &repair.cause, turn));
    }
    for part in log.opened_for_nothing() {
        let turn = Turn::OpenedForNothing;
        all.extend(at(part.test, &part.cause, turn));
    }
    let last = session.job.test_number().max(1);
    for hidden in &session.bay.drawn().hidden {
        let found = log.repairs.iter().any(|r| r.needed && r.cause == *hidden);
        if !found {
            let turn = if came_to(session, hidden) {
                Turn::NotRepaired
            } else {
                Turn::Missed
            };
            all.extend(at(last, hidden, turn));
        }
    }
    all
}

/// What the evidence said of a cause at the end of a test, before its repair.
fn at(
    session: &Session,
    (rounds, cars): (&[Round], Option<&Simulated>),
    test: u32,
    cause: &str,
    turn: Turn,
) -> Option<Swayed> {
    let flow = session.bay.plan().flow;
    let number = test;
    let test = usize::try_from(test).ok()?;
    let mut until: Vec<Round> = rounds.get(..test)?.to_vec();
    if let Some(round) = until.last_mut() {
        round.repaired.clear();
    }
    let (odds, flows) = (BTreeMap::new(), [flow]);
    let reckoned = |rounds: &[Round]| {
        let asked = Asked {
            flows: &flows,
            rounds,
            together: 2,
            not_available: &[],
            odds: &odds,
        };
        match cars {
            Some(cars) => {
                let source = |joined: &Joined, cars: &Simulated| source(joined, Some(cars), &[]);
                Some(inquire_by_cars(&asked, cars, source).ok()?.0)
            }
            None => inquire(&asked).ok(),
        }
    };
    let inquiry = reckoned(&until)?;
    let place = of(&inquiry, cause)?;
    let moved = moves(&inquiry);
    let most = most(&moved, place, turn);
    let by = most.map_or(0.0, |n| moved[n].by[place]);
    let (before, after) = most.map_or((0.0, 0.0), |n| around(&inquiry, n, place));
    let needless = matches!(turn, Turn::RepairedForNothing | Turn::OpenedForNothing);
    let size = if needless {
        size_told(flow, &until, &inquiry, place, &reckoned)
    } else {
        None
    };
    let best = (0..inquiry.present.len())
        .max_by(|a, b| inquiry.present[*a].total_cmp(&inquiry.present[*b]))?;
    let name = |n: usize| {
        let id = inquiry.joined.case.suspects[n].id.as_str();
        flow.cause(id)
            .map_or_else(|| id.to_owned(), |cause| cause.name.clone())
    };
    let log = &session.bay.log;
    let advice = log.advice(cause, number);
    let made_up = advice
        .into_iter()
        .flat_map(|advised| log.rested_on(advised));
    Some(Swayed {
        turn,
        cause: cause.to_owned(),
        name: name(place),
        present: inquiry.present[place],
        reading: most.map_or_else(String::new, |n| moved[n].words.clone()),
        moved: decibans(by),
        before,
        after,
        words: words(by),
        rather: if best == place {
            String::new()
        } else {
            name(best)
        },
        size,
        suggested: advice.map(|advised| advised.because.clone()),
        made_up: made_up.map(|w| written::said(flow, w)).collect(),
    })
}

/// The reading that bore on a cause most: against what was repaired for nothing, for what was there. What nobody read
/// cannot have been overlooked.
fn most(moved: &[Moved], place: usize, turn: Turn) -> Option<usize> {
    let sign = match turn {
        Turn::RepairedForNothing | Turn::OpenedForNothing => -1.0,
        Turn::Missed | Turn::NotRepaired | Turn::Found => 1.0,
    };
    let bore = |n: &usize| sign * moved[*n].by[place];
    (0..moved.len())
        .filter(|n| moved[*n].kind == ChangeKind::Reading)
        .max_by(|a, b| bore(a).total_cmp(&bore(b)))
}

/// What the readings with a place covered told against a cause as what explains the complaint: not whether it is there,
/// but whether it is big enough, which moves no odds of its being there. Nothing where they told next to nothing.
fn size_told<'f>(
    flow: &Flow,
    rounds: &[Round],
    with: &Inquiry,
    place: usize,
    reckoned: &dyn Fn(&[Round]) -> Option<Inquiry<'f>>,
) -> Option<SizeTold> {
    let last = rounds.last()?;
    let covered = |id: &&String| {
        let meaning = flow.reading(id).and_then(Prompt::meaning);
        meaning.is_some_and(|m| {
            m.state == State::PlaceCovered && m.what != What::Plain(Plain::CoveredPlace)
        })
    };
    let told = |id: &&String| matches!(last.answers.get(*id), Some(Answer::Quantity(_)));
    let taken: Vec<&String> = last.order.iter().filter(covered).filter(told).collect();
    if taken.is_empty() {
        return None;
    }
    let mut without = rounds.to_vec();
    if let Some(round) = without.last_mut() {
        round.answers.retain(|id, _| !taken.contains(&id));
        round.order.retain(|id| !taken.contains(&id));
    }
    let before = reckoned(&without)?.explains.get(place).copied()?;
    let after = with.explains.get(place).copied()?;
    let least = 1.25_f64.ln();
    (log_odds(before) - log_odds(after) > least).then(|| {
        let words = taken.iter().filter_map(|id| {
            let ask = flow.reading(id)?.ask.trim_end_matches([':', '?', '.']);
            Some(format!("{ask}: {}", shown::answer(last.answers.get(*id)?)))
        });
        SizeTold {
            readings: words.collect::<Vec<_>>().join("; "),
            before,
            after,
        }
    })
}

/// How probable a cause was before a change and after it.
fn around(inquiry: &Inquiry, change: usize, place: usize) -> (f64, f64) {
    let told = &inquiry.told;
    let at = |belief: &Belief| belief.marginals(&inquiry.joined.case)[place];
    let before = match change.checked_sub(1) {
        Some(last) => at(&told.changes[last].after),
        None => at(&told.prior),
    };
    (before, at(&told.changes[change].after))
}

fn of(inquiry: &Inquiry, cause: &str) -> Option<usize> {
    let mut suspects = inquiry.joined.case.suspects.iter();
    suspects.position(|suspect| suspect.id == cause)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_reading_should_have_changed_a_mind() {
        let moved = |kind, by: f64| Moved {
            kind,
            id: String::new(),
            words: String::new(),
            by: vec![by],
        };
        let all = [
            moved(ChangeKind::Reading, 0.4),
            moved(ChangeKind::BigEnough, 3.0),
            moved(ChangeKind::Reading, -0.7),
            moved(ChangeKind::BigEnough, -3.0),
            moved(ChangeKind::Part, 4.0),
            moved(ChangeKind::Repair, -4.0),
        ];
        assert_eq!(most(&all, 0, Turn::Missed), Some(0));
        assert_eq!(most(&all, 0, Turn::RepairedForNothing), Some(2));
        assert_eq!(most(&all[1..2], 0, Turn::Missed), None);
    }
}
