//! Everything that happened on a job, with its time and who did it.

use super::case::Case;
use super::page::{Block, Section, Set, Table};
use super::text::sentence;
use crate::engine::words;

/// Every event in its order.
pub fn section(case: &Case) -> Option<Section> {
    let rows: Vec<Vec<String>> = case
        .events
        .iter()
        .map(|event| {
            vec![
                event.seq.to_string(),
                case.when(event.at),
                event.who.clone(),
                sentence(&words::event(event, case.job)),
            ]
        })
        .collect();
    let misfits: Vec<String> = case
        .job
        .misfits
        .iter()
        .map(|misfit| {
            format!(
                "Event {} did not fit where it stands: {}",
                misfit.seq, misfit.why
            )
        })
        .collect();
    if rows.is_empty() {
        return None;
    }
    let head = ["No.", "When", "Who", "What"];
    Section::of(
        "Everything that happened",
        vec![Block::Table(Table {
            title: String::new(),
            head: head.map(str::to_owned).to_vec(),
            rows,
            notes: misfits,
        })],
    )
    .map(|section| section.set(Set::Log))
}
