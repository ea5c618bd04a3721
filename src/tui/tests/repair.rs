//! From the cause to the proof: approval, repair, the whole test again.

use super::bench::Bench;
use crate::engine::event::{PartWas, Verdict, What};

fn at_repair() -> Bench {
    let mut b = Bench::at_hold();
    b.joint();
    b.keys("<Enter>");
    b
}

/// Picks the item of a list by its number.
fn picks(b: &mut Bench, item: &str) {
    let screen = b.screen();
    let line = screen.lines().find(|line| line.contains(item)).unwrap();
    let number: String = line.chars().filter(char::is_ascii_digit).take(1).collect();
    b.keys(&format!("{number}<Enter>"));
}

#[test]
fn nothing_is_repaired_before_the_customer_agrees_and_nothing_is_proved_before_the_retest() {
    let mut b = at_repair();
    b.sees("Hose joint loose or split")
        .sees("Ask the customer")
        .sees("refit or renew the joint");
    b.keys("<Enter>")
        .sees("Ask the customer")
        .keys("1<Enter>")
        .typed("Ms Finch, by telephone")
        .keys("<Enter>");
    assert!(matches!(b.last(), What::RepairApproved { by, .. } if by == "Ms Finch, by telephone"));
    b.sees("Agreed by Ms Finch")
        .keys("<Enter>")
        .typed("new clamp")
        .keys("<Enter><Enter>")
        .sees("! pick one");
    // A digit that picks nothing says so.
    b.keys("7").sees("There is no 7 here: pick 1 to 3.");
    b.keys("0").sees("There is no 0 here: pick 1 to 3.");
    b.keys("1").sees("[1 bad]").keys("<Enter>");
    assert!(matches!(
        b.last(),
        What::RepairDone {
            part_was: PartWas::Bad,
            ..
        }
    ));
    b.sees("Reset the trims and drive it warm.")
        .sees("One leak can hide another")
        .keys("<Enter>");
    b.sees("CAUTION: Eye protection").keys("1");
    b.sees("Test 2: again from the start")
        .sees("before the repair: 18 %");
    // What came with the car is no code of the car as it is now.
    b.keys("<F8>")
        .sees("Save codes")
        .sees("empty if none came back")
        .sees_not("[P0");
}

#[test]
fn the_second_test_shows_the_first_beside_it_and_ends_proved() {
    let mut b = at_repair();
    b.keys("1<Enter>")
        .typed("Ms Finch")
        .keys("<Enter><Enter>")
        .typed("new clamp")
        .keys("<Enter>1<Enter><Enter>1");
    b.typed("2")
        .keys("<Enter><Enter><Enter>1")
        .sees("before the repair: 40 kPa")
        .typed("40")
        .keys("<Enter>");
    b.sees("before the repair: 38 kPa")
        .typed("40")
        .keys("<Enter>");
    b.sees("before the repair: hose joint (wisp)")
        .keys("<Enter><Enter><Enter><Enter>");
    b.resize(140, 40)
        .sees("Read now (before the repair)")
        .sees("2 %  (18 %)");
    b.keys("<Enter>")
        .sees("cause found, repaired and proved by the retest");
    assert!(matches!(
        b.last(),
        What::FlowClosed {
            result: Verdict::Proved,
            ..
        }
    ));
}

#[test]
fn a_declined_repair_is_noted_and_the_car_may_go() {
    let mut b = at_repair();
    b.keys("2<Enter>")
        .typed("Ms Finch, too dear")
        .keys("<Enter>")
        .sees("Declined by Ms Finch, too dear");
    b.sees("The customer agrees after all");
    b.keys("1<Enter>").confirms_all_off();
    b.typed("not repaired at your wish")
        .keys("<Enter>")
        .sees("Handed over.");
    b.sees("Hose joint loose or split: declined by Ms Finch, too dear");
}

#[test]
fn a_good_part_is_no_proof_and_what_was_noted_of_the_repair_can_be_corrected() {
    let mut b = at_repair();
    b.keys("1<Enter>")
        .typed("Ms Finch")
        .keys("<Enter><Enter>")
        .typed("new clamp")
        .keys("<Enter>2<Enter>");
    b.sees("The part taken out looked good: this is not proved to be the cause");
    b.keys("<F4>")
        .sees("done: new clamp; the part looked good")
        .sees("agreed by: Ms Finch");
    // The work stands after the readings; its form begins with what stands there.
    picks(&mut b, "done: new clamp");
    b.sees("[2 good]")
        .keys("<Enter>1<Enter>")
        .typed("wrong digit")
        .keys("<Enter>");
    assert!(matches!(
        b.last(),
        What::RepairCorrected {
            part_was: Some(PartWas::Bad),
            ..
        }
    ));
    b.sees_not("The part taken out looked good");
}

#[test]
fn a_correction_that_takes_the_way_to_the_repair_away_holds_the_repair_up() {
    let mut b = at_repair();
    b.sees("Ask the customer").keys("<F4>");
    picks(&mut b, "seen at");
    b.typed("nowhere");
    b.keys("<Enter>").typed("misread").keys("<Enter>");
    b.sees("no longer says");
    b.keys("1<Enter>")
        .sees("before anything else, go back there")
        .sees_not("Who, and how");
}
