//! Simulated cars walked through every shipped flow by the flow's own outcomes: how many end with the cause found
//! and proved after the retest.
//!
//! The floors stand just below what was measured. They say what the flows' branches reach today on cars as they are
//! expected, no more; beside each flow stands what keeps its causes from being found. `not-listed` is mended by no
//! repair.
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

/// Walks all causes of a flow, prints the table, and holds it against the floors. A floor of 0 says that the
/// branches find none at all; it fails as soon as they do.
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
            Some((_, 0)) if found > 0 => {
                short.push(format!("{}: {found}, so it has a floor now", cause.id));
            }
            Some((_, floor)) if found < *floor => {
                short.push(format!("{}: {found} < {floor}", cause.id));
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

/// Odds are those given the complaint: a cause that can hardly make it, whatever its size, has none. On a few vehicles
/// (a charger with much to spare) it is not to be had in the draws that a car gets.
#[test]
fn a_car_with_any_listed_cause_can_have_the_complaint() {
    for shelved in Shelf::shipped().iter() {
        let plan = Plan::of(&shelved.flow);
        for cause in &shelved.flow.causes {
            let comes_in = |seed: &u64| {
                let mut dice = Dice::new(*seed);
                let facts = BTreeMap::new();
                let spread = Spread::EXPECTED;
                let car = Car::draw(&plan, &facts, &[&cause.id], &spread, &mut dice);
                car.complains(|_| true)
            };
            let complaining = (0..CARS).filter(comes_in).count() as u64;
            let least = CARS * 9 / 10;
            assert!(complaining >= least, "{}: {}", shelved.flow.id, cause.id);
        }
    }
}

/// "Sweet and greasy" comes at 4 % of the sound cars, as `healthy` leaves it open, and leads to another flow.
#[test]
fn cabin_water_and_wind() {
    holds(
        "cabin-water-and-wind",
        &[
            ("door-seal", 37),
            ("sunroof-drain", 39),
            ("sunroof-seal", 35),
            ("windscreen-bond", 36),
            ("tail-seal", 44),
            ("bulkhead-grommet", 39),
            ("roof-fitting", 40),
            ("cooling-drain", 39),
        ],
    );
}
/// A leak that costs pull empties the run within the 60 s: the size is refused, and the judge has no way on.
#[test]
fn charge_air_leak() {
    holds(
        "charge-air-leak",
        &[
            ("charge-hose", 44),
            ("charge-cooler", 48),
            ("charge-valve", 44),
            ("charge-sensor-seal", 45),
            ("compressor-seal", 47),
        ],
    );
}
/// A leak that hides goes round between the search and the gas for ever.
#[test]
fn cooling_pressure_hold() {
    holds(
        "cooling-pressure-hold",
        &[
            ("radiator-cap", 43),
            ("cap-seat", 43),
            ("coolant-hose", 48),
            ("radiator", 41),
            ("water-pump", 48),
            ("core-plug", 47),
            ("heater-core", 41),
            ("head-gasket", 47),
        ],
    );
}
/// The breather step reads again with the hose off, and nothing in the flow says that it is off. A range of
/// -2..1 kPa for a seal reaches over the limit of 0.5 kPa.
#[test]
fn crankcase_leak() {
    holds(
        "crankcase-leak",
        &[
            ("crankcase-breather", 48),
            ("oil-filler", 48),
            ("valve-cover-gasket", 44),
            ("crankshaft-seal", 44),
            ("sump-gasket", 48),
            ("breather-blocked", 46),
            ("rings", 0),
        ],
    );
}
/// A pipe with a hole that is larger than the supply fills is taken for an end that was left open.
#[test]
fn exhaust_leak() {
    holds(
        "exhaust-leak",
        &[
            ("exhaust-gasket", 48),
            ("exhaust-crack", 48),
            ("sensor-seat", 45),
            ("exhaust-joint", 48),
            ("exhaust-pipe", 40),
            ("recirculation-line", 47),
        ],
    );
}
/// What works most of the time is sent to the wires at once, past spark and injector.
#[test]
fn idle_misfire() {
    holds(
        "idle-misfire",
        &[
            ("intake-gasket", 46),
            ("recirculation-passage", 39),
            ("ignition-part", 37),
            ("injector", 37),
            ("rings", 39),
            ("valve-or-head", 43),
            ("misfire-wiring", 45),
        ],
    );
}
/// A place that shows neither to smoke nor on the running engine is handed on: half of the other openings.
#[test]
fn intake_leak() {
    holds(
        "intake-leak",
        &[
            ("split-hose", 46),
            ("vacuum-hose", 46),
            ("intake-gasket", 48),
            ("throttle-shaft", 47),
            ("injector-seal", 44),
            ("brake-booster", 42),
            ("crankcase-breather", 45),
            ("recirculation-valve", 44),
            ("other-opening", 23),
        ],
    );
}
/// A hold near its limit is read again for ever.
#[test]
fn manifold_pressure_signal() {
    holds(
        "manifold-pressure-signal",
        &[("pressure-sensor", 48), ("sensor-feed", 48)],
    );
}
/// By words alone, what is `very likely` is missed one time in eight.
#[test]
fn purge_and_vent_valves() {
    holds(
        "purge-and-vent-valves",
        &[
            ("purge-valve-open", 48),
            ("purge-valve-shut", 48),
            ("purge-winding-bad", 48),
            ("purge-wiring", 42),
            ("purge-line", 35),
            ("vent-valve-open", 48),
            ("vent-valve-shut", 48),
            ("vent-winding-bad", 48),
            ("vent-wiring", 43),
            ("vent-line-blocked", 38),
        ],
    );
}
/// Idle and position are sound on half of the cars whose line leaks or whose position is a little off.
#[test]
fn recirculation_valve() {
    holds(
        "recirculation-valve",
        &[
            ("recirculation-open", 42),
            ("recirculation-shut", 39),
            ("recirculation-passage", 37),
            ("recirculation-wiring", 42),
            ("recirculation-position", 20),
            ("recirculation-line", 27),
        ],
    );
}
/// Thin smoke is always put down to the fluid. A float that is off by 40 % moves the hole by 18 %, within the limit.
#[test]
fn smoke_unit_check() {
    holds(
        "smoke-unit-check",
        &[
            ("unit-fluid", 46),
            ("unit-supply", 45),
            ("unit-hose", 46),
            ("unit-heater", 39),
            ("unit-restricted", 13),
            ("unit-gauge", 41),
            ("test-hole-clogged", 44),
            ("test-hole-off", 10),
        ],
    );
}
/// The purge is pinched in this flow: a purge valve that stays open is handed on.
#[test]
fn vapour_large_leak() {
    holds(
        "vapour-large-leak",
        &[
            ("fuel-cap", 48),
            ("filler-neck", 48),
            ("vapour-hose", 48),
            ("tank-top", 45),
            ("vent-valve-open", 47),
            ("canister", 48),
            ("purge-valve-open", 0),
        ],
    );
}
/// A purge valve that stays shut is handed on to the flow of the valves.
#[test]
fn vapour_self_vacuum() {
    holds(
        "vapour-self-vacuum",
        &[
            ("tank-pressure-sensor", 48),
            ("canister-clogged", 40),
            ("purge-valve-shut", 0),
        ],
    );
}
/// A leak that empties the space within the 120 s cannot be worked, which sends back to the filling for ever.
#[test]
fn vapour_small_leak() {
    holds(
        "vapour-small-leak",
        &[
            ("fuel-cap", 48),
            ("filler-neck", 45),
            // A simulated technician always feeds in at the service port, and is sent round where that is what leaks.
            ("vapour-hose", 39),
            ("tank-top", 35),
            ("vent-valve-open", 45),
            ("canister", 45),
            ("purge-valve-open", 0),
        ],
    );
}
