//! What was tested and why: every flow with its reason, every step with what it led to.

use super::case::{Case, Walked};
use super::page::{Block, Item, Section, Table};
use super::text::{joined, sentence, stopped};
use crate::engine::event::{OutcomeTaken, Suggested};
use crate::engine::job::{How, Run, Station};
use crate::engine::weighed::Chosen;
use crate::engine::words;
use crate::flow::target::Target;
use crate::rules::suggest;

/// Flow by flow, test by test.
pub fn section(case: &Case) -> Option<Section> {
    let mut blocks = Vec::new();
    for (n, run) in case.job.runs.iter().enumerate() {
        if case.is_begun_only(run) {
            continue;
        }
        blocks.push(Block::Heading(run.flow.title.clone()));
        blocks.push(Block::Text(why(case, n, run)));
        let walked: Vec<Walked> = case.walked().filter(|w| std::ptr::eq(w.run, run)).collect();
        let mut tests: Vec<u32> = walked.iter().map(|w| w.visit.test).collect();
        tests.dedup();
        let mut known: Vec<Item> = Vec::new();
        for test in tests {
            let items: Vec<Item> = walked
                .iter()
                .filter(|w| w.visit.test == test)
                .map(item)
                .collect();
            if case.tests() > 1 {
                blocks.push(Block::Text(heading(
                    case,
                    test,
                    items.len(),
                    known.is_empty(),
                )));
            }
            // What came out as before is not said again.
            let new: Vec<Item> = items.into_iter().filter(|i| !known.contains(i)).collect();
            known.extend(new.iter().cloned());
            if !new.is_empty() {
                blocks.push(Block::List(new));
            }
        }
    }
    Section::of("What was tested, and why", blocks)
}

fn heading(case: &Case, test: u32, steps: usize, first: bool) -> String {
    let name = case.test_name(test);
    if first {
        format!("{name}:")
    } else {
        let plural = if steps == 1 { "" } else { "s" };
        format!("{name}: again from the start, {steps} step{plural}; what came out differently:")
    }
}

/// Why a flow was begun.
pub(super) enum Begun {
    /// Another flow led to it, for this reason.
    Led(String),
    /// It answers these codes and symptoms of the job.
    Answers(Vec<String>),
    /// Nothing but the technician's choice.
    Own,
}

/// Why a flow was begun.
pub(super) fn begun(case: &Case, n: usize, run: &Run) -> Begun {
    let before = n.checked_sub(1).and_then(|n| case.job.runs.get(n));
    let reason = before.and_then(|before| led_here(before, &run.flow.id));
    let answers = answered(case, run);
    match reason {
        Some(reason) => Begun::Led(reason),
        None if answers.is_empty() => Begun::Own,
        None => Begun::Answers(answers),
    }
}

/// Why a flow was begun, and what it finds out.
fn why(case: &Case, n: usize, run: &Run) -> String {
    let mut out = Vec::new();
    if !run.flow.summary.is_empty() {
        out.push(stopped(&run.flow.summary));
    }
    out.push(match begun(case, n, run) {
        Begun::Led(reason) => format!("Begun because: {}", stopped(&reason)),
        Begun::Own => "Begun by the technician's own choice.".to_owned(),
        Begun::Answers(answers) => format!("Begun because it answers {}.", joined(&answers)),
    });
    out.join(" ")
}

/// Why the flow before led to this one, if it did.
fn led_here(before: &Run, flow: &str) -> Option<String> {
    let path = before.walked();
    let (last, earlier) = path.split_last()?;
    if last.station != Station::LedTo(flow.to_owned()) {
        return None;
    }
    let How::Outcome(taken) = &earlier.last()?.left.as_ref()?.how else {
        return None;
    };
    let because = crate::engine::job::outcome_of(before, taken).map(|o| o.because.clone());
    let unsure = || {
        // Left by another way than the flow's, no word of the author led here.
        if matches!(taken.suggested, Suggested::Outcome(_)) {
            return None;
        }
        let step = before.flow.step(&taken.step)?;
        Some(step.unsure.as_ref()?.because.clone())
    };
    because.or_else(unsure).filter(|words| !words.is_empty())
}

/// Codes and symptoms of this job that a flow answers.
fn answered(case: &Case, run: &Run) -> Vec<String> {
    let Some(opening) = &case.job.opening else {
        return Vec::new();
    };
    let saved = case
        .job
        .codes
        .iter()
        .flat_map(|c| c.stored.iter().chain(&c.pending));
    let mut out: Vec<String> = Vec::new();
    for code in opening.codes.iter().chain(saved) {
        let code = code.trim().to_uppercase();
        if run.flow.answers.codes.contains(&code) && !out.contains(&code) {
            out.push(code);
        }
    }
    let complaint = opening.complaint.to_lowercase();
    for symptom in &run.flow.answers.symptoms {
        let word = symptom.to_lowercase();
        if complaint.contains(&word) || opening.symptoms.iter().any(|s| s.to_lowercase() == word) {
            out.push(symptom.clone());
        }
    }
    out
}

fn item(walked: &Walked) -> Item {
    let mut item = Item {
        head: walked.step.title.clone(),
        ..Item::default()
    };
    let Some(left) = &walked.visit.left else {
        not_left(walked).clone_into(&mut item.text);
        return item;
    };
    match &left.how {
        How::Skipped { reason, .. } => item.text = format!("Skipped: {}", stopped(reason)),
        How::Retest => {}
        How::Outcome(taken) => {
            let because = match walked.outcome() {
                Some(outcome) => outcome.because.as_str(),
                None => walked.of_the_readings().unwrap_or_default(),
            };
            item.text = stopped(&sentence(because));
            if let Target::Repair(_) | Target::Flow(_) = taken.go {
                let leads = suggest::target(&walked.run.flow, &taken.go);
                if !item.text.is_empty() {
                    item.text.push(' ');
                }
                item.text.push_str(&stopped(&sentence(&leads)));
            }
            if let Some(weighed) = taken.weighed.as_ref().filter(|w| w.taken != Chosen::Flow) {
                let went = suggest::target(&walked.run.flow, &taken.go);
                item.more.push(format!(
                    "Left by the evidence: {} Because {}",
                    stopped(&went),
                    stopped(&weighed.because)
                ));
            }
            if let Some(reason) = &taken.reason {
                item.more.push(against(walked, taken, reason));
            }
        }
    }
    if let Some(left) = walked.visit.hurried {
        item.more.push(format!(
            "Gone on before the step's wait was over: {left} were left."
        ));
    }
    if let Some(again) = walked.visit.rejudged.as_ref().filter(|r| r.changed()) {
        item.more.push(format!(
            "Judged again after {}: the flow now suggests {}.",
            words::change(again.because),
            suggestion(walked, &again.now)
        ));
    }
    item
}

/// What is said of a step that nobody has ended: only in a flow that still goes on does the job stand there.
fn not_left(walked: &Walked) -> &'static str {
    match walked.run.verdict {
        None => "The job stands here.",
        Some(_) => "The flow was left here, before its end.",
    }
}

fn against(walked: &Walked, taken: &OutcomeTaken, reason: &str) -> String {
    format!(
        "The technician's own choice. The flow suggested {}. Reason given: {}",
        suggestion_of(walked, taken),
        stopped(reason)
    )
}

/// What the flow suggested when a step was ended, and why it suggested nothing where not all of the
/// step was read.
fn suggestion_of(walked: &Walked, taken: &OutcomeTaken) -> String {
    if taken.unread.is_empty() {
        suggestion(walked, &taken.suggested)
    } else {
        format!("to read on first (not read: {})", words::unread(taken))
    }
}

/// Every choice that was not the suggested one, with what the readings suggested and the reason.
pub(super) fn against_section(case: &Case) -> Option<Section> {
    let rows: Vec<Vec<String>> = case
        .walked()
        .filter_map(|walked| {
            let taken = walked.taken()?;
            let reason = taken.reason.as_ref()?;
            let left = walked.visit.left.as_ref()?;
            let who = case.events.iter().find(|event| event.seq == left.seq);
            Some(vec![
                walked.step.title.clone(),
                sentence(&suggestion_of(&walked, taken)),
                sentence(&suggest::target(&walked.run.flow, &taken.go)),
                reason.clone(),
                format!(
                    "{}, {}",
                    who.map_or("", |event| event.who.as_str()),
                    case.when(left.at)
                ),
            ])
        })
        .collect();
    let head = ["Step", "The flow suggested", "Chosen", "Reason", "By"];
    let table = || Table {
        title: String::new(),
        head: head.map(str::to_owned).to_vec(),
        rows: rows.clone(),
        notes: Vec::new(),
    };
    let blocks = if rows.is_empty() {
        Vec::new()
    } else {
        vec![Block::Table(table())]
    };
    Section::of("Choices against the suggestion", blocks)
}

/// A suggestion in words.
fn suggestion(walked: &Walked, suggested: &Suggested) -> String {
    match suggested {
        Suggested::Outcome(id) => {
            let outcome = walked.step.outcomes.iter().find(|o| o.id == *id);
            match outcome.map(|o| o.because.trim_end_matches('.')) {
                Some(because) if !because.is_empty() => format!("\"{because}\""),
                _ => format!("the outcome {}", id.replace('-', " ")),
            }
        }
        Suggested::Unsure => "that it cannot be told".to_owned(),
        Suggested::NotValid => "that the readings are not valid".to_owned(),
        Suggested::NoMatch => "no outcome of this step".to_owned(),
    }
}
