//! One writer a job: who has it open, and how it passes to somebody else.
//!
//! A claim is a courtesy and a fence. The courtesy: a second window is told who has the job and
//! since when. The fence: while a claim is alive, only its holder's events are accepted, and once
//! it is taken over, the former holder's are refused. What finally protects the record is the
//! `after` of each append; so a claim may be given up at any time and none can last for ever.

use std::path::Path;

use chrono::{DateTime, TimeDelta, Utc};
use rusqlite::{Connection, OptionalExtension, TransactionBehavior, params};
use uuid::Uuid;

use super::alive::{self, SignOfLife};
use super::row::{time, time_text};
use super::schema::{fault, number_of};
use super::sqlite::SqliteStore;
use super::store::{Claim, StoreError, Writer};

/// After this long without a sign of life, a claim can be taken by anybody: two minutes.
pub const OLD: TimeDelta = TimeDelta::minutes(2);

/// Claims a job; see [`super::store::Store::claim`].
pub(super) fn claim(
    store: &mut SqliteStore,
    job: Uuid,
    who: &str,
    how: Claim,
) -> Result<(), StoreError> {
    store.claimed = true;
    if store.alive.is_none() {
        store.alive = store
            .dir
            .as_deref()
            .and_then(|dir| SignOfLife::give(dir, store.me));
    }
    let (file, me, dir) = (&store.file, store.me, store.dir.as_deref());
    let fault = |error: rusqlite::Error| fault(file, &error);
    let write = store
        .db
        .transaction_with_behavior(TransactionBehavior::Immediate)
        .map_err(fault)?;
    let number = number_of(&write, job)
        .map_err(fault)?
        .ok_or(StoreError::NoSuchJob { job })?;
    if how == Claim::Politely
        && let Some(by) = others(&write, file, dir, me, job)?
    {
        return Err(StoreError::Held { number, by });
    }
    put(&write, job, who, me, store.alive.is_some()).map_err(fault)?;
    write.commit().map_err(fault)
}

fn put(db: &Connection, job: Uuid, who: &str, me: Uuid, locks: bool) -> rusqlite::Result<usize> {
    db.execute(
        "INSERT INTO writer (job, who, process, locks, since, renewed)
         VALUES (?1, ?2, ?3, ?4, ?5, ?5)
         ON CONFLICT (job) DO UPDATE SET
             who = excluded.who,
             since = iif(process = excluded.process, since, excluded.since),
             process = excluded.process,
             locks = excluded.locks,
             renewed = excluded.renewed",
        params![
            job.to_string(),
            who,
            me.to_string(),
            locks,
            time_text(Utc::now())
        ],
    )
}

/// Gives a claim back; see [`super::store::Store::release`].
pub(super) fn release(store: &SqliteStore, job: Uuid) -> Result<(), StoreError> {
    store
        .db
        .execute(
            "DELETE FROM writer WHERE job = ?1 AND process = ?2",
            params![job.to_string(), store.me.to_string()],
        )
        .map(|_| ())
        .map_err(|error| fault(&store.file, &error))
}

impl Drop for SqliteStore {
    fn drop(&mut self) {
        // If this fails, the claims still end: the sign of life stops with the process.
        if self.claimed {
            let _ = self.db.execute(
                "DELETE FROM writer WHERE process = ?1",
                [self.me.to_string()],
            );
        }
    }
}

/// A claim on the job by somebody else that still counts.
pub(super) fn others(
    db: &Connection,
    file: &Path,
    dir: Option<&Path>,
    me: Uuid,
    job: Uuid,
) -> Result<Option<Writer>, StoreError> {
    let row = row(db, job).map_err(|error| fault(file, &error))?;
    let Some(([who, process, since, renewed], locks)) = row else {
        return Ok(None);
    };
    // A row that cannot be understood must not lock the job: it counts as no claim.
    let (Ok(process), Some(since), Some(renewed)) = (process.parse(), time(&since), time(&renewed))
    else {
        return Ok(None);
    };
    let ended = || locks && dir.is_some_and(|dir| !alive::may_be_alive(dir, process));
    let gone = process == me || is_old(renewed, Utc::now()) || ended();
    let writer = Writer {
        who,
        since,
        renewed,
    };
    Ok((!gone).then_some(writer))
}

/// The row of a claim: who, process, since, renewed; and whether the process holds a lock.
fn row(db: &Connection, job: Uuid) -> rusqlite::Result<Option<([String; 4], bool)>> {
    db.query_row(
        "SELECT who, process, since, renewed, locks FROM writer WHERE job = ?1",
        [job.to_string()],
        |row| {
            let texts = [row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?];
            Ok((texts, row.get(4)?))
        },
    )
    .optional()
}

/// A time to come is as old as one long past: the clock was set back, and the claim must not
/// last until it catches up.
fn is_old(renewed: DateTime<Utc>, now: DateTime<Utc>) -> bool {
    now.signed_duration_since(renewed).abs() > OLD
}

/// Renews the claim of an appending holder; does nothing for a writer without one.
pub(super) fn touch(db: &Connection, me: Uuid, job: Uuid) -> rusqlite::Result<()> {
    db.execute(
        "UPDATE writer SET renewed = ?3 WHERE job = ?1 AND process = ?2",
        params![job.to_string(), me.to_string(), time_text(Utc::now())],
    )?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_claim_is_old_after_two_minutes_and_when_it_lies_in_the_future() {
        let now = DateTime::from_timestamp(1_700_000_000, 0).expect("in range");
        assert!(!is_old(now, now));
        assert!(!is_old(now - TimeDelta::seconds(120), now));
        assert!(is_old(now - TimeDelta::seconds(121), now));
        assert!(!is_old(now + TimeDelta::seconds(2), now));
        assert!(is_old(now + TimeDelta::days(400), now));
    }
}
