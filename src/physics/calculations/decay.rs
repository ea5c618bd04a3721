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

use super::decay_points::{
    POINT, UNREAD, UNREAD_TEMPERATURE, VAPOUR_SHARE, fitted, has_temperatures, readings,
    refuse_points, started, without_vapour,
};
use super::decay_verdicts::{
    FAILS, INCH_OF_WATER, PASSES, criterion, judge_large, judge_small, judge_time, measure_for,
    next, strays, turned_by_warmth,
};
use super::gear::{
    BAROMETER, COEFFICIENT, COEFFICIENT_SPREAD, GAS, REFERENCE, REFERENCE_PRESSURE, TEMPERATURE,
    reference_density, reference_note,
};
use super::wording::shown_low;
use crate::physics::calculation::{
    Answer, CANNOT_TELL, CalcError, Calculation, Input, Kind, Output, Seen, Shifts, Worked,
};
use crate::physics::decay::{Fit, Reading, Space};
use crate::physics::gas::ATMOSPHERE;
use crate::physics::given::Given;
use crate::physics::orifice;
use crate::physics::uncertainty::DEVIATIONS;
use crate::units::{Dimension, Unit};

/// A time criterion whose time is over but for this share was read at its end: a hand on a watch, no source.
const AS_GOOD_AS_OVER: f64 = 0.95;

/// Share of the pressure change up to which temperature does not matter: an assumption, no source.
const SLIGHT: f64 = 0.1;

const STEADY: &str = "steady";
const CORRECTED: &str = "drift corrected";
const UNKNOWN: &str = "cannot tell: no temperatures";

/// Hole and verdicts from a decay.
pub(super) static DECAY: Calculation = Calculation {
    name: "decay",
    version: 5,
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
        Input::or(
            "fuel",
            Kind::Word(&["liquid", "none"]),
            "none",
            "whether liquid fuel is in the space, whose vapour follows the temperature too",
        ),
        Input::or(
            "reid-pressure",
            Kind::Quantity(Dimension::Pressure),
            "9 psi",
            "the fuel's vapour pressure by the Reid test: about 7 psi in summer to 15 in winter",
        ),
    ],
    outputs: OUTPUTS,
    nuisances: &[COEFFICIENT_SPREAD, UNREAD_TEMPERATURE, VAPOUR_SHARE],
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
        "time from the first reading after which the open verdicts could tell",
    )
    .judged("diameter", measure_for)
    .beside("end-pressure"),
    Output::text("next", &[], "what would settle an open verdict")
        .judged("diameter", next)
        .beside("end-pressure"),
];

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

fn run(given: &Given, shifts: &Shifts) -> Result<Worked, CalcError> {
    let drift = shifts.get(UNREAD_TEMPERATURE.name) * UNREAD / DEVIATIONS;
    let all = readings(given, "at", drift)?;
    let (read, emptied) = until_empty(&all);
    let read = &without_vapour(given, shifts, read)[..];
    let space = started(given, shifts, read)?;
    let fit = fitted("at", &space, read)?;
    gone_as_it_fell(&all, read, &space, &fit)?;
    let volume = given.number("volume")?.max(0.0);
    let area = fit.area_per_volume * volume;
    let (first, last) = (read[0], read[read.len() - 1]);
    let middle = f64::midpoint(first.inside, last.inside);
    let leak = area * space.flux(middle) / reference_density(given, space.gas)?;
    let limits = criterion(given)?;
    // Read when its time is over, the time criterion is a plain reading of the gauge, which makes no allowance for
    // temperature. Reckoned ahead from an earlier reading it is none: of the kelvin over the test its share has come so
    // far, and may or may not go on.
    let so_far = limits.map_or(1.0, |[_, _, time]| (last.time - first.time) / time);
    let ahead = so_far < AS_GOOD_AS_OVER;
    let mut as_read = readings(given, "at", if ahead { drift * so_far } else { 0.0 })?;
    as_read.truncate(read.len());
    if !ahead || has_temperatures(given.points("at")?) {
        let begun = as_read[0].temperature;
        for reading in &mut as_read {
            reading.temperature = begun;
        }
    }
    let plain = fitted("at", &space, &as_read)?;
    let end =
        limits.map(|[from, _, time]| space.pressure_after(from, plain.area_per_volume, 1.0, time));
    let known = has_temperatures(given.points("at")?);
    let by_temperature = known
        .then(|| (space.barometer + first.inside) * (last.temperature / first.temperature - 1.0));
    let diameter = orifice::diameter(area);
    let bound = |value: f64| {
        if emptied {
            Answer::AtLeast(value)
        } else {
            Answer::Number(value)
        }
    };
    // As much of the difference to the barometer may be gone: below it is a vacuum's.
    let left = |end: f64| match end {
        end if !emptied => Answer::Number(end),
        end if end < 0.0 => Answer::AtLeast(end),
        end => Answer::AtMost(end),
    };
    let seen = |value: f64, rule: fn(&Seen) -> Answer| rule(&Seen::exact(given, value));
    Ok(Worked {
        results: vec![
            bound(diameter),
            bound(leak),
            middle.into(),
            end.map_or(Answer::Absent, left),
            end.map_or(Answer::Absent, |end| seen(end, judge_time)),
            seen(diameter, judge_large),
            seen(diameter, judge_small),
            by_temperature.into(),
            temperature_verdict(by_temperature, last.inside - first.inside).into(),
            Answer::Absent,
            Answer::Absent,
        ],
        notes: notes(given, read, &fit, limits, by_temperature)
            .into_iter()
            .chain(emptied.then(|| EMPTIED.to_owned()))
            .collect(),
    })
}

/// Pressure left by the curve, as a share of the start, where the gauge shows none: more is no error of the gauge.
/// Chosen here, no source.
const LET_GO: f64 = 0.05;

/// Refuses readings that show nothing where the ones before say that much is left yet: something has let go.
fn gone_as_it_fell(
    all: &[Reading],
    read: &[Reading],
    space: &Space,
    fit: &Fit,
) -> Result<(), CalcError> {
    let Some((first, empty)) = read.first().zip(all.get(read.len())) else {
        return Ok(());
    };
    let left = space.pressure_after(
        first.inside,
        fit.area_per_volume,
        1.0,
        empty.time - first.time,
    );
    if left.abs() <= LET_GO * first.inside.abs() {
        return Ok(());
    }
    Err(CalcError::new(
        "at",
        "it was empty sooner than the readings before say",
        "a plug or a hose may have let go: look at them, and hold again",
    ))
}

const EMPTIED: &str = "it had emptied by the last reading: the hole is at least so large, and what is left at most so \
                       much; read sooner, while some pressure is left, for its size";

/// The readings up to the first that shows no pressure any more, and whether that one is needed: then it says no more
/// than that the space had emptied by that time.
fn until_empty(read: &[Reading]) -> (&[Reading], bool) {
    let left = read.iter().take_while(|r| r.inside != 0.0).count();
    if left >= 2 || left == read.len() {
        (&read[..left], false)
    } else {
        (&read[..read.len().min(left + 1)], true)
    }
}

fn temperature_verdict(by_temperature: Option<f64>, change: f64) -> &'static str {
    match by_temperature {
        None => UNKNOWN,
        Some(drift) if drift.abs() <= SLIGHT * (change - drift).abs() => STEADY,
        Some(_) => CORRECTED,
    }
}

/// What is noted where start and end alone were given.
pub const NO_RESIDUAL: &str = "two points leave no residual: nothing checks the curve";

fn notes(
    given: &Given,
    read: &[Reading],
    fit: &Fit,
    limits: Option<[f64; 3]>,
    by_temperature: Option<f64>,
) -> Vec<String> {
    let water = shown_low;
    let mut notes = vec![reference_note(given)];
    if by_temperature.is_none() {
        let kelvin =
            (given.number_or("barometer", ATMOSPHERE) + read[0].inside) / read[0].temperature;
        notes.push(format!(
            "no temperatures read: 1 K of the gas alone moves a sealed space by {}; 1 K over the \
             test is allowed for in the hole, and in the time criterion only where it is reckoned ahead",
            water(kelvin)
        ));
    }
    if fit.area_per_volume <= 0.0 {
        notes.push(
            "the pressure did not fall: nothing leaks, or warming or fuel vapour hides it (see \
             `vapour`); one that rises by more than the errors settles nothing"
                .to_owned(),
        );
    }
    if strays(given) {
        notes.push(
            "the points lie on no one curve: no one leak empties a space like this, so its size is not told".to_owned(),
        );
    }
    if let Some(would) = turned_by_warmth(given) {
        notes.push(format!(
            "the time criterion is the gauge as read; at one temperature it would {}: the gas {} meanwhile",
            if would { "pass" } else { "fail" },
            if would { "cooled" } else { "warmed" },
        ));
    }
    match read.len() {
        2 => notes.push(NO_RESIDUAL.to_owned()),
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
        if (read[0].inside - from).abs() > 0.05 * INCH_OF_WATER {
            notes.push(
                "the readings do not start where the criterion does: its end is worked from the \
                 hole found"
                    .to_owned(),
            );
        }
    }
    notes
}
