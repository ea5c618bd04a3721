//! `idle-air`, `trim-total` and `raised-idle`: what an idling engine says of its air.
//!
//! Formulas and sources: [`crate::physics::engine_air`].

use crate::physics::calculation::{
    CalcError, Calculation, Input, Kind, Output, Shifts, Worked, accept,
};
use crate::physics::engine_air::{speed_density, total_trim};
use crate::physics::gas::ROOM;
use crate::physics::given::Given;
use crate::units::{Dimension, Unit};

/// Airflow by speed and density. Worked example: 2.0 L at 800 rpm, 35 kPa, 20 C and 80 % draw
/// 4.437 g/s.
pub(super) static IDLE_AIR: Calculation = Calculation {
    name: "idle-air",
    version: 1,
    summary: "air that a four-stroke engine draws, from its speed and manifold pressure",
    source: "speed-density, Heywood 1988, section 2.10 (from memory)",
    inputs: &[
        Input::needed(
            "displacement",
            Kind::Quantity(Dimension::Volume),
            "volume swept by the engine",
        ),
        Input::needed("speed", Kind::Quantity(Dimension::Speed), "engine speed"),
        Input::needed(
            "manifold",
            Kind::Quantity(Dimension::Pressure),
            "absolute manifold pressure",
        ),
        Input::or(
            "temperature",
            Kind::Quantity(Dimension::Temperature),
            "20 C",
            "temperature of the air in the manifold",
        ),
        Input::or(
            "efficiency",
            Kind::Quantity(Dimension::Ratio),
            "80 %",
            "volumetric efficiency referred to the air in the manifold",
        ),
    ],
    outputs: &[Output::quantity(
        "airflow",
        Dimension::MassFlow,
        "g/s",
        "air drawn",
    )],
    nuisances: &[],
    refuse: |given| {
        for input in ["displacement", "speed", "manifold", "efficiency"] {
            super::gear::refuse_negative(given, input)?;
        }
        Ok(())
    },
    run: run_idle_air,
};

fn run_idle_air(given: &Given, _: &Shifts) -> Result<Worked, CalcError> {
    let temperature =
        super::gear::positive("temperature", given.number_or("temperature", ROOM), "K")?;
    let airflow = speed_density(
        given.number_or("efficiency", 0.8),
        given.number("manifold")?,
        temperature,
        given.number("displacement")?,
        given.number("speed")?,
    );
    let note = "efficiency is referred to the air in the manifold; at idle it lies between some 42 % \
                (the rule of 1 g/s a litre, common practice) and 80 %: good to a factor of two";
    Ok(Worked {
        results: vec![airflow.into()],
        notes: vec![note.to_owned()],
    })
}

/// Short and long trim together. Worked example: +10 % and +10 % are +21 %.
pub(super) static TRIM_TOTAL: Calculation = Calculation {
    name: "trim-total",
    version: 1,
    summary: "total trim of a short-term and a long-term one",
    source: "the two multiply: (1 + short)(1 + long) - 1",
    inputs: &[
        Input::needed("short", Kind::Quantity(Dimension::Ratio), "short-term trim"),
        Input::needed("long", Kind::Quantity(Dimension::Ratio), "long-term trim"),
    ],
    outputs: &[Output::quantity(
        "total",
        Dimension::Ratio,
        "%",
        "total trim",
    )],
    nuisances: &[],
    refuse: accept,
    run: |given, _| {
        let total = total_trim(given.number("short")?, given.number("long")?);
        Ok(Worked {
            results: vec![total.into()],
            notes: Vec::new(),
        })
    },
};

const IN_RANGE: &str = "within its range";
const CLOSED: &str = "closed below baseline: extra air";
const AT_STOP: &str = "at its stop";

/// Change of the command that counts: an assumption of ours, no source.
const TOLERANCE: f64 = 0.03;

/// Idle control of a car metered by manifold pressure.
///
/// Such a car does not go lean with extra air, since that air is counted: the idle control
/// closes to hold the speed, and only when it is at its stop do speed and pressure rise.
/// `closed-by = baseline - reading`, both as the control's own share of its full range. Left
/// out: load (steering, charging, a cooler), a throttle body that was cleaned or re-learnt since
/// the baseline, and everything else that changes the air needed at idle: late timing, back
/// pressure, a weak cylinder. Worked example: 12 % now against a baseline of 30 % has closed by
/// 18 % and, with a stop at 5 %, has 7 % left.
pub(super) static RAISED_IDLE: Calculation = Calculation {
    name: "raised-idle",
    version: 1,
    summary: "how far idle control has closed against its baseline, for cars metered by manifold pressure",
    source: "difference; limits are assumptions, no source",
    inputs: &[
        Input::needed(
            "reading",
            Kind::Quantity(Dimension::Ratio),
            "idle-air command or throttle angle now, warm, no load",
        ),
        Input::needed(
            "baseline",
            Kind::Quantity(Dimension::Ratio),
            "the same on a sound engine of this kind",
        ),
        Input::or(
            "stop",
            Kind::Quantity(Dimension::Ratio),
            "0 %",
            "the least that the control can go to",
        ),
        Input::or(
            "tolerance",
            Kind::Quantity(Dimension::Ratio),
            "3 %",
            "change that counts",
        ),
    ],
    outputs: &[
        Output::quantity("closed-by", Dimension::Ratio, "%", "baseline less reading"),
        Output::quantity(
            "left",
            Dimension::Ratio,
            "%",
            "what is left before the stop",
        ),
        Output::text("verdict", &[IN_RANGE, CLOSED, AT_STOP], "what it means"),
    ],
    nuisances: &[],
    refuse: |given| {
        if given.number("baseline")? > given.number_or("stop", 0.0) {
            return Ok(());
        }
        Err(CalcError::new(
            "baseline",
            "it is not above the stop",
            "take the baseline from a sound engine, warm and without load",
        ))
    },
    run: run_raised_idle,
};

fn run_raised_idle(given: &Given, _: &Shifts) -> Result<Worked, CalcError> {
    let reading = given.number("reading")?;
    let closed_by = given.number("baseline")? - reading;
    let left = reading - given.number_or("stop", 0.0);
    let tolerance = given.number_or("tolerance", TOLERANCE).abs();
    let verdict = match (left, closed_by) {
        // Near the stop counts only if it has closed: some baselines lie close to it.
        (left, closed) if left <= tolerance && closed > tolerance => AT_STOP,
        (_, closed) if closed > tolerance => CLOSED,
        _ => IN_RANGE,
    };
    let mut notes = vec![format!(
        "a change of {} counts: an assumption, no source",
        Unit::default_for(Dimension::Ratio).show(tolerance)
    )];
    if verdict == AT_STOP {
        notes.push(
            "at its stop: from here on speed and manifold pressure rise, and the command no \
             longer measures the extra air"
                .to_owned(),
        );
    }
    if closed_by < -tolerance {
        notes.push("it has opened: load, dirt or a restriction, not extra air".to_owned());
    }
    Ok(Worked {
        results: vec![closed_by.into(), left.into(), verdict.into()],
        notes,
    })
}
