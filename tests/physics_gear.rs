//! Floats, supplies and test holes: `gauge`, `equilibrium`, `fill`, and sizes relative to a test hole.

use crate::worked::{
    cell, evaluated, in_unit, largest_as_stated, number, of, refusal, table, text, work,
};
use proptest::prelude::*;
use ruleout::physics::evaluate::Evaluated;

/// An instrument maker's technical note: a scale for air (2 bar gauge, 20 C) with carbon dioxide
/// at 4 bar gauge and 50 C reads by 0.994, and 5 is 4.97 m3/h. The note takes 1 bar around.
#[test]
fn the_float_of_the_makers_note_reads_as_it_says() {
    let inputs = [
        ("reading", "5 m3/h"),
        ("gas", "carbon-dioxide"),
        ("pressure", "4 bar"),
        ("temperature", "50 C"),
        ("scale-pressure", "2 bar"),
        ("barometer", "100 kPa"),
    ];
    let off = number("gauge", "factor", &inputs) - 0.994;
    largest_as_stated("instrument maker's example, 0.994", 0, &[off], 5e-4);
    assert!((in_unit("gauge", "flow", "m3/h", &inputs) - 4.97).abs() < 0.005);
}

#[test]
fn a_float_at_its_own_conditions_reads_true() {
    let inputs = [("reading", "2 L/min")];
    assert!((number("gauge", "factor", &inputs) - 1.0).abs() < 1e-12);
    assert!(number("gauge", "flow", &[("reading", "0 L/min")]).abs() < 1e-15);
}

const PROFILE: &str = "0 % = 0 mm;35 % = 0.020 in;78 % = 0.040 in";

#[test]
fn a_height_becomes_a_flow_with_an_uncertainty() {
    let at = |height: &str| {
        let inputs = [
            ("height", height),
            ("points", PROFILE),
            ("set-pressure", "14 inH2O"),
        ];
        in_unit("gauge", "flow", "L/min", &inputs)
    };
    // At the calibrated heights the flows are those of the holes.
    for (height, hole) in [("35 %", "0.020 in"), ("78 %", "0.040 in")] {
        let inputs = [("hole", hole), ("pressure", "14 inH2O")];
        let through = in_unit("flow", "volume-flow", "L/min", &inputs);
        assert!((at(height) / through - 1.0).abs() < 1e-9, "{height}");
    }
    assert!(at("0 %").abs() < 1e-12);
    assert!(at("35 %") < at("50 %") && at("50 %") < at("78 %"));
    let middle = [
        ("height", "50 %"),
        ("points", PROFILE),
        ("set-pressure", "14 inH2O"),
    ];
    let done = evaluated("gauge", &middle, &[("height", 0, 0.02)]);
    let Evaluated::Number { estimate, .. } = of("gauge", "flow", &done) else {
        panic!("a flow")
    };
    assert!(estimate.half_width() > 0.1 * estimate.value, "{estimate:?}");
    let wrong = |points: &str, height: &str| {
        refusal(
            "gauge",
            &[
                ("height", height),
                ("points", points),
                ("set-pressure", "14 inH2O"),
            ],
        )
    };
    assert!(wrong(PROFILE, "90 %").contains("outside the profile"));
    assert!(wrong("0 % = 1 mm;50 % = 0.5 mm", "20 %").contains("no scale"));
    assert!(wrong("0 % = 0 mm", "0 %").contains("no scale"));
    assert!(refusal("gauge", &[]).starts_with("reading: missing"));
    assert!(refusal("gauge", &[("reading", "-1 L/min")]).contains("below zero"));
}

/// `supply_reference.csv`: brentq and an integration by scipy.
#[test]
fn a_supply_settles_and_fills_as_the_reference_says() {
    let (mut pressures, mut flows, mut times) = (Vec::new(), Vec::new(), Vec::new());
    for row in table("supply_reference") {
        let unit = |column: &str, unit: &str| format!("{} {unit}", row[column]);
        let (set, open) = (unit("set_inH2O", "inH2O"), unit("open_L_min", "L/min"));
        let hole = unit("hole_mm", "mm");
        let (volume, target) = (unit("volume_L", "L"), unit("target_inH2O", "inH2O"));
        let base = [
            ("set-pressure", set.as_str()),
            ("open-flow", &open),
            ("hole", &hole),
        ];
        let pressure = in_unit("equilibrium", "pressure", "inH2O", &base);
        pressures.push(pressure / cell(&row, "pressure_inH2O") - 1.0);
        let flow = in_unit("equilibrium", "flow", "L/min", &base);
        flows.push(flow / cell(&row, "flow_L_min") - 1.0);
        let filling = [&base[..], &[("volume", &*volume), ("target", &*target)]].concat();
        times.push(number("fill", "time", &filling) / cell(&row, "time_s") - 1.0);
    }
    largest_as_stated("scipy: pressure, flow, time", 0, &pressures, 5e-6);
    largest_as_stated("scipy: pressure, flow, time", 1, &flows, 5e-6);
    largest_as_stated("scipy: pressure, flow, time", 2, &times, 1e-4);
}

#[test]
fn a_blocked_tip_reads_the_set_pressure_and_an_open_one_the_open_flow() {
    let at = |hole: &str, id: &str, unit: &str| {
        let inputs = [
            ("set-pressure", "14 inH2O"),
            ("open-flow", "10 L/min"),
            ("hole", hole),
        ];
        in_unit("equilibrium", id, unit, &inputs)
    };
    assert!((at("0 mm", "pressure", "inH2O") - 14.0).abs() < 1e-9);
    assert!(at("0 mm", "flow", "L/min").abs() < 1e-12);
    assert!(at("100 mm", "pressure", "inH2O") < 1e-3);
    assert!((at("100 mm", "flow", "L/min") / 10.0 - 1.0).abs() < 1e-3);
    // Openings with the restriction's own area, at one coefficient: half the set pressure.
    let inputs = [
        ("set-pressure", "1 mbar"),
        ("open-flow", "10 L/min"),
        ("coefficient", "1"),
    ];
    let restriction = [
        ("flow", "10 L/min"),
        ("pressure", "1 mbar"),
        ("coefficient", "1"),
    ];
    let hole = format!("{} m", number("hole", "diameter", &restriction));
    let half = [&inputs[..], &[("hole", &*hole)]].concat();
    assert!((in_unit("equilibrium", "pressure", "mbar", &half) - 0.5).abs() < 1e-3);
    assert!(
        refusal(
            "equilibrium",
            &[
                ("set-pressure", "0 kPa"),
                ("open-flow", "1 L/min"),
                ("hole", "1 mm")
            ]
        )
        .contains("above zero")
    );
}

#[test]
fn a_space_fills_or_is_said_never_to() {
    let base = [
        ("set-pressure", "14 inH2O"),
        ("open-flow", "10 L/min"),
        ("target", "12 inH2O"),
    ];
    let with = |more: &[(&'static str, &'static str)]| [&base[..], more].concat();
    let by_volume = number("fill", "time", &with(&[("volume", "30 L")]));
    let by_tank = number(
        "fill",
        "time",
        &with(&[("tank", "50 L"), ("fuel-level", "40 %")]),
    );
    assert!((by_volume / by_tank - 1.0).abs() < 1e-9);
    // Twice the space takes twice the time.
    let twice = number("fill", "time", &with(&[("volume", "60 L")]));
    assert!((twice / by_volume - 2.0).abs() < 1e-9);
    let leaky = with(&[("volume", "30 L"), ("hole", "3 mm")]);
    assert_eq!(text("fill", "verdict", &leaky), "never reaches it");
    let notes = work("fill", &leaky).expect("worked").notes;
    assert!(
        notes.iter().any(|n| n.contains("it settles at")),
        "{notes:?}"
    );
    assert!(refusal("fill", &with(&[])).starts_with("volume: missing"));
    assert!(refusal("fill", &with(&[("tank", "50 L")])).starts_with("fuel-level: missing"));
    assert!(
        refusal("fill", &with(&[("tank", "50 L"), ("fuel-level", "100 %")])).contains("no space")
    );
}

#[test]
fn several_holes_add_by_area() {
    let two = [("hole", "3 mm;4 mm"), ("pressure", "14 inH2O")];
    let one = [("hole", "5 mm"), ("pressure", "14 inH2O")];
    let (a, b) = (
        number("flow", "mass-flow", &two),
        number("flow", "mass-flow", &one),
    );
    assert!((a / b - 1.0).abs() < 1e-12);
    assert!(
        refusal("flow", &[("hole", "3 mm;-1 mm"), ("pressure", "14 inH2O")]).contains("below zero")
    );
}

#[test]
fn a_test_hole_on_the_same_gear_cancels_coefficient_and_scale() {
    // A float that reads 20 % high and a gas taken for another: both readings are wrong alike.
    let through = |hole: &str| {
        let inputs = [
            ("hole", hole),
            ("pressure", "14 inH2O"),
            ("gas", "nitrogen"),
            ("coefficient", "0.7"),
        ];
        format!("{} m3/s", 1.2 * number("flow", "volume-flow", &inputs))
    };
    let (test, leak) = (through("0.040 in"), through("0.9 mm"));
    let relative = [
        ("flow", leak.as_str()),
        ("pressure", "14 inH2O"),
        ("test-hole", "0.040 in"),
        ("test-flow", &test),
        ("test-pressure", "14 inH2O"),
    ];
    let size = in_unit("hole", "diameter", "mm", &relative);
    assert!((size - 0.9).abs() < 1e-9, "{size}");
    let done = evaluated("hole", &relative, &[]);
    let Evaluated::Number { estimate, .. } = of("hole", "diameter", &done) else {
        panic!("a diameter")
    };
    assert!(
        estimate.half_width() < 1e-9,
        "the coefficient cancels: {estimate:?}"
    );
    let plain = [("flow", leak.as_str()), ("pressure", "14 inH2O")];
    assert!(in_unit("hole", "diameter", "mm", &plain) > 1.02);
    let alone = [
        ("flow", "1 L/min"),
        ("pressure", "14 inH2O"),
        ("test-flow", "1 L/min"),
    ];
    assert!(refusal("hole", &alone).contains("without the test hole's size"));
    let found = [
        ("open-flow", leak.as_str()),
        ("open-pressure", "14 inH2O"),
        ("covered-flow", "0 L/min"),
        ("covered-pressure", "14 inH2O"),
        ("test-hole", "0.040 in"),
        ("test-flow", &test),
        ("test-pressure", "14 inH2O"),
    ];
    assert!((in_unit("found", "diameter", "mm", &found) - 0.9).abs() < 1e-9);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn more_opening_is_more_flow_and_less_pressure(
        set in 1000.0..8000.0_f64, open in 2.0..30.0_f64, hole in 0.2..5.0_f64, more in 1.02..1.5_f64,
    ) {
        let at = |hole: f64, id: &str| {
            let inputs = [("set-pressure", format!("{set} Pa")), ("open-flow", format!("{open} L/min")),
                ("hole", format!("{hole} mm"))];
            let inputs: Vec<(&str, &str)> = inputs.iter().map(|(a, b)| (*a, b.as_str())).collect();
            number("equilibrium", id, &inputs)
        };
        prop_assert!(at(hole * more, "flow") > at(hole, "flow"));
        prop_assert!(at(hole * more, "pressure") < at(hole, "pressure"));
        prop_assert!(at(hole, "pressure") <= set);
    }

    #[test]
    fn filling_takes_longer_to_more_pressure_through_less_flow_and_with_a_leak(
        open in 2.0..30.0_f64, litres in 5.0..80.0_f64, target in 2.0..10.0_f64,
    ) {
        let time = |open: f64, target: f64, hole: f64| {
            let inputs = [("set-pressure", "14 inH2O".to_owned()), ("open-flow", format!("{open} L/min")),
                ("volume", format!("{litres} L")), ("target", format!("{target} inH2O")), ("hole", format!("{hole} mm"))];
            let inputs: Vec<(&str, &str)> = inputs.iter().map(|(a, b)| (*a, b.as_str())).collect();
            number("fill", "time", &inputs)
        };
        let base = time(open, target, 0.0);
        prop_assert!(time(open, target * 1.1, 0.0) > base);
        prop_assert!(time(open * 1.1, target, 0.0) < base);
        prop_assert!(time(open, target, 0.2) > base);
    }

    #[test]
    fn a_float_on_its_scale_and_back_is_where_it_began(
        pressure in -50.0..500.0_f64, kelvin in 260.0..350.0_f64,
    ) {
        let (p, t) = (format!("{pressure} kPa"), format!("{kelvin} K"));
        let there = [("reading", "1 L/min"), ("pressure", p.as_str()), ("temperature", &t), ("gas", "nitrogen")];
        let back = [("reading", "1 L/min"), ("scale-pressure", p.as_str()), ("scale-temperature", &t),
            ("scale-gas", "nitrogen")];
        let product = number("gauge", "factor", &there) * number("gauge", "factor", &back);
        prop_assert!((product - 1.0).abs() < 1e-9);
    }
}
