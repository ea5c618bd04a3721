//! Through a job file and back: lossless, and a union on import.

use std::time::{Duration, Instant};

use proptest::prelude::*;
use ruleout::engine::event::What;
use ruleout::job::file::{FileError, JobFile, LARGEST_FILE};
use ruleout::job::hidden::is_hidden;
use ruleout::job::merge::{MergeError, merge};
use ruleout::job::sqlite::SqliteStore;
use ruleout::job::store::Claim;
use ruleout::job::store::{Store, StoreError};
use uuid::Uuid;

use super::arbitrary::any_job;
use super::{folder, job, memory};

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_job_comes_back_the_same_from_a_file_and_from_the_store(events in any_job()) {
        let file = JobFile { job: Uuid::now_v7(), events };
        let text = file.to_text().unwrap();
        prop_assert_eq!(&JobFile::parse(&text).unwrap(), &file);
        prop_assert!(!text.chars().any(|c| c != '\n' && c != '\t' && is_hidden(c)));

        prop_assert!(!text.contains("\n    at: \""), "the readable form was not exact: {}", text);

        let mut store = memory();
        merge(&mut store, &file).unwrap();
        prop_assert_eq!(&store.read(file.job).unwrap(), &file.events);
        prop_assert_eq!(store.search("").unwrap().len(), 1);
    }

    #[test]
    fn no_text_makes_the_reader_panic(text in "(ruleout-job: 1\n)?(\\PC|[\n\t: \\-\"|&*]){0,200}") {
        let _ = JobFile::parse(&text);
    }

    #[test]
    fn a_damaged_file_is_read_as_it_was_or_refused(events in any_job(), at in any::<prop::sample::Index>(), byte in any::<u8>()) {
        let file = JobFile { job: Uuid::now_v7(), events };
        let mut bytes = file.to_text().unwrap().into_bytes();
        let at = at.index(bytes.len());
        bytes[at] = byte;
        // A changed letter in a remark is another remark; what counts is that the numbering holds.
        if let Ok(read) = JobFile::read_from(bytes.as_slice()) {
            prop_assert!(read.events.iter().zip(1..).all(|(event, seq)| event.seq == seq));
            prop_assert!(matches!(read.events[0].what, What::JobOpened(_)));
        }
    }
}

#[test]
fn a_job_file_is_readable_and_a_flow_stands_in_it_as_it_was_written() {
    let flow = "flow: intake-leak\n\nsteps:\n  - id: plug\n\tdo: \"x\"  \n";
    let story = job("KT-204", "rough idle: worse when cold")
        .then(What::FlowBegun {
            flow: "intake-leak".into(),
            revision: 3,
            hash: "1a2b".into(),
            text: flow.into(),
        })
        .then(What::WentBack);
    let text = JobFile {
        job: story.job,
        events: story.events.clone(),
    }
    .to_text()
    .unwrap();
    assert!(text.starts_with("ruleout-job: 1\n"), "{text}");
    let expected = format!(
        "  - id: {}
    seq: 2
    at: 2026-03-02T12:02:00Z
    who: Ina
    what:
      flow-begun:
        flow: intake-leak
        revision: 3
        hash: \"1a2b\"
        text: |
          flow: intake-leak

          steps:
            - id: plug
          \tdo: \"x\"  
",
        story.events[1].id
    );
    assert!(text.contains(&expected), "{text}");
    assert!(
        text.contains("complaint: \"rough idle: worse when cold\"\n"),
        "{text}"
    );
    assert!(text.contains("codes: [P0171]\n"), "{text}");
    assert!(text.ends_with("what: went-back\n"), "{text}");
}

fn refusal(text: &str) -> String {
    JobFile::parse(text).expect_err(text).to_string()
}

#[test]
fn what_is_not_a_job_file_is_told_what_one_is() {
    for text in [
        "",
        "# nothing\n",
        "flow: intake-leak\n",
        "{}",
        "\0\0",
        "ruleout-jobs: 1\n",
    ] {
        assert!(refusal(text).contains("not a job file"), "{text}");
    }
    assert!(refusal("ruleout-job: 2\nevents: []\n").contains("form 2"));
    assert!(
        refusal("ruleout-job: 1\njob: 019c0c6e-8f00-7000-8000-000000000001\nevents: []\n")
            .contains("no events")
    );
    assert!(matches!(
        JobFile::parse(&"a".repeat(LARGEST_FILE + 1)),
        Err(FileError::TooLarge)
    ));
    assert!(matches!(
        JobFile::read_from(std::io::repeat(b'a')),
        Err(FileError::TooLarge)
    ));
    assert!(matches!(
        JobFile::read_from(&b"ruleout-job: 1\n\xff"[..]),
        Err(FileError::NotAJobFile)
    ));
}

#[test]
fn mistakes_in_a_job_file_are_named_with_line_and_column() {
    let story = job("KT-204", "rough idle").remark("one").remark("two");
    let good = JobFile {
        job: story.job,
        events: story.events.clone(),
    }
    .to_text()
    .unwrap();
    let line_of = |needle: &str| good.lines().position(|line| line.contains(needle)).unwrap() + 1;

    let says = refusal(&good.replacen("remark:", "towed-away:", 1));
    assert!(
        says.starts_with(&format!("line {}, column ", line_of("remark:")))
            && says.contains("towed-away"),
        "{says}"
    );
    let says = refusal(&good.replacen("who:", "whom:", 1));
    assert!(
        says.starts_with(&format!("line {}, column 5", line_of("who:"))) && says.contains("whom"),
        "{says}"
    );
    let says = refusal(&good.replacen("seq: 2", "seq: 3", 1));
    assert!(
        says.contains("event number 2 is missing")
            && says.starts_with(&format!("line {}", line_of("seq: 2") - 1)),
        "{says}"
    );
    let says = refusal(&good.replacen("seq: 3", "seq: 2", 1));
    assert!(says.contains("event number 2 comes twice"), "{says}");
    let says = refusal(&good.replace(
        &story.events[2].id.to_string(),
        &story.events[1].id.to_string(),
    ));
    assert!(says.contains("same `id` as event number 2"), "{says}");
    let without_first = good.replacen(
        &good[good.find("  - id").unwrap()..good.rfind("  - id").unwrap()],
        "",
        1,
    );
    let says = refusal(&without_first);
    assert!(
        says.contains("the first event of a job is `job-opened`"),
        "{says}"
    );
    let cut = &good[..good.len() - 30];
    assert!(JobFile::parse(cut).is_err());
    let says = refusal(&good.replacen("who: Ina", "who: &a Ina", 1));
    assert!(
        says.starts_with("line 8, column ") && says.contains("anchors"),
        "{says}"
    );
    let head = &good[..good.find("events:").unwrap()];
    let deep = format!("{head}events: {}", "[".repeat(100_000));
    assert!(
        refusal(&deep).contains("nested deeper"),
        "{}",
        refusal(&deep)
    );
}

#[test]
fn importing_twice_adds_nothing_and_a_longer_copy_adds_its_tail() {
    let mut store = memory();
    let other = job("BR 77", "no pull");
    store.append(other.job, 0, &other.events).unwrap();
    let story = job("KT-204", "rough idle").remark("one").remark("two");
    let file = |count: usize| JobFile {
        job: story.job,
        events: story.events[..count].to_vec(),
    };
    let mut bring = |count: usize| {
        merge(&mut store, &file(count))
            .map(|m| (m.number, m.added, m.known))
            .unwrap()
    };
    assert_eq!(bring(2), (2, 2, 0));
    assert_eq!(bring(2), (2, 0, 2));
    assert_eq!(bring(3), (2, 1, 2));
    assert_eq!(bring(1), (2, 0, 3), "an older copy adds nothing");
    assert_eq!(store.read(story.job).unwrap(), story.events);
    assert_eq!(store.read(other.job).unwrap(), other.events);
}

#[test]
fn a_copy_with_another_history_is_refused_at_the_first_difference() {
    let mut store = memory();
    let story = job("KT-204", "rough idle").remark("one").remark("two");
    store.append(story.job, 0, &story.events).unwrap();
    let mut events = story.events.clone();
    events[1].what = What::Remark { text: "onX".into() };
    events[2].what = What::WentBack;
    let refused = merge(
        &mut store,
        &JobFile {
            job: story.job,
            events,
        },
    )
    .unwrap_err();
    assert!(
        matches!(
            refused,
            MergeError::Conflict {
                seq: 2,
                number: 1,
                ..
            }
        ),
        "{refused}"
    );
    assert!(refused.to_string().contains("onX"), "{refused}");
    assert_eq!(store.read(story.job).unwrap(), story.events);

    // The same event in two jobs.
    let copy = JobFile {
        job: Uuid::now_v7(),
        events: story.events.clone(),
    };
    let refused = merge(&mut store, &copy).unwrap_err();
    assert!(
        matches!(
            refused,
            MergeError::Store(StoreError::SameId { seq: 1, .. })
        ),
        "{refused}"
    );
    assert_eq!(store.search("").unwrap().len(), 1);
}

#[test]
fn an_import_does_not_write_into_a_job_that_somebody_has_open() {
    let dir = folder();
    let (mut ina, mut import) = (
        SqliteStore::open(dir.path()).unwrap(),
        SqliteStore::open(dir.path()).unwrap(),
    );
    let story = job("KT-204", "rough idle").remark("one");
    ina.append(story.job, 0, &story.events[..1]).unwrap();
    ina.claim(story.job, "Ina", Claim::Politely).unwrap();
    let file = JobFile {
        job: story.job,
        events: story.events.clone(),
    };
    let refused = merge(&mut import, &file).unwrap_err();
    assert!(refused.to_string().contains("Ina"), "{refused}");
    drop(ina);
    merge(&mut import, &file).unwrap();
}

#[test]
fn a_large_job_is_read_in_good_time() {
    let mut story = job("KT-204", "rough idle");
    for n in 0..3000 {
        story = story.remark(&format!("entry {n}"));
    }
    let file = JobFile {
        job: story.job,
        events: story.events,
    };
    let start = Instant::now();
    assert_eq!(JobFile::parse(&file.to_text().unwrap()).unwrap(), file);
    assert!(start.elapsed() < Duration::from_secs(20));
}
