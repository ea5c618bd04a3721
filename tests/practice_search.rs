//! Places that are searched: by what the step searches with, in words that fit, and in vain where nothing is fed.
#![allow(
    missing_docs,
    clippy::unwrap_used,
    reason = "a test stops where something is not as expected"
)]

use std::collections::BTreeMap;

use crate::apprentice::Apprentice;
use ruleout::engine::action::Action;
use ruleout::engine::practised::Practised;
use ruleout::flow::answer::{Answer, Strength};
use ruleout::flow::model::PromptKind;
use ruleout::flow::shelf::Shelf;
use ruleout::plant::plan::Plan;
use ruleout::practice::debrief::Debrief;
use ruleout::practice::search::Search;

fn on(flow: &str, seed: u64, level: u8, with: impl FnOnce(&mut Apprentice)) -> Debrief {
    let shelf = Shelf::shipped();
    let shelved = shelf.find(flow).unwrap();
    let plan = Plan::of(&shelved.flow);
    let mut apprentice = Apprentice::begins(&plan, shelved, seed, level);
    with(&mut apprentice);
    apprentice.debrief()
}

#[test]
fn the_words_of_a_search_are_those_of_what_the_step_searches_with() {
    let shelf = Shelf::shipped();
    let mut found = Vec::new();
    for shelved in shelf.iter() {
        let flow = &shelved.flow;
        for prompt in &flow.readings {
            if matches!(prompt.kind, PromptKind::Places(_)) {
                let step = flow.steps.iter().find(|s| s.record.contains(&prompt.id));
                found.push((prompt.id.as_str(), Search::of(prompt, step)));
            }
        }
    }
    found.sort_by_key(|(id, _)| *id);
    assert_eq!(
        found,
        [
            ("cabin-seen-at", Search::Smoke),
            ("charge-seen-at", Search::Soap),
            ("coolant-seen-again", Search::Dye),
            ("coolant-seen-at", Search::Wet),
            ("crankcase-seen-at", Search::Smoke),
            ("exhaust-seen-at", Search::Smoke),
            ("seen-at", Search::Smoke),
            ("small-seen-at", Search::Smoke),
            ("vapour-seen-at", Search::Smoke),
        ]
    );
    // The mark under which it is written down stands behind words that are not its own.
    for search in [Search::Soap, Search::Wet, Search::Dye] {
        for (strength, mark) in [
            (Strength::Wisp, "(wisp)"),
            (Strength::Steady, "(steady)"),
            (Strength::Heavy, "(heavy)"),
        ] {
            assert!(search.strength(strength).ends_with(mark));
        }
    }
}

/// Every place of the step, as long as shows all.
fn looks_at_all(apprentice: &mut Apprentice) -> Vec<String> {
    let step = apprentice.session.bay.step().unwrap();
    let prompt = apprentice.session.bay.places(step).unwrap();
    let PromptKind::Places(places) = &prompt.kind else {
        panic!("no places");
    };
    let looks = |place: &String| Practised::Looked {
        place: place.clone(),
        seconds: 40,
    };
    places.iter().map(|p| apprentice.hand(looks(p))).collect()
}

#[test]
fn the_charge_air_is_searched_by_ear_and_soap_and_coolant_for_what_is_wet() {
    for (flow, nothing, shows) in [
        (
            "charge-air-leak",
            "no hiss, no bubble",
            ["foam", "bubbles", "blows"],
        ),
        (
            "cooling-pressure-hold",
            "it is dry",
            ["damp", "drop", "runs"],
        ),
    ] {
        let debrief = on(flow, 7, 2, |apprentice| {
            apprentice.until("search");
            let seen = looks_at_all(apprentice);
            let shown = seen
                .iter()
                .filter(|s| shows.iter().any(|word| s.contains(word)));
            let dry = seen.iter().filter(|s| s.contains(nothing));
            assert!(shown.clone().count() > 0, "{seen:?}");
            assert_eq!(shown.count() + dry.count(), seen.len(), "{seen:?}");
        });
        // No draught hides a sound, foam or drops.
        assert!(!debrief.traps.join(" ").contains("draught"), "{flow}");
    }
}

fn feeds(apprentice: &mut Apprentice) {
    apprentice.hand(Practised::Fed {
        gas: "air".to_owned(),
        pressure: "3.4 kPa".parse().unwrap(),
    });
}

fn takes(apprentice: &mut Apprentice) -> String {
    apprentice.hand(Practised::Took {
        reading: "seen-at".to_owned(),
    })
}

#[test]
fn who_looks_with_nothing_fed_has_not_looked_once_it_is_fed_and_is_told_why() {
    let debrief = on("intake-leak", 3, 1, |apprentice| {
        apprentice.until("search");
        apprentice.hand(Practised::SupplyOff);
        let seen = looks_at_all(apprentice);
        assert!(
            seen.iter().all(|s| s.contains("nothing shows, after 40 s")),
            "{seen:?}"
        );
        feeds(apprentice);
        assert!(takes(apprentice).starts_with("Nothing was seen so far"));
        apprentice.does(Action::Read {
            reading: "seen-at".to_owned(),
            value: Answer::Places(BTreeMap::new()),
            confirmed: true,
            carried_from: None,
        });
    });
    let made_up = debrief.made_up.join("\n");
    assert!(
        made_up.contains(
            "You wrote nowhere and had looked with nothing fed at: inlet duct or hose, where"
        ),
        "{made_up}"
    );
    let slips = debrief.slips.join("\n");
    assert!(slips.contains("looked at with nothing fed"), "{slips}");
    // With it on, the same looks find it.
    on("intake-leak", 3, 1, |apprentice| {
        apprentice.until("search");
        looks_at_all(apprentice);
        assert!(takes(apprentice).starts_with("As it stands on the car"));
    });
}

#[test]
fn a_supply_that_is_set_to_nothing_feeds_nothing() {
    let debrief = on("intake-leak", 3, 1, |apprentice| {
        apprentice.until("search");
        apprentice.hand(Practised::Fed {
            gas: "air".to_owned(),
            pressure: "0 kPa".parse().unwrap(),
        });
        let seen = looks_at_all(apprentice);
        assert!(seen.iter().all(|s| s.contains("nothing shows")), "{seen:?}");
    });
    assert!(
        debrief
            .slips
            .join("\n")
            .contains("looked at with nothing fed")
    );
}
