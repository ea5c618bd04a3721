//! Which flows answer the complaint.

use crate::engine::job::Job;
use crate::flow::shelf::{Shelf, Shelved};

/// A flow that can be begun, with what speaks for it.
#[derive(Clone, Debug)]
pub struct Offer<'s> {
    /// The flow.
    pub shelved: &'s Shelved,
    /// The codes and symptoms of the job that it answers; empty where it answers none.
    pub answers: Vec<String>,
    /// It was walked on this job already.
    pub walked: bool,
}

impl Offer<'_> {
    /// What speaks for it, in words.
    pub fn because(&self) -> String {
        match (self.answers.is_empty(), self.walked) {
            (true, false) => "answers none of the codes and symptoms noted".to_owned(),
            (true, true) => "walked already".to_owned(),
            (false, false) => format!("answers {}", self.answers.join(", ")),
            (false, true) => format!("answers {}; walked already", self.answers.join(", ")),
        }
    }
}

/// All flows on the shelf: those that answer most of what is noted first.
pub fn offers<'s>(job: &Job, shelf: &'s Shelf) -> Vec<Offer<'s>> {
    let mut offers: Vec<Offer> = shelf
        .iter()
        .map(|shelved| Offer {
            shelved,
            answers: answers(job, shelved),
            walked: job.runs.iter().any(|run| run.flow.id == shelved.flow.id),
        })
        .collect();
    offers.sort_by_key(|o| {
        (
            std::cmp::Reverse(o.answers.len()),
            o.walked,
            o.shelved.flow.id.clone(),
        )
    });
    offers
}

fn answers(job: &Job, shelved: &Shelved) -> Vec<String> {
    let Some(opening) = &job.opening else {
        return Vec::new();
    };
    let stored = job
        .codes
        .iter()
        .flat_map(|c| c.stored.iter().chain(&c.pending));
    let mut out: Vec<String> = Vec::new();
    for code in opening.codes.iter().chain(stored) {
        let code = code.trim().to_uppercase();
        if shelved.flow.answers.codes.contains(&code) && !out.contains(&code) {
            out.push(code);
        }
    }
    // The customer's own words count where they hold a symptom that the flow lists.
    let complaint = opening.complaint.to_lowercase();
    for symptom in &shelved.flow.answers.symptoms {
        let word = symptom.to_lowercase();
        let chosen = opening.symptoms.iter().any(|s| s.to_lowercase() == word);
        if chosen || complaint.contains(&word) {
            out.push(symptom.clone());
        }
    }
    out
}

/// All symptoms that the flows on the shelf list, for a form to choose from.
pub fn symptoms(shelf: &Shelf) -> Vec<String> {
    let all = shelf
        .iter()
        .flat_map(|s| s.flow.answers.symptoms.iter().cloned());
    all.collect::<std::collections::BTreeSet<_>>()
        .into_iter()
        .collect()
}
