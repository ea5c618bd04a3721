//! The judgement: the steps at which the readings decided something, in plain words with their
//! numbers.

use super::case::{Case, Walked};
use super::page::{Block, Item, Section, Table};
use super::text::{sentence, stopped};
use crate::flow::choice::name;
use crate::flow::model::{Arg, Phase};
use crate::flow::target::Target;
use crate::flow::working::Picture;
use crate::rules::suggest::value;

/// Every judgement, test by test.
pub fn section(case: &Case) -> Option<Section> {
    let mut blocks = Vec::new();
    let mut test = 0;
    // Each value is said once a test, where it is first judged by.
    let mut said: Vec<String> = Vec::new();
    for walked in case.walked().filter(decides) {
        if walked.visit.test != test {
            test = walked.visit.test;
            said.clear();
            if case.tests() > 1 {
                blocks.push(Block::Heading(case.test_name(test)));
            }
        }
        let picture = walked.picture(case);
        blocks.push(Block::Point(Item {
            head: walked.step.title.clone(),
            text: words(&walked, &picture, &mut said),
            more: Vec::new(),
        }));
        blocks.extend(numbers(&walked, &picture, &mut said));
    }
    Section::of("The judgement", blocks)
}

/// Whether a step decided something: it judged, or it led out of the flow.
fn decides(walked: &Walked) -> bool {
    let Some(taken) = walked.taken() else {
        return false;
    };
    let leads_out = !matches!(taken.go, Target::Step(_));
    let judges = matches!(walked.step.phase, Phase::Judge | Phase::Retest);
    judges || leads_out
}

fn words(walked: &Walked, picture: &Picture, said: &mut Vec<String>) -> String {
    let mut out = Vec::new();
    for id in &walked.step.show {
        if !said.contains(id)
            && let Some(share) = share(walked, id, picture)
        {
            out.push(share);
            said.push(id.clone());
        }
    }
    let taken = walked.taken();
    match (walked.outcome(), taken) {
        (Some(outcome), _) if !outcome.because.is_empty() => {
            out.push(stopped(&sentence(&outcome.because)));
        }
        (None, Some(_)) => {
            out.extend(
                walked
                    .of_the_readings()
                    .map(|words| stopped(&sentence(words))),
            );
        }
        _ => {}
    }
    if let Some(reason) = taken.and_then(|t| t.reason.as_ref()) {
        out.push(format!(
            "Chosen against the suggestion: {}",
            stopped(reason)
        ));
    }
    out.join(" ")
}

/// "The opening of the covered place is ...; the opening that the trims need is ... The share of
/// the complaint that it explains is 8 % (5 to 12 %)."
fn share(walked: &Walked, id: &str, picture: &Picture) -> Option<String> {
    let flow = &walked.run.flow;
    let work = flow
        .work(id)
        .filter(|w| w.calculation.name == "share" && w.take == 0)?;
    let of = |inputs: [&str; 2]| {
        let arg = work.inputs.iter().find(|(name, _)| inputs.contains(name));
        match arg {
            Some((_, Arg::Of(id))) => Some((the(&name(flow, id)), value(flow, id, picture)?)),
            _ => None,
        }
    };
    let share = value(flow, id, picture)?;
    let (found, found_size) = of(["hole", "hole-area"])?;
    let (needed, needed_size) = of(["needed", "needed-area"])?;
    Some(format!(
        "{} is {found_size}; {needed} is {needed_size}. {} is {share}.",
        sentence(&found),
        sentence(&the(&work.name))
    ))
}

/// A value's name with its article, where the author wrote none, as it stands inside a sentence.
fn the(name: &str) -> String {
    let mut letters = name.chars();
    let first = letters.next();
    let rest = letters.as_str();
    // "Hole found" begins small, "MAP reading" does not.
    let name = match first {
        Some(first) if rest.starts_with(char::is_lowercase) => {
            first.to_lowercase().chain(rest.chars()).collect()
        }
        _ => name.to_owned(),
    };
    if name.starts_with("the ") || name.starts_with("it ") {
        name
    } else {
        format!("the {name}")
    }
}

/// What the step showed and was not said yet, as a table.
fn numbers(walked: &Walked, picture: &Picture, said: &mut Vec<String>) -> Option<Block> {
    let flow = &walked.run.flow;
    let mut rows = Vec::new();
    for id in &walked.step.show {
        if !said.contains(id)
            && let Some(shown) = value(flow, id, picture)
        {
            rows.push(vec![sentence(&name(flow, id)), shown]);
            said.push(id.clone());
        }
    }
    (!rows.is_empty()).then(|| {
        Block::Table(Table {
            title: String::new(),
            head: vec!["Worked out".to_owned(), "Value (95 % interval)".to_owned()],
            rows,
            notes: Vec::new(),
        })
    })
}
