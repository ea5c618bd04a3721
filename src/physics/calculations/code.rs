//! `code`: what a trouble code says by its structure, and what the generic ones mean.
//!
//! Structure, source and what is left out: [`crate::physics::trouble_code`]. Worked example: P0171
//! is powertrain, generic, fuel and air metering: bank 1 too lean.

use crate::physics::calculation::{
    Answer, CalcError, Calculation, Input, Kind, Output, Shifts, Worked, accept,
};
use crate::physics::given::Given;
use crate::physics::trouble_code::Code;

const GENERIC: &str = "generic";
const MAKER: &str = "maker's own";
const KEPT: &str = "kept for later";

/// A trouble code.
pub(super) static CODE: Calculation = Calculation {
    name: "code",
    version: 1,
    summary: "structure and meaning of a trouble code",
    source: "SAE J2012, ISO 15031-6; meanings in our own words, from memory",
    inputs: &[Input::needed(
        "code",
        Kind::Text,
        "the code, such as P0442, or its two bytes, such as 0442",
    )],
    outputs: &[
        Output::text("code", &[], "the code as it is written"),
        Output::text(
            "system",
            &["powertrain", "chassis", "body", "network"],
            "what its letter stands for",
        ),
        Output::text("class", &[GENERIC, MAKER, KEPT], "who says what it means"),
        Output::text("area", &[], "what its third character stands for"),
        Output::text(
            "meaning",
            &[],
            "what it means, for those that this trade meets",
        ),
        Output::text("bytes", &[], "its two bytes"),
    ],
    nuisances: &[],
    refuse: accept,
    run,
};

fn run(given: &Given, _: &Shifts) -> Result<Worked, CalcError> {
    let text = given.text("code")?;
    let code = Code::parse(text).ok_or_else(|| {
        CalcError::new(
            "code",
            "it is not a trouble code",
            "write a letter P, C, B or U, a figure 0 to 3 and three more characters 0 to 9 or A \
             to F; or four characters for its two bytes",
        )
    })?;
    let absent = |text: Option<&str>| text.map_or(Answer::Absent, Answer::from);
    let note = match (code.generic(), code.meaning()) {
        (false, _) if code.kept() => {
            Some("the standard keeps it for later: read it from the car once more")
        }
        (false, _) => Some("its meaning is the maker's: look in the maker's data"),
        (true, None) => Some("its meaning is not listed here: look in the standard"),
        (true, Some(_)) => None,
    };
    Ok(Worked {
        results: vec![
            code.name().into(),
            code.system().into(),
            match () {
                () if code.generic() => GENERIC,
                () if code.kept() => KEPT,
                () => MAKER,
            }
            .into(),
            absent(code.area()),
            absent(code.meaning()),
            format!("{:04X}", code.0).into(),
        ],
        notes: note.map(str::to_owned).into_iter().collect(),
    })
}
