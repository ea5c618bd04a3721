//! What does not count as evidence: readings that are not valid and what was seen in the same set-up; and what a place that
//! was covered and proved speaks for.

use std::collections::BTreeMap;

use crate::evidence_cars::LEAN;
use ruleout::engine::prompt::parse;
use ruleout::flow::load::causes::NOT_LISTED;
use ruleout::flow::model::Flow;
use ruleout::flow::shelf::Shelf;
use ruleout::rules::evidence::guards::choice;
use ruleout::rules::evidence::inquiry::{Asked, Inquiry, inquire};
use ruleout::rules::evidence::joined::Joined;
use ruleout::rules::evidence::likelihood::Source;
use ruleout::rules::evidence::more::inquire_by_cars;
use ruleout::rules::evidence::next::Step;
use ruleout::rules::evidence::reasons::moves;
use ruleout::rules::evidence::simulated::{Simulated, facts};
use ruleout::rules::evidence::told::Round;

fn intake() -> Flow {
    (*Shelf::shipped().find("intake-leak").unwrap().flow).clone()
}

/// What was read and said, in the order of the list.
pub fn round(flow: &Flow, answers: &[(&str, &str)]) -> Round {
    let mut round = Round::default();
    for (id, text) in answers {
        let prompt = flow.prompt(id).unwrap();
        let answer = parse(prompt, text).unwrap();
        round.answers.insert((*id).to_owned(), answer);
        if flow.reading(id).is_some() {
            round.order.push((*id).to_owned());
        }
    }
    round
}

fn ask<'f>(flow: &'f Flow, rounds: &[Round], odds: &BTreeMap<String, f64>) -> Inquiry<'f> {
    inquire(&Asked {
        flows: &[flow],
        rounds,
        together: 2,
        not_available: &[],
        odds,
    })
    .unwrap()
}

fn present(inquiry: &Inquiry, cause: &str) -> f64 {
    let mut causes = inquiry.joined.causes.iter();
    inquiry.present[causes.position(|c| c.id == cause).unwrap()]
}

/// The facts of the car, and the float and gauge of the smoke unit.
fn filled(pressure: &str) -> Vec<(&'static str, String)> {
    let facts = [
        ("metering", "air mass"),
        ("float-steady", "steady"),
        ("smoke-flow", "20 L/min"),
    ];
    let mut all: Vec<(&str, String)> = facts.map(|(id, text)| (id, text.to_owned())).to_vec();
    all.push(("smoke-pressure", pressure.to_owned()));
    all
}

#[test]
fn smoke_that_was_seen_while_the_gauge_stood_at_nothing_speaks_of_no_cause() {
    let flow = intake();
    let nothing = BTreeMap::new();
    for (pressure, counts) in [("0 kPa", false), ("3 kPa", true)] {
        let told = filled(pressure);
        let mut told: Vec<(&str, &str)> = told.iter().map(|(id, t)| (*id, t.as_str())).collect();
        let before = present(
            &ask(&flow, &[round(&flow, &told)], &nothing),
            "intake-gasket",
        );
        told.push(("seen-at", "intake gasket = heavy"));
        let inquiry = ask(&flow, &[round(&flow, &told)], &nothing);
        let after = present(&inquiry, "intake-gasket");
        assert_eq!(
            after > before + 0.05,
            counts,
            "{pressure}: {before} {after}"
        );
        let mut silent = inquiry.told.silent.iter();
        let says_why = silent.any(|(_, why)| why == "what it was seen in was not valid");
        assert_eq!(says_why, !counts, "{:?}", inquiry.told.silent);
    }
}

/// A hose that smokes steadily and a wisp at the breather; the hose is covered, in the bay and on the running engine.
fn proved_hose(flow: &Flow) -> Round {
    let found = [
        ("seen-at", "vacuum hose = steady, crankcase breather = wisp"),
        ("shaft-smoke", "none"),
        ("covered-place", "vacuum hose"),
        ("covered-flow", "5 L/min"),
        ("covered-pressure", "3.2 kPa"),
        ("places-left", "yes"),
        ("ready-to-start", "all of it"),
        ("proof-possible", "possible"),
        ("proof-short-1", "0 %"),
        ("proof-long-1", "1 %"),
    ];
    round(flow, &[&LEAN[..], &found].concat())
}

#[test]
fn the_running_proof_of_a_covered_place_speaks_for_what_sits_there() {
    let flow = intake();
    let (flows, odds) = ([&flow], BTreeMap::new());
    let rounds = [proved_hose(&flow)];
    let asked = Asked {
        flows: &flows,
        rounds: &rounds,
        together: 2,
        not_available: &[],
        odds: &odds,
    };
    let inquiry = inquire(&asked).unwrap();
    let mut causes = inquiry.joined.causes.iter();
    let n = causes.position(|c| c.id == "vacuum-hose").unwrap();
    // Words know no sizes: a wisp beside it keeps its odds, but what was covered and proved comes first.
    let others = inquiry.explains.iter().enumerate();
    let most = others
        .max_by(|one, other| one.1.total_cmp(other.1))
        .unwrap();
    assert_eq!(most.0, n, "{:?}", inquiry.explains);
    for moved in moves(&inquiry) {
        let covers = moved.id.starts_with("proof-drop") || moved.id == "explained";
        assert!(!covers || moved.by[n] > -0.05, "{moved:?}");
    }
}

/// Of each cause how probable it is that it is there, and that it explains the complaint: by simulated cars, with more of
/// them where few show what was read, as on the screens.
pub fn by_cars(flow: &Flow, round: Round) -> BTreeMap<String, [f64; 2]> {
    let (flows, odds, rounds) = ([flow], BTreeMap::new(), [round]);
    let asked = Asked {
        flows: &flows,
        rounds: &rounds,
        together: 2,
        not_available: &[],
        odds: &odds,
    };
    let cars = Simulated::of(&flows, &facts(&flows, &rounds), 2, 3, 300).unwrap();
    let source = |joined: &Joined, cars: &Simulated| -> Option<Box<dyn Source>> {
        Some(Box::new(cars.source(joined)))
    };
    let (inquiry, _) = inquire_by_cars(&asked, &cars, source).unwrap();
    let figures = inquiry.present.iter().zip(&inquiry.explains);
    let causes = inquiry.joined.causes.iter().zip(figures);
    let of = |(present, explains): (&f64, &f64)| [*present, *explains];
    causes
        .map(|(c, figures)| (c.id.clone(), of(figures)))
        .collect()
}

#[test]
fn a_wisp_beside_a_place_that_was_covered_and_proved_explains_next_to_nothing() {
    let flow = intake();
    let proved = by_cars(&flow, proved_hose(&flow));
    assert!(proved["vacuum-hose"][1] > 0.85, "{proved:?}");
    assert!(proved["crankcase-breather"][1] < 0.10, "{proved:?}");
    // Covered though it showed less than the other, the place is not where the cars cover theirs: nothing more is
    // taken from which was covered, and the other keeps its share.
    let mut weaker = proved_hose(&flow);
    let seen = parse(
        flow.prompt("seen-at").unwrap(),
        "vacuum hose = wisp, crankcase breather = steady",
    );
    weaker.answers.insert("seen-at".to_owned(), seen.unwrap());
    let weaker = by_cars(&flow, weaker);
    assert!(weaker["crankcase-breather"][1] > 0.10, "{weaker:?}");
}

#[test]
fn no_repair_is_listed_before_anything_was_read_whatever_the_odds() {
    for shelved in Shelf::shipped().iter() {
        let flow = &*shelved.flow;
        for likely in flow.causes.iter().filter(|cause| cause.id != NOT_LISTED) {
            // As extreme as learned odds can be.
            let odds = |cause: &str| if cause == likely.id { 0.9999 } else { 0.0001 };
            let causes = flow.causes.iter().map(|cause| cause.id.clone());
            let odds = causes.map(|id| (id.clone(), odds(&id))).collect();
            let inquiry = ask(flow, &[Round::default()], &odds);
            let mut repairs = inquiry.candidates.iter();
            let repair = repairs.find(|listed| matches!(listed.step, Step::Repair(_)));
            assert!(repair.is_none(), "{} {}: {repair:?}", flow.id, likely.id);
            let advised = choice(&inquiry, true).unwrap();
            let test = matches!(advised.step, Step::Test(_) | Step::SetUp(_));
            assert!(test, "{} {}: {advised:?}", flow.id, likely.id);
        }
    }
}

#[test]
fn a_repair_is_advised_once_a_reading_speaks_for_it() {
    let flow = intake();
    let found = [("seen-at", "vacuum hose = heavy"), ("shaft-smoke", "none")];
    let read = [round(&flow, &[&LEAN[..], &found].concat())];
    let odds = BTreeMap::from([("vacuum-hose".to_owned(), 0.9)]);
    let inquiry = ask(&flow, &read, &odds);
    let advised = choice(&inquiry, true).unwrap();
    assert!(matches!(advised.step, Step::Repair(_)), "{advised:?}");
}
