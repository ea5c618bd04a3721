//! How an exercise begins: the car that comes in, and what is said about it.

use std::fmt::Write as _;

use super::drawn::Drawn;
use super::exercise::Exercise;
use super::traps::burns;
use crate::engine::action::FlowText;
use crate::engine::event::{Opening, Vehicle, What};
use crate::engine::job::Job;
use crate::engine::practised::Practised;
use crate::engine::shown;
use crate::plant::plan::Plan;

/// The mark of practice: it stands on every screen and page.
pub const MARK: &str = "PRACTICE";

/// How the vehicle of a practice job is called, before its level and name.
pub const NOT_THERE: &str = "a car that is not there";

/// The first events of a practice job.
pub fn start(plan: &Plan, exercise: &Exercise, drawn: &Drawn, text: FlowText) -> Vec<What> {
    let FlowText {
        id,
        revision,
        hash,
        text,
    } = text;
    vec![
        What::JobOpened(opening(plan, exercise, drawn)),
        What::Practised(Practised::Begun(exercise.recorded(drawn.attempt))),
        What::FlowBegun {
            flow: id,
            revision,
            hash,
            text,
        },
    ]
}

fn opening(plan: &Plan, exercise: &Exercise, drawn: &Drawn) -> Opening {
    let answers = &plan.flow.answers;
    let symptoms: Vec<String> = answers.symptoms.iter().take(1).cloned().collect();
    let codes: Vec<String> = answers.codes.iter().take(1).cloned().collect();
    Opening {
        vehicle: Vehicle {
            plate: MARK.to_owned(),
            model: vehicle(exercise),
            ..Vehicle::default()
        },
        complaint: complaint(plan, exercise, drawn, (&symptoms, &codes)),
        symptoms,
        codes,
        facts: drawn.car.facts.clone(),
        bay: String::new(),
    }
}

/// What came with the car, in a few sentences: the complaint, notes, what is stored, and what is known of it.
pub fn came_with(job: &Job) -> String {
    let complaint = job.opening.as_ref().map(|o| o.complaint.as_str());
    let complaint = complaint.unwrap_or_default().trim_end_matches('.');
    let mut words = format!("The car comes with: {complaint}.");
    let codes = job.opening.as_ref().map_or(&[][..], |o| &o.codes);
    if !codes.is_empty() {
        let _ = write!(words, " Stored: {}.", codes.join(", "));
    }
    let facts = job.facts.iter();
    let facts = facts.map(|(id, fact)| format!("{} {}", id.replace('-', " "), shown::answer(fact)));
    let facts: Vec<String> = facts.collect();
    if !facts.is_empty() {
        let _ = write!(words, " Known of it: {}.", facts.join(", "));
    }
    words
}

fn vehicle(exercise: &Exercise) -> String {
    let mut words = format!("{NOT_THERE}, level {}", exercise.level);
    if !exercise.exercise.is_empty() {
        let _ = write!(words, ", \"{}\"", exercise.exercise);
    }
    words
}

/// What the customer says, and whoever had the car before.
fn complaint(
    plan: &Plan,
    exercise: &Exercise,
    drawn: &Drawn,
    (symptoms, codes): (&[String], &[String]),
) -> String {
    let said = symptoms.first().or(codes.first());
    let mut words = said.map_or_else(|| plan.flow.title.clone(), |said| (*said).clone());
    let traps = &drawn.traps;
    if let Some(blamed) = traps.blamed.as_ref().and_then(|id| plan.flow.cause(id)) {
        let _ = write!(
            words,
            ". The customer has been told elsewhere that it is this: {}",
            blamed.name.to_lowercase()
        );
    }
    let mut note = Vec::new();
    if traps.hearsay {
        note.push(if burns(plan.flow) {
            "it is cold by now"
        } else {
            "it is warm"
        });
    }
    if traps.forgotten.is_some() {
        note.push("everything that must be closed is closed already");
    }
    if !note.is_empty() {
        let _ = write!(
            words,
            ". A note of a colleague on the seat: \"{}\"",
            note.join(", and ")
        );
    }
    if !exercise.note.is_empty() {
        let _ = write!(words, ". {}", exercise.note);
    }
    words
}
