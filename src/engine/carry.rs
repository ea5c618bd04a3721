//! Which earlier reading may be taken over instead of reading again.
//!
//! Only a number that describes the complaint: read at a step of the symptom phase of *another*
//! flow in this same test, and asked for again at a step of that phase. Everything else is read
//! anew: what a step of the same flow asks for once more, what was read with smoke or pressure on,
//! with a place covered or in a retest, what somebody saw, and every state (shut, steady, in
//! closed loop), since a state may have changed without anybody noticing. The one
//! exception is a number that a file holds: a log covers several steps.

use super::job::{Job, Run, Station, Taken};
use crate::flow::answer::Answer;
use crate::flow::model::{Phase, Prompt, PromptKind};

/// What was read before in this test, as far as the present question goes.
#[derive(Clone, Copy, Debug)]
pub enum Earlier<'j> {
    /// It may be taken over; the title of the flow in which it was read.
    MayBeTakenOver(&'j Taken, &'j str),
    /// It is read anew all the same.
    ReadAnew(&'j Taken),
}

/// The latest reading of the same id in this test, taken at another station.
///
/// What a log of scan data filled in ahead, for a later step of the same flow, is offered there.
pub fn earlier<'j>(job: &'j Job, prompt: &Prompt) -> Option<Earlier<'j>> {
    let (run, visit) = (job.run()?, job.visit()?);
    let taken = job.latest(&prompt.id, job.test_number())?;
    if taken.visit == visit.since_seq {
        return None;
    }
    let from = read_in(job, taken);
    match from {
        Some((other, _)) if taken.from_file.is_some() && is_number(prompt, &taken.value) => {
            Some(Earlier::MayBeTakenOver(taken, &other.flow.title))
        }
        Some((other, Phase::Symptom))
            if other.flow.id != run.flow.id
                && run.step().is_some_and(|step| step.phase == Phase::Symptom)
                && is_number(prompt, &taken.value) =>
        {
            Some(Earlier::MayBeTakenOver(taken, &other.flow.title))
        }
        _ => Some(Earlier::ReadAnew(taken)),
    }
}

/// The run and the phase of the step at which a reading was taken; none on a way given up.
fn read_in<'j>(job: &'j Job, taken: &Taken) -> Option<(&'j Run, Phase)> {
    job.runs.iter().find_map(|run| {
        let visit = run.path.iter().find(|v| v.since_seq == taken.visit)?;
        match &visit.station {
            Station::Step(id) => Some((run, run.flow.step(id)?.phase)),
            _ => None,
        }
    })
}

fn is_number(prompt: &Prompt, value: &Answer) -> bool {
    match (&prompt.kind, value) {
        (PromptKind::Quantity(asked), Answer::Quantity(read)) => {
            asked.unit.dimension() == read.dimension()
        }
        _ => false,
    }
}
