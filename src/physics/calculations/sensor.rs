//! `sensor`: the line of a pressure sensor from a sweep; `key-on`: its reading at rest against
//! the barometer.
//!
//! Formula and what is left out: [`crate::physics::sensor`]. Worked example: 1.00 V at 20 kPa and
//! 4.00 V at 100 kPa are a gain of 0.0375 V/kPa and an offset of 0.25 V.

use super::gear::BAROMETER;
use super::wording::shown;
use crate::physics::calculation::{
    Answer, CANNOT_TELL, CalcError, Calculation, Field, Input, Kind, Output, Seen, Shifts, Worked,
};
use crate::physics::fit::{Line, line};
use crate::physics::given::Given;
use crate::physics::sensor::{Transfer, deviation, hysteresis, linearity};
use crate::units::Dimension;

const POINT: &[Field] = &[
    Field {
        name: "pressure",
        dimension: Dimension::Pressure,
        needed: true,
    },
    Field {
        name: "signal",
        dimension: Dimension::Voltage,
        needed: true,
    },
];

/// A sensor within this of the truth is taken as good: common practice, no source.
const TOLERANCE: f64 = 3000.0;
/// A straight sensor leaves its line by no more of its span: an assumption of ours, no source.
const STRAIGHT: f64 = 0.02;

const IN_TOLERANCE: &str = "within tolerance";
const SHIFTED: &str = "reads off by an offset";
const SLOPE: &str = "wrong slope";
const BENT: &str = "not straight";
const STRAIGHT_LINE: &str = "straight";
/// The highest barometer that was measured, rounded up, Pa (World Meteorological Organization, from memory).
pub(super) const HIGHEST_BAROMETER: f64 = 110e3;
const DEAD: &str = "does not follow the pressure";

const TOLERANCE_INPUT: Input = Input::or(
    "tolerance",
    Kind::Quantity(Dimension::Pressure),
    "3 kPa",
    "error up to which the sensor is taken as good",
);

/// The line of a sensor.
pub(super) static SENSOR: Calculation = Calculation {
    name: "sensor",
    version: 4,
    summary: "line of a pressure sensor from a hand-pump sweep, against the line it should have",
    source: "least squares; the tolerance is common practice, no source",
    inputs: &[
        Input::needed(
            "points",
            Kind::Points(POINT),
            "two or more points of the sweep",
        ),
        Input::optional(
            "expected-gain",
            Kind::Quantity(Dimension::VoltagePerPressure),
            "slope that it should have",
        ),
        Input::optional(
            "expected-offset",
            Kind::Quantity(Dimension::Voltage),
            "signal that it should give at 0 kPa, on the scale of the points",
        ),
        TOLERANCE_INPUT,
    ],
    outputs: &[
        Output::quantity(
            "gain",
            Dimension::VoltagePerPressure,
            "V/kPa",
            "slope of the fitted line",
        ),
        Output::quantity(
            "offset",
            Dimension::Voltage,
            "V",
            "signal of the fitted line at 0 kPa",
        ),
        Output::quantity(
            "offset-error",
            Dimension::Pressure,
            "kPa",
            "how much too high it reads at the middle of the sweep",
        ),
        Output::quantity(
            "low-end-error",
            Dimension::Pressure,
            "kPa",
            "how much too high it reads at the lowest pressure of the sweep",
        ),
        Output::quantity(
            "high-end-error",
            Dimension::Pressure,
            "kPa",
            "how much too high it reads at the highest pressure of the sweep",
        ),
        Output::quantity(
            "linearity",
            Dimension::Ratio,
            "%",
            "largest distance from the line, as a share of the line's span over the sweep",
        ),
        Output::quantity(
            "hysteresis",
            Dimension::Ratio,
            "%",
            "largest difference between the way up and the way down, as a share of the span",
        ),
        Output::text(
            "verdict",
            &[
                IN_TOLERANCE,
                SHIFTED,
                SLOPE,
                BENT,
                STRAIGHT_LINE,
                DEAD,
                CANNOT_TELL,
            ],
            "what the line means",
        )
        .or_cannot_tell(),
    ],
    nuisances: &[],
    refuse: |given| {
        // Whether absolute or against the barometer: nothing is below a perfect vacuum.
        let below = |(pressure, _): &(f64, f64)| *pressure < -HIGHEST_BAROMETER;
        if sweep(given)?.iter().any(below) {
            return Err(CalcError::new(
                "points",
                "a pressure would be below a perfect vacuum",
                "read the gauge and its unit again",
            ));
        }
        Ok(())
    },
    run: run_sensor,
};

fn run_sensor(given: &Given, _: &Shifts) -> Result<Worked, CalcError> {
    let points = sweep(given)?;
    let fit = line(&points).ok_or_else(no_line)?;
    let (lowest, highest) = range(&points);
    let straightness = linearity(&fit, lowest, highest);
    let expected = expected(given)?;
    let off = expected.map(|line| deviation(&fit, line, lowest, highest));
    let tolerance = given.number_or("tolerance", TOLERANCE).abs();
    // A flat line has no span to compare with: it is not crooked, it is dead.
    let dead = !straightness.is_finite();
    let verdict = match off {
        _ if dead => DEAD,
        _ if straightness > STRAIGHT => BENT,
        None => STRAIGHT_LINE,
        Some(off) if off.largest() <= tolerance => IN_TOLERANCE,
        // Half the tilt lies on each side of the middle: the larger of the two names the fault.
        Some(off) if off.middle.abs() >= off.tilt.abs() / 2.0 => SHIFTED,
        Some(_) => SLOPE,
    };
    let span = (fit.at(highest) - fit.at(lowest)).abs();
    let lag = hysteresis(&points)
        .map(|volts| volts / span)
        .filter(|lag| lag.is_finite());
    let mut notes = sensor_notes(points.len(), expected.is_some(), &fit, tolerance);
    match lag {
        Some(lag) if lag > STRAIGHT => notes.push(
            "it reads otherwise on the way down than on the way up: look for a blocked or wet hose \
             before the sensor is blamed"
                .to_owned(),
        ),
        Some(_) => {}
        None => notes.push(
            "swept one way only: nothing is known of hysteresis; come back down as well".to_owned(),
        ),
    }
    Ok(Worked {
        results: vec![
            fit.slope.into(),
            fit.intercept.into(),
            off.map(|off| off.middle).into(),
            off.map(|off| off.low_end).into(),
            off.map(|off| off.high_end).into(),
            if dead {
                Answer::Absent
            } else {
                straightness.into()
            },
            lag.into(),
            verdict.into(),
        ],
        notes,
    })
}

pub(super) fn no_line() -> CalcError {
    CalcError::new(
        "points",
        "fewer than two pressures settle no line",
        "read the signal at two or more pressures well apart",
    )
}

pub(super) fn sweep(given: &Given) -> Result<Vec<(f64, f64)>, CalcError> {
    given
        .points("points")?
        .iter()
        .map(|row| match row[..] {
            [Some(pressure), Some(signal)] => Ok((pressure, signal)),
            _ => Err(CalcError::new(
                "points",
                "a point lacks its pressure or its signal",
                "read both at the same moment",
            )),
        })
        .collect()
}

pub(super) fn range(points: &[(f64, f64)]) -> (f64, f64) {
    points
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), (x, _)| {
            (low.min(*x), high.max(*x))
        })
}

pub(super) fn expected(given: &Given) -> Result<Option<Transfer>, CalcError> {
    match (given.maybe("expected-gain"), given.maybe("expected-offset")) {
        (Some(0.0), _) => Err(CalcError::new(
            "expected-gain",
            "a sensor with no slope reads nothing",
            "take it from the sensor's data",
        )),
        (Some(gain), Some(offset)) => Ok(Some(Transfer { gain, offset })),
        (None, None) => Ok(None),
        (Some(_), None) => Err(CalcError::new(
            "expected-offset",
            "missing",
            "give it with `expected-gain`, or neither",
        )),
        (None, Some(_)) => Err(CalcError::new(
            "expected-gain",
            "missing",
            "give it with `expected-offset`, or neither",
        )),
    }
}

fn sensor_notes(count: usize, compared: bool, fit: &Line, tolerance: f64) -> Vec<String> {
    let mut notes = Vec::new();
    if count == 2 {
        notes.push(
            "two points settle the line exactly: nothing checks that it is straight".to_owned(),
        );
    }
    if compared {
        let show = |si| shown(Dimension::Pressure, si);
        notes.push(format!(
            "tolerance {}; the middle of the sweep is {}",
            show(tolerance),
            show(fit.middle)
        ));
    } else {
        notes.push("no expected line given: only the shape is judged".to_owned());
    }
    notes
}

const AGREES: &str = "agrees with the barometer";
const HIGH: &str = "reads high";
const LOW: &str = "reads low";

/// The reading at rest.
///
/// `difference = reading - barometer`; with the engine stopped the manifold is at the pressure of
/// the air around. Left out: a turbine or an engine still slowing down. Worked example: 108 kPa
/// on a day of 100 kPa reads 8 kPa high.
pub(super) static KEY_ON: Calculation = Calculation {
    name: "key-on",
    version: 2,
    summary: "manifold pressure reading with the engine stopped, against the day's barometer",
    source: "difference; the tolerance is common practice, no source",
    inputs: &[
        Input::needed(
            "reading",
            Kind::Quantity(Dimension::Pressure),
            "absolute manifold pressure, key on, engine off",
        ),
        BAROMETER.needed_as("absolute pressure of the air around, at the workshop's height"),
        TOLERANCE_INPUT,
    ],
    outputs: &[
        Output::quantity(
            "difference",
            Dimension::Pressure,
            "kPa",
            "reading less barometer",
        ),
        Output::text(
            "verdict",
            &[AGREES, HIGH, LOW, CANNOT_TELL],
            "what the difference means",
        )
        .judged("difference", judge_key_on),
    ],
    nuisances: &[],
    refuse: |given| {
        super::gear::refuse_negative(given, "tolerance")?;
        super::gear::positive("reading", given.number("reading")?, "Pa")?;
        super::gear::positive("barometer", given.number("barometer")?, "Pa").map(|_| ())
    },
    run: run_key_on,
};

fn run_key_on(given: &Given, _: &Shifts) -> Result<Worked, CalcError> {
    let difference = given.number("reading")? - given.number("barometer")?;
    let tolerance = given.number_or("tolerance", TOLERANCE).abs();
    let tolerance = shown(Dimension::Pressure, tolerance);
    Ok(Worked {
        results: vec![
            difference.into(),
            judge_key_on(&Seen::exact(given, difference)),
        ],
        notes: vec![format!("tolerance {tolerance}")],
    })
}

fn judge_key_on(seen: &Seen) -> Answer {
    let tolerance = seen.given.number_or("tolerance", TOLERANCE).abs();
    seen.class(|difference| match difference {
        d if d > tolerance => HIGH,
        d if d < -tolerance => LOW,
        _ => AGREES,
    })
}
