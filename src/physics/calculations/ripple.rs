//! `ripple`: the manifold pressure signal over the engine's cycles, lobe by lobe.
//!
//! Method, source and what is left out: [`crate::physics::ripple`]. A lobe that is more than a
//! quarter shallower or deeper than the median stands out; a lobe of an idling engine is 2 kPa deep
//! at least, or 40 mV where the sensor's slope is not given: assumptions of ours, no source. What
//! could as well be noise, or a speed that could not be followed, is not judged. Lobes are counted
//! from the trigger's first rise where a third column holds one, else from the first sample. Worked
//! example: four cylinders, one of them dead: half order a third of the firing order.

use super::wording::shown_in;
use crate::physics::calculation::{
    Answer, CANNOT_TELL, CalcError, Calculation, Field, Input, Kind, Output, Shifts, Worked, accept,
};
use crate::physics::given::Given;
use crate::physics::ripple::{CYCLES, Ripple, SAMPLES, look, odd_ones};
use crate::units::preferred::unconverted;
use crate::units::{Dimension, Unit};

/// Share of the median depth from which on a lobe stands out.
const STANDS_OUT: f64 = 0.25;
/// The least depth of a lobe of an idling engine, Pa.
const LEAST_PRESSURE: f64 = 2000.0;
/// The same in V, where the sensor's slope is not known: by one of 20 mV/kPa, as for twice the air's pressure and more.
const LEAST_SIGNAL: f64 = 0.04;
/// A speed that wanders by less than this share is not worth a word.
const WANDERS: f64 = 0.01;
/// A speed that the lobes would fit further away than this share of the one found is another speed.
const ANOTHER: f64 = 0.12;

const EVEN: &str = "even";
const ONE: &str = "one lobe differs";
const SEVERAL: &str = "several lobes differ";
const COUNT: &str = "lobes do not match the cylinders";
const NONE: &str = "no ripple";
const SPEED: &str = "speed does not fit";

const POINT: &[Field] = &[
    Field {
        name: "time",
        dimension: Dimension::Time,
        needed: true,
    },
    Field {
        name: "signal",
        dimension: Dimension::Voltage,
        needed: true,
    },
    Field {
        name: "trigger",
        dimension: Dimension::Voltage,
        needed: false,
    },
];

const PRESSURES: &[Field] = &[
    POINT[0],
    Field {
        name: "pressure",
        dimension: Dimension::Pressure,
        needed: true,
    },
    POINT[2],
];

/// A capture of the manifold pressure.
pub(super) static RIPPLE: Calculation = Calculation {
    name: "ripple",
    version: 4,
    summary: "manifold pressure over the engine's cycles: lobes, their depth, and which differs",
    source: "Fourier series over whole cycles; impulse model of one weak cylinder, our derivation; \
             limits are assumptions, no source",
    inputs: &[
        Input::optional(
            "points",
            Kind::Points(POINT),
            "a sample of the capture: time, signal, and a trigger if there is one",
        ),
        Input::optional(
            "pressure-points",
            Kind::Points(PRESSURES),
            "the same of a capture that is scaled in pressure, in place of the points",
        ),
        Input::needed("cylinders", Kind::Count, "cylinders of the engine"),
        Input::needed("speed", Kind::Quantity(Dimension::Speed), "engine speed"),
        Input::optional(
            "gain",
            Kind::Quantity(Dimension::VoltagePerPressure),
            "slope of the sensor, to give the depth as a pressure too",
        ),
    ],
    outputs: &[
        Output::quantity("lobes", Dimension::Count, "count", "lobes in a cycle"),
        Output::quantity(
            "depth",
            Dimension::Voltage,
            "mV",
            "median depth of a lobe, crest to trough",
        ),
        Output::quantity(
            "depth-pressure",
            Dimension::Pressure,
            "kPa",
            "the same as a pressure",
        ),
        Output::quantity(
            "half-order",
            Dimension::Ratio,
            "%",
            "amplitude at half a turn's frequency over that of the firing",
        ),
        Output::quantity(
            "odd-lobe",
            Dimension::Count,
            "count",
            "the lobe that differs most, counted from the trigger or the start",
        ),
        Output::quantity(
            "odd-by",
            Dimension::Ratio,
            "%",
            "by how much that lobe differs from the median; below zero it is shallower",
        ),
        Output::quantity(
            "speed",
            Dimension::Speed,
            "rpm",
            "speed that fits the capture best",
        ),
        Output::quantity(
            "drop-outs",
            Dimension::Count,
            "count",
            "drop-outs of the signal",
        ),
        Output::quantity(
            "noise",
            Dimension::Voltage,
            "mV",
            "what the lobes do not explain, root mean square",
        ),
        Output::text(
            "verdict",
            &[EVEN, ONE, SEVERAL, COUNT, SPEED, NONE, CANNOT_TELL],
            "what the lobes say",
        ),
        Output::text("depths", &[], "depth of each lobe in its order"),
        Output::quantity(
            "noise-pressure",
            Dimension::Pressure,
            "kPa",
            "the noise as a pressure",
        ),
    ],
    nuisances: &[],
    refuse: accept,
    run,
};

fn run(given: &Given, _: &Shifts) -> Result<Worked, CalcError> {
    let ripple = seen(given)?;
    Ok(worked(given, &ripple, cylinders(given)?))
}

/// The samples, of a signal or of a pressure.
fn rows(given: &Given) -> Result<&[Vec<Option<f64>>], CalcError> {
    match (given.points("points"), given.points("pressure-points")) {
        (Ok(_), Ok(_)) => Err(CalcError::new(
            "pressure-points",
            "the capture is given twice, as a signal and as a pressure",
            "give it once",
        )),
        (_, Ok(rows)) => Ok(rows),
        (rows, _) => rows,
    }
}

fn is_pressure(given: &Given) -> bool {
    given.points("pressure-points").is_ok()
}

/// Depth of each lobe; empty where the capture does not tell.
pub(super) fn depths(given: &Given) -> Result<Vec<f64>, CalcError> {
    let ripple = seen(given)?;
    let judged = seen_well(verdict(given, &ripple, cylinders(given)?), &ripple);
    Ok(if judged { ripple.depths } else { Vec::new() })
}

/// What the capture shows.
fn seen(given: &Given) -> Result<Ripple, CalcError> {
    let rows = rows(given)?;
    let samples: Vec<(f64, f64)> = rows
        .iter()
        .filter_map(|row| match row[..] {
            [Some(time), Some(signal), _] => Some((time, signal)),
            _ => None,
        })
        .collect();
    if samples.windows(2).any(|pair| pair[1].0 <= pair[0].0) {
        return Err(CalcError::new(
            "points",
            "the times do not rise from sample to sample",
            "give the capture as it was recorded, each time once",
        ));
    }
    let cylinders = cylinders(given)?;
    let turns = given.number("speed")?;
    if turns <= 0.0 {
        return Err(CalcError::new(
            "speed",
            "a running engine turns",
            "give the speed during the capture, for example 800 rpm",
        ));
    }
    look(&samples, &rises(rows), cylinders, turns).ok_or_else(|| {
        CalcError::new(
            "points",
            format!(
                "too few samples: {CYCLES} cycles of the engine are needed, with {SAMPLES} samples \
                 for each lobe"
            ),
            "record a quarter of a second or more at 1000 samples a second or more",
        )
    })
}

fn cylinders(given: &Given) -> Result<usize, CalcError> {
    (1..=16)
        .find(|n| (f64::from(*n) - given.number("cylinders").unwrap_or(0.0)).abs() < 1e-9)
        .and_then(|n: i32| usize::try_from(n).ok())
        .ok_or_else(|| {
            CalcError::new(
                "cylinders",
                "not a number of cylinders from 1 to 16",
                "count those that share the manifold",
            )
        })
}

/// Times at which the trigger rises: through two thirds of its range after it was below a third.
fn rises(rows: &[Vec<Option<f64>>]) -> Vec<f64> {
    let read = rows.iter().filter_map(|row| match row[..] {
        [Some(time), _, Some(trigger)] => Some((time, trigger)),
        _ => None,
    });
    let (low, high) = read
        .clone()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), (_, v)| {
            (l.min(v), h.max(v))
        });
    let third = (high - low) / 3.0;
    let mut was_low = false;
    let mut rises = Vec::new();
    for (time, level) in read {
        if level < low + third {
            was_low = true;
        } else if was_low && level > high - third {
            was_low = false;
            rises.push(time);
        }
    }
    rises
}

fn median(depths: &[f64]) -> f64 {
    let mut sorted = depths.to_vec();
    sorted.sort_by(f64::total_cmp);
    match sorted.len() {
        0 => 0.0,
        n if n % 2 == 1 => sorted[n / 2],
        n => f64::midpoint(sorted[n / 2 - 1], sorted[n / 2]),
    }
}

/// The least depth of a lobe, in the unit of the samples.
fn least(given: &Given) -> f64 {
    let gain = given.maybe("gain").filter(|gain| *gain != 0.0);
    match gain {
        _ if is_pressure(given) => LEAST_PRESSURE,
        Some(gain) => LEAST_PRESSURE * gain.abs(),
        None => LEAST_SIGNAL,
    }
}

/// Whether one cycle is like the next, and noise could not pass for a lobe that stands out.
fn is_clear(ripple: &Ripple) -> bool {
    let depth = median(&ripple.depths);
    ripple.repeats && depth > 0.0 && ripple.blur <= STANDS_OUT * depth
}

/// The lobe, from 0, of which cannot be told whether it stands out, and by how much it differs: the blur reaches over
/// the limit. All three standard errors of it, since crest to trough of what is noisy comes out too large, of a weak
/// lobe more than of the others.
fn at_the_limit(ripple: &Ripple) -> Option<(usize, f64)> {
    let margin = ripple.blur / median(&ripple.depths);
    odd_ones(&ripple.depths, 0.0)
        .into_iter()
        .filter(|(_, off)| (off.abs() - STANDS_OUT).abs() < margin)
        .max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()))
}

fn verdict(given: &Given, ripple: &Ripple, cylinders: usize) -> &'static str {
    let clear = is_clear(ripple);
    let another = |turns: f64| (turns / ripple.turns - 1.0).abs() > ANOTHER;
    if !ripple.repeats && ripple.rather.is_some_and(another) {
        SPEED
    } else if !clear && ripple.swing < least(given) {
        NONE
    } else if !clear {
        CANNOT_TELL
    } else if ripple.lobes != cylinders {
        COUNT
    } else if at_the_limit(ripple).is_some() {
        CANNOT_TELL
    } else {
        match odd_ones(&ripple.depths, STANDS_OUT).len() {
            0 => EVEN,
            1 => ONE,
            _ => SEVERAL,
        }
    }
}

/// Whether the lobes were seen well enough for their depths to mean something.
fn seen_well(verdict: &str, ripple: &Ripple) -> bool {
    ![NONE, SPEED].contains(&verdict) && (verdict != CANNOT_TELL || is_clear(ripple))
}

fn worked(given: &Given, ripple: &Ripple, cylinders: usize) -> Worked {
    let verdict = verdict(given, ripple, cylinders);
    let judged = seen_well(verdict, ripple);
    let depth = median(&ripple.depths);
    let odd = odd_ones(&ripple.depths, STANDS_OUT);
    let most = odd
        .into_iter()
        .filter(|_| judged && verdict != CANNOT_TELL)
        .max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
    let numbers = most.and_then(|(place, _)| ripple.numbers.get(place));
    let some_of_them = numbers.filter(|all| all.len() > 1 && all.len() < cylinders);
    let signal = |value: f64| (!is_pressure(given)).then_some(value);
    let gain = given.maybe("gain").filter(|gain| *gain != 0.0);
    let pressure = |value: f64| match gain {
        _ if is_pressure(given) => Some(value),
        gain => gain.map(|gain| value / gain.abs()),
    };
    let count = |n: usize| Answer::Number(n as f64);
    let half_order = Some(settled(ripple.half_order)).filter(|half| judged && half.is_finite());
    Worked {
        results: vec![
            if judged {
                count(ripple.lobes)
            } else {
                Answer::Absent
            },
            signal(depth).filter(|_| judged).into(),
            pressure(depth).filter(|_| judged).into(),
            half_order.into(),
            most.filter(|_| some_of_them.is_none())
                .map_or(Answer::Absent, |(place, _)| count(place + 1)),
            most.map(|(_, off)| off)
                .filter(|off| off.is_finite())
                .into(),
            Some(ripple.turns).filter(|_| judged).into(),
            count(ripple.drop_outs),
            signal(settled(ripple.noise)).into(),
            verdict.into(),
            if judged {
                // It goes into the record, which is the same whoever looks.
                unconverted(|| list(given, &ripple.depths)).into()
            } else {
                Answer::Absent
            },
            pressure(settled(ripple.noise)).into(),
        ],
        notes: notes(given, ripple, verdict, some_of_them.map(Vec::as_slice)),
    }
}

/// What is left of a figure without what is rounding only: a nanovolt, a billionth of a share.
fn settled(value: f64) -> f64 {
    (value * 1e9).round() / 1e9
}

/// A depth or a noise, in the unit of the samples, or in the preferred one for a pressure.
fn shown(given: &Given, value: f64) -> String {
    let unit = if is_pressure(given) { "kPa" } else { "mV" };
    let value = settled(value);
    shown_in(unit, value)
}

fn list(given: &Given, depths: &[f64]) -> String {
    let each = depths.iter().zip(1..);
    let each: Vec<String> = each
        .map(|(depth, place)| format!("{place}: {}", shown(given, *depth)))
        .collect();
    each.join(", ")
}

fn notes(
    given: &Given,
    ripple: &Ripple,
    verdict: &str,
    some_of_them: Option<&[usize]>,
) -> Vec<String> {
    let rpm = |turns: f64| Unit::default_for(Dimension::Speed).show(turns);
    let judged = seen_well(verdict, ripple);
    let mut notes = Vec::new();
    if verdict == CANNOT_TELL {
        notes.push(why_not(given, ripple));
    }
    if verdict == NONE {
        notes.push(format!(
            "the signal goes up and down by {} only, and a lobe of an idling engine is taken to be {} at least: an \
             assumption, no source",
            shown(given, ripple.swing),
            shown(given, least(given))
        ));
    }
    if judged {
        notes.push(counted(ripple, some_of_them));
        notes.push(
            "a lobe stands out from 25 % of the median on: an assumption, no source".to_owned(),
        );
    }
    let wanders = ripple
        .wander
        .filter(|(low, high)| judged && high - low > WANDERS * ripple.turns);
    if let Some((low, high)) = wanders {
        notes.push(format!(
            "the speed wanders from {} to {}; the cycles were made even before the lobes were looked at",
            rpm(low),
            rpm(high)
        ));
    }
    if judged && ripple.slow > STANDS_OUT * median(&ripple.depths) {
        notes.push(format!(
            "a slow swing of {} was taken off before the lobes were looked at",
            shown(given, ripple.slow)
        ));
    }
    if let Some(turns) = ripple.rather.filter(|_| [SPEED, COUNT].contains(&verdict)) {
        notes.push(format!(
            "the lobes come as if the engine turned at {}: look at the speed and the cylinders \
             that were given",
            rpm(turns)
        ));
    }
    if ripple.drop_outs > 0 {
        notes.push(
            "drop-outs: look at the plug and the wiring before the engine is judged".to_owned(),
        );
    }
    notes
}

/// Why the lobes cannot be judged, and what to do.
fn why_not(given: &Given, ripple: &Ripple) -> String {
    /// Share of the unlikeness that quick noise must explain to be named as its reason.
    const MOSTLY: f64 = 0.5;
    if let Some((place, off)) = at_the_limit(ripple).filter(|_| is_clear(ripple)) {
        let percent = Unit::default_for(Dimension::Ratio);
        format!(
            "lobe {} differs by {}, which is too near the limit of {} for this noise: record for longer",
            place + 1,
            percent.show(off),
            percent.show(STANDS_OUT)
        )
    } else if ripple.repeats || ripple.hiss >= MOSTLY {
        format!(
            "too much noise ({}, root mean square) to tell the lobes: look at the screen and the earth of the lead, or \
             record for longer",
            shown(given, ripple.noise)
        )
    } else {
        "one cycle is not like the next: the speed wanders further or faster than can be followed, or it is not the one \
         that was given; record some seconds at a steady speed"
            .to_owned()
    }
}

/// What the numbers of the lobes are counted from.
fn counted(ripple: &Ripple, some_of_them: Option<&[usize]>) -> String {
    let places = ripple.numbers.first().map_or(0, Vec::len);
    if let Some(numbers) = some_of_them {
        let names: Vec<String> = numbers.iter().map(usize::to_string).collect();
        return format!(
            "the trigger rises {places} times a cycle: by it, the lobe that differs most is lobe {} in firing order, and \
             which of them cannot be told",
            names.join(" or ")
        );
    }
    match places {
        0 => "no trigger: lobes are counted from the first sample, so that the cylinder behind each is not known".to_owned(),
        1 => "lobes are counted from the trigger's first rise, in firing order".to_owned(),
        n if n == ripple.numbers.len() => "the trigger rises for each lobe and names no cylinder: lobes are counted from its \
             first rise, so that the cylinder behind each is not known"
            .to_owned(),
        n => format!(
            "the trigger rises {n} times a cycle: lobes are counted from its first rise, and which of {n} lobes is the \
             first in firing order cannot be told"
        ),
    }
}
