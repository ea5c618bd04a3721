//! The filler neck of a cooling system in practice: closed by its cap as the car comes and as it is driven, open for what
//! is tested through it.
#![allow(
    missing_docs,
    clippy::unwrap_used,
    reason = "a test stops where something is not as expected"
)]

use crate::apprentice::Apprentice;
use ruleout::engine::fitted::Fitted;
use ruleout::engine::practised::Practised;
use ruleout::flow::shelf::Shelf;
use ruleout::plant::plan::Plan;
use ruleout::practice::bay::Believed;
use ruleout::practice::harm::Harm;
use ruleout::practice::wish::wish;

const NECK: &str = "filler neck";

fn cooling(seed: u64, with: impl FnOnce(&mut Apprentice)) {
    let shelf = Shelf::shipped();
    let shelved = shelf.find("cooling-pressure-hold").unwrap();
    let plan = Plan::of(&shelved.flow);
    with(&mut Apprentice::begins(&plan, shelved, seed, 1));
}

fn neck(apprentice: &Apprentice) -> Believed {
    let openings = apprentice.session.bay.openings();
    openings.into_iter().find(|(o, _)| *o == NECK).unwrap().1
}

fn opened() -> Practised {
    Practised::Opened {
        opening: NECK.to_owned(),
    }
}

fn closed() -> Practised {
    Practised::Closed {
        opening: NECK.to_owned(),
    }
}

fn slips(apprentice: &Apprentice) -> String {
    apprentice.debrief().slips.join("\n")
}

/// Comes to a step of the test that follows the repair.
fn after_repair(apprentice: &mut Apprentice, step: &str) {
    apprentice.until_repair();
    apprentice.lets_down();
    apprentice.repairs();
    apprentice.until(step);
}

#[test]
fn the_car_comes_with_its_cap_on_and_goes_with_it_on() {
    cooling(3, |apprentice| {
        assert_eq!(neck(apprentice), Believed::Closed);
        apprentice.until("cap");
        assert_eq!(neck(apprentice), Believed::Open);
        while apprentice.goes_on() {}
        assert_eq!(neck(apprentice), Believed::Closed);
        let debrief = apprentice.debrief();
        assert!(debrief.proved);
        assert_eq!(debrief.slips, Vec::<String>::new());
        assert_eq!(debrief.got(), 100);
    });
}

#[test]
fn who_drives_with_the_neck_open_ends_the_exercise_and_who_puts_the_cap_on_does_not() {
    for puts_it_on in [false, true] {
        cooling(3, |apprentice| {
            after_repair(apprentice, "prove");
            apprentice.lets_down();
            apprentice.hand(Practised::Opened {
                opening: "overflow".to_owned(),
            });
            if puts_it_on {
                apprentice.hand(closed());
            }
            apprentice.hand(Practised::Took {
                reading: "level-after".to_owned(),
            });
            let harm = apprentice.session.bay.log.harm.clone();
            let scalds = Some(Harm::RanOpen("hot-cooling-system".to_owned()));
            assert_eq!(harm == scalds, !puts_it_on, "{harm:?}");
        });
    }
}

#[test]
fn the_tester_goes_over_the_open_neck() {
    cooling(3, |apprentice| {
        after_repair(apprentice, "gas");
        apprentice.lets_down();
        apprentice.hand(closed());
        apprentice.hand(Practised::Took {
            reading: "gas-test".to_owned(),
        });
        let slips = slips(apprentice);
        assert!(slips.contains("filler neck was closed"), "{slips}");
    });
}

#[test]
fn who_opens_the_neck_of_a_hot_engine_is_scalded() {
    cooling(3, |apprentice| {
        apprentice.until("cold");
        apprentice.hand(Practised::Warmed);
        apprentice.hand(opened());
        let harm = apprentice.session.bay.log.harm.clone();
        assert_eq!(harm, Some(Harm::Hot("hot-cooling-system".to_owned())));
    });
}

#[test]
fn pump_and_cap_have_one_place() {
    cooling(3, |apprentice| {
        apprentice.until("hold");
        let refused = |apprentice: &Apprentice, done: &Practised| {
            wish(&apprentice.session, apprentice.desk(), done).unwrap_err()
        };
        let fed = Practised::Fed {
            gas: "air".to_owned(),
            pressure: "60 kPa".parse().unwrap(),
        };
        apprentice.hand(closed());
        let why = refused(apprentice, &fed);
        assert!(why.contains("in place of the cap"), "{why}");
        apprentice.hand(opened());
        apprentice.hand(fed);
        let why = refused(apprentice, &closed());
        assert!(why.contains("let the pressure down"), "{why}");
    });
}

#[test]
fn the_list_of_what_is_off_again_asks_for_the_cap_on_and_for_no_open_neck() {
    cooling(3, |apprentice| {
        after_repair(apprentice, "prove");
        let stands: Vec<Fitted> = apprentice
            .session
            .job
            .fitted
            .iter()
            .map(|stands| stands.what.clone())
            .collect();
        let cap = Fitted::PutBack("radiator cap on".to_owned());
        assert_eq!(stands.iter().filter(|what| **what == cap).count(), 1);
        assert!(!stands.contains(&Fitted::Closed(NECK.to_owned())));
    });
}

/// No flow asks for a cap to be on and for its neck to be open.
#[test]
fn no_shipped_flow_closes_what_it_puts_a_cap_back_on() {
    for shelved in Shelf::shipped().iter() {
        let caps = shelved.flow.steps.iter().flat_map(|step| &step.put_back);
        let capped = caps.filter(|words| words.contains("cap on")).count() > 0;
        let sealed = shelved.flow.steps.iter().filter_map(|s| s.set_up.as_ref());
        let necks = sealed
            .flat_map(|s| &s.seal)
            .filter(|o| o.contains("filler"));
        assert!(!capped || necks.count() == 0, "{}", shelved.flow.id);
    }
}
