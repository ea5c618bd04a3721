//! Whether trouble codes came back in a test after a repair, as it was answered there.

use crate::engine::job::{Job, Run};
use crate::engine::saving::{asks_for_codes, asks_whether_saved};
use crate::flow::answer::Answer;

/// What was answered to which codes came back.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CameBack {
    /// None did.
    None,
    /// Some did.
    Some,
}

/// What was last answered in a test to whether codes came back, in a flow or in any.
pub fn in_test(job: &Job, test: u32, flow: Option<&str>) -> Option<CameBack> {
    let taken = job.readings.iter().rev().find(|taken| {
        let mut runs = job.runs.iter().filter(|run| run.flow.id == taken.flow);
        let prompt = runs.find_map(|run| run.flow.reading(&taken.reading));
        let about = prompt.is_some_and(|p| asks_for_codes(p) && !asks_whether_saved(p));
        about && taken.test == test && flow.is_none_or(|flow| flow == taken.flow)
    })?;
    match &taken.value {
        Answer::Choice(word) if word.starts_with("none") => Some(CameBack::None),
        Answer::Choice(word) if word.starts_with("some") => Some(CameBack::Some),
        _ => None,
    }
}

/// Whether some came back in the last test, and it followed a repair.
pub fn at_last(job: &Job) -> bool {
    let visits = job.runs.iter().flat_map(Run::walked);
    let last = visits.map(|visit| visit.test).max().unwrap_or(1);
    last > 1 && in_test(job, last, None) == Some(CameBack::Some)
}
