//! `idle-air` and `trim-total`: the air that an engine draws, and its trims together.
//!
//! Formulas and sources: [`crate::physics::engine_air`].

use super::intake::{A_MANIFOLD, LEAST_MANIFOLD, MOST_MANIFOLD, is_it_absolute};
use crate::physics::calculation::{
    CalcError, Calculation, Input, Kind, Output, Shifts, Worked, accept,
};
use crate::physics::engine_air::{speed_density, total_trim};
use crate::physics::gas::ROOM;
use crate::physics::given::Given;
use crate::units::Dimension;

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
        )
        .within(1e-5, 0.1, super::intake::AN_ENGINE),
        Input::needed("speed", Kind::Quantity(Dimension::Speed), "engine speed"),
        Input::needed(
            "manifold",
            Kind::Quantity(Dimension::Pressure),
            "absolute manifold pressure",
        )
        .within(LEAST_MANIFOLD, MOST_MANIFOLD, A_MANIFOLD),
        Input::or(
            "temperature",
            Kind::Quantity(Dimension::Temperature),
            "20 C",
            "temperature of the air in the manifold",
        ),
        super::intake::EFFICIENCY,
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

/// Below this an engine idles, 1/s: 1200 rpm, common practice, no source.
const SLOW: f64 = 20.0;

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
    let slow = given.number("speed")? < SLOW;
    let note = "efficiency is referred to the air in the manifold; at idle it lies between some 42 % \
                (the rule of 1 g/s a litre, common practice) and 80 %: good to a factor of two";
    Ok(Worked {
        results: vec![airflow.into()],
        notes: std::iter::once(note.to_owned())
            .chain(is_it_absolute(given.number("manifold")?).filter(|_| slow))
            .collect(),
    })
}

/// SAE J1979 scales a trim from -100 % to +99.2 %.
const A_TRIM: &str = "a trim lies between -100 % and 100 %; read it again";

/// Short and long trim together. Worked example: +10 % and +10 % are +21 %.
pub(super) static TRIM_TOTAL: Calculation = Calculation {
    name: "trim-total",
    version: 1,
    summary: "total trim of a short-term and a long-term one",
    source: "the two multiply: (1 + short)(1 + long) - 1",
    inputs: &[
        Input::needed("short", Kind::Quantity(Dimension::Ratio), "short-term trim")
            .within(-1.0, 1.0, A_TRIM),
        Input::needed("long", Kind::Quantity(Dimension::Ratio), "long-term trim")
            .within(-1.0, 1.0, A_TRIM),
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
