//! `ratio`, `difference` and `sum`: small arithmetic on readings of one dimension.
//!
//! They work on the SI values: the ratio of two temperatures is that of their kelvins.

use crate::physics::calculation::{
    Answer, CalcError, Calculation, Input, Kind, Output, OutputKind, Shifts, Worked, accept,
};
use crate::physics::given::Given;
use crate::units::Dimension;

const TWO: &[Input] = &[Input::needed(
    "values",
    Kind::ListAny,
    "two quantities of one dimension",
)];

/// First divided by second.
pub(super) static RATIO: Calculation = Calculation {
    name: "ratio",
    version: 3,
    summary: "the first of two quantities divided by the second",
    source: "arithmetic",
    inputs: TWO,
    outputs: &[Output::quantity(
        "ratio",
        Dimension::Ratio,
        "ratio",
        "first divided by second",
    )
    .proportional()],
    nuisances: &[],
    refuse: accept,
    run: |given, _| {
        let [first, second] = two(given)?;
        if second == 0.0 {
            return Err(CalcError::new(
                "values",
                "the second is zero",
                "read the second again: a ratio needs one that is not zero",
            ));
        }
        Ok(one(first / second))
    },
};

/// First less second.
pub(super) static DIFFERENCE: Calculation = Calculation {
    name: "difference",
    version: 1,
    summary: "the first of two quantities less the second",
    source: "arithmetic",
    inputs: TWO,
    outputs: &[Output::like_inputs(
        "difference",
        OutputKind::StepOfInput,
        "first less second",
    )],
    nuisances: &[],
    refuse: accept,
    run: |given, _| {
        let [first, second] = two(given)?;
        Ok(one(first - second))
    },
};

/// All together.
pub(super) static SUM: Calculation = Calculation {
    name: "sum",
    version: 2,
    summary: "several quantities of one dimension added up",
    source: "arithmetic",
    inputs: &[Input::needed(
        "values",
        Kind::ListAny,
        "the quantities, of one dimension",
    )],
    outputs: &[Output::like_inputs(
        "sum",
        OutputKind::SameAsInput,
        "all added up",
    )],
    nuisances: &[],
    refuse: accept,
    run: add_up,
};

fn add_up(given: &Given, _: &Shifts) -> Result<Worked, CalcError> {
    let values = given.list("values")?;
    if values.is_empty() {
        return Err(CalcError::new(
            "values",
            "there is nothing to add",
            "give at least one",
        ));
    }
    Ok(one(values.iter().sum()))
}

fn two(given: &Given) -> Result<[f64; 2], CalcError> {
    match given.list("values")? {
        [first, second] => Ok([*first, *second]),
        other => Err(CalcError::new(
            "values",
            format!("{} given, and two are needed", other.len()),
            "give two",
        )),
    }
}

fn one(value: f64) -> Worked {
    Worked {
        results: vec![Answer::Number(value)],
        notes: Vec::new(),
    }
}
