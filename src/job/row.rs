//! Events as rows of the table, and back.
//!
//! A row is written only if it reads back as the same event, and read only if its numbers follow
//! one another: what is wrong with a record is said when it is met, never passed on.

use std::path::Path;

use chrono::{DateTime, Utc};
use rusqlite::{Connection, Transaction, params};
use uuid::Uuid;

use super::schema::{count, fault};
use super::store::StoreError;
use crate::engine::event::{Event, What};

/// An event as the table holds it.
pub struct Row<'a> {
    seq: i64,
    id: String,
    at: String,
    who: &'a str,
    what: String,
}

impl<'a> Row<'a> {
    /// Turns an event into text and back again, and accepts it only if it came through unharmed:
    /// a number that is not a number would be written as nothing and be missing for ever.
    pub fn of(event: &'a Event) -> Result<Self, StoreError> {
        let inexact = || StoreError::Inexact { seq: event.seq };
        let row = Self {
            seq: i64::try_from(event.seq).map_err(|_| inexact())?,
            id: event.id.to_string(),
            at: time_text(event.at),
            who: &event.who,
            what: serde_json::to_string(&event.what).map_err(|_| inexact())?,
        };
        let what: What = serde_json::from_str(&row.what).map_err(|_| inexact())?;
        let same = what == event.what && time(&row.at) == Some(event.at);
        if same { Ok(row) } else { Err(inexact()) }
    }
}

/// A time as rows have it.
pub fn time_text(at: DateTime<Utc>) -> String {
    at.to_rfc3339_opts(chrono::SecondsFormat::AutoSi, true)
}

/// A time from a row.
pub fn time(text: &str) -> Option<DateTime<Utc>> {
    DateTime::parse_from_rfc3339(text)
        .ok()
        .map(|at| at.to_utc())
}

/// The events of a job after one with this number; 0: all.
pub fn read(db: &Connection, file: &Path, job: Uuid, after: u64) -> Result<Vec<Event>, StoreError> {
    let fetch = || -> rusqlite::Result<Vec<(u64, [String; 4])>> {
        let mut ask = db.prepare_cached(
            "SELECT seq, id, at, who, what FROM events WHERE job = ?1 AND seq > ?2 ORDER BY seq",
        )?;
        let rows = ask.query_map(params![job.to_string(), after.cast_signed()], |row| {
            Ok((
                count(row, 0)?,
                [row.get(1)?, row.get(2)?, row.get(3)?, row.get(4)?],
            ))
        })?;
        rows.collect()
    };
    let rows = fetch().map_err(|error| fault(file, &error))?;
    let mut events = Vec::with_capacity(rows.len());
    for (wanted, (seq, [id, at, who, what])) in (after + 1..).zip(rows) {
        let unreadable = |detail: String| StoreError::Unreadable {
            file: file.to_owned(),
            job,
            seq,
            detail,
        };
        if seq != wanted {
            return Err(StoreError::Damaged {
                file: file.to_owned(),
                detail: format!("event {wanted} of job {job} is missing"),
            });
        }
        events.push(Event {
            id: id
                .parse()
                .map_err(|_| unreadable(format!("`{id}` is no name of an event")))?,
            seq,
            at: time(&at).ok_or_else(|| unreadable(format!("`{at}` is no time")))?,
            who,
            what: serde_json::from_str(&what).map_err(|error| unreadable(error.to_string()))?,
        });
    }
    Ok(events)
}

/// Adds the rows to a job.
pub fn put_events(write: &Transaction<'_>, job: Uuid, rows: &[Row<'_>]) -> rusqlite::Result<()> {
    let mut put = write.prepare_cached(
        "INSERT INTO events (job, seq, id, at, who, what) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
    )?;
    let job = job.to_string();
    for row in rows {
        put.execute(params![job, row.seq, row.id, row.at, row.who, row.what])?;
    }
    Ok(())
}
