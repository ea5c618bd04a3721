//! What an apprentice writes down is held against the car: what was never read, nowhere seen, or not so, is named in the
//! debrief and costs marks; a figure that agrees with the gauge is not blamed.
#![allow(
    missing_docs,
    clippy::unwrap_used,
    reason = "a test stops where something is not as expected"
)]

use std::collections::BTreeMap;

use crate::apprentice::Apprentice;
use ruleout::engine::action::Action;
use ruleout::engine::event::{Codes, Event, What};
use ruleout::engine::practised::{Mark, Practised};
use ruleout::flow::answer::{Answer, Strength};
use ruleout::flow::shelf::Shelf;
use ruleout::flow::target::Target;
use ruleout::plant::plan::Plan;
use ruleout::practice::bay::Taken;
use ruleout::practice::debrief::Debrief;
use ruleout::practice::session::Session;

fn on_intake(with: impl FnOnce(&mut Apprentice)) -> Debrief {
    on(&Shelf::shipped(), "intake-leak", 30, with)
}

/// An owner's flow in which a plug is taken off again at a step of its own, after everything was looked at.
const TAKEN_OFF: &str = r#"
flow: own-one
title: Own one
revision: 1
summary: Is it dry?
for: {symptoms: [water]}
system: cabin

readings:
  data-saved: {ask: Are the codes saved, choices: ["no", "yes"]}
  all-shut: {ask: Is the outlet plugged, choices: [all of it, not yet]}
  seen: {ask: Seen, choices: [dry, wet]}
  put-back: {ask: All put back, choices: [all of it, not yet]}

healthy: {seen: {dry: almost certain}}
causes:
  drain: {name: Drain split, odds: likely, repair: Renew it, minutes: 10, shows: {seen: {wet: almost certain}}}
  not-listed: {odds: 10 %, hand-on: 60 min}

steps:
  - id: save
    phase: symptom
    do: Save them.
    minutes: 2
    record: [data-saved]
    outcomes:
      - {when: always, go: plug}
  - id: plug
    phase: block-off
    do: Plug the outlet.
    minutes: 2
    set-up: {seal: [outlet], minutes: 3}
    record: [all-shut]
    outcomes:
      - {when: always, go: look}
  - id: look
    phase: inspect
    do: Look at it.
    minutes: 2
    record: [seen]
    outcomes:
      - {when: always, go: off}
  - id: off
    phase: judge
    title: Take off
    do: Take the plug off again.
    minutes: 2
    record: [put-back]
    valid when: {put-back: {is: all of it}}
    not valid: {because: Take it off, go: off}
    outcomes:
      - {id: dry1, when: {seen: {is: dry}, test-number: {below: 2}}, because: It is dry, go: done}
      - {id: dry2, when: {seen: {is: dry}, test-number: {at least: 2}}, because: It is dry, go: done, proved: "yes"}
      - {id: wet, when: {seen: {is: wet}}, because: It is wet, go: {repair: drain}}
retest: {from: save}
"#;

fn on_owners(text: &str, with: impl FnOnce(&mut Apprentice)) -> Debrief {
    let mut shelf = Shelf::shipped();
    shelf.put("own.yaml", text);
    on(&shelf, "own-one", 1, with)
}

fn on(shelf: &Shelf, flow: &str, seed: u64, with: impl FnOnce(&mut Apprentice)) -> Debrief {
    let shelved = shelf.find(flow).unwrap();
    let plan = Plan::of(&shelved.flow);
    let mut apprentice = Apprentice::begins(&plan, shelved, seed, 1);
    with(&mut apprentice);
    apprentice.debrief()
}

fn opens(apprentice: &mut Apprentice, opening: &str) {
    let opening = opening.to_owned();
    apprentice.hand(Practised::Opened { opening });
}

fn closes(apprentice: &mut Apprentice, opening: &str) {
    let opening = opening.to_owned();
    apprentice.hand(Practised::Closed { opening });
}

fn takes(apprentice: &mut Apprentice, reading: &str) {
    apprentice.hand(Practised::Took {
        reading: reading.to_owned(),
    });
}

fn writes(apprentice: &mut Apprentice, reading: &str, value: Answer) {
    apprentice.does(Action::Read {
        reading: reading.to_owned(),
        value,
        confirmed: true,
        carried_from: None,
    });
}

fn figure(text: &str) -> Answer {
    Answer::Quantity(text.parse().unwrap())
}

fn word(text: &str) -> Answer {
    Answer::Choice(text.to_owned())
}

/// What the car shows there to whoever asks, in SI units; nobody has asked yet.
fn shows(apprentice: &Apprentice, reading: &str) -> f64 {
    let earlier = apprentice.session.earlier();
    match apprentice.session.bay.clone().take(reading, &earlier) {
        Ok(Taken::Reads(Answer::Quantity(q))) => q.si(),
        other => panic!("{other:?}"),
    }
}

fn lost(debrief: &Debrief) -> Vec<(u32, &str)> {
    let part = debrief.parts.iter().find(|p| p.name == "as it stood");
    let lost = part.unwrap().lost.iter();
    lost.map(|lost| (lost.marks, lost.why.as_str())).collect()
}

/// Of an airflow that is written so many times as large as the car would have shown it.
fn airflow_times(times: f64) -> Debrief {
    on_intake(|apprentice| {
        apprentice.until("idle-trims");
        let there = shows(apprentice, "idle-airflow") * 1000.0;
        writes(
            apprentice,
            "idle-airflow",
            figure(&format!("{:.3} g/s", there * times)),
        );
    })
}

#[test]
fn a_figure_that_nobody_read_is_named_with_its_step_and_what_the_car_would_have_shown() {
    let debrief = airflow_times(1.5);
    let text = debrief.lines(200).join("\n");
    assert!(
        text.contains("\nWritten down without being read, seen or so\n  \"Trims and airflow at warm idle\", test 1: "),
        "{text}"
    );
    assert!(
        text.contains(" g/s without reading it; the car would have shown "),
        "{text}"
    );
    assert_eq!(
        lost(&debrief),
        [(
            5,
            "\"Trims and airflow at warm idle\", test 1: Airflow at warm idle"
        )]
    );
}

#[test]
fn a_figure_that_agrees_with_the_gauge_is_not_blamed() {
    for times in [1.0, 1.02, 0.98] {
        let debrief = airflow_times(times);
        assert_eq!(debrief.made_up, [""; 0], "{times}");
        assert_eq!(lost(&debrief), [], "{times}");
    }
}

#[test]
fn what_was_read_and_is_written_otherwise_stands_behind_its_question_and_is_put_right_by_writing_it_again()
 {
    let wrong = |apprentice: &mut Apprentice| {
        apprentice.until("idle-trims");
        takes(apprentice, "idle-airflow");
        writes(apprentice, "idle-airflow", figure("9.99 g/s"));
    };
    let debrief = on_intake(wrong);
    assert!(
        debrief.misread[0].contains("warm idle: You wrote 9.99 g/s; the car showed "),
        "{:?}",
        debrief.misread
    );
    assert_eq!(lost(&debrief)[0].0, 5);
    let debrief = on_intake(|apprentice| {
        wrong(apprentice);
        let seq = apprentice.session.job.seq;
        let right = figure(&format!(
            "{} g/s",
            shows(apprentice, "idle-airflow") * 1000.0
        ));
        apprentice.happens(vec![What::ReadingCorrected {
            taken: seq,
            value: right,
            why: "misread".to_owned(),
        }]);
    });
    assert_eq!(lost(&debrief)[0].0, 1);
    assert!(
        debrief.misread[0].ends_with(" You put it right."),
        "{:?}",
        debrief.misread
    );
}

fn seen_at(places: &[&str]) -> Answer {
    let places = places.iter().map(|p| ((*p).to_owned(), Strength::Steady));
    Answer::Places(places.collect())
}

#[test]
fn smoke_at_a_place_where_nobody_looked_is_named() {
    let debrief = on_intake(|apprentice| {
        apprentice.until("search");
        let place = "injector seal".to_owned();
        apprentice.hand(Practised::Looked { place, seconds: 5 });
        writes(apprentice, "seen-at", seen_at(&["brake booster"]));
    });
    let text = debrief.made_up.join("\n");
    assert!(
        text.contains("You wrote brake booster")
            && text.contains(" and had not looked at: brake booster, where "),
        "{text}"
    );
    assert_eq!(lost(&debrief)[0].0, 5);
}

/// A short look at every place but so many of the last.
fn looks_at(apprentice: &mut Apprentice, but: usize) {
    let all: Vec<String> = apprentice
        .session
        .bay
        .to_cover()
        .iter()
        .map(|p| (*p).to_owned())
        .collect();
    for place in all.into_iter().rev().skip(but) {
        apprentice.hand(Practised::Looked { place, seconds: 1 });
    }
}

#[test]
fn nowhere_without_a_look_is_named_and_put_right_by_a_look() {
    let nowhere = |apprentice: &mut Apprentice| {
        writes(apprentice, "seen-at", Answer::Places(BTreeMap::new()));
    };
    let debrief = on_intake(|apprentice| {
        apprentice.until("search");
        nowhere(apprentice);
    });
    let text = debrief.lines(200).join("\n");
    assert!(
        text.contains("? You wrote nowhere and looked at no place; something did show: "),
        "{text}"
    );
    assert_eq!(lost(&debrief)[0].0, 5);
    let debrief = on_intake(|apprentice| {
        apprentice.until("search");
        nowhere(apprentice);
        looks_at(apprentice, 0);
        nowhere(apprentice);
    });
    assert_eq!(lost(&debrief)[0].0, 1);
    // A place that was left out of the round is said to show nothing, and nobody knows.
    let debrief = on_intake(|apprentice| {
        apprentice.until("search");
        looks_at(apprentice, 1);
        nowhere(apprentice);
    });
    let text = debrief.made_up.join("\n");
    assert!(
        text.contains("You wrote nowhere and had not looked at: "),
        "{text}"
    );
    assert_eq!(lost(&debrief)[0].0, 5);
}

#[test]
fn codes_that_are_only_said_to_be_saved_are_named() {
    let says = |saves: bool| {
        on_intake(|apprentice| {
            apprentice.until("save-data");
            if saves {
                takes(apprentice, "data-saved");
            }
            writes(apprentice, "data-saved", word("yes"));
            apprentice.does(Action::Follow);
        })
    };
    let made_up = says(false).made_up.join("\n");
    assert!(
        made_up.ends_with(
            "are saved? You wrote yes; nothing had been read out and saved in this test."
        ),
        "{made_up}"
    );
    assert_eq!(says(true).made_up, [""; 0]);
}

#[test]
fn a_purge_line_said_to_be_shut_is_named_while_it_is_open_and_is_wrongly_set_up() {
    let debrief = on(&Shelf::shipped(), "intake-leak", 11, |apprentice| {
        apprentice.habits.leaves_open = Some("purge line".to_owned());
        apprentice.until("cruise-trims");
    });
    let made_up = debrief.made_up.join("\n");
    assert!(
        made_up.contains("You wrote shut; purge line was open."),
        "{made_up}"
    );
    let slips = debrief.slips.join("\n");
    assert!(slips.contains("purge line was open"), "{slips}");
}

#[test]
fn to_shut_the_purge_line_as_the_step_says_is_part_of_the_steps_minutes() {
    on_intake(|apprentice| {
        apprentice.until("idle-trims");
        let minutes = |apprentice: &Apprentice| apprentice.session.bay.log.minutes();
        let before = minutes(apprentice);
        for costs in [0.0, 1.0] {
            apprentice.hand(Practised::Closed {
                opening: "purge line".to_owned(),
            });
            assert!((minutes(apprentice) - before - costs).abs() < 1e-9);
        }
    });
}

#[test]
fn to_shut_the_purge_line_after_a_word_was_read_that_does_not_hang_on_it_is_no_slip_and_costs_nothing()
 {
    let after = |reading: &str| {
        let mut minutes = 0.0;
        let debrief = on_intake(|apprentice| {
            apprentice.until("idle-trims");
            takes(apprentice, reading);
            let before = apprentice.session.bay.log.minutes();
            apprentice.hand(Practised::Closed {
                opening: "purge line".to_owned(),
            });
            takes(apprentice, "idle-airflow");
            minutes = apprentice.session.bay.log.minutes() - before;
        });
        (minutes, debrief.slips.len())
    };
    assert_eq!(after("fuelling-loop"), (0.0, 0));
    assert_eq!(after("idle-long-1"), (8.0, 1));
}

#[test]
fn plugs_said_to_be_off_are_named_while_they_are_on() {
    let debrief = on_intake(|apprentice| {
        apprentice.until_repair();
        apprentice.lets_down();
        apprentice.repairs();
        apprentice.habits.leaves_on = true;
        while apprentice.goes_on() {}
    });
    let made_up = debrief.made_up.join("\n");
    assert!(
        made_up.contains("You wrote all of it; still closed or covered: "),
        "{made_up}"
    );
}

#[test]
fn figures_of_an_engine_that_cannot_run_are_named() {
    let debrief = on_intake(|apprentice| {
        apprentice.until("idle-trims");
        apprentice.hand(Practised::Closed {
            opening: "air inlet".to_owned(),
        });
        writes(apprentice, "idle-airflow", figure("3 g/s"));
    });
    let made_up = debrief.made_up.join("\n");
    assert!(
        made_up.contains("the engine gets no air and does not run"),
        "{made_up}"
    );
}

#[test]
fn a_plug_that_is_to_come_off_is_named_while_it_is_on_and_not_once_it_is_off() {
    let off = |is_off: bool| {
        on_owners(TAKEN_OFF, |apprentice| {
            apprentice.until("off");
            if is_off {
                opens(apprentice, "outlet");
            }
            writes(apprentice, "put-back", word("all of it"));
            apprentice.does(Action::Follow);
        })
    };
    assert_eq!(lost(&off(true)), []);
    let made_up = off(false).made_up.join("\n");
    assert!(
        made_up.contains("You wrote all of it; still closed or covered: outlet."),
        "{made_up}"
    );
}

#[test]
fn a_plug_that_is_to_be_on_is_named_while_it_is_off_at_the_step_that_plugs() {
    let plug = |is_on: bool| {
        on_owners(TAKEN_OFF, |apprentice| {
            apprentice.until("plug");
            if is_on {
                closes(apprentice, "outlet");
            }
            writes(apprentice, "all-shut", word("all of it"));
            apprentice.does(Action::Follow);
        })
    };
    assert_eq!(lost(&plug(true)), []);
    let made_up = plug(false).made_up.join("\n");
    assert!(
        made_up.contains("You wrote all of it; outlet was open."),
        "{made_up}"
    );
}

#[test]
fn who_does_everything_right_on_an_owners_flow_takes_the_plug_off_and_has_full_marks() {
    let debrief = on_owners(TAKEN_OFF, |apprentice| while apprentice.goes_on() {});
    assert_eq!((debrief.got(), debrief.of_all()), (100, 100), "{debrief:?}");
}

#[test]
fn a_port_said_to_be_closed_is_named_while_it_is_open_and_to_close_it_is_part_of_the_steps_minutes()
{
    let together = |shuts: bool| {
        let shelf = Shelf::shipped();
        on(&shelf, "manifold-pressure-signal", 3, |apprentice| {
            apprentice.goes_to("sweep");
            opens(apprentice, "sensor port");
            for next in ["compare", "put-together"] {
                apprentice.goes_on_to(&Target::Step(next.to_owned()));
            }
            if shuts {
                let before = apprentice.session.bay.log.minutes();
                closes(apprentice, "sensor port");
                assert!((apprentice.session.bay.log.minutes() - before).abs() < 1e-9);
            }
            writes(apprentice, "put-back", word("all of it"));
            apprentice.does(Action::Follow);
        })
    };
    let made_up = together(false).made_up.join("\n");
    assert!(
        made_up.contains("You wrote all of it; sensor port was open."),
        "{made_up}"
    );
    assert_eq!(together(true).made_up, [""; 0]);
}

/// Trims and airflow of the intake's warm idle: `with` what happens at that step, which is then left.
fn at_idle(with: impl FnOnce(&mut Apprentice)) -> Debrief {
    on_intake(|apprentice| {
        apprentice.until("idle-trims");
        with(apprentice);
        apprentice.goes_on_to(&Target::Step("cruise-trims".to_owned()));
    })
}

fn reads_airflow(apprentice: &mut Apprentice) {
    takes(apprentice, "idle-airflow");
    let there = shows(apprentice, "idle-airflow") * 1000.0;
    writes(
        apprentice,
        "idle-airflow",
        figure(&format!("{there:.2} g/s")),
    );
}

#[test]
fn a_purge_line_that_was_shut_while_the_figures_were_read_may_be_open_as_the_step_is_left() {
    let debrief = at_idle(|apprentice| {
        closes(apprentice, "purge line");
        writes(apprentice, "purge-line", word("shut"));
        reads_airflow(apprentice);
        opens(apprentice, "purge line");
    });
    assert_eq!(lost(&debrief), []);
}

#[test]
fn a_purge_line_that_was_open_while_the_figures_were_read_is_named_though_it_is_shut_as_the_step_is_left()
 {
    let debrief = at_idle(|apprentice| {
        writes(apprentice, "purge-line", word("shut"));
        reads_airflow(apprentice);
        closes(apprentice, "purge line");
    });
    assert_eq!(lost(&debrief)[0].0, 5);
    assert!(
        debrief.made_up[0].ends_with("You wrote shut; purge line was open."),
        "{:?}",
        debrief.made_up
    );
    let said_last = at_idle(|apprentice| {
        reads_airflow(apprentice);
        writes(apprentice, "purge-line", word("shut"));
        closes(apprentice, "purge line");
    });
    assert_eq!(lost(&said_last)[0].0, 5);
}

#[test]
fn what_was_said_too_early_is_put_right_by_doing_it_and_reading_again() {
    let debrief = at_idle(|apprentice| {
        writes(apprentice, "purge-line", word("shut"));
        reads_airflow(apprentice);
        closes(apprentice, "purge line");
        reads_airflow(apprentice);
    });
    assert_eq!(lost(&debrief)[0].0, 1);
}

#[test]
fn who_says_it_first_and_does_it_before_anything_is_read_is_not_blamed() {
    let debrief = at_idle(|apprentice| {
        writes(apprentice, "purge-line", word("shut"));
        takes(apprentice, "fuelling-loop");
        closes(apprentice, "purge line");
        reads_airflow(apprentice);
    });
    assert_eq!(lost(&debrief), []);
    let off = on_owners(TAKEN_OFF, |apprentice| {
        apprentice.until("off");
        writes(apprentice, "put-back", word("all of it"));
        opens(apprentice, "outlet");
        apprentice.does(Action::Follow);
    });
    assert_eq!(lost(&off), []);
}

fn corrects(apprentice: &mut Apprentice, taken: u64, value: Answer) {
    apprentice.happens(vec![What::ReadingCorrected {
        taken,
        value,
        why: "a slip of the pen".to_owned(),
    }]);
}

#[test]
fn what_was_said_of_the_car_is_put_right_by_a_correction_before_and_after_the_step_is_left() {
    let corrected = |first: &str, then: &str, leaves: bool| {
        let debrief = on_intake(|apprentice| {
            apprentice.until("save-data");
            writes(apprentice, "data-saved", word(first));
            let seq = apprentice.session.job.seq;
            if leaves {
                apprentice.does(Action::Follow);
            }
            corrects(apprentice, seq, word(then));
            if !leaves {
                apprentice.does(Action::Follow);
            }
        });
        let marks: Vec<u32> = lost(&debrief).iter().map(|(marks, _)| *marks).collect();
        marks
    };
    assert_eq!(corrected("yes", "not possible", true), [1]);
    assert_eq!(corrected("not possible", "yes", true), [5]);
    // Nothing hung on it by then.
    assert_eq!(corrected("yes", "not possible", false), [0; 0]);
    assert_eq!(corrected("not possible", "yes", false), [5]);
}

#[test]
fn what_was_said_wrongly_while_figures_were_read_is_put_right_by_a_correction() {
    let debrief = at_idle(|apprentice| {
        writes(apprentice, "purge-line", word("shut"));
        let seq = apprentice.session.job.seq;
        reads_airflow(apprentice);
        corrects(apprentice, seq, word("open"));
    });
    assert_eq!(lost(&debrief)[0].0, 1);
}

#[test]
fn a_figure_that_was_made_up_is_put_right_by_taking_it_back() {
    let debrief = on_intake(|apprentice| {
        apprentice.until("idle-trims");
        writes(apprentice, "idle-airflow", figure("9.99 g/s"));
        let seq = apprentice.session.job.seq;
        let untold = Answer::CouldNotTell("never read it".to_owned());
        corrects(apprentice, seq, untold);
    });
    assert_eq!(lost(&debrief)[0].0, 1);
}

#[test]
fn codes_are_saved_with_the_word_that_says_so_wherever_it_stands_among_the_words() {
    for (words, yes) in [
        (r#"["no", "yes"]"#, "yes"),
        ("[saved, not saved]", "saved"),
        ("[nothing so far, all of them]", "all of them"),
    ] {
        let text = TAKEN_OFF.replacen(r#"["no", "yes"]"#, words, 1);
        let saves = |takes_it: bool| {
            on_owners(&text, |apprentice| {
                apprentice.until("save");
                if takes_it {
                    let earlier = apprentice.session.earlier();
                    let taken = apprentice.session.bay.clone().take("data-saved", &earlier);
                    assert_eq!(taken, Ok(Taken::Saved(word(yes))));
                    takes(apprentice, "data-saved");
                }
                writes(apprentice, "data-saved", word(yes));
                apprentice.does(Action::Follow);
            })
        };
        assert_eq!(lost(&saves(true)), [], "{words}");
        assert_eq!(lost(&saves(false))[0].0, 5, "{words}");
    }
}

#[test]
fn a_temperature_agrees_within_its_own_error_and_no_share_of_its_kelvins() {
    let written = |off: f64| {
        on(&Shelf::shipped(), "vapour-small-leak", 3, |apprentice| {
            let step = apprentice.session.bay.plan().flow.steps.iter();
            let mut step = step.filter(|s| s.record.iter().any(|id| id == "bay-warmth"));
            apprentice.until(&step.next().unwrap().id);
            let there = shows(apprentice, "bay-warmth") - 273.15;
            let warmth = figure(&format!("{:.1} C", there + off));
            writes(apprentice, "bay-warmth", warmth);
        })
    };
    assert_eq!(lost(&written(0.4)), []);
    assert_eq!(lost(&written(2.5))[0].0, 5);
}

#[test]
fn an_exercise_that_was_marked_by_other_rules_keeps_its_marks_and_is_not_blamed_by_those_of_today()
{
    let shelf = Shelf::shipped();
    let shelved = shelf.find("intake-leak").unwrap();
    let plan = Plan::of(&shelved.flow);
    let mut apprentice = Apprentice::begins(&plan, shelved, 30, 1);
    apprentice.until("idle-trims");
    writes(&mut apprentice, "idle-airflow", figure("9.99 g/s"));
    apprentice.ends();
    let debrief = |events: &[Event]| {
        let session = Session::of(&plan, events).unwrap();
        Debrief::of(&session, None)
    };
    let today = debrief(&apprentice.events);
    let text = today.lines(100).join("\n");
    assert_eq!(today.recorded, None);
    assert!(!text.contains("rules of then"), "{text}");
    assert!(text.contains("without reading it"), "{text}");
    let mut events = apprentice.events.clone();
    for event in &mut events {
        if let What::Practised(Practised::Marked(marks)) = &mut event.what {
            marks.parts.retain(|mark| mark.part != "as it stood");
            let of = |mark: &&mut Mark| mark.part == "set-up";
            marks.parts.iter_mut().find(of).unwrap().of = 25;
        }
    }
    let then = debrief(&events);
    assert_eq!((then.got(), then.of_all()), (today.got() - 5, 100));
    let text = then.lines(100).join("\n");
    let line = format!(
        "\n  Marked by the rules of then; by those of today it would be {} of 100.\n",
        today.got()
    );
    assert!(text.contains(&line), "{text}");
    assert!(text.starts_with("PRACTICE"), "{text}");
    let score = format!("\nScore: {} of 100\n", today.got() - 5);
    assert!(text.contains(&score), "{text}");
    assert!(!text.contains("without reading it"), "{text}");
}

#[test]
fn who_says_that_an_engine_without_air_does_not_run_or_has_its_complaint_still_is_borne_out() {
    let says = |complaint: &str| {
        on_intake(|apprentice| {
            apprentice.until_repair();
            apprentice.lets_down();
            apprentice.repairs();
            let flow = apprentice.session.bay.plan().flow;
            let mut steps = flow.steps.iter();
            let proof = steps.find(|s| s.record.iter().any(|id| id == "complaint-now"));
            apprentice.until(&proof.unwrap().id);
            apprentice.lets_down();
            closes(apprentice, "air inlet");
            writes(apprentice, "complaint-now", word(complaint));
            assert_eq!(apprentice.session.bay.log.harm, None);
        })
        .made_up
    };
    assert_eq!(says("still there"), [""; 0]);
    let made_up = says("gone, on the road too").join("\n");
    assert!(made_up.contains("does not run"), "{made_up}");
}

#[test]
fn a_valve_said_to_be_shut_at_rest_is_believed_though_nobody_pinched_its_line() {
    let says = |how: &str| {
        on(&Shelf::shipped(), "vapour-small-leak", 3, |apprentice| {
            let flow = apprentice.session.bay.plan().flow;
            let mut steps = flow.steps.iter();
            let shuts = steps.find(|s| s.record.iter().any(|id| id == "purge-shut-by"));
            apprentice.until(&shuts.unwrap().id);
            writes(apprentice, "purge-shut-by", word(how));
            apprentice.goes_on_to(&Target::Step("blocked-tip".to_owned()));
        })
        .made_up
        .join("\n")
    };
    assert!(!says("shut at rest").contains("purge line was open"));
    assert!(says("pinched").contains("You wrote pinched; purge line was open."));
}

/// The owner's flow with one more plug, of which a reading asks by its whole name.
#[test]
fn an_opening_is_told_from_another_that_begins_alike_by_the_words_of_the_readings_name() {
    let text = TAKEN_OFF
        .replace("seal: [outlet]", "seal: [vent hose, vent filter]")
        .replace("all-shut:", "vent-filter:")
        .replace("[all-shut]", "[vent-filter]")
        .replacen("choices: [all of it, not yet]", "choices: [shut, open]", 1);
    let says = |shut: &str| {
        let debrief = on_owners(&text, |apprentice| {
            apprentice.until("plug");
            closes(apprentice, shut);
            writes(apprentice, "vent-filter", word("shut"));
            apprentice.does(Action::Follow);
        });
        debrief.made_up.join("\n")
    };
    assert_eq!(says("vent filter"), "");
    assert!(says("vent hose").contains("vent filter was open"));
}

#[test]
fn what_cannot_be_held_against_the_car_is_told_apart_from_nothing_at_all() {
    let why = |writes_it: bool| {
        let debrief = on_intake(|apprentice| {
            apprentice.until("idle-trims");
            if writes_it {
                let untold = Answer::CouldNotTell("no scan tool".to_owned());
                writes(apprentice, "idle-airflow", untold);
            }
            apprentice.session.bay.log.written.clear();
        });
        lost(&debrief)[0].1.to_owned()
    };
    assert_eq!(
        why(true),
        "nothing was written down that can be held against the car"
    );
}

#[test]
fn who_says_wrongly_that_the_supply_is_off_and_does_not_run_the_engine_is_named_and_not_stopped() {
    let says = |possible: &str, reads: bool| {
        on(&Shelf::shipped(), "intake-leak", 11, |apprentice| {
            apprentice.until("running-proof");
            apprentice.hand(Practised::Fed {
                gas: "air".to_owned(),
                pressure: "3.4 kPa".parse().unwrap(),
            });
            writes(apprentice, "ready-to-start", word("all of it"));
            writes(apprentice, "proof-possible", word(possible));
            if reads {
                takes(apprentice, "proof-short-1");
            } else {
                apprentice.goes_on_to(&Target::Step("name-the-cause".to_owned()));
            }
        })
    };
    let declined = says("not possible", false);
    assert_eq!(declined.harm, None);
    let made_up = declined.made_up.join("\n");
    assert!(
        made_up.contains("You wrote all of it; the supply was still connected"),
        "{made_up}"
    );
    assert!(says("possible", true).harm.is_some());
}

#[test]
fn to_say_that_a_place_is_covered_covers_nothing_and_is_named() {
    let covers = |by_hand: bool| {
        let mut left = Vec::new();
        let debrief = on(&Shelf::shipped(), "intake-leak", 11, |apprentice| {
            apprentice.until("cover");
            let earlier = apprentice.session.earlier();
            let place = apprentice.session.bay.shows_most(&earlier).unwrap();
            if by_hand {
                apprentice.hand(Practised::Covered {
                    place: place.clone(),
                });
            }
            writes(apprentice, "covered-place", word(&place));
            takes(apprentice, "covered-flow");
            left = apprentice.session.bay.covered();
            apprentice.goes_on_to(&Target::Step("complaint-left".to_owned()));
        });
        (debrief.made_up.join("\n"), left.len())
    };
    assert_eq!(covers(true), (String::new(), 1));
    let (made_up, covered) = covers(false);
    assert_eq!(covered, 0);
    assert!(made_up.ends_with("; nothing was covered."), "{made_up}");
}

#[test]
fn to_save_the_codes_writes_them_into_the_record_and_over_nothing_that_was_noted() {
    on_intake(|apprentice| {
        apprentice.until("save-data");
        takes(apprentice, "data-saved");
        let came = apprentice.session.job.opening.clone().unwrap().codes;
        let noted = apprentice.session.job.codes.clone().unwrap();
        assert_eq!(noted.stored, came);
        assert!(!came.is_empty());
        let own = Codes {
            stored: came,
            freeze_frame: "at idle".to_owned(),
            ..Codes::default()
        };
        apprentice.does(Action::NoteCodes(own.clone()));
        takes(apprentice, "data-saved");
        assert_eq!(apprentice.session.job.codes, Some(own));
    });
}
