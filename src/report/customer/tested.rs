//! What was tested, and why, a few sentences a flow.

use super::reason::told;
use crate::engine::event::{Event, What};
use crate::physics::trouble_code::Code;
use crate::report::case::Case;
use crate::report::page::{Block, Item, Section};
use crate::report::text::{joined, stopped};
use crate::report::walked::{Begun, begun};

/// One paragraph for each flow.
pub fn section(case: &Case) -> Option<Section> {
    let mut blocks = Vec::new();
    let mut said: Vec<&str> = Vec::new();
    for (n, run) in case.job.runs.iter().enumerate() {
        if said.contains(&run.flow.title.as_str()) || !was_read(case, &run.flow.id) {
            continue;
        }
        said.push(&run.flow.title);
        let mut words = vec![stopped(&run.flow.summary)];
        words.push(match begun(case, n, run) {
            Begun::Led(because) => match told(&because).as_str() {
                "" => "The test before it led us on to this one.".to_owned(),
                words => format!(
                    "The test before it ended with: \u{201c}{words}\u{201d} So we went on to this one."
                ),
            },
            Begun::Answers(all) => format!("We began it because of: {}.", joined(&all)),
            Begun::Own => "We chose it from experience.".to_owned(),
        });
        words.retain(|w| !w.trim().is_empty());
        blocks.push(Block::Point(Item {
            head: run.flow.title.clone(),
            text: words.join(" "),
            more: Vec::new(),
        }));
    }
    blocks.extend(codes(case));
    Section::of("What we tested, and why", blocks)
}

/// Whether anything was read in a flow: one that was only begun tested nothing.
fn was_read(case: &Case, flow: &str) -> bool {
    case.job.readings.iter().any(|taken| taken.flow == flow)
}

/// What the control unit had stored when the car came: what was saved before the first repair, and put right by then. What
/// a retest saved says nothing of how it came.
fn codes(case: &Case) -> Option<Block> {
    let repaired = |event: &&Event| !matches!(event.what, What::RepairDone { .. });
    let before = case.events.iter().take_while(repaired);
    let saved = before.filter_map(|event| match &event.what {
        What::CodesNoted(codes) => Some(codes),
        _ => None,
    });
    let first = saved.last();
    let codes = first.or(case.job.codes.as_ref())?;
    let lead = match first {
        Some(_) => "Before we changed anything we saved what the car's computer had stored",
        None => "Only after a repair we saved what the car's computer had stored",
    };
    let sheet = case.job.opening.as_ref().map(|opening| &opening.codes);
    let listed = |all: &[String]| joined(&all.iter().map(|code| meant(code)).collect::<Vec<_>>());
    let mut words = match codes.stored.as_slice() {
        [] => format!("{lead}: no trouble code."),
        all => format!("{lead}: {}.", listed(all)),
    };
    if !codes.pending.is_empty() {
        words.push_str(" Noticed by it, but not confirmed (pending): ");
        words.push_str(&stopped(&listed(&codes.pending)));
    }
    let known = |code: &String| codes.stored.contains(code) || codes.pending.contains(code);
    let others: Vec<String> = sheet
        .into_iter()
        .flatten()
        .filter(|code| !known(code))
        .cloned()
        .collect();
    if !others.is_empty() {
        words.push_str(" On the job sheet, and not in the computer then: ");
        words.push_str(&stopped(&listed(&others)));
    }
    Some(Block::Text(words))
}

/// A code with what it means, where the standard says so: "P0171 (bank 1 fuel system too lean)".
fn meant(code: &str) -> String {
    match Code::parse(code).and_then(Code::meaning) {
        Some(meaning) => format!("{code} ({meaning})"),
        None => code.to_owned(),
    }
}
