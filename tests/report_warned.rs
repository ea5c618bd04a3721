//! What whoever takes the car must know stands on every paper that leaves with it, whenever it is written.

use crate::jobs;
use crate::page::{car, page_for};
use ruleout::engine::event::{Event, What};
use ruleout::report::edition::Edition;
use ruleout::report::{Sheet, html, markdown};

fn text(events: &[Event], edition: Edition) -> String {
    markdown(&page_for(events, edition))
}

/// A brake booster was found to leak, and the customer has not answered yet.
fn booster_before_the_answer() -> Vec<Event> {
    let mut events = jobs::metered_by_manifold_pressure().events;
    let agreed = |event: &Event| matches!(event.what, What::RepairApproved { .. });
    let at = events.iter().position(agreed).expect("it was agreed to");
    events.truncate(at);
    events
}

fn holds(text: &str, words: &[&str]) {
    for words in words {
        assert!(text.contains(words), "{words}\n{text}");
    }
}

#[test]
fn a_brake_fault_is_warned_of_before_the_customer_has_answered() {
    let events = booster_before_the_answer();
    holds(
        &text(&events, Edition::Customer),
        &[
            "**Brake booster or its hose leaking:** Found, and not repaired yet.",
            "The car is not to be driven before the brakes have been checked.",
        ],
    );
}

#[test]
fn the_label_says_that_the_car_is_not_to_be_driven() {
    let label = text(&booster_before_the_answer(), Edition::Label);
    holds(
        &label,
        &["Brake booster or its hose leaking", "is not to be driven"],
    );
    let proved = text(&jobs::metered_by_manifold_pressure().events, Edition::Label);
    assert!(!proved.contains("not to be driven"), "{proved}");
}

#[test]
fn what_the_test_has_put_on_the_car_stands_on_page_and_label() {
    let events = jobs::half_way().events;
    for edition in [Edition::Customer, Edition::Label] {
        holds(
            &text(&events, edition),
            &["The car is still set up for the test"],
        );
    }
    for edition in [Edition::Customer, Edition::Label] {
        holds(
            &text(&events, edition),
            &["It must not be started or driven before the workshop has put it back."],
        );
    }
}

#[test]
fn papers_of_one_job_say_one_thing_about_a_drive_that_is_to_come() {
    let events = jobs::shaft_wisp_then_sensor().events;
    for edition in [Edition::Customer, Edition::Workshop, Edition::Label] {
        let text = text(&events, edition);
        holds(&text, &["assed in the workshop", "still to come"]);
        assert!(!text.contains("PROVED"), "{text}");
    }
    let customer = text(&events, Edition::Customer);
    assert!(!customer.contains("the complaint is gone"), "{customer}");
    holds(
        &text(&events, Edition::Customer),
        &[
            "Gone in the workshop; whether it stays away on the road is still to be tried.",
            "Drive the car as you usually do",
        ],
    );
}

/// The gasket is renewed, and the test repeated after it leads on to the sensor.
fn gasket_did_not_cure_it() -> Vec<Event> {
    let trims =
        "idle-airflow: 3.2\nidle-trim: 18\nidle-manifold: 34\nfast-airflow: 10.9\nfast-trim: 6\n";
    let first = format!(
        "{trims}open-flow: 14.5\nopen-pressure: 14\nseen-at: manifold gasket = heavy\ncovered-flow: 1.4\ncovered-pressure: 14"
    );
    let second = format!("{trims}open-flow: 1.4\nopen-pressure: 14\nseen-at: nowhere");
    let mut events = car(21)
        .saved(&["P0171"], &[], "", "")
        .reads(1, &first)
        .reads(2, &second)
        .begin("intake-short")
        .walk_to("rest")
        .events;
    let begun = |event: &Event| matches!(event.what, What::FlowBegun { .. });
    let at = events.iter().rposition(begun).expect("it led on");
    events.truncate(at);
    events
}

#[test]
fn a_repair_that_did_not_cure_it_is_said_to_be_one() {
    let events = gasket_did_not_cure_it();
    let page = text(&events, Edition::Customer);
    holds(
        &page,
        &[
            "Repaired, but the trouble is not cured yet: another test is needed",
            "the car did not pass: there is another cause besides, or it was not this one.",
        ],
    );
    assert!(
        !page.contains("No test repeated from start to end has shown yet"),
        "{page}"
    );
    holds(&text(&events, Edition::Label), &["not cured by it"]);
}

#[test]
fn nothing_found_is_not_nothing_left_to_test() {
    let page = text(&jobs::not_found_here().events, Edition::Customer);
    holds(&page, &["**Not tested:** Everything but: "]);
    assert!(!page.contains("no repair was declined"), "{page}");
}

#[test]
fn an_order_says_where_it_was_seen_and_how_to_come_by_the_number() {
    let order = text(&jobs::split_hose_then_gasket().events, Edition::Parts);
    holds(
        &order,
        &["not noted: read it on the car", "Seen at: intake gasket"],
    );
    let none = text(&jobs::not_found_here().events, Edition::Parts);
    assert!(!none.contains("Ordered by"), "{none}");
}

#[test]
fn a_car_that_stays_is_not_signed_for() {
    let page = page_for(&jobs::half_way().events, Edition::Customer);
    let page = html(&page, Sheet::A4);
    assert!(!page.contains("class=\"sign\""), "{page}");
}

#[test]
fn what_the_driver_must_know_of_an_unsettled_complaint_is_left_out_for_no_other_danger() {
    let page = text(&booster_before_the_answer(), Edition::Customer);
    let at = |words: &str| {
        page.find(words)
            .unwrap_or_else(|| panic!("{words}\n{page}"))
    };
    let ban = at("is not to be driven before the brakes have been checked");
    assert!(ban < at("Also, and still no permission to drive"), "{page}");
    assert!(
        ban < at("keep off fast roads until this is settled"),
        "{page}"
    );
}

#[test]
fn each_place_that_was_judged_has_its_own_share_on_the_page() {
    // The shaft is covered first and explains little; the hose is covered next and explains it.
    let mut events = jobs::half_way_begun();
    events = events
        .reads(
            1,
            "covered-place: throttle shaft
             covered-flow: 9.4
             covered-pressure: 3.2
             places-left: yes
             covered-place: vacuum hose
             covered-flow: 1.6
             covered-pressure: 3.3
             places-left: no",
        )
        .walk_to("running-proof");
    let page = text(&events.events, Edition::Customer);
    holds(
        &page,
        &[
            "So it accounts for about 4.9 % ",
            "its opening is about 100 % ",
        ],
    );
}
