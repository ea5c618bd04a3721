//! `ripple`, `sensor` up and down, and `sensor-line`.

use crate::worked::{answer, cell, in_unit, largest_as_stated, number, refusal, table};
use proptest::prelude::*;
use ruleout::physics::{Answer, Given, Shifts, Value, Worked, find};

/// A made capture: lobes of a width (share of the cycle), each with its height, at a speed.
struct Capture {
    heights: Vec<f64>,
    width: f64,
    rpm: f64,
    cycles: f64,
    /// Samples a second.
    rate: f64,
    /// Time from the start at which the first cycle, and its trigger, begins.
    delay: f64,
}

impl Capture {
    fn of(heights: &[f64]) -> Self {
        Self {
            heights: heights.to_vec(),
            width: 0.05,
            rpm: 780.0,
            cycles: 6.3,
            rate: 4000.0,
            delay: 0.0,
        }
    }

    fn volts(&self, t: f64) -> f64 {
        let cycle = 120.0 / self.rpm;
        let phase = (t - self.delay) / cycle;
        let count = self.heights.len() as f64;
        let lobes = self.heights.iter().zip(0..).map(|(height, place)| {
            let centre = (f64::from(place) + 0.5) / count;
            let away = (phase - centre + 0.5).rem_euclid(1.0) - 0.5;
            height * (-0.5 * (away / self.width).powi(2)).exp()
        });
        1.5 + lobes.sum::<f64>()
    }

    fn rows(&self, triggered: bool) -> Vec<Vec<Option<f64>>> {
        let cycle = 120.0 / self.rpm;
        let count = self.cycles * cycle * self.rate;
        (0..1_000_000)
            .take_while(|i| f64::from(*i) < count)
            .map(|i| {
                let t = f64::from(i) / self.rate;
                let phase = ((t - self.delay) / cycle).rem_euclid(1.0);
                let trigger = triggered.then_some(if phase < 0.03 { 5.0 } else { 0.0 });
                vec![Some(t), Some(self.volts(t)), trigger]
            })
            .collect()
    }

    fn worked(&self, rows: Vec<Vec<Option<f64>>>) -> Worked {
        self.worked_at(800.0, rows)
    }

    /// With a stated speed in rpm.
    fn worked_at(&self, stated: f64, rows: Vec<Vec<Option<f64>>>) -> Worked {
        let given = Given::new()
            .with("points", Value::Points(rows))
            .with_number("cylinders", self.heights.len() as f64)
            .with_number("speed", stated / 60.0);
        find("ripple")
            .expect("registered")
            .work(&given, &Shifts::none())
            .expect("worked")
    }
}

fn result(worked: &Worked, id: &str) -> Answer {
    let (place, _) = find("ripple")
        .expect("registered")
        .output(id)
        .expect("a result");
    worked.results[place].clone()
}

fn figure(worked: &Worked, id: &str) -> f64 {
    result(worked, id)
        .number()
        .unwrap_or_else(|| panic!("{id} of {worked:?}"))
}

/// `ripple_reference.csv`: numpy's transform; and the impulse model of REFERENCES for the narrow
/// lobes that it is for.
#[test]
fn one_weak_cylinder_brings_the_half_order_of_the_reference() {
    let (mut by_numpy, mut by_model) = (Vec::new(), Vec::new());
    for row in table("ripple_reference") {
        let count =
            usize::try_from(row["cylinders"].parse::<i32>().expect("a count")).expect("few");
        let mut heights = vec![1.0; count];
        heights[1] = 1.0 - cell(&row, "share");
        let capture = Capture {
            width: 0.005,
            rpm: 800.0,
            cycles: 3.0,
            rate: 8_000.0,
            ..Capture::of(&heights)
        };
        let ratio = figure(&capture.worked(capture.rows(false)), "half-order");
        by_numpy.push(ratio / cell(&row, "half_order_over_firing_order") - 1.0);
        by_model.push(ratio / cell(&row, "impulse_model") - 1.0);
    }
    largest_as_stated("numpy; impulse model", 0, &by_numpy, 1e-3);
    largest_as_stated("numpy; impulse model", 1, &by_model, 0.05);
}

/// A speed that is a tenth off is found; one that is far off is named, and what it would be.
#[test]
fn a_wrong_speed_is_put_right_or_named() {
    let mut capture = Capture::of(&[0.3, 0.3, 0.15, 0.3]);
    capture.rpm = 800.0;
    capture.cycles = 8.0;
    let rows = capture.rows(false);
    let verdict = |worked: &Worked| match result(worked, "verdict") {
        Answer::Text(text) => text,
        other => panic!("{other:?} is no text"),
    };
    let at = |rpm: f64| capture.worked_at(rpm, rows.clone());
    for rpm in [720.0, 760.0, 800.0, 850.0, 880.0] {
        let worked = at(rpm);
        assert_eq!(verdict(&worked), "one lobe differs", "{rpm} rpm");
    }
    for rpm in [400.0, 600.0, 1600.0] {
        let worked = at(rpm);
        assert!(
            ["lobes do not match the cylinders", "speed does not fit"]
                .contains(&verdict(&worked).as_str()),
            "{rpm} rpm: {}",
            verdict(&worked)
        );
        let said = worked.notes.join(" ");
        assert!(said.contains("as if the engine turned at"), "{said}");
    }
}

#[test]
fn even_lobes_are_even_and_the_speed_is_found() {
    let capture = Capture::of(&[0.3; 4]);
    let worked = capture.worked(capture.rows(false));
    assert_eq!(result(&worked, "verdict"), Answer::from("even"));
    assert!((figure(&worked, "lobes") - 4.0).abs() < 1e-9);
    assert!((figure(&worked, "speed") * 60.0 - 780.0).abs() < 2.0);
    assert!(figure(&worked, "half-order") < 0.01);
    assert_eq!(result(&worked, "odd-lobe"), Answer::Absent);
    assert!(figure(&worked, "drop-outs").abs() < 1e-9);
}

#[test]
fn the_lobe_that_differs_is_counted_from_the_trigger() {
    for (weak, delay) in [(0, 0.0), (1, 0.013), (2, 0.031), (3, 0.057)] {
        let mut heights = [0.3; 4];
        heights[weak] = 0.12;
        let capture = Capture {
            delay,
            ..Capture::of(&heights)
        };
        let worked = capture.worked(capture.rows(true));
        assert_eq!(
            result(&worked, "verdict"),
            Answer::from("one lobe differs"),
            "{weak}"
        );
        assert!(
            (figure(&worked, "odd-lobe") - (weak + 1) as f64).abs() < 1e-9,
            "{weak}: {worked:?}"
        );
        assert!(figure(&worked, "odd-by") < -0.3);
        assert!(worked.notes[0].contains("from the trigger"));
    }
}

/// Each cylinder draws the pressure down: one that draws less leaves a shallow trough between deep
/// ones, and crest to trough on both sides of it is as large as elsewhere.
#[test]
fn a_cylinder_that_draws_less_differs_too() {
    for (weak, delay) in [(0, 0.0), (1, 0.013), (2, 0.031), (3, 0.057)] {
        let mut heights = [-0.3; 4];
        heights[weak] = -0.12;
        let capture = Capture {
            delay,
            ..Capture::of(&heights)
        };
        let worked = capture.worked(capture.rows(true));
        let verdict = result(&worked, "verdict");
        assert_eq!(verdict, Answer::from("one lobe differs"), "{weak}");
        let odd = figure(&worked, "odd-lobe");
        assert!((odd - (weak + 1) as f64).abs() < 1e-9, "{weak}: {worked:?}");
        assert!(figure(&worked, "odd-by") < -0.3);
    }
}

#[test]
fn drop_outs_are_counted_and_left_out() {
    let capture = Capture::of(&[0.3; 4]);
    let mut rows = capture.rows(false);
    for place in [100, 101, 102, 900, 1500] {
        rows[place][1] = Some(-3.0);
    }
    let worked = capture.worked(rows);
    assert!((figure(&worked, "drop-outs") - 3.0).abs() < 1e-9);
    assert_eq!(result(&worked, "verdict"), Answer::from("even"));
    assert!(worked.notes.iter().any(|n| n.contains("wiring")));
}

#[test]
fn a_flat_or_wrong_capture_is_said_to_be() {
    let flat = Capture::of(&[0.0; 4]);
    assert_eq!(
        result(&flat.worked(flat.rows(false)), "verdict"),
        Answer::from("no ripple")
    );
    let three = Capture::of(&[0.3; 3]);
    let given = Given::new()
        .with("points", Value::Points(three.rows(false)))
        .with_number("cylinders", 4.0)
        .with_number("speed", 780.0 / 60.0);
    let worked = find("ripple")
        .expect("registered")
        .work(&given, &Shifts::none())
        .expect("worked");
    assert_eq!(
        result(&worked, "verdict"),
        Answer::from("lobes do not match the cylinders")
    );
    let points = "0 s = 1 V;0.1 s = 1.1 V";
    assert!(
        refusal(
            "ripple",
            &[("points", points), ("cylinders", "4"), ("speed", "800 rpm")]
        )
        .contains("too few")
    );
    assert!(
        refusal(
            "ripple",
            &[("points", points), ("cylinders", "0"), ("speed", "800 rpm")]
        )
        .contains("1 to 16")
    );
    assert!(
        refusal(
            "ripple",
            &[("points", points), ("cylinders", "4"), ("speed", "0 rpm")]
        )
        .contains("turns")
    );
    let back = "0.1 s = 1 V;0 s = 1.1 V";
    assert!(
        refusal(
            "ripple",
            &[("points", back), ("cylinders", "4"), ("speed", "800 rpm")]
        )
        .contains("do not rise")
    );
}

#[test]
fn a_sweep_up_and_down_shows_its_hysteresis() {
    let up = "20 kPa = 1.00 V;60 kPa = 3.00 V;100 kPa = 5.00 V";
    let down = format!("{up};60 kPa = 3.10 V;20 kPa = 1.00 V");
    assert!((number("sensor", "hysteresis", &[("points", &down)]) - 0.1 / 4.0).abs() < 1e-3);
    let same = format!("{up};60 kPa = 3.00 V;20 kPa = 1.00 V");
    assert!(number("sensor", "hysteresis", &[("points", &same)]).abs() < 1e-12);
    assert_eq!(
        answer("sensor", "hysteresis", &[("points", up)]),
        Answer::Absent
    );
}

/// Lines as two component datasheets print them, at a supply of 5 V: a gauge sensor, Vs (0.007652 P + 0.92), gives
/// 2.30 V at -60 kPa; an absolute one, Vs (0.009 P - 0.095), 4.025 V at 100 kPa (the second from memory). The first
/// is printed to the hundredth of a volt.
#[test]
fn the_lines_of_two_datasheets_are_met() {
    let signal = |gain: &str, offset: &str, pressure: &str| {
        number(
            "sensor-line",
            "signal",
            &[("gain", gain), ("offset", offset), ("pressure", pressure)],
        )
    };
    let gauge = signal("38.26 mV/kPa", "4.6 V", "-60 kPa");
    let absolute = signal("45 mV/kPa", "-0.475 V", "100 kPa");
    largest_as_stated(
        "two component datasheets",
        0,
        &[gauge - 2.30, absolute - 4.025],
        5e-3,
    );
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 16, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn volts_to_pressure_and_back(gain in 1.0..100.0_f64, offset in -1.0..2.0_f64, kpa in -80.0..250.0_f64) {
        let (gain, offset) = (format!("{gain} mV/kPa"), format!("{offset} V"));
        let pressure = format!("{kpa} kPa");
        let there = [("gain", gain.as_str()), ("offset", &offset), ("pressure", &pressure)];
        let signal = format!("{} V", number("sensor-line", "signal", &there));
        let back = [("gain", gain.as_str()), ("offset", &offset), ("signal", &signal)];
        prop_assert!((in_unit("sensor-line", "pressure", "kPa", &back) - kpa).abs() < 1e-9);
    }

    #[test]
    fn a_weaker_lobe_is_a_larger_half_order(share in 0.05..0.9_f64, count in 3_usize..7) {
        let ratio = |share: f64| {
            let mut heights = vec![0.3; count];
            heights[1] *= 1.0 - share;
            let capture = Capture { width: 0.03, ..Capture::of(&heights) };
            figure(&capture.worked(capture.rows(false)), "half-order")
        };
        prop_assert!(ratio(share + 0.05) > ratio(share));
    }
}
