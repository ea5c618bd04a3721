//! What set-ups left on the car is looked at as the walk comes to the proof, and again before the car goes.

use super::bench::{Bench, begun};
use crate::engine::event::What;

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
    let mut b = Bench::on_job(begun("smells of fuel", text));
    b.sees("Does it show?").keys("1<Enter>");
    b
}

#[test]
fn it_is_looked_at_before_the_car_is_driven_and_each_thing_is_confirmed() {
    let mut b = before_the_proof(FLOW);
    b.keys("<Enter>")
        .sees("Before it runs or drives: look at each of these")
        .sees("Vent: clamp, plug or cover off, open again")
        .sees("Inert gas supply: shut off")
        .sees("Core back in the port");
    // What is confirmed keeps its number, and the supply comes first.
    b.keys("1")
        .sees("1  [seen] Inert gas supply: shut off")
        .sees("2 still to be looked at")
        .sees("2  Core back in the port");
    // No key that is held down confirms what nobody looked at.
    b.keys("<Enter><Enter>").sees("Pick one first");
    b.keys("23").sees("How was the drive?");
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

#[test]
fn a_purge_line_may_stay_shut_for_a_running_reading_and_is_free_for_the_proof() {
    let run = "  - {id: run, phase: judge, do: Run it., cautions: [smoke-off], outcomes: [{when: always, go: prove}]}\n  \
               - id: prove\n";
    let flow = FLOW
        .replace("seal: [vent]", "seal: [vent, purge line]")
        .replace("go: prove}", "go: run}")
        .replacen("  - id: prove\n", run, 1);
    let mut b = before_the_proof(&flow);
    b.keys("<Enter>")
        .sees("Before it runs or drives")
        .sees("Vent: clamp, plug or cover off")
        .sees_not("Purge line");
    b.keys("123")
        .sees("CAUTION: Before the key is turned")
        .keys("1")
        .sees("Run it.");
    b.keys("<Enter>")
        .sees("Before it runs or drives")
        .sees("1  Purge line: clamp, plug or cover off");
    b.keys("1").sees("How was the drive?");
}
