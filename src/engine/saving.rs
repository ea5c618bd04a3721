//! Whether what the control unit knows was saved: codes, freeze frame and readiness. A plug that is pulled or a code that
//! is cleared loses them for good, so that nothing which may do so comes first.

use super::job::{How, Job, Station};
use crate::flow::model::{Prompt, PromptKind};

/// Whether a question is about trouble codes.
pub fn asks_for_codes(prompt: &Prompt) -> bool {
    let mut words = prompt.ask.split(|c: char| !c.is_alphanumeric());
    words.any(|word| word.eq_ignore_ascii_case("codes"))
}

/// Whether a question is whether the codes are saved, and not which there are.
pub fn asks_whether_saved(prompt: &Prompt) -> bool {
    let yes =
        matches!(&prompt.kind, PromptKind::Choice(words) if words.iter().any(|word| word == "yes"));
    yes && asks_for_codes(prompt)
}

/// Whether nothing is saved of what the control unit of the car knows, and nobody has said that it is kept elsewhere,
/// that it cannot be read, or why the step that asks for it is skipped. Never so in practice: nothing can be lost there.
pub fn is_due(job: &Job) -> bool {
    !job.practised && job.codes.is_none() && !is_answered(job) && !is_skipped(job)
}

/// Whether the walk stands at the step that asks for the saving.
pub fn is_here(job: &Job) -> bool {
    let Some((run, step)) = job.run().and_then(|run| Some((run, run.step()?))) else {
        return false;
    };
    let mut asked = step.record.iter().filter_map(|id| run.flow.reading(id));
    asked.any(asks_whether_saved)
}

fn is_answered(job: &Job) -> bool {
    job.readings.iter().any(|taken| {
        let mut runs = job.runs.iter().filter(|run| run.flow.id == taken.flow);
        runs.any(|run| {
            let prompt = run.flow.reading(&taken.reading);
            prompt.is_some_and(asks_whether_saved)
        })
    })
}

fn is_skipped(job: &Job) -> bool {
    job.runs.iter().any(|run| {
        run.path.iter().any(|visit| {
            let Station::Step(id) = &visit.station else {
                return false;
            };
            let skipped =
                matches!(&visit.left, Some(left) if matches!(left.how, How::Skipped { .. }));
            let step = run.flow.step(id).filter(|_| skipped);
            let mut asked = step.into_iter().flat_map(|step| &step.record);
            asked.any(|id| run.flow.reading(id).is_some_and(asks_whether_saved))
        })
    })
}
