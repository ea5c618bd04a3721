//! The board, the forms, and a store that fails.

use super::bench::Bench;
use uuid::Uuid;

use crate::engine::event::{Event, Opening, Vehicle, What};
use crate::job::sqlite::SqliteStore;
use crate::job::store::Store;
use crate::tui::driver::Left;
use crate::tui::message::Act;
use crate::tui::model::{Demo, Screen};

#[test]
fn an_empty_board_says_what_to_do() {
    let mut b = Bench::new();
    b.sees("open a job for it").sees("What the keys do");
}

#[test]
fn a_job_is_opened_by_typing_and_stands_at_the_choice_of_a_flow() {
    let mut b = Bench::new();
    b.new_job();
    let What::JobOpened(opening) = b.last() else {
        panic!("{:?}", b.last());
    };
    assert_eq!(opening.vehicle.plate, "XK 42 TRY");
    assert_eq!(opening.vehicle.odometer, "120400 km");
    assert_eq!(opening.symptoms, ["whistle"]);
    assert_eq!(opening.codes, ["P0171"]);
    assert_eq!(opening.bay, "2");
    b.sees("Job 1")
        .sees("Which test answers this?")
        .sees("answers P0171, rough idle, whistle");
}

#[test]
fn the_name_in_the_form_is_the_name_in_the_record() {
    let mut b = Bench::new();
    b.keys("n")
        .typed("T 1")
        .keys("<Tab><Tab><Tab><Tab>")
        .typed("no pull");
    b.keys("<Up><Up><Up><Up><Up><C-u>")
        .typed("Ada Moss")
        .keys("<F6>");
    let open = b.driver.model.open.as_ref().unwrap();
    assert_eq!(open.events[0].who, "Ada Moss");
    b.keys("<F3>")
        .typed("hose")
        .keys("<Enter>")
        .typed("cracked")
        .keys("<Enter>");
    assert_eq!(
        b.driver.model.open.as_ref().unwrap().events[1].who,
        "Ada Moss"
    );
}

#[test]
fn mistakes_stand_beside_their_field_and_nothing_typed_is_lost() {
    let mut b = Bench::new();
    b.keys("n")
        .typed("T 1")
        .keys("<F6>")
        .sees("! write something here");
    b.typed("stalls?")
        .keys("<Tab><Tab>")
        .typed("P01")
        .keys("<F6>");
    b.sees("P01: a code is like P0171");
    assert!(b.driver.model.open.is_none());
    b.keys("<Esc>").sees("is kept, and stands there");
    b.keys("n").sees("T 1").sees("stalls?").sees("P01");
    b.typed("06").keys("<F6>").sees("Job 1");
    b.keys("<F12>n").sees_not("stalls?");
}

#[test]
fn numbers_of_symptoms_become_words_as_the_field_is_left() {
    let mut b = Bench::new();
    b.keys("n<Down><Down><Down><Down><Down>")
        .typed("2, rattles")
        .keys("<Tab>")
        .sees("whistle, rattles");
}

#[test]
fn a_search_finds_jobs_that_were_handed_over() {
    let mut b = Bench::new();
    b.new_job();
    b.keys("<C-e>")
        .typed("nothing found")
        .keys("<Enter>")
        .sees("Handed over");
    b.keys("<Esc>");
    b.keys("n")
        .typed("T 2")
        .keys("<Tab><Tab><Tab><Tab>")
        .typed("whine")
        .keys("<F6><F12>");
    b.sees("Open jobs  1").sees("T 2").sees_not("XK 42 TRY");
    b.keys("/")
        .typed("xk 42")
        .sees("1 found")
        .sees("XK 42 TRY")
        .sees_not("T 2 ");
    b.typed(" nowhere-else")
        .sees("0 found")
        .sees("No job has all of these words");
    b.keys("<Esc>").sees("T 2");
    b.keys("a").sees("All jobs  2").sees("handed over");
}

#[test]
fn a_search_follows_the_typing_letter_by_letter_through_everything_that_jobs_say() {
    let mut b = Bench::at_hold();
    b.joint();
    b.remark("lift 3 squeaks").keys("<F12>");
    for plate in ["KT 7", "KT 88"] {
        b.keys("n")
            .typed(plate)
            .keys("<Tab><Tab><Tab><Tab>")
            .typed("whines uphill")
            .keys("<F6><F12>");
    }
    b.keys("/").sees("3 found");
    b.typed("k").sees("3 found");
    b.typed("t").sees("2 found").sees_not("XK 42 TRY");
    b.typed(" 8").sees("1 found").sees("KT 88");
    b.keys("<Back><Back>").sees("2 found");
    // Each word counts, in any order and anywhere in the record.
    for (query, plate, not) in [
        ("uphill kt", "KT 7", "XK 42"),
        ("P0171", "XK 42 TRY", "KT 7"),
        ("squeaks 42", "XK 42 TRY", "KT 7"),
    ] {
        b.keys("<C-u>").typed(query).sees(plate).sees_not(not);
    }
    b.keys("<Enter>").sees("Job 1 · XK 42 TRY");
}

#[test]
fn a_job_goes_on_where_it_stopped() {
    let mut b = Bench::at_hold();
    b.typed("40").keys("<Enter>").sees("Gauge after the hold");
    b.keys("<F12>")
        .sees("Hold the pressure")
        .sees("waits for: Gauge after the hold")
        .sees("01:00 left");
    b.keys("1<Enter>")
        .sees("Gauge after the hold")
        .sees("set pressure: 40 kPa");
    b.wait(7_200).keys("<F12>").sees("TIME WAS UP 1 h ago");
}

#[test]
fn what_cannot_be_stored_is_not_shown_as_done_and_stays_typed() {
    let mut b = Bench::at_hold();
    let before = b.record().len();
    b.typed("40")
        .break_store(true)
        .keys("<Enter>")
        .sees("is full")
        .sees("[40")
        .sees("Gauge before");
    assert_eq!(b.record().len(), before);
    b.break_store(false)
        .keys("<Enter>")
        .sees("Gauge after the hold");
    b.break_store(true)
        .keys("<F3>")
        .typed("hose")
        .keys("<Enter>")
        .typed("cracked")
        .keys("<Enter>");
    b.sees("is full").sees("cracked");
    b.break_store(false)
        .keys("<Enter>")
        .sees("The finding is noted");
    b.keys("<F3>").sees_not("cracked");
}

#[test]
fn control_c_leaves_from_everywhere() {
    for keys in [
        "",
        "/",
        "n",
        "1<Enter>",
        "1<Enter>?",
        "1<Enter><F9>",
        "1<Enter><F5>",
    ] {
        let mut b = Bench::at_hold();
        b.keys("<F12>").keys(keys);
        b.left.clear();
        b.keys("<C-c>");
        assert_eq!(b.left, [Left::Quit], "{keys}");
    }
}

#[test]
fn the_record_is_words_and_scrolls() {
    let mut b = Bench::at_hold();
    b.remark(&format!("{}.", "long ".repeat(100).trim_end()))
        .keys("<F5>")
        .sees("caution read and accepted: Smoke into the intake")
        .sees("KA flow begun");
    b.resize(80, 20)
        .keys("<Home>")
        .sees("KA Kim Archer")
        .sees("KA job opened: XK 42 TRY")
        .sees_not("long long.");
    assert_eq!(b.driver.model.screen, Screen::Record(0));
    b.keys("<End><PgDn><PgDn>").sees("Smoke into the intake");
    // What cannot be scrolled is not counted either, or the way back would seem stuck.
    b.keys("<Up>").sees("↓").keys("<Esc>").sees("Gauge before");
}

#[test]
fn a_handover_by_mistake_is_taken_back_from_its_own_screen() {
    let mut b = Bench::new();
    b.new_job();
    b.keys("<C-e>")
        .typed("told")
        .keys("<Enter>")
        .sees("Handed over");
    b.keys("3<Enter>")
        .sees("Open the job again")
        .typed("wrong key")
        .keys("<Enter>");
    b.sees("The job is open again");
}

#[test]
fn no_single_letter_ends_a_job() {
    for row in crate::tui::keys::all().filter(|row| row.act == Act::HandOver) {
        let plain = row.keys.iter().filter(|press| !press.ctrl).count();
        assert_eq!(
            plain, 0,
            "a letter typed by mistake would hand the car over"
        );
    }
}

/// Puts a job that was just opened into a store.
pub fn put_job(store: &mut SqliteStore, plate: &str) -> Uuid {
    let opening = Opening {
        vehicle: Vehicle {
            plate: plate.to_owned(),
            ..Vehicle::default()
        },
        complaint: "rough idle".to_owned(),
        ..Opening::default()
    };
    let event = Event {
        id: Uuid::now_v7(),
        seq: 1,
        at: "2026-03-02T09:00:00Z".parse().unwrap(),
        who: "Ines Harrow".to_owned(),
        what: What::JobOpened(opening),
    };
    let job = Uuid::now_v7();
    store.append(job, 0, &[event]).unwrap();
    job
}

#[test]
fn what_was_typed_for_one_car_does_not_show_at_another() {
    let mut b = Bench::new();
    b.new_job();
    b.keys("<C-k>").typed("smells of fuel").keys("<Esc>");
    b.sees("is kept, and stands there");
    b.keys("<C-b>");
    b.new_job();
    b.keys("<C-k>")
        .sees_not("smells of fuel")
        .keys("<Esc><C-b>");
    b.keys("2<Enter>");
    if !b.screen().contains("Job 1") {
        b.keys("<C-b>1<Enter>");
    }
    b.keys("<C-k>").sees("smells of fuel");
}

#[test]
fn open_jobs_stand_by_bay_with_what_they_wait_for_and_one_key_goes_to_the_next() {
    let mut b = Bench::at_hold();
    b.keys("<F12>n")
        .typed("T 9")
        .keys("<Tab><Tab><Tab><Tab>")
        .typed("whistles");
    b.keys("<Tab><Tab><Tab>").typed("lift").keys("<F6><F12>");
    b.sees("Bay 2")
        .sees("Bay lift")
        .sees("waits for: Gauge before the supply is shut");
    b.sees("waits for: the choice of a test");
    b.keys("1<Enter>")
        .sees("Gauge before")
        .keys("<F11>")
        .sees("T 9")
        .keys("<F11>")
        .sees("Gauge before");
    // The order of the settings goes before the alphabet.
    let (mut b, _folder) = super::settings::with_settings(b, "bays: [lift, 2]\n");
    b.keys("<F12>");
    let screen = b.screen();
    assert!(screen.find("Bay lift") < screen.find("Bay 2"), "{screen}");
}

#[test]
fn an_empty_board_offers_a_new_job_and_the_demo() {
    let mut b = Bench::new();
    b.driver.model.offers_demo = true;
    b.left.clear();
    b.sees("n  A car has come in")
        .sees("d  Only looking?")
        .keys("d");
    assert_eq!(b.left, [Left::Demo]);
    b.new_job();
    b.keys("<F12>").sees_not("Only looking?");
}

#[test]
fn before_and_after_a_repair_stand_side_by_side() {
    let mut b = super::keys::screen("second test");
    b.keys("7<Enter><F5>")
        .sees("Before the repair, and after")
        .sees("trim")
        .sees("18 %")
        .sees("down");
    b.resize(140, 40).sees("Before the repair, and after");
}

#[test]
fn the_board_of_demo_jobs_says_so_and_q_leads_back_where_they_were_come_to_from() {
    let mut b = Bench::at_hold();
    b.keys("<F12>").sees_not("invented");
    for (demo, left, words) in [
        (Demo::ByItself, Left::Quit, "q leave"),
        (Demo::BesideOwn, Left::Demo, "q own jobs"),
    ] {
        b.driver.model.demo = demo;
        b.left.clear();
        b.resize(140, 40);
        b.sees("Open demo jobs  1   invented, and gone as you leave")
            .sees(words);
        b.keys("q");
        assert_eq!(b.left, [left]);
        b.left.clear();
        // This one leaves the program, wherever one is.
        b.keys("<C-c>");
        assert_eq!(b.left, [Left::Quit]);
    }
}

#[test]
fn a_car_entered_among_the_demo_jobs_is_not_thrown_away_unasked() {
    let mut b = Bench::new();
    b.driver.model.demo = Demo::BesideOwn;
    b.keys("n")
        .sees("what is entered here is thrown away")
        .keys("<Esc>")
        .sees_not("What you typed");
    b.new_job();
    b.keys("<F12>");
    b.left.clear();
    b.keys("q").sees("thrown away with them: XK 42 TRY");
    assert_eq!(b.left, []);
    // Anything else takes it back.
    b.keys("<Down>q").sees("thrown away with them");
    assert_eq!(b.left, []);
    b.keys("q");
    assert_eq!(b.left, [Left::Demo]);
}
