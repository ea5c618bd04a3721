//! `ripple`: the manifold pressure signal over the engine's cycles, lobe by lobe.
//!
//! Method, source and what is left out: [`crate::physics::ripple`]. A lobe that is more than a
//! quarter shallower or deeper than the median stands out: an assumption of ours, no source. Lobes
//! are counted from the trigger's first rise where a third column holds one, else from the first
//! sample. Worked example: four cylinders, one of them dead: half order a third of the firing order.

use crate::physics::calculation::{
    Answer, CalcError, Calculation, Field, Input, Kind, Output, Shifts, Worked, accept,
};
use crate::physics::given::Given;
use crate::physics::ripple::{CYCLES, Ripple, SAMPLES, look, odd_ones};
use crate::units::{Dimension, Unit};

/// Share of the median depth from which on a lobe stands out.
const STANDS_OUT: f64 = 0.25;
/// Noise over the median depth from which on there is no ripple to judge: an assumption, no source.
const NO_RIPPLE: f64 = 0.7;

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

/// A capture of the manifold pressure.
pub(super) static RIPPLE: Calculation = Calculation {
    name: "ripple",
    version: 3,
    summary: "manifold pressure over the engine's cycles: lobes, their depth, and which differs",
    source: "Fourier series over whole cycles; impulse model of one weak cylinder, our derivation; \
             limits are assumptions, no source",
    inputs: &[
        Input::needed(
            "points",
            Kind::Points(POINT),
            "a sample of the capture: time, signal, and a trigger if there is one",
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
            &[EVEN, ONE, SEVERAL, COUNT, SPEED, NONE],
            "what the lobes say",
        ),
        Output::text("depths", &[], "depth of each lobe in its order"),
    ],
    nuisances: &[],
    refuse: accept,
    run,
};

fn run(given: &Given, _: &Shifts) -> Result<Worked, CalcError> {
    let ripple = seen(given)?;
    let triggered = trigger(given.points("points")?).is_some();
    Ok(worked(given, &ripple, cylinders(given)?, triggered))
}

/// What the capture shows.
pub(super) fn seen(given: &Given) -> Result<Ripple, CalcError> {
    let rows = given.points("points")?;
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
    look(&samples, trigger(rows), cylinders, turns).ok_or_else(|| {
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

/// Time of the trigger's first rise through the middle of its range.
fn trigger(rows: &[Vec<Option<f64>>]) -> Option<f64> {
    let read: Vec<(f64, f64)> = rows
        .iter()
        .filter_map(|row| match row[..] {
            [Some(time), _, Some(trigger)] => Some((time, trigger)),
            _ => None,
        })
        .collect();
    let (low, high) = read
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), (_, v)| {
            (l.min(*v), h.max(*v))
        });
    let middle = f64::midpoint(low, high);
    read.windows(2)
        .find(|pair| low < high && pair[0].1 <= middle && pair[1].1 > middle)
        .map(|pair| pair[1].0)
}

fn worked(given: &Given, ripple: &Ripple, cylinders: usize, triggered: bool) -> Worked {
    let mut sorted = ripple.depths.clone();
    sorted.sort_by(f64::total_cmp);
    let depth = match sorted.len() {
        n if n % 2 == 1 => sorted[n / 2],
        n => f64::midpoint(sorted[n / 2 - 1], sorted[n / 2]),
    };
    let odd = odd_ones(&ripple.depths, STANDS_OUT);
    let most = odd
        .iter()
        .copied()
        .max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
    let verdict = if !ripple.repeats && ripple.rather.is_some() {
        SPEED
    } else if depth <= 0.0 || ripple.noise > NO_RIPPLE * depth {
        NONE
    } else if ripple.lobes != cylinders {
        COUNT
    } else {
        match odd.len() {
            0 => EVEN,
            1 => ONE,
            _ => SEVERAL,
        }
    };
    let judged = ![NONE, SPEED].contains(&verdict);
    let pressure = given
        .maybe("gain")
        .filter(|gain| *gain != 0.0)
        .map(|gain| depth / gain.abs());
    let millivolts = Unit::parse("mV");
    let list: Vec<String> = ripple
        .depths
        .iter()
        .zip(1..)
        .map(|(depth, place)| match &millivolts {
            Ok(unit) => format!("{place}: {}", unit.show(*depth)),
            Err(_) => format!("{place}: {depth} V"),
        })
        .collect();
    let count = |n: usize| Answer::Number(n as f64);
    Worked {
        results: vec![
            count(ripple.lobes),
            depth.into(),
            pressure.into(),
            ripple
                .half_order
                .is_finite()
                .then_some(ripple.half_order)
                .into(),
            most.filter(|_| judged)
                .map_or(Answer::Absent, |(place, _)| count(place + 1)),
            most.filter(|(_, off)| judged && off.is_finite())
                .map(|(_, off)| off)
                .into(),
            ripple.turns.into(),
            count(ripple.drop_outs),
            ripple.noise.into(),
            verdict.into(),
            list.join(", ").into(),
        ],
        notes: notes(ripple, triggered),
    }
}

fn notes(ripple: &Ripple, triggered: bool) -> Vec<String> {
    let mut notes = vec![
        if triggered {
            "lobes are counted from the trigger's first rise, in firing order"
        } else {
            "no trigger: lobes are counted from the first sample, so that the cylinder behind each \
             is not known"
        }
        .to_owned(),
        "a lobe stands out from 25 % of the median on: an assumption, no source".to_owned(),
    ];
    if let Some(turns) = ripple.rather {
        notes.push(format!(
            "the lobes come as if the engine turned at {}: look at the speed and the cylinders \
             that were given",
            Unit::default_for(Dimension::Speed).show(turns)
        ));
    }
    if ripple.drop_outs > 0 {
        notes.push(
            "drop-outs: look at the plug and the wiring before the engine is judged".to_owned(),
        );
    }
    notes
}
