//! Where readings, limits or points do not carry a firm word, none is given, and it is said why.

use crate::worked::{evaluated, of, refusal, said, text, work};
use ruleout::physics::evaluate::{Evaluated, Evaluation};
use ruleout::physics::uncertainty::Estimate;
use ruleout::units::Unit;

fn interval(name: &str, id: &str, evaluation: &Evaluation) -> Estimate {
    match of(name, id, evaluation) {
        Evaluated::Number { estimate, .. } => *estimate,
        other => panic!("{name} {id}: {other:?}"),
    }
}

fn notes(name: &str, inputs: &[(&str, &str)]) -> String {
    work(name, inputs).unwrap().notes.join(" ")
}

/// Of a hole at 96 kPa by the speed of air after Bernoulli, `sqrt(2 dp / density)`, with a sharp edge's 0.60: at so small a
/// drop the gas hardly expands (0.97).
#[test]
fn a_manifold_that_may_be_at_the_barometer_bounds_no_hole_from_above() {
    let near = [
        ("trim", "18 %"),
        ("airflow", "3 g/s"),
        ("manifold", "99 kPa"),
    ];
    let seen = evaluated("needed", &near, &[("manifold", 0, 3000.0)]);
    let diameter = interval("needed", "diameter", &seen);
    let speed = (2.0 * 5325.0_f64 / 1.204).sqrt();
    let area = 0.18 * 3e-3 / (0.60 * 0.98 * 1.204 * speed);
    let least = (4.0 * area / std::f64::consts::PI).sqrt();
    assert!(
        (diameter.low / least - 1.0).abs() < 0.04,
        "{diameter:?}, {least}"
    );
    assert!(diameter.high.is_infinite());
    // A trim that may be none needs no hole, and some at the most.
    let small = [
        ("trim", "1 %"),
        ("airflow", "3 g/s"),
        ("manifold", "35 kPa"),
    ];
    let seen = evaluated("needed", &small, &[("trim", 0, 0.03)]);
    let diameter = interval("needed", "diameter", &seen);
    assert!(
        diameter.low.abs() < 1e-12 && diameter.high.is_finite(),
        "{diameter:?}"
    );
}

#[test]
fn warmth_that_decides_the_time_criterion_is_named() {
    let held = |at: &'static str| [("volume", "30 L"), ("at", at)];
    let warmed = held("0 s = 14 inH2O @ 20 C;120 s = 13 inH2O @ 26 C");
    assert!(notes("decay", &warmed).contains("it would fail: the gas warmed meanwhile"));
    let cooled = held("0 s = 14 inH2O @ 20 C;120 s = 7 inH2O @ 16 C");
    assert!(notes("decay", &cooled).contains("it would pass: the gas cooled meanwhile"));
    let seen = evaluated("decay", &cooled, &[]);
    assert!(said("decay", "next", &seen).contains("temperature decides"));
    let steady = held("0 s = 14 inH2O @ 20 C;120 s = 13 inH2O @ 20.1 C");
    assert!(!notes("decay", &steady).contains("it would"));
}

#[test]
fn points_on_no_one_curve_size_no_hole() {
    let kinked = "0 s = 14 inH2O;30 s = 10 inH2O;60 s = 9.8 inH2O;120 s = 9.6 inH2O";
    let inputs = [("volume", "40 L"), ("at", kinked)];
    assert!(notes("decay", &inputs).contains("on no one curve"));
    for id in ["large-leak", "small-leak"] {
        assert_eq!(text("decay", id, &inputs), "cannot tell");
    }
    assert!(said("decay", "next", &evaluated("decay", &inputs, &[])).contains("hold again"));
    // A tight space whose gauge flickers by a tenth falls by nothing much, and is told.
    let tight = "0 s = 14 inH2O;30 s = 13.9 inH2O;60 s = 14 inH2O;120 s = 13.9 inH2O";
    let inputs = [("volume", "40 L"), ("at", tight)];
    assert_eq!(text("decay", "small-leak", &inputs), "below 0.020 in");
    let points = |third: &str| format!("3 g/s = 18 %;11 g/s = 5 %;20 g/s = {third} %");
    let off = points("15");
    assert!(notes("trims", &[("points", &off)]).contains("do not fit one leak"));
    let on = points("3");
    assert!(!notes("trims", &[("points", &on)]).contains("do not fit"));
}

#[test]
fn a_limit_s_own_error_counts() {
    let verdict = |name: &str, inputs: &[(&str, &str)], error: (&str, usize, f64)| {
        (
            said(name, "verdict", &evaluated(name, inputs, &[])),
            said(name, "verdict", &evaluated(name, inputs, &[error])),
        )
    };
    let coil = [("resistance", "24 ohm"), ("nominal", "22 ohm")];
    let (sure, open) = verdict("coil", &coil, ("nominal", 0, 11.0));
    assert_eq!((sure.as_str(), open.as_str()), ("plausible", "cannot tell"));
    let key_on = [
        ("reading", "100 kPa"),
        ("barometer", "101.3 kPa"),
        ("tolerance", "3 kPa"),
    ];
    let (sure, open) = verdict("key-on", &key_on, ("tolerance", 0, 2900.0));
    assert!(
        sure != "cannot tell" && open == "cannot tell",
        "{sure}, {open}"
    );
    let own = [
        ("volume", "40 L"),
        ("at", "0 s = 14 inH2O @ 20 C;120 s = 9 inH2O @ 20 C"),
        ("criterion", "own"),
        ("from", "14 inH2O"),
        ("to", "8 inH2O"),
        ("within", "120 s"),
    ];
    let (sure, open) = verdict("decay", &own, ("to", 0, 3.0 * 249.1));
    assert_eq!((sure.as_str(), open.as_str()), ("passes", "cannot tell"));
    // An error far too small to reach the limit changes nothing.
    let (_, still) = verdict("coil", &coil, ("nominal", 0, 0.2));
    assert_eq!(still, "plausible");
}

#[test]
fn a_difference_within_the_errors_is_no_leak_yet() {
    let covered = |flow: &'static str| {
        [
            ("open-flow", "2.3 L/min"),
            ("open-pressure", "14 inH2O"),
            ("covered-flow", flow),
            ("covered-pressure", "14 inH2O"),
        ]
    };
    let flows = [("open-flow", 0, 1.67e-6), ("covered-flow", 0, 1.67e-6)];
    let verdict = |flow| {
        said(
            "found",
            "verdict",
            &evaluated("found", &covered(flow), &flows),
        )
    };
    assert_eq!(verdict("2.25 L/min"), "cannot tell");
    assert_eq!(verdict("1.3 L/min"), "a leak");
    let fill = [
        ("set-pressure", "14 inH2O"),
        ("open-flow", "10 L/min"),
        ("volume", "30 L"),
        ("target", "13.8 inH2O"),
    ];
    let seen = evaluated("fill", &fill, &[("set-pressure", 0, 249.1)]);
    assert_eq!(said("fill", "verdict", &seen), "cannot tell");
    let alike = [
        ("test-hole", "0.5 mm"),
        ("open-at", "0 s = 14 inH2O;60 s = 12.9 inH2O"),
        ("at", "0 s = 14 inH2O;60 s = 13 inH2O"),
    ];
    let errors = [("open-at", 1, 24.9), ("at", 1, 24.9)];
    let volume = interval("volume", "volume", &evaluated("volume", &alike, &errors));
    assert!(volume.low >= 0.0, "{volume:?}");
}

#[test]
fn idle_control_with_little_way_is_not_called_in_its_range() {
    let verdict = |inputs: &[(&str, &str)]| text("raised-idle", "verdict", inputs);
    let small = [("angle", "1.2 deg"), ("baseline-angle", "3 deg")];
    assert_eq!(verdict(&small), "cannot tell");
    let finer = [&small[..], &[("tolerance", "0.5 %")]].concat();
    assert_eq!(verdict(&finer), "closed below baseline: extra air");
    assert_eq!(
        verdict(&[("reading", "29 %"), ("baseline", "30 %")]),
        "within its range"
    );
}

#[test]
fn a_test_hole_that_no_hole_can_be_is_refused() {
    let with = |flow: &'static str| {
        refusal(
            "hole",
            &[
                ("flow", "2.3 L/min"),
                ("pressure", "14 inH2O"),
                ("test-hole", "0.020 in"),
                ("test-flow", flow),
                ("test-pressure", "14 inH2O"),
            ],
        )
    };
    // 0.2027 mm2 at 76 m/s pass 0.92 L/min without loss.
    assert!(
        with("5 L/min").contains("coefficient of 5.4"),
        "{}",
        with("5 L/min")
    );
    assert!(with("0.05 L/min").contains("coefficient of 0.05"));
}

#[test]
fn pressures_and_trims_that_no_engine_has_are_refused_or_asked_about() {
    let trims = |points: &str| refusal("trims", &[("points", points)]);
    assert!(trims("3 g/s = 18 % @ 0 kPa;20 g/s = 4 % @ 60 kPa").contains("absolute"));
    let asked = |points: &str| notes("trims", &[("points", points)]);
    assert!(asked("3 g/s = 18 % @ 20 inHg;20 g/s = 4 % @ 25 inHg").contains("vacuum gauge"));
    assert!(!asked("3 g/s = 18 % @ 35 kPa;20 g/s = 4 % @ 60 kPa").contains("vacuum gauge"));
    assert!(asked("3 g/s = 24 %;20 g/s = 4 %").contains("close to the stop of 25.0 %"));
    assert!(!asked("3 g/s = 18 %;20 g/s = 4 %").contains("stop"));
    let idle = |manifold: &'static str| {
        let inputs = [
            ("displacement", "2 L"),
            ("speed", "800 rpm"),
            ("manifold", manifold),
        ];
        notes("idle-air", &inputs)
    };
    assert!(idle("20 inHg").contains("vacuum gauge") && !idle("35 kPa").contains("vacuum gauge"));
    let profile = [
        ("height", "50 %"),
        ("points", "0 % = 0 mm;35 % = 0.5 mm;78 % = 1 mm"),
        ("set-pressure", "14 inH2O"),
        ("pressure", "30 psi"),
    ];
    assert!(refusal("gauge", &profile).contains("belongs to a printed scale"));
}

#[test]
fn a_valve_that_stops_smoke_and_a_pinched_line_that_does_not_contradict() {
    let verdict = |tool: &'static str| {
        let inputs = [
            ("at-rest", "open"),
            ("rest", "passes"),
            ("tool", tool),
            ("pinched", "passes"),
        ];
        text("valve", "verdict", &inputs)
    };
    assert_eq!(verdict("stops"), "cannot tell: does not agree, repeat");
    assert_eq!(verdict("passes"), "not through this valve");
}

/// NIST SP 811 (memory): 1 psi is 16 ounces-force on the square inch, 1 cmH2O 98.0665 Pa.
#[test]
fn units_of_the_trade_are_read_and_none_is_taken_for_another() {
    let pascals = |text: &str| Unit::parse(text).map(|unit| unit.to_si(1.0));
    assert_eq!(pascals("iwg"), pascals("inH2O"));
    assert!((pascals("cmH2O").unwrap() - 98.0665).abs() < 1e-9);
    assert!((pascals("oz/in2").unwrap() * 16.0 - pascals("psi").unwrap()).abs() < 1e-9);
    for other in ["psia", "bara", "slm", "sccm", "scfm"] {
        let why = Unit::parse(other).unwrap_err().to_string();
        assert!(!why.contains("did you mean"), "{why}");
    }
    for shown in ["OL", "0.L", "OL Mohm", "0L"] {
        let why = refusal("coil", &[("resistance", shown), ("nominal", "26 ohm")]);
        assert!(why.contains("20 Mohm"), "{shown}: {why}");
    }
}
