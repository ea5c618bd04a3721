//! `decay` and `volume`: against tables, against a numerical integration written here, and what
//! their verdicts say.

use crate::worked::{
    cell, evaluated, given, in_unit, largest, largest_as_stated, number, of, refusal, said, table,
    text, work,
};
use proptest::prelude::*;
use ruleout::physics::decay::{Reading, Space, fit};
use ruleout::physics::evaluate::{Evaluated, evaluate};
use ruleout::physics::find;
use ruleout::physics::gas::Gas;
use ruleout::physics::orifice::{Coefficient, area};
use ruleout::plant::dice::Dice;

const WATER: f64 = 249.088_91;

fn space(gas: Gas, coefficient: Coefficient) -> Space {
    Space {
        gas,
        barometer: 101_325.0,
        temperature: 293.15,
        coefficient,
        deviations: 0.0,
    }
}

/// The exact equation, `dp/dt = -R T A G(p) / V`, by the classical Runge-Kutta method.
fn integrated(space: &Space, start: f64, area: f64, volume: f64, time: f64, steps: u32) -> f64 {
    let constant = space.gas.constant() * space.temperature * area / volume;
    let slope = |p: f64| {
        if p * start <= 0.0 {
            0.0
        } else {
            -constant * space.flux(p) * start.signum()
        }
    };
    let h = time / f64::from(steps);
    (0..steps).fold(start, |p, _| {
        let k1 = slope(p);
        let k2 = slope(p + h / 2.0 * k1);
        let k3 = slope(p + h / 2.0 * k2);
        let k4 = slope(p + h * k3);
        p + h / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4)
    })
}

/// `decay_reference.csv`: scipy, both coefficients, and the closed form of the table's own.
#[test]
fn the_pressure_left_is_that_of_the_reference() {
    let (mut exact, mut closed, mut apart) = (Vec::new(), Vec::new(), Vec::new());
    for row in table("decay_reference") {
        let volume = cell(&row, "V_vapour_L") / 1000.0;
        let hole = area(cell(&row, "d_in") * 0.0254);
        for (column, coefficient) in [("P_end_inH2O_Cd0.61", 0.61), ("P_end_inH2O_Cd0.75", 0.75)] {
            let space = space(Gas::Air, Coefficient::Fixed(coefficient));
            let left = space.pressure_after(14.0 * WATER, hole, volume, 120.0) / WATER;
            exact.push(left - cell(&row, column));
            let form = space.closed_form(14.0 * WATER, hole, volume, 120.0) / WATER;
            if coefficient < 0.7 {
                closed.push(form - cell(&row, "P_end_inH2O_closed_form_Cd0.61"));
            }
            apart.push(form - left);
        }
    }
    largest_as_stated("scipy integration, 36 values", 0, &exact, 0.001);
    assert_eq!(exact.len(), 36);
    largest("decay_reference, closed form (inH2O)", &closed, 0.001);
    largest_as_stated("closed form for small pressures", 0, &apart, 0.01);
}

/// `decay_more.csv`: other gases, vacuum, choked, and Perry's coefficient, by scipy.
#[test]
fn other_gases_vacuum_and_choked_flow_follow_the_reference() {
    let mut deviations = Vec::new();
    for row in table("decay_more") {
        let space = space(Gas::named(&row["gas"]).expect("a gas"), Coefficient::Sharp);
        let start = cell(&row, "start_pa");
        let left = space.pressure_after(
            start,
            area(cell(&row, "diameter_mm") / 1000.0),
            cell(&row, "volume_l") / 1000.0,
            cell(&row, "time_s"),
        );
        deviations.push((left - cell(&row, "end_pa")) / start);
    }
    largest_as_stated("other gases, vacuum, choked", 0, &deviations, 1e-7);
}

/// The clock against Runge-Kutta on the exact equation, and the hole back from the curve.
#[test]
fn a_curve_by_runge_kutta_gives_its_hole_back() {
    for (gas, start, hole, volume, time) in [
        (Gas::Air, 3487.0, 0.4e-3, 0.030, 120.0),
        (Gas::Nitrogen, 3487.0, 0.508e-3, 0.045, 120.0),
        (Gas::Air, -30_000.0, 0.6e-3, 0.012, 60.0),
        (Gas::CarbonDioxide, 60_000.0, 1.0e-3, 0.010, 15.0),
    ] {
        let space = space(gas, Coefficient::Sharp);
        let at = |time: f64| integrated(&space, start, area(hole), volume, time, 4000);
        let left = space.pressure_after(start, area(hole), volume, time);
        assert!(
            (left - at(time)).abs() < 1e-5 * start.abs(),
            "{left} {}",
            at(time)
        );
        let readings: Vec<Reading> = [0.0, 0.25, 0.5, 1.0]
            .iter()
            .map(|share| Reading {
                time: share * time,
                inside: at(share * time),
                temperature: 293.15,
            })
            .collect();
        let found = fit(&space, &readings).expect("a fit").area_per_volume * volume;
        assert!(
            (found / area(hole) - 1.0).abs() < 2e-5,
            "{}",
            found / area(hole)
        );
    }
}

/// 40 CFR 1065.644, Eq. 1065.644-1: 2.0000 L, 25.300 to 50.600 kPa absolute in 70 s at 293.15 K
/// is 2.966e-4 mol/s. Both pressures choke the leak, so that its rate is one all the while.
#[test]
fn the_leak_of_the_vacuum_example_of_the_rule_comes_out() {
    let inputs = [
        ("volume", "2.0000 L"),
        ("at", "0 s = -76.025 kPa;70 s = -50.725 kPa"),
        ("coefficient", "0.6"),
        ("criterion", "none"),
    ];
    let moles = number("decay", "leak-rate", &inputs) * 101_325.0 / (8.314_462_618 * 293.15);
    largest_as_stated(
        "40 CFR 1065.644 example",
        0,
        &[moles / 2.966e-4 - 1.0],
        1e-3,
    );
    // With the temperature read at each point the same equation divides each pressure by its own.
    let warm = [
        ("volume", "2.0000 L"),
        (
            "at",
            "0 s = -76.025 kPa @ 293.15 K;70 s = -50.725 kPa @ 295.15 K",
        ),
        ("coefficient", "0.6"),
        ("criterion", "none"),
    ];
    let by_rule = 2.0e-3 / 8.314_462_618 * (50_600.0 / 295.15 - 25_300.0 / 293.15) / 70.0;
    let moles = number("decay", "leak-rate", &warm) * 101_325.0 / (8.314_462_618 * 293.15);
    // The flux goes with the root of the temperature in between, which the rule does not look at.
    assert!((moles / by_rule - 1.0).abs() < 4e-3, "{}", moles / by_rule);
}

/// The published criterion is no hole size: 0.20, 0.34 and 0.48 mm in 10, 30 and 60 L.
#[test]
fn fourteen_to_eight_is_another_hole_in_another_volume() {
    for (volume, hole) in [("10 L", 0.20), ("30 L", 0.34), ("60 L", 0.48)] {
        let inputs = [("volume", volume), ("at", "0 s = 14 inH2O;120 s = 8 inH2O")];
        let found = in_unit("decay", "diameter", "mm", &inputs);
        assert!((found - hole).abs() < 0.005, "{volume}: {found}");
        assert_eq!(text("decay", "verdict", &inputs), "passes");
    }
    // REFERENCES: in 67.15 L 0.020 in just reaches 8 inH2O (Cd 0.61).
    let inputs = [
        ("volume", "67.15 L"),
        ("at", "0 s = 14 inH2O;120 s = 8 inH2O"),
        ("coefficient", "0.61"),
    ];
    let found = in_unit("decay", "diameter", "in", &inputs);
    assert!((found - 0.020).abs() < 2e-6, "{found}");
}

#[test]
fn the_time_criterion_and_the_holes_are_judged_apart() {
    // A large tank: 14 to 9 inH2O passes by the clock, and is a hole of 0.020 in or more all the same.
    let large = [
        ("volume", "120 L"),
        ("at", "0 s = 14 inH2O;120 s = 9 inH2O"),
    ];
    let done = evaluated("decay", &large, &[("volume", 0, 1e-3)]);
    assert_eq!(said("decay", "verdict", &done), "passes");
    assert_eq!(said("decay", "large-leak", &done), "below 0.040 in");
    let small = [("volume", "5 L"), ("at", "0 s = 14 inH2O;120 s = 5 inH2O")];
    let done = evaluated("decay", &small, &[("volume", 0, 0.5e-3)]);
    assert_eq!(said("decay", "verdict", &done), "fails");
    assert_eq!(said("decay", "small-leak", &done), "below 0.020 in");
}

#[test]
fn an_interval_across_the_limit_cannot_tell_and_says_what_would() {
    let close = [
        ("volume", "30 L"),
        ("at", "0 s = 14 inH2O;20 s = 12.4 inH2O"),
    ];
    let done = evaluated(
        "decay",
        &close,
        &[("at", 1, 0.1 * WATER), ("volume", 0, 1e-3)],
    );
    assert_eq!(said("decay", "small-leak", &done), "cannot tell");
    let Evaluated::Number { estimate, .. } = of("decay", "measure-for", &done) else {
        panic!("a time")
    };
    assert!((20.0..2000.0).contains(&estimate.value), "{estimate:?}");
    assert!(said("decay", "next", &done).contains("go on measuring"));
    // Going on for that long, with the same gauge on the same curve, does tell.
    let hole = number("decay", "diameter", &close);
    let space = space(Gas::Air, Coefficient::Sharp);
    let time = estimate.value * 1.02;
    let left = space.pressure_after(14.0 * WATER, area(hole), 0.030, time);
    let later = format!("0 s = 14 inH2O;{time} s = {left} Pa");
    let longer = [("volume", "30 L"), ("at", later.as_str())];
    let done = evaluated(
        "decay",
        &longer,
        &[("at", 1, 0.1 * WATER), ("volume", 0, 1e-3)],
    );
    assert_eq!(said("decay", "small-leak", &done), "below 0.020 in");
    // With a volume known to 70 % no time will tell, but for the time criterion, whose time is not over.
    let [volume, at] = close;
    let no_criterion = [volume, at, ("criterion", "none")];
    let done = evaluated(
        "decay",
        &no_criterion,
        &[("at", 1, 0.1 * WATER), ("volume", 0, 22e-3)],
    );
    assert_eq!(*of("decay", "measure-for", &done), Evaluated::Absent);
    assert!(said("decay", "next", &done).contains("volume"));
}

/// 14 to 12.65 inH2O in 20 s, carried on, ends about 7; but a sixth of the kelvin that the test is allowed is 0.24 inH2O
/// (gas law) of that fall, which need not go on, and 1.43 at the end. Read at 120 s the criterion is a plain reading, whatever the warmth was.
#[test]
fn a_criterion_reckoned_ahead_allows_for_warmth_and_one_that_was_read_does_not() {
    let of = |at: &str| {
        let inputs = [("volume", "40 L"), ("at", at)];
        let errors = [("at", 1, 0.1 * WATER), ("volume", 0, 2e-3)];
        evaluated("decay", &inputs, &errors)
    };
    let ahead = of("0 s = 14 inH2O;20 s = 12.65 inH2O");
    assert_eq!(said("decay", "verdict", &ahead), "cannot tell");
    assert!(said("decay", "next", &ahead).contains("go on measuring"));
    let read = of("0 s = 14 inH2O;120 s = 7 inH2O");
    assert_eq!(said("decay", "verdict", &read), "fails");
    // An open one whose time is over says what would tell.
    let open = of("0 s = 14 inH2O;120 s = 8.05 inH2O");
    assert!(said("decay", "next", &open).contains("finer gauge"));
}

/// A time to go on to is never over already.
#[test]
fn the_time_to_go_on_to_lies_ahead() {
    for left in 40..130 {
        let at = format!("0 s = 14 inH2O;60 s = {} inH2O", f64::from(left) / 10.0);
        let inputs = [
            ("volume", "80 L"),
            ("at", at.as_str()),
            ("criterion", "none"),
        ];
        let errors = [("at", 1, 0.1 * WATER), ("volume", 0, 4e-3)];
        let done = evaluated("decay", &inputs, &errors);
        if let Evaluated::Number { estimate, .. } = of("decay", "measure-for", &done) {
            assert!(estimate.value >= 66.0 - 1e-9, "{at}: {estimate:?}");
        }
    }
}

/// Two holds, each with its own unread warmth of 1 K (95 % of a normal draw) and one coefficient, through a test hole of 0.5 mm, from 60 L of
/// which the space leaks as a hole of 0.2 mm: the stated interval holds the volume in 92 to 98 of 100.
#[test]
fn the_volume_of_two_holds_with_their_own_warmth_is_held_by_its_interval() {
    const CASES: u32 = 2_000;
    let (volume, own, test) = (0.060, area(0.2e-3), area(0.5e-3));
    let mut draws = Dice::new(11);
    let (mut held, mut worked) = (0, 0);
    for _ in 0..CASES {
        let space = Space {
            deviations: draws.normal(),
            ..space(Gas::Air, Coefficient::Sharp)
        };
        let mut hold = |area: f64| {
            let left = space.pressure_after(14.0 * WATER, area, volume, 120.0);
            left + (101_325.0 + left) * draws.normal() / 1.96 / 293.15
        };
        let (shut, open) = (hold(own), hold(own + test));
        let shut = format!("0 s = 14 inH2O;120 s = {shut} Pa");
        let open = format!("0 s = 14 inH2O;120 s = {open} Pa");
        let inputs = [
            ("test-hole", "0.5 mm"),
            ("open-at", open.as_str()),
            ("at", &shut),
        ];
        let Ok(given) = given("volume", &inputs) else {
            continue;
        };
        let Ok(done) = evaluate(find("volume").expect("registered"), &given, &[]) else {
            continue;
        };
        assert!(done.notes.join(" ").contains("by itself"));
        if let Evaluated::Number { estimate, .. } = of("volume", "volume", &done) {
            worked += 1;
            held += u32::from((estimate.low..=estimate.high).contains(&volume));
        }
    }
    assert!(worked > CASES * 9 / 10, "{worked}");
    let share = f64::from(held) / f64::from(worked);
    assert!((0.92..=0.98).contains(&share), "{share}");
}

#[test]
fn the_time_criterion_cannot_tell_within_the_gauges_error() {
    let inputs = [
        ("volume", "30 L"),
        ("at", "0 s = 14 inH2O;120 s = 8.05 inH2O"),
    ];
    let done = evaluated("decay", &inputs, &[("at", 1, 0.1 * WATER)]);
    assert_eq!(said("decay", "verdict", &done), "cannot tell");
    let done = evaluated("decay", &inputs, &[("at", 1, 0.01 * WATER)]);
    assert_eq!(said("decay", "verdict", &done), "passes");
}

#[test]
fn a_cooling_tank_is_no_leak_and_a_warming_one_no_proof() {
    // 3 K less move a sealed tank by 4.3 inH2O: a plain gauge reads a leak.
    let cooled = 104_812.24 * 290.15 / 293.15 - 101_325.0;
    let points = format!("0 s = 3487.24 Pa @ 293.15 K;120 s = {cooled} Pa @ 290.15 K");
    let read = [("volume", "30 L"), ("at", points.as_str())];
    assert!(number("decay", "diameter", &read) < 1e-6);
    assert_eq!(
        text("decay", "temperature-verdict", &read),
        "drift corrected"
    );
    assert!((number("decay", "drift", &read) - (cooled - 3487.24)).abs() < 1.0);
    let blind = format!("0 s = 3487.24 Pa;120 s = {cooled} Pa");
    let unread = [("volume", "30 L"), ("at", blind.as_str())];
    assert!(number("decay", "diameter", &unread) > 0.2e-3);
    assert_eq!(
        text("decay", "temperature-verdict", &unread),
        "cannot tell: no temperatures"
    );
    // What the program allows for an unread temperature is in the interval of the hole.
    let done = evaluated("decay", &unread, &[]);
    let Evaluated::Number { estimate, .. } = of("decay", "diameter", &done) else {
        panic!("a diameter")
    };
    assert!(estimate.low < 0.95 * estimate.value, "{estimate:?}");
}

#[test]
fn readings_that_settle_nothing_are_refused() {
    let refuse = |at: &str| refusal("decay", &[("volume", "30 L"), ("at", at)]);
    assert!(refuse("0 s = 14 inH2O").contains("one pressure"));
    assert!(refuse("20 s = 14 inH2O;10 s = 13 inH2O").contains("do not rise"));
    assert!(refuse("0 s = 0 kPa;10 s = 0 kPa").contains("no pressure to lose"));
    assert!(
        refuse("0 s = 14 inH2O;10 s = -1 inH2O").contains("above the barometer and some below")
    );
    assert!(refuse("0 s = 14 inH2O @ 20 C;10 s = 13 inH2O").contains("every point or with none"));
    assert!(refuse("0 s = -102 kPa;10 s = -90 kPa").contains("perfect vacuum"));
    let two = "0 s = 14 inH2O;120 s = 9 inH2O";
    assert!(refusal("decay", &[("volume", "0 L"), ("at", two)]).contains("above zero"));
    assert!(
        refusal(
            "decay",
            &[("volume", "9 L"), ("at", two), ("within", "60 s")]
        )
        .contains("criterion of your own")
    );
    let own = [
        ("volume", "9 L"),
        ("at", two),
        ("criterion", "own"),
        ("from", "14 inH2O"),
        ("to", "9 inH2O"),
        ("within", "120 s"),
    ];
    assert_eq!(text("decay", "verdict", &own), "passes");
    let notes = work(
        "decay",
        &[("volume", "9 L"), ("at", "0 s = 9 inH2O;60 s = 9.5 inH2O")],
    )
    .expect("worked")
    .notes;
    assert!(
        notes.iter().any(|n| n.contains("did not fall")),
        "{notes:?}"
    );
}

/// A hold that empties bounds the hole from below, by the time in which the space loses all that it held.
#[test]
fn a_space_that_has_emptied_has_a_hole_of_at_least_so_much() {
    let empty = [("volume", "30 L"), ("at", "0 s = 14 inH2O;120 s = 0 inH2O")];
    let done = evaluated(
        "decay",
        &empty,
        &[("at", 1, 0.5 * WATER), ("volume", 0, 1e-4)],
    );
    let Evaluated::Number { estimate, .. } = of("decay", "diameter", &done) else {
        panic!("a hole")
    };
    assert!(estimate.high.is_infinite(), "{estimate:?}");
    // Own integration, step by step: the hole that loses 14 inH2O in 120 s, and not in 119 s.
    let space = space(Gas::Air, Coefficient::Sharp);
    let left = |time| {
        integrated(
            &space,
            14.0 * WATER,
            area(estimate.value),
            0.030,
            time,
            200_000,
        )
    };
    assert!(
        left(119.0) > 0.0 && left(119.0) < 1.0 && left(121.0) < 1e-3,
        "{} {}",
        left(119.0),
        left(121.0)
    );
    assert_eq!(said("decay", "verdict", &done), "fails");
    assert_eq!(said("decay", "small-leak", &done), "0.020 in or more");
    assert_eq!(said("decay", "large-leak", &done), "cannot tell");
    assert!(said("decay", "next", &done).contains("read sooner"));
    // A reading that may be nothing bounds it no better.
    let nearly = [
        ("volume", "30 L"),
        ("at", "0 s = 14 inH2O;120 s = 0.5 inH2O"),
    ];
    let done = evaluated("decay", &nearly, &[("at", 1, 0.5 * WATER)]);
    let Evaluated::Number { estimate, .. } = of("decay", "diameter", &done) else {
        panic!("a hole")
    };
    assert!(
        estimate.high.is_infinite() && estimate.low > 0.4e-3,
        "{estimate:?}"
    );
    assert_eq!(said("decay", "verdict", &done), "fails");
    // What moves the size moves its least as well: the volume's error counts as it does just before it is empty.
    let low = |end: &str| {
        let at = format!("0 s = 14 inH2O;205 s = {end}");
        let given = [("volume", "30 L"), ("at", at.as_str())];
        let done = evaluated("decay", &given, &[("volume", 0, 6e-3)]);
        let Evaluated::Number { estimate, .. } = of("decay", "diameter", &done) else {
            panic!("a hole")
        };
        (estimate.low, said("decay", "small-leak", &done))
    };
    let (empty, nearly) = (low("0 inH2O"), low("1e-4 inH2O"));
    assert!(
        (empty.0 / nearly.0 - 1.0).abs() < 0.01,
        "{empty:?} {nearly:?}"
    );
    assert_eq!(empty.1, "cannot tell");
    // Empty long after the criterion's time: how much was left by then is not known.
    let late = [("volume", "30 L"), ("at", "0 s = 14 inH2O;600 s = 0 inH2O")];
    let done = evaluated("decay", &late, &[]);
    assert_eq!(said("decay", "verdict", &done), "cannot tell");
    let Evaluated::Number { estimate, .. } = of("decay", "end-pressure", &done) else {
        panic!("a pressure")
    };
    assert!(
        estimate.low.is_infinite() && estimate.value > 8.0 * WATER,
        "{estimate:?}"
    );
    // With two readings before it was empty the hole is known, and the last one must go with them.
    let two = "0 s = 14 inH2O;60 s = 5 inH2O";
    let hole = |at: &str| number("decay", "diameter", &[("volume", "30 L"), ("at", at)]);
    let three = format!("{two};150 s = 0 inH2O");
    assert!((hole(two) - hole(&three)).abs() < 1e-12);
    let refuse = |at: &str| refusal("decay", &[("volume", "30 L"), ("at", at)]);
    assert!(refuse("0 s = 14 inH2O;10 s = 13.95 inH2O;120 s = 0 inH2O").contains("let go"));
    assert!(refuse(&format!("{two};120 s = 0 inH2O;130 s = 5 inH2O")).contains("comes back"));
    let volume = [
        ("test-hole", "0.020 in"),
        ("open-at", "0 s = 14 inH2O;120 s = 0 inH2O"),
    ];
    assert!(refusal("volume", &volume).contains("had emptied"));
}

#[test]
fn an_open_criterion_says_how_long_to_go_on() {
    // The hole is far from both thresholds; what is open is the pressure at 120 s, reckoned from 20 s.
    let short = [
        ("volume", "20 L"),
        ("at", "0 s = 14 inH2O @ 20 C;20 s = 12.4 inH2O @ 20 C"),
        ("coefficient", "0.6"),
    ];
    let done = evaluated(
        "decay",
        &short,
        &[("at", 1, 0.5 * WATER), ("volume", 0, 4e-4)],
    );
    assert_eq!(said("decay", "verdict", &done), "cannot tell");
    assert!(
        said("decay", "next", &done).contains("120"),
        "{}",
        said("decay", "next", &done)
    );
    let Evaluated::Number { estimate, .. } = of("decay", "measure-for", &done) else {
        panic!("a time")
    };
    assert!((estimate.value - 120.0).abs() < 1e-9, "{estimate:?}");
}

#[test]
fn a_test_hole_measures_the_volume() {
    let open = [
        ("test-hole", "0.020 in"),
        ("open-at", "0 s = 14 inH2O;120 s = 7.3964 inH2O"),
        ("coefficient", "0.61"),
    ];
    let litres = in_unit("volume", "volume", "L", &open);
    largest_as_stated("60 L of the decay table", 0, &[litres / 60.0 - 1.0], 2e-4);
    let same = [
        ("test-hole", "0.020 in"),
        ("open-at", "0 s = 14 inH2O;120 s = 12 inH2O"),
        ("at", "0 s = 14 inH2O;120 s = 11 inH2O"),
    ];
    assert!(refusal("volume", &same).contains("no faster"));
    assert!(
        refusal(
            "volume",
            &[
                ("test-hole", "0 mm"),
                ("open-at", "0 s = 14 inH2O;9 s = 8 inH2O")
            ]
        )
        .contains("above zero")
    );
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_hole_that_made_a_decay_comes_back_out(
        hole in 0.1e-3..0.8e-3_f64, litres in 8.0..90.0_f64, start in 1500.0..4000.0_f64,
        time in 10.0..200.0_f64,
    ) {
        let space = space(Gas::Air, Coefficient::Sharp);
        let left = space.pressure_after(start, area(hole), litres / 1000.0, time);
        prop_assume!(left > 0.02 * start && left < 0.999 * start);
        let at = format!("0 s = {start} Pa;{time} s = {left} Pa");
        let volume = format!("{litres} L");
        let found = number("decay", "diameter", &[("volume", &volume), ("at", &at)]);
        prop_assert!((found / hole - 1.0).abs() < 1e-6, "{} for {}", found, hole);
    }

    #[test]
    fn a_larger_space_or_a_faster_fall_is_a_larger_hole(
        left in 2000.0..3400.0_f64, litres in 8.0..90.0_f64, more in 1.01..1.4_f64,
    ) {
        let hole = |litres: f64, left: f64, time: f64| {
            let at = format!("0 s = 3487 Pa;{time} s = {left} Pa");
            number("decay", "diameter", &[("volume", &format!("{litres} L")), ("at", &at)])
        };
        let base = hole(litres, left, 100.0);
        prop_assert!(hole(litres * more, left, 100.0) > base);
        prop_assert!(hole(litres, left / more, 100.0) > base);
        prop_assert!(hole(litres, left, 100.0 * more) < base);
    }

    #[test]
    fn the_volume_and_the_leak_that_made_two_decays_come_back_out(
        test in 0.4e-3..0.6e-3_f64, leak in 0.05e-3..0.4e-3_f64, litres in 15.0..90.0_f64,
    ) {
        let space = space(Gas::Nitrogen, Coefficient::Sharp);
        let at = |area: f64| {
            let left = space.pressure_after(3487.0, area, litres / 1000.0, 40.0);
            format!("0 s = 3487 Pa;40 s = {left} Pa")
        };
        let (shut, open) = (at(area(leak)), at(area(leak) + area(test)));
        let size = format!("{test} m");
        let inputs = [("test-hole", size.as_str()), ("open-at", &open), ("at", &shut), ("gas", "nitrogen")];
        prop_assume!(!open.ends_with("= 0 Pa"));
        prop_assert!((in_unit("volume", "volume", "L", &inputs) / litres - 1.0).abs() < 1e-6);
        prop_assert!((number("volume", "leak", &inputs) / leak - 1.0).abs() < 1e-5);
    }
}

/// Over liquid fuel the hole is that of the pressures less half of what saturation would add, by `vapour`, and its
/// interval takes in all from none to saturated.
#[test]
fn vapour_over_liquid_fuel_is_in_the_hole_and_in_its_interval() {
    let fuel = |end: f64, warm: &str, fuel: &str| {
        let at = format!("0 s = 14 inH2O @ 20 C;120 s = {end} inH2O @ {warm}");
        let inputs = [("volume", "30 L"), ("at", at.as_str()), ("fuel", fuel)];
        number("decay", "diameter", &inputs)
    };
    let steady = (fuel(11.0, "20 C", "liquid"), fuel(11.0, "20 C", "none"));
    assert!((steady.0 - steady.1).abs() < 1e-12, "{steady:?}");
    let change = |id: &str| {
        let inputs = [("from", "20 C"), ("to", "20.3 C"), ("pressure", "14 inH2O")];
        number("vapour", id, &inputs) / WATER
    };
    let added = (change("saturated-change") - change("gas-change")) / 2.0;
    assert!(added > 0.1, "{added}");
    let apart = fuel(11.0, "20.3 C", "liquid") / fuel(11.0 - added, "20.3 C", "none");
    assert!((apart - 1.0).abs() < 1e-6, "{apart}");
    let wide = |fuel: &str| {
        let at = "0 s = 14 inH2O @ 20 C;120 s = 11 inH2O @ 20 C";
        let inputs = [("volume", "30 L"), ("at", at), ("fuel", fuel)];
        let done = evaluated("decay", &inputs, &[("at", 2, 0.2)]);
        let Evaluated::Number { estimate, .. } = of("decay", "diameter", &done) else {
            panic!("no diameter");
        };
        estimate.high - estimate.low
    };
    assert!(wide("liquid") > 1.5 * wide("none"));
}
