//! Words of the pages come from what the record knows: what was fed and searched with, who saw what, which parts the flow
//! names, and what became of the codes.

use crate::jobs;
use crate::page::{EDITIONS, page_for};
use crate::support::Story;
use ruleout::engine::event::{Event, What};
use ruleout::engine::fold::fold;
use ruleout::engine::weighed::{Chosen, Odds, Way, Weighed};
use ruleout::flow::answer::Answer;
use ruleout::flow::shelf::Shelf;
use ruleout::report::edition::Edition;
use ruleout::report::markdown;

fn text(events: &[Event], edition: Edition) -> String {
    markdown(&page_for(events, edition))
}

/// Up to the question whether the customer agrees.
fn before_the_answer(mut events: Vec<Event>) -> Vec<Event> {
    let agreed = |event: &Event| matches!(event.what, What::RepairApproved { .. });
    let at = events.iter().position(agreed).expect("it was agreed to");
    events.truncate(at);
    assert_eq!(fold(&events).misfits, []);
    events
}

/// A radiator that is wet under pressure.
fn wet_radiator() -> Story {
    Story::new(31, "TWR 119", "Corvane Lisse 1.6, 2015", "Loses water", &[])
        .fact("cap-rating", "110 kPa")
        .saved(&[], &[], "", "all ready")
        .reads(
            1,
            "data-saved: yes
             coolant-level: below the mark
             coolant-warmth: 20
             cap-opens: 108
             cap-holds: holds
             hold-start: 100
             hold-end: 70
             coolant-seen-at: radiator = steady
             coolant-part: radiator",
        )
        .begin("cooling-pressure-hold")
        .walk()
}

/// A charge hose that blows under pressure, found with ear and soap.
fn blowing_hose() -> Story {
    Story::new(
        32,
        "KLD 482",
        "Merrivale Dorn 2.0 T, 2018",
        "Lacks pull",
        &[],
    )
    .fact("charge-pressure", "120 kPa")
    .fact("cooler-volume", "9 L")
    .saved(&[], &[], "", "all ready")
    .reads(
        1,
        "data-saved: yes
             boost-wanted: 110
             boost-seen: 80
             load-airflow: 90
             engine-warmth: 30
             supply-set: 60
             relief-tried: yes
             hold-start: 8
             hold-end: 8
             charge-seen-at: hose or its joint = steady
             charge-part: hose or joint",
    )
    .begin("charge-air-leak")
    .walk()
}

#[test]
fn a_place_that_was_found_wet_is_not_said_to_have_smoked() {
    let mut events = wet_radiator().events;
    // The page is asked for as soon as the place is known.
    let judged = |event: &Event| matches!(&event.what, What::ReadingTaken { reading, .. } if reading == "coolant-part");
    let at = events.iter().position(judged).expect("it was named");
    events.truncate(at);
    let text = text(&events, Edition::Customer);
    assert!(
        text.contains("**Radiator:** It showed here when we searched."),
        "{text}"
    );
    assert!(!text.to_lowercase().contains("smoke"), "{text}");
    assert!(text.contains("How strongly it showed at a place"), "{text}");
}

#[test]
fn a_search_with_ear_and_soap_says_nothing_of_a_standing_engine_full_of_smoke() {
    let events = before_the_answer(blowing_hose().events);
    let workshop = text(&events, Edition::Workshop);
    assert!(
        workshop.contains("The system is put under pressure while the car stands still"),
        "{workshop}"
    );
    assert!(!workshop.contains("Smoke is fed"), "{workshop}");
}

/// Smoke that was let in is told as before.
#[test]
fn where_smoke_was_let_in_it_is_called_so() {
    let mut events = jobs::metered_by_manifold_pressure().events;
    let seen = |event: &Event| matches!(&event.what, What::ReadingTaken { reading, .. } if reading == "seen-at");
    let at = events.iter().position(seen).unwrap();
    events.truncate(at + 1);
    let page = text(&events, Edition::Customer);
    assert!(
        page.contains("**Brake booster:** The test smoke came out here."),
        "{page}"
    );
    assert!(
        page.contains("- **Smoke:** A thin white test smoke"),
        "{page}"
    );
}

/// The unit alone was tried, and a valve on the bench: no car was searched standing still.
#[test]
fn what_was_tried_on_the_bench_is_no_search_of_a_standing_car() {
    let story = Story::new(33, "PLM 300", "Tarnholt Vela 1.4, 2012", "", &[])
        .saved(&[], &[], "", "")
        .reads(
            1,
            "uses-since-fill: 3
             fluid-level: between the marks
             supply-gas: air
             supply-state: yes
             unit-voltage: 12.6 V
             hose-look: tight
             blocked-pressure: 3.4 kPa
             blocked-flow: 0
             first-use-today: yes
             smoke-comes: thick within the time",
        )
        .begin("smoke-unit-check")
        .walk_to("open-tip");
    for edition in [Edition::Customer, Edition::Workshop] {
        let text = text(&story.events, edition);
        for words in ["standing still", "stands still", "On a stopped engine"] {
            assert!(!text.contains(words), "{words}\n{text}");
        }
    }
}

/// A repair whose flow names two parts has a line for each, and one that names none has no more than its own.
#[test]
fn each_part_that_the_flow_names_has_a_line_of_its_own_on_the_order() {
    let mut events = blowing_hose().events;
    let agreed = |event: &Event| matches!(event.what, What::RepairApproved { .. });
    let at = events.iter().position(agreed).unwrap();
    events.truncate(at + 1);
    let order = text(&events, Edition::Parts);
    let lines: Vec<&str> = order
        .lines()
        .filter(|line| line.contains("| Part: "))
        .collect();
    assert_eq!(lines.len(), 2, "{order}");
    assert!(
        lines[0].contains("Part: hose, where it is not refitted"),
        "{order}"
    );
    assert!(lines[1].contains("Part: clamp"), "{order}");
    // Of what was fitted the record has the technician's words: the flow's list claims nothing of it.
    let fitted = text(&jobs::metered_by_manifold_pressure().events, Edition::Parts);
    assert!(fitted.contains("Part, if fitted: hose"), "{fitted}");
    assert!(fitted.contains("Part, if fitted: the booster"), "{fitted}");
    let mut wet = wet_radiator().events;
    let at = wet.iter().position(agreed).unwrap();
    wet.truncate(at + 1);
    let order = text(&wet, Edition::Parts);
    assert!(
        order.contains("Radiator") && !order.contains("Part: "),
        "{order}"
    );
}

/// What an order lists is what the repair says: each part stands in its words, and two of them are two lines.
#[test]
fn the_parts_of_every_flow_stand_in_the_words_of_its_repair() {
    let mut listed = 0;
    for found in Shelf::shipped().iter() {
        for cause in &found.flow.causes {
            let repair = cause.repair.to_lowercase();
            for part in &cause.parts {
                listed += 1;
                let mut words = part.split(|c: char| !c.is_alphabetic());
                assert!(
                    words.any(|word| word.len() > 3 && repair.contains(&word.to_lowercase())),
                    "{}, {}: {part} is not in: {repair}",
                    found.flow.id,
                    cause.id
                );
            }
            assert_ne!(cause.parts.len(), 1, "{}", cause.id);
        }
    }
    assert!(listed > 40, "{listed}");
}

/// One word about the brakes on whatever paper speaks of them.
#[test]
fn the_brakes_have_to_be_checked_in_every_edition() {
    let mut events = jobs::metered_by_manifold_pressure().events;
    let agreed = |event: &Event| matches!(event.what, What::RepairApproved { .. });
    let at = events.iter().position(agreed).unwrap();
    events.truncate(at + 1);
    for edition in EDITIONS {
        let text = text(&events, edition);
        let advice = "car is not to be driven before the brakes have been checked";
        assert!(text.contains(advice), "{edition:?}\n{text}");
        for other in ["not safe to drive", "brakes have been repaired"] {
            assert!(!text.contains(other), "{edition:?}: {other}\n{text}");
        }
    }
}

#[test]
fn the_customer_is_told_what_becomes_of_the_lamp() {
    let proved = jobs::split_hose_then_gasket();
    let page = text(&proved.events, Edition::Customer);
    let said = "**The warning lamp:** Clearing the saved codes is part of the test that we repeated, and none came back in \
                it; the lamp can stay on until the car has done its own checks on the road, so come back to us if it is \
                still on after a week of everyday driving, or if it goes out and comes on again.";
    assert!(page.contains(said), "{page}");
    // Repaired, and no test repeated yet: nothing is known of the codes.
    let mut events = proved.events;
    let done = |event: &Event| matches!(event.what, What::RepairDone { .. });
    let at = events.iter().position(done).unwrap();
    events.truncate(at + 1);
    let page = text(&events, Edition::Customer);
    assert!(
        page.contains("Our record does not say that the saved codes were cleared; the lamp"),
        "{page}"
    );
}

#[test]
fn nothing_is_said_of_a_lamp_where_none_was_on_or_the_fault_stays() {
    let sure_of_it = [
        jobs::not_found_here().events,
        jobs::half_way().events,
        wet_radiator().events,
    ];
    for events in sure_of_it {
        let page = text(&events, Edition::Customer);
        assert!(!page.contains("The warning lamp:"), "{page}");
    }
}

/// The customer declines a repair to which odds alone led: nothing showed where its cause was looked for.
fn suspected_and_declined() -> Vec<Event> {
    let mut events = before_the_answer(jobs::metered_by_manifold_pressure().events);
    let all = jobs::metered_by_manifold_pressure().events;
    for event in &mut events {
        match &mut event.what {
            What::ReadingTaken { reading, value, .. } if reading == "seen-at" => {
                *value = Answer::Places(std::collections::BTreeMap::new());
            }
            What::OutcomeTaken(taken) => {
                taken.weighed = Some(Box::new(Weighed {
                    taken: Chosen::Evidence,
                    evidence: Way {
                        words: "repair it".to_owned(),
                        go: None,
                        minutes: None,
                    },
                    flow: None,
                    because: String::new(),
                    odds: vec![Odds {
                        cause: "brake-booster".to_owned(),
                        present: 0.6,
                        explains: 0.55,
                    }],
                    by: "words 1".to_owned(),
                    own_jobs: 0,
                    not_here: Vec::new(),
                    taken_down: Vec::new(),
                }));
            }
            _ => {}
        }
    }
    let mut declined = all[events.len()].clone();
    let What::RepairApproved { cause, .. } = declined.what else {
        panic!("it was agreed to");
    };
    declined.what = What::RepairDeclined {
        cause,
        by: "owner: wants to wait".to_owned(),
    };
    events.push(declined);
    assert_eq!(fold(&events).misfits, []);
    events
}

#[test]
fn a_suspected_repair_that_was_declined_is_not_called_found() {
    let events = suspected_and_declined();
    let customer = text(&events, Edition::Customer);
    assert!(
        customer.contains("We suspect a fault, and it has not been repaired"),
        "{customer}"
    );
    assert!(
        customer.contains(
            "Suspected, not seen: Brake booster or its hose leaking. The repair was declined, so whether it is the cause is \
             not shown."
        ),
        "{customer}"
    );
    let label = text(&events, Edition::Label);
    assert!(
        label.contains("Suspected, not seen, and not repaired"),
        "{label}"
    );
    for edition in EDITIONS {
        let text = text(&events, edition);
        assert!(
            !text.contains("Found, but not repaired"),
            "{edition:?}\n{text}"
        );
        assert!(!text.contains("We found a fault"), "{edition:?}\n{text}");
    }
}

/// The gloss of one result of a calculation does not stand under another, and nothing is said to be drawn where nothing is.
#[test]
fn in_a_text_each_number_has_its_own_caption() {
    let events = jobs::metered_by_manifold_pressure().events;
    let text = text(&events, Edition::Workshop);
    let charts = text.split("## Charts").nth(1).unwrap();
    let charts = charts.split("\n## ").next().unwrap();
    let lines: Vec<&str> = charts.lines().collect();
    let under = |head: &str| {
        let at = lines.iter().position(|line| line.starts_with(head));
        lines[at.unwrap_or_else(|| panic!("{head}\n{charts}")) + 1]
    };
    assert!(
        under("- **Idle control closed by:**").contains("has closed because air"),
        "{charts}"
    );
    assert!(
        under("- **Left before its stop:**").contains("can still close"),
        "{charts}"
    );
    assert!(!charts.contains("stroke"), "{charts}");
    assert_eq!(
        charts.matches("Where two ranges lie apart").count(),
        1,
        "{charts}"
    );
}
