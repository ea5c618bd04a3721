//! The simulated car by itself: spaces, supply, engine, charger, gauges.
//!
//! Everything is worked by the formulas of `physics`; what is checked here is that the parts are put together right.
#![allow(
    missing_docs,
    clippy::unwrap_used,
    clippy::float_cmp,
    reason = "a test stops where something is not as expected; ends of a scale are met exactly"
)]

use ruleout::flow::log_key::LogWindow;
use ruleout::flow::model::Tolerance;
use ruleout::flow::signature::ValveFault;
use ruleout::physics::decay::Space;
use ruleout::physics::gas::{ATMOSPHERE, Gas, ROOM};
use ruleout::physics::orifice::{Coefficient, area, diameter};
use ruleout::physics::trims;
use ruleout::plant::charger::Charger;
use ruleout::plant::dice::Dice;
use ruleout::plant::engine::{Engine, Leak, Metering, Point, split_trim};
use ruleout::plant::fault::Wrong;
use ruleout::plant::instrument::{Gauge, Sensor};
use ruleout::plant::supply::{Unit, float_reads};
use ruleout::plant::system::{Hole, Opening, System, Valve};

const LITRE_A_MINUTE: f64 = 1e-3 / 60.0;

fn air() -> Space {
    Space {
        gas: Gas::Air,
        barometer: ATMOSPHERE,
        temperature: ROOM,
        coefficient: Coefficient::Sharp,
        deviations: 0.0,
    }
}

fn unit() -> Unit {
    Unit {
        set: 3_400.0,
        open_flow: 45.0 * LITRE_A_MINUTE,
        own_leak: 0.0,
    }
}

fn hole(millimetres: f64) -> Hole {
    Hole {
        diameter: millimetres * 1e-3,
        covered: false,
    }
}

fn intake(holes: &[f64]) -> System {
    let opening = |name: &str, millimetres: f64, valve: Option<Valve>| Opening {
        name: name.to_owned(),
        area: area(millimetres * 1e-3),
        sealed: true,
        valve,
    };
    System {
        volume: 6e-3,
        openings: vec![
            opening("throttle plate", 50.0, None),
            opening("purge line", 6.0, Some(Valve::obeying(false))),
        ],
        holes: holes.iter().map(|millimetres| hole(*millimetres)).collect(),
        natural: area(1.5e-3),
    }
}

fn engine(metering: Metering) -> Engine {
    Engine {
        swept: 2.0e-3,
        efficiency: 0.45,
        metering,
        banks: 1,
        offset: 0.0,
        closes: 0.0,
        idle: Point {
            speed: 750.0 / 60.0,
            pressure: 35_000.0,
        },
        fast: Point {
            speed: 2500.0 / 60.0,
            pressure: 32_000.0,
        },
        baseline: 0.30,
        stop: 0.0,
        rest: 0.1,
        barometer: ATMOSPHERE,
        temperature: ROOM,
    }
}

fn leak(millimetres: f64) -> Leak {
    Leak {
        area: area(millimetres * 1e-3),
        bank: None,
    }
}

fn close(a: f64, b: f64, share: f64) {
    assert!(
        (a - b).abs() <= share * b.abs().max(1e-12),
        "{a} against {b}"
    );
}

#[test]
fn a_forgotten_throttle_plate_sends_the_float_to_the_top_and_the_pressure_to_nothing() {
    let mut system = intake(&[2.0]);
    let tight = unit().on(&air(), system.opening());
    assert!(tight.pressure > 0.8 * unit().set);
    system.opening_named("throttle plate").unwrap().sealed = false;
    let open = unit().on(&air(), system.opening());
    assert!(open.flow > 0.999 * unit().open_flow, "{}", open.flow);
    assert!(open.pressure < 0.001 * unit().set, "{}", open.pressure);
    let blocked = unit().blocked(&air());
    assert_eq!((blocked.pressure, blocked.flow), (unit().set, 0.0));
}

#[test]
fn two_holes_add_by_area() {
    let two = intake(&[3.0, 4.0]);
    let one = intake(&[5.0]);
    close(two.opening(), one.opening(), 1e-12);
    let (a, b) = (
        unit().on(&air(), two.opening()),
        unit().on(&air(), one.opening()),
    );
    close(a.flow, b.flow, 1e-9);
    close(a.pressure, b.pressure, 1e-9);
}

#[test]
fn a_hole_that_is_covered_reads_less_flow_by_its_area() {
    let mut system = intake(&[1.2, 0.8]);
    let before = unit().on(&air(), system.opening());
    system.holes[0].covered = true;
    let after = unit().on(&air(), system.opening());
    // What a technician works back from float and gauge.
    let size =
        |flow: f64, pressure: f64| flow * Gas::Air.density(ATMOSPHERE, ROOM) / air().flux(pressure);
    let found = size(before.flow, before.pressure) - size(after.flow, after.pressure);
    close(diameter(found), 1.2e-3, 1e-6);
}

#[test]
fn a_purge_valve_that_is_stuck_open_lets_smoke_through_its_line_unless_it_is_pinched() {
    let mut system = intake(&[]);
    let shut = unit().on(&air(), system.opening());
    let line = system.opening_named("purge line").unwrap();
    line.sealed = false;
    let obeying = line.passes();
    assert_eq!(obeying, 0.0);
    line.valve = Some(Valve {
        told_open: false,
        fault: Some(ValveFault::StuckOpen),
        rest: 0.3,
    });
    close(line.passes(), 0.3 * line.area, 1e-12);
    let open = unit().on(&air(), system.opening());
    assert!(open.flow > 1.5 * shut.flow && open.pressure < shut.pressure);
    system.opening_named("purge line").unwrap().sealed = true;
    let pinched = unit().on(&air(), system.opening());
    assert_eq!(pinched, shut);
}

#[test]
fn valves_do_what_they_are_told_or_what_is_wrong_with_them() {
    let valve = |told_open, fault| Valve {
        told_open,
        fault,
        rest: 0.4,
    };
    assert_eq!(Valve::obeying(true).open(), 1.0);
    assert_eq!(Valve::obeying(false).open(), 0.0);
    assert_eq!(valve(true, Some(ValveFault::StuckShut)).open(), 0.0);
    assert_eq!(valve(false, Some(ValveFault::StuckOpen)).open(), 0.4);
    let slow = valve(true, Some(ValveFault::Slow));
    assert_eq!((slow.open_at_once(), slow.open()), (0.0, 1.0));
}

#[test]
fn a_hold_falls_as_the_decay_says() {
    // By hand through `physics::decay`: 10 L, 14 inH2O, 0.010 in at a coefficient of 0.61 leaves 4.877 inH2O
    // after 120 s (worked example there, checked against scipy in the reference tables).
    let space = Space {
        coefficient: Coefficient::Fixed(0.61),
        ..air()
    };
    let system = System {
        volume: 10e-3,
        openings: Vec::new(),
        holes: vec![hole(0.254)],
        natural: 0.0,
    };
    let left = system.holds(&space, 14.0 * 249.089, 120.0) / 249.089;
    close(left, 4.877, 1e-3);
    let time = space.time_between(
        14.0 * 249.089,
        left * 249.089,
        system.opening(),
        system.volume,
    );
    close(time, 120.0, 1e-6);
}

#[test]
fn an_air_mass_car_goes_lean_at_idle_and_less_at_speed() {
    let engine = engine(Metering::AirMass);
    let idle = engine.runs(LogWindow::Idle, &[leak(2.0)], 0.0, |p| p);
    let fast = engine.runs(LogWindow::Fast, &[leak(2.0)], 0.0, |p| p);
    assert!(idle.trims[0] > 0.15 && fast.trims[0] > 0.0 && fast.trims[0] < 0.5 * idle.trims[0]);
    // The split of `physics::trims` gives back the hole.
    let point = |run: &ruleout::plant::engine::Running| trims::Point {
        metered: run.metered,
        trim: run.trims[0],
        flux: engine.flux(run.pressure, 0.0),
    };
    let split = trims::split(&[point(&idle), point(&fast)]).unwrap();
    close(diameter(split.area), 2.0e-3, 1e-6);
    assert!(split.offset.abs() < 1e-9);
}

#[test]
fn a_leak_on_one_bank_leans_that_bank_alone() {
    let engine = Engine {
        banks: 2,
        ..engine(Metering::AirMass)
    };
    let one = Leak {
        bank: Some(1),
        ..leak(1.5)
    };
    let run = engine.runs(LogWindow::Idle, &[one], 0.0, |p| p);
    assert!(run.trims[0].abs() < 1e-12 && run.trims[1] > 0.1);
    let both = engine.runs(LogWindow::Idle, &[leak(1.5)], 0.0, |p| p);
    close(both.trims[0], both.trims[1], 1e-12);
    close(both.trims[0], run.trims[1] / 2.0, 1e-9);
}

#[test]
fn a_car_metered_by_manifold_pressure_closes_its_idle_control_to_the_stop_before_speed_and_pressure_rise()
 {
    let engine = engine(Metering::ManifoldPressure);
    let at = |millimetres: f64| engine.runs(LogWindow::Idle, &[leak(millimetres)], 0.0, |p| p);
    let (sound, small, large) = (at(0.0), at(1.5), at(6.0));
    close(sound.command, 0.30, 1e-9);
    assert!(small.command < 0.27 && small.command > 0.0);
    close(small.speed, engine.idle.speed, 1e-9);
    close(small.pressure, engine.idle.pressure, 1e-9);
    assert_eq!(large.command, 0.0);
    assert!(large.speed > 1.2 * engine.idle.speed && large.pressure > 1.2 * engine.idle.pressure);
    for run in [small, large] {
        assert!(run.trims[0].abs() < 1e-9, "it does not go lean");
    }
}

#[test]
fn a_pressure_sensor_that_reads_high_makes_a_speed_density_engine_rich() {
    let engine = engine(Metering::ManifoldPressure);
    let high = Sensor {
        wrong: vec![Wrong::Offset(7_000.0)],
    };
    let run = engine.runs(LogWindow::Idle, &[], 0.0, |p| {
        high.tells(p, &mut Dice::new(1))
    });
    close(run.trims[0], 35.0 / 42.0 - 1.0, 1e-9);
}

#[test]
fn trims_stop_at_their_stop() {
    for total in [-0.5, -0.1, 0.0, 0.08, 0.2, 3.0] {
        let (short, long) = split_trim(total);
        assert!(short.abs() <= 0.25 && long.abs() <= 0.25);
        if total.abs() < 0.25 {
            close((1.0 + short) * (1.0 + long), 1.0 + total, 1e-12);
        }
    }
}

#[test]
fn a_charger_makes_good_for_a_small_leak_and_not_for_a_large_one() {
    let charger = Charger {
        wanted: 80_000.0,
        airflow: 0.08,
        margin: 0.03,
    };
    assert_eq!(charger.gets(&air(), area(0.8e-3)), charger.wanted);
    let gets = charger.gets(&air(), area(8e-3));
    assert!(gets < charger.wanted - 10_000.0 && gets > 0.0);
    // What comes in is what goes out.
    let drawn = charger.airflow * (ATMOSPHERE + gets) / (ATMOSPHERE + charger.wanted);
    let lost = area(8e-3) * air().flux(gets);
    close(drawn + lost, charger.airflow * 1.03, 1e-9);
}

#[test]
fn a_float_reads_carbon_dioxide_by_its_density() {
    // Square root of 1.976813 / 1.293066 (REFERENCES: densities at 0 C) at the barometer and 20 C.
    let space = Space {
        gas: Gas::CarbonDioxide,
        ..air()
    };
    close(
        float_reads(1.0, &space, 0.0),
        (1.976_813_f64 / 1.293_066).sqrt(),
        1e-9,
    );
    close(float_reads(1.0, &air(), 0.0), 1.0, 1e-12);
}

#[test]
fn a_gauge_shows_no_more_than_its_range_and_keeps_its_bias() {
    let mut dice = Dice::new(5);
    let gauge = Gauge {
        accuracy: Some(Tolerance::Relative(0.1)),
        bias: 1.0,
        step: 50.0,
        scale: (0.0, 7_000.0),
    };
    assert_eq!(gauge.read(90_000.0, 100.0, &mut dice), 7_000.0);
    assert_eq!(gauge.read(-500.0, 0.0, &mut dice), 0.0);
    let mean = (0..400)
        .map(|_| gauge.read(2_000.0, 60.0, &mut dice))
        .sum::<f64>()
        / 400.0;
    // One standard deviation of a 10 % accuracy is 5.1 %.
    close(mean, 2_000.0 * (1.0 + 0.1 / 1.959_963_985), 0.005);
    let read = gauge.read(1_234.0, 0.0, &mut dice);
    close(read / 50.0, (read / 50.0).round(), 1e-12);
}
