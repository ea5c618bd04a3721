//! What the set-ups leave on the car: asked for by name before it is handed over, kept with who confirmed it.

use crate::support::Story;
use ruleout::engine::action::{Action, FlowText};
use ruleout::engine::event::{Event, What};
use ruleout::engine::fitted::Fitted;
use ruleout::engine::fold::fold;
use ruleout::engine::refusal::Refusal;
use ruleout::flow::answer::Answer;
use ruleout::flow::shelf::hash;

/// Two set-ups, the second of which opens what the first closed, and one thing to be put back.
const BENCH: &str = r"
flow: two-set-ups
title: Two set-ups
readings:
  seen: {ask: Does it show?, choices: [it shows, nothing]}
causes:
  leak: {name: Leak, odds: likely, repair: seal it, minutes: 20}
steps:
  - id: close
    phase: block-off
    do: Close both, and connect.
    put back: [core back in the port]
    set-up: {seal: [vent, purge line], supply: inert gas, minutes: 5}
    record: [seen]
    outcomes: [{when: always, go: look}]
  - id: look
    phase: inspect
    do: The pinch off the purge line, and look.
    set-up: {open: [purge line], minutes: 1}
    outcomes: [{when: always, go: tell}]
  - {id: tell, phase: judge, do: Tell them., outcomes: [{when: always, go: done}]}
";

fn begun() -> Story {
    let mut story = Story::new(3, "ABC 3", "Corvane Lisse", "smells", &[]);
    story.does(Action::Begin(FlowText {
        id: "two-set-ups".to_owned(),
        revision: 1,
        hash: hash(BENCH),
        text: BENCH.to_owned(),
    }));
    story
}

/// Closed and connected, and the answer given.
fn set_up() -> Story {
    let mut story = begun();
    story.does(Action::Read {
        reading: "seen".to_owned(),
        value: Answer::Choice("nothing".to_owned()),
        confirmed: false,
        carried_from: None,
    });
    story
}

fn fitted(story: &Story) -> Vec<Fitted> {
    story.job.fitted.iter().map(|s| s.what.clone()).collect()
}

fn closed(opening: &str) -> Fitted {
    Fitted::Closed(opening.to_owned())
}

fn hand_over() -> Action {
    Action::HandOver {
        note: "told".to_owned(),
    }
}

#[test]
fn a_flow_begun_by_mistake_has_fitted_nothing() {
    let mut story = begun();
    assert_eq!(fitted(&story), []);
    story.does(hand_over());
}

#[test]
fn what_a_later_set_up_opens_is_off_again_and_all_else_is_asked_for_by_name() {
    let mut story = set_up();
    let all = [
        closed("vent"),
        closed("purge line"),
        Fitted::Supply("inert gas".to_owned()),
        Fitted::PutBack("core back in the port".to_owned()),
    ];
    assert_eq!(fitted(&story), all);
    story.does(Action::Follow);
    assert_eq!(fitted(&story), all, "the step is not done yet");
    story.does(Action::Follow);
    assert_eq!(fitted(&story).len(), 3);
    assert!(!fitted(&story).contains(&closed("purge line")));
    let Err(Refusal::NotNow(why)) = story.tries(hand_over()) else {
        panic!("handed over with a clamp on it");
    };
    for name in ["vent", "inert gas", "core back in the port"] {
        assert!(why.contains(name), "{name}: {why}");
    }
}

#[test]
fn each_is_confirmed_once_and_the_record_says_by_whom() {
    let mut story = set_up().by("Tomas Reeve");
    for what in fitted(&story) {
        story.does(Action::TakeOff(what.clone()));
        assert!(story.tries(Action::TakeOff(what)).is_err());
    }
    let off = &story.job.taken_off;
    assert_eq!(off.len(), 4);
    assert!(off.iter().all(|off| off.who == "Tomas Reeve"));
    assert_eq!(off[0].stood.flow, "Two set-ups");
    story.does(hand_over());
    assert_eq!(story.job.misfits, []);
}

#[test]
fn going_back_or_leaving_the_flow_takes_nothing_off_the_car() {
    let mut story = set_up();
    story.does(Action::Follow);
    story.does(Action::Back);
    story.does(Action::Leave);
    assert_eq!(fitted(&story).len(), 4);
    assert_eq!(story.job.supplies_on().collect::<Vec<_>>(), ["inert gas"]);
}

#[test]
fn what_is_confirmed_and_set_up_once_more_is_asked_for_once_more() {
    let mut story = set_up();
    story.does(Action::TakeOff(closed("vent")));
    assert!(!fitted(&story).contains(&closed("vent")));
    story.does(Action::Read {
        reading: "seen".to_owned(),
        value: Answer::Choice("it shows".to_owned()),
        confirmed: false,
        carried_from: None,
    });
    assert!(fitted(&story).contains(&closed("vent")));
}

#[test]
fn a_job_handed_over_before_anybody_was_asked_still_loads() {
    let story = set_up();
    let mut events: Vec<Event> = story.events.clone();
    let mut last = events.last().unwrap().clone();
    last.seq += 1;
    last.what = What::Handover {
        note: "as it was".to_owned(),
    };
    events.push(last);
    let job = fold(&events);
    assert_eq!(job.misfits, []);
    assert!(job.handed_over.is_some());
    assert_eq!(job.fitted.len(), 4, "nobody has confirmed it");
}
