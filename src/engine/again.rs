//! Judging steps again when something changes on which they stand: a reading that is corrected, a
//! reading that is taken anew after going back, a fact about the vehicle.
//!
//! Nothing is undone by it. A step whose outcome no longer follows keeps it, and says so; but nothing is built on it
//! ([`Job::no_longer_follows`]) until the step is decided anew or what was changed is put right.

use super::event::{OutcomeTaken, Suggested};
use super::job::{How, Job, Left, Rejudged, Run, Station, Visit};
use super::judge::{rests_on, suggested_at};
use super::weighed::Chosen;
use crate::flow::model::{Flow, Step};
use crate::flow::target::Target;

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

impl Job {
    /// The first step before the present station from which the flow would not have led the way that was walked, since
    /// something on which it stands was changed; nothing where there is none. What somebody chose with a reason of their
    /// own stands, and so does all before a repair that was made: the retest judges that.
    pub fn no_longer_follows(&self) -> Option<(&Run, &Visit)> {
        let current = self.current?;
        let test = self.test_number();
        (self.led_from(current)..=current).find_map(|r| {
            let run = self.runs.get(r)?;
            let end = if r == current {
                run.at
            } else {
                run.walked().len()
            };
            let mut before = run.path.iter().take(end).filter(|v| v.test == test);
            before
                .find(|visit| leads_elsewhere(run, visit))
                .map(|visit| (run, visit))
        })
    }

    /// The first of the flows that led to one another up to this one.
    fn led_from(&self, mut r: usize) -> usize {
        while let Some((before, run)) = r
            .checked_sub(1)
            .and_then(|b| self.runs.get(b))
            .zip(self.runs.get(r))
        {
            let led = before
                .visit()
                .is_some_and(|visit| visit.station == Station::LedTo(run.flow.id.clone()));
            if !led {
                break;
            }
            r -= 1;
        }
        r
    }
}

/// Whether the flow, by what stands there now, leads elsewhere than the walk went, or nowhere.
fn leads_elsewhere(run: &Run, visit: &Visit) -> bool {
    let (
        Some(again),
        Some(Left {
            how: How::Outcome(taken),
            ..
        }),
    ) = (&visit.rejudged, &visit.left)
    else {
        return false;
    };
    again.changed() && !own_choice(taken) && target(run, &taken.step, &again.now) != Some(&taken.go)
}

/// Whether somebody went another way than the flow's, and the record says why.
fn own_choice(taken: &OutcomeTaken) -> bool {
    let by_evidence = taken
        .weighed
        .as_ref()
        .is_some_and(|weighed| weighed.taken != Chosen::Flow);
    taken.reason.is_some() || by_evidence
}

/// Where what the flow suggests at a step leads, if anywhere.
fn target<'r>(run: &'r Run, step: &str, suggested: &Suggested) -> Option<&'r Target> {
    let step = run.flow.step(step)?;
    let detour = match suggested {
        Suggested::Outcome(id) => return Some(&step.outcomes.iter().find(|o| o.id == *id)?.go),
        Suggested::Unsure => step.unsure.as_ref(),
        Suggested::NotValid => step.invalid.as_ref(),
        Suggested::NoMatch => None,
    };
    detour.map(|detour| &detour.go)
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
