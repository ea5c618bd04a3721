//! The page is of one mind about each cause: found, ruled out, or neither, and never two of them.

use crate::jobs;
use crate::page::page_for;
use crate::page::stories::small_leak;
use crate::support::Story;
use ruleout::engine::action::Action;
use ruleout::engine::event::{Event, Verdict, What};
use ruleout::engine::fold::fold;
use ruleout::report::edition::Edition;
use ruleout::report::{Sheet, html, markdown};

/// The page's line that begins with these words in bold; empty where there is none.
fn line<'t>(text: &'t str, head: &str) -> &'t str {
    let head = format!("- **{head}:**");
    text.lines()
        .find(|line| line.starts_with(&head))
        .unwrap_or("")
}

/// The job up to where the walk left its first flow for another one.
fn led_on(mut events: Vec<Event>) -> Vec<Event> {
    let closed = events.iter().position(
        |event| matches!(&event.what, What::FlowClosed { result, .. } if *result == Verdict::LedOn),
    );
    events.truncate(closed.expect("it led on") + 1);
    events
}

#[test]
fn what_was_found_too_small_is_not_called_undecided() {
    let events = led_on(jobs::shaft_wisp_then_sensor().events);
    for edition in [Edition::Customer, Edition::Workshop] {
        let text = markdown(&page_for(&events, edition));
        let found = line(&text, "Found, too small to explain the complaint");
        assert!(
            found.contains("Throttle shaft worn: throttle shaft (wisp). It accounts for"),
            "{text}"
        );
        let open = line(&text, "Neither found nor ruled out");
        assert!(open.contains("Vacuum hose cracked or off"), "{text}");
        assert!(!open.contains("Throttle shaft"), "{open}");
        assert!(!text.contains("Seen faintly"), "said twice\n{text}");
    }
}

#[test]
fn what_shows_and_was_not_judged_yet_is_found() {
    let text = markdown(&page_for(&jobs::half_way().events, Edition::Customer));
    let found = "- **Found, not judged yet:** Vacuum hose cracked or off: vacuum hose (heavy).";
    assert!(text.contains(found), "{text}");
    let open = line(&text, "Neither found nor ruled out");
    assert!(!open.contains("Vacuum hose"), "{open}");
}

#[test]
fn before_the_customer_agrees_the_cause_is_found_all_the_same() {
    let mut events = jobs::split_hose_then_gasket().events;
    let asked = |event: &Event| matches!(event.what, What::RepairApproved { .. });
    let end = events.iter().position(asked).unwrap();
    events.truncate(end);
    let text = markdown(&page_for(&events, Edition::Customer));
    let found =
        "- **Found, and the repair is not agreed on yet:** Inlet duct or hose split or loose.";
    assert!(text.contains(found), "{text}");
    let open = line(&text, "Neither found nor ruled out");
    assert!(!open.contains("Inlet duct"), "{open}");
}

/// The second cause of a job waits for the customer: that stands first on their page, and whoever orders parts is told.
#[test]
fn an_answer_that_is_awaited_stands_first_and_on_the_order_beside_what_was_fitted() {
    let mut events = jobs::split_hose_then_gasket().events;
    let asked = |event: &Event| matches!(event.what, What::RepairApproved { .. });
    let end = events.iter().rposition(asked).unwrap();
    events.truncate(end);
    let text = markdown(&page_for(&events, Edition::Customer));
    let at = |words: &str| {
        text.find(words)
            .unwrap_or_else(|| panic!("{words}: {text}"))
    };
    let first = at("We found something, and need your answer before we repair it");
    assert!(first < at("## What you told us"), "{text}");
    at(
        "Found: Intake manifold or throttle body gasket leaking. Please tell us whether we may repair it.",
    );
    at("Repaired before: Inlet duct or hose split or loose; the test after it found more.");
    let order = markdown(&page_for(&events, Edition::Parts));
    assert!(order.contains("## Not to be ordered yet"), "{order}");
    assert!(
        order.contains("answer is awaited: Intake manifold"),
        "{order}"
    );
    assert!(order.contains("## Fitted already"), "{order}");
}

/// Where nothing shows any more the judging of what was found falls away: the test was repeated all the same.
#[test]
fn a_retest_that_fed_and_searched_again_is_the_whole_test_though_it_had_nothing_to_judge() {
    for story in [
        jobs::split_hose_then_gasket(),
        jobs::metered_by_manifold_pressure(),
    ] {
        let text = markdown(&page_for(&story.events, Edition::Customer));
        assert!(
            text.contains("we repeated the whole test from the start"),
            "{text}"
        );
        assert!(!text.contains("was not done again"), "{text}");
    }
}

/// A test that ended keeps its result where the one after it was broken off.
#[test]
fn a_last_test_that_was_left_takes_no_result_from_the_one_before() {
    let mut events = led_on(jobs::shaft_wisp_then_sensor().events);
    let all = jobs::shaft_wisp_then_sensor().events;
    let begun = all.iter().find(|event| {
        matches!(&event.what, What::FlowBegun { flow, .. } if flow == "manifold-pressure-signal")
    });
    let mut begun = begun.unwrap().clone();
    begun.seq = events.len() as u64 + 1;
    let mut left = begun.clone();
    left.id = uuid::Uuid::now_v7();
    left.seq += 1;
    left.what = What::FlowClosed {
        flow: "manifold-pressure-signal".to_owned(),
        result: Verdict::Left,
    };
    events.extend([begun, left]);
    assert_eq!(fold(&events).misfits, []);
    let text = markdown(&page_for(&events, Edition::Customer));
    assert!(
        text.contains("The last test was stopped before its end"),
        "{text}"
    );
    assert!(text.contains("So that one has no result."), "{text}");
}

#[test]
fn no_cause_is_told_in_two_ways_wherever_the_job_stands() {
    for (name, story) in jobs::all() {
        let mut found_once = false;
        for end in 1..=story.events.len() {
            let events = &story.events[..end];
            // A page is asked for where something was decided.
            if !matches!(
                events[end - 1].what,
                What::OutcomeTaken(_) | What::FlowClosed { .. } | What::RepairDone { .. }
            ) {
                continue;
            }
            let job = fold(events);
            let text = markdown(&page_for(events, Edition::Customer));
            let open = line(&text, "Neither found nor ruled out");
            let ruled_out = job.ruled_out();
            for found in job.found() {
                found_once = true;
                let cause = &found.cause;
                assert!(
                    ruled_out.iter().all(|(_, out, _)| out.id != cause.id),
                    "{name}, event {end}: {} is found and ruled out",
                    cause.id
                );
                assert!(!open.contains(&cause.name), "{name}, event {end}\n{text}");
            }
        }
        // Where nothing leaks, nothing is found.
        assert_eq!(found_once, name != "not-found-here", "{name}");
    }
}

/// A crankcase whose breather is blocked: under pressure before, a slight vacuum after.
fn crankcase() -> Story {
    Story::new(
        23,
        "QND 561",
        "Corvane Lisse 1.6, 2017",
        "oil leak, whistles",
        &[],
    )
    .fact("seal-limit", "1 kPa")
    .saved(&[], &[], "", "all ready")
    .reads(
        1,
        "data-saved: yes
             oil-level: between the marks
             crankcase-idle: 2.1
             cap-lifted: it blows or smokes
             crankcase-open: 0.1",
    )
    .reads(
        2,
        "data-saved: yes
             oil-level: between the marks
             crankcase-idle: -1.2
             cap-lifted: idle stumbles a little
             supply-limit: 0.8
             blocked-flow: 0
             float-steady: steady
             crankcase-flow: 8
             crankcase-pressure: 0.7
             crankcase-seen-at: nowhere
             idle-after: all gone
             codes-now: none came back",
    )
    .begin("crankcase-leak")
    .walk()
}

#[test]
fn the_customer_sees_the_crankcase_pressure_before_and_after() {
    let story = crankcase();
    let text = markdown(&page_for(&story.events, Edition::Customer));
    assert!(
        text.contains("Before: 2.1 kPa; After: -1.2 kPa"),
        "{:?}\n{text}",
        story.trail()
    );
}

#[test]
fn what_was_read_on_the_way_of_a_hold_is_said_to_check_it() {
    let plain = small_leak();
    let text = markdown(&page_for(&plain.events, Edition::Workshop));
    assert!(text.contains("nothing checks the curve"), "{text}");
    let mut events = Vec::new();
    for event in plain.events {
        let ends =
            matches!(&event.what, What::ReadingTaken { reading, .. } if reading == "hold-end");
        let at = event.at;
        if ends {
            for (after, value) in [("30 s", "10.5 inH2O"), ("60 s", "7.6 inH2O")] {
                let sample = Event {
                    id: uuid::Uuid::now_v7(),
                    seq: 0,
                    at,
                    who: event.who.clone(),
                    what: What::SampleTaken {
                        reading: "hold-end".to_owned(),
                        after: after.parse().unwrap(),
                        value: value.parse().unwrap(),
                    },
                };
                events.push(sample);
            }
        }
        events.push(event);
    }
    renumber(&mut events);
    let text = markdown(&page_for(&events, Edition::Workshop));
    assert!(!text.contains("nothing checks the curve"), "{text}");
    assert!(
        text.contains("what was read on the way is drawn beside the curve"),
        "{text}"
    );
    let drawn = html(&page_for(&events, Edition::Customer), Sheet::default());
    assert!(
        drawn.contains("2 values read on the way lie within"),
        "{drawn}"
    );
}

/// Numbers events anew after some were put in between. None of this job points at another by its number.
fn renumber(events: &mut [Event]) {
    for (event, seq) in events.iter_mut().zip(1..) {
        event.seq = seq;
    }
}

/// A number stands beside what it came to, and not by itself.
#[test]
fn the_running_proof_is_told_with_its_answer() {
    let text = markdown(&page_for(
        &jobs::split_hose_then_gasket().events,
        Edition::Customer,
    ));
    let proof = line(&text, "The running proof");
    assert!(
        proof.contains("Idle trim of bank 1 when covered")
            && proof.contains("The trim falls as the place is covered; this is the leak."),
        "{proof}"
    );
    for (name, story) in jobs::all() {
        let text = markdown(&page_for(&story.events, Edition::Customer));
        let found = text.split("## What we found").nth(1).unwrap_or_default();
        let found = found.split("\n## ").next().unwrap_or_default();
        for line in found.lines().filter(|line| line.starts_with("- **")) {
            assert!(
                !line.ends_with(").") || !line.contains("about "),
                "{name}: {line}"
            );
        }
    }
}

#[test]
fn what_the_technician_noted_is_told_as_that() {
    let mut story = jobs::half_way();
    story.does(Action::Note {
        place: "battery tray".to_owned(),
        note: "customer says he lost the clip himself".to_owned(),
    });
    let text = markdown(&page_for(&story.events, Edition::Customer));
    let noted = line(&text, "battery tray");
    assert!(
        noted.ends_with("The technician noted: customer says he lost the clip himself."),
        "{text}"
    );
}
