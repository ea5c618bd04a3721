//! A job file into a store: a union, since events are immutable and uniquely named.

use super::file::JobFile;
use super::store::{Store, StoreError};
use crate::engine::event::{Event, What};
use crate::engine::practised::is_practice;

/// What an import did.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Merged {
    /// The job's number in the store.
    pub number: u64,
    /// Events that were added.
    pub added: u64,
    /// Events that were there already, in the file or beyond it.
    pub known: u64,
}

/// Why an import was refused; the store is as it was.
#[derive(Debug, thiserror::Error)]
pub enum MergeError {
    /// The store has another history of this job.
    #[error(
        "job {number} went another way here: event {seq} is {here} in the store and {there} in the \
         file; nothing was added. Keep both: import the file into another store with --data DIR"
    )]
    Conflict {
        /// The job's number in the store.
        number: u64,
        /// The first event that differs.
        seq: u64,
        /// What the store has.
        here: String,
        /// What the file has.
        there: String,
    },
    /// It is an exercise.
    #[error(
        "this is an exercise on a car that is not there, and not a job: it stays among the exercises, and nothing was \
         added"
    )]
    Practice,
    /// The store would not.
    #[error(transparent)]
    Store(#[from] StoreError),
}

/// Adds the events of a job file that the store does not have yet. A job that is there already
/// grows by what the file has more; a file that is older than the store adds nothing.
///
/// # Errors
/// [`MergeError::Conflict`] if an event that both have differs, and whatever the store says.
pub fn merge(store: &mut dyn Store, file: &JobFile) -> Result<Merged, MergeError> {
    if is_practice(&file.events) {
        return Err(MergeError::Practice);
    }
    let here = store.read(file.job)?;
    let known = here.len();
    if let Some((ours, theirs)) = here
        .iter()
        .zip(&file.events)
        .find(|(ours, theirs)| ours != theirs)
    {
        return Err(MergeError::Conflict {
            number: number(store, file)?,
            seq: ours.seq,
            here: named(ours, theirs),
            there: named(theirs, ours),
        });
    }
    let tail = file.events.get(known..).unwrap_or_default();
    if !tail.is_empty() {
        store.append(file.job, known as u64, tail)?;
    }
    Ok(Merged {
        number: number(store, file)?,
        added: tail.len() as u64,
        known: known as u64,
    })
}

fn number(store: &dyn Store, file: &JobFile) -> Result<u64, StoreError> {
    let lines = store.search("")?;
    lines
        .iter()
        .find(|line| line.id == file.job)
        .map(|line| line.number)
        .ok_or(StoreError::NoSuchJob { job: file.job })
}

/// An event in a few words; with its content where kind, person and time do not tell the two apart.
fn named(event: &Event, other: &Event) -> String {
    let brief = |event: &Event| {
        format!(
            "`{}` by {} at {}",
            kind(&event.what),
            event.who,
            event.at.format("%Y-%m-%d %H:%M:%S UTC")
        )
    };
    let mut text = brief(event);
    if text == brief(other) {
        let body = serde_json::to_string(event).unwrap_or_default();
        let twin = serde_json::to_string(other).unwrap_or_default();
        text.push_str(": ");
        text.push_str(&from_difference(&body, &twin));
    }
    text
}

/// A piece of a text around the place where it parts from another.
fn from_difference(text: &str, other: &str) -> String {
    let same = text
        .chars()
        .zip(other.chars())
        .take_while(|(a, b)| a == b)
        .count();
    text.chars()
        .skip(same.saturating_sub(20))
        .take(60)
        .collect()
}

/// The name of an event's kind, as job files write it.
pub fn kind(what: &What) -> String {
    match serde_json::to_value(what) {
        Ok(serde_json::Value::String(name)) => name,
        Ok(serde_json::Value::Object(map)) => map.keys().next().cloned().unwrap_or_default(),
        _ => String::new(),
    }
}
