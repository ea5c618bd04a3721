//! `trims`: total fuel trims at two or more airflows, split into a leak and the rest.
//!
//! Model, symbols, what is left out and a worked example: [`crate::physics::trims`]. A leak's
//! share of the air shrinks as the engine draws more, while an error of metering or fuelling
//! keeps its share: so an idle and a steady 2500 rpm part the two.
//!
//! Refused: open loop (the trims are frozen or mean nothing), purge not shut (it is unmetered
//! vapour), a trim at its stop (what it would be beyond is not known).

use super::gear::{BAROMETER, COEFFICIENT, COEFFICIENT_SPREAD};
use super::intake::{
    A_MANIFOLD, AIR_TEMPERATURE, BANKS, IDLE_MANIFOLD, LEAST_MANIFOLD, MOST_MANIFOLD, bank_share,
    flux, is_it_absolute,
};
use super::wording::shown;
use crate::physics::calculation::{
    CalcError, Calculation, Field, Input, Kind, Output, Shifts, Worked,
};
use crate::physics::gas::ATMOSPHERE;
use crate::physics::given::Given;
use crate::physics::{orifice, trims};
use crate::units::{Dimension, Unit};

const POINT: &[Field] = &[
    Field {
        name: "airflow",
        dimension: Dimension::MassFlow,
        needed: true,
    },
    Field {
        name: "trim",
        dimension: Dimension::Ratio,
        needed: true,
    },
    Field {
        name: "manifold",
        dimension: Dimension::Pressure,
        needed: false,
    },
];

/// A total trim beyond this is taken to be at its stop unless the car's own stop is given:
/// common practice, no source.
pub(super) const STOP: f64 = 0.25;

/// The split of the trims.
pub(super) static TRIMS: Calculation = Calculation {
    name: "trims",
    version: 2,
    summary: "total trims at several airflows, split into a leak and an error that is no leak",
    source: "mass balance 1 + trim = (1 + a)(1 + leak / metered air), least squares in the leak's \
             area; our derivation, no printed source",
    inputs: &[
        Input::needed(
            "points",
            Kind::Points(POINT),
            "two or more points, warm and steady",
        ),
        BANKS,
        BAROMETER,
        AIR_TEMPERATURE,
        COEFFICIENT,
        Input::or(
            "loop",
            Kind::Word(&["closed", "open"]),
            "closed",
            "whether fuelling is in closed loop",
        ),
        Input::or(
            "purge",
            Kind::Word(&["shut", "open"]),
            "shut",
            "whether the purge is shut",
        ),
        Input::or(
            "stop",
            Kind::Quantity(Dimension::Ratio),
            "25 %",
            "total trim at which the car's control stops",
        ),
    ],
    outputs: &[
        Output::quantity(
            "offset",
            Dimension::Ratio,
            "%",
            "the part of the trim that is no leak",
        ),
        Output::quantity(
            "leak",
            Dimension::MassFlow,
            "g/s",
            "unmetered air at the first point; below zero, air goes out",
        ),
        Output::quantity(
            "area",
            Dimension::Area,
            "mm2",
            "area of the leak; below zero when the trims speak against one",
        ),
        Output::quantity(
            "diameter",
            Dimension::Length,
            "mm",
            "diameter of the round hole of that area",
        ),
        Output::quantity(
            "residual",
            Dimension::Ratio,
            "%",
            "largest distance of a trim from the model; none with two points",
        ),
    ],
    nuisances: &[COEFFICIENT_SPREAD],
    refuse,
    run,
};

fn refuse(given: &Given) -> Result<(), CalcError> {
    for row in given.points("points")? {
        if manifold(row).is_some_and(|read| !(LEAST_MANIFOLD..=MOST_MANIFOLD).contains(&read)) {
            return Err(CalcError::new(
                "points",
                "a manifold pressure is outside what an engine makes",
                A_MANIFOLD,
            ));
        }
    }
    let stop = given.number_or("stop", STOP).abs();
    for (place, row) in given.points("points")?.iter().enumerate() {
        if let [_, Some(trim), _] = row[..]
            && trim.abs() >= stop - 1e-9
        {
            let percent = Unit::default_for(Dimension::Ratio);
            return Err(CalcError::new(
                "points",
                format!(
                    "the trim of point {} ({}) is at its stop of {}",
                    place + 1,
                    percent.show(trim),
                    percent.show(stop)
                ),
                "leave this point out, or mend the largest leak first and read again",
            ));
        }
    }
    Ok(())
}

fn run(given: &Given, shifts: &Shifts) -> Result<Worked, CalcError> {
    refuse_state(given)?;
    let read = given.points("points")?;
    let rows = &alike(given, read)?;
    let points = read_points(given, rows, shifts)?;
    let (Some(first), true) = (points.first(), points.len() >= 2) else {
        return Err(CalcError::new(
            "points",
            "one point cannot part a leak from the rest",
            "read a second one at another airflow, for example a steady 2500 rpm",
        ));
    };
    let split = trims::split(&points).map_err(unsettled)?;
    let residual = (points.len() > 2).then_some(split.residual);
    Ok(Worked {
        results: vec![
            split.offset.into(),
            (split.area * first.flux).into(),
            split.area.into(),
            orifice::diameter(split.area).into(),
            residual.into(),
        ],
        notes: notes(given, read, rows, split.area, residual),
    })
}

pub(super) fn unsettled(why: trims::Unsettled) -> CalcError {
    match why {
        trims::Unsettled::SameShare => CalcError::new(
            "points",
            "a leak would have the same share of the air at every point, so they settle nothing",
            "read one at warm idle and one at a steady 2500 rpm",
        ),
        trims::Unsettled::NoFuel => CalcError::new(
            "points",
            "no leak and no offset give these trims together",
            "read them again, warm and steady",
        ),
    }
}

fn refuse_state(given: &Given) -> Result<(), CalcError> {
    if given.word("loop", "closed") != "closed" {
        return Err(CalcError::new(
            "loop",
            "in open loop the trims say nothing about the mixture",
            "warm the engine until fuelling is in closed loop, then read",
        ));
    }
    if given.word("purge", "shut") != "shut" {
        return Err(CalcError::new(
            "purge",
            "an open purge feeds vapour and air that nobody meters",
            "shut the purge or pinch its line, then read",
        ));
    }
    Ok(())
}

/// The points with the manifold pressure of each, or of none: one that is left out at one point
/// counts as left out at all, since the areas of a leak at a pressure read and at one assumed do not
/// belong together.
pub(super) fn alike(
    given: &Given,
    rows: &[Vec<Option<f64>>],
) -> Result<Vec<Vec<Option<f64>>>, CalcError> {
    let manifolds: Vec<f64> = rows.iter().filter_map(|row| manifold(row)).collect();
    if manifolds.len() == rows.len() {
        return Ok(rows.to_vec());
    }
    let barometer = given.number_or("barometer", ATMOSPHERE);
    if manifolds.iter().any(|manifold| *manifold > barometer) {
        return Err(CalcError::new(
            "points",
            "one is under boost, and another has no manifold pressure",
            "give it with every point: under boost air goes out through the leak",
        ));
    }
    let without = |row: &Vec<Option<f64>>| row.iter().take(2).copied().chain([None]).collect();
    Ok(rows.iter().map(without).collect())
}

fn manifold(row: &[Option<f64>]) -> Option<f64> {
    row.get(2).copied().flatten()
}

/// The points with the flux that goes with each.
pub(super) fn read_points(
    given: &Given,
    rows: &[Vec<Option<f64>>],
    shifts: &Shifts,
) -> Result<Vec<trims::Point>, CalcError> {
    let share = bank_share(given)?;
    rows.iter()
        .map(|row| point(given, row, share, shifts))
        .collect()
}

fn point(
    given: &Given,
    row: &[Option<f64>],
    share: f64,
    shifts: &Shifts,
) -> Result<trims::Point, CalcError> {
    let [Some(airflow), Some(trim), manifold] = *row else {
        return Err(CalcError::new(
            "points",
            "a point lacks its airflow or its trim",
            "read both at the same moment",
        ));
    };
    if airflow <= 0.0 {
        return Err(CalcError::new(
            "points",
            "a running engine draws air",
            "give the metered airflow, above zero",
        ));
    }
    if trim <= -1.0 {
        return Err(CalcError::new(
            "points",
            "a trim of -100 % would be no fuel at all",
            "read the trim again",
        ));
    }
    let flux = flux(given, manifold.unwrap_or(IDLE_MANIFOLD), shifts)?;
    Ok(trims::Point {
        metered: airflow * share,
        trim,
        flux,
    })
}

/// From this share of the stop on a trim may be held by it, and so far a point may lie off the model, as a share of the
/// fuel: ours, no source.
const NEAR_STOP: f64 = 0.9;
const FITS: f64 = 0.02;

/// What the reader must know; `read` are the points as read, `rows` as they were used.
fn notes(
    given: &Given,
    read: &[Vec<Option<f64>>],
    rows: &[Vec<Option<f64>>],
    area: f64,
    residual: Option<f64>,
) -> Vec<String> {
    let mut notes = Vec::new();
    let barometer = given.number_or("barometer", ATMOSPHERE);
    let manifolds: Vec<f64> = rows.iter().filter_map(|row| manifold(row)).collect();
    if manifolds.is_empty() && read.iter().any(|row| manifold(row).is_some()) {
        notes.push(
            "the manifold pressure is missing at one point, so it counts as left out at all"
                .to_owned(),
        );
    }
    if rows.len() == 2 {
        notes.push(
            "two points settle the model exactly: no residual checks it; a third would".to_owned(),
        );
    }
    if manifolds.is_empty() {
        notes.push(format!(
            "no manifold pressure given: the leak is taken to be choked and so the same at each \
             point; its size is for {} in the manifold",
            shown(Dimension::Pressure, IDLE_MANIFOLD)
        ));
    }
    if manifolds.iter().any(|manifold| *manifold > barometer) {
        notes.push("under boost the sign turns: metered air goes out through the leak".to_owned());
    }
    let stop = given.number_or("stop", STOP).abs();
    let trims = read.iter().filter_map(|row| row.get(1).copied().flatten());
    if trims.clone().any(|trim| trim.abs() > NEAR_STOP * stop) {
        notes.push(format!(
            "a trim lies close to the stop of {}: if the control is held there, the leak is larger than this",
            Unit::default_for(Dimension::Ratio).show(stop)
        ));
    }
    if residual.is_some_and(|residual| residual > FITS) {
        notes.push(format!(
            "the points do not fit one leak and one offset: {} off; look for one that was read in open loop, with the \
             purge open or the engine cold, before you trust the size",
            Unit::default_for(Dimension::Ratio).show(residual.unwrap_or_default())
        ));
    }
    let slowest = rows.iter().min_by(|a, b| {
        let airflow = |row: &[Option<f64>]| row.first().copied().flatten().unwrap_or_default();
        airflow(a).total_cmp(&airflow(b))
    });
    notes.extend(
        slowest
            .and_then(|row| manifold(row))
            .and_then(is_it_absolute),
    );
    if area < 0.0 {
        notes.push(
            "the trims do not shrink as the airflow grows: they speak against unmetered air"
                .to_owned(),
        );
    }
    notes
}
