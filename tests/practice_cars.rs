//! Practice cars: what levels hide, what must not be done, and flows that cannot be practised.
use std::collections::BTreeSet;

use crate::apprentice::Apprentice;
use ruleout::engine::action::Action;
use ruleout::engine::practised::Practised;
use ruleout::flow::answer::Answer;
use ruleout::flow::load::load;
use ruleout::flow::model::PromptKind;
use ruleout::flow::shelf::Shelf;
use ruleout::physics::gas::Gas;
use ruleout::plant::drive::Drive;
use ruleout::plant::hands::Fed;
use ruleout::plant::plan::Plan;
use ruleout::practice::bay::Taken;
use ruleout::practice::drawn::{NoCar, find};
use ruleout::practice::traps::Heat;
use ruleout::practice::way::due;
use ruleout::practice::wish::wish;

#[test]
fn levels_hide_more_and_more() {
    let shelf = Shelf::shipped();
    let plan = Plan::of(&shelf.find("intake-leak").unwrap().flow);
    for seed in 0..8 {
        let [one, two, three, four] = [1, 2, 3, 4].map(|level| find(&plan, seed, level).unwrap().0);
        assert_eq!((one.hidden.len(), one.decoys.len()), (1, 0));
        assert_eq!(one.traps.heat, Heat::Warm);
        assert_eq!(two.decoys.len(), 1);
        assert!(two.traps.draught && two.traps.heat == Heat::Cold && two.traps.coarse.is_none());
        assert!(three.traps.coarse.is_some() && three.traps.blamed.is_some());
        assert!(!three.hidden.contains(three.traps.blamed.as_ref().unwrap()));
        assert_eq!(four.hidden.len(), 2);
        assert!(four.traps.forgotten.is_some());
        // What is harmless makes no complaint by itself.
        assert!(two.decoys.iter().all(|decoy| !two.car.explains(decoy)));
    }
}

#[test]
fn a_flow_without_signatures_says_what_it_lacks() {
    let text = std::fs::read_to_string("tests/fixtures/flows/bench-hold.yaml").unwrap();
    let mut flow = load(&text).flow.unwrap();
    for cause in &mut flow.causes {
        cause.shows.clear();
        cause.effects.clear();
    }
    let plan = Plan::of(&flow);
    let why = find(&plan, 1, 1).unwrap_err();
    assert!(matches!(why, NoCar::NoSignatures { .. }), "{why}");
    assert!(why.to_string().contains("`shows`"), "{why}");
}

#[test]
fn an_owners_new_flow_can_be_practised_as_it_stands_and_says_what_it_lacks_without_a_proof() {
    let text = std::fs::read_to_string("assets/new-flow.yaml").unwrap();
    let mut flow = load(&text.replace("NEW-FLOW", "own-flow")).flow.unwrap();
    let plan = Plan::of(&flow);
    for level in 1..=4 {
        assert!(find(&plan, 7, level).is_ok(), "level {level}");
    }
    for step in &mut flow.steps {
        step.outcomes.iter_mut().for_each(|o| o.proved = false);
    }
    let why = find(&Plan::of(&flow), 7, 1).unwrap_err();
    assert!(matches!(why, NoCar::NothingProves { .. }), "{why}");
}

/// The two readings of the hold have names that the program does not know, and so has the system: what is fed must
/// suit the gauge, and what is left of it must fall as the cause says.
#[test]
fn each_cause_of_an_owners_hold_in_words_of_their_own_is_hidden_at_some_seed() {
    let text = std::fs::read_to_string("tests/fixtures/flows/corner-sinks.yaml").unwrap();
    let flow = load(&text).flow.unwrap();
    let plan = Plan::of(&flow);
    for level in [1, 3] {
        let drawn = (0..16).map(|seed| find(&plan, seed, level).unwrap().0);
        let hidden: BTreeSet<String> = drawn.flat_map(|drawn| drawn.hidden).collect();
        let all = ["leaking-block", "loose-fitting", "split-spring"];
        assert_eq!(hidden.iter().collect::<Vec<_>>(), all, "level {level}");
    }
}

fn at_seed(flow: &str, seed: u64, with: impl FnOnce(&mut Apprentice)) {
    let shelf = Shelf::shipped();
    let shelved = shelf.find(flow).unwrap();
    let plan = Plan::of(&shelved.flow);
    with(&mut Apprentice::begins(&plan, shelved, seed, 1));
}

fn at(flow: &str, level: u8, with: impl FnOnce(&mut Apprentice)) {
    let shelf = Shelf::shipped();
    let shelved = shelf.find(flow).unwrap();
    let plan = Plan::of(&shelved.flow);
    let mut apprentice = Apprentice::begins(&plan, shelved, 5, level);
    with(&mut apprentice);
}

fn fed(gas: &str, pressure: &str) -> Practised {
    Practised::Fed {
        gas: gas.to_owned(),
        pressure: pressure.parse().unwrap(),
    }
}

fn stops_with(apprentice: &Apprentice, harm: &str, source: &str) {
    let debrief = apprentice.debrief();
    let harmed = debrief.harm.clone().unwrap();
    assert_eq!(apprentice.session.bay.log.harm.as_ref().unwrap().id(), harm);
    assert!(harmed.source.contains(source), "{harmed:?}");
    assert!(apprentice.session.job.handed_over.is_some());
    let safe = debrief
        .parts
        .iter()
        .find(|part| part.name == "safe")
        .unwrap();
    assert_eq!((safe.got, safe.of), (0, 10));
}

#[test]
fn pressure_before_its_cautions_stops_the_exercise() {
    at("vapour-large-leak", 1, |apprentice| {
        let seen = apprentice.hand(fed("nitrogen", "3.4 kPa"));
        assert!(seen.starts_with("STOP."), "{seen}");
        stops_with(apprentice, "caution-not-accepted", "NFPA 325");
    });
}

#[test]
fn air_into_fuel_vapour_stops_the_exercise() {
    at("vapour-large-leak", 1, |apprentice| {
        apprentice.until("blocked-tip");
        apprentice.hand(fed("air", "3.4 kPa"));
        stops_with(apprentice, "air-into-fuel-vapour", "NFPA 325");
    });
}

#[test]
fn a_supply_above_the_limit_stops_the_exercise() {
    at("intake-leak", 1, |apprentice| {
        apprentice.until("blocked-tip");
        apprentice.hand(fed("air", "20 kPa"));
        stops_with(apprentice, "above-the-limit", "1 psi");
    });
}

#[test]
fn a_plug_taken_out_under_pressure_stops_the_exercise() {
    at("charge-air-leak", 1, |apprentice| {
        apprentice.until("hold");
        apprentice.hand(fed("air", "20 kPa"));
        apprentice.hand(Practised::Opened {
            opening: "throttle inlet".to_owned(),
        });
        stops_with(apprentice, "not-let-down", "29 CFR 1910.242(b)");
    });
}

#[test]
fn to_agree_to_a_repair_under_pressure_is_talk_and_to_take_the_part_off_stops_the_exercise() {
    at("charge-air-leak", 1, |apprentice| {
        apprentice.until_asked();
        assert!(apprentice.session.bay.fed().is_some());
        let before = apprentice.session.bay.log.minutes();
        apprentice.agrees();
        let bay = &apprentice.session.bay;
        assert!(bay.log.opened.is_empty() && bay.log.harm.is_none());
        assert!((bay.log.minutes() - before).abs() < 1e-9);
        let sees = apprentice.opens_part();
        assert!(sees.starts_with("STOP."), "{sees}");
        assert!(
            sees.contains("took off the part") && sees.contains("supply was still connected"),
            "{sees}"
        );
        stops_with(apprentice, "part-under-pressure", "29 CFR 1910.242(b)");
    });
}

#[test]
fn a_part_is_taken_off_once_the_pressure_is_let_down_and_seen() {
    at("charge-air-leak", 1, |apprentice| {
        apprentice.until_repair();
        let none = Practised::part_opened("");
        apprentice.hand(Practised::SupplyOff);
        assert!(apprentice.opens_part().contains("bad"));
        assert_eq!(apprentice.session.bay.log.harm, None);
        assert_eq!(apprentice.session.bay.log.opened.len(), 1);
        apprentice.repairs();
        let why = wish(&apprentice.session, apprentice.desk(), &none).unwrap_err();
        assert!(why.contains("no repair"), "{why}");
    });
}

#[test]
fn a_repair_said_to_be_done_under_pressure_stops_the_exercise() {
    at("charge-air-leak", 1, |apprentice| {
        apprentice.until_repair();
        apprentice.repairs();
        stops_with(apprentice, "part-under-pressure", "29 CFR 1910.242(b)");
    });
}

#[test]
fn a_gauge_without_supply_stands_at_nothing_whatever_is_plausible() {
    // Step, reading, least that is plausible, and what the gauge may be off at nothing (twice its accuracy), kPa.
    for (flow, step, reading, plausible, off) in [
        ("charge-air-leak", "hold", "hold-start", 5.0, 1.0),
        ("cooling-pressure-hold", "hold", "hold-start", 10.0, 4.0),
        ("intake-leak", "pressurise", "smoke-pressure", 0.05, 0.1),
    ] {
        for seed in 0..4 {
            let shelf = Shelf::shipped();
            let shelved = shelf.find(flow).unwrap();
            let plan = Plan::of(&shelved.flow);
            let mut apprentice = Apprentice::begins(&plan, shelved, seed, 1);
            apprentice.until(step);
            apprentice.hand(Practised::SupplyOff);
            let took = Practised::Took {
                reading: reading.to_owned(),
            };
            let did = wish(&apprentice.session, apprentice.desk(), &took).unwrap();
            let Some(Answer::Quantity(stands)) = did.reads else {
                panic!("{flow}, {reading}: {did:?}");
            };
            let kpa = stands.si() / 1000.0;
            let PromptKind::Quantity(asked) = &shelved.flow.reading(reading).unwrap().kind else {
                panic!("{reading} is a quantity");
            };
            let least = asked.plausible.unwrap().0.si() / 1000.0;
            assert!((least - plausible).abs() < 1e-9, "{flow}, {reading}");
            assert!((0.0..=off).contains(&kpa), "{flow}, {reading}: {kpa}");
        }
    }
}

#[test]
fn a_float_without_supply_stands_at_nothing() {
    for seed in 0..4 {
        at_seed("intake-leak", seed, |apprentice| {
            apprentice.until("pressurise");
            apprentice.hand(Practised::SupplyOff);
            let took = Practised::Took {
                reading: "smoke-flow".to_owned(),
            };
            let did = wish(&apprentice.session, apprentice.desk(), &took).unwrap();
            let Some(Answer::Quantity(stands)) = did.reads else {
                panic!("{did:?}");
            };
            assert!(stands.si().abs() < 1e-12, "seed {seed}: {stands}");
        });
    }
}

#[test]
fn the_second_reading_of_a_hold_takes_its_waiting() {
    at("charge-air-leak", 1, |apprentice| {
        apprentice.until("hold");
        apprentice.hand(fed("air", "20 kPa"));
        let before = apprentice.session.bay.log.minutes();
        let mut took = |reading: &str| {
            apprentice.hand(Practised::Took {
                reading: reading.to_owned(),
            });
            apprentice.session.bay.log.minutes() - before
        };
        // The step is one of 5 minutes, and its timer runs for 60 s of them.
        for (reading, minutes) in [("hold-start", 4.0), ("hold-end", 5.0), ("hold-end", 5.0)] {
            assert!((took(reading) - minutes).abs() < 1e-9, "{reading}");
        }
    });
}

#[test]
fn a_hot_exhaust_is_not_touched() {
    at("exhaust-leak", 2, |apprentice| {
        apprentice.until("cold");
        // Whoever measures it is told so.
        let earlier = apprentice.session.earlier();
        let taken = apprentice
            .session
            .bay
            .clone()
            .take("exhaust-warmth", &earlier);
        let Ok(Taken::Reads(Answer::Quantity(warmth))) = taken else {
            panic!("{taken:?}");
        };
        assert!(warmth.si() > 400.0, "{warmth}");
        let opening = apprentice.session.bay.openings()[0].0.to_owned();
        apprentice.hand(Practised::Closed { opening });
        stops_with(apprentice, "too-hot", "");
    });
}

#[test]
fn the_engine_of_a_practice_car_idles_so_that_a_share_worked_from_its_trims_means_something() {
    use ruleout::flow::log_key::LogWindow;
    use ruleout::plant::engine::split_trim;
    let shelf = Shelf::shipped();
    let plan = Plan::of(&shelf.find("intake-leak").unwrap().flow);
    let mut at_the_stop = 0;
    for seed in 0..40 {
        let (drawn, _) = find(&plan, seed, 1).unwrap();
        let (car, leaks) = (&drawn.car, drawn.car.intake_leaks(|_| true));
        let idle = car
            .engine
            .runs(LogWindow::Idle, &leaks, car.deviations, |p| p);
        for trim in idle.trims {
            let (short, long) = split_trim(trim);
            let shown = (1.0 + short) * (1.0 + long) - 1.0;
            at_the_stop += u32::from(trim > shown + 1e-9);
            // What the leak brings over what the trims let one see of it.
            assert!(
                trim <= shown.max(0.0) * 2.0 + 0.01,
                "seed {seed}: {trim} of {shown}"
            );
        }
    }
    // Such cars stay: a trim at its stop is met on the road as well.
    assert!(at_the_stop > 0);
}

#[test]
fn who_asks_the_car_for_the_complaint_is_told_what_came_with_it() {
    at("cabin-water-and-wind", 1, |apprentice| {
        apprentice.until("ask");
        let take = Practised::Took {
            reading: "cabin-complaint".to_owned(),
        };
        let why = wish(&apprentice.session, apprentice.desk(), &take).unwrap_err();
        assert!(why.contains("The car comes with: wet carpet."), "{why}");
    });
}

#[test]
fn smoke_through_an_open_purge_line_stops_the_exercise() {
    at("intake-leak", 1, |apprentice| {
        apprentice.until("pressurise");
        apprentice.hand(fed("air", "3.4 kPa"));
        apprentice.hand(Practised::Opened {
            opening: "purge line".to_owned(),
        });
        apprentice.hand(Practised::Took {
            reading: "smoke-flow".to_owned(),
        });
        stops_with(apprentice, "purge-line-open", "0.5 psi");
    });
}

#[test]
fn the_engine_is_not_run_with_the_supply_connected() {
    at("intake-leak", 1, |apprentice| {
        apprentice.until("blocked-tip");
        apprentice.hand(fed("air", "3.4 kPa"));
        apprentice.hand(Practised::Warmed);
        stops_with(apprentice, "engine-run-with-supply", "");
    });
}

#[test]
fn with_its_inlet_plugged_the_engine_dies() {
    at_seed("intake-leak", 11, |apprentice| {
        apprentice.until("idle-trims");
        let opening = "air inlet".to_owned();
        let took = Practised::Took {
            reading: "idle-airflow".to_owned(),
        };
        apprentice.hand(Practised::Closed {
            opening: opening.clone(),
        });
        assert!(apprentice.hand(took.clone()).contains("dies at once"));
        apprentice.hand(Practised::Opened { opening });
        assert!(apprentice.hand(took).contains("As it stands on the car"));
    });
}

#[test]
fn what_is_left_covered_hides_the_leak_from_the_running_engine() {
    let shelf = Shelf::shipped();
    let plan = Plan::of(&shelf.find("intake-leak").unwrap().flow);
    let mut seen = 0;
    for seed in 0..40 {
        let (drawn, _) = find(&plan, seed, 1).unwrap();
        let flow = plan.flow;
        let step = |id: &str| flow.steps.iter().find(|step| step.id == id).unwrap();
        let mut drive = Drive::new(&plan, drawn.car.clone()).by_hand();
        let trim = |drive: &mut Drive| {
            let read = drive.at(step("idle-trims"), &drawn.car.facts);
            match read.get("idle-long-1") {
                Some(Answer::Quantity(trim)) => Some(trim.value()),
                _ => None,
            }
        };
        let Some(open) = trim(&mut drive).filter(|trim| *trim >= 10.0) else {
            continue;
        };
        for opening in plan.openings() {
            drive.close(opening);
        }
        drive.feed(Some(Fed {
            gas: Gas::Air,
            pressure: 3400.0,
        }));
        let Some(place) = drive.shows_most(&drawn.car.facts) else {
            continue;
        };
        drive.cover_place(&place);
        drive.feed(None);
        assert!(
            trim(&mut drive).unwrap() < open - 3.0,
            "seed {seed}: {place}"
        );
        seen += 1;
    }
    assert!(seen > 5, "{seen} of 40 cars");
}

#[test]
fn the_car_is_not_driven_with_the_gas_connected() {
    let shelf = Shelf::shipped();
    let plan = Plan::of(&shelf.find("vapour-large-leak").unwrap().flow);
    let cap = |seed: &u64| find(&plan, *seed, 1).unwrap().0.hidden == ["fuel-cap"];
    at_seed(
        "vapour-large-leak",
        (0..50).find(cap).unwrap(),
        |apprentice| {
            apprentice.until_repair();
            apprentice.repairs();
            apprentice.until("prove");
            apprentice.hand(fed("nitrogen", "3.4 kPa"));
            // Typed or taken, the drive was made.
            apprentice.does(Action::Read {
                reading: "monitor-result".to_owned(),
                value: Answer::Choice("passed".to_owned()),
                confirmed: true,
                carried_from: None,
            });
            stops_with(apprentice, "engine-run-with-supply", "common practice");
            let text = apprentice.debrief().lines(78).join("\n");
            assert!(
                text.contains("You ran the engine with the supply connected."),
                "{text}"
            );
        },
    );
}

#[test]
fn where_gas_is_let_in_nothing_passes_until_it_is_connected() {
    use ruleout::practice::traps::needs_supply;
    at("purge-and-vent-valves", 1, |apprentice| {
        let plan = apprentice.session.bay.plan();
        for (id, needs) in [
            ("purge-on-car", false),
            ("purge-smoke", true),
            ("vent-on-car", true),
            ("vent-smoke", true),
        ] {
            let step = plan.flow.step(id).unwrap();
            assert_eq!(needs_supply(plan, step), needs, "{id}");
        }
        apprentice.goes_to("purge-smoke");
        let earlier = apprentice.session.earlier();
        let reads = |apprentice: &Apprentice, reading: &str| {
            let taken = apprentice.session.bay.clone().take(reading, &earlier);
            match taken {
                Ok(Taken::Reads(answer)) => ruleout::engine::shown::answer(&answer),
                other => panic!("{other:?}"),
            }
        };
        assert_eq!(reads(apprentice, "purge-gauge"), "0 kPa");
        assert_eq!(reads(apprentice, "purge-power-smoke"), "stops");
        apprentice.hand(fed("nitrogen", "3.4 kPa"));
        assert_eq!(reads(apprentice, "purge-gauge"), "3.4 kPa");
        apprentice.hand(fed("nitrogen", "20 kPa"));
        stops_with(apprentice, "above-the-limit", "1 psi");
    });
}

#[test]
fn what_is_done_after_a_reading_is_paid_only_where_the_reading_is_taken_anew() {
    at("smoke-unit-check", 1, |apprentice| {
        let minutes = |apprentice: &Apprentice| apprentice.session.bay.log.minutes();
        apprentice.goes_to("hose");
        let takes = |apprentice: &mut Apprentice| {
            apprentice.hand(Practised::Took {
                reading: "hose-look".to_owned(),
            });
        };
        let before = minutes(apprentice);
        takes(apprentice);
        apprentice.does(Action::Read {
            reading: "hose-look".to_owned(),
            value: Answer::Choice("tight".to_owned()),
            confirmed: true,
            carried_from: None,
        });
        let once = minutes(apprentice) - before;
        apprentice.hand(fed("air", "3.4 kPa"));
        apprentice.does(Action::Follow);
        assert!((minutes(apprentice) - before - once).abs() < 1e-9);
        apprentice.does(Action::Back);
        takes(apprentice);
        assert!((minutes(apprentice) - before - 2.0 * once).abs() < 1e-9);
    });
}

#[test]
fn going_back_and_forth_and_leaving_without_doing_anything_takes_no_time() {
    at("intake-leak", 1, |apprentice| {
        let minutes = |apprentice: &Apprentice| apprentice.session.bay.log.minutes();
        apprentice.until("blocked-tip");
        let before = minutes(apprentice);
        assert!(before > 0.0);
        apprentice.does(Action::Back);
        apprentice.does(Action::Back);
        apprentice.does(Action::Follow);
        apprentice.does(Action::Follow);
        apprentice.does(Action::Back);
        apprentice.does(Action::Forward);
        assert!((minutes(apprentice) - before).abs() < 1e-9);
        // Another outcome, with nothing read here.
        let step = apprentice.session.bay.step().unwrap();
        apprentice.does(Action::Take {
            outcome: step.outcomes[0].id.clone(),
            reason: "as I like".to_owned(),
        });
        assert!((minutes(apprentice) - before).abs() < 1e-9);
    });
}

#[test]
fn what_a_step_asks_to_be_seen_is_seen_and_what_somebody_did_is_theirs_to_say() {
    use ruleout::practice::bay::is_yours;
    for shelved in Shelf::shipped().iter() {
        let plan = Plan::of(&shelved.flow);
        for id in [
            "float-steady",
            "settled",
            "fuelling-loop",
            "tank-let-down",
            "sweep-steady",
        ] {
            if let Some(prompt) = shelved.flow.reading(id) {
                assert!(!is_yours(&plan, prompt), "{}: {id}", shelved.flow.id);
            }
        }
        for id in ["data-saved", "put-back", "vent-shut-by", "connected-at"] {
            if let Some(prompt) = shelved.flow.reading(id) {
                assert!(is_yours(&plan, prompt), "{}: {id}", shelved.flow.id);
            }
        }
    }
    let shelf = Shelf::shipped();
    let shelved = shelf.find("intake-leak").unwrap();
    let plan = Plan::of(&shelved.flow);
    let begins = |seed| Apprentice::begins(&plan, shelved, seed, 2);
    let meters_air = |at: &Apprentice| {
        let metering = at.session.bay.drawn().car.facts.get("metering");
        metering != Some(&Answer::Choice("manifold pressure".to_owned()))
    };
    let mut met = (0..20).map(begins).find(meters_air).unwrap();
    let apprentice = &mut met;
    {
        apprentice.until("idle-trims");
        let loop_is = |apprentice: &Apprentice| {
            let earlier = apprentice.session.earlier();
            apprentice
                .session
                .bay
                .clone()
                .take("fuelling-loop", &earlier)
        };
        let word = |word: &str| Ok(Taken::Reads(Answer::Choice(word.to_owned())));
        assert_eq!(loop_is(apprentice), word("open"));
        apprentice.hand(Practised::Warmed);
        assert_eq!(loop_is(apprentice), word("closed"));
    }
}

#[test]
fn an_exercise_comes_back_the_same_from_a_file_and_is_refused_among_the_jobs() {
    use ruleout::job::file::JobFile;
    use ruleout::job::merge::{MergeError, merge};
    use ruleout::job::sqlite::SqliteStore;
    at("intake-leak", 4, |apprentice| {
        apprentice.until("search");
        apprentice.ends();
        let file = JobFile {
            job: uuid::Uuid::from_u128(7),
            events: apprentice.events.clone(),
        };
        let back = JobFile::parse(&file.to_text().unwrap()).unwrap();
        assert_eq!(back.events, file.events);
        let mut jobs = SqliteStore::in_memory().unwrap();
        let refused = merge(&mut jobs, &back).unwrap_err();
        assert!(matches!(refused, MergeError::Practice), "{refused}");
    });
}

#[test]
fn a_record_gives_back_the_same_car_and_clock() {
    use ruleout::practice::session::Session;
    let shelf = Shelf::shipped();
    let shelved = shelf.find("exhaust-leak").unwrap();
    let plan = Plan::of(&shelved.flow);
    let apprentice = Apprentice::begins(&plan, shelved, 6, 3).walks();
    let again = Session::of(&plan, &apprentice.events).unwrap();
    assert_eq!(again.bay.log, apprentice.session.bay.log);
}

#[test]
fn every_page_of_an_exercise_says_that_there_is_no_such_car() {
    use ruleout::report::edition::Edition;
    use ruleout::report::{Made, Reached, RestsOn, page};
    at("intake-leak", 1, |apprentice| {
        let made = Made {
            at: "2026-11-02T09:00:00Z".parse().unwrap(),
            job: "exercise 1".to_owned(),
            workshop: None,
            reached: Reached::default(),
        };
        let (job, events) = (&apprentice.session.job, &apprentice.events);
        let all = [
            Edition::Customer,
            Edition::Workshop,
            Edition::Parts,
            Edition::Label,
        ];
        for edition in all {
            let page = page(job, events, &made, edition, RestsOn::default());
            assert!(page.title.starts_with("Practice"), "{}", page.title);
            assert!(page.foot.starts_with("Practice"), "{}", page.foot);
            let written = ruleout::report::markdown(&page);
            assert!(!written.to_lowercase().contains("handed over"), "{written}");
        }
    });
}

#[test]
fn a_place_covered_on_the_standing_engine_without_the_supply_counts_on_the_running_one() {
    let shelf = Shelf::shipped();
    let shelved = shelf.find("intake-leak").unwrap();
    let plan = Plan::of(&shelved.flow);
    let mut apprentice = Apprentice::begins(&plan, shelved, 11, 1);
    apprentice.until("running-proof");
    let step = apprentice.session.bay.step().unwrap();
    let earlier = apprentice.session.earlier();
    for hand in due(&apprentice.session.bay, step, &earlier) {
        apprentice.by_hand(hand);
    }
    let place = apprentice.session.bay.covered()[0].clone();
    let trim = |apprentice: &Apprentice| {
        let mut bay = apprentice.session.bay.clone();
        let earlier = apprentice.session.earlier();
        let parts = ["proof-short-1", "proof-long-1"];
        let read = parts.map(|id| match bay.take(id, &earlier) {
            Ok(Taken::Reads(Answer::Quantity(q))) => q.si(),
            other => panic!("{other:?}"),
        });
        read[0] + read[1]
    };
    apprentice.hand(Practised::Uncovered);
    let open = trim(&apprentice);
    apprentice.hand(Practised::Covered { place });
    let covered = trim(&apprentice);
    assert!(open - covered > 0.05, "{open} open, {covered} covered");
}

#[test]
fn a_unit_that_is_read_by_itself_says_that_its_hose_is_off_the_car() {
    let shelf = Shelf::shipped();
    let shelved = shelf.find("intake-leak").unwrap();
    let plan = Plan::of(&shelved.flow);
    let mut apprentice = Apprentice::begins(&plan, shelved, 3, 1);
    apprentice.until("blocked-tip");
    let sees = apprentice.hand(Practised::Took {
        reading: "blocked-pressure".to_owned(),
    });
    assert!(sees.contains("its hose off the car"), "{sees}");
}

const ENDS: [&str; 2] = ["compressor outlet", "throttle inlet"];

#[test]
fn an_engine_whose_charge_run_is_plugged_is_not_driven_to_ask_for_the_complaint() {
    at("charge-air-leak", 1, |apprentice| {
        apprentice.until("prove");
        apprentice.lets_down();
        for end in ENDS {
            if !apprentice.session.bay.is_closed(end) {
                apprentice.hand(Practised::Closed {
                    opening: end.to_owned(),
                });
            }
        }
        let takes = |apprentice: &mut Apprentice, reading: &str| {
            apprentice.hand(Practised::Took {
                reading: reading.to_owned(),
            })
        };
        for reading in ["pull-back", "codes-now"] {
            let sees = takes(apprentice, reading);
            assert!(sees.contains("it gets no air"), "{reading}: {sees}");
        }
        for end in ENDS {
            apprentice.hand(Practised::Opened {
                opening: end.to_owned(),
            });
        }
        for reading in ["pull-back", "codes-now"] {
            let sees = takes(apprentice, reading);
            assert!(
                sees.contains("As it stands on the car"),
                "{reading}: {sees}"
            );
        }
    });
}

#[test]
fn who_leaves_plugs_on_a_car_whose_repair_is_declined_loses_the_marks_for_safe() {
    for takes_off in [false, true] {
        at("charge-air-leak", 1, |apprentice| {
            apprentice.until_asked();
            apprentice.lets_down();
            for end in ENDS.into_iter().filter(|_| takes_off) {
                apprentice.hand(Practised::Opened {
                    opening: end.to_owned(),
                });
            }
            apprentice.does(Action::Decline {
                by: "owner".to_owned(),
            });
            apprentice.ends();
            let debrief = apprentice.debrief();
            let safe = debrief.parts.iter().find(|p| p.name == "safe").unwrap();
            let text = debrief.lines(200).join("\n");
            if takes_off {
                assert_eq!(safe.got, 10, "{text}");
                return;
            }
            assert_eq!(safe.got, 0, "{text}");
            assert!(
                safe.lost[0]
                    .why
                    .contains("drives off like this: still closed: ")
            );
            assert!(text.contains("The engine starves behind a plug"), "{text}");
        });
    }
}
