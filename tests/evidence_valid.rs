//! What does not count as evidence: readings that are not valid and what was seen in the same set-up; and that odds alone
//! lead to no repair.

use std::collections::BTreeMap;

use ruleout::engine::prompt::parse;
use ruleout::flow::model::Flow;
use ruleout::flow::shelf::Shelf;
use ruleout::rules::evidence::guards::choice;
use ruleout::rules::evidence::inquiry::{Asked, Inquiry, inquire};
use ruleout::rules::evidence::next::Step;
use ruleout::rules::evidence::told::Round;

fn intake() -> Flow {
    Shelf::shipped().find("intake-leak").unwrap().flow.clone()
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
        told.push(("seen-at", "intake gasket (heavy)"));
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
    let odds = BTreeMap::from([("vacuum-hose".to_owned(), 0.93)]);
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
