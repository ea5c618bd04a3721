//! `ripple` at an idle as it is: the speed wanders, the pressure swings, the signal is noisy, and the trigger is not
//! always one of the camshaft.
//!
//! The captures are made here from their own formulas: lobes `d sin^2(pi p)` down from 1.5 V at the phase
//! `p = f t + (f j / 2 pi h)(1 - cos 2 pi h t)`, the integral of a firing frequency `f (1 + j sin 2 pi h t)`.

use std::f64::consts::{PI, TAU};

use crate::logs::Noise;
use ruleout::physics::{Answer, Given, Shifts, Value, Worked, find};

/// Depth of a sound lobe, V.
const DEPTH: f64 = 0.2;
const RATE: f64 = 2000.0;

struct Idle {
    cylinders: u32,
    seconds: f64,
    /// Share by which the speed wanders, and how often, 1/s.
    wander: (f64, f64),
    /// Slow swing up and down, V, as often.
    swing: f64,
    /// Noise of samples that know nothing of one another, V, root mean square.
    noise: f64,
    /// The lobe that is weak, from 0, and its depth over that of the others.
    weak: Option<(u32, f64)>,
    /// Rises of the trigger a cycle; 0 for none.
    rises: u32,
    /// Depth of a sound lobe.
    depth: f64,
}

impl Idle {
    const SOUND: Self = Self {
        cylinders: 4,
        seconds: 2.0,
        wander: (0.0, 0.5),
        swing: 0.0,
        noise: 0.01,
        weak: None,
        rises: 1,
        depth: DEPTH,
    };

    fn rows(&self) -> Vec<Vec<Option<f64>>> {
        let firing = 800.0 / 60.0 * f64::from(self.cylinders) / 2.0;
        let (share, often) = self.wander;
        let mut noise = Noise::new(7);
        let row = |i: i32| {
            let t = f64::from(i) / RATE;
            let phase =
                firing * t + firing * share / (TAU * often) * (1.0 - (TAU * often * t).cos());
            let lobe = phase.rem_euclid(f64::from(self.cylinders));
            let height = self
                .weak
                .filter(|(weak, _)| (f64::from(*weak)..f64::from(weak + 1)).contains(&lobe))
                .map_or(1.0, |(_, height)| height);
            let swing = self.swing * (TAU * often * t).sin();
            // Noise of an even spread of 1 has a root mean square of 1/sqrt(3).
            let noise = self.noise * 3.0_f64.sqrt() * noise.next();
            let signal = 1.5 + swing - self.depth * height * (PI * lobe).sin().powi(2) + noise;
            let part = lobe * f64::from(self.rises) / f64::from(self.cylinders);
            let high = part.rem_euclid(1.0) < 0.2;
            let trigger = (self.rises > 0).then_some(if high { 5.0 } else { 0.0 });
            vec![Some(t), Some(signal), trigger]
        };
        (0..100_000)
            .take_while(|i| f64::from(*i) < self.seconds * RATE)
            .map(row)
            .collect()
    }

    fn worked(&self) -> Worked {
        self.worked_as("points")
    }

    fn worked_as(&self, points: &str) -> Worked {
        let given = Given::new()
            .with(points, Value::Points(self.rows()))
            .with_number("cylinders", f64::from(self.cylinders))
            .with_number("speed", 800.0 / 60.0);
        let ripple = find("ripple").expect("registered");
        ripple.work(&given, &Shifts::none()).expect("worked")
    }
}

fn result<'w>(worked: &'w Worked, id: &str) -> &'w Answer {
    let (place, _) = find("ripple")
        .expect("registered")
        .output(id)
        .expect("a result");
    &worked.results[place]
}

fn figure(worked: &Worked, id: &str) -> f64 {
    let figure = result(worked, id).number();
    figure.unwrap_or_else(|| panic!("no {id} in {worked:?}"))
}

fn verdict(worked: &Worked) -> &str {
    match result(worked, "verdict") {
        Answer::Text(text) => text,
        other => panic!("{other:?} is no text"),
    }
}

fn says(worked: &Worked, words: &str) -> bool {
    worked.notes.iter().any(|note| note.contains(words))
}

#[test]
fn sound_lobes_are_even_however_the_speed_wanders() {
    for cylinders in [3, 4, 6, 8] {
        for (share, often, seconds) in [
            (0.02, 0.5, 4.0),
            (0.03, 0.5, 2.0),
            (0.04, 0.5, 2.0),
            (0.05, 0.5, 4.0),
            (0.04, 0.8, 3.0),
        ] {
            let worked = Idle {
                cylinders,
                seconds,
                wander: (share, often),
                ..Idle::SOUND
            }
            .worked();
            let which = format!("{cylinders} cylinders, {share} at {often}/s: {worked:?}");
            assert_eq!(verdict(&worked), "even", "{which}");
            assert!(
                (figure(&worked, "depth") / DEPTH - 1.0).abs() < 0.05,
                "{which}"
            );
            assert!(
                (figure(&worked, "speed") * 60.0 / 800.0 - 1.0).abs() < 0.02,
                "{which}"
            );
            assert!(says(&worked, "the speed wanders from"), "{which}");
        }
    }
}

#[test]
fn a_weak_lobe_is_as_weak_as_it_is_however_the_speed_wanders() {
    for (share, seconds) in [
        (0.02, 1.0),
        (0.03, 2.0),
        (0.04, 2.0),
        (0.04, 4.0),
        (0.05, 4.0),
    ] {
        let weak = Some((2, 0.6));
        let worked = Idle {
            weak,
            seconds,
            wander: (share, 0.5),
            ..Idle::SOUND
        }
        .worked();
        let which = format!("{share} over {seconds} s: {worked:?}");
        assert_eq!(verdict(&worked), "one lobe differs", "{which}");
        assert!((figure(&worked, "odd-lobe") - 3.0).abs() < 1e-9, "{which}");
        assert!((figure(&worked, "odd-by") + 0.4).abs() < 0.03, "{which}");
        assert!(
            (figure(&worked, "depth") / DEPTH - 1.0).abs() < 0.05,
            "{which}"
        );
        // The impulse model of a lobe that is weaker by a share: here the lobes fill their part, so that the whole
        // series counts: the half order of sin^2 lobes, by its integral over one of them.
        let half = |weak: f64| {
            let of = |k: f64| {
                let (mut c, mut s) = (0.0, 0.0);
                for i in 0..4000 {
                    let lobe = (f64::from(i) + 0.5) / 1000.0;
                    let height = if lobe.floor() < 1.0 { weak } else { 1.0 };
                    let value = height * (PI * lobe).sin().powi(2);
                    c += value * (TAU * k * lobe / 4.0).cos();
                    s += value * (TAU * k * lobe / 4.0).sin();
                }
                f64::hypot(c, s)
            };
            of(1.0) / of(4.0)
        };
        assert!(
            (figure(&worked, "half-order") / half(0.6) - 1.0).abs() < 0.05,
            "{which}"
        );
    }
}

#[test]
fn a_slow_swing_is_taken_off_and_said() {
    for swing in [0.05, 0.1, 0.2] {
        let worked = Idle {
            swing,
            seconds: 4.0,
            weak: Some((1, 0.6)),
            ..Idle::SOUND
        }
        .worked();
        assert_eq!(verdict(&worked), "one lobe differs", "{swing}: {worked:?}");
        assert!(
            (figure(&worked, "depth") / DEPTH - 1.0).abs() < 0.05,
            "{worked:?}"
        );
        assert!((figure(&worked, "odd-by") + 0.4).abs() < 0.03, "{worked:?}");
        assert!(says(&worked, "a slow swing of"), "{worked:?}");
    }
    let both = Idle {
        swing: 0.2,
        seconds: 4.0,
        wander: (0.04, 0.5),
        ..Idle::SOUND
    }
    .worked();
    assert_eq!(verdict(&both), "even", "{both:?}");
}

/// What is lost in noise is not there and not absent either; and no depth stands beside such a verdict.
#[test]
fn noise_is_no_proof_of_an_even_or_a_missing_ripple() {
    let noisy = |noise: f64, depth: f64| {
        Idle {
            noise,
            depth,
            seconds: 4.0,
            ..Idle::SOUND
        }
        .worked()
    };
    assert_eq!(verdict(&noisy(0.05, DEPTH)), "even");
    for worked in [noisy(0.3, DEPTH), noisy(0.5, DEPTH), noisy(0.1, 0.0)] {
        assert_eq!(verdict(&worked), "cannot tell", "{worked:?}");
        assert!(says(&worked, "too much noise"), "{worked:?}");
        for id in [
            "lobes",
            "depth",
            "half-order",
            "odd-lobe",
            "odd-by",
            "speed",
            "depths",
        ] {
            assert_eq!(*result(&worked, id), Answer::Absent, "{id}");
        }
    }
    let flat = noisy(0.005, 0.0);
    assert_eq!(verdict(&flat), "no ripple", "{flat:?}");
    assert_eq!(*result(&flat, "depth"), Answer::Absent);
}

/// A speed that changes within a cycle or two is followed by nothing.
#[test]
fn a_speed_that_cannot_be_followed_is_named() {
    let worked = Idle {
        wander: (0.3, 3.0),
        seconds: 4.0,
        ..Idle::SOUND
    }
    .worked();
    assert_eq!(verdict(&worked), "cannot tell", "{worked:?}");
    assert!(
        says(&worked, "one cycle is not like the next"),
        "{worked:?}"
    );
}

#[test]
fn a_trigger_names_a_lobe_only_where_it_can() {
    let by = |rises: u32, cylinders: u32| {
        let weak = Some((2, 0.6));
        Idle {
            cylinders,
            weak,
            rises,
            ..Idle::SOUND
        }
        .worked()
    };
    let once = by(1, 4);
    assert!((figure(&once, "odd-lobe") - 3.0).abs() < 1e-9);
    assert!(says(
        &once,
        "from the trigger's first rise, in firing order"
    ));
    let each_turn = by(2, 4);
    assert_eq!(verdict(&each_turn), "one lobe differs");
    assert_eq!(
        *result(&each_turn, "odd-lobe"),
        Answer::Absent,
        "{each_turn:?}"
    );
    assert!(
        says(&each_turn, "lobe 1 or 3 in firing order"),
        "{each_turn:?}"
    );
    let thirds = by(3, 6);
    assert!(
        says(&thirds, "lobe 1 or 3 or 5 in firing order"),
        "{thirds:?}"
    );
    let each_cylinder = by(4, 4);
    assert!(
        says(&each_cylinder, "names no cylinder"),
        "{each_cylinder:?}"
    );
    assert!(
        !says(&each_cylinder, "in firing order"),
        "{each_cylinder:?}"
    );
    // As many teeth as a wheel on the crankshaft has.
    assert!(says(&by(24, 4), "names no cylinder"));
}

#[test]
fn a_capture_that_is_scaled_in_pressure_gives_pressures() {
    let of = |depth: f64| {
        let idle = Idle {
            depth,
            noise: 0.02 * depth,
            weak: Some((2, 0.6)),
            ..Idle::SOUND
        };
        idle.worked_as("pressure-points")
    };
    let worked = of(4000.0);
    assert_eq!(verdict(&worked), "one lobe differs", "{worked:?}");
    assert!((figure(&worked, "depth-pressure") / 4000.0 - 1.0).abs() < 0.05);
    assert!(figure(&worked, "noise-pressure") > 0.0);
    assert_eq!(*result(&worked, "depth"), Answer::Absent);
    assert_eq!(*result(&worked, "noise"), Answer::Absent);
    let Answer::Text(depths) = result(&worked, "depths") else {
        panic!("{worked:?}");
    };
    assert!(depths.contains("kPa"), "{depths}");
}

/// The depths are shown where they were seen well, and a lobe whose difference lies at the limit is left open.
#[test]
fn a_lobe_at_the_limit_is_no_coin_toss() {
    let by = |height: f64, noise: f64| {
        Idle {
            weak: Some((2, height)),
            noise,
            ..Idle::SOUND
        }
        .worked()
    };
    assert_eq!(verdict(&by(0.8, 0.01)), "even");
    assert_eq!(verdict(&by(0.7, 0.01)), "one lobe differs");
    let limit = by(0.75, 0.03);
    assert_eq!(verdict(&limit), "cannot tell", "{limit:?}");
    assert!(says(&limit, "too near the limit"), "{limit:?}");
    assert!((figure(&limit, "depth") / DEPTH - 1.0).abs() < 0.1);
    assert_eq!(*result(&limit, "odd-lobe"), Answer::Absent);
}
