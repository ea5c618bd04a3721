//! What a step comes to where something that it is judged by was left out: nothing is settled by it, and
//! `unsure` says where to go.

use crate::support::Story;
use ruleout::engine::action::{Action, FlowText};
use ruleout::engine::job::Station;
use ruleout::flow::answer::Answer;
use ruleout::flow::shelf::hash;
use ruleout::rules::suggest::{Kind, Suggestion, suggest};

/// Judged by a reading that may be left out, by what is worked from it, and only valid with it.
const FLOW: &str = "
flow: left-out
title: Left out
readings:
  rise: {ask: Rise, unit: kPa, plausible: 0..10 kPa, optional: yes}
  aim: {ask: Aim, unit: kPa, plausible: 1..10 kPa}
worked:
  reached: {name: Share of the aim, ratio: [rise, aim]}
steps:
  - id: by-reading
    phase: inspect
    do: Read.
    record: [rise]
    outcomes:
      - {id: high, when: {rise: {at least: 5 kPa}}, because: high, go: done}
      - {id: low, when: {rise: {below: 5 kPa}}, because: low, go: done}
    unsure: {because: Go on without it, go: by-worked}
  - id: by-worked
    phase: inspect
    do: Read.
    record: [aim]
    outcomes:
      - {id: short, when: {none: [{reached: {at least: 80 %}}]}, because: short, go: done}
      - {id: there, when: {reached: {at least: 80 %}}, because: there, go: done}
    unsure: {because: Go on without it, go: valid-with}
  - id: valid-with
    phase: inspect
    do: Read.
    record: [aim]
    valid when: {rise: {at least: 1 kPa}}
    not valid: {because: Too little, go: by-reading}
    outcomes: [{id: fine, when: {aim: {at least: 1 kPa}}, because: fine, go: done}]
";

fn begun() -> Story {
    let mut story = Story::new(9, "ABC 1", "Corvane Lisse", "lack of pull", &[]);
    story.does(Action::Begin(FlowText {
        id: "left-out".to_owned(),
        revision: 1,
        hash: hash(FLOW),
        text: FLOW.to_owned(),
    }));
    story
}

fn aim(story: &mut Story) {
    story.does(Action::Read {
        reading: "aim".to_owned(),
        value: Answer::Quantity("5 kPa".parse().unwrap()),
        confirmed: false,
        carried_from: None,
    });
}

fn says(story: &Story) -> Suggestion {
    suggest(&story.job).unwrap()
}

fn at(story: &Story) -> &Station {
    &story.job.visit().unwrap().station
}

#[test]
fn a_walk_without_what_may_be_left_out_is_led_on_by_unsure_with_the_reason() {
    let mut story = begun();
    story.does(Action::LeaveOut {
        reading: "rise".to_owned(),
    });
    let by_reading = says(&story);
    assert_eq!(by_reading.kind, Kind::Unsure);
    assert_eq!(by_reading.because, "rise was left out. Go on without it");
    story.does(Action::Follow);
    assert_eq!(*at(&story), Station::Step("by-worked".to_owned()));

    aim(&mut story);
    let by_worked = says(&story);
    assert_eq!(by_worked.kind, Kind::Unsure, "no `none` holds by it");
    assert_eq!(
        by_worked.because,
        "Share of the aim is not known, since rise was not read. Go on without it"
    );
    story.does(Action::Follow);

    aim(&mut story);
    let valid_with = says(&story);
    assert_eq!(
        valid_with.kind,
        Kind::Unsure,
        "could not tell is not normal"
    );
    assert_eq!(
        valid_with.because,
        "rise was not read, and the readings count only with it. Too little"
    );
    story.does(Action::Follow);
    assert_eq!(*at(&story), Station::Step("by-reading".to_owned()));
}

#[test]
fn what_may_be_left_out_and_was_read_settles_the_step() {
    let mut story = begun();
    story.does(Action::Read {
        reading: "rise".to_owned(),
        value: Answer::Quantity("6 kPa".parse().unwrap()),
        confirmed: false,
        carried_from: None,
    });
    assert_eq!(says(&story).outcome.as_deref(), Some("high"));
}

#[test]
fn one_of_some_words_may_be_left_out_as_well() {
    let text = "
flow: left-out
title: Left out
readings:
  noise: {ask: Does it whistle?, choices: [whistles, quiet], optional: yes}
steps:
  - id: listen
    phase: inspect
    do: Listen.
    record: [noise]
    outcomes:
      - {id: loud, when: {noise: {is: whistles}}, because: loud, go: done}
      - {id: still, when: {noise: {is: quiet}}, because: still, go: done}
    unsure: {because: Nobody listened, go: listen}
";
    let mut story = Story::new(9, "ABC 1", "Corvane Lisse", "lack of pull", &[]);
    story.does(Action::Begin(FlowText {
        id: "left-out".to_owned(),
        revision: 1,
        hash: hash(text),
        text: text.to_owned(),
    }));
    story.does(Action::LeaveOut {
        reading: "noise".to_owned(),
    });
    let said = says(&story);
    assert_eq!(said.kind, Kind::Unsure);
    assert_eq!(said.because, "noise was left out. Nobody listened");
}
