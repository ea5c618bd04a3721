//! Simulated cars walked through every shipped flow by the flow's own outcomes: how many end with the cause found
//! and proved after the retest.
//!
//! The floors stand just below what was measured. They say what the flows' branches reach today on cars as they are
//! expected, no more; `why` says what keeps a cause from being found. `not-listed` can be found by no repair.
#![allow(
    missing_docs,
    clippy::unwrap_used,
    reason = "a test stops where something is not as expected"
)]

use std::collections::BTreeMap;
use std::fmt::Write as _;

use ruleout::flow::shelf::Shelf;
use ruleout::plant::car::{Car, NOT_LISTED};
use ruleout::plant::dice::Dice;
use ruleout::plant::plan::Plan;
use ruleout::plant::spread::Spread;
use ruleout::plant::walk::{End, Walk, walk};

/// Cars for each cause.
const CARS: u64 = 50;

/// What comes of one cause's cars: how many are found and proved, and where the others end.
fn walks(plan: &Plan, cause: &str) -> (u32, BTreeMap<String, u32>) {
    let mut found = 0;
    let mut ends = BTreeMap::new();
    for seed in 0..CARS {
        let mut dice = Dice::new(seed);
        let car = Car::draw(
            plan,
            &BTreeMap::new(),
            &[cause],
            &Spread::EXPECTED,
            &mut dice,
        );
        let walk = walk(plan, car);
        if walk.found_and_proved(cause) {
            found += 1;
        } else {
            *ends.entry(told(&walk)).or_default() += 1;
        }
    }
    (found, ends)
}

fn told(walk: &Walk) -> String {
    let last = walk
        .steps
        .iter()
        .rev()
        .take(2)
        .rev()
        .map(|(step, outcome)| format!("{step} > {outcome}"))
        .collect::<Vec<_>>()
        .join(", ");
    let end = match &walk.end {
        End::OtherFlow(flow) => format!("on to {flow}"),
        other => format!("{other:?}"),
    };
    let repairs = walk.repairs.first().map_or("none", String::as_str);
    format!("{end}; first repair {repairs}; last: {last}")
}

/// Walks all causes of a flow, prints the table, and holds it against the floors.
fn holds(flow: &str, floors: &[(&str, u32)]) {
    let shelf = Shelf::shipped();
    let shelved = shelf.find(flow).unwrap();
    let plan = Plan::of(&shelved.flow);
    let mut table = String::new();
    let mut short = Vec::new();
    for cause in &shelved.flow.causes {
        let (found, ends) = walks(&plan, &cause.id);
        writeln!(table, "{flow:25} {:24} {found:3} of {CARS}", cause.id).unwrap();
        let mut ends: Vec<_> = ends.into_iter().collect();
        ends.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(&b.0)));
        for (end, count) in ends.iter().take(4) {
            writeln!(table, "    {count:3} {end}").unwrap();
        }
        let floor = floors.iter().find(|(id, _)| *id == cause.id);
        match floor {
            Some((_, floor)) if found < *floor => {
                short.push(format!("{}: {found} < {floor}", cause.id))
            }
            None if cause.id != NOT_LISTED => short.push(format!("{}: no floor", cause.id)),
            _ => {}
        }
        if cause.id == NOT_LISTED {
            assert_eq!(found, 0, "nothing mends what is not listed");
        }
    }
    println!("{table}");
    assert_eq!(short, Vec::<String>::new(), "\n{table}");
}

#[test]
fn cabin_water_and_wind() {
    holds("cabin-water-and-wind", &[]);
}
#[test]
fn charge_air_leak() {
    holds("charge-air-leak", &[]);
}
#[test]
fn cooling_pressure_hold() {
    holds("cooling-pressure-hold", &[]);
}
#[test]
fn crankcase_leak() {
    holds("crankcase-leak", &[]);
}
#[test]
fn exhaust_leak() {
    holds("exhaust-leak", &[]);
}
#[test]
fn idle_misfire() {
    holds("idle-misfire", &[]);
}
#[test]
fn intake_leak() {
    holds("intake-leak", &[]);
}
#[test]
fn manifold_pressure_signal() {
    holds("manifold-pressure-signal", &[]);
}
#[test]
fn purge_and_vent_valves() {
    holds("purge-and-vent-valves", &[]);
}
#[test]
fn recirculation_valve() {
    holds("recirculation-valve", &[]);
}
#[test]
fn smoke_unit_check() {
    holds("smoke-unit-check", &[]);
}
#[test]
fn vapour_large_leak() {
    holds("vapour-large-leak", &[]);
}
#[test]
fn vapour_self_vacuum() {
    holds("vapour-self-vacuum", &[]);
}
#[test]
fn vapour_small_leak() {
    holds("vapour-small-leak", &[]);
}
