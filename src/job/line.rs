//! A job's events in one line for lists, and the words by which it is found again.
//!
//! Both are made from the events alone, so they can be made anew at any time. Where the job stands
//! is the engine's fold, so that a list never says anything else than the job's own screen.

use uuid::Uuid;

use super::store::{JobLine, JobState};
use crate::engine::event::{Event, Opening, What};
use crate::engine::fold::fold;
use crate::engine::job::Job;

/// The line of a job; `None` unless its first event opens it.
pub fn line(id: Uuid, number: u64, events: &[Event]) -> Option<JobLine> {
    let (first, last) = (events.first()?, events.last()?);
    if !matches!(first.what, What::JobOpened(_)) {
        return None;
    }
    let job = fold(events);
    // As it was opened, or as that was corrected afterwards.
    let opening = job.opening.as_ref()?;
    let (flow, step) = here(&job);
    Some(JobLine {
        id,
        number,
        plate: opening.vehicle.plate.clone(),
        model: opening.vehicle.model.clone(),
        complaint: opening.complaint.clone(),
        codes: codes(opening, events),
        bay: opening.bay.clone(),
        opened: first.at,
        last: last.at,
        flow,
        step,
        state: if job.handed_over.is_some() {
            JobState::HandedOver
        } else {
            JobState::Open
        },
        events: events.len() as u64,
    })
}

fn codes(opening: &Opening, events: &[Event]) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    let noted = events.iter().filter_map(|event| match &event.what {
        What::CodesNoted(codes) => Some(codes.stored.iter().chain(&codes.pending)),
        _ => None,
    });
    for found in std::iter::once(opening.codes.iter().chain(&[])).chain(noted) {
        for code in found {
            if !all.contains(code) {
                all.push(code.clone());
            }
        }
    }
    all
}

/// Everything by which a job is searched, folded to one case, one thing a line.
pub fn words(number: u64, events: &[Event]) -> String {
    let mut parts = vec![format!("job {number}")];
    for event in events {
        // Who worked on it: each once.
        if !parts.contains(&event.who) {
            parts.push(event.who.clone());
        }
        match &event.what {
            // What was mistyped stays findable: somebody may have it on paper.
            What::JobOpened(opening) | What::OpeningCorrected { opening, .. } => {
                let vehicle = &opening.vehicle;
                parts.extend(
                    [
                        &vehicle.plate,
                        &vehicle.model,
                        &vehicle.vin,
                        &opening.complaint,
                    ]
                    .map(String::clone),
                );
                // A plate is typed with its gaps or without.
                let plate = vehicle.plate.chars();
                parts.push(plate.filter(|c| c.is_alphanumeric()).collect());
                parts.extend(opening.symptoms.iter().chain(&opening.codes).cloned());
            }
            What::CodesNoted(codes) => {
                parts.extend(codes.stored.iter().chain(&codes.pending).cloned());
            }
            What::FindingNoted { place, note } => parts.extend([place.clone(), note.clone()]),
            What::RepairDone { cause, work, .. } => parts.extend([cause.clone(), work.clone()]),
            What::RepairCorrected { words: text, .. } | What::Remark { text } => {
                parts.push(text.clone());
            }
            _ => {}
        }
    }
    one_case(&parts.join("\n"))
}

/// Folds to lower case letter by letter: a letter's case must not depend on its neighbours, or a
/// part of a word would no longer be found in the word.
pub fn one_case(text: &str) -> String {
    text.chars().flat_map(char::to_lowercase).collect()
}

/// The flow and the step where a job stands; neither where no flow is being walked.
fn here(job: &Job) -> (Option<String>, Option<String>) {
    let Some(run) = job.run().filter(|run| run.verdict.is_none()) else {
        return (None, None);
    };
    let step = run.step().map(|step| step.id.clone());
    (Some(run.flow.id.clone()), step)
}
