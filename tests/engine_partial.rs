//! What the engine promises for readings that are given bit by bit, left out, taken over, and for
//! what a job was opened with.

use crate::support::Story;
use ruleout::engine::act::act;
use ruleout::engine::action::{Action, FlowText};
use ruleout::engine::carry::{self, Earlier};
use ruleout::engine::event::{Opening, Vehicle, What};
use ruleout::engine::fold::fold;
use ruleout::engine::job::Job;
use ruleout::engine::refusal::Refusal;
use ruleout::engine::replay::replay;
use ruleout::engine::standing::Desk;
use ruleout::flow::answer::Answer;
use ruleout::flow::shelf::hash;
use ruleout::units::Quantity;

/// Two flows that share ids: numbers of the complaint, a state, a proof.
const FIRST: &str = "
flow: first-flow
title: First flow
readings:
  trim: {ask: Trim, unit: \"%\", plausible: -40..40 %}
  purge: {ask: Is the purge shut?, choices: [shut, open]}
  sweep: {ask: Pressure and signal, pairs: {pressure: kPa, signal: V}, plausible: [10..110 kPa, 0..5.2 V], at least: 2}
  proof: {ask: Gauge with the tip blocked, unit: kPa, plausible: 0..7 kPa}
  note: {ask: Anything odd?, words: yes, optional: yes}
steps:
  - {id: complaint, phase: symptom, do: Read., record: [trim, purge, note], outcomes: [{when: always, go: prove}]}
  - {id: prove, phase: pressurise, do: Block the tip., record: [proof, sweep], outcomes: [{id: more, when: {trim: {above: 5 %}}, because: once more, go: complaint}, {id: end, when: {trim: {at most: 5 %}}, because: fine, go: done}]}
";

fn begin(story: &mut Story, text: &str, id: &str) {
    story.does(Action::Begin(FlowText {
        id: id.to_owned(),
        revision: 1,
        hash: hash(text),
        text: text.to_owned(),
    }));
}

fn second() -> String {
    FIRST
        .replace("first-flow", "second-flow")
        .replace("First flow", "Second flow")
}

fn begun() -> Story {
    let mut story = Story::new(9, "ABC 1", "Corvane Lisse", "rough idle", &[]);
    begin(&mut story, FIRST, "first-flow");
    story
}

fn q(text: &str) -> Quantity {
    text.parse().unwrap()
}

fn read(reading: &str, value: Answer, carried_from: Option<u64>) -> Action {
    Action::Read {
        reading: reading.to_owned(),
        value,
        confirmed: false,
        carried_from,
    }
}

fn refused(story: &Story, action: Action) -> Refusal {
    let (who, day) = story.desk();
    act(&story.job, Desk { who: &who, day }, action).unwrap_err()
}

fn complaint(story: &mut Story) {
    story.does(read("trim", Answer::Quantity(q("18 %")), None));
    story.does(read("purge", Answer::Choice("shut".to_owned()), None));
    story.does(Action::LeaveOut {
        reading: "note".to_owned(),
    });
}

fn pair(a: &str, b: &str, confirmed: bool) -> Action {
    Action::Pair {
        reading: "sweep".to_owned(),
        pair: (q(a), q(b)),
        confirmed,
    }
}

fn earlier<'j>(job: &'j Job, id: &str) -> Option<Earlier<'j>> {
    carry::earlier(job, job.run().unwrap().prompt(id).unwrap())
}

#[test]
fn only_what_may_be_left_out_is_left_out_and_it_is_dealt_with_then() {
    let mut story = begun();
    let left = Action::LeaveOut {
        reading: "trim".to_owned(),
    };
    assert!(matches!(refused(&story, left), Refusal::WrongAnswer(_)));
    complaint(&mut story);
    let dealt = |job: &Job| job.prompts_now().iter().all(|(_, dealt)| *dealt);
    assert!(dealt(&story.job));
    assert!(dealt(&fold(&story.events)), "after a resume as well");
    // It can be answered after all.
    story.does(read("note", Answer::Text("wet".to_owned()), None));
    let visit = story.job.visit().unwrap().since_seq;
    assert!(!story.job.is_left_out(visit, "note"));
}

#[test]
fn a_pair_is_an_event_of_its_own_and_one_taken_back_does_not_count() {
    let mut story = begun();
    complaint(&mut story);
    story.does(Action::Follow);
    story.does(pair("50 kPa", "2.05 V", false));
    story.does(pair("61 kPa", "2.4 V", false));
    story.does(Action::TakePairBack {
        reading: "sweep".to_owned(),
    });
    story.does(pair("60 kPa", "2.4 V", false));
    let job = fold(&story.events);
    let visit = job.visit().unwrap().since_seq;
    let pairs: Vec<_> = job
        .pairs_in(visit, "sweep")
        .iter()
        .map(|p| p.pair)
        .collect();
    assert_eq!(
        pairs,
        [(q("50 kPa"), q("2.05 V")), (q("60 kPa"), q("2.4 V"))]
    );
    assert_eq!(job.misfits, []);
    // Not a reading yet: the list has not ended.
    assert!(
        job.prompts_now()
            .iter()
            .any(|(p, dealt)| p.id == "sweep" && !dealt)
    );
    // On another visit the list begins anew.
    story.does(read("sweep", Answer::Pairs(pairs), None));
    story.does(read("proof", Answer::Quantity(q("3.4 kPa")), None));
    story.does(Action::Follow);
    complaint(&mut story);
    story.does(Action::Follow);
    let visit = story.job.visit().unwrap().since_seq;
    assert!(story.job.pairs_in(visit, "sweep").is_empty());
    let nothing = Action::TakePairBack {
        reading: "sweep".to_owned(),
    };
    assert!(matches!(refused(&story, nothing), Refusal::NotNow(_)));
    let (_, played) = replay(&story.events);
    assert!(played.iter().all(|played| played.disagreements.is_empty()));
}

#[test]
fn each_column_of_a_pair_has_its_plausible_range() {
    let mut story = begun();
    complaint(&mut story);
    story.does(Action::Follow);
    let Refusal::Implausible(why) = refused(&story, pair("50 kPa", "9 V", false)) else {
        panic!("nine volts on a five volt feed are asked again");
    };
    assert!(
        why.contains("signal 9 V is unusual here (0 to 5.2 V)"),
        "{why}"
    );
    let Refusal::Implausible(why) = refused(&story, pair("30 psi", "2 V", false)) else {
        panic!("more than two bar in a manifold are asked again");
    };
    assert!(
        why.contains("pressure 30 psi (206.8 kPa) is unusual here"),
        "{why}"
    );
    assert!(matches!(
        refused(&story, pair("50 mm", "2 V", false)),
        Refusal::WrongAnswer(_)
    ));
    let whole = Answer::Pairs(vec![(q("50 kPa"), q("9 V")), (q("60 kPa"), q("2 V"))]);
    assert!(matches!(
        refused(&story, read("sweep", whole, None)),
        Refusal::Implausible(_)
    ));
    story.does(pair("50 kPa", "9 V", true));
    assert!(matches!(
        story.events.last().unwrap().what,
        What::PairTaken {
            confirmed: true,
            ..
        }
    ));
}

#[test]
fn only_numbers_of_the_complaint_are_taken_over_and_only_into_another_flow() {
    let mut story = begun();
    complaint(&mut story);
    story.does(Action::Follow);
    story.does(read("proof", Answer::Quantity(q("3.4 kPa")), None));
    story.does(pair("50 kPa", "2.05 V", false));
    story.does(pair("60 kPa", "2.4 V", false));
    let pairs = Answer::Pairs(vec![(q("50 kPa"), q("2.05 V")), (q("60 kPa"), q("2.4 V"))]);
    story.does(read("sweep", pairs, None));
    let trim = story.job.latest("trim", 1).unwrap().seq;

    // The same flow asks again: it is read anew.
    let mut again = story.clone();
    again.does(Action::Follow);
    assert!(matches!(
        earlier(&again.job, "trim"),
        Some(Earlier::ReadAnew(_))
    ));
    let over = read("trim", Answer::Quantity(q("18 %")), Some(trim));
    assert!(matches!(refused(&again, over.clone()), Refusal::NotNow(_)));

    // Another flow of the same test: the number is offered, the state is not.
    begin(&mut story, &second(), "second-flow");
    assert!(matches!(earlier(&story.job, "trim"),
        Some(Earlier::MayBeTakenOver(taken, "First flow")) if taken.seq == trim));
    assert!(matches!(
        earlier(&story.job, "purge"),
        Some(Earlier::ReadAnew(_))
    ));
    let other = read("trim", Answer::Quantity(q("17 %")), Some(trim));
    assert!(
        matches!(refused(&story, other), Refusal::NotNow(_)),
        "another value is no carry-over"
    );
    story.does(over);
    story.does(read("purge", Answer::Choice("shut".to_owned()), None));
    story.does(Action::LeaveOut {
        reading: "note".to_owned(),
    });
    // A proof is read anew in every flow.
    story.does(Action::Follow);
    let proof = story.job.latest("proof", 1).unwrap().seq;
    assert!(matches!(
        earlier(&story.job, "proof"),
        Some(Earlier::ReadAnew(_))
    ));
    let over = read("proof", Answer::Quantity(q("3.4 kPa")), Some(proof));
    assert!(matches!(refused(&story, over), Refusal::NotNow(_)));
}

#[test]
fn what_a_job_was_opened_with_is_corrected_once_it_is_wrong_and_never_lost() {
    let mut story = begun();
    let old = story.job.opening.clone().unwrap();
    let new = Opening {
        vehicle: Vehicle {
            plate: "ABC 7".to_owned(),
            ..old.vehicle.clone()
        },
        ..old.clone()
    };
    let correct = |opening: &Opening| Action::CorrectOpening {
        opening: Box::new(opening.clone()),
        why: String::new(),
    };
    assert!(matches!(refused(&story, correct(&old)), Refusal::NotNow(_)));
    assert!(matches!(
        refused(&story, correct(&Opening::default())),
        Refusal::WrongAnswer(_)
    ));
    story.does(correct(&new));
    assert_eq!(story.job.opening.as_ref(), Some(&new));
    let seq = story.job.seq;
    assert_eq!(story.job.openings_before, [(old, seq)]);
    story.does(Action::HandOver {
        note: "fine".to_owned(),
    });
    assert!(matches!(
        refused(&story, correct(&Opening::default())),
        Refusal::NotNow(_)
    ));
}
