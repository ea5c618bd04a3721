//! The narrow door to wherever events are kept: append, read, search, and the claim of the one
//! writer that a job has.
//!
//! Nothing above this trait knows a database. Events are immutable and uniquely named, and a job
//! has one writer at a time, so any store that keeps these three promises can stand behind it.

use std::fmt;
use std::path::PathBuf;

use chrono::{DateTime, Local, Utc};
use serde::{Deserialize, Serialize};
use uuid::Uuid;

use crate::engine::event::Event;

/// Where the events of jobs are kept.
pub trait Store {
    /// Adds events to the end of a job, all of them or none; they are durable on return.
    ///
    /// `after` is the number of the last event that the writer knows (0: the job is new).
    ///
    /// # Errors
    /// [`StoreError::OtherWriter`] when the job has moved on since `after` or somebody else holds
    /// it; [`StoreError::Gap`], [`StoreError::NotOpened`], [`StoreError::SameId`] and
    /// [`StoreError::Inexact`] for events that do not fit; otherwise what the disk says.
    fn append(&mut self, job: Uuid, after: u64, events: &[Event]) -> Result<(), StoreError>;

    /// All events of a job in their order; empty for a job that this store does not hold.
    ///
    /// # Errors
    /// What the disk says, and [`StoreError::Unreadable`] for an event that cannot be understood.
    fn read(&self, job: Uuid) -> Result<Vec<Event>, StoreError>;

    /// The events of a job after one with this number, in their order.
    ///
    /// # Errors
    /// As [`Self::read`].
    fn read_after(&self, job: Uuid, after: u64) -> Result<Vec<Event>, StoreError>;

    /// The jobs in which every word of the query occurs, newest activity first; `""` finds all.
    ///
    /// Words are looked for in any case and as parts of words, in the number ("job 12"), plate,
    /// vehicle number, model, complaint, symptoms, codes, causes repaired, findings and remarks.
    ///
    /// # Errors
    /// What the disk says.
    fn search(&self, query: &str) -> Result<Vec<JobLine>, StoreError>;

    /// Claims a job for writing, or renews the claim; call it at least once a minute while the job
    /// is open. An append by the holder renews it too. A new job is claimed after its first append.
    ///
    /// # Errors
    /// [`StoreError::Held`] if somebody else has the job and was not asked to give it up;
    /// [`StoreError::NoSuchJob`].
    fn claim(&mut self, job: Uuid, who: &str, how: Claim) -> Result<(), StoreError>;

    /// Gives a claim back, so that the next one need not ask. Does nothing without a claim.
    ///
    /// # Errors
    /// What the disk says.
    fn release(&mut self, job: Uuid) -> Result<(), StoreError>;

    /// Who else has a job open just now; `None` also if it is this store itself.
    ///
    /// # Errors
    /// What the disk says.
    fn writer(&self, job: Uuid) -> Result<Option<Writer>, StoreError>;
}

/// How to claim a job that somebody else has.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Claim {
    /// Ask, and stand back while the other one is there.
    Politely,
    /// Take it over, because a person said so.
    TakeOver,
}

/// A job in one line, as lists show it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct JobLine {
    /// The job's own name, the same in every store.
    pub id: Uuid,
    /// Its short running number in this store, for people: "job 12".
    pub number: u64,
    /// Registration plate.
    pub plate: String,
    /// Make, model and year.
    pub model: String,
    /// The complaint.
    pub complaint: String,
    /// Every code noted so far, each once.
    pub codes: Vec<String>,
    /// The bay; empty if none was given.
    pub bay: String,
    /// When the job was opened.
    pub opened: DateTime<Utc>,
    /// When its last event happened.
    pub last: DateTime<Utc>,
    /// The flow that was begun last and not closed.
    pub flow: Option<String>,
    /// The step that the events name as the present one. A flow's first step is known from the
    /// flow alone, so this is empty until the first outcome.
    pub step: Option<String>,
    /// Open, or handed over.
    pub state: JobState,
    /// How many events it has.
    pub events: u64,
}

/// Whether a job is finished.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum JobState {
    /// Still being worked on.
    #[serde(rename = "open")]
    Open,
    /// The car went back to its owner.
    #[serde(rename = "handed over")]
    HandedOver,
}

impl fmt::Display for JobState {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Open => "open",
            Self::HandedOver => "handed over",
        })
    }
}

/// Who has a job open for writing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Writer {
    /// As they are called in the workshop.
    pub who: String,
    /// Since when.
    pub since: DateTime<Utc>,
    /// When they last gave a sign of life.
    pub renewed: DateTime<Utc>,
}

impl fmt::Display for Writer {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let since = self.since.with_timezone(&Local).format("%Y-%m-%d %H:%M");
        let who = if self.who.trim().is_empty() {
            "somebody"
        } else {
            &self.who
        };
        write!(f, "{who}, since {since}")
    }
}

/// Why the store could not do what was asked. Each says what to do about it.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// The folder cannot be made or written to.
    #[error(
        "the folder {} cannot be used: {reason}; make it writable, or choose another with --data DIR",
        .dir.display()
    )]
    Folder {
        /// The folder.
        dir: PathBuf,
        /// What the system says.
        reason: String,
    },
    /// The file cannot be written to.
    #[error(
        "{} cannot be written to; make the file and its folder writable, or choose another folder \
         with --data DIR",
        .file.display()
    )]
    ReadOnly {
        /// The file.
        file: PathBuf,
    },
    /// No room is left.
    #[error(
        "the disk that holds {} is full; make room, then enter the last answer again (all before \
         it is kept)",
        .file.display()
    )]
    Full {
        /// The file.
        file: PathBuf,
    },
    /// The file is something else.
    #[error(
        "{} is not a store of ruleout; move it away, or choose another folder with --data DIR",
        .file.display()
    )]
    NotAStore {
        /// The file.
        file: PathBuf,
    },
    /// The file was written by a later version.
    #[error(
        "{} has form {found}, and this version reads up to form {known}; use the newer ruleout that \
         wrote it",
        .file.display()
    )]
    Newer {
        /// The file.
        file: PathBuf,
        /// Its form.
        found: i64,
        /// The newest form that this version knows.
        known: i64,
    },
    /// The file is damaged.
    #[error(
        "{} is damaged ({detail}); copy the whole folder to a safe place before anything else, then \
         restore a backup, or choose another folder with --data DIR",
        .file.display()
    )]
    Damaged {
        /// The file.
        file: PathBuf,
        /// What is wrong.
        detail: String,
    },
    /// One event cannot be understood.
    #[error(
        "event {seq} of job {job} in {} cannot be read ({detail}); it may come from a newer ruleout: \
         use that one, nothing was changed",
        .file.display()
    )]
    Unreadable {
        /// The file.
        file: PathBuf,
        /// The job.
        job: Uuid,
        /// The event's number.
        seq: u64,
        /// What is wrong with it.
        detail: String,
    },
    /// Another process keeps the file to itself.
    #[error(
        "{} is kept busy by another program; wait a moment and try again, or close the other program",
        .file.display()
    )]
    Busy {
        /// The file.
        file: PathBuf,
    },
    /// Somebody else has written to the job, or holds it.
    #[error(
        "job {number} is being written elsewhere{}: it stands at event {now}, this window knew \
         {knew}; nothing was saved here, open the job again and go on from there",
        by_whom(.by.as_ref())
    )]
    OtherWriter {
        /// The job's number.
        number: u64,
        /// Who, if they hold it now.
        by: Option<Writer>,
        /// The last event that this writer knew.
        knew: u64,
        /// The last event in the store.
        now: u64,
    },
    /// Somebody else has the job open.
    #[error(
        "job {number} is open elsewhere ({by}); close it there, or take it over: whatever is entered \
         there afterwards is refused, and nothing that is saved is lost"
    )]
    Held {
        /// The job's number.
        number: u64,
        /// Who has it.
        by: Writer,
    },
    /// The store holds no such job.
    #[error("there is no job {job} here; `ruleout jobs` lists those that are")]
    NoSuchJob {
        /// The job.
        job: Uuid,
    },
    /// Event numbers do not follow one another.
    #[error("event {expected} of job {job} is missing: number {found} comes in its place")]
    Gap {
        /// The job.
        job: Uuid,
        /// The number that should come.
        expected: u64,
        /// The number that comes.
        found: u64,
    },
    /// A job does not begin with its opening.
    #[error("job {job} does not begin with its opening; a job's first event is `job-opened`")]
    NotOpened {
        /// The job.
        job: Uuid,
    },
    /// An event's name is taken.
    #[error("event {id} is in the store already, as event {seq} of job {job}")]
    SameId {
        /// The event.
        id: Uuid,
        /// The job that has it.
        job: Uuid,
        /// Its number there.
        seq: u64,
    },
    /// The event would not come back as it is.
    #[error(
        "event {seq} cannot be kept exactly (a number in it is infinite or no number, or its time is \
         beyond the calendar); enter the value again, and check the computer's clock"
    )]
    Inexact {
        /// The event's number.
        seq: u64,
    },
    /// Something else went wrong in the database.
    #[error("{}: {detail}", .file.display())]
    Other {
        /// The file.
        file: PathBuf,
        /// What the database says.
        detail: String,
    },
}

fn by_whom(by: Option<&Writer>) -> String {
    by.map_or_else(String::new, |writer| format!(" ({writer})"))
}
