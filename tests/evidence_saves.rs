//! What a suggestion is said to save is what its own list says: from every state of every demo job and of a simulated
//! car in every shipped flow, the minutes in the words are the difference of the figures beside them.

use crate::jobs;
use std::collections::BTreeMap;

use ruleout::engine::event::What;
use ruleout::engine::fold::fold;
use ruleout::engine::job::Job;
use ruleout::flow::shelf::Shelf;
use ruleout::flow::target::Target;
use ruleout::plant::car::Car;
use ruleout::plant::dice::Dice;
use ruleout::plant::drive::Drive;
use ruleout::plant::plan::Plan;
use ruleout::plant::spread::Spread;
use ruleout::rules::advice::{Advice, Question, Way, advise, with_flows};
use ruleout::rules::evidence::inquiry::{Asked, Inquiry, inquire, inquire_with};
use ruleout::rules::evidence::next::Step;
use ruleout::rules::evidence::reasons::of;
use ruleout::rules::evidence::simulated::{Simulated, facts};
use ruleout::rules::evidence::told::Round;

/// Cars with each cause alone: few, since what is said must fit the list whatever the figures are.
const FEW: usize = 6;
/// One state of so many is looked at by cars as well as by words: the cars take the time.
const BY_CARS: usize = 4;

/// The whole minutes of the stretch of time before a phrase: "54 min", "2 h", "7 h 31 min".
fn minutes(because: &str, phrase: &str) -> Option<f64> {
    let before = &because[..because.find(phrase)?];
    let mut words = before.rsplit(' ');
    let mut sum = 0.0;
    let mut known = false;
    while let Some(unit) = words.next().and_then(|unit| match unit {
        "min" => Some(1.0),
        "h" => Some(60.0),
        _ => None,
    }) {
        let number: f64 = words.next()?.parse().ok()?;
        sum += number * unit;
        known = true;
    }
    known.then_some(sum)
}

/// Whether nothing is read before something is done about the complaint.
fn needs_no_test(way: &Way) -> bool {
    way.step.is_none() && !matches!(way.go, Some(Target::Step(_)))
}

fn listed(ways: &[Way], which: impl Fn(&Way) -> bool) -> Option<f64> {
    let fitting = ways.iter().filter(|way| which(way));
    fitting
        .map(|way| way.expected)
        .reduce(f64::min)
        .map(f64::round)
}

/// The list of a job says what its words say.
fn fits(advice: &Advice, where_: &str) -> usize {
    let mut told = 0;
    for way in &advice.ways {
        let own = way.expected.round();
        if let Some(saved) = minutes(&way.because, " on average against") {
            let other =
                listed(&advice.ways, needs_no_test).expect("what it is held against is listed");
            assert!(
                (saved - (other - own)).abs() < 0.5,
                "{where_}: {way:#?}\n{:#?}",
                advice.ways
            );
            told += 1;
        }
        if let Some(more) = minutes(&way.because, " more than ")
            && !way.because.contains("more than it saves")
        {
            let (_, name) = way.because.split_once(" more than ").unwrap();
            let than = listed(&advice.ways, |other| other.words.starts_with(name));
            assert_eq!(
                Some(more),
                than.map(|than| own - than),
                "{where_}: {way:#?}"
            );
            told += 1;
        }
    }
    told
}

/// Whether an event may change what is advised.
fn tells(what: &What) -> bool {
    matches!(
        what,
        What::FlowBegun { .. }
            | What::ReadingTaken { .. }
            | What::RepairDone { .. }
            | What::RetestBegun { .. }
    )
}

fn cars_for<'c>(kept: &'c mut BTreeMap<String, Simulated>, job: &Job) -> &'c Simulated {
    with_flows(job, |asked: &Asked| {
        let facts = facts(asked.flows, asked.rounds);
        let key = Simulated::key(asked.flows, &facts, asked.together, 1, FEW);
        kept.entry(key)
            .or_insert_with(|| Simulated::of(asked.flows, &facts, asked.together, 1, FEW).unwrap())
    })
}

#[test]
fn at_every_state_of_the_demo_jobs_the_minutes_saved_are_the_difference_in_the_list() {
    let (mut told, mut states, mut kept) = (0, 0, BTreeMap::new());
    for (name, story) in jobs::all() {
        for n in 1..=story.events.len() {
            if !tells(&story.events[n - 1].what) {
                continue;
            }
            let job = fold(&story.events[..n]);
            states += 1;
            let by_cars = (states % BY_CARS == 0).then(|| cars_for(&mut kept, &job));
            for cars in std::iter::once(None).chain(by_cars.map(Some)) {
                let question = Question {
                    cars,
                    ..Question::default()
                };
                let advice = advise(&job, question).unwrap();
                told += fits(&advice, &format!("{name}, event {n}"));
            }
        }
    }
    assert!(told > 500, "{told}");
}

/// What every candidate is said to save against the best without a test.
fn candidates_fit(inquiry: &Inquiry, where_: &str) -> usize {
    let is_test = |step: Step| matches!(step, Step::Test(_) | Step::SetUp(_));
    let listed = &inquiry.candidates;
    let without = listed.iter().find(|c| !is_test(c.step)).unwrap();
    let mut told = 0;
    for candidate in listed.iter().filter(|c| is_test(c.step)) {
        let suggestion = of(inquiry, candidate);
        let apart = without.expected.round() - candidate.expected.round();
        assert_eq!(
            suggestion.saves,
            (apart > 0.0).then_some(apart),
            "{where_}: {suggestion:#?}"
        );
        told += 1;
    }
    told
}

#[test]
fn in_every_shipped_flow_the_minutes_saved_are_the_difference_in_the_list() {
    let (shelf, odds) = (Shelf::shipped(), BTreeMap::new());
    let mut told = 0;
    for shelved in shelf.iter() {
        let flow = &*shelved.flow;
        let plan = Plan::of(flow);
        let cause = flow.causes[0].id.as_str();
        let car = Car::draw(
            &plan,
            &BTreeMap::new(),
            &[cause],
            &Spread::EXPECTED,
            &mut Dice::new(7),
        );
        let mut round = Round {
            answers: car.facts.clone(),
            ..Round::default()
        };
        let flows = [flow];
        let cars = Simulated::of(
            &flows,
            &facts(&flows, std::slice::from_ref(&round)),
            2,
            1,
            FEW,
        )
        .unwrap();
        let mut drive = Drive::new(&plan, car);
        for step in &flow.steps {
            let rounds = [round.clone()];
            let asked = Asked {
                flows: &flows,
                rounds: &rounds,
                together: 2,
                not_available: &[],
                odds: &odds,
            };
            let place = format!("{} before {}", flow.id, step.id);
            told += candidates_fit(&inquire(&asked).unwrap(), &place);
            let by_cars = inquire_with(&asked, |joined| Some(Box::new(cars.source(joined))));
            told += candidates_fit(&by_cars.unwrap(), &place);
            let taken = drive.at(step, &round.answers);
            round.order.extend(taken.keys().cloned());
            round.answers.extend(taken);
        }
    }
    assert!(told > 300, "{told}");
}
