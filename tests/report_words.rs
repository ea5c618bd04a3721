//! Words of the pages come from what the record knows: what was fed and searched with, who saw what, which parts the flow
//! names, and what became of the codes.

use crate::jobs;
use crate::page::{EDITIONS, page_for};
use crate::support::Story;
use ruleout::engine::event::{Event, PartWas, Suggested, Verdict, What};
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
    blowing_hose_begun().walk()
}

fn blowing_hose_at(step: &str) -> Story {
    blowing_hose_begun().walk_to(step)
}

fn blowing_hose_begun() -> Story {
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

/// One part is printed as well: the order is where it is looked up.
#[test]
fn a_single_part_has_its_line_on_the_order() {
    let mut events = blowing_hose().events;
    let agreed = |event: &Event| matches!(event.what, What::RepairApproved { .. });
    let at = events.iter().position(agreed).unwrap();
    events.truncate(at + 1);
    for event in &mut events {
        if let What::FlowBegun { text, .. } = &mut event.what {
            let two = "parts: [\"hose, where it is not refitted\", clamp]";
            assert!(text.contains(two));
            *text = text.replace(two, "parts: [clamp]");
        }
    }
    let order = text(&events, Edition::Parts);
    assert!(order.contains("| Part: clamp "), "{order}");
    assert_eq!(order.matches("Part: ").count(), 1, "{order}");
    assert!(order.contains("for the part below"), "{order}");
}

/// The first word of a part that does not stand in the words of a repair, as it is or with an ending.
fn missing_in(repair: &str, part: &str) -> Option<String> {
    const JOIN: [&str; 10] = [
        "a", "if", "is", "it", "its", "not", "of", "or", "the", "where",
    ];
    let words = |text: &str| -> Vec<String> {
        let text = text.to_lowercase();
        let words = text.split(|c: char| !c.is_alphabetic());
        let words = words.filter(|word| !word.is_empty());
        words.map(str::to_owned).collect()
    };
    let repair = words(repair);
    let stands = |word: &String| {
        let with_an_ending = |known: &String| known.len() > 2 && word.starts_with(known.as_str());
        JOIN.contains(&word.as_str()) || repair.contains(word) || repair.iter().any(with_an_ending)
    };
    words(part).into_iter().find(|word| !stands(word))
}

#[test]
fn a_part_stands_in_a_repair_only_with_every_word_of_it() {
    let repair = "Renew or refit the valve and its cap";
    for part in [
        "valve",
        "cap",
        "or the cap",
        "valve, where it is not refitted",
    ] {
        assert_eq!(missing_in(repair, part), None, "{part}");
    }
    for (part, word) in [
        ("valve, or the flux pump", "flux"),
        ("nut", "nut"),
        ("cap of the tank", "tank"),
    ] {
        assert_eq!(missing_in(repair, part).as_deref(), Some(word));
    }
}

/// What an order lists is what the repair says: each part stands in its words.
#[test]
fn the_parts_of_every_flow_stand_in_the_words_of_its_repair() {
    let mut listed = 0;
    for found in Shelf::shipped().iter() {
        for cause in &found.flow.causes {
            for part in &cause.parts {
                listed += 1;
                assert_eq!(
                    missing_in(&cause.repair, part),
                    None,
                    "{}, {}: {part} is not in: {}",
                    found.flow.id,
                    cause.id,
                    cause.repair
                );
            }
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
                it. The lamp can stay on until the car has done its own checks on the road: come back to us if it is still on \
                after a week of everyday driving, or if it goes out and comes on again.";
    assert!(page.contains(said), "{page}");
    // Repaired, and no test repeated yet: nothing is known of the lamp, and nobody is sent on the road to find out.
    let mut events = proved.events;
    let done = |event: &Event| matches!(event.what, What::RepairDone { .. });
    let at = events.iter().position(done).unwrap();
    events.truncate(at + 1);
    let page = text(&events, Edition::Customer);
    assert!(
        page.contains("**The warning lamp:** Whether it goes out for good shows only once the test after the repair has passed."),
        "{page}"
    );
    assert!(!page.contains("a week of"), "{page}");
}

/// What nobody cleared comes back from nowhere: that none came back proves nothing there.
#[test]
fn where_the_codes_were_not_cleared_none_that_came_back_is_no_proof() {
    let page = text(&jobs::shaft_wisp_then_sensor().events, Edition::Customer);
    let lamp = lamp_of(&page).expect("a lamp");
    assert!(
        lamp.contains("Our record does not say that the saved codes were cleared"),
        "{lamp}"
    );
    assert!(!lamp.contains("came back"), "{lamp}");
}

fn lamp_of(page: &str) -> Option<&str> {
    page.lines()
        .find(|line| line.contains("**The warning lamp:**"))
}

/// The same job, with codes that came back in the repeated test.
fn codes_came_back() -> Vec<Event> {
    let mut events = jobs::shaft_wisp_then_sensor().events;
    for event in &mut events {
        match &mut event.what {
            What::ReadingTaken { reading, value, .. } if reading == "codes-now" => {
                *value = Answer::Choice("some came back".to_owned());
            }
            What::OutcomeTaken(taken) if taken.step == "prove" => {
                taken.outcome = Some("still-there".to_owned());
                taken.suggested = Suggested::Outcome("still-there".to_owned());
            }
            What::FlowClosed { flow, result } if flow == "manifold-pressure-signal" => {
                *result = Verdict::RuledOut;
            }
            _ => {}
        }
    }
    assert_eq!(fold(&events).misfits, []);
    events
}

#[test]
fn codes_that_came_back_are_not_told_as_nothing_found() {
    let events = codes_came_back();
    let page = text(&events, Edition::Customer);
    assert!(
        page.contains("Repaired, but the car's computer has noticed a fault again"),
        "{page}"
    );
    assert!(
        page.contains("nothing more was found, but codes came back."),
        "{page}"
    );
    let lamp = lamp_of(&page).expect("a lamp");
    assert!(lamp.contains("Codes came back in the last test"), "{lamp}");
    for edition in EDITIONS {
        let text = text(&events, edition);
        assert!(
            !text.contains("that followed found nothing more\n"),
            "{text}"
        );
        assert!(!text.contains("a week of"), "{edition:?}\n{text}");
    }
}

/// Every part that came out looked good: the lamp is no matter of waiting, since its cause is not known.
#[test]
fn where_the_parts_were_good_nobody_waits_for_the_lamp() {
    let mut events = jobs::split_hose_then_gasket().events;
    for event in &mut events {
        if let What::RepairDone { part_was, .. } = &mut event.what {
            *part_was = PartWas::Good;
        }
    }
    let page = text(&events, Edition::Customer);
    let lamp = lamp_of(&page).expect("a lamp");
    assert!(lamp.contains("What caused it is not proved"), "{lamp}");
    assert!(!page.contains("a week of"), "{page}");
    // A sound part is no cause that a test found.
    assert!(!page.contains("it found the next cause"), "{page}");
    assert!(
        page.contains(
            "it led to the next repair, of which the old part looked good: Intake manifold"
        ),
        "{page}"
    );
}

/// A repair to which odds alone led, and whose part looked good or of which nobody could tell, was not found.
#[test]
fn a_suspected_part_is_found_only_by_being_bad() {
    for (part_was, suspected) in [
        (PartWas::Bad, false),
        (PartWas::Good, true),
        (PartWas::CouldNotTell, true),
    ] {
        let mut events = suspected_and_declined();
        let last = events.last_mut().expect("an answer");
        let What::RepairDeclined { cause, .. } = &last.what else {
            panic!("it was declined");
        };
        let cause = cause.clone();
        last.what = What::RepairApproved {
            cause: cause.clone(),
            by: "owner".to_owned(),
        };
        let mut done = jobs::metered_by_manifold_pressure().events[events.len()].clone();
        assert!(matches!(done.what, What::RepairDone { .. }));
        done.what = What::RepairDone {
            cause,
            work: "hose renewed".to_owned(),
            part_was,
        };
        events.push(done);
        assert_eq!(fold(&events).misfits, []);
        let order = text(&events, Edition::Parts);
        assert_eq!(
            order.contains("(suspected, not seen)"),
            suspected,
            "{part_was:?}\n{order}"
        );
    }
}

#[test]
fn a_lamp_that_stays_on_is_said_to_and_none_where_none_was_on() {
    let page = text(&jobs::not_found_here().events, Edition::Customer);
    assert!(
        page.contains(
            "It stays on, or comes on again, as long as what causes it is not found and mended."
        ),
        "{page}"
    );
    for events in [jobs::half_way().events, wet_radiator().events] {
        let page = text(&events, Edition::Customer);
        assert!(!page.to_lowercase().contains("the warning lamp"), "{page}");
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
    assert!(
        customer.contains("Suspected, not seen. Declined, so it is not repaired."),
        "{customer}"
    );
    assert!(
        customer.contains("Suspected, not seen, and nothing was done about it."),
        "{customer}"
    );
    let order = text(&events, Edition::Parts);
    assert!(
        order.contains("**Brake booster or its hose leaking (suspected, not seen):**"),
        "{order}"
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

/// A manifold of which nothing shows cold, and which is heard on the running engine.
fn heard_at_the_manifold() -> Story {
    Story::new(
        34,
        "ORB 552",
        "Corvane Lisse 1.2, 2013",
        "Ticking when cold, engine lamp on",
        &["P0171"],
    )
    .fact("tailpipes", "1")
    .saved(&["P0171"], &[], "", "all ready")
    .reads(
        1,
        "data-saved: yes
             exhaust-heard: ticks or hisses
             lean-when: lean at idle only
             exhaust-warmth: 20
             blocked-pressure: 3.4 kPa
             blocked-flow: 0
             float-steady: steady
             smoke-flow: 2
             smoke-pressure: 3.4 kPa
             exhaust-seen-at: nowhere
             warm-heard-at: manifold crack
             leak-lies: ahead of the front sensor
             leak-part: manifold crack",
    )
    .begin("exhaust-leak")
    .walk()
}

#[test]
fn what_was_heard_is_told_as_what_was_found_and_the_manifold_is_that_of_the_exhaust() {
    let events = before_the_answer(heard_at_the_manifold().events);
    for edition in [Edition::Customer, Edition::Workshop] {
        let text = text(&events, edition);
        let found = text
            .split("## What ")
            .find(|part| part.starts_with("we found") || part.starts_with("was found, and where"));
        let found = found.expect("a section").split("\n## ").next().unwrap();
        assert!(
            found.contains("Where does it blow on the warm, running engine?")
                && found.contains("Manifold crack."),
            "{found}"
        );
    }
    let page = text(&events, Edition::Customer);
    assert!(
        page.contains("**Exhaust manifold:** The branched pipe"),
        "{page}"
    );
    assert!(
        !page.contains("through which the engine draws its air"),
        "{page}"
    );
}

#[test]
fn a_hold_that_lost_pressure_is_told_beside_a_search_that_found_nothing() {
    let story = Story::new(35, "TWR 120", "Corvane Lisse 1.6, 2015", "Loses water", &[])
        .fact("cap-rating", "110 kPa")
        .saved(&[], &[], "", "all ready")
        .reads(
            1,
            "data-saved: yes
             coolant-level: below the mark
             coolant-warmth: 18
             cap-opens: 110
             cap-holds: holds
             hold-start: 100
             hold-end: 90
             coolant-seen-at: nowhere",
        )
        .begin("cooling-pressure-hold")
        .walk_to("gas");
    let page = text(&story.events, Edition::Customer);
    assert!(page.contains("It loses pressure"), "{page}");
    assert!(page.contains("hand pump to be taken off"), "{page}");
}

/// The run is fed from a supply that is no word for itself.
#[test]
fn what_is_to_be_taken_off_is_named_as_what_it_is() {
    let story = blowing_hose_at("search");
    let page = text(&story.events, Edition::Customer);
    assert!(page.contains("regulated supply to be taken off"), "{page}");
}
