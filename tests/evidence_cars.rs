//! Simulated cars as the source of likelihoods: what they tell apart that words do not, and whether what they say is
//! true of cars drawn the same way.

use std::collections::BTreeMap;

use ruleout::engine::event::PartWas;
use ruleout::engine::prompt::parse;
use ruleout::flow::answer::Answer;
use ruleout::flow::model::Flow;
use ruleout::flow::shelf::Shelf;
use ruleout::plant::car::Car;
use ruleout::plant::dice::Dice;
use ruleout::plant::drive::Drive;
use ruleout::plant::plan::Plan;
use ruleout::plant::spread::Spread;
use ruleout::rules::evidence::belief::Belief;
use ruleout::rules::evidence::finding::Seen;
use ruleout::rules::evidence::inquiry::{Asked, Inquiry, inquire, inquire_with};
use ruleout::rules::evidence::joined::{Joined, join};
use ruleout::rules::evidence::likelihood::{Before, Grouped, Source};
use ruleout::rules::evidence::more::inquire_by_cars;
use ruleout::rules::evidence::reasons::moves;
use ruleout::rules::evidence::sets::Set;
use ruleout::rules::evidence::simulated::{Simulated, facts};
use ruleout::rules::evidence::told::{ChangeKind, Repaired, Round};

fn shipped(id: &str) -> Flow {
    (*Shelf::shipped().find(id).unwrap().flow).clone()
}

fn round(flow: &Flow, answers: &[(&str, &str)]) -> Round {
    let mut round = Round::default();
    for (id, text) in answers {
        let prompt = flow.prompt(id).unwrap_or_else(|| panic!("{id}"));
        let answer = parse(prompt, text).unwrap();
        round.answers.insert((*id).to_owned(), answer);
        if flow.reading(id).is_some() {
            round.order.push((*id).to_owned());
        }
    }
    round
}

fn asked<'a, 'f>(
    flows: &'a [&'f Flow],
    rounds: &'a [Round],
    odds: &'a BTreeMap<String, f64>,
    together: usize,
) -> Asked<'a, 'f> {
    Asked {
        flows,
        rounds,
        together,
        not_available: &[],
        odds,
    }
}

fn by_cars<'f>(cars: &Simulated, asked: &Asked<'_, 'f>) -> Inquiry<'f> {
    inquire_with(asked, |joined| Some(Box::new(cars.source(joined)))).unwrap()
}

fn after_seen(seen: &[(usize, Seen)]) -> Before {
    Before {
        seen: seen.to_vec(),
        ..Before::default()
    }
}

fn place(joined: &Joined, cause: &str) -> usize {
    joined.causes.iter().position(|c| c.id == cause).unwrap()
}

/// A lean engine, and an intake that fills to where the float stands.
pub const LEAN: [(&str, &str); 18] = [
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
];

/// A place shows; with it covered, so much still flows.
fn covered(flow: &Flow, place: &str, shows: &str, still: &str) -> Round {
    let seen = format!("{place} = {shows}");
    let worked = if place == "throttle shaft" {
        shows
    } else {
        "none"
    };
    let mut all = LEAN.to_vec();
    all.extend([
        ("seen-at", seen.as_str()),
        ("shaft-smoke", worked),
        ("covered-place", place),
        ("covered-flow", still),
        ("covered-pressure", "3.2 kPa"),
        ("places-left", "no"),
    ]);
    round(flow, &all)
}

#[test]
fn a_wisp_is_there_but_explains_nothing_and_a_large_leak_does_both() {
    let flow = shipped("intake-leak");
    let (flows, none) = ([&flow], BTreeMap::new());
    let facts = facts(&flows, &[round(&flow, &LEAN)]);
    let cars = Simulated::of(&flows, &facts, 2, 3, 150).unwrap();
    let figures = |cause: &str, rounds: [Round; 1]| {
        let inquiry = by_cars(&cars, &asked(&flows, &rounds, &none, 2));
        let n = place(&inquiry.joined, cause);
        (inquiry.present[n], inquiry.explains[n])
    };
    let wisp = covered(&flow, "throttle shaft", "wisp", "14.4 L/min");
    let wisp = figures("throttle-shaft", [wisp]);
    let large = covered(&flow, "vacuum hose", "heavy", "4 L/min");
    let large = figures("vacuum-hose", [large]);
    assert!(wisp.0 > 0.8 && large.0 > 0.9, "{wisp:?} {large:?}");
    assert!(wisp.1 < 0.2 && large.1 > 0.9, "{wisp:?} {large:?}");
}

#[test]
fn that_something_must_be_big_enough_is_no_reading() {
    let flow = shipped("intake-leak");
    let (flows, none) = ([&flow], BTreeMap::new());
    let rounds = [covered(&flow, "vacuum hose", "heavy", "4 L/min")];
    let inquiry = inquire(&asked(&flows, &rounds, &none, 2)).unwrap();
    let moved = moves(&inquiry);
    let big = moved.iter().find(|m| m.kind == ChangeKind::BigEnough);
    assert_eq!(big.unwrap().id, "explained");
    let read = moved.iter().filter(|m| m.kind == ChangeKind::Reading);
    assert_eq!(read.count(), moved.len() - 1);
}

#[test]
fn the_readings_of_one_car_hang_together() {
    let flow = shipped("intake-leak");
    let flows = [&flow];
    let rounds = [round(&flow, &LEAN[..3])];
    let cars = Simulated::of(&flows, &facts(&flows, &rounds), 1, 3, 400).unwrap();
    let joined = join(&flows, &BTreeMap::new(), 1).unwrap();
    let source = cars.source(&joined);
    let finding = |id: &str| joined.findings.iter().position(|f| f.id == id).unwrap();
    let (smoke, trim) = (finding("total-opening"), finding("idle-total-1"));
    let hose = joined
        .case
        .place(Set::of(&[place(&joined, "vacuum-hose")]))
        .unwrap();
    let bins = |id: usize| joined.findings[id].finding.outcomes();
    let ends = |id: usize, low: bool| {
        let chance = source.chance(id, &Before::default()).unwrap();
        // The lowest and the highest that this cause shows more than now and then.
        let mut often = (0..bins(id)).filter(|bin| chance[*bin][hose] > 0.05);
        let bin = if low { often.next() } else { often.next_back() };
        let weights = (0..bins(id)).map(|other| f64::from(u8::from(Some(other) == bin)));
        Seen::Weights(weights.collect())
    };
    let high = ends(trim, false);
    let after = |low: bool| {
        let before = after_seen(&[(smoke, ends(smoke, low))]);
        source.likelihood(trim, &high, &before).unwrap()[hose]
    };
    let (little, much) = (after(true), after(false));
    assert!(
        much > 1.5 * little,
        "a high trim where smoke finds a small opening {little}, a large one {much}"
    );
    // One after the other comes to the same in either order.
    let flows = ends(smoke, false);
    let nothing = Before::default();
    let one = source.likelihood(smoke, &flows, &nothing).unwrap()[hose] * much;
    let other = source.likelihood(trim, &high, &nothing).unwrap()[hose]
        * source
            .likelihood(smoke, &flows, &after_seen(&[(trim, high.clone())]))
            .unwrap()[hose];
    assert!((one / other - 1.0).abs() < 0.1, "{one} {other}");
    // And so do the two of one step that are still to come: what the look-ahead takes at once is no product.
    let grouped = |finding: usize| Grouped {
        finding,
        group: (0..bins(finding)).collect(),
        groups: bins(finding),
    };
    let both = [grouped(smoke), grouped(trim)];
    let joint = source.at_once(&both, false, &nothing).unwrap();
    let (flow, lean) = (
        source.chance(smoke, &nothing).unwrap(),
        source.chance(trim, &nothing).unwrap(),
    );
    let total: f64 = joint.iter().map(|row| row[hose]).sum();
    assert!((total - 1.0).abs() < 1e-9, "{total}");
    for (n, row) in flow.iter().enumerate() {
        let sum: f64 = joint[n * lean.len()..(n + 1) * lean.len()]
            .iter()
            .map(|r| r[hose])
            .sum();
        assert!((sum - row[hose]).abs() < 0.02, "{sum} {}", row[hose]);
    }
    let together: f64 = joint
        .iter()
        .enumerate()
        .map(|(n, row)| (row[hose] - flow[n / lean.len()][hose] * lean[n % lean.len()][hose]).abs())
        .sum();
    assert!(together > 0.2, "{together}");
}

#[test]
fn what_can_come_of_a_reading_adds_up_to_one() {
    let flow = shipped("charge-air-leak");
    let flows = [&flow];
    let cars = Simulated::of(&flows, &BTreeMap::new(), 2, 5, 40).unwrap();
    let joined = join(&flows, &BTreeMap::new(), 2).unwrap();
    let source = cars.source(&joined);
    let mut known = 0;
    let mut before = Before::default();
    for (n, named) in joined.findings.iter().enumerate() {
        let Some(chance) = source.chance(n, &before) else {
            continue;
        };
        known += 1;
        assert_eq!(chance.len(), named.finding.outcomes(), "{}", named.id);
        for set in 0..joined.case.sets.len() {
            let total: f64 = chance.iter().map(|row| row[set]).sum();
            assert!((total - 1.0).abs() < 1e-9, "{} {total}", named.id);
        }
        let most = |row: &Vec<f64>| row.iter().sum::<f64>();
        let likeliest = (0..chance.len())
            .max_by(|a, b| most(&chance[*a]).total_cmp(&most(&chance[*b])))
            .unwrap();
        if !matches!(
            named.finding.kind,
            ruleout::rules::evidence::finding::Kind::Places(_)
        ) {
            let weights = (0..chance.len()).map(|o| f64::from(u8::from(o == likeliest)));
            before.seen.push((n, Seen::Weights(weights.collect())));
        }
    }
    assert!(known >= 3, "{known}");
    assert_eq!(known, cars.knows().len());
}

#[test]
fn the_same_seed_gives_the_same_cars_on_any_number_of_threads() {
    let flow = shipped("exhaust-leak");
    let flows = [&flow];
    let made = |threads: usize, seed: u64| {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap();
        pool.install(|| Simulated::of(&flows, &BTreeMap::new(), 2, seed, 30).unwrap())
    };
    let joined = join(&flows, &BTreeMap::new(), 2).unwrap();
    let all = |cars: &Simulated| -> Vec<Option<Vec<Vec<f64>>>> {
        let source = cars.source(&joined);
        (0..joined.findings.len())
            .map(|finding| source.chance(finding, &Before::default()))
            .collect()
    };
    let one = all(&made(1, 9));
    assert!(one.iter().any(Option::is_some));
    assert_eq!(one, all(&made(2, 9)));
    assert_ne!(one, all(&made(2, 10)));
}

#[test]
fn cars_of_other_flows_know_nothing_and_words_stand_in() {
    let (intake, exhaust) = (shipped("intake-leak"), shipped("exhaust-leak"));
    let cars = Simulated::of(&[&exhaust], &BTreeMap::new(), 1, 1, 5).unwrap();
    let (flows, none) = ([&intake], BTreeMap::new());
    let rounds = [round(&intake, &LEAN)];
    let asked = asked(&flows, &rounds, &none, 1);
    let (with, without) = (by_cars(&cars, &asked), inquire(&asked).unwrap());
    assert_eq!(with.present, without.present);
}

#[test]
fn what_no_cause_can_have_made_is_no_end_of_the_reckoning() {
    let flow = shipped("intake-leak");
    let (flows, none) = ([&flow], BTreeMap::new());
    let mut all = LEAN.to_vec();
    for (id, text) in &mut all {
        match *id {
            "smoke-flow" => *text = "0 L/min",
            "idle-long-1" => *text = "-30 %",
            _ => {}
        }
    }
    all.push((
        "seen-at",
        "vacuum hose = heavy, injector seal = heavy, brake booster = heavy, intake gasket = heavy",
    ));
    let rounds = [round(&flow, &all)];
    let cars = Simulated::of(&flows, &facts(&flows, &rounds), 2, 3, 40).unwrap();
    let inquiry = by_cars(&cars, &asked(&flows, &rounds, &none, 2));
    for p in inquiry.present.iter().chain(&inquiry.explains) {
        assert!((0.0..=1.0).contains(p), "{:?}", inquiry.present);
    }
}

/// After the hose was repaired: the shaft's wisp shows again, and the rest is well, or as it was.
fn mended_hose(flow: &Flow, well: bool, in_vain: bool) -> [Round; 2] {
    let mut all = LEAN.to_vec();
    all.extend([
        ("seen-at", "vacuum hose = heavy, throttle shaft = wisp"),
        ("shaft-smoke", "wisp"),
        ("covered-place", "vacuum hose"),
        ("covered-flow", "0.6 L/min"),
        ("covered-pressure", "3.4 kPa"),
        ("places-left", "yes"),
    ]);
    let mut first = round(flow, &all);
    first.repaired.push(Repaired {
        cause: "vacuum-hose".to_owned(),
        part_was: PartWas::Bad,
        in_vain,
    });
    let mut again = LEAN.to_vec();
    for (id, text) in again.iter_mut().filter(|_| well) {
        match *id {
            "idle-short-1" | "cruise-short-1" | "cruise-long-1" | "idle-long-1" => *text = "1 %",
            "smoke-flow" => *text = "0.6 L/min",
            "smoke-pressure" => *text = "3.4 kPa",
            _ => {}
        }
    }
    let seen = if well {
        "throttle shaft = wisp"
    } else {
        "vacuum hose = heavy, throttle shaft = wisp"
    };
    again.extend([("seen-at", seen), ("shaft-smoke", "wisp")]);
    [first, round(flow, &again)]
}

#[test]
fn after_the_repair_a_wisp_is_no_next_cause_unless_the_complaint_is_still_there() {
    let flow = shipped("intake-leak");
    let (flows, none) = ([&flow], BTreeMap::new());
    let facts = facts(&flows, &[round(&flow, &LEAN)]);
    let cars = Simulated::of(&flows, &facts, 2, 3, 150).unwrap();
    let after = |well: bool, in_vain: bool| {
        let rounds = mended_hose(&flow, well, in_vain);
        by_cars(&cars, &asked(&flows, &rounds, &none, 2))
    };
    let of = |inquiry: &Inquiry, cause: &str| {
        let n = place(&inquiry.joined, cause);
        (inquiry.present[n], inquiry.explains[n])
    };
    let well = after(true, false);
    let shaft = of(&well, "throttle-shaft");
    assert!(shaft.0 > 0.8 && shaft.1 < 0.05, "{shaft:?}");
    assert!(
        well.cured() > 0.9 && well.retest_first(),
        "{}",
        well.cured()
    );
    // With everything as before, it was not cured: a repair that did not take.
    let lean = after(false, false);
    assert!(
        lean.cured() < 0.2 && !lean.retest_first(),
        "{}",
        lean.cured()
    );
    // Where the proof failed there is no such hypothesis, and another cause, or this one again, is left.
    let failed = after(true, true);
    assert!(failed.cured() <= 0.0);
    let explains: f64 = failed.explaining.iter().sum();
    assert!((explains - 1.0).abs() < 1e-9, "{explains}");
}

#[test]
fn what_explains_the_complaint_is_never_more_than_what_is_there() {
    let flow = shipped("intake-leak");
    let (flows, none) = ([&flow], BTreeMap::new());
    let facts = facts(&flows, &[round(&flow, &LEAN)]);
    let cars = Simulated::of(&flows, &facts, 2, 3, 40).unwrap();
    let mut dice = Dice::new(41);
    let plan = Plan::of(&flow);
    for n in 0..24 {
        let causes: Vec<&str> = flow.causes.iter().map(|cause| cause.id.as_str()).collect();
        let own = [
            causes[dice.one_of(causes.len())],
            causes[dice.one_of(causes.len())],
        ];
        let mut first = drawn(&flow, &plan, &own, &mut dice);
        let kept = dice.one_of(first.order.len() + 1);
        for id in first.order.split_off(kept) {
            first.answers.remove(&id);
        }
        let mut rounds = vec![first];
        if n % 3 > 0 {
            rounds[0].repaired.push(Repaired {
                cause: causes[dice.one_of(causes.len() - 1)].to_owned(),
                part_was: PartWas::CouldNotTell,
                in_vain: n % 3 == 1,
            });
            rounds.push(drawn(&flow, &plan, &own[..1], &mut dice));
        }
        let asked = asked(&flows, &rounds, &none, 2 + n % 2);
        for inquiry in [by_cars(&cars, &asked), inquire(&asked).unwrap()] {
            let total: f64 = inquiry.explaining.iter().sum();
            assert!((total - 1.0).abs() < 1e-9, "{n}: {total}");
            for (explains, present) in inquiry.explains.iter().zip(&inquiry.present) {
                assert!(*explains <= present + 1e-12, "{n}: {explains} of {present}");
            }
        }
    }
}

#[test]
fn where_few_cars_are_left_more_are_drawn_and_the_same_question_gets_the_same_answer() {
    let flow = shipped("intake-leak");
    let (flows, none) = ([&flow], BTreeMap::new());
    let rounds = mended_hose(&flow, true, false);
    let rounds = [Round {
        repaired: Vec::new(),
        ..rounds[0].clone()
    }];
    let cars = Simulated::of(&flows, &facts(&flows, &rounds), 2, 3, 100).unwrap();
    let asked = asked(&flows, &rounds, &none, 2);
    let few = by_cars(&cars, &asked);
    let more = || {
        inquire_by_cars(&asked, &cars, |joined, cars| {
            Some(Box::new(cars.source(joined)))
        })
        .unwrap()
    };
    let (with, total) = more();
    let most = (0..with.sets.len())
        .max_by(|a, b| with.sets[*a].total_cmp(&with.sets[*b]))
        .unwrap();
    assert!(total > cars.total() && few.effective[most] < 20.0);
    assert!(
        with.effective[most] > 2.0 * few.effective[most],
        "{}",
        with.effective[most]
    );
    assert_eq!(with.present, more().0.present);
}

/// An engine that counts all its air, its booster renewed, its idle control back at the baseline and nothing seen.
#[test]
fn a_clean_retest_speaks_for_the_cure_where_idle_control_shows_the_complaint() {
    let flow = shipped("intake-leak");
    let facts_of = [("metering", "manifold pressure"), ("banks", "1")];
    let first = [
        ("purge-line", "shut"),
        ("idle-command", "7 %"),
        ("idle-baseline", "24 %"),
        ("idle-speed", "865 rpm"),
        ("target-speed", "850 rpm"),
        ("idle-pressure", "38 kPa"),
        ("seen-at", "brake booster"),
        ("shaft-smoke", "none"),
    ];
    let clean = [
        ("purge-line", "shut"),
        ("idle-command", "23 %"),
        ("idle-baseline", "24 %"),
        ("idle-speed", "850 rpm"),
        ("target-speed", "850 rpm"),
        ("idle-pressure", "33 kPa"),
        ("seen-at", "nowhere"),
        ("shaft-smoke", "none"),
    ];
    let mended = Round {
        repaired: vec![Repaired {
            cause: "brake-booster".to_owned(),
            part_was: PartWas::Bad,
            in_vain: false,
        }],
        ..round(&flow, &[&facts_of[..], &first[..]].concat())
    };
    let none = BTreeMap::new();
    let retest = |read: &[(&str, &str)]| {
        let again = round(&flow, &[&facts_of[..], read].concat());
        let rounds = [mended.clone(), again];
        let cars = Simulated::of(&[&flow], &facts(&[&flow], &rounds), 2, 3, 100).unwrap();
        by_cars(&cars, &asked(&[&flow], &rounds, &none, 2))
    };
    let (begun, proved) = (retest(&[]).cured(), retest(&clean));
    let unlisted = proved.present[place(&proved.joined, "not-listed")];
    assert!(
        proved.cured() > 0.9 && proved.cured() > begun,
        "{begun} {}",
        proved.cured()
    );
    assert!(unlisted < 0.05, "{unlisted}");
}

#[test]
fn an_intake_ruled_out_raises_the_sensor_with_cars_of_both_flows() {
    let (leak, sensor) = (shipped("intake-leak"), shipped("manifold-pressure-signal"));
    let (flows, none) = ([&leak, &sensor], BTreeMap::new());
    let tight = [
        ("metering", "air mass"),
        ("banks", "1"),
        ("blocked-flow", "0 L/min"),
        ("blocked-pressure", "3.4 kPa"),
        ("float-steady", "steady"),
        ("smoke-flow", "0.5 L/min"),
        ("smoke-pressure", "3.4 kPa"),
        ("seen-at", "nowhere"),
        ("shaft-smoke", "none"),
    ];
    let rounds = [round(&leak, &tight)];
    let cars = Simulated::of(&flows, &facts(&flows, &rounds), 2, 3, 60).unwrap();
    let before = by_cars(
        &cars,
        &asked(&flows, &[round(&leak, &tight[..2])], &none, 2),
    );
    let after = by_cars(&cars, &asked(&flows, &rounds, &none, 2));
    let of = |inquiry: &Inquiry, cause: &str| inquiry.present[place(&inquiry.joined, cause)];
    let sensor = sensor.causes[0].id.as_str();
    let (was, is) = (of(&before, sensor), of(&after, sensor));
    assert!(is > 1.5 * was, "{was} {is}");
    assert!(of(&after, "split-hose") < of(&before, "split-hose"));
}

/// Draws a car of some set of causes and takes the readings of the first steps.
fn drawn(flow: &Flow, plan: &Plan, causes: &[&str], dice: &mut Dice) -> Round {
    let car = Car::draw(plan, &BTreeMap::new(), causes, &Spread::EXPECTED, dice);
    let mut answers: BTreeMap<String, Answer> = car.facts.clone();
    let mut drive = Drive::new(plan, car);
    let mut order = Vec::new();
    for step in flow.steps.iter().filter(|step| step.id != "search") {
        let taken = drive.at(step, &answers);
        order.extend(taken.keys().cloned());
        answers.extend(taken);
    }
    Round {
        answers,
        order,
        ..Round::default()
    }
}

#[test]
fn what_is_believed_is_true_as_often_as_it_is_believed() {
    const CARS: u32 = 300;
    let flow = shipped("exhaust-leak");
    let (flows, none) = ([&flow], BTreeMap::new());
    let plan = Plan::of(&flow);
    // No facts: then one making of the cars serves them all.
    let cars = Simulated::of(&flows, &BTreeMap::new(), 2, 11, 150).unwrap();
    let joined = join(&flows, &none, 2).unwrap();
    let prior = Belief::prior(&joined.case).probabilities();
    let mut dice = Dice::new(77);
    let (mut said, mut was) = (vec![0.0; 5], vec![0.0; 5]);
    let mut spread = [0.0; 5];
    let (mut brier, mut before) = (0.0, 0.0);
    for _ in 0..CARS {
        let set = dice.weighed(prior.iter().copied()).unwrap_or(0);
        let members: Vec<&str> = joined.case.sets[set]
            .members()
            .map(|cause| joined.causes[cause].id.as_str())
            .collect();
        let rounds = [drawn(&flow, &plan, &members, &mut dice)];
        let inquiry = by_cars(&cars, &asked(&flows, &rounds, &none, 2));
        for (cause, listed) in joined.causes.iter().enumerate() {
            let p = inquiry.present[cause];
            let truth = f64::from(u8::from(members.contains(&listed.id.as_str())));
            let bin = [0.1, 0.3, 0.6, 0.85]
                .iter()
                .filter(|edge| p >= **edge)
                .count();
            said[bin] += p;
            was[bin] += truth;
            spread[bin] += p * (1.0 - p);
            brier += (p - truth).powi(2);
            let start = inquiry.told.prior.marginals(&joined.case)[cause];
            before += (start - truth).powi(2);
        }
    }
    println!("said {said:?}, was {was:?}, brier {brier} against {before} before");
    for bin in 0..said.len() {
        let off: f64 = (was[bin] - said[bin]).abs();
        // Three standard deviations of the draw, and a little for the cars' own.
        let most = 3.0 * spread[bin].sqrt() + 0.03 * said[bin] + 1.0;
        assert!(
            off <= most,
            "bin {bin}: {} where {} was said",
            was[bin],
            said[bin]
        );
    }
    assert!(brier < 0.9 * before, "{brier} {before}");
}
