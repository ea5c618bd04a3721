//! What becomes of the warning lamp after a repair: nobody at the counter can say when the car puts it out.

use crate::engine::event::{Codes, What};
use crate::engine::job::{How, Job, Visit};
use crate::engine::saving::{asks_for_codes, asks_whether_saved};
use crate::flow::answer::Answer;
use crate::flow::model::Phase;
use crate::report::case::Case;
use crate::report::page::Item;
use crate::report::result::Standing;

/// One sentence on the lamp, where codes were saved, the car came with a lamp or with codes, and what was found is
/// repaired.
pub fn item(case: &Case) -> Option<Item> {
    if !(came_with_it(case.job) && were_saved(case) && is_repaired(case.job)) {
        return None;
    }
    Some(Item {
        head: "The warning lamp".to_owned(),
        // That a lamp goes out by itself once the car has checked itself often enough, that this can take days, and after
        // how long to come back: common practice, no source.
        text: format!(
            "{}; the lamp can stay on until the car has done its own checks on the road, so come back to us if it is still on \
             after a week of everyday driving, or if it goes out and comes on again.",
            cleared(case)
        ),
        more: Vec::new(),
    })
}

/// Whether the complaint is a lamp, or the car came with codes.
fn came_with_it(job: &Job) -> bool {
    let Some(opening) = &job.opening else {
        return false;
    };
    let mut said = opening.symptoms.iter().chain([&opening.complaint]);
    !opening.codes.is_empty() || said.any(|text| is_of_a_lamp(text))
}

/// Whether a complaint is of a warning lamp: by its name, or since it lights. Water may stand in a lamp as well.
fn is_of_a_lamp(complaint: &str) -> bool {
    let is_lamp = |word: &str| matches!(word, "lamp" | "lamps" | "light" | "lights");
    let names = |word: &str| matches!(word, "warning" | "engine" | "check" | "cap");
    let lights = |word: &str| {
        let on = ["on", "lit", "lights", "shines", "glows", "blinks"];
        on.contains(&word) || word.starts_with("flash") || word.starts_with("blinking")
    };
    let links = |word: &str| ["is", "was", "comes", "came", "stays", "keeps"].contains(&word);
    clauses(complaint, &['.', ';', ':', ',', '!', '?', '\n']).any(|clause| {
        let words = words_of(&clause);
        words.iter().enumerate().any(|(at, word)| {
            let word_at = |n: usize| words.get(n).map_or("", String::as_str);
            let named = at > 0 && names(word_at(at - 1));
            let lit =
                lights(word_at(at + 1)) || (links(word_at(at + 1)) && lights(word_at(at + 2)));
            is_lamp(word) && (named || lit)
        })
    })
}

fn were_saved(case: &Case) -> bool {
    let any = |codes: &Codes| !codes.stored.is_empty() || !codes.pending.is_empty();
    let mut events = case.events.iter();
    events.any(|event| matches!(&event.what, What::CodesNoted(codes) if any(codes)))
}

/// Whether a repair was made, and nothing that is known calls for another one: a lamp that shines for what still stands
/// open is no matter of waiting, and neither is one whose cause is still to be found since all that came out was good.
fn is_repaired(job: &Job) -> bool {
    matches!(
        Standing::of(job),
        Standing::Proved(..)
            | Standing::ProvedInBay(..)
            | Standing::NothingMore(_)
            | Standing::NoRetest(_)
            | Standing::RetestLeft(_)
    )
}

/// Whether the codes were cleared, as far as the record tells: by the way of the test after the repair.
fn cleared(case: &Case) -> String {
    let part_of = flow_that_has_them_cleared(case);
    let came_back = match codes_now(case, part_of) {
        Some(word) if word.starts_with("none") => Some("none"),
        Some(word) if word.starts_with("some") => Some("some"),
        _ => None,
    };
    if part_of.is_some() {
        let after = came_back.map(|which| format!(", and {which} came back in it"));
        let after = after.unwrap_or_default();
        return format!("Clearing the saved codes is part of the test that we repeated{after}");
    }
    let after = came_back.map(|which| format!("; {which} came back in the last test"));
    let after = after.unwrap_or_default();
    format!("Our record does not say that the saved codes were cleared{after}")
}

/// The flow that has the codes cleared before the last test is repeated, or at a step of that test which was walked.
fn flow_that_has_them_cleared<'j>(case: &Case<'j>) -> Option<&'j str> {
    let last = case.tests();
    if last < 2 {
        return None;
    }
    let begins_it = |visit: &Visit| {
        let retest = matches!(visit.left.as_ref().map(|left| &left.how), Some(How::Retest));
        retest && visit.test + 1 == last
    };
    let begun = case.job.runs.iter().find(|run| {
        let retest = run.flow.retest.as_ref();
        retest.is_some_and(|retest| has_them_cleared(&retest.first))
            && run.walked().iter().any(begins_it)
    });
    let walked = || {
        case.walked().find(|walked| {
            let proof = walked.step.phase == Phase::Retest && walked.visit.test == last;
            proof && walked.taken().is_some() && has_them_cleared(&walked.step.text)
        })
    };
    let run = begun.or_else(|| walked().map(|walked| walked.run));
    run.map(|run| run.flow.id.as_str())
}

/// How many words may stand between "clear" and "codes": "clear all saved codes".
const BETWEEN: usize = 2;
/// The same the other way round: "codes that were saved cleared".
const BETWEEN_BACK: usize = 3;
/// Words after which nothing is cleared, or not for sure.
const NOT_FOR_SURE: [&str; 9] = [
    "not", "no", "never", "without", "nor", "cannot", "before", "until", "whether",
];

/// Whether an instruction has codes cleared for sure. "Before anything is cleared, note the codes", "don't clear the codes"
/// and "keep clear of the fan" do not: what cannot be told from the words is not claimed.
fn has_them_cleared(instruction: &str) -> bool {
    clauses(instruction, &['.', ';', ':', '!', '?']).any(|sentence| {
        let words = words_of(&sentence);
        // What depends on something may not have been done; what denies stands before it in the sentence, and what is
        // cleared in one clause with it.
        let mut denied = words.iter().any(|word| word == "if" || word == "unless");
        clauses(&sentence, &[',', '(', ')']).any(|clause| {
            let words = words_of(&clause);
            let found = (0..words.len()).any(|at| {
                !denied && !words[..at].iter().any(|word| denies(word)) && clears(&words[at..])
            });
            denied |= words.iter().any(|word| denies(word));
            found
        })
    })
}

/// Whether words begin with what has codes cleared.
fn clears(words: &[String]) -> bool {
    let is_code = |word: &String| matches!(word.as_str(), "code" | "codes");
    let within = |most: usize, is: &dyn Fn(&String) -> bool| {
        let at = words.iter().skip(1).take(most + 1).position(is)?;
        Some(&words[1..=at])
    };
    // Of what stands between, a verb has something else done with them, and "of" keeps clear of something.
    let other = |word: &String| {
        let others = [
            "of", "which", "what", "that", "how", "read", "note", "save", "compare",
        ];
        others.contains(&word.as_str()) || denies(word)
    };
    let Some(first) = words.first() else {
        return false;
    };
    match first.as_str() {
        "clear" | "erase" => {
            within(BETWEEN, &is_code).is_some_and(|between| !between.iter().any(other))
        }
        "code" | "codes" => {
            let cleared = |word: &String| matches!(word.as_str(), "cleared" | "erased");
            within(BETWEEN_BACK, &cleared)
                .is_some_and(|between| !between.iter().any(|word| denies(word)))
        }
        _ => false,
    }
}

fn denies(word: &str) -> bool {
    NOT_FOR_SURE.contains(&word) || word.ends_with("n't") || word == "dont"
}

fn clauses(text: &str, ends: &'static [char]) -> impl Iterator<Item = String> {
    let all: Vec<String> = text.split(ends).map(str::to_owned).collect();
    all.into_iter()
}

/// The words of a text in small letters; "don't" is one.
fn words_of(text: &str) -> Vec<String> {
    let text = text.to_lowercase().replace('\u{2019}', "'");
    let words = text.split(|c: char| !c.is_alphanumeric() && c != '\'');
    let words = words.filter(|word| !word.is_empty());
    words.map(str::to_owned).collect()
}

/// What was last answered in the last test to whether codes came back, in a flow or in any.
fn codes_now(case: &Case, in_flow: Option<&str>) -> Option<String> {
    let last = case.tests();
    let taken = case.job.readings.iter().rev().find(|taken| {
        let mut runs = case.job.runs.iter().filter(|run| run.flow.id == taken.flow);
        let prompt = runs.find_map(|run| run.flow.reading(&taken.reading));
        let about = prompt.is_some_and(|p| asks_for_codes(p) && !asks_whether_saved(p));
        about && taken.test == last && in_flow.is_none_or(|flow| flow == taken.flow)
    })?;
    match &taken.value {
        Answer::Choice(word) => Some(word.clone()),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::{has_them_cleared, is_of_a_lamp};

    #[test]
    fn codes_are_cleared_where_it_says_so_and_not_where_it_warns_of_it() {
        assert!(has_them_cleared(
            "Clear the codes that were saved, so that only new ones can come back."
        ));
        assert!(has_them_cleared(
            "Breather joined. Codes that were saved cleared, trims reset."
        ));
        assert!(has_them_cleared(
            "Put the valve back with new gaskets and clear the codes. Never start it without oil."
        ));
        assert!(has_them_cleared("Everything joined, erase all saved codes"));
        for other in [
            "Before anything is unplugged or cleared, note stored and pending codes.",
            "Probes off. Clear no code: the next test needs them.",
            "Clear the misfire counters. Then read the codes.",
            "Clear the misfire counters, read the codes.",
            "Don't clear the codes.",
            "Don\u{2019}t clear the codes.",
            "Do not, on any account, clear the codes.",
            "Never clear the codes.",
            "Drive it without clearing anything. Are the codes the same?",
            "Read it without having the codes cleared.",
            "Keep clear of the fan, read the codes.",
            "Keep clear of codes that are not yours.",
            "It is clear which codes came back.",
            "If the maker says so, clear the codes.",
            "Clear the codes, if the maker says so.",
            "Codes are not cleared.",
        ] {
            assert!(!has_them_cleared(other), "{other}");
        }
    }

    #[test]
    fn a_complaint_is_of_a_warning_lamp_by_its_name_or_since_it_lights() {
        for lamp in [
            "Engine lamp on, uses more fuel",
            "engine lamp flashes",
            "cap lamp on",
            "Check engine light",
            "A yellow lamp came on, then went out",
            "Warning light since Monday",
            "The lamp is lit.",
        ] {
            assert!(is_of_a_lamp(lamp), "{lamp}");
        }
        for other in [
            "Water in a lamp, idles high",
            "water in a lamp",
            "Misted lamp, on cold days alone",
            "Steering feels light",
            "Rough idle",
        ] {
            assert!(!is_of_a_lamp(other), "{other}");
        }
    }
}
