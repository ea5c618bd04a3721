//! What stands open on a car that somebody will drive, and what its driver must know.
//!
//! Flows declare it: `until repaired` of a cause, `until settled` of a flow. Nothing is guessed from
//! names, so a flow of the workshop's own is heard as well, whatever words it uses.

use super::case::Case;
use super::text::stopped;
use super::walked::{Begun, begun};
use crate::engine::job::Repair;
use crate::flow::model::{Cause, Flow};

/// A cause that shows at a place less often than this does not speak for it.
const LIKELY: f64 = 0.5;

/// What the driver must know while this is not repaired.
pub fn until_repaired(case: &Case, repair: &Repair) -> Option<String> {
    let runs = case.job.runs.iter().rev();
    let flow = runs
        .map(|run| &run.flow)
        .find(|flow| flow.id == repair.flow)?;
    let cause = flow.causes.iter().find(|cause| cause.id == repair.cause)?;
    of_cause(cause)
}

/// What the driver must know while this cause is not repaired.
pub fn of_cause(cause: &Cause) -> Option<String> {
    advice(&cause.until_repaired)
}

/// What the driver must know where something shows at a place: by the cause that shows there most,
/// with that cause's id.
pub fn at_place<'f>(flow: &'f Flow, reading: &str, place: &str) -> Option<(&'f str, String)> {
    // The likeliest may have nothing to say where the next one is about the brakes.
    let warn = flow
        .causes
        .iter()
        .filter(|cause| !cause.until_repaired.trim().is_empty());
    let most = warn
        .map(|cause| (cause, cause.shows_word(reading, place)))
        .filter(|(_, odds)| *odds >= LIKELY)
        .max_by(|(_, one), (_, other)| one.total_cmp(other));
    most.and_then(|(cause, _)| Some((cause.id.as_str(), advice(&cause.until_repaired)?)))
}

/// Whether something at a place speaks for this cause.
pub fn speaks_for(cause: &Cause, reading: &str, place: &str) -> bool {
    cause.shows_word(reading, place) >= LIKELY
}

/// What the driver must know while the complaint is not settled: by the flows that answer it, and by
/// the last one.
pub fn until_settled(case: &Case) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    let last = case.job.runs.len().saturating_sub(1);
    for (n, run) in case.job.runs.iter().enumerate() {
        let answers = matches!(begun(case, n, run), Begun::Answers(_)) || n == last;
        let advice =
            advice(&run.flow.until_settled).filter(|words| answers && !all.contains(words));
        all.extend(advice);
    }
    all
}

fn advice(declared: &str) -> Option<String> {
    (!declared.trim().is_empty()).then(|| stopped(declared))
}
