//! Two windows on one job: one writes, the other reads and says who has it. Two real processes.

use std::path::Path;

use crate::pty::Terminal;
use chrono::Utc;
use ruleout::engine::event::{Event, Opening, Vehicle, What};
use ruleout::job::sqlite::SqliteStore;
use ruleout::job::store::Store;
use uuid::Uuid;

fn put_job(data: &Path) -> Uuid {
    let opening = Opening {
        vehicle: Vehicle {
            plate: "BRK 214".to_owned(),
            ..Vehicle::default()
        },
        complaint: "rough idle".to_owned(),
        ..Opening::default()
    };
    let job = Uuid::now_v7();
    let event = Event {
        id: Uuid::now_v7(),
        seq: 1,
        at: Utc::now(),
        who: "Ines Harrow".to_owned(),
        what: What::JobOpened(opening),
    };
    SqliteStore::open(data)
        .unwrap()
        .append(job, 0, &[event])
        .unwrap();
    job
}

/// What is on the disk, as a third program sees it.
fn remarks(data: &Path, job: Uuid) -> Vec<String> {
    let events = SqliteStore::open(data).unwrap().read(job).unwrap();
    let texts = events.into_iter().filter_map(|event| match event.what {
        What::Remark { text } => Some(text),
        _ => None,
    });
    texts.collect()
}

fn open(data: &Path, who: &str) -> Terminal {
    let mut window = Terminal::start(data, who);
    window.wait_for("BRK 214");
    window.press("\r");
    window
}

fn remark(window: &mut Terminal, text: &str) {
    window.press("\u{b}"); // Ctrl-K
    window.wait_for("Add a remark");
    window.enter(text);
}

#[test]
fn the_second_reads_and_is_told_who_writes_until_the_first_is_killed() {
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path();
    let job = put_job(data);
    let mut ines = open(data, "Ines Harrow");
    ines.wait_for("codes are not saved yet");
    let mut kim = open(data, "Kim Archer");
    kim.wait_for("READ ONLY: job 1 is open elsewhere: Ines Harrow, since");

    // Nothing that writes can be done there.
    kim.press("\u{b}n\u{5}");
    kim.press("1\r");
    kim.wait_for("It is still open elsewhere");
    remark(&mut ines, "valve cover wet");
    ines.wait_for("The remark is in the record");
    assert_eq!(remarks(data, job), ["valve cover wet"]);

    // Killed without warning: nobody waits, nobody is asked.
    ines.kill();
    kim.press("1\r");
    kim.wait_for("The job is yours to write in");
    remark(&mut kim, "dried it");
    kim.wait_for("The remark is in the record");
    assert_eq!(remarks(data, job), ["valve cover wet", "dried it"]);

    // Left for the board, it is free for the next one.
    kim.press("\u{2}"); // Ctrl-B
    kim.wait_for("Open jobs");
    let mut ines = open(data, "Ines Harrow");
    ines.wait_for("Kim Archer worked on this job last");
    ines.press("\r");
    ines.wait_for("codes are not saved yet");
    remark(&mut ines, "back again");
    ines.wait_for("The remark is in the record");
}

#[test]
fn a_job_is_taken_over_on_request_and_the_other_window_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path();
    let job = put_job(data);
    let mut ines = open(data, "Ines Harrow");
    ines.wait_for("codes are not saved yet");
    let mut kim = open(data, "Kim Archer");
    kim.wait_for("READ ONLY");
    kim.press("\u{17}"); // Ctrl-W
    kim.wait_for("The job is yours to write in");
    remark(&mut ines, "too late");
    ines.wait_for("is being written elsewhere (Kim Archer");
    assert_eq!(remarks(data, job), Vec::<String>::new());
    remark(&mut kim, "mine now");
    kim.wait_for("The remark is in the record");
    assert_eq!(remarks(data, job), ["mine now"]);
}
