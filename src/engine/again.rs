//! Judging steps again when something changes on which they stand: a reading that is corrected, a
//! reading that is taken anew after going back, a fact about the vehicle.
//!
//! Nothing is undone by it. A step whose outcome no longer follows keeps it, and says so.

use super::job::{How, Job, Left, Rejudged, Run, Station, Visit};
use super::judge::{rests_on, suggested_at};
use crate::flow::model::{Flow, Step};

/// What made it necessary to judge a step again.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Because {
    /// A reading was corrected.
    Correction,
    /// A reading was taken anew, after going back.
    NewReading,
    /// A fact about the vehicle is another.
    Fact,
}

/// What has changed.
pub(super) struct Change<'c> {
    /// The event.
    pub(super) by: u64,
    /// What kind of change it is.
    pub(super) because: Because,
    /// The reading or fact.
    pub(super) id: &'c str,
    /// The visit from which on it counts (the event that opened it); absent: everywhere.
    pub(super) from: Option<u64>,
}

/// Judges again every step on the way that was left with an outcome, that stands on what changed,
/// and at which it counts.
pub(super) fn judge_again(job: &mut Job, change: &Change) {
    let mut counts = change.from.is_none();
    let mut judged = Vec::new();
    for (r, run) in job.runs.iter().enumerate() {
        for (v, visit) in run.path.iter().enumerate() {
            counts |= change.from == Some(visit.since_seq);
            if counts && let Some(again) = again(job, run, visit, change) {
                judged.push((r, v, again));
            }
        }
    }
    for (r, v, again) in judged {
        if let Some(visit) = job.runs.get_mut(r).and_then(|run| run.path.get_mut(v)) {
            visit.rejudged = Some(again);
        }
    }
}

fn again(job: &Job, run: &Run, visit: &Visit, change: &Change) -> Option<Rejudged> {
    let Some(Left {
        how: How::Outcome(outcome),
        ..
    }) = &visit.left
    else {
        return None;
    };
    let Station::Step(id) = &visit.station else {
        return None;
    };
    if !stands_on(&run.flow, run.flow.step(id)?, change.id) {
        return None;
    }
    Some(Rejudged {
        by: change.by,
        because: change.because,
        was: outcome.suggested.clone(),
        now: suggested_at(job, run, visit)?,
    })
}

/// Whether a step's judgement stands on a reading or fact: directly, through worked values, or
/// because that decides which of its readings are asked at all.
pub(super) fn stands_on(flow: &Flow, step: &Step, id: &str) -> bool {
    let valid = step.valid_when.iter().flat_map(|c| c.subjects());
    let judged = step
        .outcomes
        .iter()
        .flat_map(|o| o.when.subjects())
        .chain(valid)
        .chain(step.show.iter().map(String::as_str));
    let asked = step
        .record
        .iter()
        .filter_map(|id| flow.reading(id)?.only_if.as_ref())
        .flat_map(|condition| condition.subjects());
    let by_asking = flow
        .readings
        .iter()
        .chain(&flow.facts)
        .filter(|prompt| {
            let asked = prompt.only_if.iter().flat_map(|c| c.subjects());
            asked.into_iter().any(|subject| rests_on(flow, subject, id))
        })
        .map(|prompt| prompt.id.as_str());
    let changed: Vec<&str> = std::iter::once(id).chain(by_asking).collect();
    judged
        .chain(asked)
        .any(|subject| changed.iter().any(|id| rests_on(flow, subject, id)))
}
