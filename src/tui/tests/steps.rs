//! Every step of every flow that comes with the program, as it stands on a small screen.

use super::bench::{Bench, begun, shipped};
use super::pictures::cut_rows;
use crate::engine::event::What;
use crate::flow::answer::Answer;
use crate::flow::model::{PromptKind, Step};
use crate::flow::shelf::Shelved;
use crate::flow::target::Target;
use crate::tui::keys::Context;
use crate::units::{Dimension, Quantity};

/// A job that stands at a step: facts given, cautions accepted.
pub fn standing_at(shelved: &Shelved, step: &Step) -> Vec<What> {
    let flow = &shelved.flow;
    let mut events = begun("rough idle", &shelved.text);
    events.extend(flow.facts.iter().map(|fact| What::FactNoted {
        fact: fact.id.clone(),
        value: some_answer(&fact.kind),
        confirmed: false,
        by_settings: false,
    }));
    events.push(What::StepSkipped {
        step: flow.steps[0].id.clone(),
        go: Target::Step(step.id.clone()),
        reason: "for the test".to_owned(),
    });
    let cautions = flow.cautions.iter().chain(&step.cautions);
    events.extend(cautions.map(|caution| What::CautionAccepted {
        caution: caution.clone(),
    }));
    events
}

fn some_answer(kind: &PromptKind) -> Answer {
    match kind {
        PromptKind::Quantity(q) => match q.plausible {
            // Things are counted in whole numbers.
            Some((from, _)) if q.unit.dimension() == Dimension::Count => Answer::Quantity(from),
            Some((from, to)) => {
                let unit = to.unit();
                let middle = unit.from_si(f64::midpoint(from.si(), to.si()));
                Answer::Quantity(Quantity::new(middle, unit).unwrap())
            }
            None => Answer::Quantity(Quantity::new(1.0, q.unit).unwrap()),
        },
        PromptKind::Choice(words) => Answer::Choice(words[0].clone()),
        _ => Answer::Text("some".to_owned()),
    }
}

/// The screens at a step of a shipped flow.
pub fn at(flow: &str, step: &str) -> Bench {
    let shelved = shipped().find(flow).unwrap();
    Bench::on_job(standing_at(shelved, shelved.flow.step(step).unwrap()))
}

/// Stops the test unless all words of each text are on screen, in order; others may stand between them, such as
/// those of a clock beside the text.
fn has(screen: &str, texts: &[&str]) {
    for text in texts {
        let mut words = screen.split_whitespace();
        for word in text.split_whitespace() {
            assert!(
                words.any(|seen| seen == word),
                "`{word}` of `{text}` is not on\n{screen}"
            );
        }
    }
}

#[test]
fn at_80_by_24_instruction_and_warning_are_on_screen_before_the_first_answer_of_every_step() {
    let mut by_itself = 0;
    for shelved in shipped().iter() {
        for step in &shelved.flow.steps {
            let mut bench = Bench::on_job(standing_at(shelved, step));
            bench.resize(60, 20);
            let small = bench.screen();
            assert_eq!(cut_rows(&small), [""; 0], "{}:\n{small}", step.id);
            has(&small, &[&step.title]);
            bench.resize(80, 24);
            let mut screen = bench.screen();
            has(&screen, &[&step.text, &step.beware]);
            if bench.driver.model.context() == Context::Brief {
                by_itself += 1;
                let on = if step.record.is_empty() {
                    "It is read: go on to what comes next"
                } else {
                    "It is read: go on to what is asked"
                };
                bench.sees(on).keys("<Enter>");
                assert_ne!(bench.driver.model.context(), Context::Brief, "{}", step.id);
                screen = bench.screen();
            }
            // The question itself is seen in whole as well.
            if let Some(asked) = bench.driver.model.asked() {
                has(&screen, &[&asked.prompt.ask, &asked.prompt.help]);
            }
        }
    }
    assert!(by_itself > 0);
}

#[test]
fn a_step_that_does_not_fit_beside_its_question_is_read_first_and_can_be_read_again() {
    let mut b = at("intake-leak", "search");
    b.sees("A fan or an open door hides a wisp.")
        .sees_not("brake booster\n")
        .keys("1")
        .sees("It is read: go on");
    b.keys("<Enter>")
        .sees("Where does smoke show, and how strongly?")
        .sees("[ ] tailpipe");
    b.keys("<Esc>").sees("A fan or an open door hides a wisp.");
    b.keys("<Enter> <Enter>").sees("All is read:");
    // On a large screen there is nothing to be shown apart.
    let mut b = at("intake-leak", "search");
    b.resize(140, 40)
        .sees_not("It is read: go on")
        .sees("What fools people: Smoke at the tailpipe")
        .sees("Where does smoke show, and how strongly?");
}

#[test]
fn a_fact_about_the_workshop_is_headed_as_one() {
    let shelved = shipped().find("intake-leak").unwrap();
    let mut events = standing_at(shelved, &shelved.flow.steps[0]);
    events.truncate(2);
    let mut b = Bench::on_job(events);
    b.sees("How does the engine meter its air?")
        .sees("(about the vehicle; 1 of 3)")
        .keys("1<Enter>1<Enter>")
        .sees("Height of the workshop above sea level")
        .sees("(about the workshop; 3 of 3)");
    b.typed("250")
        .keys("<Enter><F4>")
        .sees("altitude: 250 m about the workshop");
    b.keys("<Esc><F5>")
        .sees("about the workshop: altitude is 250 m");
}

#[test]
fn the_stop_compares_in_one_unit_and_shows_only_what_the_limit_is_about() {
    let mut b = at("intake-leak", "blocked-tip");
    b.typed("0.1")
        .keys("<Enter>")
        .typed("1.2 psi")
        .keys("<Enter>");
    b.sees("STOP: a limit was passed")
        .sees("1.2 psi (8.274 kPa)")
        .sees("1.015 psi (7 kPa)")
        .sees("Smoke into the intake:")
        .sees("Eye protection:")
        .sees_not("Running engine")
        .sees_not("No ignition source");
    let mut b = at("vapour-large-leak", "blocked-tip");
    b.keys("1<Enter>0<Enter>")
        .sees("Never above 27.68 inH2O (1 psi)");
    b.typed("30")
        .keys("<Enter>")
        .sees("30 inH2O")
        .sees("27.68 inH2O");
}
