//! `pid`: the value that a parameter's bytes stand for.
//!
//! Table, source and what is left out: [`crate::physics::parameter`]. Worked example: parameter 10,
//! bytes 01 C2: 450 x 0.01 = 4.50 g/s of air.

use crate::physics::calculation::{
    Answer, CalcError, Calculation, Input, Kind, Output, Shifts, UnitBy, Worked, accept,
};
use crate::physics::given::Given;
use crate::physics::parameter::{self, Parameter};

/// A parameter's bytes.
pub(super) static PID: Calculation = Calculation {
    name: "pid",
    version: 1,
    summary: "value that the bytes of a standard parameter stand for",
    source: "SAE J1979 / ISO 15031-5, read in reprints",
    inputs: &[
        Input::needed(
            "pid",
            Kind::Text,
            "the parameter's number in hexadecimal, such as 0C",
        ),
        Input::needed(
            "bytes",
            Kind::Text,
            "its bytes in hexadecimal, such as 1AF8",
        ),
    ],
    outputs: &[
        Output::own_unit(
            "value",
            UnitBy {
                input: "pid",
                unit: |text| known(text).ok()?.unit(),
                known: numbers,
            },
            "the value",
        ),
        Output::text("name", &[], "what it is"),
    ],
    nuisances: &[],
    refuse: accept,
    run,
};

/// The numbers of all parameters known here.
fn numbers() -> String {
    let all: Vec<_> = parameter::all()
        .iter()
        .map(|p| format!("{:02X}", p.number))
        .collect();
    all.join(" ")
}

fn known(text: &str) -> Result<&'static Parameter, CalcError> {
    let number = match parameter::bytes_of(text).as_deref() {
        Some([number]) => *number,
        _ => {
            return Err(CalcError::new(
                "pid",
                "it is not a parameter's number",
                "write two characters 0 to 9 or A to F, such as 0C",
            ));
        }
    };
    parameter::find(number).ok_or_else(|| {
        CalcError::new(
            "pid",
            format!("parameter {number:02X} is not known here"),
            format!("known: {}", numbers()),
        )
    })
}

fn run(given: &Given, _: &Shifts) -> Result<Worked, CalcError> {
    let parameter = known(given.text("pid")?)?;
    let bytes = parameter::bytes_of(given.text("bytes")?);
    let value = bytes.and_then(|bytes| parameter.value(&bytes));
    let (Some(value), Some(unit)) = (value, parameter.unit()) else {
        let count = parameter.bytes();
        return Err(CalcError::new(
            "bytes",
            format!("{} takes {count} bytes", parameter.name),
            format!("write {} characters 0 to 9 or A to F", 2 * count),
        ));
    };
    Ok(Worked {
        results: vec![Answer::Measured(value, unit), parameter.name.into()],
        notes: Vec::new(),
    })
}
