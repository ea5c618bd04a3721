//! The answer in a few words: what came of the job.

use super::case::{Case, Walked};
use super::page::{Block, Section, Tone};
use super::text::stopped;
use crate::engine::event::Verdict;
use crate::engine::job::{Job, Rejudged, Repair, Station};

/// The answer, and what the customer was told.
pub fn section(case: &Case) -> Option<Section> {
    let (tone, words, mut more) = verdict(case.job);
    more.extend(no_longer_follows(case));
    if let Some(note) = case
        .job
        .handed_over
        .as_ref()
        .filter(|n| !n.trim().is_empty())
    {
        more.push(stopped(note));
    }
    Section::of("The result", vec![Block::Result { tone, words, more }])
}

/// Steps that would be judged otherwise since something on which they stand was changed.
fn no_longer_follows(case: &Case) -> Option<String> {
    let changed = |w: &Walked| w.visit.rejudged.as_ref().is_some_and(Rejudged::changed);
    let titles: Vec<&str> = case
        .walked()
        .filter(changed)
        .map(|w| w.step.title.as_str())
        .collect();
    (!titles.is_empty()).then(|| {
        format!(
            "This rests on steps that were judged before something was changed, and that would be judged otherwise now: {}.",
            titles.join("; ")
        )
    })
}

fn verdict(job: &Job) -> (Tone, String, Vec<String>) {
    let named = |which: fn(&Repair) -> bool| -> Vec<&str> {
        let which = job.repairs.iter().filter(|r| which(r));
        which.map(|r| r.name.as_str()).collect()
    };
    let done = named(|r| r.done.is_some());
    let declined = named(|r| r.done.is_none() && r.declined.is_some());
    let Some(run) = job.runs.last() else {
        return open("Nothing was tested yet", Vec::new());
    };
    if !declined.is_empty() {
        let words = format!("Found, but not repaired: {}", declined.join("; "));
        let more = vec!["The repair was declined, so the complaint stays.".to_owned()];
        return (Tone::Open, words, more);
    }
    match (run.verdict, done.is_empty()) {
        (Some(Verdict::Proved), false) if job.repaired_in_this_test() => open(
            &format!("Repaired, but not proved: {}", done.join("; ")),
            vec!["The test was not repeated from the start after the repair.".to_owned()],
        ),
        (Some(Verdict::Proved), false) => (
            Tone::Proved,
            format!("Found, repaired and proved: {}", done.join("; ")),
            vec!["After the repair the test was repeated from the start, and it passed.".to_owned()],
        ),
        (Some(Verdict::Proved), true) => (
            Tone::Plain,
            "The complaint did not show any more".to_owned(),
            vec!["Nothing was repaired in this job.".to_owned()],
        ),
        (Some(Verdict::RuledOut), true) => (
            Tone::Plain,
            "Not found here".to_owned(),
            vec![format!(
                "Tested: {}. What was ruled out stands below. The complaint has another cause, or one \
                 that did not show while it was tested.",
                titles(job).join("; ")
            )],
        ),
        (Some(Verdict::RuledOut), false) => (
            Tone::Plain,
            format!("Repaired: {}", done.join("; ")),
            vec!["The test that followed found nothing more; that the complaint is cured was not shown by it.".to_owned()],
        ),
        (Some(Verdict::LedOn), _) => open(
            "The next test is due",
            vec![led_on(job).unwrap_or_default()],
        ),
        (Some(Verdict::Left), true) => open(
            "The test was left before its end",
            vec!["It has no result.".to_owned()],
        ),
        (Some(Verdict::Left) | None, false) => open(
            &format!("Repaired, but not proved: {}", done.join("; ")),
            vec!["The test after the repair was not walked to its end.".to_owned()],
        ),
        (None, true) => open("The test is not finished", Vec::new()),
    }
}

fn open(words: &str, more: Vec<String>) -> (Tone, String, Vec<String>) {
    let more = more.into_iter().filter(|m| !m.is_empty()).collect();
    (Tone::Open, words.to_owned(), more)
}

fn titles(job: &Job) -> Vec<&str> {
    let mut titles: Vec<&str> = Vec::new();
    for run in &job.runs {
        if !titles.contains(&run.flow.title.as_str()) {
            titles.push(&run.flow.title);
        }
    }
    titles
}

fn led_on(job: &Job) -> Option<String> {
    match &job.runs.last()?.visit()?.station {
        Station::LedTo(flow) => Some(format!("It leads on to: {}.", flow.replace('-', " "))),
        _ => None,
    }
}
