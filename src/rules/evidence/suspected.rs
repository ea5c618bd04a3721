//! A cause that odds alone have led to: nobody has seen it, and no screen or paper may say that it was found.

use super::reasons::SURE;
use crate::engine::job::{How, Job, Left, Run};
use crate::engine::weighed::Chosen;
use crate::flow::model::Cause;

/// How probable a cause was where odds led to its repair that were not sure, and no outcome of the flow: nobody has found
/// it then. Nothing where it showed at its place, or the part itself was
/// seen to be bad.
pub fn by_odds(job: &Job, cause: &Cause) -> Option<f64> {
    let odds = leads_to(left_before(job.run()?), cause)?;
    let done = job
        .repairs
        .iter()
        .any(|r| r.cause == cause.id && r.test == job.test_number() && r.done.is_some());
    let showed = job.found().iter().any(|found| found.cause.id == cause.id);
    (!done && !showed).then_some(odds)
}

/// How probable a cause was where the station before its repair was left by odds that were not sure, and by no outcome of
/// the flow.
pub fn leads_to(before: Option<&Left>, cause: &Cause) -> Option<f64> {
    let Some(Left {
        how: How::Outcome(taken),
        ..
    }) = before
    else {
        return None;
    };
    let weighed = taken.weighed.as_ref()?;
    let odds = weighed.odds.iter().find(|odds| odds.cause == cause.id)?;
    (weighed.taken != Chosen::Flow && odds.explains < SURE).then_some(odds.present)
}

/// How the station before the present one was left.
fn left_before(run: &Run) -> Option<&Left> {
    let before = run.at.checked_sub(1).and_then(|at| run.path.get(at))?;
    before.left.as_ref()
}
