//! The evidence on the screens: beside the flow's way, its own pages, and what is recorded.

use super::bench::{Bench, shipped};
use crate::engine::event::What;
use crate::engine::weighed::{Chosen, Weighed};
use crate::flow::target::Target;
use crate::job::file::JobFile;
use crate::job::merge::merge;
use crate::job::sqlite::SqliteStore;
use crate::tui::message::Message;
use crate::tui::model::EvidenceKey;
use crate::tui::update::update;
use crate::tui::weigher::Answer;

/// The demo job that is half-way through the intake flow, with the throttle shaft covered and
/// judged, no other place noted, and the evidence worked out.
fn judged() -> Bench {
    let mut store = SqliteStore::in_memory().unwrap();
    let text = include_str!("../../../demo-jobs/half-way.yaml");
    merge(&mut store, &JobFile::parse(text).unwrap()).unwrap();
    let mut b = Bench::with(store, shipped().clone());
    // Somebody else wrote on it last: who goes on is said first.
    b.keys("<Enter>")
        .sees("Who is at the keys")
        .typed("Kim Archer")
        .keys("<Enter>1234<Enter>4<Enter>")
        .typed("9.4")
        .keys("<Enter>");
    b.typed("3.2").keys("<Enter>2<Enter>");
    let mut b = b.weighing();
    b.keys("<C-l>").sees("All is read:");
    b
}

/// As [`judged`], where the evidence goes another way than the flow.
pub fn judged_otherwise() -> Bench {
    judged()
}

/// What the last step was left with.
fn weighed(b: &Bench) -> Option<Weighed> {
    b.record().into_iter().rev().find_map(|what| match what {
        What::OutcomeTaken(taken) => Some(taken.weighed.map(|weighed| *weighed)),
        _ => None,
    })?
}

#[test]
fn both_ways_stand_side_by_side_and_the_one_taken_is_recorded_with_the_odds() {
    let mut b = Bench::at_hold();
    b.joint();
    let mut b = b.weighing();
    b.keys("<C-l>").sees("Evidence: the same way.");
    insta::assert_snapshot!("judged-the-same-way-80x24", b.screen());
    b.keys("<Enter>");
    assert_eq!(weighed(&b), None);
    let mut b = judged();
    insta::assert_snapshot!("judged-demo-80x24", b.screen());
    b.resize(140, 40);
    insta::assert_snapshot!("judged-demo-140x40", b.screen());
    b.sees(" flow").sees("evidence");
    b.keys("<Enter>");
    let weighed = weighed(&b).unwrap();
    assert_eq!(weighed.taken, Chosen::Flow);
    assert!(weighed.evidence.minutes.is_some() && !weighed.because.is_empty());
    assert!(
        !weighed.odds.is_empty() && weighed.by == "words 4",
        "{weighed:?}"
    );
    let sum: f64 = weighed.odds.iter().map(|odds| odds.explains).sum();
    assert!(sum > 0.5, "{weighed:?}");
    b.keys("r").sees("(the evidence:");
}

#[test]
fn the_pages_of_the_evidence_say_what_moved_a_cause_and_what_each_outcome_leads_to() {
    let mut b = judged();
    b.keys("x")
        .sees("[causes]")
        .sees("before anything was read");
    insta::assert_snapshot!("evidence-demo-80x24", b.screen());
    b.keys("<Down>").sees("> 2");
    b.keys("<Tab>").sees("[next step]").sees("Expected time");
    insta::assert_snapshot!("evidence-next-demo-80x24", b.screen());
    b.keys("<Tab>")
        .sees("> [inspect] Cover the place and read again");
    insta::assert_snapshot!("evidence-map-demo-80x24", b.screen());
    b.resize(140, 40);
    insta::assert_snapshot!("evidence-map-demo-140x40", b.screen());
    b.keys("<Tab>");
    insta::assert_snapshot!("evidence-demo-140x40", b.screen());
    b.keys("<Esc>").sees("All is read:");
}

#[test]
fn what_moved_a_cause_adds_up_to_what_it_is_now() {
    let b = judged();
    let advice = b.driver.model.advice().unwrap();
    assert!(advice.causes.len() > 5 && advice.moved.len() > 4);
    for (n, cause) in advice.causes.iter().enumerate() {
        let sum: f64 = advice.moved.iter().map(|moved| moved.by[n]).sum();
        assert!((sum - cause.change()).abs() < 1e-9, "{}: {sum}", cause.name);
    }
}

#[test]
fn gear_that_is_not_here_is_marked_once_and_takes_its_steps_off_the_list() {
    let mut b = Bench::at_hold().weighing();
    b.keys("<C-x><Tab>").sees("Hold the pressure");
    b.keys("n").sees("What gear is not here?").keys("1<Enter>");
    b.sees("[not here]").keys("<Esc>").sees("not here:");
    assert_eq!(b.driver.model.evidence.habits.not_here.len(), 1);
    b.keys("n1<Enter>").sees_not("[not here]");
    assert_eq!(b.driver.model.evidence.habits.not_here.len(), 0);
}

#[test]
fn the_own_jobs_are_left_out_by_one_key_and_the_screen_says_so() {
    let mut b = Bench::at_hold().weighing();
    b.keys("<C-x>")
        .sees("odds by the author; no own job counts yet");
    b.keys("h")
        .sees("own jobs left out")
        .sees("odds by the author, own jobs left out");
    b.keys("h").sees("no own job counts yet");
}

#[test]
fn an_answer_to_an_older_state_is_dropped() {
    let mut b = Bench::at_hold().weighing();
    b.keys("<C-l>");
    let model = &mut b.driver.model;
    let known = model.evidence.known.clone().unwrap();
    let older = EvidenceKey {
        seq: known.0.seq - 1,
        ..known.0
    };
    let answer = Answer {
        key: older,
        advice: Err("of another time".to_owned()),
        more: false,
        cars: None,
    };
    let now = model.now;
    update(model, now, Message::Weighed(Box::new(answer)));
    assert!(b.driver.model.no_advice().is_none());
    assert_eq!(b.driver.model.evidence.known.clone().unwrap().0, known.0);
}

#[test]
fn the_evidence_way_is_gone_by_its_own_key_and_back_leads_back() {
    let mut b = judged();
    let best = b.driver.model.advice().unwrap().best().unwrap().clone();
    b.keys("x<Tab><Enter>");
    match best.go {
        Some(Target::Repair(_)) => {
            b.sees("Ask the customer").sees("By the evidence,");
            let weighed = weighed(&b).unwrap();
            assert_eq!(weighed.taken, Chosen::Evidence);
            b.keys("<Left>").sees("All is read:");
        }
        None => {
            b.sees("Hand the car on")
                .keys("1<Enter>")
                .sees("This leads on to");
            assert_eq!(weighed(&b).unwrap().taken, Chosen::Evidence);
        }
        other => panic!("{other:?}"),
    }
}

/// Where what stands in place is to be taken down before the walk goes back.
pub fn to_be_taken_down() -> Bench {
    let mut b = Bench::at_hold();
    b.joint();
    let mut b = b.weighing();
    b.keys("<C-l>");
    let model = &mut b.driver.model;
    let weighed = model.advice().unwrap().weighed(0).unwrap();
    let first = model.open.as_ref().unwrap().job.run().unwrap().flow.steps[0]
        .id
        .clone();
    let go = Target::Step(first);
    crate::tui::update::evidence::go_by(model, go, weighed, false);
    b
}

#[test]
fn to_go_back_to_an_earlier_step_what_stands_in_place_is_taken_down_first() {
    let mut b = to_be_taken_down();
    b.sees("Take down first")
        .sees("open again: compressor outlet")
        .sees("regulated");
    let before = b.record().len();
    b.keys("2<Enter>").sees("The readings say:");
    assert_eq!(b.record().len(), before);
}

#[test]
fn after_a_repair_the_whole_test_comes_first_whatever_the_evidence_would_do() {
    let mut b = Bench::at_hold();
    b.joint();
    b.keys("<Enter>1<Enter>Ms Finch<Enter><Enter>clamp<Enter>1<Enter>");
    let mut b = b.weighing();
    b.keys("<C-l>");
    let advice = b.driver.model.advice().unwrap();
    assert!(advice.retest_first && !advice.differs());
    assert!(advice.cured.unwrap() > 0.5, "{:?}", advice.cured);
    b.sees_not("would rather");
    b.keys("<C-x>")
        .sees("A repair was made: the whole test comes first.")
        .sees("Cured: nothing big enough for the complaint is left");
    b.keys("<Tab>").sees_not("> Enter").keys("<Esc>");
    // Nor at a step of the retest that is read in whole.
    b.keys("<Enter><Enter>1<Enter>");
    b.joint();
    b.keys("<C-l>")
        .sees_not("Evidence:")
        .sees_not("by evidence");
}

#[test]
fn whether_the_part_was_bad_moves_the_causes() {
    let told = |key: &str| {
        let mut b = Bench::at_hold();
        b.joint();
        b.keys("<Enter>1<Enter>Ms Finch<Enter><Enter>clamp<Enter>");
        b.keys(key).keys("<Enter><Enter>1");
        let mut b = b.weighing();
        b.keys("<C-l>");
        let advice = b.driver.model.advice().unwrap().clone();
        let said = advice.moved.iter().any(|m| m.words.contains("when opened"));
        let joint = advice.causes.iter().find(|c| c.id == "hose-joint").unwrap();
        (said, joint.present)
    };
    let ((bad_said, bad), (good_said, good)) = (told("1"), told("2"));
    assert!(bad_said && good_said);
    assert!((bad - good).abs() > 0.001, "{bad} {good}");
}

#[test]
fn a_mistyped_value_above_a_limit_is_noted_as_such_and_read_again() {
    let mut b = Bench::at_hold();
    b.keys("150<Enter>").sees("STOP").keys("2<Enter>");
    assert_eq!(b.last(), What::LimitMistyped);
    b.sees("Gauge before the supply is shut");
    b.keys("<F5>").sees("was mistyped");
}

#[test]
fn an_approval_that_is_withdrawn_is_noted_and_nothing_is_repaired() {
    let mut b = Bench::at_hold();
    b.joint();
    b.keys("<Enter>1<Enter>Ms Finch<Enter>")
        .sees("changed their mind");
    b.keys("2<Enter>")
        .typed("Ms Finch, too dear")
        .keys("<Enter>");
    assert!(matches!(b.last(), What::RepairDeclined { .. }));
    b.sees("Declined by Ms Finch, too dear");
}

/// The shipped intake flow on a car of which nothing is saved, at the step that asks for the saving.
fn nothing_saved() -> Bench {
    let mut b = Bench::new();
    b.driver.model.shelf = shipped().clone();
    b.keys("n")
        .typed("XK 42 TRY")
        .keys("<Tab><Tab><Tab><Tab>")
        .typed("rough idle")
        .keys("<Tab><Tab>")
        .typed("p0171");
    b.keys("<F6>2<Enter>1<Enter>1<Enter>200<Enter>");
    for _ in 0..12 {
        let screen = b.screen();
        if screen.contains("are saved?") {
            break;
        }
        b.keys(if screen.contains("CAUTION") {
            "1"
        } else {
            "<Enter>"
        });
    }
    let mut b = b.weighing();
    b.keys("<C-l>").sees("are saved?");
    b
}

#[test]
fn what_the_control_unit_knows_is_saved_before_the_evidence_s_way_is_gone() {
    let mut b = nothing_saved();
    let before = b.record().len();
    b.sees_not("would rather");
    b.keys("<C-x>")
        .sees("Codes, freeze frame and readiness are not saved yet: that comes first.");
    b.resize(80, 40)
        .keys("<Tab>")
        .sees("First do: save what the control unit knows")
        .sees("> Enter Save first what the control unit knows");
    // The step that asks for it is not left.
    b.keys("<Enter>")
        .sees("are saved?")
        .sees("First save what the control unit knows.");
    assert_eq!(b.record().len(), before);
    b.keys("<F8><F6>").sees("are saved");
    b.keys("<C-x><Tab>")
        .sees_not("save what the control unit knows");
}

#[test]
fn from_a_step_past_the_saving_the_evidence_s_way_leads_to_the_form_first() {
    let mut b = nothing_saved();
    // An outcome taken by somebody's own choice leaves the question unanswered.
    b.keys("<F6>1<Enter>").typed("in a hurry").keys("<Enter>");
    b.sees_not("are saved?");
    let before = b.record().len();
    b.keys("<C-x><Tab><Enter>").sees("Stored codes");
    assert_eq!(b.record().len(), before);
    b.keys("<F6>");
    assert!(matches!(b.last(), What::CodesNoted(_)), "{:?}", b.last());
    b.keys("<C-x><Tab>")
        .sees_not("save what the control unit knows");
}

#[test]
fn who_says_that_it_is_kept_elsewhere_is_not_asked_again() {
    let mut b = nothing_saved();
    b.keys("2<Enter><Enter>");
    b.keys("<C-x><Tab>")
        .sees_not("save what the control unit knows");
}

#[test]
fn times_say_what_they_are_where_no_repair_is_proved_and_where_there_is_none() {
    let mut b = judged();
    let advice = b.driver.model.advice().unwrap();
    assert!(advice.beside.flow.as_ref().unwrap().expected.is_none());
    b.sees("flow's way")
        .sees_not("no figure")
        .sees("Time: to a proven repair; none where a way tells no causes apart.");
    b.keys("x<Tab>");
    let ways = b.driver.model.advice().unwrap().ways.clone();
    let hands_on = ways.iter().any(|way| way.go.is_none());
    assert!(hands_on, "{ways:#?}");
    b.sees("Hand the car on (what that costs; nothing is proved)");
}

#[test]
fn pages_turn_the_column_beside_a_step_that_is_seen_whole() {
    let mut b = judged();
    b.resize(140, 30);
    let before = b.screen();
    b.keys("<PgDn>");
    let after = b.screen();
    assert!(before.contains('↓'), "{before}");
    assert_ne!(before, after);
    b.keys("<PgUp>");
    assert_eq!(b.screen(), before);
}
