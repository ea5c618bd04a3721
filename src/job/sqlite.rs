//! The store in one `SQLite` file, `ruleout.db`, with a write-ahead log and full sync.
//!
//! All events of one append are one transaction, together with the job's line and search words
//! that are made from them. What an event is, the database knows only as JSON text.

use std::cmp::Reverse;
use std::collections::HashMap;
use std::fs;
use std::path::{Path, PathBuf};

use rusqlite::{Connection, OptionalExtension, Transaction, TransactionBehavior, params};
use uuid::Uuid;

use super::alive::SignOfLife;
use super::row::{Row, put_events, read};
use super::schema::{self, count, fault, number_of};
use super::store::{Claim, JobLine, Store, StoreError, Writer};
use super::{claim, line};
use crate::engine::event::{Event, What};

/// The store's file in its folder.
pub const FILE: &str = "ruleout.db";

/// The store in an `SQLite` file.
#[derive(Debug)]
pub struct SqliteStore {
    pub(super) db: Connection,
    pub(super) file: PathBuf,
    /// The folder, unless the store is in memory.
    pub(super) dir: Option<PathBuf>,
    /// The name under which this store claims jobs.
    pub(super) me: Uuid,
    pub(super) alive: Option<SignOfLife>,
    /// Whether it ever claimed a job, and so has something to give back.
    pub(super) claimed: bool,
}

impl SqliteStore {
    /// Opens the store in a folder; makes both where there are none.
    ///
    /// # Errors
    /// A folder that cannot be used, a file that is something else or of a newer form.
    pub fn open(dir: &Path) -> Result<Self, StoreError> {
        fs::create_dir_all(dir).map_err(|error| StoreError::Folder {
            dir: dir.to_owned(),
            reason: error.to_string(),
        })?;
        let file = dir.join(FILE);
        let db = Connection::open(&file).map_err(|error| fault(&file, &error))?;
        Self::ready(db, file, Some(dir.to_owned()))
    }

    /// A store that is gone when it is dropped, for demonstrations and tests.
    ///
    /// # Errors
    /// If there is no memory for it.
    pub fn in_memory() -> Result<Self, StoreError> {
        let file = PathBuf::from("(memory)");
        let db = Connection::open_in_memory().map_err(|error| fault(&file, &error))?;
        Self::ready(db, file, None)
    }

    fn ready(mut db: Connection, file: PathBuf, dir: Option<PathBuf>) -> Result<Self, StoreError> {
        schema::prepare(&mut db, &file)?;
        Ok(Self {
            db,
            file,
            dir,
            me: Uuid::now_v7(),
            alive: None,
            claimed: false,
        })
    }

    /// The file, for messages.
    pub fn file(&self) -> &Path {
        &self.file
    }
}

impl Store for SqliteStore {
    fn append(&mut self, job: Uuid, after: u64, events: &[Event]) -> Result<(), StoreError> {
        follow_on(job, after, events)?;
        let rows = events.iter().map(Row::of).collect::<Result<Vec<_>, _>>()?;
        let write = self
            .db
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(|error| fault(&self.file, &error))?;
        let has = number_of(&write, job).map_err(|error| fault(&self.file, &error))?;
        if has.is_none() && after > 0 {
            return Err(StoreError::NoSuchJob { job });
        }
        let number = has
            .map_or_else(|| next_number(&write), Ok)
            .map_err(|error| fault(&self.file, &error))?;
        let mut all = read(&write, &self.file, job, 0)?;
        let now = all.len() as u64;
        let by = claim::others(&write, &self.file, self.dir.as_deref(), self.me, job)?;
        if now != after || by.is_some() {
            return Err(StoreError::OtherWriter {
                number,
                by,
                knew: after,
                now,
            });
        }
        if events.is_empty() {
            return Ok(());
        }
        all.extend_from_slice(events);
        let line = line::line(job, number, &all).ok_or(StoreError::NotOpened { job })?;
        refuse_taken_names(&write, &self.file, job, events)?;
        let put = || -> rusqlite::Result<()> {
            put_line(&write, &line, &line::words(number, &all))?;
            put_events(&write, job, &rows)?;
            claim::touch(&write, self.me, job)
        };
        put().map_err(|error| fault(&self.file, &error))?;
        write.commit().map_err(|error| fault(&self.file, &error))
    }

    fn read(&self, job: Uuid) -> Result<Vec<Event>, StoreError> {
        read(&self.db, &self.file, job, 0)
    }

    fn read_after(&self, job: Uuid, after: u64) -> Result<Vec<Event>, StoreError> {
        read(&self.db, &self.file, job, after)
    }

    fn search(&self, query: &str) -> Result<Vec<JobLine>, StoreError> {
        let query = line::one_case(query);
        let wanted: Vec<&str> = query.split_whitespace().collect();
        let found = || -> rusqlite::Result<Vec<String>> {
            let mut ask = self.db.prepare("SELECT line, words FROM jobs")?;
            let mut rows = ask.query([])?;
            let mut lines = Vec::new();
            while let Some(row) = rows.next()? {
                let words: String = row.get(1)?;
                if wanted.iter().all(|word| words.contains(word)) {
                    lines.push(row.get(0)?);
                }
            }
            Ok(lines)
        };
        let lines = found().map_err(|error| fault(&self.file, &error))?;
        let mut lines = lines
            .iter()
            .map(|text| parse_line(&self.file, text))
            .collect::<Result<Vec<_>, _>>()?;
        lines.sort_by_key(|line| Reverse((line.last, line.number)));
        Ok(lines)
    }

    fn claim(&mut self, job: Uuid, who: &str, how: Claim) -> Result<(), StoreError> {
        claim::claim(self, job, who, how)
    }

    fn release(&mut self, job: Uuid) -> Result<(), StoreError> {
        claim::release(self, job)
    }

    fn writer(&self, job: Uuid) -> Result<Option<Writer>, StoreError> {
        claim::others(&self.db, &self.file, self.dir.as_deref(), self.me, job)
    }
}

/// Checks that the events continue each other from `after`, and that a new job is opened.
fn follow_on(job: Uuid, after: u64, events: &[Event]) -> Result<(), StoreError> {
    let mut expected = after;
    for event in events {
        expected = expected.saturating_add(1);
        if event.seq != expected {
            return Err(StoreError::Gap {
                job,
                expected,
                found: event.seq,
            });
        }
    }
    match events.first() {
        Some(first) if after == 0 && !matches!(first.what, What::JobOpened(_)) => {
            Err(StoreError::NotOpened { job })
        }
        _ => Ok(()),
    }
}

fn next_number(db: &Connection) -> rusqlite::Result<u64> {
    db.query_row("SELECT coalesce(max(number), 0) + 1 FROM jobs", [], |row| {
        count(row, 0)
    })
}

fn refuse_taken_names(
    write: &Transaction<'_>,
    file: &Path,
    job: Uuid,
    events: &[Event],
) -> Result<(), StoreError> {
    let mut here = HashMap::new();
    for event in events {
        if let Some(seq) = here.insert(event.id, event.seq) {
            return Err(StoreError::SameId {
                id: event.id,
                job,
                seq,
            });
        }
        let taken = write
            .query_row(
                "SELECT job, seq FROM events WHERE id = ?1",
                [event.id.to_string()],
                |row| Ok((row.get::<_, String>(0)?, count(row, 1)?)),
            )
            .optional()
            .map_err(|error| fault(file, &error))?;
        if let Some((other, seq)) = taken {
            return Err(StoreError::SameId {
                id: event.id,
                job: other.parse().unwrap_or(job),
                seq,
            });
        }
    }
    Ok(())
}

fn put_line(write: &Transaction<'_>, line: &JobLine, words: &str) -> rusqlite::Result<()> {
    let text = serde_json::to_string(line)
        .map_err(|error| rusqlite::Error::ToSqlConversionFailure(error.into()))?;
    write.execute(
        "INSERT INTO jobs (id, number, line, words) VALUES (?1, ?2, ?3, ?4)
         ON CONFLICT (id) DO UPDATE SET line = excluded.line, words = excluded.words",
        params![line.id.to_string(), line.number.cast_signed(), text, words],
    )?;
    Ok(())
}

fn parse_line(file: &Path, text: &str) -> Result<JobLine, StoreError> {
    serde_json::from_str(text).map_err(|error| StoreError::Damaged {
        file: file.to_owned(),
        detail: error.to_string(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::event::Opening;
    use chrono::DateTime;

    fn event(seq: u64, what: What) -> Event {
        Event {
            id: Uuid::now_v7(),
            seq,
            at: DateTime::UNIX_EPOCH,
            who: "Ina".into(),
            what,
        }
    }

    fn opened(store: &mut SqliteStore) -> Uuid {
        let job = Uuid::now_v7();
        let opening = event(1, What::JobOpened(Opening::default()));
        store.append(job, 0, &[opening]).expect("room");
        job
    }

    fn remark(seq: u64, length: usize) -> Event {
        event(
            seq,
            What::Remark {
                text: "x".repeat(length),
            },
        )
    }

    #[test]
    fn every_commit_is_synced_to_the_disk() {
        let dir = tempfile::tempdir().expect("a folder");
        let store = SqliteStore::open(dir.path()).expect("a store");
        let pragma = |name: &str| -> String {
            let value = store
                .db
                .pragma_query_value(None, name, |row| row.get::<_, rusqlite::types::Value>(0));
            format!("{:?}", value.expect(name))
        };
        assert_eq!(pragma("journal_mode"), "Text(\"wal\")");
        // 2 is FULL (SQLite documentation, PRAGMA synchronous).
        assert_eq!(pragma("synchronous"), "Integer(2)");
        assert_eq!(pragma("foreign_keys"), "Integer(1)");
    }

    #[test]
    fn a_full_disk_is_named_and_leaves_the_job_as_it_was() {
        let dir = tempfile::tempdir().expect("a folder");
        let mut store = SqliteStore::open(dir.path()).expect("a store");
        let job = opened(&mut store);
        store
            .db
            .pragma_update(None, "max_page_count", 30)
            .expect("set");
        let error = store.append(job, 1, &[remark(2, 10), remark(3, 500_000)]);
        assert!(matches!(error, Err(StoreError::Full { .. })), "{error:?}");
        assert_eq!(store.read(job).expect("whole").len(), 1);
        store.append(job, 1, &[remark(2, 10)]).expect("fits");
    }

    #[test]
    fn a_file_that_cannot_be_written_is_named() {
        let mut store = SqliteStore::in_memory().expect("a store");
        let job = opened(&mut store);
        store
            .db
            .pragma_update(None, "query_only", true)
            .expect("set");
        let error = store.append(job, 1, &[remark(2, 10)]);
        assert!(
            matches!(error, Err(StoreError::ReadOnly { .. })),
            "{error:?}"
        );
    }

    #[test]
    fn a_file_kept_busy_by_another_program_is_named() {
        let dir = tempfile::tempdir().expect("a folder");
        let mut store = SqliteStore::open(dir.path()).expect("a store");
        let job = opened(&mut store);
        store
            .db
            .busy_timeout(std::time::Duration::from_millis(20))
            .expect("set");
        let other = Connection::open(dir.path().join(FILE)).expect("opens");
        other.execute_batch("BEGIN IMMEDIATE").expect("free");
        let error = store.append(job, 1, &[remark(2, 10)]);
        assert!(matches!(error, Err(StoreError::Busy { .. })), "{error:?}");
        other.execute_batch("ROLLBACK").expect("begun");
        store.append(job, 1, &[remark(2, 10)]).expect("free again");
    }
}
