//! `vin`: whether a vehicle identification number holds together, and where it does not.
//!
//! Rule and source: [`crate::physics::vin`]. Worked example: 1M8GDM9AXKP042788 is valid, its check
//! digit X; with an I anywhere it cannot be one, and the place is named.

use crate::physics::calculation::{
    Answer, CalcError, Calculation, Input, Kind, Output, Shifts, Worked, accept,
};
use crate::physics::given::Given;
use crate::physics::vin::{CHECK_PLACE, Found, LENGTH, look};
use crate::units::Dimension;

const VALID: &str = "valid";
const WRONG: &str = "check digit does not match";
const MALFORMED: &str = "malformed";

/// A vehicle identification number.
pub(super) static VIN: Calculation = Calculation {
    name: "vin",
    version: 1,
    summary: "whether a vehicle identification number holds together, and where it does not",
    source: "49 CFR 565.15, table V; ISO 3779",
    inputs: &[Input::needed(
        "vin",
        Kind::Text,
        "the number, 17 characters",
    )],
    outputs: &[
        Output::text(
            "verdict",
            &[VALID, WRONG, MALFORMED],
            "whether it holds together",
        ),
        Output::text("check-digit", &[], "the check digit that the rest asks for"),
        Output::quantity(
            "sum",
            Dimension::Count,
            "count",
            "sum of the digits times their weights",
        ),
        Output::quantity(
            "position",
            Dimension::Count,
            "count",
            "place of the first impossible character, from 1",
        ),
    ],
    nuisances: &[],
    refuse: accept,
    run,
};

fn impossible((place, character): &(usize, char)) -> String {
    let reason = match character {
        'I' => "I is never used: read 1",
        'O' => "O is never used: read 0",
        'Q' => "Q is never used: read 0 or 9",
        _ => "only figures and capital letters are used",
    };
    format!("place {place}: {reason}")
}

fn run(given: &Given, _: &Shifts) -> Result<Worked, CalcError> {
    let found = look(given.text("vin")?);
    let count = |place: usize| Answer::Number(place as f64);
    let (results, note) = match found {
        Found::Length(length) => (
            vec![
                MALFORMED.into(),
                Answer::Absent,
                Answer::Absent,
                Answer::Absent,
            ],
            Some(format!(
                "it has {length} characters, and {LENGTH} are needed"
            )),
        ),
        Found::Impossible(places) => {
            let told: Vec<_> = places.iter().map(impossible).collect();
            (
                vec![
                    MALFORMED.into(),
                    Answer::Absent,
                    Answer::Absent,
                    places
                        .first()
                        .map_or(Answer::Absent, |(place, _)| count(*place)),
                ],
                Some(told.join("; ")),
            )
        }
        Found::Summed { sum, check, stands } if check == stands => (
            vec![
                VALID.into(),
                check.to_string().into(),
                f64::from(sum).into(),
                Answer::Absent,
            ],
            None,
        ),
        Found::Summed { sum, check, stands } => (
            vec![
                WRONG.into(),
                check.to_string().into(),
                f64::from(sum).into(),
                Answer::Absent,
            ],
            Some(format!(
                "place {CHECK_PLACE} holds {stands} and the rest asks for {check}: one character \
                 is misread, or two are exchanged; a car not sold in North America need not have \
                 a check digit"
            )),
        ),
    };
    Ok(Worked {
        results,
        notes: note.into_iter().collect(),
    })
}
