//! What becomes of the warning lamp after a repair: nobody at the counter can say when the car puts it out.

use crate::engine::event::{Codes, What};
use crate::engine::job::Job;
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
    let said = opening.symptoms.iter().chain([&opening.complaint]);
    let lamp = |text: &String| {
        let text = text.to_lowercase();
        let mut words = text.split(|c: char| !c.is_alphanumeric());
        words.any(|word| matches!(word, "lamp" | "lamps"))
            || text.contains("warning light")
            || text.contains("engine light")
    };
    !opening.codes.is_empty() || said.into_iter().any(lamp)
}

fn were_saved(case: &Case) -> bool {
    let any = |codes: &Codes| !codes.stored.is_empty() || !codes.pending.is_empty();
    let mut events = case.events.iter();
    events.any(|event| matches!(&event.what, What::CodesNoted(codes) if any(codes)))
}

/// Whether a repair was made, and nothing that is known calls for another one: a lamp that shines for what still stands
/// open is no matter of waiting.
fn is_repaired(job: &Job) -> bool {
    matches!(
        Standing::of(job),
        Standing::Proved(..)
            | Standing::ProvedInBay(..)
            | Standing::PartsWereGood(_)
            | Standing::NothingMore(_)
            | Standing::NoRetest(_)
            | Standing::RetestLeft(_)
    )
}

/// Whether the codes were cleared, as far as the record tells: by the way of the test after the repair.
fn cleared(case: &Case) -> String {
    let came_back = match codes_now(case) {
        Some(word) if word.starts_with("none") => Some("none"),
        Some(word) if word.starts_with("some") => Some("some"),
        _ => None,
    };
    if was_part_of_the_test(case) {
        let after = came_back.map(|which| format!(", and {which} came back in it"));
        let after = after.unwrap_or_default();
        return format!("Clearing the saved codes is part of the test that we repeated{after}");
    }
    let after = came_back.map(|which| format!("; {which} came back in the last test"));
    let after = after.unwrap_or_default();
    format!("Our record does not say that the saved codes were cleared{after}")
}

/// Whether the flow has the codes cleared before its test is repeated, or at a step of that test which was walked.
fn was_part_of_the_test(case: &Case) -> bool {
    let last = case.tests();
    if last < 2 {
        return false;
    }
    let begun = case.events.iter().any(|event| match &event.what {
        What::RetestBegun { flow, .. } => {
            let run = case.job.runs.iter().find(|run| run.flow.id == *flow);
            let first = run.and_then(|run| run.flow.retest.as_ref());
            first.is_some_and(|retest| has_them_cleared(&retest.first))
        }
        _ => false,
    });
    let walked = case.walked().any(|walked| {
        let proof = walked.step.phase == Phase::Retest && walked.visit.test == last;
        proof && walked.taken().is_some() && has_them_cleared(&walked.step.text)
    });
    begun || walked
}

/// Whether an instruction has codes cleared. "Before anything is cleared, note the codes" and "clear no code" do not.
fn has_them_cleared(instruction: &str) -> bool {
    instruction.split(['.', ';', ':']).any(|sentence| {
        let sentence = sentence.to_lowercase();
        let words: Vec<&str> = sentence.split(|c: char| !c.is_alphanumeric()).collect();
        let says = |all: &[&str]| words.iter().any(|word| all.contains(word));
        says(&["clear", "cleared"]) && says(&["code", "codes"]) && !says(&["no", "not", "before"])
    })
}

/// What was last answered in the last test to whether codes came back.
fn codes_now(case: &Case) -> Option<String> {
    let last = case.tests();
    let taken = case.job.readings.iter().rev().find(|taken| {
        let mut runs = case.job.runs.iter().filter(|run| run.flow.id == taken.flow);
        let prompt = runs.find_map(|run| run.flow.reading(&taken.reading));
        let about = prompt.is_some_and(|p| asks_for_codes(p) && !asks_whether_saved(p));
        about && taken.test == last
    })?;
    match &taken.value {
        Answer::Choice(word) => Some(word.clone()),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::has_them_cleared;

    #[test]
    fn codes_are_cleared_where_it_says_so_and_not_where_it_warns_of_it() {
        assert!(has_them_cleared(
            "Clear the codes that were saved, so that only new ones can come back."
        ));
        assert!(has_them_cleared(
            "Breather joined. Codes that were saved cleared, trims reset."
        ));
        for other in [
            "Before anything is unplugged or cleared, note stored and pending codes.",
            "Probes off. Clear no code: the next test needs them.",
            "Clear the misfire counters. Then read the codes.",
        ] {
            assert!(!has_them_cleared(other), "{other}");
        }
    }
}
