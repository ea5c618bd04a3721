//! Causes that were found where something showed and were not repaired: too small to matter, judged not to be what
//! the complaint comes from, or not judged at all.

use super::case::Case;
use super::page::Item;
use super::result::Standing;
use super::safety;
use super::text::{named, sentence, stopped};
use crate::engine::event::{PartWas, Suggested, Verdict};
use crate::engine::found::Found;
use crate::engine::job::{How, Job, Repair, Run, Station, Visit};
use crate::engine::shown;
use crate::flow::answer::Answer;
use crate::flow::choice::unit_of;
use crate::flow::model::{Cause, Phase};
use crate::flow::values::Value;
use crate::rules::evidence::suspected;

/// One item a cause. After a proven repair they are of no interest any more: what still shows is named by its place.
pub fn items(case: &Case) -> Vec<Item> {
    if proved(case) {
        return Vec::new();
    }
    let waiting = waiting(case.job);
    let of_waiting = waiting.iter().map(|cause| Item {
        head: format!(
            "{}, and the repair is not agreed on yet",
            Named::of(case.job, cause).words()
        ),
        text: format!("{}.", named(&cause.id, &cause.name)),
        more: Vec::new(),
    });
    let found = case.job.found();
    let others = found
        .iter()
        .filter(|found| waiting.iter().all(|cause| cause.id != found.cause.id));
    of_waiting
        .chain(others.map(|found| item(case, found)))
        .collect()
}

/// The cause that the walk has come to the repair of, and about which nobody was asked yet: in the last flow, unless it was
/// repaired since all the same.
pub fn waiting(job: &Job) -> Vec<&Cause> {
    let cause = job.runs.last().and_then(|run| {
        let ends = matches!(run.verdict, None | Some(Verdict::Left));
        let visit = run.visit().filter(|_| ends)?;
        let Station::Repair(id) = &visit.station else {
            return None;
        };
        let asked = job.repairs.iter().any(|repair| {
            repair.cause == *id && repair.flow == run.flow.id && repair.visit >= visit.since_seq
        });
        run.flow.cause(id).filter(|_| !asked)
    });
    cause.into_iter().collect()
}

/// How a cause came to be named to which the walk has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Named {
    /// By what the test showed.
    Found,
    /// By odds alone.
    Suspected,
    /// By the technician, though the flow did not take it: where it was looked for, nothing showed.
    Unseen,
}

impl Named {
    /// How a cause that [`waiting`] names came to it.
    pub fn of(job: &Job, cause: &Cause) -> Self {
        let blamed = |run: &Run| {
            let path = run.path.iter().take(run.at);
            let mut judged = path.filter(|visit| visit.test == job.test_number());
            judged.any(|visit| is_against_its_readings(run, visit))
        };
        if suspected::by_odds(job, cause).is_some() {
            Self::Suspected
        } else if job.runs.last().is_some_and(blamed) {
            Self::Unseen
        } else {
            Self::Found
        }
    }

    /// How the cause of a repair came to be named. A bad part that was taken out says more than all that led to it; one that
    /// looked good, or of which nobody could tell, shows nothing that was not seen before.
    pub fn of_repair(job: &Job, repair: &Repair) -> Self {
        let is_here = |visit: &Visit| visit.since_seq == repair.visit;
        let mut runs = job.runs.iter();
        let Some(run) = runs.find(|run| run.path.iter().any(is_here)) else {
            return Self::Found;
        };
        let Some(cause) = run.flow.cause(&repair.cause) else {
            return Self::Found;
        };
        let before = || run.path.iter().take_while(|visit| !is_here(visit));
        let mut judged = before().filter(|visit| visit.test == repair.test);
        let was_bad = matches!(repair.done, Some((_, PartWas::Bad)));
        if was_bad || showed(job, run, repair, cause) {
            Self::Found
        } else if before()
            .last()
            .is_some_and(|visit| suspected::leads_to(visit.left.as_ref(), cause).is_some())
        {
            Self::Suspected
        } else if judged.any(|visit| is_against_its_readings(run, visit)) {
            Self::Unseen
        } else {
            Self::Found
        }
    }

    /// As the head of a line.
    pub fn words(self) -> &'static str {
        match self {
            Self::Found => "Found",
            Self::Suspected => "Suspected, not seen",
            Self::Unseen => "Named by the technician, not seen",
        }
    }
}

/// Whether something showed at a place of a cause in the test before its repair.
fn showed(job: &Job, run: &Run, repair: &Repair, cause: &Cause) -> bool {
    let own = run.walked().iter().filter(|v| v.test == repair.test);
    own.flat_map(|visit| job.taken_in(visit.since_seq))
        .any(|taken| match &taken.value {
            Answer::Places(places) => places
                .keys()
                .any(|place| safety::speaks_for(cause, &taken.reading, place)),
            _ => false,
        })
}

/// Whether a judgement was made though its readings did not count.
fn is_against_its_readings(run: &Run, visit: &Visit) -> bool {
    let Some(How::Outcome(taken)) = visit.left.as_ref().map(|left| &left.how) else {
        return false;
    };
    let step = run.flow.step(&taken.step);
    step.is_some_and(|step| step.phase == Phase::Judge)
        && taken.outcome.is_some()
        && taken.suggested == Suggested::NotValid
}

/// Whether the page names what showed at a place by its cause.
pub fn names(case: &Case, place: &str) -> bool {
    let at = |found: &Found| found.places.iter().any(|(known, _)| *known == place);
    !proved(case) && case.job.found().iter().any(at)
}

fn proved(case: &Case) -> bool {
    let last = case.job.runs.last();
    let gone = last.is_none_or(|run| run.verdict == Some(Verdict::Proved));
    gone && (case.job.repairs.is_empty() || Standing::of(case.job).passed())
}

fn item(case: &Case, found: &Found) -> Item {
    let places = found
        .places
        .iter()
        .map(|(place, strength)| format!("{place} ({})", shown::strength(*strength)));
    let places = places.collect::<Vec<_>>().join(", ");
    let cause = named(&found.cause.id, &found.cause.name);
    let (head, why) = match (found.judged, share(case, found)) {
        (Some(_), Some(share)) => (
            "Found, too small to explain the complaint",
            format!("It accounts for {share} of it, and was not repaired."),
        ),
        (Some((_, outcome)), None) => (
            "Found, judged not to be what the complaint comes from",
            stopped(&sentence(&outcome.because)),
        ),
        (None, _) if found.run.verdict.is_none() => (
            "Found, not judged yet",
            "Whether it is enough to explain the complaint is not decided.".to_owned(),
        ),
        (None, _) => (
            "Found, not repaired",
            "Whether it is enough to explain the complaint was not decided.".to_owned(),
        ),
    };
    Item {
        head: head.to_owned(),
        text: format!("{cause}: {places}. {why}"),
        more: Vec::new(),
    }
}

/// The share of the complaint by which it was judged, where all of its range is less than the whole.
fn share(case: &Case, found: &Found) -> Option<String> {
    let (visit, outcome) = found.judged?;
    let picture = case.picture(found.run, visit);
    let flow = &found.run.flow;
    let subjects = outcome.when.subjects();
    let id = subjects.into_iter().find(|id| flow.is_share(id))?;
    match picture.values.get(id)? {
        Value::Number(share) if share.high < 1.0 => Some(shown::estimate(share, unit_of(flow, id))),
        _ => None,
    }
}
