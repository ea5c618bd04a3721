//! The tables of the store, and the checks before a file is touched.
//!
//! The rules that must hold whatever program writes to the file are in the file itself, as
//! constraints and triggers: events follow one another without gaps, never change and never go.

use std::path::Path;
use std::time::Duration;

use rusqlite::{Connection, ErrorCode, OptionalExtension, TransactionBehavior};

use super::store::StoreError;

/// The form of the file that this version writes.
pub const FORM: i64 = 1;

/// Marks the file as ours (`PRAGMA application_id`); the letters "rlot".
const OURS: i64 = 0x726C_6F74;

/// How long to wait for another process that is writing.
const PATIENCE: Duration = Duration::from_secs(5);

const TABLES: &str = "
CREATE TABLE jobs (
    id     TEXT    NOT NULL PRIMARY KEY,
    number INTEGER NOT NULL UNIQUE CHECK (number > 0),
    line   TEXT    NOT NULL,  -- how lists show the job, as JSON; made from its events
    words  TEXT    NOT NULL   -- what it is searched by; made from its events
) STRICT, WITHOUT ROWID;

CREATE TABLE events (
    job  TEXT    NOT NULL REFERENCES jobs (id),
    seq  INTEGER NOT NULL CHECK (seq > 0),
    id   TEXT    NOT NULL UNIQUE,
    at   TEXT    NOT NULL,
    who  TEXT    NOT NULL,
    what TEXT    NOT NULL,    -- the body, as JSON
    PRIMARY KEY (job, seq)
) STRICT;

CREATE TABLE writer (
    job     TEXT NOT NULL PRIMARY KEY REFERENCES jobs (id),
    who     TEXT NOT NULL,
    process TEXT NOT NULL,
    locks   INTEGER NOT NULL, -- whether the process holds a lock that ends with it
    since   TEXT NOT NULL,
    renewed TEXT NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TRIGGER events_never_change BEFORE UPDATE ON events
BEGIN SELECT RAISE(ABORT, 'events are never changed'); END;

CREATE TRIGGER events_never_go BEFORE DELETE ON events
BEGIN SELECT RAISE(ABORT, 'events are never deleted'); END;

-- INSERT OR REPLACE deletes the old row without asking the trigger above, so the insert itself is
-- refused: a number that is taken is never the next one, and a name that is taken is looked up.
CREATE TRIGGER events_follow_one_another BEFORE INSERT ON events
BEGIN
    SELECT RAISE(ABORT, 'events follow one another without gaps')
    WHERE NEW.seq <> 1 + coalesce((SELECT max(seq) FROM events WHERE job = NEW.job), 0);
    SELECT RAISE(ABORT, 'an event is named once')
    WHERE EXISTS (SELECT 1 FROM events WHERE id = NEW.id);
END;

-- People write the short number on paper.
CREATE TRIGGER jobs_keep_their_number BEFORE UPDATE OF id, number ON jobs
BEGIN SELECT RAISE(ABORT, 'a job keeps its name and number'); END;
";

/// Checks that the file is ours and of a form that is known, sets the connection up, and makes the
/// tables in a new file. A file that is not ours is left as it was, to the byte.
pub fn prepare(db: &mut Connection, file: &Path) -> Result<(), StoreError> {
    let fault = |error: rusqlite::Error| fault(file, &error);
    db.busy_timeout(PATIENCE).map_err(fault)?;
    let fresh = look(db, file)? == 0;
    settings(db).map_err(fault)?;
    if fresh { create(db, file) } else { Ok(()) }
}

/// The file's form, 0 if it is empty. Reads only.
fn look(db: &Connection, file: &Path) -> Result<i64, StoreError> {
    let number = |name: &str| db.pragma_query_value(None, name, |row| row.get::<_, i64>(0));
    let look = || -> rusqlite::Result<(i64, i64, i64)> {
        let things = db.query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0))?;
        Ok((number("application_id")?, number("user_version")?, things))
    };
    match look().map_err(|error| fault(file, &error))? {
        (0, 0, 0) => Ok(0),
        (OURS, FORM, _) => Ok(FORM),
        (OURS, found, _) if found > FORM => Err(StoreError::Newer {
            file: file.to_owned(),
            found,
            known: FORM,
        }),
        _ => Err(StoreError::NotAStore {
            file: file.to_owned(),
        }),
    }
}

fn settings(db: &Connection) -> rusqlite::Result<()> {
    let mode = write_ahead(db)?;
    // Where a write-ahead log is impossible (some network folders), EXTRA is what keeps a commit
    // through a power cut; with the log, FULL does.
    let synchronous = if mode == "wal" { "FULL" } else { "EXTRA" };
    db.pragma_update(None, "synchronous", synchronous)?;
    // On macOS a plain sync stops at the drive's own cache; elsewhere this does nothing.
    db.pragma_update(None, "fullfsync", true)?;
    db.pragma_update(None, "checkpoint_fullfsync", true)?;
    db.pragma_update(None, "foreign_keys", true)?;
    db.pragma_update(None, "trusted_schema", false)
}

/// Turns the write-ahead log on. `SQLite` does not wait for others at this one place, so two windows
/// that open a new store in the same moment would otherwise fail.
fn write_ahead(db: &Connection) -> rusqlite::Result<String> {
    let mut tries = 0;
    loop {
        let set =
            db.pragma_update_and_check(None, "journal_mode", "WAL", |row| row.get::<_, String>(0));
        match set {
            Err(error) if is_busy(&error) && tries < 100 => {
                tries += 1;
                std::thread::sleep(PATIENCE / 100);
            }
            other => return other,
        }
    }
}

fn create(db: &mut Connection, file: &Path) -> Result<(), StoreError> {
    let fault = |error: rusqlite::Error| fault(file, &error);
    let write = db
        .transaction_with_behavior(TransactionBehavior::Immediate)
        .map_err(fault)?;
    // Another window may have made the tables since we looked.
    if look(&write, file)? == FORM {
        return Ok(());
    }
    write.execute_batch(TABLES).map_err(fault)?;
    write
        .pragma_update(None, "application_id", OURS)
        .map_err(fault)?;
    write
        .pragma_update(None, "user_version", FORM)
        .map_err(fault)?;
    write.commit().map_err(fault)
}

fn is_busy(error: &rusqlite::Error) -> bool {
    matches!(
        error.sqlite_error_code(),
        Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked)
    )
}

/// A number that is never negative, from a column that holds signed ones.
pub fn count(row: &rusqlite::Row<'_>, column: usize) -> rusqlite::Result<u64> {
    let value: i64 = row.get(column)?;
    u64::try_from(value).map_err(|_| rusqlite::Error::IntegralValueOutOfRange(column, value))
}

/// The short number of a job in this store, if the store holds it.
pub fn number_of(db: &Connection, job: uuid::Uuid) -> rusqlite::Result<Option<u64>> {
    db.query_row(
        "SELECT number FROM jobs WHERE id = ?1",
        [job.to_string()],
        |row| count(row, 0),
    )
    .optional()
}

/// What a database error means to the person in front of it.
pub fn fault(file: &Path, error: &rusqlite::Error) -> StoreError {
    let file = file.to_owned();
    match error.sqlite_error_code() {
        Some(ErrorCode::DiskFull) => StoreError::Full { file },
        Some(ErrorCode::NotADatabase) => StoreError::NotAStore { file },
        Some(ErrorCode::ReadOnly | ErrorCode::PermissionDenied | ErrorCode::CannotOpen) => {
            StoreError::ReadOnly { file }
        }
        Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => StoreError::Busy { file },
        Some(ErrorCode::DatabaseCorrupt) => StoreError::Damaged {
            file,
            detail: error.to_string(),
        },
        _ => match error {
            // A value of the wrong kind or text that is not Unicode: nothing of ours wrote that.
            rusqlite::Error::FromSqlConversionFailure(..)
            | rusqlite::Error::InvalidColumnType(..)
            | rusqlite::Error::IntegralValueOutOfRange(..)
            | rusqlite::Error::Utf8Error(..) => StoreError::Damaged {
                file,
                detail: error.to_string(),
            },
            _ => StoreError::Other {
                file,
                detail: error.to_string(),
            },
        },
    }
}
