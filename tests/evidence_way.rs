//! Going where the evidence says: what the engine allows, from every station of every demo job to
//! every step of its flow; and choices recorded with what the evidence said.

use crate::jobs;
use std::collections::BTreeSet;
use std::sync::LazyLock;

use chrono::TimeDelta;
use ruleout::engine::act::act;
use ruleout::engine::action::Action;
use ruleout::engine::elsewhere::{left_over, missing};
use ruleout::engine::event::{Event, What};
use ruleout::engine::fold::apply;
use ruleout::engine::job::{How, Job, Station};
use ruleout::engine::refusal::Refusal;
use ruleout::engine::replay::replay;
use ruleout::engine::standing::{Desk, Standing};
use ruleout::engine::weighed::{Chosen, Odds, Way, Weighed};
use ruleout::flow::model::{Flow, Phase};
use ruleout::flow::order::before;
use ruleout::flow::target::Target;

/// All events of all demo jobs.
static RECORDS: LazyLock<Vec<Vec<Event>>> = LazyLock::new(|| {
    let all = jobs::all().into_iter();
    all.map(|(_, story)| story.events).collect()
});

fn desk(event: &Event) -> Desk<'_> {
    Desk {
        who: &event.who,
        day: event.at.date_naive(),
    }
}

fn weighed(go: &Target) -> Box<Weighed> {
    Box::new(Weighed {
        taken: Chosen::Evidence,
        evidence: Way {
            words: "there".to_owned(),
            go: Some(go.clone()),
            minutes: Some(12.5),
        },
        flow: None,
        because: "it saves 5 min".to_owned(),
        odds: vec![Odds {
            cause: "split-hose".to_owned(),
            present: 0.25,
            explains: 0.125,
        }],
        by: "words 1".to_owned(),
        own_jobs: 0,
        not_here: Vec::new(),
        taken_down: Vec::new(),
    })
}

fn go_by(job: &Job, last: &Event, go: &Target, taken_down: bool) -> Result<Vec<What>, Refusal> {
    let action = Action::GoBy {
        go: go.clone(),
        weighed: weighed(go),
        taken_down,
    };
    act(job, desk(last), action)
}

fn then(events: &[Event], what: Vec<What>) -> Vec<Event> {
    let mut all = events.to_vec();
    for what in what {
        let last = all.last().unwrap();
        let next = Event {
            id: uuid::Uuid::from_u128(u128::from(last.seq) + 77),
            seq: last.seq + 1,
            at: last.at + TimeDelta::seconds(1),
            what,
            who: last.who.clone(),
        };
        all.push(next);
    }
    all
}

/// States of every demo job in which a step is walked, with the events up to there: of those in which
/// a step is reached or judged, every `nth`. A tenth of a second each, as nothing here is optimised.
fn at_steps(nth: usize, mut look: impl FnMut(&Job, &[Event])) {
    let mut n = 0;
    for events in RECORDS.iter() {
        let mut job = Job::default();
        for (at, event) in events.iter().enumerate() {
            apply(&mut job, event);
            let next = events.get(at + 1).map(|event| &event.what);
            let judged = matches!(next, Some(What::OutcomeTaken(_)));
            let reached = matches!(event.what, What::OutcomeTaken(_));
            if (judged || reached) && matches!(job.standing(desk(event)), Standing::Step(_)) {
                if n % nth == 0 {
                    look(&job, &events[..=at]);
                }
                n += 1;
            }
        }
    }
}

/// The job once these things have happened as well.
fn once(job: &Job, events: &[Event], what: Vec<What>) -> Job {
    let mut job = job.clone();
    for event in &then(events, what)[events.len()..] {
        apply(&mut job, event);
    }
    job
}

/// Steps that were ended by their own outcome in the present test.
fn ended(job: &Job) -> BTreeSet<&str> {
    let run = job.run().unwrap();
    let test = job.test_number();
    let left = run.walked().iter().filter(|v| v.test == test);
    left.filter_map(|v| match (&v.station, v.left.as_ref().map(|l| &l.how)) {
        (Station::Step(id), Some(How::Outcome(_))) => Some(id.as_str()),
        _ => None,
    })
    .collect()
}

fn makes_safe(flow: &Flow, step: usize) -> bool {
    let step = &flow.steps[step];
    step.set_up.is_some() || matches!(step.phase, Phase::Isolate | Phase::BlockOff)
}

#[test]
fn the_walk_goes_nowhere_before_what_makes_it_safe_is_done() {
    let (mut allowed, mut refused) = (0, 0);
    at_steps(11, |job, events| {
        let run = job.run().unwrap();
        let flow = run.flow.clone();
        let picture = ruleout::engine::judge::picture_now(job).unwrap();
        let behind = before(&flow, &picture.values);
        let here = run.step().unwrap().id.clone();
        for (n, step) in flow.steps.iter().enumerate() {
            let go = Target::Step(step.id.clone());
            match go_by(job, events.last().unwrap(), &go, true) {
                Ok(what) => {
                    allowed += 1;
                    let there = once(job, events, what);
                    assert_eq!(there.misfits, []);
                    assert_eq!(
                        there.visit().unwrap().station,
                        Station::Step(step.id.clone())
                    );
                    assert!(!matches!(step.phase, Phase::Repair | Phase::Retest));
                    let ended = ended(&there);
                    for first in behind[n].as_ref().unwrap() {
                        let first_step = &flow.steps[*first];
                        let id = first_step.id.as_str();
                        // Leaving a step that only prepares does not say that it was done.
                        let left_so = id == here && first_step.record.is_empty();
                        assert!(
                            !makes_safe(&flow, *first) || (ended.contains(id) && !left_so),
                            "{} was reached from {here} without {id}",
                            step.id
                        );
                    }
                }
                Err(Refusal::NotNow(_)) => refused += 1,
                Err(other) => panic!("{other}"),
            }
        }
    });
    assert!(
        allowed > 10 && refused > 20,
        "{allowed} allowed, {refused} refused"
    );
}

#[test]
fn what_is_to_be_done_first_can_be_done() {
    let mut seen = 0;
    at_steps(17, |job, events| {
        let run = job.run().unwrap();
        let here = &run.step().unwrap().id;
        for step in &run.flow.steps {
            let Ok(all) = missing(job, &step.id) else {
                continue;
            };
            let Some(first) = all.first() else {
                continue;
            };
            if first.id == *here {
                continue;
            }
            seen += 1;
            let go = Target::Step(first.id.clone());
            let there = go_by(job, events.last().unwrap(), &go, true);
            assert!(there.is_ok(), "{} before {}: {there:?}", first.id, step.id);
        }
    });
    assert!(seen > 5, "{seen}");
}

#[test]
fn what_stands_in_place_is_taken_down_before_the_walk_goes_back() {
    let mut seen = 0;
    at_steps(17, |job, events| {
        let run = job.run().unwrap();
        for step in &run.flow.steps {
            let go = Target::Step(step.id.clone());
            let over = left_over(job, &step.id);
            let last = events.last().unwrap();
            if go_by(job, last, &go, true).is_err() {
                continue;
            }
            let bare = go_by(job, last, &go, false);
            assert_eq!(bare.is_ok(), over.is_empty(), "{}: {over:?}", step.id);
            seen += usize::from(!over.is_empty());
        }
    });
    assert!(seen > 2, "{seen}");
}

#[test]
fn cautions_and_limits_are_not_overruled() {
    let mut asked = 0;
    at_steps(17, |job, events| {
        let last = events.last().unwrap();
        let run = job.run().unwrap();
        for step in &run.flow.steps {
            let go = Target::Step(step.id.clone());
            let Ok(what) = go_by(job, last, &go, true) else {
                continue;
            };
            let there = once(job, events, what);
            // Somebody else has accepted nothing yet.
            let other = Desk {
                who: "nobody yet",
                ..desk(last)
            };
            if !step.cautions.is_empty() {
                asked += 1;
                assert!(
                    !matches!(there.standing(other), Standing::Step(_)),
                    "{}",
                    step.id
                );
            }
        }
        let stop = What::LimitPassed {
            reading: "smoke-pressure".to_owned(),
            value: "20 kPa".parse().unwrap(),
            limit: "7 kPa".parse().unwrap(),
        };
        let stopped = once(job, events, vec![stop]);
        let go = Target::Step(run.flow.steps[0].id.clone());
        assert!(go_by(&stopped, last, &go, true).is_err());
    });
    assert!(asked > 5, "{asked}");
}

#[test]
fn no_proof_and_no_unlisted_repair_is_reached_by_the_evidence() {
    at_steps(20, |job, events| {
        let last = events.last().unwrap();
        for go in [
            Target::Done,
            Target::Repair("not-listed".to_owned()),
            Target::Repair("no-such-cause".to_owned()),
            Target::Flow(job.run().unwrap().flow.id.clone()),
        ] {
            assert!(go_by(job, last, &go, true).is_err(), "{go:?}");
        }
    });
}

#[test]
fn a_record_with_such_a_way_replays_and_one_that_skips_the_set_up_is_named() {
    let mut seen = 0;
    at_steps(36, |job, events| {
        let run = job.run().unwrap();
        let last = events.last().unwrap();
        for step in &run.flow.steps {
            let go = Target::Step(step.id.clone());
            let Ok(what) = go_by(job, last, &go, true) else {
                continue;
            };
            let all = then(events, what.clone());
            let (_, played) = replay(&all);
            let wrong: Vec<_> = played.iter().flat_map(|p| &p.disagreements).collect();
            assert!(wrong.is_empty(), "{}: {wrong:?}", step.id);
            // The same, written by hand to a step that is not to be reached yet.
            let barred = run
                .flow
                .steps
                .iter()
                .find(|other| missing(job, &other.id).is_ok_and(|all| !all.is_empty()));
            let Some(barred) = barred else { continue };
            let mut forged = what;
            if let What::OutcomeTaken(taken) = &mut forged[0] {
                taken.go = Target::Step(barred.id.clone());
            }
            let forged = then(events, forged);
            let (_, played) = replay(&forged);
            assert!(
                !played.last().unwrap().disagreements.is_empty(),
                "{}",
                barred.id
            );
            seen += 1;
            break;
        }
    });
    assert!(seen > 1, "{seen}");
}

#[test]
fn the_flows_way_taken_all_the_same_goes_where_it_went_and_keeps_what_the_evidence_said() {
    let mut seen = 0;
    at_steps(24, |job, events| {
        let last = events.last().unwrap();
        let Ok(plain) = act(job, desk(last), Action::Follow) else {
            return;
        };
        let with = Action::Weigh {
            weighed: weighed(&Target::Repair("split-hose".to_owned())),
            action: Box::new(Action::Follow),
        };
        let with = act(job, desk(last), with).unwrap();
        assert_eq!(plain.len(), with.len());
        let What::OutcomeTaken(taken) = &with[0] else {
            panic!("{with:?}");
        };
        assert_eq!(taken.weighed.as_ref().unwrap().taken, Chosen::Flow);
        let mut bare = taken.clone();
        bare.weighed = None;
        assert_eq!(What::OutcomeTaken(bare), plain[0]);
        let all = then(events, with.clone());
        let (_, played) = replay(&all);
        assert!(played.iter().all(|p| p.disagreements.is_empty()));
        seen += 1;
    });
    assert!(seen > 1, "{seen}");
}

#[test]
fn only_what_ends_a_step_is_weighed() {
    at_steps(60, |job, events| {
        let action = Action::Weigh {
            weighed: weighed(&Target::Done),
            action: Box::new(Action::Back),
        };
        assert!(act(job, desk(events.last().unwrap()), action).is_err());
    });
}
