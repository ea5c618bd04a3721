//! Inverses, directions and limits of the calculations that are a line or two, and what the longer ones come to at
//! their ends.

use crate::worked::{evaluated, in_unit, number, refusal, said, text, work};
use proptest::prelude::*;

fn unit(value: f64, unit: &str) -> String {
    format!("{value} {unit}")
}

/// What was given as `reading`, less a barometer, kPa.
fn reading_less(given: &[(&str, &str)], barometer: f64) -> f64 {
    let text = given[0].1.trim_end_matches(" kPa");
    text.parse::<f64>().expect("a number") - barometer
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_share_is_one_at_the_hole_needed_and_grows_with_the_hole(needed in 0.3..8.0_f64, part in 0.05..0.99_f64) {
        let needed = unit(needed, "mm");
        let of = |hole: f64| number("share", "share", &[("hole", &unit(hole, "mm")), ("needed", &needed)]);
        let whole: f64 = needed[..needed.len() - 3].parse().expect("a number");
        prop_assert!((of(whole) - 1.0).abs() < 1e-12);
        // By area, not by diameter.
        prop_assert!((of(part * whole) - part * part).abs() < 1e-12);
        prop_assert!(of(0.0).abs() < 1e-12);
        prop_assert!(of(part * whole) < of(whole));
    }

    #[test]
    fn air_thins_with_height_and_its_two_pressures_make_the_barometer(low in -900.0..9000.0_f64, up in 1.0..1500.0_f64) {
        let at = |height: f64, id: &str| in_unit("air", id, "kPa", &[("altitude", &unit(height, "m"))]);
        prop_assert!(at(low, "barometer") > at(low + up, "barometer"));
        let parts = at(low, "idle-vacuum") + at(low, "idle-manifold");
        prop_assert!((parts - at(low, "barometer")).abs() < 1e-9);
        // A barometer that was read goes before the height.
        let weather = at(low, "barometer") * 0.97;
        let station = [("altitude", unit(low, "m")), ("station", unit(weather, "kPa"))];
        let read = station.each_ref().map(|(id, text)| (*id, text.as_str()));
        prop_assert!((in_unit("air", "barometer", "kPa", &read) - weather).abs() < 1e-9);
    }

    #[test]
    fn a_reading_at_rest_less_its_difference_is_the_barometer(reading in 60.0..130.0_f64, barometer in 70.0..105.0_f64) {
        let (reading, around) = (unit(reading, "kPa"), unit(barometer, "kPa"));
        let given = [("reading", reading.as_str()), ("barometer", &around)];
        let off = in_unit("key-on", "difference", "kPa", &given);
        let wanted = match off {
            off if off > 3.0 => "reads high",
            off if off < -3.0 => "reads low",
            _ => "agrees with the barometer",
        };
        prop_assert_eq!(text("key-on", "verdict", &given), wanted);
        let off_again = reading_less(&given, barometer);
        prop_assert!((off - off_again).abs() < 1e-9);
    }

    #[test]
    fn what_an_engine_draws_goes_with_size_speed_and_pressure(litres in 0.6..6.0_f64, rpm in 500.0..6000.0_f64, kpa in 20.0..100.0_f64, times in 1.1..3.0_f64) {
        let of = |litres: f64, rpm: f64, kpa: f64| {
            let given = [unit(litres, "L"), unit(rpm, "rpm"), unit(kpa, "kPa")];
            number("idle-air", "airflow", &[("displacement", &given[0]), ("speed", &given[1]), ("manifold", &given[2])])
        };
        let once = of(litres, rpm, kpa);
        for more in [of(litres * times, rpm, kpa), of(litres, rpm * times, kpa), of(litres, rpm, kpa * times)] {
            prop_assert!((more / once / times - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn trims_multiply_and_one_undoes_the_other(short in -30.0..30.0_f64, long in -30.0..30.0_f64) {
        let total = |a: f64, b: f64| {
            number("trim-total", "total", &[("short", &unit(a, "%")), ("long", &unit(b, "%"))])
        };
        prop_assert!((total(short, long) - total(long, short)).abs() < 1e-12);
        prop_assert!((total(short, 0.0) - short / 100.0).abs() < 1e-12);
        let undone = 100.0 * (1.0 / (1.0 + short / 100.0) - 1.0);
        prop_assert!(total(short, undone).abs() < 1e-12);
    }

    #[test]
    fn the_rules_diameter_grows_with_the_flow_and_shrinks_with_the_pressure(flow in 0.05..5.0_f64, inches in 2.0..20.0_f64, times in 1.1..3.0_f64) {
        let of = |flow: f64, inches: f64| {
            let (flow, pressure) = (unit(flow, "L/min"), unit(inches, "inH2O"));
            number("regulatory", "diameter", &[("flow", &flow), ("pressure", &pressure)])
        };
        prop_assert!(of(flow * times, inches) > of(flow, inches));
        prop_assert!(of(flow, inches * times) < of(flow, inches));
        // No flow, no hole.
        prop_assert!(of(1e-9 * flow, inches) < 1e-3 * of(flow, inches));
    }

    #[test]
    fn a_parameter_of_two_bytes_is_a_straight_line(high in 0_u16..=255, low in 0_u16..=255) {
        let of = |a: u16, b: u16| in_unit("pid", "value", "rpm", &[("pid", "0C"), ("bytes", &format!("{a:02X}{b:02X}"))]);
        prop_assert!((of(high, low) - f64::from(256 * high + low) / 4.0).abs() < 1e-9);
    }

    /// Past its stop the engine takes what comes in, by two calculations of their own.
    #[test]
    fn a_held_speed_draws_what_leak_and_stop_let_in(hole in 1.0..40.0_f64, rest in 0.0..60.0_f64) {
        let (hole, rest) = (unit(hole, "mm"), unit(rest, "%"));
        let given = [("baseline", "30 %"), ("hole", hole.as_str()), ("displacement", "2 L"), ("rest", &rest)];
        let manifold = in_unit("raised-idle", "manifold", "kPa", &given);
        prop_assert!((35.0 - 1e-9..101.325).contains(&manifold), "{manifold} kPa");
        let drawn = |kpa: f64| {
            let kpa = unit(kpa, "kPa");
            number("idle-air", "airflow", &[("displacement", "2 L"), ("speed", "800 rpm"), ("manifold", &kpa), ("efficiency", "80 %")])
        };
        let leak = |kpa: f64| {
            let kpa = unit(kpa, "kPa");
            number("flow", "mass-flow", &[("hole", &hole), ("upstream", "101.325 kPa"), ("downstream", &kpa)])
        };
        let share: f64 = rest[..rest.len() - 2].parse::<f64>().expect("a number") / 100.0;
        let comes = share * drawn(35.0) * leak(manifold) / leak(35.0) + leak(manifold);
        if manifold > 35.0 + 1e-9 {
            prop_assert!((drawn(manifold) / comes - 1.0).abs() < 1e-6);
        } else {
            prop_assert!(comes <= drawn(35.0) * (1.0 + 1e-9), "the control has room");
        }
    }
}

#[test]
fn what_no_engine_or_gauge_can_show_is_refused_with_what_to_do() {
    for (name, inputs, wanted) in [
        (
            "key-on",
            &[("reading", "-90 kPa"), ("barometer", "100 kPa")][..],
            "add the barometer",
        ),
        (
            "fill",
            &[
                ("set-pressure", "14 inH2O"),
                ("open-flow", "10 L/min"),
                ("tank", "60 L"),
                ("fuel-level", "-50 %"),
            ],
            "from 0 % to 100 %",
        ),
        (
            "vapour",
            &[("from", "20 C"), ("to", "20 C"), ("fresh", "150 %")],
            "from 0 % to 100 %",
        ),
        (
            "air",
            &[("altitude", "0 m"), ("sea-vacuum", "40 inHg")],
            "about 20 inHg",
        ),
        (
            "raised-idle",
            &[
                ("baseline", "30 %"),
                ("hole", "2 mm"),
                ("displacement", "2 L"),
                ("manifold", "120 kPa"),
            ],
            "without a pressure drop",
        ),
        (
            "raised-idle",
            &[("baseline", "30 %"), ("reading", "-5 %")],
            "from 0 % to 100 %",
        ),
        (
            "raised-idle",
            &[("baseline", "30 %"), ("reading", "5 %"), ("stop", "8 %")],
            "below the stop",
        ),
        (
            "coil",
            &[
                ("resistance", "20 ohm"),
                ("nominal", "20 ohm"),
                ("voltage", "-12 V"),
            ],
            "below zero",
        ),
        (
            "hole",
            &[
                ("flow", "2 L/min"),
                ("pressure", "14 inH2O"),
                ("temperature", "-300 C"),
            ],
            "no temperature is that low",
        ),
        (
            "decay",
            &[
                ("volume", "30 L"),
                ("at", "10 s = 14 inH2O;10 s = 12 inH2O"),
            ],
            "do not rise",
        ),
    ] {
        let said = refusal(name, inputs);
        assert!(said.contains(wanted), "{name}: {said}");
    }
}

/// No leak makes a closed space gain pressure; what does hides one.
#[test]
fn a_pressure_that_rises_is_no_tight_space() {
    let of = |at: &str, error: f64| {
        let given = [("volume", "30 L"), ("at", at)];
        let worked = evaluated("decay", &given, &[("at", 1, error)]);
        ["verdict", "large-leak", "small-leak"].map(|id| said("decay", id, &worked))
    };
    let inch = 249.088_91;
    let rises = "0 s = 14 inH2O @ 20 C;120 s = 17 inH2O @ 20 C";
    assert_eq!(of(rises, 0.1 * inch), ["cannot tell"; 3]);
    // What the gauge cannot tell from standing still is no rise.
    let still = "0 s = 14 inH2O @ 20 C;120 s = 14.02 inH2O @ 20 C";
    assert_eq!(
        of(still, 0.1 * inch),
        ["passes", "below 0.040 in", "below 0.020 in"]
    );
    // Without temperatures a kelvin is allowed for, 1.4 inH2O, and no more.
    assert_eq!(
        of("0 s = 14 inH2O;120 s = 14.8 inH2O", 0.1 * inch)[2],
        "below 0.020 in"
    );
    assert_eq!(
        of("0 s = 14 inH2O;120 s = 22 inH2O", 0.1 * inch)[2],
        "cannot tell"
    );
}

/// The published test reads a gauge; it knows no temperature.
#[test]
fn the_time_criterion_is_the_gauge_as_read() {
    let of = |at: &str| text("decay", "verdict", &[("volume", "30 L"), ("at", at)]);
    assert_eq!(
        of("0 s = 14 inH2O @ 20 C;120 s = 8.6 inH2O @ 20.5 C"),
        "passes"
    );
    assert_eq!(of("0 s = 14 inH2O;120 s = 8.6 inH2O"), "passes");
    assert_eq!(
        of("0 s = 14 inH2O @ 20 C;120 s = 7.8 inH2O @ 19.5 C"),
        "fails"
    );
}

/// Errors that turn a verdict only together: 3.14 of 3 kPa, each alone 2.95.
#[test]
fn a_verdict_is_in_doubt_where_its_interval_reaches_the_limit() {
    let given = [("reading", "97.5 kPa"), ("barometer", "100 kPa")];
    let of = |error: f64| {
        let errors = [("reading", 0, error), ("barometer", 0, error)];
        said("key-on", "verdict", &evaluated("key-on", &given, &errors))
    };
    assert_eq!(of(450.0), "cannot tell");
    assert_eq!(of(340.0), "agrees with the barometer");
}

#[test]
fn evaporation_counts_where_the_share_of_fresh_gas_is_given() {
    let of = |fresh: Option<&str>| {
        let given: Vec<(&str, &str)> = [("from", "20 C"), ("to", "20 C")]
            .into_iter()
            .chain(fresh.map(|fresh| ("fresh", fresh)))
            .collect();
        text("vapour", "verdict", &given)
    };
    assert_eq!(of(None), "too small to matter");
    assert_eq!(of(Some("0 %")), "too small to matter");
    assert_eq!(of(Some("50 %")), "rises: it can hide a leak");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    /// Warmer, fuller, more volatile or fresher is never less; where nothing warms nothing changes but by evaporation.
    #[test]
    fn a_tank_that_warms_more_rises_more(
        from in -5.0..25.0_f64, by in 0.1..8.0_f64, more in 0.1..5.0_f64, inches in 4.0..14.0_f64,
        fresh in 1.0..90.0_f64, psi in 6.0..13.0_f64,
    ) {
        let of = |to: f64, inches: f64, fresh: f64, psi: f64| {
            let texts = [unit(from, "C"), unit(to, "C"), unit(inches, "inH2O"), unit(fresh, "%"), unit(psi, "psi")];
            let ids = ["from", "to", "pressure", "fresh", "reid-pressure"];
            let given: Vec<(&str, &str)> = ids.into_iter().zip(texts.iter().map(String::as_str)).collect();
            ["gas-change", "saturated-change", "fresh-rise"].map(|id| number("vapour", id, &given))
        };
        let usual = of(from + by, inches, fresh, psi);
        let warmer = of(from + by + more, inches, fresh, psi);
        prop_assert!((0..3).all(|place| warmer[place] > usual[place]));
        let fuller = of(from + by, inches + more, fresh, psi);
        prop_assert!(fuller[0] > usual[0] && fuller[1] > usual[1]);
        let fresher = of(from + by, inches, fresh + more, psi);
        prop_assert!(fresher[2] > usual[2]);
        let lighter = of(from + by, inches, fresh, psi + more / 5.0);
        prop_assert!(lighter[1] > usual[1] && lighter[2] > usual[2]);
        let still = of(from, inches, fresh, psi);
        prop_assert!(still[0].abs() < 1e-6 && still[1].abs() < 1e-6 && still[2] > 0.0);
    }
}

#[test]
fn what_is_not_counted_is_said() {
    let notes = |name: &str, given: &[(&str, &str)]| work(name, given).unwrap().notes.join(" ");
    let warm = [("from", "20 C"), ("to", "21 C")];
    let dry = [&warm[..], &[("fuel", "none"), ("fresh", "50 %")]].concat();
    assert!(notes("vapour", &dry).contains("`fresh` counts for nothing"));
    assert!(!notes("vapour", &[&warm[..], &[("fuel", "none")]].concat()).contains("fresh"));
    // The trim's sign is turned where the leak blows out.
    let boosted = [
        ("trim", "-8 %"),
        ("airflow", "40 g/s"),
        ("manifold", "150 kPa"),
    ];
    assert!(notes("needed", &boosted).contains("air leaks out"));
    let idle = [
        ("trim", "8 %"),
        ("airflow", "4 g/s"),
        ("manifold", "35 kPa"),
    ];
    assert!(!notes("needed", &idle).contains("leaks out"));
}

/// By an own balance of the gas and of the vapour in a space of which a share is fresh:
/// p2 = (p1 - (1 - f) pv1) T2/T1 + pv2, the vapour pressures being those of the calculation.
#[test]
fn fresh_gas_in_a_tank_that_cools_is_reckoned_once() {
    let (barometer, start) = (101_325.0, 14.0 * 249.088_91);
    let vapour = |celsius: &str| {
        number(
            "vapour",
            "vapour-pressure",
            &[("from", "20 C"), ("to", celsius)],
        )
    };
    let (before, after) = (vapour("20 C"), vapour("15 C"));
    for fresh in [0.0, 0.22, 0.3, 1.0] {
        let share = format!("{} %", fresh * 100.0);
        let given = [("from", "20 C"), ("to", "15 C"), ("fresh", share.as_str())];
        let end = (barometer + start - (1.0 - fresh) * before) * 288.15 / 293.15 + after;
        let ours =
            number("vapour", "saturated-change", &given) + number("vapour", "fresh-rise", &given);
        assert!(
            (ours - (end - barometer - start)).abs() < 1e-6,
            "{fresh}: {ours}"
        );
        let said = text("vapour", "verdict", &given);
        // The gas alone falls by 7.2 inH2O; with enough fresh gas the end lies above the start.
        let both = "falls, then rises: it can look like a leak or hide one";
        assert_eq!(said == both, ours > 0.05 * start, "{fresh}: {said}");
        assert_eq!(
            said == "falls: it can look like a leak",
            ours <= 0.05 * start,
            "{fresh}: {said}"
        );
    }
}

#[test]
fn what_no_engine_and_no_gauge_shows_is_refused() {
    let far = [("flow", "1e300 L/min"), ("pressure", "14 inH2O")];
    assert!(refusal("hole", &far).contains("larger than anything"));
    let space = [
        ("volume", "1e60 L"),
        ("at", "0 s = 14 inH2O;120 s = 9 inH2O"),
    ];
    assert!(refusal("decay", &space).contains("larger than anything"));
    assert!(refusal("needed", &[("trim", "18 %"), ("airflow", "-3 g/s")]).starts_with("airflow"));
    assert!(refusal("trim-total", &[("short", "-150 %"), ("long", "12 %")]).starts_with("short"));
    assert!(
        refusal("raised-idle", &[("baseline", "130 %"), ("reading", "10 %")])
            .starts_with("baseline")
    );
    let none = [
        ("displacement", "0 L"),
        ("speed", "800 rpm"),
        ("manifold", "35 kPa"),
    ];
    assert!(refusal("idle-air", &none).starts_with("displacement"));
    assert!(
        refusal("sensor", &[("points", "-200 kPa = 0.8 V;20 kPa = 0.9 V")])
            .contains("perfect vacuum")
    );
    assert!(
        refusal(
            "sensor-line",
            &[("gain", "0.045 V/kPa"), ("pressure", "-200 kPa")]
        )
        .contains("perfect vacuum")
    );
}

/// A barometer's own reading is enough; with an altitude that does not go with it nothing is worked.
#[test]
fn a_barometer_s_reading_takes_the_place_of_the_altitude() {
    // 5000 ft: 24.896 inHg and 84.307 kPa in the standard's own table.
    let by_height = number("air", "idle-vacuum", &[("altitude", "5000 ft")]);
    let by_reading = number("air", "idle-vacuum", &[("station", "84.307 kPa")]);
    assert!(
        (by_height / by_reading - 1.0).abs() < 1e-3,
        "{by_height} {by_reading}"
    );
    assert!(refusal("air", &[("altitude", "0 m"), ("station", "83.2 kPa")]).starts_with("station"));
    assert!(refusal("air", &[]).contains("`station`"));
}

/// However large the opening, the float shows no more than the supply gives.
#[test]
fn an_opening_without_end_passes_what_the_supply_gives() {
    for hole in ["1 mm", "5 mm", "1 m", "10 m"] {
        let given = [
            ("set-pressure", "14 inH2O"),
            ("open-flow", "10 L/min"),
            ("hole", hole),
        ];
        let flow = in_unit("equilibrium", "flow", "L/min", &given);
        assert!(flow <= 10.0 + 1e-9, "{hole}: {flow}");
    }
}
