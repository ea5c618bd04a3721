//! Files that are no stores, or stores of another time, are named and left alone.

use std::fs;

use ruleout::job::sqlite::{FILE, SqliteStore};
use ruleout::job::store::{Store, StoreError};
use uuid::Uuid;

use super::{folder, job, raw};

#[test]
fn a_file_that_is_not_ours_is_named_and_left_alone() {
    let dir = folder();
    let file = dir.path().join(FILE);
    fs::write(
        &file,
        "a letter to the customer, long enough to be no database header at all",
    )
    .unwrap();
    assert!(matches!(
        SqliteStore::open(dir.path()),
        Err(StoreError::NotAStore { .. })
    ));

    fs::remove_file(&file).unwrap();
    let other = raw(dir.path());
    other
        .execute_batch("CREATE TABLE recipes (name TEXT)")
        .unwrap();
    drop(other);
    let before = fs::read(&file).unwrap();
    let error = SqliteStore::open(dir.path()).unwrap_err();
    assert!(matches!(error, StoreError::NotAStore { .. }));
    assert!(
        error.to_string().contains(FILE) && error.to_string().contains("--data"),
        "{error}"
    );
    assert_eq!(fs::read(&file).unwrap(), before);
}

#[test]
fn a_newer_store_is_refused_and_left_alone() {
    let dir = folder();
    drop(SqliteStore::open(dir.path()).unwrap());
    raw(dir.path())
        .pragma_update(None, "user_version", 7)
        .unwrap();
    let before = fs::read(dir.path().join(FILE)).unwrap();
    let error = SqliteStore::open(dir.path()).unwrap_err();
    assert!(
        matches!(
            error,
            StoreError::Newer {
                found: 7,
                known: 1,
                ..
            }
        ),
        "{error}"
    );
    assert_eq!(fs::read(dir.path().join(FILE)).unwrap(), before);
}

#[test]
fn an_event_of_a_newer_program_is_named() {
    let dir = folder();
    let story = job("KT-204", "rough idle");
    let mut store = SqliteStore::open(dir.path()).unwrap();
    store.append(story.job, 0, &story.events).unwrap();
    raw(dir.path())
        .execute(
            "INSERT INTO events SELECT job, 2, 'a', at, who, '{\"towed-away\":{}}' FROM events",
            [],
        )
        .unwrap();
    raw(dir.path())
        .execute("INSERT INTO events SELECT job, 3, ?1, at, who, '{\"towed-away\":{}}' FROM events WHERE seq = 1", [Uuid::now_v7().to_string()])
        .unwrap();
    let error = store.read(story.job).unwrap_err();
    assert!(
        matches!(error, StoreError::Unreadable { seq: 2, .. }),
        "{error}"
    );
}

#[test]
fn a_folder_that_is_a_file_is_named() {
    let dir = folder();
    fs::write(dir.path().join("taken"), "x").unwrap();
    let error = SqliteStore::open(&dir.path().join("taken")).unwrap_err();
    assert!(matches!(error, StoreError::Folder { .. }));
    assert!(error.to_string().contains("taken"), "{error}");
}
