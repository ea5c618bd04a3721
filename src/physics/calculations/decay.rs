//! `decay`: the hole in a closed space from timed pressures, and what it means.
//!
//! Model, symbols, source and what is left out: [`crate::physics::decay`]. The volume is carried
//! through with its error, which dominates: 14 to 8 inH2O in 120 s is a hole of 0.20, 0.34 or
//! 0.48 mm in 10, 30 or 60 L. So three questions are answered apart:
//!
//! - the *time criterion*, a plain reading of the gauge, whatever the volume;
//! - the *hole*, against 0.040 in and 0.020 in, for which the volume must be known;
//! - whether *temperature* can have made the change: 1 K moves a sealed space at 14 inH2O by
//!   1.43 inH2O, so without a temperature at each point nobody can tell, and 1 K over the test (95
//!   times in 100) is allowed for in the hole: an assumption of ours, no source.
//!
//! Worked example: 14 inH2O at 0 s and 8 inH2O at 120 s in 30 L, sharp edge: 0.34 mm.

use super::gear::{
    BAROMETER, COEFFICIENT, COEFFICIENT_SPREAD, GAS, REFERENCE, REFERENCE_PRESSURE, TEMPERATURE,
    positive, reference_density, reference_note,
};
use crate::physics::calculation::{
    Answer, CalcError, Calculation, Field, Input, Kind, Nuisance, Output, Seen, Shifts, Worked,
};
use crate::physics::decay::{Fit, Reading, Space, fit};
use crate::physics::gas::{ATMOSPHERE, Gas, ROOM};
use crate::physics::given::Given;
use crate::physics::orifice;
use crate::physics::uncertainty::{DEVIATIONS, Estimate};
use crate::units::{Dimension, Unit};

const INCH_OF_WATER: f64 = 249.088_91;
/// Fuel-vapour leak thresholds, 13 CCR 1968.2 (e)(4.2.2)(B) and (C): 0.040 in and 0.020 in.
const LARGE: f64 = 0.040 * 0.0254;
const SMALL: f64 = 0.020 * 0.0254;
/// 95 % allowance for the gas's temperature over the test where none was read, K.
const UNREAD: f64 = 1.0;
/// Share of the pressure change up to which temperature does not matter: an assumption, no source.
const SLIGHT: f64 = 0.1;
/// Longer than this nobody goes on measuring, s.
const A_DAY: f64 = 86_400.0;

const CANNOT_TELL: &str = "cannot tell";
const PASSES: &str = "passes";
const FAILS: &str = "fails";
const STEADY: &str = "steady";
const CORRECTED: &str = "drift corrected";
const UNKNOWN: &str = "cannot tell: no temperatures";

pub(super) const POINT: &[Field] = &[
    Field {
        name: "time",
        dimension: Dimension::Time,
        needed: true,
    },
    Field {
        name: "pressure",
        dimension: Dimension::Pressure,
        needed: true,
    },
    Field {
        name: "gas-temperature",
        dimension: Dimension::Temperature,
        needed: false,
    },
];

pub(super) const UNREAD_TEMPERATURE: Nuisance = Nuisance {
    name: "gas-temperature",
    help: "where no temperature was read at the points, the gas may have warmed or cooled by 1 K \
           over the test, 95 times in 100: an assumption; none where it was read",
};

/// Hole and verdicts from a decay.
pub(super) static DECAY: Calculation = Calculation {
    name: "decay",
    version: 1,
    summary: "hole in a closed space from timed pressures, and whether it passes",
    source: "mass balance of the closed space with isentropic orifice flow; time criterion 14 to \
             8 inH2O in 120 s: US EPA I/M evaporative test guidance EPA-AA-RSPD-IM-98-1 (from \
             memory); thresholds 0.040 in and 0.020 in: 13 CCR 1968.2 (e)(4.2.2)",
    inputs: &[
        Input::needed(
            "volume",
            Kind::Quantity(Dimension::Volume),
            "volume of the space that holds the gas",
        ),
        Input::needed(
            "at",
            Kind::Points(POINT),
            "pressure (difference to the barometer) at a time, and the gas's temperature",
        ),
        GAS,
        TEMPERATURE,
        BAROMETER,
        COEFFICIENT,
        Input::or(
            "criterion",
            Kind::Word(&["evaporative-pressure", "own", "none"]),
            "evaporative-pressure",
            "time criterion: 14 to 8 inH2O in 120 s, your own (`from`, `to`, `within`), or none",
        ),
        Input::optional(
            "from",
            Kind::Quantity(Dimension::Pressure),
            "your own criterion: pressure at its start",
        ),
        Input::optional(
            "to",
            Kind::Quantity(Dimension::Pressure),
            "your own criterion: pressure that must be left",
        ),
        Input::optional(
            "within",
            Kind::Quantity(Dimension::Time),
            "your own criterion: how long it must hold",
        ),
        REFERENCE,
        REFERENCE_PRESSURE,
    ],
    outputs: OUTPUTS,
    nuisances: &[COEFFICIENT_SPREAD, UNREAD_TEMPERATURE],
    refuse,
    run,
};

static OUTPUTS: &[Output] = &[
    Output::quantity(
        "diameter",
        Dimension::Length,
        "mm",
        "diameter of the round hole that loses as much",
    ),
    Output::quantity(
        "leak-rate",
        Dimension::VolumeFlow,
        "L/min",
        "leak at `leak-pressure`, at the reference conditions",
    ),
    Output::quantity(
        "leak-pressure",
        Dimension::Pressure,
        "inH2O",
        "pressure that the leak rate holds at: the middle of the readings",
    ),
    Output::quantity(
        "end-pressure",
        Dimension::Pressure,
        "inH2O",
        "pressure left at the end of the time criterion",
    ),
    Output::text(
        "verdict",
        &[PASSES, FAILS, CANNOT_TELL],
        "the time criterion",
    )
    .judged("end-pressure", judge_time),
    Output::text(
        "large-leak",
        &["below 0.040 in", "0.040 in or more", CANNOT_TELL],
        "the hole against 0.040 in",
    )
    .judged("diameter", judge_large),
    Output::text(
        "small-leak",
        &["below 0.020 in", "0.020 in or more", CANNOT_TELL],
        "the hole against 0.020 in",
    )
    .judged("diameter", judge_small),
    Output::quantity(
        "drift",
        Dimension::Pressure,
        "inH2O",
        "change of pressure that temperature alone has made",
    ),
    Output::text(
        "temperature-verdict",
        &[STEADY, CORRECTED, UNKNOWN],
        "whether temperature can be told from a leak",
    ),
    Output::quantity(
        "measure-for",
        Dimension::Time,
        "s",
        "time from the first reading after which the hole verdicts could tell",
    )
    .judged("diameter", measure_for),
    Output::text("next", &[], "what would settle an open verdict").judged("diameter", next),
];

/// The time criterion asked for: start, end and time; none where it is switched off.
fn criterion(given: &Given) -> Result<Option<[f64; 3]>, CalcError> {
    match given.word("criterion", "evaporative-pressure") {
        "none" => Ok(None),
        "own" => {
            let own = [
                given.number("from")?,
                given.number("to")?,
                given.number("within")?,
            ];
            if own[0] * own[1] < 0.0 || own[1].abs() >= own[0].abs() || own[2] <= 0.0 {
                return Err(CalcError::new(
                    "to",
                    "your own criterion does not fall towards the barometer in a time above zero",
                    "write for example from 14 inH2O, to 8 inH2O, within 120 s",
                ));
            }
            Ok(Some(own))
        }
        _ => Ok(Some([14.0 * INCH_OF_WATER, 8.0 * INCH_OF_WATER, 120.0])),
    }
}

fn refuse(given: &Given) -> Result<(), CalcError> {
    if given.number("volume")? <= 0.0 {
        return Err(CalcError::new(
            "volume",
            "a space has a volume above zero",
            "take the tank's size less the fuel in it, or measure it with `volume`",
        ));
    }
    criterion(given)?;
    if given.word("criterion", "") != "own" {
        for name in ["from", "to", "within"] {
            if given.maybe(name).is_some() {
                return Err(CalcError::new(
                    name,
                    "it belongs to a criterion of your own",
                    "add `criterion` own, or leave it out",
                ));
            }
        }
    }
    refuse_points("at", &readings(given, "at", 0.0)?)
}

/// Refuses timed pressures that settle nothing.
pub(super) fn refuse_points(input: &str, readings: &[Reading]) -> Result<(), CalcError> {
    let wrong = |problem: &str, remedy: &str| Err(CalcError::new(input, problem, remedy));
    if readings.windows(2).any(|pair| pair[1].time <= pair[0].time) {
        return wrong(
            "the times do not rise from point to point",
            "give the points in the order in which they were read, each time once",
        );
    }
    let largest = readings.iter().map(|r| r.inside.abs()).fold(0.0, f64::max);
    if largest == 0.0 {
        return wrong(
            "there is no pressure to lose",
            "fill the space first, and read the gauge against the air around",
        );
    }
    if readings.iter().any(|r| r.inside > 0.0) && readings.iter().any(|r| r.inside < 0.0) {
        return wrong(
            "some are above the barometer and some below",
            "a leak stops at the barometer; check the gauge's zero",
        );
    }
    Ok(())
}

/// The closed space as the values say.
pub(super) fn space(given: &Given, shifts: &Shifts) -> Result<Space, CalcError> {
    let word = given.word("gas", "air");
    Ok(Space {
        gas: Gas::named(word).ok_or_else(|| {
            CalcError::new(
                "gas",
                format!("\"{word}\" is not known here"),
                "see the help",
            )
        })?,
        barometer: positive("barometer", given.number_or("barometer", ATMOSPHERE), "Pa")?,
        temperature: positive("temperature", given.number_or("temperature", ROOM), "K")?,
        coefficient: given.coefficient("coefficient")?,
        deviations: shifts.get("coefficient"),
    })
}

/// The points as readings; where no temperature was read it rises by `drift` over the test.
pub(super) fn readings(given: &Given, input: &str, drift: f64) -> Result<Vec<Reading>, CalcError> {
    let rows = given.points(input)?;
    if rows.len() < 2 {
        return Err(CalcError::new(
            input,
            "one pressure shows no decay",
            "read at least two, at known times",
        ));
    }
    let read = has_temperatures(rows);
    if !read && rows.iter().any(|row| matches!(row.get(2), Some(Some(_)))) {
        return Err(CalcError::new(
            input,
            "some have a temperature and some have not",
            "give it with every point or with none",
        ));
    }
    let steady = positive("temperature", given.number_or("temperature", ROOM), "K")?;
    let barometer = given.number_or("barometer", ATMOSPHERE);
    let ends = (time(rows.first()), time(rows.last()));
    rows.iter()
        .map(|row| {
            let [Some(at), Some(inside), temperature] = row[..] else {
                return Err(CalcError::new(
                    input,
                    "a point lacks its time or its pressure",
                    "write it as \"20 s = 10.9 inH2O\"",
                ));
            };
            if barometer + inside < 0.0 {
                return Err(CalcError::new(
                    input,
                    "a pressure would be below a perfect vacuum",
                    "read the gauge and its unit again",
                ));
            }
            let drifted = steady + drift * (at - ends.0) / (ends.1 - ends.0);
            Ok(Reading {
                time: at,
                inside,
                temperature: positive(input, temperature.unwrap_or(drifted), "K")?,
            })
        })
        .collect()
}

fn time(row: Option<&Vec<Option<f64>>>) -> f64 {
    row.and_then(|row| row.first().copied().flatten())
        .unwrap_or(0.0)
}

fn has_temperatures(rows: &[Vec<Option<f64>>]) -> bool {
    rows.iter().all(|row| matches!(row.get(2), Some(Some(_))))
}

/// The fit of timed pressures; the reference temperature of the space is that of the first one.
pub(super) fn fitted(input: &str, space: &Space, readings: &[Reading]) -> Result<Fit, CalcError> {
    fit(space, readings)
        .filter(|fit| fit.area_per_volume.is_finite())
        .ok_or_else(|| {
            CalcError::new(
                input,
                "these readings settle no leak",
                "read the pressure at two or more times, well apart",
            )
        })
}

/// The space at the temperature that its gas starts from.
fn started(given: &Given, shifts: &Shifts, readings: &[Reading]) -> Result<Space, CalcError> {
    let mut space = space(given, shifts)?;
    space.temperature = readings
        .first()
        .map_or(space.temperature, |r| r.temperature);
    Ok(space)
}

fn run(given: &Given, shifts: &Shifts) -> Result<Worked, CalcError> {
    let drift = shifts.get(UNREAD_TEMPERATURE.name) * UNREAD / DEVIATIONS;
    let read = readings(given, "at", drift)?;
    let space = started(given, shifts, &read)?;
    let fit = fitted("at", &space, &read)?;
    let volume = given.number("volume")?.max(0.0);
    let area = fit.area_per_volume * volume;
    let (first, last) = (read[0], read[read.len() - 1]);
    let middle = f64::midpoint(first.inside, last.inside);
    let leak = area * space.flux(middle) / reference_density(given, space.gas)?;
    // The time criterion is a plain reading of the gauge: it makes no allowance for temperature.
    let as_read = readings(given, "at", 0.0)?;
    let plain = fitted("at", &space, &as_read)?;
    let limits = criterion(given)?;
    let end =
        limits.map(|[from, _, time]| space.pressure_after(from, plain.area_per_volume, 1.0, time));
    let known = has_temperatures(given.points("at")?);
    let by_temperature = known
        .then(|| (space.barometer + first.inside) * (last.temperature / first.temperature - 1.0));
    let diameter = orifice::diameter(area);
    let text = |answer: &Answer| answer.clone();
    let seen = |value: f64, rule: fn(&Seen) -> Answer| {
        rule(&Seen {
            given,
            estimate: Estimate::exact(value),
            effects: &[],
        })
    };
    Ok(Worked {
        results: vec![
            diameter.into(),
            leak.into(),
            middle.into(),
            end.into(),
            end.map_or(Answer::Absent, |end| seen(end, judge_time)),
            text(&seen(diameter, judge_large)),
            text(&seen(diameter, judge_small)),
            by_temperature.into(),
            temperature_verdict(by_temperature, last.inside - first.inside).into(),
            Answer::Absent,
            Answer::Absent,
        ],
        notes: notes(given, &read, &fit, limits, by_temperature),
    })
}

fn temperature_verdict(by_temperature: Option<f64>, change: f64) -> &'static str {
    match by_temperature {
        None => UNKNOWN,
        Some(drift) if drift.abs() <= SLIGHT * (change - drift).abs() => STEADY,
        Some(_) => CORRECTED,
    }
}

fn judge_time(seen: &Seen) -> Answer {
    let Ok(Some([_, to, _])) = criterion(seen.given) else {
        return Answer::Absent;
    };
    // Under a vacuum both turn their sign: what counts is what is left of the difference.
    let sign = to.signum();
    let (low, high) = if sign < 0.0 {
        (-seen.estimate.high, -seen.estimate.low)
    } else {
        (seen.estimate.low, seen.estimate.high)
    };
    // Rounding must not fail a space that holds exactly what it must.
    let limit = to.abs() * (1.0 - 1e-9);
    if low >= limit {
        PASSES.into()
    } else if high < limit {
        FAILS.into()
    } else {
        CANNOT_TELL.into()
    }
}

fn judge_hole(estimate: Estimate, limit: f64, below: &'static str, above: &'static str) -> Answer {
    if estimate.high < limit {
        below.into()
    } else if estimate.low >= limit {
        above.into()
    } else {
        CANNOT_TELL.into()
    }
}

fn judge_large(seen: &Seen) -> Answer {
    judge_hole(seen.estimate, LARGE, "below 0.040 in", "0.040 in or more")
}

fn judge_small(seen: &Seen) -> Answer {
    judge_hole(seen.estimate, SMALL, "below 0.020 in", "0.020 in or more")
}

/// What would settle the verdicts that the interval straddles.
enum Wait {
    /// They are settled.
    Settled,
    /// Until this time after the first reading, s.
    Until(f64),
    /// No time would do: the errors that time does not shrink straddle the limit by themselves.
    Never,
}

/// How long to go on. The errors of the readings and of an unread temperature shrink as the drop
/// grows; those of the volume and of the coefficient stay.
fn wait(seen: &Seen) -> Wait {
    let open: Vec<f64> = [LARGE, SMALL]
        .into_iter()
        .filter(|limit| seen.estimate.low < *limit && seen.estimate.high >= *limit)
        .collect();
    if open.is_empty() {
        return Wait::Settled;
    }
    let part = |shrinks: bool| {
        seen.effects
            .iter()
            .filter(|(name, _)| (name == "at" || name == UNREAD_TEMPERATURE.name) == shrinks)
            .fold(0.0, |sum: f64, (_, half)| sum.hypot(*half))
    };
    let (fixed, shrinking) = (part(false), part(true));
    let times: Vec<f64> = open
        .iter()
        .filter_map(|limit| {
            let room = (seen.estimate.value - limit).powi(2) - fixed * fixed;
            (room > 0.0 && shrinking > 0.0)
                .then(|| shrinking / room.sqrt())
                .and_then(|factor| time_for(seen.given, factor))
        })
        .collect();
    match times.iter().copied().reduce(f64::max) {
        Some(time) if times.len() == open.len() => Wait::Until(time),
        _ => Wait::Never,
    }
}

/// Time from the first reading until the drop is so many times as large; `None` if it never is.
fn time_for(given: &Given, factor: f64) -> Option<f64> {
    let read = readings(given, "at", 0.0).ok()?;
    let space = started(given, &Shifts::none(), &read).ok()?;
    let fit = fit(&space, &read)?;
    let (first, last) = (read.first()?.inside, read.last()?.inside);
    let left = first - (first - last) * factor;
    // Below a twentieth of the start the gauge shows next to nothing.
    if fit.area_per_volume <= 0.0 || left * first <= 0.0 || left.abs() < 0.05 * first.abs() {
        return None;
    }
    let time = space.time_between(first, left, fit.area_per_volume, 1.0);
    (time < A_DAY).then_some(time)
}

fn measure_for(seen: &Seen) -> Answer {
    match wait(seen) {
        Wait::Until(time) => time.into(),
        Wait::Settled | Wait::Never => Answer::Absent,
    }
}

fn next(seen: &Seen) -> Answer {
    match wait(seen) {
        Wait::Settled => Answer::Absent,
        Wait::Until(time) => format!(
            "go on measuring until {} after the first reading",
            Unit::default_for(Dimension::Time).show(time)
        )
        .into(),
        Wait::Never => "going on will not tell: measure the volume with a known test hole \
                        (`volume`), read on a finer gauge, or read the temperature at each point"
            .into(),
    }
}

fn notes(
    given: &Given,
    read: &[Reading],
    fit: &Fit,
    limits: Option<[f64; 3]>,
    by_temperature: Option<f64>,
) -> Vec<String> {
    let water =
        |si: f64| Unit::parse("inH2O").map_or_else(|_| format!("{si} Pa"), |unit| unit.show(si));
    let mut notes = vec![reference_note(given)];
    if by_temperature.is_none() {
        let kelvin = (ATMOSPHERE.max(given.number_or("barometer", ATMOSPHERE)) + read[0].inside)
            / read[0].temperature;
        notes.push(format!(
            "no temperatures read: 1 K of the gas alone moves a sealed space by {}; 1 K over the \
             test is allowed for in the hole, not in the time criterion",
            water(kelvin)
        ));
    }
    if fit.area_per_volume <= 0.0 {
        notes.push(
            "the pressure did not fall: nothing leaks, or warming or fuel vapour hides it (see \
             `vapour`)"
                .to_owned(),
        );
    }
    match read.len() {
        2 => notes.push("two points leave no residual: nothing checks the curve".to_owned()),
        _ => notes.push(format!(
            "largest distance from the curve: {}",
            water(fit.residual)
        )),
    }
    if let Some([from, to, time]) = limits {
        notes.push(format!(
            "time criterion: {} to {} in {}",
            water(from),
            water(to),
            Unit::default_for(Dimension::Time).show(time)
        ));
        if (read[0].inside - from).abs() > 0.5 * INCH_OF_WATER {
            notes.push(
                "the readings do not start where the criterion does: its end is worked from the \
                 hole found"
                    .to_owned(),
            );
        }
    }
    notes
}
