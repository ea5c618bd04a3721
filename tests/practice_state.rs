//! What the car of an exercise shows goes with how it stands: what leaves, how warm it is, whether its purge is shut, what
//! the hands did.
#![allow(
    missing_docs,
    clippy::unwrap_used,
    reason = "a test stops where something is not as expected"
)]

use std::collections::BTreeMap;

use crate::apprentice::Apprentice;
use ruleout::engine::practised::Practised;
use ruleout::flow::answer::Answer;
use ruleout::flow::shelf::Shelf;
use ruleout::physics::gas::Gas;
use ruleout::plant::engine::Metering;
use ruleout::plant::fault::Fault;
use ruleout::plant::hands::Fed;
use ruleout::plant::plan::Plan;
use ruleout::practice::bay::{Bay, Taken};
use ruleout::practice::drawn::Drawn;
use ruleout::practice::traps::Heat;
use ruleout::practice::wish::wish;

fn on(flow: &str, seed: u64, with: impl FnOnce(&mut Apprentice)) {
    let shelf = Shelf::shipped();
    let shelved = shelf.find(flow).unwrap();
    let plan = Plan::of(&shelved.flow);
    with(&mut Apprentice::begins(&plan, shelved, seed, 1));
}

fn figure(apprentice: &Apprentice, reading: &str) -> f64 {
    let earlier = apprentice.session.earlier();
    match apprentice.session.bay.clone().take(reading, &earlier) {
        Ok(Taken::Reads(Answer::Quantity(q))) => q.si(),
        other => panic!("{reading}: {other:?}"),
    }
}

/// A leak of 2 mm and more passes some 8 L/min at 3.4 kPa: in four minutes nobody overlooks it.
#[test]
fn what_pours_is_seen_by_whoever_looks_at_the_right_place_long_enough() {
    let shelf = Shelf::shipped();
    let flow = &shelf.find("intake-leak").unwrap().flow;
    let plan = Plan::of(flow);
    let nothing = BTreeMap::new();
    let mut looked_at = 0;
    for seed in 0..300 {
        let drawn = Drawn::of(&plan, seed, 1, 0);
        let hidden = drawn.hidden[0].clone();
        let mut faults = drawn.car.causes.iter().flat_map(|c| &c.faults);
        let pours = faults.any(|f| matches!(f, Fault::Hole { diameter, .. } if *diameter >= 0.002));
        // What the flow itself says to show nowhere sits where nobody can look.
        if !pours || hidden == "other-opening" {
            continue;
        }
        looked_at += 1;
        let mut bay = Bay::new(&plan, drawn);
        for opening in plan.openings() {
            bay.close(opening);
        }
        bay.feed(
            Fed {
                gas: Gas::Air,
                pressure: 3400.0,
            },
            None,
        );
        bay.arrive(Some("search"), 1);
        let seen = bay.to_cover().into_iter().filter(|place| {
            let seen = bay.clone().look(place, 240, &nothing);
            // From the tailpipe it comes on a sound car too.
            *place != "tailpipe" && seen.is_some()
        });
        assert!(seen.count() > 0, "seed {seed}: {hidden}");
    }
    assert!(looked_at > 100, "{looked_at}");
}

/// How warm the hottest place of the charge air is, C.
fn charge_warmth(apprentice: &Apprentice) -> f64 {
    figure(apprentice, "engine-warmth") - 273.15
}

#[test]
fn after_a_run_under_load_it_is_hot_until_it_is_left_to_cool_and_that_takes_as_long_on_the_way_laid_beside()
 {
    on("charge-air-leak", 3, |apprentice| {
        apprentice.until("cold");
        assert!(charge_warmth(apprentice) > 80.0);
        let before = apprentice.session.bay.log.minutes();
        apprentice.hand(Practised::Cooled);
        assert!((apprentice.session.bay.log.minutes() - before - 30.0).abs() < 1e-9);
        assert!(charge_warmth(apprentice) < 45.0);
        while apprentice.goes_on() {}
        let debrief = apprentice.debrief();
        let beside = &debrief.beside;
        let row = |begins: &str| {
            let mut rows = beside.rows.iter();
            let row = rows.find(|row| row.what.starts_with(begins)).unwrap();
            assert_eq!(row.minutes[0], row.minutes[1]);
            row.minutes[0].unwrap()
        };
        // The half hour stands by itself, beside the step's own minutes.
        assert!(row("Engine off and cool") < 30.0);
        assert!(row("by hand besides") >= 30.0);
    });
}

#[test]
fn a_warm_engine_has_a_hot_exhaust_and_hot_coolant_and_a_cold_one_has_neither() {
    for (flow, step, reading) in [
        ("exhaust-leak", "cold", "exhaust-warmth"),
        ("cooling-pressure-hold", "cold", "coolant-warmth"),
    ] {
        on(flow, 3, |apprentice| {
            apprentice.until(step);
            assert!(figure(apprentice, reading) < 318.15, "{flow}");
            apprentice.hand(Practised::Warmed);
            assert!(figure(apprentice, reading) > 353.15, "{flow}");
        });
    }
}

#[test]
fn what_a_step_lets_cool_within_its_own_minutes_costs_no_more_and_leaves_the_engine_warm() {
    on("intake-leak", 3, |apprentice| {
        apprentice.until("isolate");
        let before = apprentice.session.bay.log.minutes();
        let sees = apprentice.hand(Practised::Cooled);
        assert!(sees.contains("part of this step's minutes"), "{sees}");
        assert!((apprentice.session.bay.log.minutes() - before).abs() < 1e-9);
        assert_eq!(apprentice.session.bay.heat(), Heat::Warm);
    });
}

#[test]
fn the_smoke_unit_is_proved_on_its_own_with_nothing_connected() {
    on("intake-leak", 3, |apprentice| {
        apprentice.until("blocked-tip");
        apprentice.hand(Practised::Took {
            reading: "blocked-pressure".to_owned(),
        });
        assert!(apprentice.session.bay.fed().is_none());
        assert!((figure(apprentice, "blocked-pressure") - 3400.0).abs() < 300.0);
        // Filled is only what is connected.
        apprentice.until("pressurise");
        assert!(apprentice.session.bay.log.slips.is_empty());
        assert!(figure(apprentice, "smoke-pressure") < 100.0);
    });
    on("smoke-unit-check", 3, |apprentice| {
        while apprentice.goes_on() {}
        assert!(apprentice.session.bay.fed().is_none());
        assert_eq!(apprentice.debrief().got(), 100);
    });
}

#[test]
fn which_place_changes_the_idle_is_found_by_trying_them_and_each_takes_its_minutes() {
    on("intake-leak", 3, |apprentice| {
        apprentice.goes_to("running-search");
        let before = apprentice.session.bay.log.minutes();
        let took = Practised::Took {
            reading: "changes-at".to_owned(),
        };
        let why = wish(&apprentice.session, apprentice.desk(), &took).unwrap_err();
        assert!(why.contains("no place was tried yet"), "{why}");
        let places = apprentice.session.bay.to_cover();
        assert!(places.contains(&"another place") && !places.contains(&"tailpipe"));
        let mut changed = None;
        for place in &places {
            let sees = apprentice.hand(Practised::Covered {
                place: (*place).to_owned(),
            });
            if sees.contains("trims or idle change") {
                changed = Some(*place);
                break;
            }
            assert!(sees.contains("nothing changes"), "{sees}");
        }
        let tried = apprentice.session.bay.tried().len();
        let minutes = apprentice.session.bay.log.minutes() - before;
        let each = 20.0 / f64::from(u32::try_from(places.len()).unwrap());
        let all = each * f64::from(u32::try_from(tried).unwrap());
        assert!((minutes - all).abs() < 1e-9, "{minutes} {all}");
        // Each is free again.
        assert!(apprentice.session.bay.covered().is_empty());
        let earlier = apprentice.session.earlier();
        let taken = apprentice.session.bay.clone().take("changes-at", &earlier);
        let word = changed.unwrap_or("none of them").to_owned();
        assert_eq!(taken, Ok(Taken::Reads(Answer::Choice(word))));
    });
}

#[test]
fn with_the_purge_open_a_loaded_canister_takes_fuel_away_at_warm_idle_and_an_empty_one_does_not() {
    let mut loaded = 0;
    let mut empty = 0;
    for seed in 0..30 {
        on("intake-leak", seed, |apprentice| {
            let drawn = apprentice.session.bay.drawn();
            if drawn.car.engine.metering != Metering::AirMass {
                return;
            }
            let vapour = drawn.vapour();
            apprentice.until("idle-trims");
            let open = figure(apprentice, "idle-short-1");
            apprentice.hand(Practised::Closed {
                opening: "purge line".to_owned(),
            });
            let shut = figure(apprentice, "idle-short-1");
            let glance = apprentice.session.bay.glance();
            assert!(glance.contains("closed: purge line"), "{glance}");
            if vapour > 0.2 && shut > -0.1 {
                assert!(open < shut - 0.02, "seed {seed}: {open} {shut}");
                loaded += 1;
            } else if vapour <= 0.0 {
                assert!((open - shut).abs() < 0.02, "seed {seed}: {open} {shut}");
                empty += 1;
            }
        });
    }
    assert!(loaded > 3 && empty > 1, "{loaded} {empty}");
}
