//! Jobs are found again: by their words, by what people call them, and where they stand.

use chrono::TimeDelta;
use ruleout::engine::event::{Codes, PartWas, What};
use ruleout::flow::target::Target;
use ruleout::job::find::{FindError, find};
use ruleout::job::store::{JobState, Store};

use super::{job, memory};

#[test]
fn jobs_are_found_by_every_word_in_any_case() {
    let mut store = memory();
    let hose = job("KT-204", "Whistles at IDLE")
        .then(What::CodesNoted(Codes {
            stored: vec!["P0171".into(), "P0174".into()],
            ..Codes::default()
        }))
        .then(What::FindingNoted {
            place: "behind the throttle".into(),
            note: "Schelle löse Ü".into(),
        })
        .then(What::RepairDone {
            cause: "split-hose".into(),
            work: "renewed".into(),
            part_was: PartWas::Bad,
        })
        .remark("Customer waits")
        .then(What::Handover {
            note: "drive gently".into(),
        });
    let other = job("BR 77", "no pull").later(TimeDelta::days(1));
    store.append(hose.job, 0, &hose.events).unwrap();
    store.append(other.job, 0, &other.events).unwrap();
    let found = |query: &str| -> Vec<u64> {
        store
            .search(query)
            .unwrap()
            .iter()
            .map(|line| line.number)
            .collect()
    };
    assert_eq!(found(""), [2, 1], "newest activity first");
    for query in [
        "kt-2",
        "whistles",
        "p0174",
        "SPLIT",
        "throttle",
        "LÖSE ü",
        "waits renewed",
        "job 1",
        "sella idle kt",
    ] {
        assert_eq!(found(query).last(), Some(&1), "{query}");
    }
    assert_eq!(found("p0174"), [1]);
    assert_eq!(found("whistles pull"), [0u64; 0], "every word must occur");
    assert_eq!(found("rough idle"), [2, 1], "symptoms count");
    assert_eq!(found("%"), [0u64; 0]);
    assert_eq!(found("gently"), [0u64; 0]);

    let line = &store.search("p0174").unwrap()[0];
    assert_eq!(line.codes, ["P0171", "P0174"]);
    assert_eq!(
        (line.state, line.events, line.bay.as_str()),
        (JobState::HandedOver, 6, "2")
    );
    assert_eq!(
        (line.opened, line.last),
        (hose.events[0].at, hose.events[5].at)
    );
}

#[test]
fn a_line_says_where_the_job_stands() {
    const FLOW: &str = "{flow: hold, title: Hold, steps: [\
        {id: plug, phase: isolate, do: Plug., outcomes: [{when: always, go: read}]}, \
        {id: read, phase: inspect, do: Read., outcomes: [{when: always, go: done}]}]}";
    let mut store = memory();
    let begun = What::FlowBegun {
        flow: "hold".into(),
        revision: 1,
        hash: "00".into(),
        text: FLOW.into(),
    };
    let skip = |step: &str, go: Target| What::StepSkipped {
        step: step.into(),
        go,
        reason: "r".into(),
    };
    let story = job("KT-204", "rough idle")
        .then(begun)
        .then(skip("plug", Target::Step("read".into())))
        .then(What::WentBack)
        .then(What::WentForward)
        .then(skip("read", Target::Done));
    let wanted = [
        (None, None),
        (Some("hold"), Some("plug")),
        (Some("hold"), Some("read")),
        (Some("hold"), Some("plug")),
        (Some("hold"), Some("read")),
        (Some("hold"), None),
    ];
    for (n, (flow, step)) in wanted.into_iter().enumerate() {
        let one = &story.events[n..=n];
        store.append(story.job, n as u64, one).unwrap();
        let line = store.search("").unwrap().remove(0);
        let stands = (line.flow.as_deref(), line.step.as_deref());
        assert_eq!(stands, (flow, step), "after event {}", n + 1);
    }
}

#[test]
fn a_job_is_meant_by_number_plate_or_the_beginning_of_its_name() {
    let mut store = memory();
    let (one, two, three) = (job("KT-204", "a"), job("kt 204", "b"), job("2", "c"));
    for story in [&one, &two, &three] {
        store.append(story.job, 0, &story.events).unwrap();
    }
    let number = |asked: &str| find(&store, asked).map(|line| line.number);
    assert_eq!(number("2").unwrap(), 2, "a number in use is a number");
    assert_eq!(number("job 3").unwrap(), 3);
    assert_eq!(number(&one.job.to_string()).unwrap(), 1);
    assert_eq!(
        number(&one.job.to_string().to_uppercase()[..35]).unwrap(),
        1
    );
    let both = number("kt204").unwrap_err();
    assert!(
        matches!(&both, FindError::Several { jobs, .. } if jobs.len() == 2),
        "{both}"
    );
    assert!(both.to_string().contains("job 1 (KT-204, open)"), "{both}");
    assert!(matches!(number("nothing"), Err(FindError::None(_))));
    assert!(matches!(number(""), Err(FindError::None(_))));
    assert!(
        matches!(number("0"), Err(FindError::None(_))),
        "few digits are a number, not the beginning of a name"
    );
    assert!(matches!(number("-"), Err(FindError::None(_))));
}
