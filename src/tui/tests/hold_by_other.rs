//! Holds that the flow works out otherwise than by a decay or a share: by a test hole opened for a
//! second one, and by the fall alone. The shipped flow of small leaks of fuel vapour.

use super::bench::{Bench, begun, shipped};
use crate::engine::event::What;
use crate::flow::answer::Answer;
use crate::flow::target::Target;

const FACTS: [(&str, &str); 3] = [
    ("sealed-tank", "no"),
    ("tank-volume", "60 L"),
    ("altitude", "200 m"),
];

const READ: [(&str, &str); 8] = [
    ("fuel-level", "50 %"),
    ("supply-gas", "nitrogen"),
    ("blocked-pressure", "14 inH2O"),
    ("open-flow", "12 L/min"),
    ("hold-start", "14 inH2O"),
    ("hold-end", "9 inH2O"),
    ("warmth-start", "20 C"),
    ("warmth-end", "20 C"),
];

fn answer(text: &str) -> Answer {
    text.parse()
        .map_or_else(|_| Answer::Choice(text.to_owned()), Answer::Quantity)
}

/// A job at a step of the flow, where the closed hold was read before.
fn at(step: &str) -> Bench {
    let shelved = shipped().find("vapour-small-leak").unwrap();
    let flow = &shelved.flow;
    let mut what = begun("smells of fuel", &shelved.text);
    what.extend(FACTS.iter().map(|(fact, value)| What::FactNoted {
        fact: (*fact).to_owned(),
        value: answer(value),
        confirmed: false,
        by_settings: false,
    }));
    let to = |from: &str, to: &str| What::StepSkipped {
        step: from.to_owned(),
        go: Target::Step(to.to_owned()),
        reason: "for the test".to_owned(),
    };
    what.push(to("save-data", "hold"));
    what.extend(READ.iter().map(|(reading, value)| What::ReadingTaken {
        reading: (*reading).to_owned(),
        value: answer(value),
        confirmed: false,
        carried_from: None,
        from_file: None,
    }));
    what.push(to("hold", step));
    let own = &flow.step(step).unwrap().cautions;
    let cautions = flow.cautions.iter().chain(own);
    what.extend(cautions.map(|caution| What::CautionAccepted {
        caution: caution.clone(),
    }));
    let mut b = Bench::on_job(what);
    b.samples = true;
    if b.screen().contains("> Enter") {
        b.keys("<Enter>");
    }
    b
}

fn samples(b: &Bench) -> Vec<String> {
    let what = b.record().into_iter();
    what.filter_map(|what| match what {
        What::SampleTaken { reading, after, .. } => Some(format!("{reading} {after}")),
        _ => None,
    })
    .collect()
}

#[test]
fn with_the_place_covered_the_clock_begins_as_the_start_is_read() {
    let mut b = at("cover");
    b.wait(300)
        .sees("Place covered - gauge as the supply is shut");
    let timer = b.driver.model.timer().unwrap();
    assert_eq!((timer.waits, timer.left), (true, 120));
    b.keys("14<Enter>").sees("02:00 left of 02:00");
    b.sees("fall left when covered is below 50 %");
    b.keys("20<Enter>");
    b.wait(60).keys("13.8<Enter>");
    assert_eq!(samples(&b), ["covered-end 60 s"]);
    b.sees("fall left when covered")
        .sees("if it goes on like this")
        .sees("~ fall left when covered is below 50 %, so far: yes");
    b.wait(61).sees("TIME IS UP: read now");
    b.keys("13.6<Enter>20.1<Enter>").sees("Which part is it?");
}

#[test]
fn what_the_cover_leaves_is_told_by_the_criterion_that_half_the_fall_sets() {
    let mut b = at("cover");
    b.keys("14<Enter>20<Enter>");
    let (_, going) = b.driver.model.going().unwrap();
    // 5 inH2O were lost open: half of that, from 14.
    let [(_, [(_, level), _])] = &going.lines[..] else {
        panic!("{:?}", going.lines);
    };
    let inch = 249.088_908;
    assert!((level / inch - 11.5).abs() < 0.01, "{}", level / inch);
    b.wait(40).keys("11<Enter>");
    b.sees("= fall left when covered is below 50 %: no");
}

#[test]
fn with_the_test_hole_open_the_clock_begins_as_the_start_is_read() {
    let mut b = at("test-hole");
    b.keys("0.5<Enter>").wait(300);
    b.sees("Test hole open - gauge as the supply is shut");
    let timer = b.driver.model.timer().unwrap();
    assert_eq!((timer.waits, timer.left), (true, 120));
    b.keys("14<Enter>").sees("02:00 left of 02:00");
    b.wait(60).keys("8<Enter>");
    assert_eq!(samples(&b), ["open-end 60 s"]);
    b.sees("own leak by the test hole")
        .sees("if it goes on like this");
    b.wait(61).sees("TIME IS UP: read now");
}

#[test]
fn a_field_that_is_no_gauge_is_named_while_the_clock_runs() {
    let mut b = at("hold");
    b.keys("14<Enter>")
        .sees("First: Temperature of the tank's wall as the hold begins")
        .sees_not("Type the gauge now and then");
    b.keys("20<Enter>").sees("Type the gauge now and then");
}

#[test]
fn the_height_of_the_workshop_is_offered_from_the_settings_and_the_record_says_so() {
    let shelved = shipped().find("vapour-small-leak").unwrap();
    let mut what = begun("smells of fuel", &shelved.text);
    let known = FACTS.iter().filter(|(fact, _)| *fact != "altitude");
    what.extend(known.map(|(fact, value)| What::FactNoted {
        fact: (*fact).to_owned(),
        value: answer(value),
        confirmed: false,
        by_settings: false,
    }));
    let b = Bench::on_job(what);
    let (mut b, _folder) = super::settings::with_settings(b, "altitude: 230 m\n");
    b.keys("<F12>1<Enter>")
        .sees("230 m by the workshop's settings · Enter takes it");
    b.keys("<Enter>");
    assert!(matches!(
        b.last(),
        What::FactNoted {
            by_settings: true,
            ..
        }
    ));
    b.keys("<F5>")
        .sees("altitude is 230 m, by the workshop's settings");
}
