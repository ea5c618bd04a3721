//! `hole`: the size of the hole that passes a flow; `flow`: the flow that passes a hole.
//!
//! Formula, symbols, range and what is left out: [`crate::physics::orifice`]. Worked example:
//! 2.3 L/min of air at 14 inH2O through a sharp edge is a hole of 1.03 mm (0.041 in).
//!
//! Several holes side by side add by area. With the workshop's own `test-hole` read on the same gear
//! the size is stated relative to it, which cancels the error of the coefficient, of the gas and of
//! the float's scale as far as both readings share it.
//!
//! The two are exact inverses of each other: the flux does not depend on the hole, so the size
//! follows by one division. What comes out is the *total* opening behind the gauge, an upper
//! bound to any one leak in it; see `found` for the leak itself.

use super::gear::{
    BAROMETER, COEFFICIENT, COEFFICIENT_SPREAD, DOWNSTREAM, GAS, PRESSURE, REFERENCE,
    REFERENCE_PRESSURE, SOURCE, TEMPERATURE, TEST_FLOW, TEST_HOLE, TEST_PRESSURE, UPSTREAM, drop,
    drop_notes, reference_density, reference_note, refuse_negative, refuse_no_drop,
    refuse_test_hole, test_factor, test_note,
};
use super::wording::shown;
use crate::physics::calculation::{CalcError, Calculation, Input, Kind, Output, Shifts, Worked};
use crate::physics::given::Given;
use crate::physics::orifice;
use crate::units::Dimension;

/// The hole from the flow.
pub(super) static HOLE: Calculation = Calculation {
    name: "hole",
    version: 2,
    summary: "size of the hole that passes a flow at a pressure: the total opening",
    source: SOURCE,
    inputs: &[
        Input::needed(
            "flow",
            Kind::Quantity(Dimension::VolumeFlow),
            "the flow as read",
        ),
        PRESSURE,
        UPSTREAM,
        DOWNSTREAM,
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
        Output::quantity("area", Dimension::Area, "mm2", "area of the hole"),
    ],
    nuisances: &[COEFFICIENT_SPREAD],
    refuse: |given| {
        refuse_negative(given, "flow")?;
        refuse_test_hole(given)?;
        refuse_no_drop(
            if given.maybe("pressure").is_some() {
                "pressure"
            } else {
                "upstream"
            },
            &drop(given)?,
        )
    },
    run: run_hole,
};

fn run_hole(given: &Given, shifts: &Shifts) -> Result<Worked, CalcError> {
    let drop = drop(given)?;
    let flux = drop.flux(given.coefficient("coefficient")?, shifts.get("coefficient"));
    let mass_flow = given.number("flow")?.max(0.0) * reference_density(given, drop.gas)?;
    let factor = test_factor(given, shifts)?;
    let area = factor * mass_flow / flux;
    let mut notes = vec![reference_note(given)];
    notes.extend(drop_notes(given, &drop));
    notes.extend(test_note(given, factor));
    Ok(Worked {
        results: vec![orifice::diameter(area).into(), area.into()],
        notes,
    })
}

/// The flow from the hole.
pub(super) static FLOW: Calculation = Calculation {
    name: "flow",
    version: 3,
    summary: "flow that passes a hole, or several side by side, at a pressure",
    source: SOURCE,
    inputs: &[
        Input::needed(
            "hole",
            Kind::List(Dimension::Length),
            "diameter of the hole; several add by area",
        ),
        PRESSURE,
        UPSTREAM,
        DOWNSTREAM,
        GAS,
        TEMPERATURE,
        BAROMETER,
        COEFFICIENT,
        REFERENCE,
        REFERENCE_PRESSURE,
    ],
    outputs: &[
        // A drop that is read backwards is refused, so neither turns its sign.
        Output::quantity("mass-flow", Dimension::MassFlow, "g/s", "mass a second").one_way(),
        Output::quantity(
            "volume-flow",
            Dimension::VolumeFlow,
            "L/min",
            "volume at the reference conditions",
        )
        .one_way(),
    ],
    nuisances: &[COEFFICIENT_SPREAD],
    refuse: |given| {
        let holes = given.list("hole")?;
        if holes.is_empty() || holes.iter().any(|hole| *hole < 0.0) {
            return Err(CalcError::new(
                "hole",
                "there is none, or one is below zero",
                "give the diameter of each",
            ));
        }
        let drop = drop(given)?;
        // No drop is no flow, a plain answer; a backward drop is two pressures exchanged.
        if drop.upstream < drop.downstream {
            refuse_no_drop("upstream", &drop)
        } else {
            Ok(())
        }
    },
    run: run_flow,
};

fn run_flow(given: &Given, shifts: &Shifts) -> Result<Worked, CalcError> {
    let drop = drop(given)?;
    let flux = drop.flux(given.coefficient("coefficient")?, shifts.get("coefficient"));
    let holes = given.list("hole")?;
    let area: f64 = holes.iter().map(|hole| orifice::area(hole.max(0.0))).sum();
    let mass_flow = flux * area;
    let volume_flow = mass_flow / reference_density(given, drop.gas)?;
    let mut notes = vec![reference_note(given)];
    notes.extend(drop_notes(given, &drop));
    if holes.len() > 1 {
        let together = shown(Dimension::Length, orifice::diameter(area));
        notes.push(format!("the holes together are one of {together}"));
    }
    Ok(Worked {
        results: vec![mass_flow.into(), volume_flow.into()],
        notes,
    })
}
