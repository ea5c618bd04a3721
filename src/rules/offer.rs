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
    /// How far at the front of the flow's list the first of those codes stands, since its author names first what it is
    /// for; behind all others where it answers no code.
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
            let mut codes = shelved.flow.answers.codes.iter();
            Offer {
                shelved,
                walked: job.runs.iter().any(|run| run.flow.id == shelved.flow.id),
                front: codes
                    .position(|code| answers.contains(code))
                    .unwrap_or(usize::MAX),
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
    // The customer's own words count where they speak of a symptom that the flow lists.
    for symptom in &shelved.flow.answers.symptoms {
        let word = symptom.to_lowercase();
        let chosen = opening.symptoms.iter().any(|s| s.to_lowercase() == word);
        if chosen || speaks_of(&opening.complaint, symptom) {
            out.push(symptom.clone());
        }
    }
    out
}

/// Words that say nothing by themselves.
const LITTLE: [&str; 12] = [
    "a", "after", "an", "at", "from", "in", "is", "of", "on", "the", "to", "when",
];
/// Words that turn what stands behind them into its opposite.
const NOT: [&str; 7] = ["no", "not", "never", "without", "doesn't", "don't", "isn't"];
/// So many other words may stand between those of a symptom (an assumption of ours).
const BETWEEN: usize = 2;

/// Whether a complaint speaks of a symptom: its words stand near one another in one clause, with whatever of the usual
/// endings, in any order, and nothing before them denies it. So who "idles roughly" has a rough idle, and who has "no rough
/// idle" has none.
fn speaks_of(complaint: &str, symptom: &str) -> bool {
    let wanted = stems(symptom);
    let denies = |stem: &String| NOT.contains(&stem.as_str());
    let is_of_absence = wanted.iter().any(denies);
    let complaint = complaint
        .to_lowercase()
        .replace(" and ", ", ")
        .replace(" but ", ", ");
    let clauses = complaint.split([',', '.', ';', ':', '!', '?', '\n', '(', ')']);
    let in_clause = |clause: &str| {
        let said = stems(clause);
        if said.len() < wanted.len() {
            return false;
        }
        if is_of_absence {
            return said.windows(wanted.len()).any(|near| near == wanted);
        }
        let near = (wanted.len() + BETWEEN).min(said.len());
        let at = said
            .windows(near)
            .position(|near| wanted.iter().all(|stem| near.contains(stem)));
        at.is_some_and(|at| !said[..at + near].iter().any(denies))
    };
    !wanted.is_empty() && clauses.into_iter().any(in_clause)
}

/// Endings under which a word is the same one, the longest first.
const ENDINGS: [&str; 7] = ["ing", "ed", "es", "ly", "s", "e", "y"];
/// Letters that an ending leaves at least.
const STEM: usize = 3;

/// The words of a text without their endings.
fn stems(text: &str) -> Vec<String> {
    let text = text.to_lowercase().replace('\u{2019}', "'");
    let words = text.split(|c: char| !c.is_alphanumeric() && c != '\'');
    let words = words.filter(|word| !word.is_empty() && !LITTLE.contains(word));
    words.map(|word| stem(word).to_owned()).collect()
}

/// A word without its ending: "hisses" and "hissing" are one with "hiss", and "stopping" with "stops".
fn stem(word: &str) -> &str {
    let bare = |end: &&str| {
        let rest = word.strip_suffix(*end)?;
        let is_whole = rest.chars().count() < STEM || (*end == "s" && rest.ends_with('s'));
        (!is_whole).then_some(rest)
    };
    let rest = ENDINGS.iter().find_map(bare).unwrap_or(word);
    let mut letters = rest.chars().rev();
    match (letters.next(), letters.next()) {
        (Some(last), Some(before)) if last == before && "bdgmnprt".contains(last) => {
            &rest[..rest.len() - 1]
        }
        _ => rest,
    }
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
    use crate::engine::event::Opening;

    #[test]
    fn a_complaint_speaks_of_a_symptom_with_whatever_endings_its_words_have() {
        for (complaint, symptom) in [
            ("Idles roughly, lamp on", "rough idle"),
            ("Idling rough when warm", "rough idle"),
            ("rough-idle since Monday", "rough idle"),
            ("it lacks pull uphill", "lack of pull"),
            ("Stalled twice at idle", "stalls at idle"),
            ("A hiss, and a hissing noise too", "hissing noise"),
            ("The carpet is wet, no noise", "wet carpet"),
            ("Whistles under load", "whistle under load"),
            ("It gives no smoke", "no smoke"),
            ("the, a ... rough idle", "rough idle"),
            ("Has no pull and stalls at idle", "stalls at idle"),
            (
                "Fuel-vapour monitor does not finish",
                "fuel-vapour monitor does not finish",
            ),
        ] {
            assert!(speaks_of(complaint, symptom), "{complaint}: {symptom}");
        }
    }

    #[test]
    fn words_that_stand_apart_or_are_denied_are_no_symptom() {
        for (complaint, symptom) in [
            ("leaks oil", "lean"),
            ("idles well", "rough idle"),
            ("rough ride", "rough idle"),
            ("Black smoke, no power", "no smoke"),
            ("Pulls to the left, lacks grip", "lack of pull"),
            ("Idles fine, fuel use is high", "high idle"),
            ("Coolant cap loose, lamp on", "cap lamp on"),
            ("No rough idle, no stalling", "rough idle"),
            ("It does not stall at idle", "stalls at idle"),
            ("", "lean"),
            ("the", "lean"),
            ("lean", "the"),
        ] {
            assert!(!speaks_of(complaint, symptom), "{complaint}: {symptom}");
        }
    }

    fn offered(complaint: &str, codes: &[&str]) -> Vec<(String, bool)> {
        let job = Job {
            opening: Some(Opening {
                complaint: complaint.to_owned(),
                codes: codes.iter().map(|code| (*code).to_owned()).collect(),
                ..Opening::default()
            }),
            ..Job::default()
        };
        let shelf = Shelf::shipped();
        let offers = offers(&job, &shelf);
        let each = offers.iter();
        each.map(|o| (o.shelved.flow.id.clone(), !o.answers.is_empty()))
            .collect()
    }

    #[test]
    fn what_a_flow_names_first_brings_it_to_the_front_among_equals() {
        let first = |complaint, codes: &[&str]| offered(complaint, codes)[0].0.clone();
        assert_eq!(first("", &["P0299"]), "charge-air-leak");
        assert_eq!(first("Idles roughly", &["P0171"]), "intake-leak");
        // A code goes before a word, and the flow that names it at the front before one that has it at the end.
        let of_code = offered("", &["P0171"]);
        let at = |id: &str| of_code.iter().position(|(flow, _)| flow == id).unwrap();
        assert!(at("intake-leak") < at("charge-air-leak"));
        assert!(at("charge-air-leak") < at("manifold-pressure-signal"));
        assert!(of_code[at("manifold-pressure-signal")].1);
        assert!(at("manifold-pressure-signal") < at("smoke-unit-check"));
    }
}
