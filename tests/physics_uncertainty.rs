//! Whether a 95 % interval holds the truth 95 times in 100.
//!
//! Readings are made from a known truth with normal errors, thousands of times, and the intervals
//! that come out are counted. The numbers are drawn from a fixed seed.

use ruleout::physics::evaluate::{Evaluated, InputError, Size, evaluate};
use ruleout::physics::uncertainty::Estimate;
use ruleout::physics::{Answer, Given, Shifts, Value, find};

/// A small generator (xorshift, Marsaglia 2003), so that the draw is the same everywhere.
struct Draw(u64);

impl Draw {
    fn uniform(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        ((self.0 >> 11) as f64 + 0.5) / 9_007_199_254_740_992.0
    }

    /// Standard normal (Box and Muller 1958).
    fn normal(&mut self) -> f64 {
        (-2.0 * self.uniform().ln()).sqrt() * (std::f64::consts::TAU * self.uniform()).cos()
    }
}

fn absolute(input: &str, column: usize, size: f64) -> InputError {
    InputError {
        input: input.to_owned(),
        column,
        size: Size::Absolute(size),
    }
}

fn estimate(calculation: &str, given: &Given, errors: &[InputError], place: usize) -> Estimate {
    let all = evaluate(find(calculation).expect("registered"), given, errors).expect("worked");
    match &all.results[place] {
        Evaluated::Number { estimate, .. } => *estimate,
        other => panic!("{other:?} is no number"),
    }
}

/// Share of the intervals that hold the truth.
fn held(runs: usize, truth: f64, mut interval: impl FnMut() -> Estimate) -> f64 {
    let hits = (0..runs)
        .map(|_| interval())
        .filter(|e| e.low <= truth && truth <= e.high)
        .count();
    hits as f64 / runs as f64
}

fn flow_through(hole: f64, pressure: f64, deviations: f64) -> f64 {
    let given = Given::new()
        .with_number("hole", hole)
        .with_number("pressure", pressure);
    let worked = find("flow")
        .expect("registered")
        .work(&given, &Shifts::one("coefficient", deviations));
    worked.expect("worked").results[1]
        .number()
        .expect("a number")
}

const RUNS: usize = 4000;

fn assert_95(name: &str, share: f64) {
    println!(
        "{name}: the interval held the truth in {:.1} % of {RUNS} runs",
        share * 100.0
    );
    assert!((share - 0.95).abs() < 0.015, "{name}: {share}");
}

#[test]
fn the_hole_found_is_held_by_its_interval() {
    let mut draw = Draw(0x9E37_79B9_7F4A_7C15);
    let (place, rest, pressure) = (0.8e-3_f64, 0.9e-3_f64, 3487.0);
    let both = place.hypot(rest);
    // 95 % errors of a float and of a gauge; the coefficient is wrong too, and alike both times.
    let (flow_error, pressure_error) = (0.08e-3 / 60.0, 60.0);
    let errors = [
        absolute("open-flow", 0, flow_error),
        absolute("covered-flow", 0, flow_error),
        absolute("open-pressure", 0, pressure_error),
        absolute("covered-pressure", 0, pressure_error),
    ];
    let share = held(RUNS, place, || {
        let coefficient = draw.normal();
        let mut read = |truth: f64, error: f64| truth + error / 1.96 * draw.normal();
        let given = Given::new()
            .with_number(
                "open-flow",
                read(flow_through(both, pressure, coefficient), flow_error),
            )
            .with_number("open-pressure", read(pressure, pressure_error))
            .with_number(
                "covered-flow",
                read(flow_through(rest, pressure, coefficient), flow_error),
            )
            .with_number("covered-pressure", read(pressure, pressure_error));
        estimate("found", &given, &errors, 0)
    });
    assert_95("found", share);
}

#[test]
fn the_leak_behind_the_trims_is_held_by_its_interval() {
    let mut draw = Draw(0xD1B5_4A32_D192_ED03);
    let (offset, leak, trim_error) = (0.03, 0.6e-3, 0.02);
    let errors = [absolute("points", 1, trim_error)];
    let share = held(RUNS, leak, || {
        let rows = [4.0e-3, 8.0e-3, 20.0e-3].map(|air: f64| {
            let trim = (1.0 + offset) * (1.0 + leak / air) - 1.0;
            vec![
                Some(air),
                Some(trim + trim_error / 1.96 * draw.normal()),
                None,
            ]
        });
        estimate(
            "trims",
            &Given::new().with("points", Value::Points(rows.to_vec())),
            &errors,
            1,
        )
    });
    assert_95("trims", share);
}

#[test]
fn an_error_of_the_coefficient_cancels_between_a_hole_and_a_hole_measured_alike() {
    // Two holes on the same gear, both wrong by one coefficient: their share is right.
    let (small, large, pressure) = (0.5e-3, 1.0e-3, 3487.0);
    for deviations in [-1.96, 0.0, 1.96] {
        let area = |hole: f64| {
            let given = Given::new()
                .with_number("flow", flow_through(hole, pressure, 0.0))
                .with_number("pressure", pressure);
            let run = find("hole").expect("registered").run;
            run(&given, &Shifts::one("coefficient", deviations))
                .expect("worked")
                .results[1]
                .number()
                .expect("a number")
        };
        assert!((area(small) / area(large) - 0.25).abs() < 1e-12);
    }
}

#[test]
fn a_gauge_that_may_read_zero_leaves_the_hole_without_an_upper_bound() {
    let given = Given::new()
        .with_number("flow", 1e-5)
        .with_number("pressure", 100.0);
    let wide = estimate("hole", &given, &[absolute("pressure", 0, 200.0)], 0);
    assert!(wide.high.is_infinite() && wide.low > 0.0, "{wide:?}");
}

#[test]
fn a_spread_never_makes_a_diameter_negative() {
    let given = Given::new()
        .with_number("flow", 1e-7)
        .with_number("pressure", 3487.0);
    let near_zero = estimate("hole", &given, &[absolute("flow", 0, 1e-6)], 0);
    assert!(
        near_zero.low >= 0.0 && near_zero.high > near_zero.value,
        "{near_zero:?}"
    );
}

#[test]
fn a_shifted_flow_below_zero_and_a_cover_that_makes_it_worse_are_smooth() {
    let run = |name: &str, given: &Given| {
        (find(name).expect("registered").run)(given, &Shifts::none())
            .expect("smooth")
            .results
    };
    let below = Given::new()
        .with_number("flow", -1e-8)
        .with_number("pressure", 3487.0);
    assert_eq!(
        run("hole", &below),
        vec![Answer::Number(0.0), Answer::Number(0.0)]
    );
    let worse = Given::new()
        .with_number("open-flow", 1.0e-5)
        .with_number("open-pressure", 3487.0)
        .with_number("covered-flow", 1.01e-5)
        .with_number("covered-pressure", 3487.0);
    let found = run("found", &worse);
    assert_eq!(found[0], Answer::Number(0.0));
    assert!(found[1].number().expect("an area") < 0.0);
}
