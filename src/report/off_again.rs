//! What the set-ups had fitted to the car, and who looked whether it is off again.

use super::case::Case;
use super::page::{Block, Section, Table};
use super::text::sentence;
use crate::engine::fitted::Stands;

/// Each thing that a set-up left on the car, with who confirmed it to be off, or that nobody did.
pub fn section(case: &Case) -> Option<Section> {
    let confirmed = case
        .job
        .taken_off
        .iter()
        .map(|off| row(&off.stood, format!("{}, {}", off.who, case.when(off.at))));
    let still = case.job.fitted.iter();
    let still = still.map(|stands| row(stands, "nobody has confirmed it".to_owned()));
    let rows: Vec<Vec<String>> = confirmed.chain(still).collect();
    if rows.is_empty() {
        return None;
    }
    let head = ["Looked at on the car", "Put there at", "Confirmed by"];
    Section::of(
        "Off the car again",
        vec![Block::Table(Table {
            title: String::new(),
            head: head.map(str::to_owned).to_vec(),
            rows,
            notes: Vec::new(),
        })],
    )
}

fn row(stands: &Stands, confirmed: String) -> Vec<String> {
    vec![
        sentence(&stands.what.off_again()),
        format!("{}, {}", stands.step, stands.flow),
        confirmed,
    ]
}
