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
    /// How far at the front of the flow's list the first of those codes stands; its author names first what it is for.
    front: usize,
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

/// All flows on the shelf: those that answer most of what is noted first, and of these those that name it first.
pub fn offers<'s>(job: &Job, shelf: &'s Shelf) -> Vec<Offer<'s>> {
    let mut offers: Vec<Offer> = shelf
        .iter()
        .map(|shelved| {
            let answers = answers(job, shelved);
            let codes = shelved.flow.answers.codes.iter();
            Offer {
                shelved,
                walked: job.runs.iter().any(|run| run.flow.id == shelved.flow.id),
                front: codes.take_while(|code| !answers.contains(code)).count(),
                answers,
            }
        })
        .collect();
    offers.sort_by_key(|o| {
        (
            std::cmp::Reverse(o.answers.len()),
            o.walked,
            o.front,
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
    let complaint = stems(&opening.complaint);
    for symptom in &shelved.flow.answers.symptoms {
        let word = symptom.to_lowercase();
        let chosen = opening.symptoms.iter().any(|s| s.to_lowercase() == word);
        let wanted = stems(symptom);
        let said = !wanted.is_empty() && wanted.iter().all(|stem| complaint.contains(stem));
        if chosen || said {
            out.push(symptom.clone());
        }
    }
    out
}

/// Words that say nothing by themselves.
const LITTLE: [&str; 12] = [
    "a", "after", "an", "at", "from", "in", "is", "of", "on", "the", "to", "when",
];
/// Endings under which a word is the same one, the longest first.
const ENDINGS: [&str; 8] = ["ing", "ed", "es", "ly", "en", "s", "e", "y"];
/// Letters that an ending leaves at least.
const STEM: usize = 3;

/// The words of a text without their endings, so that who idles roughly has a rough idle.
fn stems(text: &str) -> Vec<String> {
    let text = text.to_lowercase();
    let words = text.split(|c: char| !c.is_alphanumeric() && c != '-');
    let words = words.filter(|word| !word.is_empty() && !LITTLE.contains(word));
    words.map(|word| stem(word).to_owned()).collect()
}

fn stem(word: &str) -> &str {
    let mut ends = ENDINGS.iter().filter_map(|end| word.strip_suffix(end));
    ends.find(|rest| rest.chars().count() >= STEM)
        .unwrap_or(word)
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_complaint_has_a_symptom_in_whatever_form_its_words_stand() {
        let has = |complaint: &str, symptom: &str| {
            let said = stems(complaint);
            stems(symptom).iter().all(|stem| said.contains(stem))
        };
        for (complaint, symptom) in [
            ("Idles roughly, lamp on", "rough idle"),
            ("Idling rough when warm", "rough idle"),
            ("it lacks pull uphill", "lack of pull"),
            ("Stalled twice at idle", "stalls at idle"),
            ("Whistles under load", "whistle under load"),
        ] {
            assert!(has(complaint, symptom), "{complaint}: {symptom}");
        }
        for (complaint, symptom) in [
            ("leaks oil", "lean"),
            ("idles well", "rough idle"),
            ("rough ride", "rough idle"),
            ("", "lean"),
        ] {
            assert!(!has(complaint, symptom), "{complaint}: {symptom}");
        }
    }
}
