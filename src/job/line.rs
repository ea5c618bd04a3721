//! A job's events in one line for lists, and the words by which it is found again.
//!
//! Both are made from the events alone, so they can be made anew at any time. This is not the
//! fold of the engine: it knows no flow and follows only what the events say outright.

use uuid::Uuid;

use super::store::{JobLine, JobState};
use crate::engine::event::{Event, What};
use crate::flow::target::Target;

/// The line of a job; `None` unless its first event opens it.
pub fn line(id: Uuid, number: u64, events: &[Event]) -> Option<JobLine> {
    let (first, last) = (events.first()?, events.last()?);
    let What::JobOpened(opening) = &first.what else {
        return None;
    };
    let mut path = Path::default();
    for event in events {
        path.follow(&event.what);
    }
    let (flow, step) = path.here();
    let handed_over = events
        .iter()
        .any(|event| matches!(event.what, What::Handover { .. }));
    Some(JobLine {
        id,
        number,
        plate: opening.vehicle.plate.clone(),
        model: opening.vehicle.model.clone(),
        complaint: opening.complaint.clone(),
        codes: codes(events),
        bay: opening.bay.clone(),
        opened: first.at,
        last: last.at,
        flow,
        step,
        state: if handed_over {
            JobState::HandedOver
        } else {
            JobState::Open
        },
        events: events.len() as u64,
    })
}

fn codes(events: &[Event]) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for event in events {
        let found: Vec<&String> = match &event.what {
            What::JobOpened(opening) => opening.codes.iter().collect(),
            What::CodesNoted(codes) => codes.stored.iter().chain(&codes.pending).collect(),
            _ => continue,
        };
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
        match &event.what {
            What::JobOpened(opening) => {
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
                parts.extend(opening.symptoms.iter().chain(&opening.codes).cloned());
            }
            What::CodesNoted(codes) => {
                parts.extend(codes.stored.iter().chain(&codes.pending).cloned());
            }
            What::FindingNoted { place, note } => parts.extend([place.clone(), note.clone()]),
            What::RepairDone { cause, work, .. } => parts.extend([cause.clone(), work.clone()]),
            What::Remark { text } => parts.push(text.clone()),
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

/// The places that the job went through, with a mark where it stands: going back is an event.
#[derive(Default)]
struct Path {
    places: Vec<(Option<String>, Option<String>)>,
    at: usize,
}

impl Path {
    fn here(&self) -> (Option<String>, Option<String>) {
        self.places.get(self.at).cloned().unwrap_or_default()
    }

    fn go(&mut self, flow: Option<String>, step: Option<String>) {
        self.places.truncate(self.at + 1);
        if self.places.is_empty() {
            self.places.push((None, None));
        }
        self.places.push((flow, step));
        self.at = self.places.len() - 1;
    }

    fn follow(&mut self, what: &What) {
        let (flow, _) = self.here();
        match what {
            What::FlowBegun { flow, .. } => self.go(Some(flow.clone()), None),
            What::OutcomeTaken(taken) => self.go(flow, step_of(&taken.go)),
            What::StepSkipped { go, .. } => self.go(flow, step_of(go)),
            What::RetestBegun { flow, from } => self.go(Some(flow.clone()), Some(from.clone())),
            What::FlowClosed { .. } | What::Handover { .. } => self.go(None, None),
            What::WentBack => self.at = self.at.saturating_sub(1),
            What::WentForward if self.at + 1 < self.places.len() => self.at += 1,
            _ => {}
        }
    }
}

fn step_of(target: &Target) -> Option<String> {
    match target {
        Target::Step(step) => Some(step.clone()),
        Target::Repair(_) | Target::Flow(_) | Target::Done => None,
    }
}
