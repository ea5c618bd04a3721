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
use ruleout::flow::model::{Flow, PromptKind};
use ruleout::flow::shelf::Shelf;
use ruleout::flow::signature::Shown;
use ruleout::flow::target::Target;
use ruleout::plant::plan::Plan;
use ruleout::practice::debrief::Debrief;
use ruleout::practice::search::Search;
use ruleout::practice::way::{Hand, due};

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

/// The flow that the program gives an owner to begin with, changed in places.
fn owners(changes: &[(&str, &str)]) -> Shelf {
    let text = std::fs::read_to_string("assets/new-flow.yaml").unwrap();
    let mut text = text.replace("NEW-FLOW", "own-hose");
    for (from, to) in changes {
        assert!(text.contains(from), "{from}");
        text = text.replacen(from, to, 1);
    }
    let mut shelf = Shelf::shipped();
    shelf.put("own.yaml", &text);
    shelf
}

fn on_owners(shelf: &Shelf, level: u8, with: impl FnOnce(&mut Apprentice)) -> Debrief {
    let shelved = shelf.find("own-hose").unwrap();
    let plan = Plan::of(&shelved.flow);
    let mut apprentice = Apprentice::begins(&plan, shelved, 7, level);
    with(&mut apprentice);
    apprentice.debrief()
}

fn asks_search(flow: &Flow, ask: &str, gear: &[&str]) -> Search {
    let mut step = flow.step("hold").unwrap().clone();
    step.gear = gear.iter().map(|gear| (*gear).to_owned()).collect();
    let mut prompt = flow.reading("seen-at").unwrap().clone();
    ask.clone_into(&mut prompt.ask);
    Search::of(&prompt, Some(&step))
}

#[test]
fn a_search_is_known_by_its_words_with_their_endings_and_smoke_wins_where_it_alone_is_named() {
    let shelf = owners(&[]);
    let flow = &shelf.find("own-hose").unwrap().flow;
    for (ask, search) in [
        ("Where is it bubbling or hissing?", Search::Soap),
        ("Where does foam show?", Search::Soap),
        ("Where is it foaming?", Search::Soap),
        ("Where is air blowing?", Search::Soap),
        (
            "Wet it with soapy water - where does it show?",
            Search::Soap,
        ),
        ("Where is it dripping?", Search::Wet),
        ("Where does the dye show?", Search::Dye),
        ("Where does blow-by smoke show?", Search::Smoke),
        ("Where does the blow-off valve let it past?", Search::Smoke),
        ("Where does smoke blow out?", Search::Smoke),
        ("Where does it bubble or smoke?", Search::Soap),
        ("Where is the hissing-hot end?", Search::Soap),
        ("Where does it show at the bubbler?", Search::Smoke),
    ] {
        assert_eq!(asks_search(flow, ask, &[]), search, "{ask}");
    }
    let where_ = "Where does it show?";
    assert_eq!(asks_search(flow, where_, &["soap solution"]), Search::Soap);
    let both = ["soap solution", "smoke unit with pressure gauge"];
    assert_eq!(asks_search(flow, where_, &both), Search::Smoke);
    assert_eq!(
        asks_search(flow, "Where does it hiss?", &both),
        Search::Soap
    );
}

/// The first places are found by soap, others later by smoke.
#[test]
fn a_draught_stands_where_any_place_is_searched_with_smoke_and_hides_only_that() {
    let shelf = owners(&[
        ("Where does it show?", "Where does it bubble?"),
        (
            "  pull-now:\n",
            "  smoke-at: {ask: Where does smoke show?, places: [joint, hose wall]}\n  pull-now:\n",
        ),
        ("record: [found-at]", "record: [found-at, smoke-at]"),
    ]);
    on_owners(&shelf, 2, |apprentice| {
        assert!(apprentice.session.bay.draught());
        let flow = apprentice.session.bay.plan().flow;
        let shuts = |step: &str| {
            let (bay, earlier) = (&apprentice.session.bay, apprentice.session.earlier());
            let hands = due(bay, flow.step(step).unwrap(), &earlier);
            hands.iter().any(|hand| matches!(hand, Hand::Door))
        };
        assert_eq!((shuts("hold"), shuts("divide")), (false, true));
    });
    let soap = owners(&[("Where does it show?", "Where does it bubble?")]);
    on_owners(&soap, 2, |apprentice| {
        assert!(!apprentice.session.bay.draught());
    });
}

fn takes_start(apprentice: &mut Apprentice) {
    apprentice.hand(Practised::Took {
        reading: "start-pressure".to_owned(),
    });
}

#[test]
fn who_reads_a_gauge_with_nothing_fed_has_not_looked_at_places_in_vain() {
    let shelf = owners(&[]);
    let read = on_owners(&shelf, 1, |apprentice| {
        apprentice.until("hold");
        apprentice.hand(Practised::SupplyOff);
        takes_start(apprentice);
    });
    let slips = read.slips.join("\n");
    assert!(slips.contains("the supply was not on"), "{slips}");
    assert!(!slips.contains("looked at"), "{slips}");
    // Whoever looks as well has forgotten one thing, not two; and it is put right as one.
    let looks_as_well = |mends: bool| {
        on_owners(&shelf, 1, |apprentice| {
            apprentice.until("hold");
            apprentice.hand(Practised::SupplyOff);
            takes_start(apprentice);
            looks_at_all(apprentice);
            if mends {
                apprentice.hand(Practised::Fed {
                    gas: "air".to_owned(),
                    pressure: "20 kPa".parse().unwrap(),
                });
                takes_start(apprentice);
            }
        })
    };
    for (mends, marks) in [(false, 8), (true, 3)] {
        let debrief = looks_as_well(mends);
        assert_eq!(debrief.slips.len(), 1, "{:?}", debrief.slips);
        assert!(debrief.slips[0].contains("looked at with nothing fed"));
        let lost: Vec<u32> = debrief.parts[4].lost.iter().map(|l| l.marks).collect();
        assert_eq!(lost, [marks], "{:?}", debrief.parts[4]);
    }
}

#[test]
fn a_proof_read_with_the_supply_off_is_none_in_the_words_of_what_was_done() {
    let proved = |looks: bool| {
        let shelf = owners(&[]);
        on_owners(&shelf, 1, |apprentice| {
            apprentice.until_repair();
            apprentice.lets_down();
            apprentice.opens_part();
            apprentice.repairs();
            apprentice.until("hold");
            apprentice.hand(Practised::SupplyOff);
            takes_start(apprentice);
            if looks {
                looks_at_all(apprentice);
            }
            apprentice.goes_on_to(&Target::Step("prove".to_owned()));
            while apprentice.goes_on() {}
        })
    };
    let unread = proved(false).proof_void.join("\n");
    assert!(
        unread.contains("as it was read, the supply was not on"),
        "{unread}"
    );
    assert!(!unread.contains("looked at"), "{unread}");
    let unseen = proved(true).proof_void.join("\n");
    assert!(
        unseen.contains("places were looked at with nothing fed"),
        "{unseen}"
    );
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

/// The place at which a cause of the charge air shows most.
fn place_of(flow: &Flow, cause: &str) -> String {
    let mut shows = flow.cause(cause).unwrap().shows.iter();
    let words = shows.find_map(|shows| match &shows.what {
        Shown::Words(words) if shows.id == "charge-seen-at" => Some(words),
        _ => None,
    });
    let mut words: Vec<&(String, f64)> = words.unwrap().iter().collect();
    words.sort_by(|a, b| b.1.total_cmp(&a.1));
    words[0].0.clone()
}

/// Whoever searches every place long enough, with all closed, sees it or not: the debrief must not say otherwise.
#[test]
fn what_is_harmless_is_said_to_show_beside_the_rest_only_where_a_search_shows_it() {
    let mut checked = 0;
    for seed in (0..6).chain([58213]) {
        let mut shown = None;
        let debrief = on("charge-air-leak", seed, 2, |apprentice| {
            let Some(decoy) = apprentice.session.bay.drawn().decoys.first().cloned() else {
                return;
            };
            let place = place_of(apprentice.session.bay.plan().flow, &decoy);
            apprentice.until("search");
            let seen = looks_at_all(apprentice);
            let at = seen.iter().find(|s| s.starts_with(&place)).unwrap();
            shown = Some(!at.contains("no hiss, no bubble"));
        });
        let Some(shown) = shown else { continue };
        let says = debrief.harmless.join("\n");
        let beside = says.contains("with all else closed");
        assert_eq!(beside, shown, "seed {seed}: {says}");
        checked += 1;
    }
    assert!(checked > 3, "{checked}");
}
