//! Playing a record through the engine, to see whether it still comes to what was written down.
//!
//! [`outcome`] compares how a step was ended, [`rules`] what the engine demands of every other event.

mod outcome;
mod rules;

use super::event::{Event, What};
use super::fold::apply;
use super::job::Job;

/// What came of playing one event.
#[derive(Clone, Debug)]
pub struct Played<'e> {
    /// The event.
    pub event: &'e Event,
    /// Where the record disagrees with what the engine computes.
    pub disagreements: Vec<String>,
}

/// Plays a record, event by event. Returns the job it ends in and what was found on the way.
pub fn replay(events: &[Event]) -> (Job, Vec<Played<'_>>) {
    let mut job = Job::default();
    let mut played = Vec::new();
    for (n, event) in events.iter().enumerate() {
        let next = events.get(n + 1).map(|event| &event.what);
        let mut disagreements = rules::stopped(&job, &event.what);
        disagreements.extend(match &event.what {
            What::OutcomeTaken(taken) => outcome::compare(&job, taken, next),
            what => rules::compare(&job, what, next),
        });
        let misfits = job.misfits.len();
        apply(&mut job, event);
        disagreements.extend(job.misfits.iter().skip(misfits).map(|m| m.why.clone()));
        if let What::FlowBegun { flow, revision, .. } = &event.what {
            disagreements.extend(begun(&job, flow, *revision));
        }
        played.push(Played {
            event,
            disagreements,
        });
    }
    (job, played)
}

/// Whether the text that was begun is that of the flow that the record names.
fn begun(job: &Job, flow: &str, revision: u32) -> Vec<String> {
    let mut out = Vec::new();
    let Some(run) = job.run() else {
        return out;
    };
    if run.flow.id != flow {
        out.push(format!(
            "the record says flow {flow}, but its text is that of {}",
            run.flow.id
        ));
    }
    if run.flow.revision != revision {
        out.push(format!(
            "the record says revision {revision}, but its text is that of revision {}",
            run.flow.revision
        ));
    }
    out
}
