//! `coil`: whether a solenoid's winding is sound, at the temperature that it was read at.
//!
//! Formula, source and what is left out: [`crate::physics::solenoid`]. The winding is judged by its
//! resistance carried to the temperature of the nominal value, against that value's tolerance.
//! Beyond five times it, or under a fifth, it is called open or short: an assumption of ours, no
//! source. A meter that shows no reading at all is an open winding. Worked example: 34 ohm at
//! 100 C is 25.9 ohm at 20 C, plausible for 26 ohm.

use crate::physics::calculation::{
    Answer, CANNOT_TELL, CalcError, Calculation, Input, Kind, Output, Seen, Shifts, Worked,
};
use crate::physics::gas::ROOM;
use crate::physics::given::Given;
use crate::physics::solenoid::at_temperature;
use crate::units::{Dimension, Unit};

/// Winding tolerance where none is known: common practice, no source.
const TOLERANCE: f64 = 0.15;
const FAR: f64 = 5.0;

const SHORT: &str = "short";
const LOW: &str = "low";
const PLAUSIBLE: &str = "plausible";
const HIGH: &str = "high";
const OPEN: &str = "open";

/// A solenoid's winding.
pub(super) static COIL: Calculation = Calculation {
    name: "coil",
    version: 1,
    summary: "solenoid resistance carried to its nominal temperature, current, and whether it is sound",
    source: "copper winding, IEC 60028 (from memory); limits are common practice, no source",
    inputs: &[
        Input::needed(
            "resistance",
            Kind::Quantity(Dimension::Resistance),
            "resistance as read, connector off; where the meter shows OL, the top of its range, such as 20 Mohm",
        ),
        Input::needed(
            "nominal",
            Kind::Quantity(Dimension::Resistance),
            "resistance that it should have",
        ),
        Input::or(
            "temperature",
            Kind::Quantity(Dimension::Temperature),
            "20 C",
            "temperature of the winding when it was read",
        ),
        Input::or(
            "nominal-temperature",
            Kind::Quantity(Dimension::Temperature),
            "20 C",
            "temperature that the nominal value is for",
        ),
        Input::or(
            "tolerance",
            Kind::Quantity(Dimension::Ratio),
            "15 %",
            "spread of sound windings around the nominal value",
        ),
        Input::or(
            "voltage",
            Kind::Quantity(Dimension::Voltage),
            "12.6 V",
            "supply, for the current",
        ),
    ],
    outputs: &[
        Output::quantity(
            "corrected",
            Dimension::Resistance,
            "ohm",
            "resistance at the nominal temperature",
        ),
        Output::quantity(
            "current",
            Dimension::Current,
            "A",
            "current at the supply, winding as it was read",
        ),
        Output::text(
            "verdict",
            &[SHORT, LOW, PLAUSIBLE, HIGH, OPEN, CANNOT_TELL],
            "whether the winding is sound",
        )
        .judged("corrected", judge),
    ],
    nuisances: &[],
    refuse,
    run,
};

fn refuse(given: &Given) -> Result<(), CalcError> {
    super::gear::refuse_negative(given, "resistance")?;
    super::gear::refuse_negative(given, "voltage")?;
    if given.number("nominal")? <= 0.0 {
        return Err(CalcError::new(
            "nominal",
            "a winding has a resistance above zero",
            "take it from the maker's data",
        ));
    }
    for name in ["temperature", "nominal-temperature"] {
        if !(223.15..=523.15).contains(&given.number_or(name, ROOM)) {
            return Err(CalcError::new(
                name,
                "outside -50 C to 250 C",
                "read it on the valve's body",
            ));
        }
    }
    let tolerance = given.number_or("tolerance", TOLERANCE);
    if !(0.0..1.0).contains(&tolerance) {
        return Err(CalcError::new(
            "tolerance",
            "it is a share below 100 %",
            "write for example 15 %",
        ));
    }
    Ok(())
}

fn run(given: &Given, _: &Shifts) -> Result<Worked, CalcError> {
    let read = given.number("resistance")?.max(0.0);
    let corrected = at_temperature(
        read,
        given.number_or("temperature", ROOM),
        given.number_or("nominal-temperature", ROOM),
    );
    let current = given.number_or("voltage", 12.6) / read;
    let tolerance = given.number_or("tolerance", TOLERANCE);
    Ok(Worked {
        results: vec![
            corrected.into(),
            // Across a dead short only the supply and the fuse set the current.
            Answer::from(current.is_finite().then_some(current)),
            judge(&Seen::exact(given, corrected)),
        ],
        notes: vec![format!(
            "sound within {} of the nominal value; open or short beyond {FAR} times: assumptions",
            Unit::default_for(Dimension::Ratio).show(tolerance)
        )],
    })
}

fn judge(seen: &Seen) -> Answer {
    let Ok(nominal) = seen.given.number("nominal") else {
        return Answer::Absent;
    };
    let tolerance = seen.given.number_or("tolerance", TOLERANCE);
    seen.class(|value| match value / nominal {
        share if share <= 1.0 / FAR => SHORT,
        share if share < 1.0 - tolerance - 1e-9 => LOW,
        share if share <= 1.0 + tolerance + 1e-9 => PLAUSIBLE,
        share if share < FAR => HIGH,
        _ => OPEN,
    })
}
