//! A hold: its clock, samples on the way, what they come to, its end.

use super::bench::Bench;
use crate::engine::event::What;
use crate::tui::driver::Left;

/// A hold that runs, with two samples.
pub fn running() -> Bench {
    let mut b = Bench::at_hold();
    b.samples = true;
    b.keys("40<Enter>").wait(10).keys("39.4<Enter>").wait(15);
    b.keys("38.8<Enter>").wait(5);
    b
}

/// The same when its time is up.
pub fn over() -> Bench {
    let mut b = running();
    b.wait(31);
    b
}

#[test]
fn the_clock_begins_as_the_start_is_read_and_not_before() {
    let mut b = Bench::at_hold();
    b.samples = true;
    b.wait(300).sees("01:00 from the start");
    assert!(!b.driver.model.is_ticking());
    b.keys("40<Enter>").sees("01:00 left of 01:00").wait(20);
    b.sees("00:40 left of 01:00").sees("Until the time is up");
    assert!(b.driver.model.is_ticking());
}

#[test]
fn what_is_typed_while_it_runs_is_a_sample_and_counts_as_no_reading() {
    let mut b = running();
    let samples: Vec<String> = b
        .record()
        .iter()
        .filter_map(|what| match what {
            What::SampleTaken { after, value, .. } => Some(format!("{after}: {value}")),
            _ => None,
        })
        .collect();
    assert_eq!(samples, ["10 s: 39.4 kPa", "25 s: 38.8 kPa"]);
    let open = b.driver.model.open.as_ref().unwrap();
    assert!(
        open.job
            .readings
            .iter()
            .all(|t| t.reading != "end-pressure")
    );
    b.sees("Pressure kept")
        .sees("if it goes on like this")
        .sees("is at least 90 %");
    b.keys("<F5>")
        .sees("sample before end pressure: 38.8 kPa after 25 s");
}

#[test]
fn the_last_sample_can_be_taken_back() {
    let mut b = running();
    b.keys("<Back>")
        .sees("The sample is taken back")
        .sees("kPa at 10 s");
    b.keys("<Back>").sees("Type the gauge now and then");
    b.keys("<Back>").sees("Type the gauge now and then");
}

#[test]
fn a_sample_can_be_taken_back_after_the_time_is_up() {
    let mut b = running();
    b.keys("<C-w><C-w>").sees("TIME IS UP");
    b.keys("<Back>")
        .sees("The sample is taken back")
        .sees("kPa at 10 s");
}

#[test]
fn a_sample_above_the_start_is_asked_about_and_said_on_the_screen() {
    let mut b = Bench::at_hold();
    b.samples = true;
    b.keys("40<Enter>").wait(10).keys("41<Enter>");
    b.sees("that is more than the 40 kPa it began with");
    assert!(!matches!(b.last(), What::SampleTaken { .. }));
    b.keys("<Enter>").sees("It stands above its start");
    assert!(matches!(b.last(), What::SampleTaken { .. }));
}

#[test]
fn a_sample_above_the_limit_stops_the_step_like_any_reading() {
    let mut b = Bench::at_hold();
    b.samples = true;
    b.keys("40<Enter>").wait(5);
    // The end has no limit of its own in this flow; the start has.
    b.keys("<Esc>")
        .keys("150<Enter>")
        .sees("STOP: a limit was passed");
}

#[test]
fn at_the_end_the_bell_rings_once_and_the_row_says_so() {
    let mut b = running();
    b.left.clear();
    b.wait(31)
        .sees("THE TIME IS UP: READ NOW")
        .sees("TIME IS UP: read now");
    assert_eq!(b.left, [Left::Bell]);
    b.wait(2);
    assert_eq!(b.left, [Left::Bell]);
    b.keys("38<Enter>")
        .sees("Where does smoke show?")
        .sees("end pressure: 38 kPa");
}

#[test]
fn a_key_of_the_clock_that_has_nothing_to_time_says_so_and_writes_nothing() {
    let mut b = running();
    b.wait(31).sees("TIME IS UP: read now");
    let record = b.record();
    b.keys("<C-w>")
        .sees("The time is up already.")
        .sees("TIME IS UP: read now");
    assert_eq!(b.record(), record);
    b.keys("38<Enter>").sees("Where does smoke show?");
    let record = b.record();
    for key in ["<C-w>", "<C-t>"] {
        b.keys(key).sees("Nothing is timed here.");
        assert_eq!(b.record(), record);
    }
}

#[test]
fn one_slip_of_the_finger_ends_no_wait() {
    let mut b = running();
    b.keys("<C-w>")
        .sees("of the time are left here")
        .sees("once more if another clock has timed it");
    assert!(
        matches!(b.last(), What::SampleTaken { .. }),
        "{:?}",
        b.last()
    );
}

#[test]
fn what_is_typed_late_says_so_in_the_record() {
    let mut b = running();
    b.wait(600).keys("38<Enter><Enter>");
    b.keys("<F5>").sees("after the time of the hold was up");
}

#[test]
fn what_is_typed_as_the_time_is_up_says_nothing() {
    let mut b = running();
    let left = b.driver.model.timer().map_or(0, |timer| timer.left);
    b.wait(left + 3).keys("38<Enter>");
    assert!(
        matches!(b.last(), What::ReadingTaken { .. }),
        "{:?}",
        b.last()
    );
    b.keys("<F5>").sees_not("the time of the hold was up");
}

#[test]
fn somebody_with_a_clock_of_their_own_ends_it_by_a_key() {
    let mut b = running();
    b.keys("<C-w><C-w>")
        .sees("TIME IS UP: read now")
        .keys("38<Enter>");
    assert!(
        matches!(b.last(), What::ReadingTaken { .. }),
        "{:?}",
        b.last()
    );
}

#[test]
fn a_clock_that_is_begun_again_forgets_the_samples_before() {
    let mut b = running();
    b.wait(1)
        .keys("<C-t>")
        .sees("01:00 left of 01:00")
        .sees("Type the gauge now and then");
}

#[test]
fn the_verdict_is_so_far_until_it_cannot_turn() {
    let mut b = Bench::at_hold();
    b.samples = true;
    b.keys("40<Enter>")
        .wait(2)
        .keys("39<Enter>")
        .sees("? Pressure kept is at least 90 %: cannot tell yet");
    b.wait(20)
        .keys("20<Enter>")
        .sees("= Pressure kept is at least 90 %: no");
    let mut b = Bench::at_hold();
    b.samples = true;
    b.keys("40<Enter>")
        .wait(50)
        .keys("40<Enter>")
        .sees("~ Pressure kept is at least 90 %, so far: yes");
}

#[test]
fn samples_are_there_when_the_job_is_opened_again() {
    let mut b = running();
    b.keys("<F12>1<Enter>").sees("kPa at 25 s");
}

#[test]
fn a_step_without_a_hold_keeps_its_plain_timer() {
    let mut b = Bench::at_first_step();
    b.keys("18<Enter>");
    assert!(b.driver.model.going().is_none());
}

#[test]
fn looking_at_another_step_and_coming_back_stops_no_clock() {
    let mut b = running();
    b.keys("<Left>").wait(5).keys("<Right>");
    b.sees("00:25 left of 01:00").sees("kPa at 25 s");
    // A remark, or a correction of what was typed elsewhere, touches nothing on the car.
    b.keys("<Left>").remark("phone").wait(5).keys("<Right>");
    b.sees("00:20 left of 01:00");
    // Nor does it begin the clock of a step that only waits.
    let mut b = Bench::at_warm_idle();
    b.wait(40).sees("left of");
    let whole = b.driver.model.timer().unwrap().whole;
    b.keys("<Left>").wait(20).keys("<Right>");
    let timer = b.driver.model.timer().unwrap();
    assert_eq!((timer.left, timer.waits), (whole - 60, false));
}

#[test]
fn a_hold_whose_end_came_while_somebody_looked_elsewhere_asks_whether_it_was_read_in_time() {
    let mut b = running();
    b.keys("<Left>")
        .wait(200)
        .keys("<Right>")
        .sees("TIME WAS UP");
    b.keys("38<Enter>").sees("the time was up 170 s ago");
}

#[test]
fn a_hold_that_was_left_to_do_something_else_begins_anew() {
    let mut b = running();
    // The step before is done once more: the space was opened for it.
    b.keys("<Left>").wait(200).keys("<Enter>");
    b.sees("The step was left before the hold was over")
        .sees("answered: 40 kPa")
        .sees("01:00 from the start");
    assert!(!b.driver.model.is_ticking());
    b.keys("<Enter>")
        .sees("01:00 left of 01:00")
        .sees("Type the gauge now and then");
    assert!(
        matches!(b.last(), What::ReadingTaken { reading, .. } if reading == "set-pressure"),
        "{:?}",
        b.last()
    );
    b.wait(61).keys("38<Enter>").sees("Where does smoke show?");
}

#[test]
fn the_clock_runs_on_in_the_record_when_the_program_is_begun_again() {
    let mut b = running();
    b.left.clear();
    b.keys("<C-q>");
    assert_eq!(b.left, [Left::Quit]);
    b.keys("<F12>1<Enter>").sees("00:30 left of 01:00");
    b.keys("<C-t>").wait(10);
    assert_eq!(b.last(), What::ClockBegunAgain);
    b.keys("<F12>1<Enter>").sees("00:50 left of 01:00");
    b.keys("<C-w><C-w>").sees("TIME IS UP: read now");
    assert_eq!(b.last(), What::TimedElsewhere);
    b.keys("<F5>")
        .sees("the clock of the step begins from here")
        .sees("timed by another clock")
        .keys("<Esc>");
    b.keys("<F12>1<Enter>").sees("TIME IS UP: read now");
}

#[test]
fn the_board_says_what_is_left_and_asks_what_the_walk_asks() {
    let mut b = running();
    b.keys("<F12>").sees("Hold the pressure").sees("00:30 left");
    assert!(b.driver.model.is_ticking());
    b.wait(10).sees("00:20 left");
    // A program that was killed knows nothing of it but what is on the disk.
    b.driver.model.elsewhere.clear();
    b.left.clear();
    b.keys("/<Esc>").wait(20).sees("THE TIME IS UP");
    assert_eq!(b.left, [Left::Bell]);
    b.wait(5).sees("TIME WAS UP");
    assert!(!b.driver.model.is_ticking());
    b.keys("<Enter><Left><Enter><F12>")
        .sees("waits for: Gauge before the supply is shut");
    b.keys("<Enter>").sees("Gauge before the supply is shut");
}

#[test]
fn a_time_that_was_up_a_while_ago_says_when() {
    let mut b = running();
    b.wait(31).sees("TIME IS UP: read now");
    b.wait(600)
        .sees("TIME WAS UP at")
        .sees_not("TIME IS UP: read now");
}

#[test]
fn an_outcome_taken_before_all_is_read_says_what_is_not_and_records_it() {
    let mut b = Bench::at_hold();
    b.keys("40<Enter><F6>")
        .sees("Not all is read here: still to be read: end pressure, seen at.");
    b.keys("2<Enter>")
        .sees("still to be read: end pressure, seen at.")
        .sees("The record says that it was taken without.")
        .typed("cooler is wet with oil")
        .keys("<Enter>");
    let What::OutcomeTaken(taken) = b.last() else {
        panic!("{:?}", b.last());
    };
    assert_eq!(taken.unread, ["end-pressure", "seen-at"]);
    b.keys("<F5>")
        .sees("against \"still to be read: end pressure, seen at\"");
}

#[test]
fn the_end_of_a_hold_in_another_bay_is_said_once_wherever_one_is() {
    let mut b = running();
    b.keys("<F12>n")
        .typed("T 9")
        .keys("<Tab><Tab><Tab><Tab>")
        .typed("whistles")
        .keys("<F6>")
        .sees("Which test answers this?");
    // Nothing moves on screen meanwhile; only the end is waited for.
    assert!(!b.driver.model.is_ticking());
    let end = b.driver.model.next_end().unwrap();
    assert_eq!((end - b.driver.model.now).num_seconds(), 30);
    b.left.clear();
    b.wait(29).sees_not("THE TIME IS UP");
    b.wait(1).sees("BAY 2: THE TIME IS UP: ").wait(5);
    assert_eq!(b.left, [Left::Bell]);
    assert_eq!(b.driver.model.next_end(), None);
    b.keys("<F11>").sees("TIME IS UP: read now").wait(5);
    assert_eq!(b.left, [Left::Bell]);
}

#[test]
fn the_end_of_a_hold_behind_the_record_rings_once() {
    let mut b = running();
    b.left.clear();
    b.keys("<F5>").wait(31).sees("THE TIME IS UP: ");
    b.keys("<Esc>").wait(5).sees("TIME IS UP: read now");
    assert_eq!(b.left, [Left::Bell]);
}

#[test]
fn the_end_that_is_typed_late_is_asked_about_before_it_counts_as_the_end_of_the_hold() {
    let mut b = running();
    let ends = |b: &Bench| {
        let open = b.driver.model.open.as_ref().unwrap();
        let mut readings = open.job.readings.iter();
        readings.find(|t| t.reading == "end-pressure").cloned()
    };
    b.wait(30 + 45)
        .keys("37<Enter>")
        .sees("the time was up 45 s ago");
    assert!(ends(&b).is_none());
    // Another value is asked about anew.
    b.keys("36<Enter>").sees("the time was up 45 s ago");
    assert!(ends(&b).is_none());
    b.keys("<Enter>");
    let end = ends(&b).unwrap();
    assert!(!end.confirmed, "it is not an unusual value");
    // Whoever types what was read in time is not held up.
    let mut b = running();
    b.wait(30 + 3).keys("38<Enter>");
    assert!(ends(&b).is_some());
}

/// At the warm idle of the shipped intake flow, whose step waits 60 s, one second after it began.
fn early() -> Bench {
    let mut b = Bench::at_warm_idle();
    b.hurries = true;
    b.wait(1);
    b
}

#[test]
fn an_answer_before_the_time_is_over_is_asked_about_once_and_recorded() {
    let mut b = early();
    let before = b.record().len();
    b.keys("1<Enter>")
        .sees("of the wait are left")
        .sees("Is fuelling in closed loop?");
    assert_eq!(b.record().len(), before);
    b.keys("<Enter>").sees("purge");
    let record = b.record();
    let [cut, read] = &record[before..] else {
        panic!("{record:?}");
    };
    assert!(
        matches!(cut, What::WaitCutShort { left } if left.si() > 50.0),
        "{cut:?}"
    );
    assert!(matches!(read, What::ReadingTaken { .. }), "{read:?}");
    // Once is enough at one stay.
    b.keys("1<Enter>");
    assert!(
        matches!(b.last(), What::ReadingTaken { reading, .. } if reading == "purge-line"),
        "{:?}",
        b.last()
    );
    b.keys("<F5>").sees("wait cut short: 59 s of it were left");
}

/// What was asked before the clock was begun is no consent to what is asked after it.
#[test]
fn a_clock_begun_anew_asks_anew() {
    let mut b = early();
    b.keys("1<Enter>").sees("of the wait are left");
    b.keys("<C-t>").wait(1);
    b.keys("1<Enter>").sees("of the wait are left");
    assert_eq!(b.last(), What::ClockBegunAgain);
}

#[test]
fn what_was_said_of_a_wait_goes_with_it() {
    // As the clock is begun,
    let mut b = early();
    b.keys("1<Enter>")
        .sees("of the wait are left")
        .keys("<C-t>");
    b.sees("The clock begins from now")
        .sees_not("of the wait are left");
    // and as the time is up, with nobody at the keys.
    b.keys("1<Enter>").sees("of the wait are left");
    b.wait(61).sees_not("of the wait are left");
}

#[test]
fn what_was_said_of_a_clock_that_waits_goes_as_it_is_started() {
    let mut b = super::steps::at("intake-leak", "pressurise");
    b.hurries = true;
    if b.screen().contains("It is read: go on") {
        b.keys("<Enter>");
    }
    b.sees("Ctrl-T starts 01:30").keys("<C-w>");
    b.sees("The clock was not started yet");
    b.keys("1<Enter>").sees("the clock was not started");
    b.keys("<C-t>")
        .sees_not("not started")
        .sees("begun at 10:00")
        .sees("Ctrl-T: begins anew");
}

#[test]
fn a_wait_that_began_by_itself_says_so_and_how_it_is_begun() {
    let mut b = early();
    b.sees("left of 01:00")
        .sees("runs since 10:00")
        .sees("Ctrl-T: begins now");
    b.wait(20).keys("<C-t>");
    b.sees("01:00 left of 01:00")
        .sees("begun at 10:00")
        .sees_not("by itself");
}

#[test]
fn who_waits_or_has_timed_it_otherwise_is_asked_nothing() {
    for wait in [true, false] {
        let mut b = early();
        if wait {
            b.wait(60);
        } else {
            b.keys("<C-w><C-w>");
        }
        b.keys("1<Enter>");
        assert!(
            matches!(b.last(), What::ReadingTaken { .. }),
            "{:?}",
            b.last()
        );
    }
}

#[test]
fn a_clock_that_somebody_else_began_runs_on_in_sight_of_the_cautions() {
    let mut b = Bench::at_hold();
    b.keys("40<Enter>").wait(20).sees("00:40 left of 01:00");
    b.driver.model.who = "Ines Harrow".to_owned();
    b.wait(5).sees("CAUTION").sees("00:35 left of 01:00");
    accepts_all(&mut b);
    b.sees_not("CAUTION").sees("00:35 left of 01:00");
}

/// Accepts the cautions that stand before the step.
fn accepts_all(b: &mut Bench) {
    for _ in 0..9 {
        if b.screen().contains("CAUTION") {
            b.keys(&format!("{}", b.driver.model.caution_number()));
        }
    }
}

#[test]
fn the_clock_of_a_plain_step_does_not_begin_anew_as_another_accepts_its_cautions() {
    let mut b = early();
    b.wait(20);
    let left = b.driver.model.timer().unwrap().left;
    b.driver.model.who = "Ines Harrow".to_owned();
    b.wait(4).sees("CAUTION").sees("left of 01:00");
    accepts_all(&mut b);
    b.sees_not("CAUTION");
    assert_eq!(b.driver.model.timer().unwrap().left, left - 4);
}
