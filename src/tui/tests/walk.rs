//! The walk: facts, cautions, steps, suggestions, the way back and forward.

use super::bench::{Bench, shipped};
use crate::engine::event::{Suggested, What};
use crate::flow::target::Target;
use crate::tui::driver::Left;
use crate::tui::files::Places;
use crate::tui::message::Act;
use crate::tui::model::Then;

#[test]
fn saving_the_codes_comes_first_and_can_be_done_at_any_time() {
    let mut b = Bench::new();
    b.new_job();
    b.sees("The codes are not saved yet")
        .keys("<Enter>")
        .sees("[P0171");
    b.keys("<Tab>")
        .typed("p0300 P0301")
        .keys("<F6>")
        .sees("are saved")
        .sees_not("not saved yet");
    let What::CodesNoted(codes) = b.last() else {
        panic!("{:?}", b.last());
    };
    assert_eq!(codes.stored, ["P0171"]);
    assert_eq!(codes.pending, ["P0300", "P0301"]);
    let mut b = Bench::at_hold();
    b.keys("<F8>").sees("Save codes").sees("P0171");
}

#[test]
fn no_number_moves_under_the_finger_as_the_codes_are_saved() {
    let mut b = Bench::new();
    b.driver.model.shelf = shipped().clone();
    b.new_job();
    let numbers = |b: &Bench| -> Vec<Then> {
        let ways = b.driver.model.ways();
        ways.into_iter().map(|item| item.then).collect()
    };
    let before = numbers(&b);
    let picked = |b: &Bench| {
        let at = b.driver.model.open.as_ref().unwrap().at.unwrap();
        b.driver.model.ways()[at].clone()
    };
    assert_eq!(picked(&b).then, Then::Do(Act::Codes));
    // A code that nobody had named yet, and that another flow answers.
    b.keys("<Enter><C-u>")
        .typed("P0402 P0403 P0404")
        .keys("<F6>");
    let first = b.driver.model.ways()[0].label.clone();
    assert!(first.starts_with("[saved] "), "{first}");
    assert_eq!(numbers(&b), before);
    // What fits best by now is picked, and says so where it stands.
    let best = picked(&b);
    assert_eq!(best.then, Then::Begin("recirculation-valve".to_owned()));
    assert!(
        best.detail
            .starts_with("fits best by what is saved now: answers P0402, P0403, P0404"),
        "{best:?}"
    );
    // On the next visit nobody has a finger on a number yet.
    b.keys("<F12><Enter>");
    let anew = numbers(&b);
    assert_eq!(anew[0], Then::Do(Act::Codes));
    assert_eq!(anew[1], best.then);
}

#[test]
fn facts_then_cautions_then_the_step() {
    let mut b = Bench::at_first_question();
    b.sees("How is the air metered?")
        .keys("<Enter>")
        .sees("How is the air metered?");
    b.keys("2<Enter>")
        .sees("Highest pressure")
        .typed("140")
        .keys("<Enter>");
    b.sees("CAUTION: Eye protection")
        .sees("The vehicle maker's procedure");
    b.sees("Source: common practice")
        .keys("<Enter><Enter>")
        .sees("Read it, then press 1")
        .keys("2")
        .sees("Read it, then press 1")
        .keys("1");
    b.sees("Step 1 of 3")
        .sees("[symptom]")
        .sees("Warm idle, everything switched off");
    let facts = b
        .record()
        .into_iter()
        .filter(|w| matches!(w, What::FactNoted { .. }))
        .count();
    assert_eq!(facts, 2);
    assert!(b.record().contains(&What::CautionAccepted {
        caution: "eye-protection".to_owned()
    }));
}

#[test]
fn a_step_without_questions_shows_what_to_do_and_where_it_leads() {
    let mut b = Bench::at_first_step();
    b.typed("18")
        .keys("<Enter>")
        .sees("on to: Plug")
        .keys("<Enter>");
    b.sees("Plug both ends")
        .sees("What fools people:")
        .sees("close off: compressor outlet");
    b.sees("supply: regulated").sees("on to: Hold the pressure");
}

#[test]
fn the_suggestion_says_why_and_enter_follows_it() {
    let mut b = Bench::at_hold();
    b.joint();
    b.sees("The readings say: It shows at a joint")
        .sees("95 % (92 to 99 %)");
    b.sees("repair: Hose joint loose or split");
    b.keys("w")
        .sees("when seen at is \"hose joint\": yes")
        .sees("when seen at is \"end tank\": no");
    b.keys("<Esc><Enter>").sees("[repair]");
    let What::OutcomeTaken(taken) = b.last() else {
        panic!("{:?}", b.last());
    };
    assert_eq!(taken.suggested, Suggested::Outcome("joint".to_owned()));
    assert_eq!(
        (taken.go, taken.reason),
        (Target::Repair("hose-joint".to_owned()), None)
    );
}

#[test]
fn another_outcome_needs_a_reason_and_the_record_keeps_it() {
    let mut b = Bench::at_hold();
    b.joint();
    b.keys("o")
        .sees("Take another outcome")
        .keys("2<Enter>")
        .sees("repair: End tank cracked");
    b.keys("<Enter>").sees("! write something here");
    b.typed("the joint was wet from outside")
        .keys("<Enter>")
        .sees("End tank cracked");
    let What::OutcomeTaken(taken) = b.last() else {
        panic!("{:?}", b.last());
    };
    assert_eq!(taken.outcome.as_deref(), Some("tank"));
    assert_eq!(
        taken.reason.as_deref(),
        Some("the joint was wet from outside")
    );
    b.keys("<F5>")
        .sees("against \"It shows at a joint\", because the joint was wet");
}

#[test]
fn a_reading_that_makes_the_step_not_valid_leads_at_once_where_the_author_says() {
    let mut b = Bench::at_hold();
    b.typed("15").keys("<Enter>");
    b.sees("Not valid:")
        .sees("Too low to judge")
        .sees("ask this step again");
    b.keys("<Enter>")
        .sees("Gauge before the supply is shut")
        .sees("earlier in this test it was 15 kPa");
}

#[test]
fn a_value_too_close_to_a_limit_is_not_a_coin_toss() {
    let mut b = Bench::at_hold();
    b.typed("40")
        .keys("<Enter>")
        .typed("36")
        .keys("<Enter><Enter><Enter><Enter><Enter>");
    b.sees("Unsure:")
        .sees("Too close to the limit; hold it again");
}

#[test]
fn back_and_forward_lose_nothing() {
    let mut b = Bench::at_hold();
    b.typed("40").keys("<Enter>").sees("Gauge after the hold");
    b.keys("<Left>")
        .sees("Plug both ends")
        .keys("<Left>")
        .sees("So far: trim: 18 %");
    // Nothing was done meanwhile: the hold runs on, and what was read stands there.
    b.keys("<Right><Right>")
        .sees("Gauge after the hold")
        .sees("set pressure: 40 kPa");
    b.keys("<Right>").sees("has not been further than this");
    b.keys("<Left><Left><Left>")
        .sees("this is where the walk began");
    // Esc goes through the questions: the last one, then to where the walk began.
    b.keys("<Esc>")
        .sees("answered: 18 % · Enter keeps it")
        .keys("<Esc>")
        .sees("Open jobs");
}

#[test]
fn escape_first_empties_what_is_half_typed() {
    let mut b = Bench::at_hold();
    b.typed("4")
        .keys("<Left><Esc>")
        .sees("Emptied")
        .sees("Gauge before");
    b.keys("<Esc>").sees("Plug both ends");
}

#[test]
fn a_step_is_skipped_with_a_reason() {
    let mut b = Bench::at_first_step();
    b.keys("<F7>")
        .typed("customer waits")
        .keys("<Enter>")
        .sees("Plug both ends");
    assert!(matches!(b.last(), What::StepSkipped { reason, .. } if reason == "customer waits"));
}

#[test]
fn where_the_way_hangs_on_a_step_a_skip_asks_where_to_go_on() {
    let mut b = Bench::at_hold();
    b.keys("<F7>")
        .sees("Skip the step: where does it go on?")
        .sees("on to: Plug");
    b.keys("2<Enter>").sees("The walk goes on to Plug.");
    b.typed("the gauge is lent out").keys("<Enter>");
    let What::StepSkipped { step, go, reason } = b.last() else {
        panic!("{:?}", b.last())
    };
    assert_eq!(
        (step.as_str(), reason.as_str()),
        ("hold", "the gauge is lent out")
    );
    assert_eq!(go, Target::Step("plug".to_owned()));
}

#[test]
fn findings_and_remarks_are_noted_without_leaving_the_step() {
    let mut b = Bench::at_hold();
    b.keys("<F3>")
        .typed("air box")
        .keys("<Enter>")
        .typed("lid cracked")
        .keys("<Enter>");
    assert_eq!(
        b.last(),
        What::FindingNoted {
            place: "air box".to_owned(),
            note: "lid cracked".to_owned()
        }
    );
    b.keys("<C-k>")
        .typed("lift 3 is broken")
        .keys("<Enter>")
        .sees("Gauge before");
    assert_eq!(
        b.last(),
        What::Remark {
            text: "lift 3 is broken".to_owned()
        }
    );
}

#[test]
fn a_timer_counts_down_and_rings_once() {
    let mut b = Bench::at_hold();
    b.keys("40<Enter>");
    b.sees("01:00 left of 01:00").wait(20).sees("00:40 left");
    assert!(b.driver.model.is_ticking());
    b.left.clear();
    b.wait(41).sees("TIME IS UP");
    b.wait(5).wait(5);
    assert_eq!(b.left, [Left::Bell]);
    assert!(!b.driver.model.is_ticking());
    b.keys("<C-t>")
        .sees("01:00 left")
        .wait(60)
        .sees("TIME IS UP");
    assert_eq!(b.left, [Left::Bell, Left::Bell]);
    // A wait that was over before the job was opened again rings nobody.
    b.keys("<F12>")
        .wait(90)
        .keys("<Enter>")
        .sees("TIME WAS UP at");
    assert_eq!(b.left.len(), 2);
}

#[test]
fn the_wait_begins_once_the_start_is_read_however_long_the_cautions_took() {
    let mut b = Bench::at_first_step();
    b.typed("18")
        .keys("<Enter><Enter><Enter>")
        .sees("CAUTION: Smoke into the intake");
    b.wait(300).keys("1").wait(300).keys("40<Enter>");
    b.sees("01:00 left of 01:00");
}

#[test]
fn another_flow_is_begun_from_the_walk_and_its_readings_carry_over() {
    let mut b = Bench::at_hold();
    b.keys("<C-f>").sees("Begin another flow").keys("1<Enter>");
    b.sees("Key on, engine off")
        .sees("18 % in this test, in Hose hold on the bench · Enter takes it over");
    let taken = b
        .record()
        .iter()
        .position(|w| matches!(w, What::ReadingTaken { .. }))
        .unwrap()
        + 1;
    b.keys("<Enter>");
    let What::ReadingTaken { carried_from, .. } = b.last() else {
        panic!("{:?}", b.last());
    };
    assert_eq!(carried_from, Some(taken as u64));
    b.keys("<F5>")
        .sees("flow ended: Hose hold on the bench, left before its end");
    b.sees(&format!("taken over from event {taken}"));
}

#[test]
fn the_same_value_typed_afresh_is_not_taken_over() {
    let mut b = Bench::at_hold();
    b.keys("<C-f>1<Enter>")
        .sees("18 % in this test, in Hose hold on the bench");
    b.typed("18").keys("<Enter>");
    assert!(matches!(
        b.last(),
        What::ReadingTaken {
            carried_from: None,
            ..
        }
    ));
}

#[test]
fn an_outcome_leads_into_the_next_flow_and_back_again() {
    let mut b = Bench::at_hold();
    b.typed("40")
        .keys("<Enter>")
        .typed("39")
        .keys("<Enter>")
        .keys("3<Enter><Enter><Enter><Enter>");
    b.sees("This leads on to")
        .sees("A wisp at the shaft does not explain the trims");
    b.keys("<Enter>")
        .sees("Signal check on the bench")
        .sees("Pump down and read the signal");
    b.keys("<Left>")
        .sees("Go on in: Signal check on the bench")
        .keys("<Enter>")
        .sees("Pump down");
    assert_eq!(b.last(), What::WentForward);
}

#[test]
fn the_end_of_a_flow_says_what_was_ruled_out_and_the_car_is_handed_over() {
    let mut b = Bench::at_hold();
    b.typed("40")
        .keys("<Enter>")
        .typed("40")
        .keys("<Enter><Enter><Enter><Enter><Enter>");
    b.sees("It keeps its pressure and nothing shows")
        .keys("<Enter>");
    b.sees("Ruled out:")
        .sees("Hose joint loose or split, End tank cracked");
    b.keys("1<Enter>").confirms_all_off();
    b.typed("the hose is tight").keys("<Enter>");
    b.sees("Handed over.")
        .sees("the hose is tight")
        .sees("ruleout report 1");
    b.keys("m").sees("remark").sees_not("note a finding");
}

#[test]
fn a_page_to_print_is_written_from_the_record() {
    let folder = tempfile::tempdir().unwrap();
    let mut b = Bench::at_hold();
    b.driver
        .set_places(Places::new(None, vec![folder.path().to_owned()]));
    b.keys("<F5>")
        .sees("p paper")
        .keys("p")
        .sees("Which page?")
        .keys("1<Enter>")
        .sees("Saved as");
    let text = std::fs::read_to_string(folder.path().join("ruleout-job-1-customer.html")).unwrap();
    assert!(text.contains("idles rough when cold"), "{text}");
    // A page is a picture of the job as it stood: it is never written over.
    b.keys("p1<Enter>").sees("ruleout-job-1-customer-2.html");
}

#[test]
fn a_set_up_without_anything_to_list_has_no_heading_and_its_time_says_what_it_is_for() {
    let mut b = Bench::at_hold_with(
        "set-up: {seal: [compressor outlet, throttle inlet], supply: regulated, minutes: 20}",
        "set-up: {minutes: 20}",
    );
    b.keys("<Left>");
    b.sees("Plug both ends")
        .sees("about 20 min to set up")
        .sees_not("Set up:");
}

#[test]
fn a_step_says_one_time_and_what_of_it_is_for_setting_up_and_none_where_that_stands() {
    let mut b = Bench::at_hold_with(
        "supply: regulated, minutes: 20}",
        "supply: regulated, minutes: 20}\n    minutes: 5",
    );
    b.keys("<Left>");
    b.sees("about 25 min, 20 min of them to set up")
        .sees("Set up:");
    // It loses pressure out of sight: the same set-up comes again, and stands.
    b.keys("<Enter>")
        .keys("40<Enter>30<Enter><Enter><Enter><Enter><Enter><Enter>");
    b.sees("about 5 min, set up before")
        .sees("Set up before; see that it is so still:")
        .sees_not("20 min");
}
