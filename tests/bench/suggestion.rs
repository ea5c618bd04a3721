//! How long a suggestion takes for 30 causes and 40 tests, with up to three and up to two causes
//! present, and how that compares with one update of the posterior.
//!
//! ```text
//! cargo bench --bench suggestion
//! ```
//!
//! Then the same on shipped flows with simulated cars: how long making them takes on one core and on all, and a whole
//! suggestion that rests on them (evidence, posterior and next step) against one that rests on words.
//!
//! The case is random (with a seed): odds as flows give them or more spread out, repairs 10 to 180 min, tests of two or three
//! outcomes for about four causes each, some readings in, on one core.

#![allow(clippy::unwrap_used, reason = "a bench that cannot go on has failed")]

use std::hint::black_box;
use std::time::{Duration, Instant};

use std::collections::BTreeMap;

use ruleout::flow::shelf::Shelf;
use ruleout::plant::car::Car;
use ruleout::plant::dice::Dice as Chance;
use ruleout::plant::drive::Drive;
use ruleout::plant::plan::Plan as CarPlan;
use ruleout::plant::spread::Spread;
use ruleout::rules::evidence::belief::Belief;
use ruleout::rules::evidence::case::{Case, Suspect};
use ruleout::rules::evidence::inquiry::{Asked, inquire, inquire_with};
use ruleout::rules::evidence::next::{Plan, SetUp};
use ruleout::rules::evidence::simulated::{CARS, Simulated, facts};
use ruleout::rules::evidence::table::{Bits, Test, noisy_max};
use ruleout::rules::evidence::told::Round;

const CAUSES: usize = 30;
const TESTS: usize = 40;
/// Readings that are in before the suggestion is asked for.
const READ: [usize; 4] = [0, 1, 4, 10];
const TURNS: u32 = 15;
/// Shipped flows: the one with most readings, one that holds a pressure, one with valves.
const FLOWS: [&str; 3] = ["intake-leak", "vapour-small-leak", "purge-and-vent-valves"];
/// One update is too short for the clock; so many are short enough not to be interrupted.
const UPDATES: u32 = 20;
/// Odds of the causes: adding up to about one, as flows give them, and far more spread out.
const ODDS: [(f64, f64); 2] = [(0.005, 0.07), (0.02, 0.30)];

fn main() {
    // `cargo test --benches` only asks whether it runs.
    let quick = std::env::args().any(|arg| arg == "--test");
    let sizes = if quick {
        vec![(6, 5, 2)]
    } else {
        vec![(CAUSES, TESTS, 3), (CAUSES, TESTS, 2)]
    };
    for (causes, tests, together) in sizes {
        for odds in ODDS {
            measure(causes, tests, together, odds);
        }
    }
    for flow in FLOWS {
        with_cars(flow, if quick { 5 } else { CARS });
    }
}

/// A car comes in, and the steps of the flow are done one after the other.
fn with_cars(id: &str, count: usize) {
    let shelf = Shelf::shipped();
    let flow = &*shelf.find(id).unwrap().flow;
    let plan = CarPlan::of(flow);
    let cause = flow.causes[0].id.as_str();
    let mut dice = Chance::new(5);
    let car = Car::draw(
        &plan,
        &BTreeMap::new(),
        &[cause],
        &Spread::EXPECTED,
        &mut dice,
    );
    let mut round = Round {
        answers: car.facts.clone(),
        ..Round::default()
    };
    let flows = [flow];
    let facts = facts(&flows, std::slice::from_ref(&round));
    let made = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads);
        let since = Instant::now();
        let pool = pool.build().unwrap();
        let cars = pool.install(|| Simulated::of(&flows, &facts, 2, 1, count).unwrap());
        (since.elapsed(), cars)
    };
    let (one, cars) = made(1);
    let (all, _) = made(0);
    println!(
        "{id}: {} cars made in {:.2} s on one core, {:.2} s on all; {:.0} us a car",
        cars.total(),
        one.as_secs_f64(),
        all.as_secs_f64(),
        1e6 * one.as_secs_f64() / cars.total() as f64
    );
    let mut drive = Drive::new(&plan, car);
    let steps = flow.steps.len();
    for (n, step) in flow.steps.iter().enumerate() {
        let taken = drive.at(step, &round.answers);
        round.order.extend(taken.keys().cloned());
        round.answers.extend(taken);
        if ![0, steps / 3, 2 * steps / 3].contains(&n) {
            continue;
        }
        let rounds = [round.clone()];
        let asked = Asked {
            flows: &flows,
            rounds: &rounds,
            together: 2,
            not_available: &[],
            odds: &BTreeMap::new(),
        };
        let words = middle(|| {
            black_box(inquire(&asked).unwrap());
        });
        let with = middle(|| {
            black_box(inquire_with(&asked, |joined| Some(Box::new(cars.source(joined)))).unwrap());
        });
        println!(
            "  {:>2} of {steps} steps: suggestion {:>7.2} ms with cars, {:>7.2} ms by words, ratio {:>4.1}",
            n + 1,
            1e3 * with.as_secs_f64(),
            1e3 * words.as_secs_f64(),
            with.as_secs_f64() / words.as_secs_f64()
        );
    }
}

/// `SplitMix64` (Steele, Lea and Flood 2014, from memory).
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    fn between(&mut self, from: f64, to: f64) -> f64 {
        from + (to - from) * (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }
}

fn case(dice: &mut Dice, causes: usize, together: usize, odds: (f64, f64)) -> Case {
    let suspects = (0..causes)
        .map(|n| Suspect {
            id: format!("C{n}"),
            odds: dice.between(odds.0, odds.1),
            repair: dice.between(10.0, 180.0),
            verification: 10.0,
            success: 0.98,
            repairable: n + 1 < causes,
        })
        .collect();
    let mut case = Case::new(suspects, Some(60.0), together).unwrap();
    case.come_back = 500.0;
    case
}

fn tests(dice: &mut Dice, case: &Case, tests: usize) -> Vec<Test> {
    (0..tests)
        .map(|n| {
            let outcomes = 2 + n % 2;
            let row = |dice: &mut Dice, clean: bool| -> Vec<f64> {
                let main = if clean { 0 } else { outcomes - 1 };
                let stray = dice.between(0.02, 0.15);
                let each = stray / (outcomes - 1) as f64;
                (0..outcomes)
                    .map(|o| if o == main { 1.0 - stray } else { each })
                    .collect()
            };
            let background = row(dice, true);
            let effects: Vec<Vec<f64>> = (0..case.suspects.len())
                .map(|_| match dice.next() % 8 {
                    0 => row(dice, false),
                    _ => (0..outcomes).map(|o| f64::from(u8::from(o == 0))).collect(),
                })
                .collect();
            Test {
                id: format!("T{n}"),
                minutes: dice.between(2.0, 40.0),
                needs: if n % 3 == 0 {
                    Bits::of([n % 2])
                } else {
                    Bits::default()
                },
                after: Bits::default(),
                outcomes: (0..outcomes).map(|o| o.to_string()).collect(),
                chance: noisy_max(&case.sets, &background, &effects),
            }
        })
        .collect()
}

fn measure(causes: usize, number: usize, together: usize, odds: (f64, f64)) {
    let mut dice = Dice(17);
    let case = case(&mut dice, causes, together, odds);
    let tests = tests(&mut dice, &case, number);
    let set_ups: Vec<SetUp> = (0..2)
        .map(|n| SetUp {
            id: n.to_string(),
            minutes: 20.0,
            take_down: 10.0,
        })
        .collect();
    println!(
        "{causes} causes, {number} tests, up to {together} present: {} sets, odds {odds:?}",
        case.sets.len()
    );
    for read in READ.into_iter().filter(|read| *read < number) {
        let belief = (0..read).fold(Belief::prior(&case), |belief, test| {
            let outcome = test % tests[test].chance.len();
            belief
                .after(&tests[test].id, &tests[test].chance[outcome])
                .unwrap()
        });
        let masses = belief.probabilities();
        let plan = Plan {
            open: (read..number).collect(),
            done: Bits::of(0..read),
            set_ups: &set_ups,
            ..Plan::all(&case, &tests)
        };
        let suggestion = middle(|| {
            black_box(plan.best(black_box(&masses)));
        });
        let since = Instant::now();
        for _ in 0..UPDATES {
            let after = belief.after("one more", &tests[read].chance[0]).unwrap();
            black_box(after.marginals(&case));
        }
        let update = since.elapsed() / UPDATES;
        println!(
            "  {read:>2} read: suggestion {:>7.2} ms, update {:>7.4} ms, ratio {:>6.0}; next {:?}",
            1e3 * suggestion.as_secs_f64(),
            1e3 * update.as_secs_f64(),
            suggestion.as_secs_f64() / update.as_secs_f64(),
            plan.best(&masses).map(|best| best.step)
        );
    }
}

/// The middle of some turns, in time on the processor: what the work itself takes, whatever else
/// the machine does.
fn middle(mut turn: impl FnMut()) -> Duration {
    turn();
    let mut times: Vec<Duration> = (0..TURNS)
        .map(|_| {
            let since = Instant::now();
            let before = on_the_processor();
            turn();
            match (before, on_the_processor()) {
                (Some(before), Some(after)) => after.saturating_sub(before),
                _ => since.elapsed(),
            }
        })
        .collect();
    times.sort_unstable();
    times[times.len() / 2]
}

/// How long this program has run, where Linux tells; elsewhere the wall clock must do.
fn on_the_processor() -> Option<Duration> {
    let text = std::fs::read_to_string("/proc/self/schedstat").ok()?;
    let nanoseconds = text.split_whitespace().next()?.parse().ok()?;
    Some(Duration::from_nanos(nanoseconds))
}
