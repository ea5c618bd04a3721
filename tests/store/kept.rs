//! What is appended stays, all of it or none, whatever is done to the file.

use ruleout::engine::event::{OutcomeTaken, Recorded, RecordedValue, Suggested, What};
use ruleout::flow::target::Target;
use ruleout::job::file::{FileError, JobFile};
use ruleout::job::sqlite::SqliteStore;
use ruleout::job::store::{Store, StoreError};
use uuid::Uuid;

use super::{folder, job, memory, raw};

#[test]
fn what_was_appended_is_there_after_reopening() {
    let dir = folder();
    let story = job("KT-204", "rough idle").remark("hood open");
    let mut store = SqliteStore::open(&dir.path().join("new/folder")).unwrap();
    store.append(story.job, 0, &story.events[..1]).unwrap();
    store.append(story.job, 1, &story.events[1..]).unwrap();
    drop(store);
    let store = SqliteStore::open(&dir.path().join("new/folder")).unwrap();
    assert_eq!(store.read(story.job).unwrap(), story.events);
    assert_eq!(store.read(Uuid::now_v7()).unwrap(), []);
}

#[test]
fn an_append_is_all_or_nothing() {
    let mut store = memory();
    let story = job("KT-204", "rough idle").remark("one").remark("two");
    let mut broken = story.events.clone();
    broken[2].id = broken[0].id;
    assert!(matches!(
        store.append(story.job, 0, &broken),
        Err(StoreError::SameId { seq: 1, .. })
    ));
    assert_eq!(store.read(story.job).unwrap(), []);
    assert_eq!(store.search("").unwrap(), []);

    let mut broken = story.events.clone();
    broken[2].seq = 4;
    assert!(matches!(
        store.append(story.job, 0, &broken),
        Err(StoreError::Gap {
            expected: 3,
            found: 4,
            ..
        })
    ));
    assert_eq!(store.read(story.job).unwrap(), []);

    assert!(matches!(
        store.append(story.job, 0, &story.events[1..]),
        Err(StoreError::Gap { .. })
    ));
    let mut unopened = job("", "").remark("x").events;
    unopened.remove(0);
    unopened[0].seq = 1;
    assert!(matches!(
        store.append(story.job, 0, &unopened),
        Err(StoreError::NotOpened { .. })
    ));
    assert!(matches!(
        store.append(story.job, 2, &story.events[2..]),
        Err(StoreError::NoSuchJob { .. })
    ));
    store.append(story.job, 0, &story.events).unwrap();
    assert_eq!(store.read(story.job).unwrap(), story.events);
}

#[test]
fn a_value_that_would_not_come_back_is_refused_rather_than_lost() {
    for number in [
        RecordedValue::Number {
            si: f64::NAN,
            low: None,
            high: None,
        },
        RecordedValue::Number {
            si: 1.0,
            low: Some(f64::NEG_INFINITY),
            high: None,
        },
    ] {
        let recorded = Recorded {
            by: "hole 1".into(),
            value: number,
            shown: String::new(),
        };
        let taken = OutcomeTaken {
            step: "judge".into(),
            outcome: None,
            go: Target::Done,
            suggested: Suggested::NoMatch,
            reason: None,
            unread: Vec::new(),
            worked: [("hole".to_owned(), recorded)].into(),
            weighed: None,
        };
        let story = job("KT-204", "rough idle").then(What::OutcomeTaken(taken));
        assert!(matches!(
            memory().append(story.job, 0, &story.events),
            Err(StoreError::Inexact { seq: 2 })
        ));
        let file = JobFile {
            job: story.job,
            events: story.events,
        };
        assert!(matches!(file.to_text(), Err(FileError::Inexact(_))));
    }
}

#[test]
fn the_file_itself_refuses_to_change_or_lose_events() {
    let dir = folder();
    let story = job("KT-204", "rough idle").remark("one");
    let mut store = SqliteStore::open(dir.path()).unwrap();
    store.append(story.job, 0, &story.events).unwrap();
    let db = raw(dir.path());
    db.pragma_update(None, "recursive_triggers", false).unwrap();
    for (sql, says) in [
        ("UPDATE events SET who = 'x'", "never changed"),
        ("DELETE FROM events", "never deleted"),
        (
            "INSERT OR REPLACE INTO events SELECT job, seq, 'other', at, 'x', what FROM events WHERE seq = 2",
            "without gaps",
        ),
        (
            "INSERT OR REPLACE INTO events SELECT job, 3, id, at, 'x', what FROM events WHERE seq = 2",
            "named once",
        ),
        (
            "INSERT INTO events SELECT job, 4, 'other', at, who, what FROM events WHERE seq = 2",
            "without gaps",
        ),
        ("UPDATE jobs SET number = 7", "keeps its name and number"),
    ] {
        let error = db.execute(sql, []).expect_err(sql).to_string();
        assert!(error.contains(says), "{sql}: {error}");
    }
    db.pragma_update(None, "foreign_keys", true).unwrap();
    assert!(db.execute("DELETE FROM jobs", []).is_err());
    assert_eq!(store.read(story.job).unwrap(), story.events);
}
