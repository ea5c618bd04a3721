//! What becomes of the warning lamp after a repair: nobody at the counter can say when the car puts it out.

use crate::engine::event::{Codes, What};
use crate::engine::job::{How, Job, Visit};
use crate::flow::model::Phase;
use crate::report::case::Case;
use crate::report::codes_back::{self, CameBack};
use crate::report::page::Item;
use crate::report::result::Standing;

/// What is to be said of the lamp, where codes were saved and the car came with a lamp or with codes.
pub fn item(case: &Case) -> Option<Item> {
    if !(came_with_it(case.job) && were_saved(case)) {
        return None;
    }
    Some(Item {
        head: "The warning lamp".to_owned(),
        text: words(case)?,
        more: Vec::new(),
    })
}

/// In the words of what the record shows. Nothing is said where the test goes on, nor where the page forbids driving what
/// passed: a week on the road would read as leave to drive.
fn words(case: &Case) -> Option<String> {
    if codes_back::at_last(case.job) {
        return Some(
            "Codes came back in the last test, so it can stay on or come on again: what causes them is still to be found and \
             mended."
                .to_owned(),
        );
    }
    let words = match Standing::of(case.job) {
        Standing::Proved(..) | Standing::ProvedInBay(..) => {
            return super::dangers::warns_of_nothing(case).then(|| goes_out(case));
        }
        Standing::PartsWereGood(_) => {
            "What caused it is not proved, so it can come on again: come back to us if it does."
        }
        Standing::NothingMore(_) => {
            "That what caused it is cured was not shown, so it can stay on or come on again: come back to us if it does."
        }
        Standing::Gone => {
            "Nothing was repaired, so it can come on again: come back to us if it does."
        }
        Standing::NoRetest(_) | Standing::RetestLeft(_) => {
            "Whether it goes out for good shows only once the test after the repair has passed."
        }
        Standing::Declined(..) => {
            "It stays on, or comes on again, as long as what causes it is not mended."
        }
        Standing::NotFound(_) | Standing::NotCured(..) | Standing::Left | Standing::LastLeft => {
            "It stays on, or comes on again, as long as what causes it is not found and mended."
        }
        _ => return None,
    };
    Some(words.to_owned())
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

/// How it goes out after a test that passed. That none came back is told only where the test had them cleared: what nobody
/// cleared is still stored, and comes back from nowhere.
fn goes_out(case: &Case) -> String {
    let cleared = match flow_that_has_them_cleared(case) {
        Some(flow) => {
            let back = codes_back::in_test(case.job, case.tests(), Some(flow));
            let none = match back {
                Some(CameBack::None) => ", and none came back in it",
                _ => "",
            };
            format!("Clearing the saved codes is part of the test that we repeated{none}.")
        }
        None => "Our record does not say that the saved codes were cleared: ask us to look when you fetch the car.".to_owned(),
    };
    // That a lamp goes out by itself once the car has checked itself often enough, that this can take days, and after
    // how long to come back: common practice, no source.
    format!(
        "{cleared} The lamp can stay on until the car has done its own checks on the road: come back to us if it is still on \
         after a week of everyday driving, or if it goes out and comes on again."
    )
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
