//! One writer a job: told politely, taken over on request, fenced off afterwards.

use chrono::TimeDelta;
use ruleout::job::sqlite::SqliteStore;
use ruleout::job::store::Claim;
use ruleout::job::store::{Store, StoreError};

use super::{folder, job, raw};

#[test]
fn a_writer_whose_job_has_moved_on_is_refused() {
    let dir = folder();
    let (mut one, mut two) = (
        SqliteStore::open(dir.path()).unwrap(),
        SqliteStore::open(dir.path()).unwrap(),
    );
    let story = job("KT-204", "rough idle").remark("one");
    one.append(story.job, 0, &story.events[..1]).unwrap();
    let other = job("KT-204", "rough idle").remark("two");
    two.append(story.job, 1, &other.events[1..]).unwrap();
    let refused = one.append(story.job, 1, &story.events[1..]).unwrap_err();
    assert!(
        matches!(
            refused,
            StoreError::OtherWriter {
                number: 1,
                knew: 1,
                now: 2,
                by: None
            }
        ),
        "{refused}"
    );
    assert!(
        refused.to_string().contains("nothing was saved here"),
        "{refused}"
    );
    assert!(matches!(
        one.append(story.job, 5, &[]),
        Err(StoreError::OtherWriter { .. })
    ));
}

#[test]
fn a_second_window_is_told_who_has_the_job_and_can_take_it_over() {
    let dir = folder();
    let (mut ina, mut kim) = (
        SqliteStore::open(dir.path()).unwrap(),
        SqliteStore::open(dir.path()).unwrap(),
    );
    let story = job("KT-204", "rough idle").remark("one").remark("two");
    assert!(matches!(
        ina.claim(story.job, "Ina", Claim::Politely),
        Err(StoreError::NoSuchJob { .. })
    ));
    ina.append(story.job, 0, &story.events[..1]).unwrap();
    ina.claim(story.job, "Ina", Claim::Politely).unwrap();
    ina.claim(story.job, "Ina", Claim::Politely).unwrap();
    assert_eq!(ina.writer(story.job).unwrap(), None);
    assert_eq!(kim.writer(story.job).unwrap().unwrap().who, "Ina");

    let held = kim.claim(story.job, "Kim", Claim::Politely).unwrap_err();
    assert!(held.to_string().contains("Ina, since 20"), "{held}");
    let refused = kim.append(story.job, 1, &story.events[1..2]).unwrap_err();
    assert!(
        matches!(&refused, StoreError::OtherWriter { by: Some(by), .. } if by.who == "Ina"),
        "{refused}"
    );

    kim.claim(story.job, "Kim", Claim::TakeOver).unwrap();
    let refused = ina.append(story.job, 1, &story.events[1..2]).unwrap_err();
    assert!(
        matches!(&refused, StoreError::OtherWriter { by: Some(by), .. } if by.who == "Kim"),
        "{refused}"
    );
    assert!(matches!(
        ina.claim(story.job, "Ina", Claim::Politely),
        Err(StoreError::Held { .. })
    ));
    kim.append(story.job, 1, &story.events[1..2]).unwrap();

    ina.release(story.job).unwrap();
    assert_eq!(
        ina.writer(story.job).unwrap().unwrap().who,
        "Kim",
        "a lost claim cannot be given back"
    );
    drop(kim);
    ina.claim(story.job, "Ina", Claim::Politely).unwrap();
    ina.append(story.job, 2, &story.events[2..]).unwrap();
}

#[test]
fn a_claim_without_a_sign_of_life_grows_old_and_an_append_keeps_it_young() {
    let dir = folder();
    let (mut ina, mut kim) = (
        SqliteStore::open(dir.path()).unwrap(),
        SqliteStore::open(dir.path()).unwrap(),
    );
    let story = job("KT-204", "rough idle").remark("one");
    ina.append(story.job, 0, &story.events[..1]).unwrap();
    ina.claim(story.job, "Ina", Claim::Politely).unwrap();
    let age = |by: TimeDelta| {
        let then = (chrono::Utc::now() - by).to_rfc3339();
        raw(dir.path())
            .execute("UPDATE writer SET renewed = ?1", [then])
            .unwrap();
    };
    age(TimeDelta::seconds(110));
    assert!(kim.claim(story.job, "Kim", Claim::Politely).is_err());
    ina.append(story.job, 1, &story.events[1..]).unwrap();
    assert!(
        chrono::Utc::now() - kim.writer(story.job).unwrap().unwrap().renewed
            < TimeDelta::seconds(60)
    );
    age(TimeDelta::seconds(121));
    assert_eq!(kim.writer(story.job).unwrap(), None);
    kim.claim(story.job, "Kim", Claim::Politely).unwrap();
    raw(dir.path())
        .execute(
            "UPDATE writer SET renewed = 'nonsense', process = '../../x'",
            [],
        )
        .unwrap();
    ina.claim(story.job, "Ina", Claim::Politely).unwrap();
}

#[test]
fn many_windows_at_once_lose_nothing() {
    let dir = folder();
    let stories: Vec<_> = (0..6)
        .map(|n| {
            job(&format!("KT-{n}"), "rough idle")
                .remark("a")
                .remark("b")
        })
        .collect();
    std::thread::scope(|scope| {
        for story in &stories {
            scope.spawn(|| {
                let mut store = SqliteStore::open(dir.path()).unwrap();
                for (after, event) in (0..).zip(&story.events) {
                    store
                        .append(story.job, after, std::slice::from_ref(event))
                        .unwrap();
                }
            });
        }
    });
    let store = SqliteStore::open(dir.path()).unwrap();
    let mut numbers: Vec<u64> = store
        .search("")
        .unwrap()
        .iter()
        .map(|line| line.number)
        .collect();
    numbers.sort_unstable();
    assert_eq!(numbers, [1, 2, 3, 4, 5, 6]);
    for story in &stories {
        assert_eq!(store.read(story.job).unwrap(), story.events);
    }
}
