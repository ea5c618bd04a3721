//! From a flow and what was read to the causes and the next step.

use crate::jobs;
use crate::support;
use std::collections::{BTreeMap, BTreeSet};

use ruleout::engine::action::Action;
use ruleout::engine::event::{PartWas, What};
use ruleout::engine::fold::fold;
use ruleout::engine::prompt::parse;
use ruleout::flow::load::load;
use ruleout::flow::model::Flow;
use ruleout::flow::shelf::Shelf;
use ruleout::plant::car::Car;
use ruleout::plant::dice::Dice;
use ruleout::plant::plan::Plan;
use ruleout::plant::spread::Spread;
use ruleout::rules::advice::{Question, advise};
use ruleout::rules::evidence::inquiry::{Asked, Inquiry, inquire};
use ruleout::rules::evidence::learned::{Proved, learned, odds, proved};
use ruleout::rules::evidence::next::Step;
use ruleout::rules::evidence::of_job;
use ruleout::rules::evidence::parts::complains;
use ruleout::rules::evidence::reasons::{moves, suggestion};
use ruleout::rules::evidence::sets::Set;
use ruleout::rules::evidence::told::{Repaired, Round};
use ruleout::rules::evidence::why::log_odds;

/// A drain with two causes, a choice and a number: small enough to reckon by hand.
const DRAIN: &str = include_str!("fixtures/two_causes.yaml");

fn drain() -> Flow {
    let loaded = load(DRAIN);
    loaded
        .flow
        .unwrap_or_else(|| panic!("{:?}", loaded.findings))
}

fn round(flow: &Flow, answers: &[(&str, &str)]) -> Round {
    let mut round = Round::default();
    for (id, text) in answers {
        let prompt = flow.prompt(id).unwrap_or_else(|| panic!("{id}"));
        round
            .answers
            .insert((*id).to_owned(), parse(prompt, text).unwrap());
        if flow.reading(id).is_some() {
            round.order.push((*id).to_owned());
        }
    }
    round
}

fn ask<'f>(flows: &[&'f Flow], rounds: &[Round], without: &[&str]) -> Inquiry<'f> {
    let not_available: Vec<String> = without.iter().map(|g| (*g).to_owned()).collect();
    inquire(&Asked {
        flows,
        rounds,
        together: 2,
        not_available: &not_available,
        odds: &BTreeMap::new(),
    })
    .unwrap()
}

fn of(inquiry: &Inquiry, cause: &str) -> (f64, f64) {
    let n = inquiry
        .joined
        .causes
        .iter()
        .position(|c| c.id == cause)
        .unwrap();
    (inquiry.present[n], inquiry.explains[n])
}

fn intake() -> Flow {
    (*Shelf::shipped().find("intake-leak").unwrap().flow).clone()
}

const SYMPTOM: [(&str, &str); 13] = [
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
];

const SMOKE: [(&str, &str); 6] = [
    ("blocked-flow", "0 L/min"),
    ("blocked-pressure", "3.4 kPa"),
    ("float-steady", "steady"),
    ("smoke-flow", "8 L/min"),
    ("smoke-pressure", "3.3 kPa"),
    ("seen-at", "throttle shaft = wisp"),
];

const COVERED: [(&str, &str); 5] = [
    ("shaft-smoke", "wisp"),
    ("covered-place", "throttle shaft"),
    ("covered-flow", "7.4 L/min"),
    ("covered-pressure", "3.3 kPa"),
    ("places-left", "no"),
];

#[test]
fn a_posterior_is_what_pencil_and_paper_give() {
    let flow = drain();
    let inquiry = ask(&[&flow], &[round(&flow, &[("water", "runs slowly")])], &[]);
    // Sets of up to two out of leaf 0.5, kink 0.25, not listed 0.1; prior by odds.
    let odds: [f64; 3] = [0.5, 0.25, 0.1];
    let sets: [&[usize]; 6] = [&[0], &[1], &[2], &[0, 1], &[0, 2], &[1, 2]];
    let prior = |set: &[usize]| -> f64 {
        (0..3)
            .map(|c| {
                if set.contains(&c) {
                    odds[c]
                } else {
                    1.0 - odds[c]
                }
            })
            .product()
    };
    // Outcomes in the order runs freely, runs slowly, stands still. Healthy: very likely freely
    // (0.875), the rest to both others alike. Leaf: likely slowly, unlikely stands (0.675, 0.325).
    // Kink: very likely stands (0.875), the rest pushes nothing. Not listed: read while nothing is
    // apart, so half nothing, half as the listed ones by their odds.
    let healthy = [0.875, 0.0625, 0.0625];
    let leaf = [0.0, 0.675, 0.325];
    let kink = [0.125, 0.0, 0.875];
    let unlisted: Vec<f64> = (0..3)
        .map(|o| {
            let quiet = if o == 0 { 0.5 } else { 0.0 };
            quiet + 0.5 * (0.5 * leaf[o] + 0.25 * kink[o]) / 0.75
        })
        .collect();
    let rows: [&[f64]; 3] = [&leaf, &kink, &unlisted];
    // The worst of what is drawn is seen: slowly, if all draw slowly or better and not all freely.
    let slowly = |set: &[usize]| -> f64 {
        let upto = |o: usize| -> f64 {
            let own: f64 = healthy[..=o].iter().sum();
            set.iter()
                .map(|c| rows[*c][..=o].iter().sum::<f64>())
                .product::<f64>()
                * own
        };
        0.999 * (upto(1) - upto(0)) + 0.001 / 3.0
    };
    let weight: Vec<f64> = sets.iter().map(|s| prior(s) * slowly(s)).collect();
    let total: f64 = weight.iter().sum();
    for (cause, id) in ["leaf", "kink", "not-listed"].iter().enumerate() {
        let has = sets.iter().zip(&weight).filter(|(s, _)| s.contains(&cause));
        let wanted = has.map(|(_, w)| w).sum::<f64>() / total;
        let got = of(&inquiry, id).0;
        assert!((got - wanted).abs() < 1e-12, "{id}: {got} is not {wanted}");
    }
}

#[test]
fn what_each_reading_did_adds_up_to_the_whole_on_every_way_of_telling() {
    let flow = intake();
    let all: Vec<(&str, &str)> = SYMPTOM
        .iter()
        .chain(&SMOKE)
        .chain(&COVERED)
        .copied()
        .collect();
    let mut first = round(&flow, &all);
    first.repaired.push(Repaired {
        cause: "throttle-shaft".to_owned(),
        part_was: PartWas::Bad,
        in_vain: true,
    });
    let inquiry = ask(&[&flow], &[first, round(&flow, &SYMPTOM)], &[]);
    let prior = inquiry.told.prior.marginals(&inquiry.joined.case);
    let moved = moves(&inquiry);
    assert!(moved.len() > 6, "{moved:?}");
    for (cause, present) in inquiry.present.iter().enumerate() {
        let sum: f64 = moved.iter().map(|m| m.by[cause]).sum();
        let whole = log_odds(*present) - log_odds(prior[cause]);
        assert!((sum - whole).abs() < 1e-12, "{sum} is not {whole}");
    }
}

#[test]
fn a_wisp_is_there_and_explains_little_and_its_share_is_measured_before_anything_is_mended() {
    let flow = intake();
    let seen: Vec<(&str, &str)> = SYMPTOM.iter().chain(&SMOKE).copied().collect();
    let inquiry = ask(&[&flow], &[round(&flow, &seen)], &[]);
    let (present, explains) = of(&inquiry, "throttle-shaft");
    assert!(present > 0.85 && explains < 0.4, "{present} {explains}");
    let next = suggestion(&inquiry, false).unwrap();
    assert_eq!(next.what.kind, "step", "{next:?}");
    let all: Vec<(&str, &str)> = seen.into_iter().chain(COVERED).collect();
    let inquiry = ask(&[&flow], &[round(&flow, &all)], &[]);
    let (present, explains) = of(&inquiry, "throttle-shaft");
    assert!(present > 0.6 && explains < 0.02, "{present} {explains}");
    assert_ne!(
        suggestion(&inquiry, false).unwrap().what.id,
        "throttle-shaft"
    );
    // What was measured speaks of the shaft alone: a hose that hides is about as likely as before anything was read.
    let before = ask(&[&flow], &[Round::default()], &[]);
    let hose = [&before, &inquiry].map(|inquiry| of(inquiry, "vacuum-hose").1);
    assert!(hose[1] > 0.5 * hose[0], "{hose:?}");
    let total: f64 = inquiry.explaining.iter().sum();
    assert!((total - 1.0).abs() < 1e-12);
}

#[test]
fn what_could_not_be_told_or_was_not_valid_says_nothing_and_is_not_asked_at_once_again() {
    let flow = drain();
    let before = ask(&[&flow], &[Round::default()], &[]);
    let untold = ask(&[&flow], &[round(&flow, &[("water", "?")])], &[]);
    assert_eq!(before.present, untold.present);
    assert!(untold.told.changes.is_empty() && untold.told.silent.len() == 1);
    let open = |inquiry: &Inquiry| inquiry.plan().open.len();
    assert_eq!(open(&untold) + 1, open(&before));
    // The pull counts only with the hose joined.
    let pull = [("pull", "6 kPa"), ("joined-up", "no")];
    let not_valid = ask(&[&flow], &[round(&flow, &pull)], &[]);
    assert_eq!(before.present, not_valid.present);
    assert!(not_valid.told.silent[0].1.contains("not valid"));
    let valid = ask(
        &[&flow],
        &[round(&flow, &[("pull", "6 kPa"), ("joined-up", "yes")])],
        &[],
    );
    assert!(of(&valid, "kink").0 > of(&before, "kink").0);
}

#[test]
fn a_step_without_its_gear_is_left_out_with_all_that_needs_it() {
    let flow = intake();
    let smoke = "smoke unit with flow float and pressure gauge";
    let rounds = [round(&flow, &SYMPTOM)];
    let with = ask(&[&flow], &rounds, &[]);
    let without = ask(&[&flow], &rounds, &[smoke]);
    let offered = |inquiry: &Inquiry| -> BTreeSet<String> {
        inquiry
            .plan()
            .open
            .iter()
            .map(|t| inquiry.tests[*t].id.clone())
            .collect()
    };
    for step in ["pressurise", "search", "shaft", "cover"] {
        assert!(offered(&with).contains(step), "{step}");
        assert!(!offered(&without).contains(step), "{step}");
    }
    let best = without.candidates.first().unwrap().step;
    assert!(!matches!(best, Step::Test(_) | Step::SetUp(_)), "{best:?}");
}

#[test]
fn what_is_set_up_is_charged_once_and_steps_that_this_car_never_reaches_are_not_offered() {
    let flow = intake();
    let minutes = |inquiry: &Inquiry, step: &str| {
        let test = inquiry.tests.iter().position(|t| t.id == step).unwrap();
        inquiry.plan().minutes(test, inquiry.steps.in_place)
    };
    let before = ask(&[&flow], &[round(&flow, &SYMPTOM)], &[]);
    // Purge line 3 + 5, inlet and smoke 2 + 8, blocked tip 3, the step itself 4: from the flow.
    assert!(
        (minutes(&before, "pressurise") - 25.0).abs() < 1e-9,
        "{}",
        minutes(&before, "pressurise")
    );
    let seen: Vec<(&str, &str)> = SYMPTOM.iter().chain(&SMOKE).copied().collect();
    let after = ask(&[&flow], &[round(&flow, &seen)], &[]);
    assert!((minutes(&after, "shaft") - 3.0).abs() < 1e-9);
    // On a car with an air meter, the idle control's own step is on no way.
    assert!(before.tests.iter().all(|t| t.id != "idle-control"));
}

#[test]
fn readings_by_which_the_flow_would_repair_close_no_test() {
    let flow = Shelf::shipped();
    let flow = &flow.find("cooling-pressure-hold").unwrap().flow;
    for opens in ["70 kPa", "100 kPa", "130 kPa"] {
        let read = [
            ("cap-rating", "100 kPa"),
            ("cap-opens", opens),
            ("cap-holds", "falls"),
        ];
        let told = [round(flow, &read)];
        let inquiry = ask(&[flow], &told, &[]);
        let tests = inquiry.steps.readings.iter();
        let hold = tests.clone().find(|r| flow.steps[r.step].id == "hold");
        assert!(
            hold.is_some_and(|hold| !hold.done),
            "the hold can be done whatever the cap does, {opens}"
        );
        let next = suggestion(&inquiry, false).unwrap();
        assert_ne!(next.what.kind, "hand-on", "{opens}: {next:?}");
    }
    // Where the flow goes on along another way, what lies on the ones that are closed is still not offered.
    let intake = intake();
    let nothing = [("seen-at", "nowhere"), ("shaft-smoke", "none")];
    let told = [round(&intake, &[&SYMPTOM[..], &nothing[..]].concat())];
    let inquiry = ask(&[&intake], &told, &[]);
    let mut tests = inquiry.steps.readings.iter();
    assert!(!tests.any(|r| intake.steps[r.step].id == "cover"));
}

#[test]
fn a_sensor_that_reads_low_is_as_suspect_as_one_that_reads_high() {
    let shelf = Shelf::shipped();
    let flow = &shelf.find("manifold-pressure-signal").unwrap().flow;
    let sensor = |key_on| {
        let read = [
            ("station-barometer", "100 kPa"),
            ("key-on-pressure", key_on),
        ];
        of(&ask(&[flow], &[round(flow, &read)], &[]), "pressure-sensor").0
    };
    let before = of(&ask(&[flow], &[], &[]), "pressure-sensor").0;
    let (high, low, right) = (sensor("108 kPa"), sensor("92 kPa"), sensor("100 kPa"));
    // A poor feed makes it read high as well.
    assert!(low > high && high > before, "{low} {high} {before}");
    assert!(right < 0.5 * before, "{right} {before}");
    // And so are simulated cars.
    let plan = Plan::of(flow);
    let offset = |seed: u64| {
        let mut dice = Dice::new(seed);
        let facts = BTreeMap::new();
        let car = Car::draw(
            &plan,
            &facts,
            &["pressure-sensor"],
            &Spread::EXPECTED,
            &mut dice,
        );
        car.causes[0].size().unwrap()
    };
    let offsets: Vec<f64> = (0..40).map(offset).collect();
    let low = offsets.iter().filter(|by| **by < 0.0).count();
    assert!((10..=30).contains(&low), "{offsets:?}");
    assert!(offsets.iter().all(|by| (4e3..=15e3).contains(&by.abs())));
}

/// One sensor does not read high in one reading and low in the next, in whichever order they are taken. Where it seems
/// to, a poor feed is there as well, which throws the first of them off.
#[test]
fn readings_of_one_car_that_go_either_way_agree_in_sign() {
    let shelf = Shelf::shipped();
    let flow = &shelf.find("manifold-pressure-signal").unwrap().flow;
    let key_on = |shown| [("station-barometer", "100 kPa"), ("key-on-pressure", shown)];
    let held = |shown| [("held-pressure", "50 kPa"), ("held-shown", shown)];
    let line = [("sensor-line", "not at hand")];
    let alone = |parts: [[(&str, &str); 2]; 2]| {
        let read = [&line[..], &parts.concat()].concat();
        let inquiry = ask(&[flow], &[round(flow, &read)], &[]);
        let mut causes = inquiry.joined.causes.iter();
        let sensor = causes.position(|c| c.id == "pressure-sensor").unwrap();
        inquiry.sets[inquiry.joined.case.place(Set::of(&[sensor])).unwrap()]
    };
    let high = alone([key_on("108 kPa"), held("58 kPa")]);
    let low = alone([key_on("92 kPa"), held("42 kPa")]);
    let mixed = alone([key_on("108 kPa"), held("42 kPa")]);
    assert!(mixed < 0.2 * high.min(low), "{mixed} of {high} {low}");
    let turned = alone([held("42 kPa"), key_on("108 kPa")]);
    assert!((turned - mixed).abs() < 1e-9, "{turned} {mixed}");
}

#[test]
fn a_cap_that_opens_right_and_does_not_hold_is_the_cap() {
    let shelf = Shelf::shipped();
    let flow = &shelf.find("cooling-pressure-hold").unwrap().flow;
    let read = |holds| {
        let read = [
            ("cap-rating", "100 kPa"),
            ("cap-opens", "100 kPa"),
            ("cap-holds", holds),
        ];
        let inquiry = ask(&[flow], &[round(flow, &read)], &[]);
        of(&inquiry, "cap-seat").0
    };
    let before = of(&ask(&[flow], &[], &[]), "cap-seat").0;
    assert!(read("falls") > 3.0 * before, "{} {before}", read("falls"));
    assert!(read("holds") < 0.1 * before, "{} {before}", read("holds"));
}

#[test]
fn what_only_judges_need_not_be_done_on_the_way_to_another_test() {
    let intake = intake();
    let repaired = Round {
        repaired: vec![Repaired {
            cause: "split-hose".to_owned(),
            part_was: PartWas::Bad,
            in_vain: true,
        }],
        ..round(&intake, &SYMPTOM)
    };
    let seen = [("seen-at", "intake gasket"), ("shaft-smoke", "none")];
    let again = round(&intake, &[&SYMPTOM[..3], &seen[..]].concat());
    let inquiry = ask(&[&intake], &[repaired, again], &[]);
    let at = |id: &str| intake.steps.iter().position(|s| s.id == id).unwrap();
    let mut tests = inquiry.steps.readings.iter();
    let search = tests.find(|r| r.step == at("running-search")).unwrap();
    let first: Vec<&str> = search
        .needs
        .iter()
        .map(|n| intake.steps[inquiry.steps.made_at[n].1].id.as_str())
        .collect();
    assert!(!first.is_empty());
    for judging in ["complaint-left", "leak-left", "judge", "retest-judge"] {
        assert!(!first.contains(&judging), "{first:?}");
    }
}

/// By hand: what is left and still makes the complaint was missed by the retest in one car of twenty, so each set keeps
/// its weight as far as it is too small, and a twentieth of the rest.
#[test]
fn the_proof_of_a_retest_leaves_little_that_still_makes_the_complaint() {
    let flow = drain();
    let told = |proved| {
        let mut first = round(&flow, &[("water", "stands still")]);
        first.repaired.push(Repaired {
            cause: "kink".to_owned(),
            part_was: PartWas::CouldNotTell,
            in_vain: false,
        });
        let retest = Round {
            proved,
            ..Round::default()
        };
        ask(&[&flow], &[first, retest], &[])
    };
    let (before, after) = (told(false), told(true));
    let sets = &before.joined.case.sets;
    let still = complains(&before.joined.case, &before.told.parts);
    let weight = |n: usize| 1.0 - still[n] + 0.05 * still[n];
    assert!(still.contains(&1.0) && still.contains(&0.0), "{still:?}");
    let weighed: Vec<f64> = (0..sets.len())
        .map(|n| before.sets[n] * weight(n))
        .collect();
    let total: f64 = weighed.iter().sum();
    for (n, weighed) in weighed.iter().enumerate() {
        assert!((after.sets[n] - weighed / total).abs() < 1e-9, "{n}");
    }
    let last = after.told.changes.last().unwrap();
    assert_eq!(last.words, "the retest proved the complaint gone");
    let unlisted = after.explains.len() - 1;
    assert!(after.explains[unlisted] < before.explains[unlisted] / 2.0);
    for (explains, present) in after.explains.iter().zip(&after.present) {
        assert!(explains <= &(present + 1e-12));
    }
}

#[test]
fn a_repair_in_vain_points_elsewhere_and_the_opened_part_says_whether_it_was_wrong() {
    let flow = drain();
    let told = |part_was, in_vain| {
        let mut first = round(&flow, &[("water", "stands still")]);
        first.repaired.push(Repaired {
            cause: "kink".to_owned(),
            part_was,
            in_vain,
        });
        ask(&[&flow], &[first, Round::default()], &[])
    };
    let before = ask(&[&flow], &[round(&flow, &[("water", "stands still")])], &[]);
    let bad = told(PartWas::Bad, true);
    let good = told(PartWas::Good, true);
    assert!(of(&bad, "kink").0 < 0.1 && of(&good, "kink").0 < of(&bad, "kink").0);
    assert!(of(&bad, "leaf").0 > of(&before, "leaf").0);
    // Not known yet whether it took: what may be cured is kept in mind.
    let open = told(PartWas::Bad, false);
    let cured = open.joined.case.sets.len() - 1;
    assert!(open.joined.case.sets[cured].is_empty());
    assert!(open.sets[cured] > 0.3, "{}", open.sets[cured]);
    let mut first = round(&flow, &[("water", "stands still")]);
    first.repaired.push(Repaired {
        cause: "kink".to_owned(),
        part_was: PartWas::Bad,
        in_vain: false,
    });
    let retest = [first, round(&flow, &[("water", "runs freely")])];
    let proved = ask(&[&flow], &retest, &[]);
    assert!(proved.sets[cured] > open.sets[cured]);
}

#[test]
fn flows_share_their_causes_and_a_leak_ruled_out_raises_the_sensor() {
    let shelf = Shelf::shipped();
    let flow = |id: &str| &*shelf.find(id).unwrap().flow;
    let (leak, sensor, misfire) = (
        flow("intake-leak"),
        flow("manifold-pressure-signal"),
        flow("idle-misfire"),
    );
    let joined = ask(&[leak, misfire], &[Round::default()], &[]);
    let gaskets = joined
        .joined
        .causes
        .iter()
        .filter(|c| c.id == "intake-gasket");
    assert_eq!(gaskets.count(), 1);
    let unlisted = joined.joined.causes.iter().filter(|c| c.id == "not-listed");
    assert_eq!(unlisted.count(), 1);
    let none = [
        ("seen-at", "nowhere"),
        ("shaft-smoke", "none"),
        ("float-steady", "steady"),
        ("smoke-flow", "0.5 L/min"),
        ("smoke-pressure", "3.4 kPa"),
    ];
    let before = ask(&[leak, sensor], &[Round::default()], &[]);
    let after = ask(&[leak, sensor], &[round(leak, &none)], &[]);
    let id = &sensor.causes[0].id;
    assert!(
        of(&after, id).0 > 1.5 * of(&before, id).0,
        "{:?} {:?}",
        of(&before, id),
        of(&after, id)
    );
    assert!(of(&after, "split-hose").0 < of(&before, "split-hose").0);
}

#[test]
fn every_shipped_flow_makes_a_case_with_a_next_step_and_reasons() {
    for shelved in Shelf::shipped().iter() {
        let flow = &shelved.flow;
        let inquiry = ask(&[flow], &[Round::default()], &[]);
        let total: f64 = inquiry.sets.iter().sum();
        assert!((total - 1.0).abs() < 1e-9, "{}", flow.id);
        let next = suggestion(&inquiry, false).unwrap();
        assert!(
            !next.because.is_empty() && next.minutes > 0.0,
            "{}: {next:?}",
            flow.id
        );
        let of_outcomes: f64 = next.branches.iter().map(|b| b.probability).sum();
        assert!(
            next.branches.is_empty() || (of_outcomes - 1.0).abs() < 1e-9,
            "{}",
            flow.id
        );
        // What every sound car shows leaves the listed causes less likely than before.
        for test in &inquiry.tests {
            for set in 0..inquiry.joined.case.sets.len() {
                let sum: f64 = test.chance.iter().map(|row| row[set]).sum();
                assert!((sum - 1.0).abs() < 1e-9, "{} {}", flow.id, test.id);
            }
        }
    }
}

/// Once the whole test has passed nothing is offered any more, whatever could still be tested; before it there is
/// something to do.
#[test]
fn after_the_proof_there_is_nothing_left_to_do() {
    let (_, story) = jobs::all()
        .into_iter()
        .find(|(name, _)| name.contains("split-hose"))
        .unwrap();
    let question = Question {
        not_here: &[],
        own_jobs: &[],
        cars: None,
    };
    let at = |events: usize| {
        let job = fold(&story.events[..events]);
        let proved = of_job::rounds(&job)
            .last()
            .is_some_and(|round| round.proved);
        (proved, advise(&job, question).unwrap())
    };
    let (proved, end) = at(story.events.len());
    assert!(proved && end.proved && end.ways.is_empty());
    assert!(end.cured.unwrap() > 0.9, "{:?}", end.cured);
    let repaired = story
        .events
        .iter()
        .rposition(|e| matches!(e.what, What::RepairDone { .. }));
    let (proved, before) = at(repaired.unwrap() + 1);
    assert!(!proved && !before.proved && !before.ways.is_empty());
}

/// A flow that was opened and left at once brings none of its causes in; once something is read in it, it does.
#[test]
fn a_flow_opened_by_mistake_brings_no_suspicion() {
    let story = || {
        let facts = support::Story::new(9, "AB 1", "Orla 3", "It idles rough", &[]);
        facts
            .fact("purge-at-rest", "shut")
            .fact("vent-at-rest", "open")
            .fact("purge-coil", "25 ohm")
            .fact("vent-coil", "25 ohm")
            .reads(
                1,
                "data-saved: yes\npurge-shut-draws: still\npurge-open-draws: draws",
            )
            .begin("purge-and-vent-valves")
    };
    let ids = |job: &ruleout::engine::job::Job| -> Vec<String> {
        of_job::flows(job)
            .iter()
            .map(|flow| flow.id.clone())
            .collect()
    };
    let by_mistake = story().begin("intake-leak");
    assert_eq!(ids(&by_mistake.job), ["intake-leak"]);
    assert_eq!(ids(&story().job), ["purge-and-vent-valves"]);
    // To save the codes decides nothing; the step after it does.
    let saved = story().walk_to("purge-on-car").begin("intake-leak");
    assert_eq!(ids(&saved.job), ["intake-leak"]);
    let walked = story().walk_to("vent-on-car").begin("intake-leak");
    assert_eq!(ids(&walked.job), ["purge-and-vent-valves", "intake-leak"]);
    // Who steps back out of it stands in the flow before, whatever was begun last.
    let mut back = story().walk_to("vent-on-car").begin("intake-leak");
    back.does(Action::Back);
    assert_eq!(ids(&back.job), ["purge-and-vent-valves"]);
}

#[test]
fn a_job_is_told_test_by_test_and_its_proof_is_seen() {
    for (name, story) in jobs::all() {
        let job = fold(&story.events);
        let flows = of_job::flows(&job);
        let flows: Vec<&Flow> = flows.iter().map(|f| &**f).collect();
        let rounds = of_job::rounds(&job);
        assert_eq!(rounds.len(), job.test_number() as usize, "{name}");
        let inquiry = ask(&flows, &rounds, &[]);
        assert!(!inquiry.told.changes.is_empty(), "{name}");
        if name.contains("split-hose") {
            let cured = inquiry.joined.case.sets.len() - 1;
            assert!(inquiry.sets[cured] > 0.5, "{name}: {}", inquiry.sets[cured]);
        }
    }
}

#[test]
fn only_jobs_with_a_proof_teach_and_the_author_is_worth_ten() {
    let count = |jobs: &[(&'static str, support::Story)]| -> Vec<Proved> {
        jobs.iter()
            .filter_map(|(_, story)| proved(&fold(&story.events)))
            .collect()
    };
    let all = jobs::all();
    let counted = count(&all);
    assert!(
        !counted.is_empty() && counted.len() < all.len(),
        "{counted:?}"
    );
    let half = all.iter().find(|(name, _)| name.contains("half")).unwrap();
    assert_eq!(proved(&fold(&half.1.events)), None);

    let flow = intake();
    let job = |cause: &str, code: &str| Proved {
        flows: BTreeSet::from(["intake-leak".to_owned()]),
        complaint: BTreeSet::from([code.to_owned()]),
        causes: BTreeSet::from([cause.to_owned()]),
    };
    let jobs = [
        job("vacuum-hose", "P0171"),
        job("vacuum-hose", "P0300"),
        job("map-sensor", "P0171"),
    ];
    let pooled = learned(&flow, &BTreeSet::new(), &jobs);
    let of = |list: &[ruleout::rules::evidence::learned::Learned], id: &str| {
        list.iter().find(|l| l.id == id).cloned().unwrap()
    };
    // (10 x 0.25 + 2) / 13, (10 x 0.30 + 0) / 13, (10 x 0.10 + 1) / 13.
    assert!((of(&pooled, "vacuum-hose").learned - 4.5 / 13.0).abs() < 1e-12);
    assert!((of(&pooled, "split-hose").learned - 3.0 / 13.0).abs() < 1e-12);
    assert!((of(&pooled, "not-listed").learned - 2.0 / 13.0).abs() < 1e-12);
    let slice = learned(&flow, &BTreeSet::from(["P0300".to_owned()]), &jobs);
    // Each job counts once: (10 x 0.25 + 1) / 12 by the other two, ten of that and this one on top.
    assert!((of(&slice, "vacuum-hose").learned - (35.0 / 12.0 + 1.0) / 11.0).abs() < 1e-12);
    assert_eq!(
        (
            of(&slice, "vacuum-hose").jobs,
            of(&slice, "vacuum-hose").found
        ),
        (1, 1)
    );
    assert!(odds(&slice).contains_key("split-hose"));
}
