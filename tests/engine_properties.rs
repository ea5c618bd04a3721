//! What holds for every job, whatever its events: checked on the demo jobs, on mutilated copies of
//! them, and on events thrown together at random.

use crate::jobs;
use std::sync::LazyLock;

use chrono::TimeDelta;
use proptest::prelude::*;
use ruleout::engine::event::{Event, Opening, What};
use ruleout::engine::fold::{apply, fold};
use ruleout::engine::job::Job;
use ruleout::engine::replay::replay;
use ruleout::engine::standing::Desk;
use ruleout::engine::{judge, standing::Standing};
use ruleout::flow::target::Target;
use ruleout::rules::suggest::suggest;

/// All events of all demo jobs.
static RECORDS: LazyLock<Vec<Vec<Event>>> = LazyLock::new(|| {
    jobs::all()
        .into_iter()
        .map(|(_, story)| story.events)
        .collect()
});

/// Asks everything that a screen would ask of a job.
fn look(job: &Job) -> String {
    let day = job.last.unwrap_or_default().date_naive();
    let standing = job.standing(Desk {
        who: "Ines Harrow",
        day,
    });
    let picture = judge::picture_now(job);
    format!(
        "{standing:?} {picture:?} {:?} {:?} {}",
        suggest(job),
        job.prompts_now(),
        job.ruled_out().len()
    )
}

/// Where a job stands, without the count of its events and without when each stay began: coming back
/// to a step begins a new one.
fn place(job: &Job) -> String {
    let mut job = job.clone();
    job.seq = 0;
    job.last = None;
    job.touched_seq = 0;
    for visit in job.runs.iter_mut().flat_map(|run| &mut run.path) {
        (visit.stay_seq, visit.ready_seq) = (visit.since_seq, visit.since_seq);
        (visit.ready, visit.gone_seq) = (visit.since, None);
        (visit.clock, visit.time_up) = (None, None);
    }
    format!("{job:?}")
}

fn next(events: &[Event], what: What) -> Event {
    let last = events.last().expect("a job has events");
    Event {
        seq: last.seq + 1,
        at: last.at + TimeDelta::seconds(1),
        what,
        ..last.clone()
    }
}

#[test]
fn any_beginning_of_a_record_is_a_valid_state() {
    for events in RECORDS.iter() {
        let mut job = Job::default();
        for event in events {
            apply(&mut job, event);
            look(&job);
            assert_eq!(job.misfits, []);
        }
    }
}

#[test]
fn back_then_forward_is_identity_at_every_point() {
    for events in RECORDS.iter() {
        for end in 1..events.len() {
            let before = &events[..end];
            let there = fold(before);
            if there.run().is_none() || (there.current == Some(0) && there.runs[0].at == 0) {
                continue;
            }
            let mut with = before.to_vec();
            with.push(next(&with, What::WentBack));
            with.push(next(&with, What::WentForward));
            let again = fold(&with);
            assert_eq!(again.misfits, []);
            assert_eq!(place(&there), place(&again), "after event {end}");
        }
    }
}

#[test]
fn taking_the_same_outcome_again_after_going_back_leads_to_the_same_place() {
    for events in RECORDS.iter() {
        for (n, event) in events.iter().enumerate() {
            let What::OutcomeTaken(taken) = &event.what else {
                continue;
            };
            if matches!(taken.go, Target::Done) {
                continue; // The flow's end is an event of its own, and follows.
            }
            let there = fold(&events[..=n]);
            let mut with = events[..=n].to_vec();
            with.push(next(&with, What::WentBack));
            with.push(next(&with, event.what.clone()));
            let again = fold(&with);
            let at =
                |job: &Job| format!("{:?} {:?}", job.visit().map(|v| &v.station), job.readings);
            assert_eq!(at(&there), at(&again));
        }
    }
}

/// An event of some record, possibly of another job, with any number.
fn any_event() -> impl Strategy<Value = Event> {
    let all: Vec<Event> = RECORDS.iter().flatten().cloned().collect();
    let own = [
        What::WentBack,
        What::WentForward,
        What::LimitCleared,
        What::LimitMistyped,
        What::ClockBegunAgain,
        What::TimedElsewhere,
        What::WaitCutShort {
            left: "40 s".parse().unwrap(),
        },
        What::ReadingLeftOut {
            reading: "idle-manifold".to_owned(),
        },
        What::PairTaken {
            reading: "sweep".to_owned(),
            pair: ("50 kPa".parse().unwrap(), "2 V".parse().unwrap()),
            confirmed: false,
        },
        What::PairTakenBack { taken: 12 },
        What::SampleTaken {
            reading: "hold-end".to_owned(),
            after: "20 s".parse().unwrap(),
            value: "3 kPa".parse().unwrap(),
        },
        What::SampleTakenBack { taken: 12 },
        What::OpeningCorrected {
            opening: Opening::default(),
            why: String::new(),
        },
        What::RetestBegun {
            flow: "intake-leak".to_owned(),
            from: "nowhere".to_owned(),
        },
    ];
    (0..all.len() + 4 * own.len(), 0..400u64).prop_map(move |(n, seq)| {
        let mut event = all[n % all.len()].clone();
        if n >= all.len() {
            event.what = own[n % own.len()].clone();
        }
        event.seq = seq;
        event
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn no_sequence_of_events_panics_and_folding_is_deterministic(
        mut events in prop::collection::vec(any_event(), 0..60),
        in_order in any::<bool>(),
    ) {
        if in_order {
            for (n, event) in events.iter_mut().enumerate() {
                event.seq = n as u64 + 1;
            }
        }
        let (one, other) = (fold(&events), fold(&events));
        prop_assert_eq!(format!("{one:?}"), format!("{other:?}"));
        look(&one);
        replay(&events);
    }

    #[test]
    fn a_record_with_events_missing_is_still_a_state(
        record in 0..5usize,
        keep in prop::collection::vec(prop::bool::weighted(0.9), 400),
    ) {
        let events: Vec<Event> = RECORDS[record]
            .iter()
            .zip(keep)
            .filter(|(_, keep)| *keep)
            .map(|(event, _)| event.clone())
            .collect();
        let job = fold(&events);
        look(&job);
        prop_assert!(job.misfits.len() <= events.len());
    }
}

#[test]
fn a_job_that_was_not_opened_stands_nowhere() {
    let day = chrono::NaiveDate::default();
    let job = Job::default();
    assert!(matches!(
        job.standing(Desk { who: "", day }),
        Standing::NotOpened
    ));
}
