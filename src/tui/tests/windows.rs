//! A job that somebody else has open: it can be read here, and nothing else.

use chrono::Utc;

use super::bench::{Bench, shelf};
use crate::engine::event::{Event, What};
use crate::job::sqlite::SqliteStore;
use crate::job::store::{Claim, Store};

/// Two stores on one folder, the other with a claim on the only job.
fn held_elsewhere(dir: &std::path::Path) -> (Bench, SqliteStore, uuid::Uuid) {
    let mut other = SqliteStore::open(dir).unwrap();
    let job = super::board::put_job(&mut other, "KT 7");
    other.claim(job, "Ines Harrow", Claim::Politely).unwrap();
    let mut bench = Bench::with(SqliteStore::open(dir).unwrap(), shelf());
    bench.keys("<Enter>");
    (bench, other, job)
}

#[test]
fn nothing_can_be_written_where_somebody_else_has_the_job() {
    let dir = tempfile::tempdir().unwrap();
    let (mut b, other, job) = held_elsewhere(dir.path());
    b.sees("READ ONLY: job 1 is open elsewhere: Ines Harrow, since");
    for keys in [
        "<F3>", "<F4>", "<F8>", "<C-k>", "<C-e>", "<C-f>", "<Left>", "<Right>", "n", "k", "e",
    ] {
        b.keys(keys).sees("READ ONLY");
        assert!(b.driver.model.overs.is_empty(), "{keys}");
    }
    b.keys("<F9>")
        .sees("take it over")
        .sees_not("hand over")
        .keys("<Esc>");
    b.keys("<F5>").sees("job opened").keys("<Esc>");
    b.keys("<Enter>1<Enter>").sees("It is still open elsewhere");
    assert_eq!(other.read(job).unwrap().len(), 1);
    b.keys("<Esc>").sees("Open jobs");
}

#[test]
fn what_is_done_elsewhere_shows_where_the_job_can_only_be_read() {
    let dir = tempfile::tempdir().unwrap();
    let (mut b, mut other, job) = held_elsewhere(dir.path());
    assert_eq!(b.driver.followed(), None);
    let event = Event {
        id: uuid::Uuid::now_v7(),
        seq: 2,
        at: "2026-03-02T09:30:00Z".parse().unwrap(),
        who: "Ines Harrow".to_owned(),
        what: What::Remark {
            text: "hose is wet".to_owned(),
        },
    };
    b.keys("<F5>").sees_not("hose is wet");
    other.append(job, 1, &[event]).unwrap();
    assert!(b.driver.followed().is_some());
    b.sees("hose is wet")
        .sees("It went on elsewhere: Ines Harrow, 10:30:00");
    assert_eq!(b.driver.followed(), None);
    b.keys("<Esc>").sees("READ ONLY: job 1 is open elsewhere");
    other.release(job).unwrap();
    assert!(b.driver.followed().is_some());
    b.sees("READ ONLY: job 1 was left elsewhere")
        .keys("t")
        .sees("The job is yours to write in");
    assert_eq!(b.driver.followed(), None);
}

#[test]
fn a_job_that_is_left_can_be_opened_by_the_next_one() {
    let dir = tempfile::tempdir().unwrap();
    let (mut b, mut other, job) = held_elsewhere(dir.path());
    other.release(job).unwrap();
    b.keys("t")
        .sees("The job is yours to write in")
        .sees_not("READ ONLY");
    b.remark("dry now").sees("The remark is in the record");
    assert_eq!(other.writer(job).unwrap().unwrap().who, "Kim Archer");
    b.keys("<F12>");
    assert_eq!(other.writer(job).unwrap(), None);
}

#[test]
fn a_claim_is_kept_alive_and_one_that_is_lost_is_noticed() {
    let dir = tempfile::tempdir().unwrap();
    let (mut b, mut other, job) = held_elsewhere(dir.path());
    b.keys("2<Enter>").sees("The job is yours to write in");
    let renewed = || other.writer(job).unwrap().unwrap().renewed;
    let before = renewed();
    let started = Utc::now();
    b.wait(31);
    assert!(renewed() > before && renewed() >= started);
    // Taken over there, while a remark is half typed here.
    other.claim(job, "Ines Harrow", Claim::TakeOver).unwrap();
    b.keys("<C-k>")
        .typed("half")
        .wait(31)
        .sees("READ ONLY")
        .sees("was taken over elsewhere");
    assert!(
        !b.record()
            .iter()
            .any(|what| matches!(what, What::Remark { .. }))
    );
    // What was typed is still there once the job is back.
    other.release(job).unwrap();
    b.keys("1<Enter><C-k>").sees("[half");
}
