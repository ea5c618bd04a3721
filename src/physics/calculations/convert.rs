//! `convert`: a quantity in another unit of its dimension.
//!
//! The value itself stays as it is; the unit is chosen where it is shown, by `unit` beside the calculation in a flow.
//! Units and their source: [`crate::units`]. Worked example: 14 inH2O are 3.48724 kPa.

use crate::physics::calculation::{
    Answer, CalcError, Calculation, Input, Kind, Output, OutputKind, Worked, accept,
};

/// A quantity in another unit.
pub(super) static CONVERT: Calculation = Calculation {
    name: "convert",
    version: 1,
    summary: "a quantity in other units of its dimension",
    source: "NIST Special Publication 811, its factors",
    inputs: &[Input::needed(
        "quantity",
        Kind::ListAny,
        "the quantity; a temperature is a point on its scale, not a difference",
    )],
    outputs: &[Output::like_inputs(
        "quantity",
        OutputKind::SameAsInput,
        "the same, in the unit that is asked for",
    )],
    nuisances: &[],
    refuse: accept,
    run: |given, _| match given.list("quantity")? {
        [one] => Ok(Worked {
            results: vec![Answer::Number(*one)],
            notes: Vec::new(),
        }),
        other => Err(CalcError::new(
            "quantity",
            format!("{} given, and one is converted at a time", other.len()),
            "give one",
        )),
    },
};
