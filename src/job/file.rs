//! Job files: a job as YAML text, for people, for other stores and for keeping.
//!
//! ```yaml
//! ruleout-job: 1
//! job: 019c0c6e-8f00-7000-8000-000000000001
//! events:
//!   - id: 019c0c6e-8f00-7000-8000-000000000002
//!     seq: 1
//!     at: 2026-01-30T08:00:00Z
//!     who: Ina
//!     what:
//!       job-opened: ...
//! ```
//!
//! The file is the events and nothing else; reading what was written gives back every event and
//! every character. A file from elsewhere is not trusted: its size, depth and numbering are
//! checked before anything is done with it.

use std::collections::HashMap;
use std::fs::File;
use std::io::Read;
use std::path::Path;

use serde::Deserialize;
use serde_yaml::Spanned;
use uuid::Uuid;

use super::paper::{Shape, shape, write_pair};
use crate::engine::event::{Event, What};

/// The largest job file, in bytes (16 MiB): a year's worth of flows and readings in one job.
pub const LARGEST_FILE: usize = 16 << 20;
/// The form of job files that this version writes and reads.
pub const FORM: u64 = 1;
/// The key that a job file begins with.
const HEAD: &str = "ruleout-job";
/// The deepest nesting that is read; an event needs ten levels.
const DEEPEST: usize = 24;

/// A job as a file holds it.
#[derive(Clone, Debug, PartialEq)]
pub struct JobFile {
    /// The job's own name.
    pub job: Uuid,
    /// Its events, from 1 without gaps.
    pub events: Vec<Event>,
}

/// Why a job file cannot be read or written. Lines and columns count from 1.
#[derive(Debug, thiserror::Error)]
pub enum FileError {
    /// The system would not give or take it.
    #[error("{0}")]
    System(#[from] std::io::Error),
    /// Larger than [`LARGEST_FILE`].
    #[error("this is larger than a job file may be (16 MiB)")]
    TooLarge,
    /// Not a job file at all.
    #[error(
        "this is not a job file; one begins with the line `ruleout-job: 1` (`ruleout export` writes them)"
    )]
    NotAJobFile,
    /// A later form.
    #[error(
        "this is a job file of form {found}, and this version reads form {FORM}; use a newer ruleout"
    )]
    OtherForm {
        /// What stands after `ruleout-job:`.
        found: String,
    },
    /// A mistake at a place.
    #[error("line {line}, column {column}: {message}")]
    At {
        /// Line.
        line: u64,
        /// Column.
        column: u64,
        /// What is wrong there.
        message: String,
    },
    /// No events.
    #[error("this job file has no events; a job begins with `job-opened`")]
    Empty,
    /// The text would not give back the same events.
    #[error("the job cannot be written exactly: {0}")]
    Inexact(String),
}

impl JobFile {
    /// The file's text. It is read back before it is handed out, so what is written is known to
    /// be whole.
    ///
    /// # Errors
    /// [`FileError::TooLarge`]; [`FileError::Inexact`] for events that hold a number that is not
    /// one; whatever [`JobFile::parse`] has against the events.
    pub fn to_text(&self) -> Result<String, FileError> {
        let text = self.write(|shape| shape)?;
        if Self::parse(&text).is_ok_and(|back| back == *self) {
            return Ok(text);
        }
        // Should a text ever not come back as it stands, the job still gets out, if less readable.
        let text = self.write(Shape::spelled_out)?;
        match Self::parse(&text) {
            Ok(back) if back == *self => Ok(text),
            Ok(_) => Err(FileError::Inexact(
                "a value in it has no exact spelling".to_owned(),
            )),
            Err(FileError::At { message, .. }) => Err(FileError::Inexact(message)),
            Err(other) => Err(other),
        }
    }

    fn write(&self, form: fn(Shape) -> Shape) -> Result<String, FileError> {
        let mut out = format!(
            "{HEAD}: {FORM}\n# Everything that happened on one job, in order. `ruleout import` reads this file.\njob: {}\n",
            self.job
        );
        out.push_str("events:\n");
        for event in &self.events {
            let shape = shape(event).map_err(|error| FileError::Inexact(error.to_string()))?;
            let Shape::Map(pairs) = form(shape) else {
                continue;
            };
            for (place, (key, value)) in pairs.iter().enumerate() {
                out.push_str(if place == 0 { "  - " } else { "    " });
                write_pair(&mut out, key, value, 4);
            }
        }
        Ok(out)
    }

    /// Reads a job file's text.
    ///
    /// # Errors
    /// See [`FileError`].
    pub fn parse(text: &str) -> Result<Self, FileError> {
        if text.len() > LARGEST_FILE {
            return Err(FileError::TooLarge);
        }
        check_head(text)?;
        let raw: Raw =
            serde_yaml::from_str_with_options(text, options()).map_err(|error| worded(&error))?;
        check_order(&raw.events)?;
        Ok(Self {
            job: raw.job,
            events: raw.events.into_iter().map(|event| event.value).collect(),
        })
    }

    /// Reads a job file from a stream, and no more of it than a job file may hold.
    ///
    /// # Errors
    /// See [`FileError`].
    pub fn read_from(source: impl Read) -> Result<Self, FileError> {
        let mut bytes = Vec::new();
        source
            .take(LARGEST_FILE as u64 + 1)
            .read_to_end(&mut bytes)?;
        if bytes.len() > LARGEST_FILE {
            return Err(FileError::TooLarge);
        }
        let text = String::from_utf8(bytes).map_err(|_| FileError::NotAJobFile)?;
        Self::parse(&text)
    }

    /// Reads a job file.
    ///
    /// # Errors
    /// See [`FileError`].
    pub fn read(path: &Path) -> Result<Self, FileError> {
        Self::read_from(File::open(path)?)
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Raw {
    #[serde(rename = "ruleout-job")]
    _form: u64,
    job: Uuid,
    events: Vec<Spanned<Event>>,
}

fn options() -> serde_yaml::Options {
    let budget = serde_yaml::budget! {
        max_depth: DEEPEST,
        flow_nesting_limit: DEEPEST,
        max_nodes: LARGEST_FILE,
        max_events: LARGEST_FILE,
        max_total_scalar_bytes: LARGEST_FILE,
        // Job files have no use for them, and a bomb is made of them.
        max_aliases: 0,
        max_anchors: 0,
    };
    serde_yaml::options! {
        budget: budget,
        strict_booleans: true,
        merge_keys: serde_yaml::options::MergeKeyPolicy::AsOrdinary,
    }
}

/// Tells a foreign file and a later form apart from a job file with a mistake in it.
fn check_head(text: &str) -> Result<(), FileError> {
    let text = text.trim_start_matches('\u{FEFF}');
    let first = text
        .lines()
        .map(str::trim_end)
        .find(|line| !line.is_empty() && !line.starts_with('#') && *line != "---")
        .ok_or(FileError::NotAJobFile)?;
    let form = first
        .strip_prefix(HEAD)
        .and_then(|rest| rest.strip_prefix(':'))
        .ok_or(FileError::NotAJobFile)?;
    let form = form.split(" #").next().unwrap_or_default().trim();
    if form.parse() == Ok(FORM) {
        Ok(())
    } else {
        Err(FileError::OtherForm {
            found: form.chars().take(20).collect(),
        })
    }
}

/// The library's own sentence, which knows best what it stumbled over, at its place.
fn worded(error: &serde_yaml::Error) -> FileError {
    let bare = error.without_snippet();
    let message = bare.render_with_formatter(&serde_yaml::UserMessageFormatter);
    let message = message.lines().next().unwrap_or("this is not YAML").trim();
    let message = message.strip_prefix("error: ").unwrap_or(message);
    let message = message
        .rsplit_once(" at line ")
        .map_or(message, |(before, _)| before);
    let message = if message.contains("Anchors") || message.contains("Aliases") {
        "anchors (`&`) and aliases (`*`) have no place in a job file; write the text out, in quotes"
    } else if message.contains("recursion") || message.contains("limits breached") {
        "this is nested deeper, or holds more, than a job file ever does"
    } else {
        message
    };
    let (line, column) = bare
        .location()
        .map_or((1, 1), |at| (at.line(), at.column()));
    FileError::At {
        line,
        column,
        message: message.to_owned(),
    }
}

fn check_order(events: &[Spanned<Event>]) -> Result<(), FileError> {
    let first = events.first().ok_or(FileError::Empty)?;
    if !matches!(first.value.what, What::JobOpened(_)) {
        return Err(at(
            first,
            "the first event of a job is `job-opened`".to_owned(),
        ));
    }
    let mut names = HashMap::new();
    for (place, event) in events.iter().enumerate() {
        let (expected, found) = (place as u64 + 1, event.value.seq);
        if found != expected {
            let message = if found < expected {
                format!("event number {found} comes twice or out of order; {expected} belongs here")
            } else {
                format!("event number {expected} is missing: {found} comes in its place")
            };
            return Err(at(event, message));
        }
        if let Some(earlier) = names.insert(event.value.id, found) {
            return Err(at(
                event,
                format!("this event has the same `id` as event number {earlier}"),
            ));
        }
    }
    Ok(())
}

fn at(event: &Spanned<Event>, message: String) -> FileError {
    FileError::At {
        line: event.referenced.line(),
        column: event.referenced.column(),
        message,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn job(complaint: &str) -> JobFile {
        let text = format!(
            "ruleout-job: 1\njob: 019c0c6e-8f00-7000-8000-000000000001\nevents:\n  - id: 019c0c6e-8f00-7000-8000-000000000002\n    seq: 1\n    at: 2026-03-02T12:00:00Z\n    who: Ina\n    what: {{job-opened: {{vehicle: {{plate: KT-204}}, complaint: {complaint}}}}}\n"
        );
        JobFile::parse(&text).expect(&text)
    }

    #[test]
    fn the_guarded_form_says_the_same() {
        let file = job("\"two\\nlines: and \\t a tab, \\u202E\\0\"");
        let text = file.write(Shape::spelled_out).expect("exact");
        assert!(text.contains("who: \"Ina\""), "{text}");
        assert_eq!(JobFile::parse(&text).expect("whole"), file);
    }

    #[test]
    fn a_file_from_another_editor_is_read_too() {
        let text = job("whistles").to_text().expect("exact");
        for other in [
            format!("\u{FEFF}{text}"),
            text.replace('\n', "\r\n"),
            format!("# mine\n---\n{text}...\n"),
        ] {
            assert_eq!(
                JobFile::parse(&other).expect("whole"),
                job("whistles"),
                "{other}"
            );
        }
    }

    #[test]
    fn a_second_document_in_the_file_is_refused() {
        let text = job("whistles").to_text().expect("exact");
        assert!(JobFile::parse(&format!("{text}---\n{text}")).is_err());
    }
}
