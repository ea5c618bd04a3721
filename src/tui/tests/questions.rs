//! The questions of a step: back to the one before, what may be taken over, lists of pairs, long
//! lists, and what is asked before anything is recorded.

use super::bench::{Bench, shelf, shipped};
use super::steps;
use crate::engine::event::What;
use crate::flow::answer::Answer;
use crate::flow::shelf::Shelf;
use crate::job::sqlite::SqliteStore;
use crate::tui::keys::Context;

fn pair(a: &str, b: &str) -> (crate::units::Quantity, crate::units::Quantity) {
    (a.parse().unwrap(), b.parse().unwrap())
}

fn at_pairs() -> Bench {
    let mut b = Bench::at_hold();
    b.keys("40<Enter>39<Enter>1<Enter>")
        .sees("Pressure and signal");
    b
}

#[test]
fn escape_goes_one_question_back_and_enter_keeps_what_was_answered() {
    let mut b = Bench::at_hold();
    b.keys("40<Enter>39<Enter>").sees("Where does smoke show?");
    let before = b.record().len();
    b.keys("<Esc>")
        .sees("Gauge after the hold (2 of 5)")
        .sees("answered: 39 kPa · Enter keeps it");
    b.keys("<Esc>")
        .sees("Gauge before the supply is shut (1 of 5)")
        .sees("answered: 40 kPa");
    b.keys("<Enter>")
        .sees("answered: 39 kPa")
        .keys("<Enter>")
        .sees("Where does smoke show?");
    assert_eq!(b.record().len(), before, "nothing was recorded by looking");
    // Another answer takes its place; the old one stays in the record.
    b.keys("<Esc>")
        .typed("38")
        .keys("<Enter>")
        .sees("Where does smoke show?");
    b.sees("end pressure: 38 kPa");
    assert!(
        matches!(b.last(), What::ReadingTaken { value: Answer::Quantity(q), .. } if q.to_string() == "38 kPa")
    );
    // From the first question on to the station before.
    b.keys("<Esc><Esc><Esc>").sees("Plug both ends");
}

#[test]
fn escape_among_the_facts_goes_to_the_fact_before_and_then_to_the_board() {
    let mut b = Bench::at_first_question();
    b.keys("1<Enter>").sees("Highest pressure").keys("<Esc>");
    b.sees("How is the air metered?")
        .sees("(about the vehicle; 1 of 2)")
        .sees("answered: air mass");
    b.keys("3<Enter>").sees("Highest pressure");
    assert!(
        matches!(b.last(), What::FactNoted { value: Answer::Choice(word), .. } if word == "unknown")
    );
    b.keys("<Esc><Esc>").sees("Open jobs");
}

#[test]
fn a_place_and_a_reading_left_out_can_be_gone_back_to() {
    let mut b = Bench::at_hold();
    b.keys("40<Enter>39<Enter>1<Enter><Enter>")
        .sees("What else did you see?");
    b.keys("<Esc>").sees("left out · Enter keeps it so");
    b.keys("<Esc>")
        .sees("wisp    ] hose joint")
        .sees("answered: hose joint (wisp)");
    let before = b.record().len();
    b.keys("<Enter><Enter>").sees("What else did you see?");
    assert_eq!(b.record().len(), before);
    b.keys("<Esc><Esc>1<Enter>")
        .sees("left out · Enter keeps it so");
    assert_eq!(b.record().len(), before + 1);
    // Left out once, it can be read after all.
    b.typed("50 = 2")
        .keys("<Enter>")
        .typed("60 = 2.4")
        .keys("<Enter><Enter>");
    b.sees("What else did you see?")
        .sees("sweep: 50 kPa = 2 V; 60 kPa = 2.4 V");
}

#[test]
fn each_pair_is_on_the_disk_before_the_next_is_typed() {
    let mut b = at_pairs();
    b.typed("50 = 2.05")
        .keys("<Enter>")
        .sees("The pair is saved");
    assert_eq!(
        b.last(),
        What::PairTaken {
            reading: "sweep".to_owned(),
            pair: pair("50 kPa", "2.05 V"),
            confirmed: false
        }
    );
    // Neither Esc nor leaving loses it.
    b.typed("6")
        .keys("<Esc>")
        .sees("Emptied")
        .sees("50 kPa = 2.05 V");
    b.keys("<F12><Enter>").sees("1 50 kPa = 2.05 V");
    b.keys("<Esc>")
        .sees("Where does smoke show?")
        .keys("<Enter>")
        .sees("1 50 kPa = 2.05 V");
    b.typed("61 = 2.4").keys("<Enter>").sees("2 61 kPa = 2.4 V");
    // Taken back: it stays in the record and does not count.
    b.keys("<Back>")
        .sees("[61 kPa = 2.4 V")
        .sees_not("2  61 kPa");
    assert!(matches!(b.last(), What::PairTakenBack { .. }));
    b.keys("<C-u>").typed("60 = 2.4").keys("<Enter><Enter>");
    let pairs = vec![pair("50 kPa", "2.05 V"), pair("60 kPa", "2.4 V")];
    assert!(
        matches!(b.last(), What::ReadingTaken { value: Answer::Pairs(p), confirmed: false, .. } if p == pairs)
    );
    b.keys("<F5>")
        .sees("one pair of sweep: 61 kPa = 2.4 V")
        .sees("is taken back");
}

#[test]
fn several_pasted_pairs_are_kept_together_or_not_at_all() {
    let mut b = at_pairs();
    let before = b.record().len();
    b.paste("50 = 2.05\n60 = 9\n")
        .keys("<Enter>")
        .sees("signal 9 V is unusual here (0 to 5.2 V)");
    assert_eq!(b.record().len(), before);
    b.keys("<C-u>")
        .paste("50 = 2.05\n60 = 2.4\n")
        .keys("<Enter>");
    assert_eq!(b.record().len(), before + 2);
}

#[test]
fn nine_volts_on_a_five_volt_feed_are_asked_again() {
    let mut b = at_pairs();
    b.sees("asked again outside pressure 0 to 120 kPa, signal 0 to 5.2 V");
    let before = b.record().len();
    b.typed("50 = 9")
        .keys("<Enter>")
        .sees("signal 9 V is unusual here (0 to 5.2 V): read it again");
    assert_eq!(b.record().len(), before);
    // Meant all the same: the record says that it was asked again, to the end.
    b.keys("<Enter>");
    assert!(matches!(
        b.last(),
        What::PairTaken {
            confirmed: true,
            ..
        }
    ));
    b.typed("60 = 2").keys("<Enter><Enter>");
    assert!(matches!(
        b.last(),
        What::ReadingTaken {
            confirmed: true,
            ..
        }
    ));
    // A correction is asked again as well.
    b.keys("<F4>1<Enter>")
        .typed("50 = 8; 60 = 2")
        .keys("<Enter>")
        .typed("why")
        .keys("<Enter>");
    b.sees("signal 8 V is unusual here");
}

#[test]
fn what_a_step_of_the_same_flow_asks_again_is_read_anew() {
    let mut b = Bench::at_hold();
    b.typed("15")
        .keys("<Enter>")
        .typed("14")
        .keys("<Enter><Enter><Enter><Enter><Enter><Enter>");
    b.sees("earlier in this test it was 15 kPa; read it anew here");
    let before = b.record().len();
    b.keys("<Enter>").sees("type an answer first");
    assert_eq!(b.record().len(), before, "Enter takes nothing over");
    // What was seen stands in no list before somebody has looked again.
    b.keys("40<Enter>39<Enter>").sees("[ ] hose joint");
}

#[test]
fn a_number_of_the_complaint_is_taken_over_into_another_flow_and_a_list_is_not() {
    let mut b = Bench::at_hold();
    b.keys("40<Enter>39<Enter>1<Enter>")
        .typed("50 = 2")
        .keys("<Enter>")
        .typed("60 = 2.4")
        .keys("<Enter><Enter>");
    b.keys("<C-f>1<Enter>")
        .sees("18 % in this test, in Hose hold on the bench · Enter takes it over");
    b.keys("<Enter>")
        .sees("Pressure and signal")
        .sees("read it anew here");
    let before = b.record().len();
    b.keys("<Enter>").sees("type a pair first");
    assert_eq!(b.record().len(), before);
}

#[test]
fn enter_held_down_accepts_no_caution() {
    let mut b = steps_at_blocked_tip();
    let before = b.record().len();
    b.keys("<Enter><Enter><Enter><Enter>")
        .sees("Read it, then press 1.");
    assert_eq!(b.record().len(), before);
    // A digit held down accepts one, and not the next.
    b.keys("11111").sees("Read it, then press 2.");
    assert_eq!(b.record().len(), before + 1);
    b.keys("2").sees("> Press 3").keys("3");
    assert_eq!(b.record().len(), before + 3);
    b.sees("Gauge with the tip blocked");
}

#[test]
fn what_passes_a_limit_stops_before_a_wait_or_anything_else_is_asked_about() {
    let mut b = steps_at_blocked_tip();
    b.hurries = true;
    b.keys("123").sees("Gauge with the tip blocked");
    b.keys("8<Enter>").sees("STOP: a limit was passed");
    assert!(matches!(b.last(), What::LimitPassed { .. }));
    let cut = b.record();
    let mut cut = cut.iter();
    assert!(!cut.any(|what| matches!(what, What::WaitCutShort { .. })));
}

fn steps_at_blocked_tip() -> Bench {
    let shelved = shipped().find("intake-leak").unwrap();
    let mut events = steps::standing_at(shelved, shelved.flow.step("blocked-tip").unwrap());
    let last = events
        .iter()
        .rposition(|what| matches!(what, What::StepSkipped { .. }))
        .unwrap();
    events.truncate(last + 1);
    events.insert(
        last,
        What::CautionAccepted {
            caution: "running-engine".to_owned(),
        },
    );
    Bench::on_job(events)
}

#[test]
fn in_a_long_list_the_whole_number_is_typed() {
    let mut store = SqliteStore::in_memory().unwrap();
    for n in 0..12 {
        crate::tui::tests::board::put_job(&mut store, &format!("KT {n}"));
    }
    let mut b = Bench::with(store, shelf());
    b.sees("> 1  Job 12").sees("1-12 number");
    b.keys("12").sees("> 12 Job 1 ");
    // A number that the list does not have picks nothing, least of all its first digit.
    b.keys("<Down><Up>3").sees("> 3 Job 10").keys("<Up>28");
    b.sees("There is no 28 here: pick 1 to 12.")
        .sees("> 2 Job 11");
    // A digit waits a moment for a second one, and no longer.
    b.keys("2").wait(3).keys("1").sees("> 1  Job 12");
    b.keys("0").sees("> 10 Job 3 ").keys("<Up>");
    b.keys("11")
        .sees("> 11 Job 2 ")
        .keys("<Enter>")
        .sees("Ines Harrow worked on this job last")
        .keys("<Enter>")
        .sees("Which test answers this?");
}

#[test]
fn in_a_long_list_of_places_the_number_goes_there_and_space_marks() {
    let places: Vec<String> = (1..=12).map(|n| format!("place {n}")).collect();
    let text = include_str!("../../../tests/fixtures/flows/bench-hold.yaml").replace(
        "places: [hose joint, end tank, throttle shaft]",
        &format!(
            "places: [hose joint, end tank, throttle shaft, {}]",
            places.join(", ")
        ),
    );
    let mut shelf = Shelf::default();
    shelf.put("long.yaml", &text);
    let mut b = Bench::with(SqliteStore::in_memory().unwrap(), shelf);
    b.new_job();
    b.keys("<Enter><F6>2<Enter>1<Enter>140<Enter>118<Enter><Enter><Enter>140<Enter>39<Enter>");
    assert_eq!(b.driver.model.context(), Context::Places);
    b.resize(80, 40)
        .sees("Type a place's number, then Space")
        .sees("1-15 number");
    b.keys("14")
        .sees("> 14 [            ] place 11")
        .keys("  ")
        .sees("> 14 [** steady  ] place 11");
    b.keys("<Enter>");
    let Some(What::ReadingTaken {
        value: Answer::Places(places),
        ..
    }) = b.record().pop()
    else {
        panic!("{:?}", b.last());
    };
    assert_eq!(places.into_keys().collect::<Vec<_>>(), ["place 11"]);
}

#[test]
fn what_a_job_was_opened_with_is_corrected_and_the_old_stays_in_the_record() {
    let mut b = Bench::new();
    b.new_job();
    b.keys("<F4>1<Enter>")
        .sees("[XK 42 TRY")
        .sees("idles rough when cold");
    b.keys("<C-u>").keys("<F6>").sees("! write something here");
    b.typed("XK 42 TRI")
        .keys("<Tab><Tab><Tab><Tab><C-u>")
        .typed("idles rough when hot");
    b.keys("<F6>")
        .sees("Corrected; what stood there stays")
        .sees("XK 42 TRI")
        .sees("idles rough when hot");
    b.keys("<F5>")
        .sees("job opened: XK 42 TRY, \"idles rough when cold\"")
        .sees("plate: XK 42 TRI (was XK 42 TRY); complaint: idles rough when hot (was idles rough when cold)");
    // The board and the search know it by both.
    b.keys("<F12>").sees("XK 42 TRI").sees_not("XK 42 TRY");
    b.keys("/try").sees("1 found").sees("XK 42 TRI");
    // Unchanged, nothing is recorded.
    b.keys("<Esc><Enter><F4>1<Enter><F6>")
        .sees("nothing was changed");
}

#[test]
fn a_long_notice_is_read_in_whole() {
    let mut b = Bench::at_hold();
    b.resize(60, 20).break_store(true).keys("40<Enter>");
    b.sees("make room, then enter the last answer again (all before it is kept)");
}

#[test]
fn back_from_a_flow_that_was_only_just_picked_leads_to_the_others() {
    let mut b = Bench::at_first_question();
    b.keys("<Esc>").sees("Begin another flow");
    b.keys("<Esc>").sees_not("Begin another flow");
    b.keys("1<Enter><Esc><Esc><Esc>")
        .sees_not("Begin another flow");
}

#[test]
fn a_long_list_of_symptoms_is_cut_nowhere_at_any_width() {
    let mut b = Bench::new();
    b.keys("n<Tab><Tab><Tab><Tab><Tab>");
    for columns in 60..=160 {
        b.resize(columns, 40);
        let screen = b.screen();
        assert_eq!(
            super::pictures::cut_rows(&screen),
            [""; 0],
            "{columns}:\n{screen}"
        );
    }
}

#[test]
fn a_symptom_typed_in_part_is_the_one_that_is_meant_or_is_asked_about() {
    let store = SqliteStore::in_memory().unwrap();
    let mut b = Bench::with(store, shipped().clone());
    b.keys("n<Tab><Tab><Tab><Tab><Tab>").typed("fuel sm");
    b.keys("<Tab>")
        .sees("fuel smell")
        .sees("\"fuel sm\" was taken for \"fuel smell\"");
    b.keys("<Up><C-u>").typed("hissing");
    b.keys("<Tab>")
        .sees("14 hissing noise or 15 hissing noise under load?")
        .sees("Sent once more it is kept");
    b.keys("<Up><C-u>").typed("purrs");
    b.keys("<Tab>").sees("no test looks for it");
}

#[test]
fn in_a_form_up_and_down_go_from_field_to_field_and_left_and_right_pick_a_word() {
    let mut b = Bench::new();
    b.keys("s");
    let picked = |b: &Bench| {
        let Some(crate::tui::model::Over::Form(form)) = b.driver.model.overs.last() else {
            panic!("no form");
        };
        (form.at, form.word("Units"))
    };
    while b.driver.model.context() != crate::tui::keys::Context::Words {
        b.keys("<Down>");
    }
    let (at, word) = picked(&b);
    b.keys("<Down><Up>");
    assert_eq!(picked(&b), (at, word), "nothing was changed on the way");
    b.keys("<Right>");
    assert_ne!(picked(&b).1, word);
    b.keys("<Left>");
    assert_eq!(picked(&b).1, word);
}
