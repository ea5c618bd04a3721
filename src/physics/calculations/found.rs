//! `found`: the leak at one place, as the difference of the total opening with the place open
//! and with it covered.
//!
//! `A = A_open - A_covered`, each from its own flow and pressure as in
//! [`crate::physics::orifice`]. Openings side by side add by area. Smoke on a stopped engine also
//! passes rings, open valves and our own plugs; what stays open both times drops out of the
//! difference, and an error of the coefficient moves both areas alike. Left out: a cover that
//! does not seal (the leak is then larger), and a leak that opens as the pressure rises.
//!
//! Worked example: 2.3 L/min at 14 inH2O open and 1.3 L/min at 14 inH2O covered leave
//! 1.0/2.3 of the 1.03 mm hole's area, a hole of 0.68 mm.

use super::gear::{
    BAROMETER, COEFFICIENT, COEFFICIENT_SPREAD, GAS, REFERENCE, REFERENCE_PRESSURE, SOURCE,
    TEMPERATURE, TEST_FLOW, TEST_HOLE, TEST_PRESSURE, against_barometer, reference_density,
    reference_note, refuse_negative, refuse_no_drop, refuse_test_hole, test_factor, test_note,
};
use crate::physics::calculation::{
    Answer, CANNOT_TELL, CalcError, Calculation, Input, Kind, Output, Seen, Shifts, Worked,
};
use crate::physics::given::Given;
use crate::physics::orifice;
use crate::units::Dimension;

/// The hole found.
pub(super) static FOUND: Calculation = Calculation {
    name: "found",
    version: 2,
    summary: "size of the leak at one place: total opening with it open less that with it covered",
    source: SOURCE,
    inputs: &[
        Input::needed(
            "open-flow",
            Kind::Quantity(Dimension::VolumeFlow),
            "flow with the place open",
        ),
        Input::needed(
            "open-pressure",
            Kind::Quantity(Dimension::Pressure),
            "pressure with the place open",
        ),
        Input::needed(
            "covered-flow",
            Kind::Quantity(Dimension::VolumeFlow),
            "flow with the place covered",
        ),
        Input::needed(
            "covered-pressure",
            Kind::Quantity(Dimension::Pressure),
            "pressure with the place covered",
        ),
        GAS,
        TEMPERATURE,
        BAROMETER,
        COEFFICIENT,
        REFERENCE,
        REFERENCE_PRESSURE,
        TEST_HOLE,
        TEST_FLOW,
        TEST_PRESSURE,
    ],
    outputs: &[
        Output::quantity(
            "diameter",
            Dimension::Length,
            "mm",
            "diameter of the round hole",
        ),
        Output::quantity(
            "area",
            Dimension::Area,
            "mm2",
            "area; below zero when covering did not lower the flow",
        ),
        Output::text(
            "verdict",
            &[A_LEAK, CANNOT_TELL],
            "whether the place lets gas through, within the errors",
        )
        .judged("area", judge),
    ],
    nuisances: &[COEFFICIENT_SPREAD],
    refuse,
    run,
};

const A_LEAK: &str = "a leak";

fn judge(seen: &Seen) -> Answer {
    if seen.estimate.low > 0.0 {
        A_LEAK.into()
    } else {
        CANNOT_TELL.into()
    }
}

fn refuse(given: &Given) -> Result<(), CalcError> {
    refuse_test_hole(given)?;
    for (flow, pressure) in [
        ("open-flow", "open-pressure"),
        ("covered-flow", "covered-pressure"),
    ] {
        refuse_negative(given, flow)?;
        refuse_no_drop(
            pressure,
            &against_barometer(given, pressure, given.number(pressure)?)?,
        )?;
    }
    if given.number("open-pressure")? * given.number("covered-pressure")? < 0.0 {
        return Err(CalcError::new(
            "covered-pressure",
            "one reading is a vacuum and the other is not",
            "read both with the same supply",
        ));
    }
    Ok(())
}

fn run(given: &Given, shifts: &Shifts) -> Result<Worked, CalcError> {
    let factor = test_factor(given, shifts)?;
    let area = factor
        * (opening(given, shifts, "open-flow", "open-pressure")?
            - opening(given, shifts, "covered-flow", "covered-pressure")?);
    let mut notes = vec![reference_note(given)];
    notes.extend(test_note(given, factor));
    if area <= 0.0 {
        notes.push(
            "covering the place did not make the opening smaller: no leak found there".to_owned(),
        );
    }
    Ok(Worked {
        results: vec![
            orifice::diameter(area).into(),
            area.into(),
            judge(&Seen::exact(given, area)),
        ],
        notes,
    })
}

/// Total opening, m2, from one pair of readings.
fn opening(given: &Given, shifts: &Shifts, flow: &str, pressure: &str) -> Result<f64, CalcError> {
    let drop = against_barometer(given, pressure, given.number(pressure)?)?;
    let flux = drop.flux(given.coefficient("coefficient")?, shifts.get("coefficient"));
    Ok(given.number(flow)?.max(0.0) * reference_density(given, drop.gas)? / flux)
}
