//! Answers: typed, chosen, marked, taken over, refused, corrected.

use super::bench::Bench;
use crate::engine::event::What;
use crate::flow::answer::{Answer, Strength};

fn quantity(text: &str) -> Answer {
    Answer::Quantity(text.parse().unwrap())
}

fn value_of(what: &What) -> &Answer {
    match what {
        What::ReadingTaken { value, .. } | What::FactNoted { value, .. } => value,
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_bare_number_is_in_the_units_shown_and_another_unit_may_follow() {
    let mut b = Bench::at_hold();
    b.sees("kPa")
        .sees("asked again outside 5 to 120 kPa")
        .sees("Never above 140 kPa")
        .sees("Read at the tee.");
    b.typed("6 psi").keys("<Enter>");
    assert_eq!(*value_of(&b.last()), quantity("6 psi"));
    b.typed("39").keys("<Enter>");
    assert_eq!(*value_of(&b.last()), quantity("39 kPa"));
}

#[test]
fn an_implausible_value_is_asked_again_and_the_same_once_more_counts() {
    let mut b = Bench::at_hold();
    let before = b.record().len();
    b.typed("130").keys("<Enter>").sees("is unusual here");
    assert_eq!(b.record().len(), before);
    // Typing goes on with a new value, and that is judged anew.
    b.typed("131")
        .sees("[131")
        .keys("<Enter>")
        .sees("131 kPa is unusual here");
    assert_eq!(b.record().len(), before);
    b.keys("<Enter>").sees("Gauge after the hold");
    assert!(matches!(
        b.last(),
        What::ReadingTaken {
            confirmed: true,
            ..
        }
    ));
}

#[test]
fn an_implausible_fact_is_asked_again_too() {
    let mut b = Bench::at_first_question();
    b.keys("1<Enter>")
        .typed("14")
        .keys("<Enter>")
        .sees("is unusual here")
        .typed("140")
        .keys("<Enter>");
    assert_eq!(*value_of(&b.last()), quantity("140 kPa"));
}

#[test]
fn a_value_in_the_wrong_unit_is_refused_beside_the_field() {
    let mut b = Bench::at_hold();
    b.typed("4 mm")
        .keys("<Enter>")
        .sees("here a pressure is asked for")
        .sees("[4 mm");
    b.keys("<Left>")
        .keys("<Back>")
        .typed("kP")
        .keys("<End><Back>")
        .typed("a")
        .sees("[4 kPa");
}

#[test]
fn a_reading_typed_once_more_at_a_stop_does_not_clear_it() {
    for keys in ["14<Enter>", "2.5<Enter>", "7<Enter>"] {
        let mut b = Bench::at_hold();
        b.keys("150<Enter>").sees("STOP: a limit was passed");
        b.keys(keys).sees("STOP: a limit was passed");
    }
    // However slowly it is typed.
    let mut b = Bench::at_hold();
    b.keys("150<Enter>1").wait(3).keys("4<Enter>");
    b.sees("STOP: a limit was passed");
    b.keys("1<Enter>").sees_not("STOP: a limit was passed");
}

#[test]
fn a_passed_limit_stops_everything_until_it_is_cleared() {
    let mut b = Bench::at_hold();
    b.typed("150")
        .keys("<Enter>")
        .sees("STOP: a limit was passed")
        .sees("150 kPa")
        .sees("140 kPa");
    b.sees("Let the pressure down now")
        .sees("Smoke into the intake");
    assert!(matches!(b.last(), What::LimitPassed { .. }));
    for keys in [
        "<Enter>", "<Esc>", "<F3>", "<F7>", "<F9>", "<Left>", "<Right>", "<C-f>", "<C-e>",
    ] {
        b.keys(keys).sees("STOP: a limit was passed");
        assert!(matches!(b.last(), What::LimitPassed { .. }), "{keys}");
    }
    b.keys("1")
        .sees("STOP")
        .keys("<Enter>")
        .sees("The limit is cleared")
        .sees("Gauge before");
    assert_eq!(b.last(), What::LimitCleared);
    b.keys("<F5>")
        .sees("LIMIT PASSED: set pressure is 150 kPa, above 140 kPa");
}

#[test]
fn places_go_round_by_digit_and_others_can_be_typed() {
    let mut b = Bench::at_hold();
    b.typed("40")
        .keys("<Enter>")
        .typed("39")
        .keys("<Enter>")
        .sees("Where does smoke show?");
    b.keys("1113")
        .sees("heavy   ] hose joint")
        .sees("wisp    ] throttle shaft");
    b.keys("2222").sees("[            ] end tank");
    b.keys("a")
        .typed("air box lid")
        .keys("<Enter>3<Enter>")
        .sees("heavy   ] air box lid");
    b.keys("<Down><Up> ")
        .sees("wisp    ] end tank")
        .keys("<Enter>");
    let Answer::Places(places) = value_of(&b.last()).clone() else {
        panic!("{:?}", b.last());
    };
    let expected = [
        ("air box lid", Strength::Heavy),
        ("end tank", Strength::Wisp),
        ("hose joint", Strength::Heavy),
        ("throttle shaft", Strength::Wisp),
    ];
    assert_eq!(places, expected.map(|(p, s)| (p.to_owned(), s)).into());
}

#[test]
fn that_nothing_shows_is_asked_once_more() {
    let mut b = Bench::at_hold();
    b.typed("40")
        .keys("<Enter>")
        .typed("39")
        .keys("<Enter><Enter>");
    b.sees("Enter once more if you looked everywhere");
    assert_eq!(*value_of(&b.last()), quantity("39 kPa"));
    b.keys("1")
        .sees_not("once more if")
        .keys("111<Enter><Enter>");
    assert_eq!(*value_of(&b.last()), Answer::Places([].into()));
}

#[test]
fn pairs_are_added_one_a_line_and_taken_back() {
    let mut b = Bench::at_hold();
    b.typed("40")
        .keys("<Enter>")
        .typed("39")
        .keys("<Enter>1<Enter>")
        .sees("Pressure and signal");
    b.typed("50 : 2")
        .keys("<Enter>")
        .sees("write pressure = signal")
        .keys("<C-u>");
    b.typed("50 = 2.05")
        .keys("<Enter>")
        .sees("50 kPa = 2.05 V")
        .sees("1 more at least");
    b.keys("<Enter>").sees("2 pairs are needed at least");
    b.typed("60 = 2.4")
        .keys("<Enter>")
        .keys("<Back>")
        .sees("[60 kPa = 2.4 V");
    b.keys("<C-u>")
        .typed("61 kPa = 2400 mV")
        .keys("<Enter><Enter>");
    let pair = |a: &str, b: &str| (a.parse().unwrap(), b.parse().unwrap());
    let expected = vec![pair("50 kPa", "2.05 V"), pair("61 kPa", "2400 mV")];
    assert_eq!(*value_of(&b.last()), Answer::Pairs(expected));
}

#[test]
fn what_may_be_left_out_is_left_out_by_enter() {
    let mut b = Bench::at_hold();
    b.typed("40")
        .keys("<Enter>")
        .typed("39")
        .keys("<Enter>1<Enter>");
    b.sees("may be left out")
        .keys("<Enter>")
        .sees("What else did you see?");
    let left_out = |reading: &str| What::ReadingLeftOut {
        reading: reading.to_owned(),
    };
    assert_eq!(b.last(), left_out("sweep"));
    b.keys("<Enter>").sees("The readings say");
    assert_eq!(b.last(), left_out("remark"));
    b.sees("sweep: left out");
    // It is on the disk: opened again, nothing is asked twice.
    b.keys("<F12><Enter>").sees("The readings say");
    b.keys("<F5>").sees("left out: sweep");
}

#[test]
fn what_cannot_be_told_is_an_answer_with_its_reason() {
    let mut b = Bench::at_hold();
    b.keys("<Enter>").sees("type an answer first");
    b.typed("gauge flutters")
        .keys("<F2>")
        .sees("It could not be told")
        .sees("[gauge flutters");
    // Back to the question, with nothing recorded and what was typed still there.
    b.keys("<Esc>").sees("[gauge flutters").keys("<F2><Enter>");
    b.sees("could not tell: gauge flutters");
    assert_eq!(
        *value_of(&b.last()),
        Answer::CouldNotTell("gauge flutters".to_owned())
    );
    let mut b = Bench::at_hold();
    b.keys("40<Enter>38<Enter>");
    let before = b.record().len();
    b.keys("t<Enter>").sees("! write something here");
    assert_eq!(b.record().len(), before, "not without a reason");
    b.typed("too bright").keys("<Enter>");
    assert_eq!(
        *value_of(&b.last()),
        Answer::CouldNotTell("too bright".to_owned())
    );
}

#[test]
fn a_correction_keeps_the_old_answer_and_says_what_it_changed() {
    let mut b = Bench::at_hold();
    b.joint();
    b.keys("<Enter>").sees("[repair]");
    b.keys("e")
        .sees("seen at: hose joint")
        .sees("metering: air mass")
        .keys("1<Enter>");
    b.typed("2 = heavy")
        .keys("<Enter><Enter>")
        .sees("! write something here");
    b.typed("looked again").keys("<Enter>").sees("Corrected");
    b.sees("no longer says \"It shows at a joint\" but \"It shows at the cooler\"");
    // Once the walk has moved on, one line is left of it; a repeated test leaves it behind.
    let mut on = Bench::at_hold();
    on.joint();
    on.keys("<Enter>1<Enter>").typed("owner").keys("<Enter>");
    on.keys("<Enter>").typed("clamp").keys("<Enter>1<Enter>");
    on.keys("e1<Enter>").typed("2 = heavy");
    on.keys("<Enter><Enter>")
        .typed("looked again")
        .keys("<Enter>");
    on.sees("no longer says");
    on.keys("<Left><Left>")
        .sees("\"Hold the pressure\" is judged otherwise now")
        .sees_not("no longer says")
        .keys("<Right><Right>");
    on.keys("<Enter>")
        .sees("Test 2")
        .sees_not("judged otherwise");
    b.keys("<C-g>")
        .sees("Hold the pressure")
        .sees("The readings say: It shows at the cooler");
    b.keys("<F5>")
        .sees("corrected: seen at is end tank (heavy), was hose joint (wisp)");
    b.sees("(corrected later to end tank (heavy))");
    b.keys("<Esc><Enter>")
        .sees("End tank cracked")
        .sees_not("no longer says");
}

#[test]
fn a_correction_is_checked_like_an_answer() {
    let mut b = Bench::at_hold();
    b.typed("40")
        .keys("<Enter>")
        .keys("<F4>1<Enter>")
        .typed("4 mm")
        .keys("<Enter>")
        .typed("why")
        .keys("<Enter>");
    b.sees("here a pressure is asked for")
        .keys("<C-u>")
        .typed("4")
        .keys("<F6>")
        .sees("4 kPa is unusual here");
    b.keys("<F6>").sees("Corrected").sees("set pressure: 4 kPa");
}

#[test]
fn a_fact_is_corrected_as_well() {
    let mut b = Bench::at_first_step();
    b.keys("<F4>1<Enter>")
        .sees("1 air mass, 2 manifold pressure, 3 unknown")
        .typed("3")
        .keys("<Enter>");
    assert_eq!(*value_of(&b.last()), Answer::Choice("unknown".to_owned()));
}

#[test]
fn nobody_is_offered_could_not_tell_where_the_flow_hangs_on_a_fact() {
    let mut b = Bench::at_first_question();
    b.sees_not("F2 could not tell")
        .keys("<F2>")
        .sees("How is the air metered?");
    b.keys("1<Enter>").sees("Highest pressure");
}

#[test]
fn a_word_for_nothing_is_no_place() {
    let mut b = Bench::at_hold();
    b.keys("40<Enter>38<Enter>a").typed("none");
    b.keys("<Tab>2<Enter>").keys("<Enter>");
    b.sees("`none` is no place: write nowhere");
}

#[test]
fn a_limit_fact_is_not_said_to_be_kept_by_a_second_enter_that_does_not_keep_it() {
    let mut b = Bench::at_hold_with("never above: 140 kPa", "never above: top-pressure");
    b.keys("<F4>3<Enter>")
        .sees("top pressure: 140 kPa until now");
    let before = b.record().len();
    b.keys("<C-u>").typed("400").keys("<F6>");
    for _ in 0..2 {
        b.sees("it is a limit that guards this test")
            .sees_not("Enter once more keeps it");
        b.keys("<F6>");
        assert_eq!(b.record().len(), before);
    }
}

#[test]
fn a_correction_above_the_limit_stops_at_once_and_nothing_is_said_of_keeping_it() {
    let mut b = Bench::at_hold();
    b.keys("40<Enter><F4>1<Enter>")
        .typed("150")
        .keys("<Tab>")
        .typed("misread the scale")
        .keys("<F6>");
    b.sees("STOP: a limit was passed");
}

#[test]
fn a_limit_inside_the_usual_range_is_said_in_one_line_with_what_is_asked_again() {
    let mut b = Bench::at_hold_with("never above: 140 kPa", "never above: 100 kPa");
    b.sees("Never above 100 kPa: there the step stops; below 5 kPa it is asked again")
        .sees_not("asked again outside");
    b.keys("4<Enter>").sees("4 kPa is unusual here");
}

#[test]
fn codes_saved_before_a_run_are_no_answer_to_which_there_are_after_it() {
    let mut b = Bench::at_hold_with("ask: What else did you see?", "ask: Codes after this run");
    b.keys("40<Enter>38<Enter>1<Enter><Enter>")
        .sees("Codes after this run")
        .sees("Saved before this step, 10:00: P0171; pending: none. Read the codes anew before you answer: F8");
    b.keys("<F8><C-u>").typed("P0455").keys("<F6>");
    b.sees("Saved at this step: P0455; pending: none.");
}

#[test]
fn places_left_empty_are_asked_about_by_name_once() {
    let mut b = Bench::at_hold();
    b.is_asked = true;
    b.keys("40<Enter>38<Enter>1<Enter>")
        .sees("Left empty: end tank, throttle shaft. Enter once more if you looked there too");
    // One more is marked: the rest is asked about anew.
    b.keys("2<Enter>")
        .sees("Left empty: throttle shaft.")
        .keys("<Enter>");
    let What::ReadingTaken { value, .. } = b.last() else {
        panic!("{:?}", b.last());
    };
    let Answer::Places(places) = value else {
        panic!("{value:?}");
    };
    assert_eq!(places.len(), 2);
}
