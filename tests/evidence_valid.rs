//! What does not count as evidence: readings that are not valid and what was seen in the same set-up; and that odds alone
//! lead to no repair.

use std::collections::BTreeMap;

use ruleout::engine::prompt::parse;
use ruleout::flow::model::Flow;
use ruleout::flow::shelf::Shelf;
use ruleout::rules::evidence::guards::choice;
use ruleout::rules::evidence::inquiry::{Asked, Inquiry, inquire, inquire_with};
use ruleout::rules::evidence::next::Step;
use ruleout::rules::evidence::reasons::moves;
use ruleout::rules::evidence::simulated::{Simulated, facts};
use ruleout::rules::evidence::told::Round;

fn intake() -> Flow {
    (*Shelf::shipped().find("intake-leak").unwrap().flow).clone()
}

fn round(flow: &Flow, answers: &[(&str, &str)]) -> Round {
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

#[test]
fn no_repair_is_suggested_before_anything_is_read_however_many_jobs_its_odds_come_from() {
    let flow = intake();
    let odds = BTreeMap::from([("vacuum-hose".to_owned(), 0.995)]);
    let inquiry = ask(&flow, &[Round::default()], &odds);
    // By the minutes alone it would be.
    let first = &inquiry.candidates[0];
    assert!(matches!(first.step, Step::Repair(_)), "{first:?}");
    let chosen = choice(&inquiry, false).unwrap();
    assert!(
        matches!(chosen.step, Step::Test(_) | Step::SetUp(_)),
        "{chosen:?}"
    );
}

/// A hose that smokes steadily and a wisp at the breather; the hose is covered, in the bay and on the running engine.
fn proved_hose(flow: &Flow) -> Round {
    round(
        flow,
        &[
            ("metering", "air mass"),
            ("banks", "1"),
            ("altitude", "200 m"),
            ("fuelling-loop", "closed"),
            ("purge-line", "shut"),
            ("idle-airflow", "3.2 g/s"),
            ("idle-manifold", "34 kPa"),
            ("idle-short-1", "6 %"),
            ("idle-long-1", "12 %"),
            ("cruise-airflow", "11 g/s"),
            ("cruise-manifold", "30 kPa"),
            ("cruise-short-1", "2 %"),
            ("cruise-long-1", "5 %"),
            ("blocked-flow", "0 L/min"),
            ("blocked-pressure", "3.4 kPa"),
            ("float-steady", "steady"),
            ("smoke-flow", "15 L/min"),
            ("smoke-pressure", "3.2 kPa"),
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
        ],
    )
}

#[test]
fn the_running_proof_of_a_covered_place_speaks_for_what_sits_there_and_for_nothing_else() {
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
    let cars = Simulated::of(&flows, &facts(&flows, &rounds), 2, 3, 150).unwrap();
    let by_cars = inquire_with(&asked, |joined| Some(Box::new(cars.source(joined)))).unwrap();
    for (by, inquiry) in [("words", inquire(&asked).unwrap()), ("cars", by_cars)] {
        let mut causes = inquiry.joined.causes.iter();
        let n = causes.position(|c| c.id == "vacuum-hose").unwrap();
        assert!(inquiry.explains[n] > 0.9, "{by}: {}", inquiry.explains[n]);
        for (other, p) in inquiry.joined.causes.iter().zip(&inquiry.explains) {
            let is_it = other.id == "vacuum-hose";
            // Words know no sizes: to them a wisp is smoke at that place as well.
            let least = if by == "words" { 0.9 } else { 0.2 };
            assert!(is_it || *p < least, "{by}, {}: {p}", other.id);
        }
        for moved in moves(&inquiry) {
            let covers = moved.id.starts_with("proof-drop") || moved.id == "explained";
            assert!(!covers || moved.by[n] > -0.05, "{by}: {moved:?}");
        }
    }
}
