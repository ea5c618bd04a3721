//! What was not tested, is not proved, or was declined: what the driver must know comes first.

use crate::engine::job::{Job, Repair};
use crate::flow::answer::Answer;
use crate::report::case::Case;
use crate::report::open;
use crate::report::page::{Block, Item, Section, Tone};
use crate::report::result::Standing;
use crate::report::safety::advice;
use crate::report::text::{sentence, stopped};

/// What must be known before the car is driven on.
pub fn warning(case: &Case) -> Option<Section> {
    let mut items: Vec<Item> = Vec::new();
    for repair in case.job.repairs.iter().filter(|r| !proved(case, r)) {
        let Some(advice) = advice(&repair.name, system(case.job, &repair.flow)) else {
            continue;
        };
        let state = match (&repair.done, &repair.declined) {
            (Some(_), _) => "repaired, but not proved by a test",
            (None, Some(_)) => "declined, so it is not repaired",
            (None, None) => "not repaired yet",
        };
        items.push(Item {
            head: repair.name.clone(),
            text: format!("{}. {advice}", sentence(state)),
            more: Vec::new(),
        });
    }
    if let Some(item) = complaint(case) {
        items.push(item);
    }
    let blocks = if items.is_empty() {
        Vec::new()
    } else {
        vec![Block::Warning(items)]
    };
    Section::of("Before you drive on", blocks)
}

/// The complaint itself, while it is not proved cured.
fn complaint(case: &Case) -> Option<Item> {
    if Standing::of(case.job).tone() == Tone::Proved {
        return None;
    }
    let opening = case.job.opening.as_ref()?;
    let words = format!("{}; {}", opening.complaint, opening.symptoms.join("; "));
    Some(Item {
        head: "The trouble that you told us of may still be there".to_owned(),
        text: advice(&words, "")?.to_owned(),
        more: Vec::new(),
    })
}

fn system<'j>(job: &'j Job, flow: &str) -> &'j str {
    let run = job.runs.iter().find(|run| run.flow.id == flow);
    run.map_or("", |run| run.flow.system.as_str())
}

/// Whether a later test that passed speaks for a repair.
fn proved(case: &Case, repair: &Repair) -> bool {
    repair.done.is_some() && matches!(Standing::of(case.job), Standing::Proved(_))
}

/// Everything that is left open, in the order of its weight.
pub fn section(case: &Case) -> Option<Section> {
    let mut items: Vec<Item> = Vec::new();
    for repair in &case.job.repairs {
        if let (None, Some(by)) = (&repair.done, &repair.declined) {
            items.push(Item {
                head: format!("Declined: {}", repair.name),
                text: format!("It stays as it is. {}", stopped(&sentence(by))),
                more: Vec::new(),
            });
        }
    }
    for repair in case
        .job
        .repairs
        .iter()
        .filter(|r| r.done.is_some() && !proved(case, r))
    {
        items.push(Item {
            head: format!("Repaired, not proved: {}", repair.name),
            text: "No test repeated from start to end has shown yet that it is cured.".to_owned(),
            more: Vec::new(),
        });
    }
    items.extend(not_driven(case));
    items.extend(last_seen(case));
    items.extend(open::not_tested_items(case));
    // Safety first; within that the order stays.
    items.sort_by_key(|item| advice(&format!("{} {}", item.head, item.text), "").is_none());
    if items.is_empty() {
        let none = "Every step of the tests was walked, and no repair was declined.".to_owned();
        return Section::of(
            "Not tested, not proved, or declined",
            vec![Block::Text(none)],
        );
    }
    Section::of(
        "Not tested, not proved, or declined",
        vec![Block::List(items)],
    )
}

/// Places where something showed when they were last looked at: seldom all of them are mended.
fn last_seen(case: &Case) -> Vec<Item> {
    if matches!(Standing::of(case.job), Standing::UnderWay) {
        return Vec::new();
    }
    // A repair with a test after it speaks for the places that its flow had found.
    let mended = |flow: &str, test: u32| {
        let mut repairs = case.job.repairs.iter();
        repairs.any(|r| r.done.is_some() && r.flow == flow && r.test >= test)
    };
    let mut last: Vec<(String, &Answer, bool)> = Vec::new();
    for walked in case.walked() {
        for taken in case.job.taken_in(walked.visit.since_seq) {
            if let (Answer::Places(_), Some(prompt)) =
                (&taken.value, walked.run.flow.reading(&taken.reading))
            {
                let mended = mended(&walked.run.flow.id, walked.visit.test);
                last.retain(|(ask, ..)| *ask != prompt.ask);
                last.push((prompt.ask.clone(), &taken.value, mended));
            }
        }
    }
    let shows = |value: &Answer| matches!(value, Answer::Places(places) if !places.is_empty());
    last.into_iter()
        .filter(|(_, value, mended)| shows(value) && !mended)
        .map(|(ask, value, _)| Item {
            head: ask,
            text: format!(
                "When last looked at: {}. No later look has shown it gone.",
                crate::engine::shown::answer(value)
            ),
            more: Vec::new(),
        })
        .collect()
}

/// Whether an answer says itself that something is still to be shown on the road.
pub fn still_to_be_shown(case: &Case) -> bool {
    !not_driven(case).is_empty()
}

/// Answers that say themselves that something is still to be shown on the road.
fn not_driven(case: &Case) -> Vec<Item> {
    const WORDS: [&str; 2] = ["not driven", "not run yet"];
    let last = case.tests();
    let mut items: Vec<Item> = Vec::new();
    for taken in case.job.readings.iter().filter(|t| t.test == last) {
        let Answer::Choice(word) = &taken.value else {
            continue;
        };
        if WORDS.iter().any(|words| word.contains(words)) {
            let prompt = case
                .job
                .runs
                .iter()
                .find_map(|r| r.flow.reading(&taken.reading));
            let ask = prompt.map_or_else(|| taken.reading.replace('-', " "), |p| p.ask.clone());
            items.retain(|item| !item.text.starts_with(&ask));
            items.push(Item {
                head: "Still to be shown".to_owned(),
                text: format!("{ask}: {}", stopped(word)),
                more: Vec::new(),
            });
        }
    }
    items
}
