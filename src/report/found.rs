//! What was found, where, and how strongly it showed.

use std::collections::BTreeSet;

use super::case::Case;
use super::page::{Block, Item, Section, Table};
use super::text::{sentence, stopped};
use crate::engine::job::Taken;
use crate::engine::shown;
use crate::flow::answer::Answer;
use crate::flow::model::PromptKind;

/// Places with their strength, test beside test, and what was noted beside the readings.
pub fn section(case: &Case) -> Option<Section> {
    let mut blocks = Vec::new();
    for run in &case.job.runs {
        for prompt in &run.flow.readings {
            let known = |b: &Block| matches!(b, Block::Table(t) if t.title == prompt.ask);
            if matches!(prompt.kind, PromptKind::Places(_)) && !blocks.iter().any(known) {
                blocks.extend(places(case, &prompt.id, &prompt.ask));
            }
            if prompt.is_search_by_choice() {
                blocks.extend(chosen(case, &prompt.id, &prompt.ask));
            }
        }
    }
    let noted: Vec<Item> = case
        .job
        .findings
        .iter()
        .map(|noted| Item {
            head: noted.place.clone(),
            text: stopped(&noted.note),
            more: Vec::new(),
        })
        .collect();
    if !noted.is_empty() {
        blocks.push(Block::List(noted));
    }
    Section::of("What was found, and where", blocks)
}

/// What was heard, or where water came in: chosen from a list, and the last answer of each test counts.
fn chosen(case: &Case, reading: &str, ask: &str) -> Option<Block> {
    let tests: Vec<String> = (1..=case.tests())
        .filter_map(|test| {
            let answer = last_of(case, reading, test)?;
            let answer = shown::answer(&answer.value);
            Some(if case.tests() > 1 {
                format!("test {test}: {answer}")
            } else {
                answer
            })
        })
        .collect();
    let words = stopped(&sentence(&tests.join("; ")));
    (!tests.is_empty()).then(|| Block::Text(format!("{ask} {words}")))
}

/// The last answer of a test, on the way that counts.
fn last_of<'j>(case: &Case<'j>, reading: &str, test: u32) -> Option<&'j Taken> {
    let on_the_way = |taken: &&Taken| case.walked().any(|w| w.visit.since_seq == taken.visit);
    let mut taken = case.job.readings.iter().rev().filter(on_the_way);
    taken.find(|t| t.reading == reading && t.test == test)
}

fn places(case: &Case, reading: &str, ask: &str) -> Option<Block> {
    let tests: Vec<&Taken> = (1..=case.tests())
        .filter_map(|test| last_of(case, reading, test))
        .collect();
    let shown_at: BTreeSet<&String> = tests
        .iter()
        .filter_map(|taken| match &taken.value {
            Answer::Places(places) => Some(places.keys()),
            _ => None,
        })
        .flatten()
        .collect();
    if tests.is_empty() {
        return None;
    }
    if shown_at.is_empty() && tests.iter().all(|t| matches!(t.value, Answer::Places(_))) {
        return Some(Block::Text(format!("{ask} Nowhere.")));
    }
    let mut head = vec!["Place".to_owned()];
    head.extend(tests.iter().map(|taken| {
        if case.tests() > 1 {
            format!("Test {}", taken.test)
        } else {
            "How strongly".to_owned()
        }
    }));
    let mut rows: Vec<Vec<String>> = shown_at
        .into_iter()
        .map(|place| {
            let mut row = vec![sentence(place)];
            row.extend(tests.iter().map(|taken| at(taken, place)));
            row
        })
        .collect();
    if rows.is_empty() {
        let mut row = vec!["Anywhere".to_owned()];
        row.extend(tests.iter().map(|taken| shown::answer(&taken.value)));
        rows.push(row);
    }
    Some(Block::Table(Table {
        title: ask.to_owned(),
        head,
        rows,
        notes: Vec::new(),
    }))
}

fn at(taken: &Taken, place: &str) -> String {
    match &taken.value {
        Answer::Places(places) => places
            .get(place)
            .map_or("nothing", |strength| shown::strength(*strength))
            .to_owned(),
        other => shown::answer(other),
    }
}
