//! What set-ups left on the car is looked at as the walk comes to the proof, and again before the car goes.

use uuid::Uuid;

use super::bench::{Bench, shipped};
use crate::engine::event::{Event, Opening, Vehicle, What};
use crate::flow::shelf::hash;
use crate::job::sqlite::SqliteStore;
use crate::job::store::Store;

const FLOW: &str = r"
flow: proved-by-a-drive
title: Proved by a drive
system: fuel vapour
readings:
  seen: {ask: Does it show?, choices: [it shows, nothing]}
  driven: {ask: How was the drive?, choices: [good, bad]}
causes:
  leak: {name: Leak, odds: likely, repair: seal it, minutes: 20}
steps:
  - id: close
    phase: block-off
    do: Close it, and connect.
    put back: [core back in the port]
    set-up: {seal: [vent], supply: inert gas, minutes: 5}
    record: [seen]
    outcomes: [{when: always, go: prove}]
  - id: prove
    phase: retest
    do: Drive it.
    record: [driven]
    outcomes: [{when: always, go: done}]
";

/// The set-up was made and its question answered: the way on is the proof.
fn before_the_proof(text: &str) -> Bench {
    let what = [
        What::JobOpened(Opening {
            vehicle: Vehicle {
                plate: "KT 7".to_owned(),
                ..Vehicle::default()
            },
            complaint: "smells of fuel".to_owned(),
            ..Opening::default()
        }),
        What::FlowBegun {
            flow: "proved-by-a-drive".to_owned(),
            revision: 1,
            hash: hash(text),
            text: text.to_owned(),
        },
    ];
    let events: Vec<Event> = (1..)
        .zip(what)
        .map(|(seq, what)| Event {
            id: Uuid::now_v7(),
            seq,
            at: "2026-03-02T08:00:00Z".parse().unwrap(),
            who: "Kim Archer".to_owned(),
            what,
        })
        .collect();
    let mut store = SqliteStore::in_memory().unwrap();
    store.append(Uuid::now_v7(), 0, &events).unwrap();
    let mut b = Bench::with(store, shipped().clone());
    b.keys("<Enter>").sees("Does it show?").keys("1<Enter>");
    b
}

#[test]
fn it_is_looked_at_before_the_car_is_driven_and_each_thing_is_confirmed() {
    let mut b = before_the_proof(FLOW);
    b.keys("<Enter>")
        .sees("Before it runs or drives: look at each of these")
        .sees("Vent: clamp, plug or cover off, open again")
        .sees("Supply (inert gas): shut off")
        .sees("Core back in the port");
    b.keys("1<Enter>1<Enter>1<Enter>")
        .sees("How was the drive?");
    let off = b.record();
    let off = off.iter().filter(|what| matches!(what, What::TakenOff(_)));
    assert_eq!(off.count(), 3);
    // Nothing is left to ask before the car goes.
    b.keys("1<Enter><Enter><C-e>").sees("Hand the car over");
}

#[test]
fn who_has_not_looked_yet_is_asked_again_before_the_car_goes() {
    let mut b = before_the_proof(FLOW);
    b.keys("<Enter>").sees("Before it runs or drives");
    b.keys("<Esc>").sees("How was the drive?");
    b.keys("1<Enter><Enter><C-e>")
        .sees("Before the car goes: look at each of these")
        .sees("Core back in the port");
}

#[test]
fn the_unit_itself_is_proved_with_its_supply_on() {
    let unit = FLOW.replace("system: fuel vapour", "system: smoke unit");
    let mut b = before_the_proof(&unit);
    b.keys("<Enter>").sees("How was the drive?");
}
