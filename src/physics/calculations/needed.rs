//! `needed`: the hole into the manifold that the complaint would need.
//!
//! `leak = trim x metered air` (a trim all of whose size comes from the leak), or the leak from
//! `trims`; then area = leak / flux, as in [`crate::physics::orifice`] with the open air
//! upstream and the manifold downstream. Left out: everything that `trims` leaves out.
//!
//! Worked example: 0.60 g/s into a manifold at 35 kPa, sharp edge, 20 C: about 2.0 mm.

use super::gear::{BAROMETER, COEFFICIENT, COEFFICIENT_SPREAD};
use super::intake::{
    A_MANIFOLD, AIR_TEMPERATURE, BANKS, IDLE_MANIFOLD, LEAST_MANIFOLD, MOST_MANIFOLD, bank_share,
    flux,
};
use super::trims::STOP as USUAL_STOP;
use super::wording::shown;
use crate::physics::calculation::{
    Answer, CalcError, Calculation, Input, Kind, Output, Shifts, Worked,
};
use crate::physics::gas::ATMOSPHERE;
use crate::physics::given::Given;
use crate::physics::{engine_air, orifice};
use crate::units::{Dimension, Unit};

/// The hole needed.
pub(super) static NEEDED: Calculation = Calculation {
    name: "needed",
    version: 2,
    summary: "size of the hole into the manifold that the trims would need",
    source: super::gear::SOURCE,
    inputs: &[
        Input::optional(
            "leak",
            Kind::Quantity(Dimension::MassFlow),
            "unmetered air; or give `trim` and `airflow`",
        ),
        Input::optional(
            "trim",
            Kind::Quantity(Dimension::Ratio),
            "total trim that the leak would have to answer for",
        ),
        Input::optional(
            "airflow",
            Kind::Quantity(Dimension::MassFlow),
            "metered air at that trim",
        )
        .within(
            1e-6,
            10.0,
            "an engine that runs draws air: read the air meter, or work it with `idle-air`",
        ),
        BANKS,
        Input::or(
            "manifold",
            Kind::Quantity(Dimension::Pressure),
            "35 kPa",
            "absolute manifold pressure at that trim",
        )
        .within(LEAST_MANIFOLD, MOST_MANIFOLD, A_MANIFOLD),
        BAROMETER,
        AIR_TEMPERATURE,
        COEFFICIENT,
    ],
    outputs: &[
        Output::quantity(
            "diameter",
            Dimension::Length,
            "mm",
            "diameter of the round hole",
        ),
        Output::quantity("area", Dimension::Area, "mm2", "area of the hole"),
    ],
    nuisances: &[COEFFICIENT_SPREAD],
    refuse,
    run,
};

fn refuse(given: &Given) -> Result<(), CalcError> {
    let leak = leak(given)?;
    let flux = flux(given, manifold(given), &Shifts::none())?;
    if flux == 0.0 {
        return Err(CalcError::new(
            "manifold",
            "there is no flow without a pressure drop",
            "read it with the engine running; it is absolute",
        ));
    }
    if leak * flux < 0.0 {
        let banks = given.number_or("banks", 1.0);
        let within = |limit: f64| flux > 0.0 && given.maybe("trim").is_some_and(|t| t >= -limit);
        let (problem, remedy) = if within(USUAL_TRIM) {
            (
                "this trim takes a little fuel away, as a sound engine's may: no more than 10 %",
                "there is nothing that a leak would have to answer for",
            )
        } else if within(USUAL_TRIM * banks) {
            // One bank may be rich, or each of several a little: the sum does not tell.
            (
                "air that leaks in adds fuel, and these trims together take fuel away",
                "down to -10 % a bank there is nothing that a leak would have to answer for; where one bank is below \
                 that, look for what makes it rich",
            )
        } else if flux > 0.0 {
            (
                "air that leaks in adds fuel, and this trim takes fuel away",
                "look for what makes it rich instead",
            )
        } else {
            (
                "above the barometer air leaks out and takes fuel away, and this trim adds fuel",
                "read trim and pressure at the same moment",
            )
        };
        return Err(CalcError::new(
            if given.maybe("leak").is_some() {
                "leak"
            } else {
                "trim"
            },
            problem,
            remedy,
        ));
    }
    Ok(())
}

fn run(given: &Given, shifts: &Shifts) -> Result<Worked, CalcError> {
    let area = area(given, shifts)?;
    let mut notes = Vec::new();
    if given.maybe("manifold").is_none() {
        notes.push(format!(
            "no manifold pressure given: taken as {}, a warm idle",
            shown(Dimension::Pressure, IDLE_MANIFOLD)
        ));
    }
    if given.number_or("barometer", ATMOSPHERE) < manifold(given) {
        notes.push(
            "above the barometer: air leaks out, and the trim takes fuel away for it".to_owned(),
        );
    }
    if given
        .maybe("trim")
        .is_some_and(|trim| trim.abs() >= USUAL_STOP)
    {
        notes.push(format!(
            "many controls stop at some {}: a trim at its stop asks for more than it shows, and so does the hole",
            Unit::default_for(Dimension::Ratio).show(USUAL_STOP)
        ));
    }
    let answer = |value: f64| match value {
        value if value.is_finite() => Answer::Number(value),
        value => Answer::AtLeast(value),
    };
    Ok(Worked {
        results: vec![answer(orifice::diameter(area)), answer(area)],
        notes,
    })
}

/// Up to here the total trim of a bank is that of a sound engine, either way: common practice, no source.
const USUAL_TRIM: f64 = 0.10;

/// Within so much of the barometer, Pa, an error of the manifold pressure is taken to have turned the flow, and not one
/// of the trim: a manifold of a charged engine lies further off. An assumption of ours, no source.
const NEAR: f64 = 20_000.0;

/// The area; without end where the errors leave no pressure drop that drives the leak, none where they leave no leak.
fn area(given: &Given, shifts: &Shifts) -> Result<f64, CalcError> {
    let (leak, flux) = (leak(given)?, flux(given, manifold(given), shifts)?);
    if leak * flux > 0.0 {
        return Ok(leak / flux);
    }
    let apart = given.number_or("barometer", ATMOSPHERE) - manifold(given);
    match leak {
        leak if leak == 0.0 || apart.abs() > NEAR => Ok(0.0),
        leak if leak > 0.0 => Ok(f64::INFINITY),
        _ => Err(CalcError::new(
            "manifold",
            "trim and pressure do not go together",
            "read both at the same moment",
        )),
    }
}

fn manifold(given: &Given) -> f64 {
    given.number_or("manifold", IDLE_MANIFOLD)
}

/// Unmetered air, kg/s: as given, or from a trim and the air that it acts on.
fn leak(given: &Given) -> Result<f64, CalcError> {
    match (
        given.maybe("leak"),
        given.maybe("trim"),
        given.maybe("airflow"),
    ) {
        (Some(leak), None, None) => Ok(leak),
        (None, Some(trim), Some(airflow)) => Ok(engine_air::unmetered(
            trim,
            airflow.max(0.0) * bank_share(given)?,
        )),
        (None, Some(_), None) => Err(CalcError::new(
            "airflow",
            "missing",
            "give the metered air at that trim",
        )),
        (None, None, Some(_)) => Err(CalcError::new(
            "trim",
            "missing",
            "give the total trim at that airflow",
        )),
        (None, None, None) => Err(CalcError::new(
            "leak",
            "missing",
            "give `leak`, or `trim` and `airflow`",
        )),
        (Some(_), _, _) => Err(CalcError::new(
            "leak",
            "given together with a trim",
            "give `leak`, or `trim` and `airflow`",
        )),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::physics::given::{Given, Value};

    fn remedy(trim: f64, banks: f64) -> String {
        let given = Given::new()
            .with("trim", Value::Number(trim))
            .with("airflow", Value::Number(0.004))
            .with("banks", Value::Number(banks))
            .with("manifold", Value::Number(35_000.0));
        refuse(&given).unwrap_err().to_string()
    }

    #[test]
    fn a_trim_that_takes_fuel_away_within_what_is_usual_asks_for_nothing() {
        for (trim, banks) in [(-0.02, 1.0), (-0.1, 1.0), (-0.1, 2.0)] {
            let said = remedy(trim, banks);
            assert!(
                said.contains("nothing that a leak would have to answer for"),
                "{said}"
            );
            assert!(!said.contains("rich"), "{said}");
        }
        for (trim, banks) in [(-0.12, 1.0), (-0.25, 2.0)] {
            assert!(remedy(trim, banks).contains("look for what makes it rich instead"));
        }
        // The sum of two banks may be one rich bank, or two that are sound.
        let either = remedy(-0.18, 2.0);
        assert!(either.contains("down to -10 % a bank"), "{either}");
        assert!(either.contains("look for what makes it rich"), "{either}");
    }
}
