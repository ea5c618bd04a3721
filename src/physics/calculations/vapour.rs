//! `vapour`: the pressure that temperature and fuel vapour alone make in a closed tank.
//!
//! Formulas, source, range and what is left out: [`crate::physics::fuel_vapour`]. It keeps a warm
//! tank, whose vapour makes up for what leaks, from being read as "no leak", and a cooling one
//! from being read as a leak. `gas-change` is the least and `saturated-change` the most that a
//! change of temperature does; `fresh-rise` is what liquid fuel adds, in the end, to gas that came
//! in fresh. Worked example: 20 to 21 C at 14 inH2O: 1.44 inH2O by the gas alone.

use super::gear::{BAROMETER, positive};
use crate::physics::calculation::{
    CANNOT_TELL, CalcError, Calculation, Input, Kind, Output, Shifts, Worked,
};
use crate::physics::fuel_vapour::{USUAL_REID, gas_change, vapour_pressure};
use crate::physics::gas::ATMOSPHERE;
use crate::physics::given::Given;
use crate::units::Dimension;

const PSI: f64 = 6_894.757_293_168;
/// Change that a hold test would notice: a twentieth of 14 inH2O; an assumption, no source.
const NOTICED: f64 = 0.05 * 14.0 * 249.088_91;

const NONE: &str = "too small to matter";
const HIDES: &str = "rises: it can hide a leak";
const MIMICS: &str = "falls: it can look like a leak";
const EITHER: &str = "falls, then rises: it can look like a leak or hide one";

/// Temperature and vapour in a closed tank.
pub(super) static VAPOUR: Calculation = Calculation {
    name: "vapour",
    version: 4,
    summary: "pressure change of a closed tank from temperature and fuel vapour alone",
    source: "gas law; vapour pressure of gasoline: US EPA AP-42 section 7.1 (from memory)",
    inputs: &[
        Input::needed(
            "from",
            Kind::Quantity(Dimension::Temperature),
            "temperature when the test began",
        ),
        Input::needed(
            "to",
            Kind::Quantity(Dimension::Temperature),
            "temperature when it ended",
        ),
        Input::or(
            "pressure",
            Kind::Quantity(Dimension::Pressure),
            "14 inH2O",
            "pressure when it began, as a difference to the barometer",
        ),
        BAROMETER,
        Input::or(
            "fuel",
            Kind::Word(&["liquid", "none"]),
            "liquid",
            "whether liquid fuel is in the space",
        ),
        Input::or(
            "reid-pressure",
            Kind::Quantity(Dimension::Pressure),
            "9 psi",
            "the fuel's vapour pressure by the Reid test: about 7 psi in summer to 15 in winter",
        ),
        Input::optional(
            "fresh",
            Kind::Quantity(Dimension::Ratio),
            "share of the space that the test has just filled with fresh gas, without vapour; 0 % once \
             it has settled",
        ),
    ],
    outputs: &[
        Output::quantity(
            "gas-change",
            Dimension::Pressure,
            "inH2O",
            "change by the gas law alone",
        ),
        Output::quantity(
            "saturated-change",
            Dimension::Pressure,
            "inH2O",
            "change with the space saturated with vapour throughout",
        ),
        Output::quantity(
            "vapour-pressure",
            Dimension::Pressure,
            "kPa",
            "vapour pressure of the fuel at the end",
        ),
        Output::quantity(
            "fresh-rise",
            Dimension::Pressure,
            "kPa",
            "what evaporation adds, beside `saturated-change`, to gas that came in fresh, all of it where `fresh` is \
             left out, if nothing lets it out",
        ),
        Output::text(
            "verdict",
            &[NONE, HIDES, MIMICS, EITHER, CANNOT_TELL],
            "what temperature, and evaporation where `fresh` is given, do to a hold test",
        )
        .or_cannot_tell(),
    ],
    nuisances: &[],
    refuse,
    run,
};

fn refuse(given: &Given) -> Result<(), CalcError> {
    for name in ["from", "to"] {
        let temperature = given.number(name)?;
        if !(253.15..=333.15).contains(&temperature) {
            return Err(CalcError::new(
                name,
                "outside -20 C to 60 C, where the vapour curve holds",
                "test when the tank is near the workshop's temperature",
            ));
        }
    }
    if let Some(fresh) = given.maybe("fresh")
        && !(0.0..=1.0).contains(&fresh)
    {
        return Err(CalcError::new(
            "fresh",
            "a space is filled with none to all of it",
            "give a share from 0 % to 100 %",
        ));
    }
    let reid = given.number_or("reid-pressure", USUAL_REID);
    if !(2.0 * PSI..=16.0 * PSI).contains(&reid) {
        return Err(CalcError::new(
            "reid-pressure",
            "no gasoline has it: outside 2 to 16 psi",
            "it is about 7 psi in summer and up to 15 psi in winter",
        ));
    }
    Ok(())
}

fn run(given: &Given, _: &Shifts) -> Result<Worked, CalcError> {
    let barometer = positive("barometer", given.number_or("barometer", ATMOSPHERE), "Pa")?;
    let start = given.number_or("pressure", 14.0 * 249.088_91);
    let absolute = positive("pressure", barometer + start, "Pa absolute")?;
    let from = positive("from", given.number("from")?, "K")?;
    let to = positive("to", given.number("to")?, "K")?;
    let gas = gas_change(absolute, from, to);
    let fresh = given.maybe("fresh");
    let mut notes = Vec::new();
    let with_fuel = given.word("fuel", "liquid") != "none";
    let (saturated, vapour, rise) = if with_fuel {
        let reid = given.number_or("reid-pressure", USUAL_REID);
        let (before, after) = (vapour_pressure(reid, from), vapour_pressure(reid, to));
        if before >= absolute {
            return Err(CalcError::new(
                "from",
                "the fuel would boil at this pressure",
                "let the tank cool before it is tested",
            ));
        }
        let saturated = gas_change(absolute - before, from, to) + after - before;
        notes.push(
            "a reading lies between the gas alone and the saturated space: evaporation takes \
             minutes"
                .to_owned(),
        );
        // The saturated change took out the vapour that was there before; fresh gas brought none.
        let rise = before * to / from * fresh.unwrap_or(1.0);
        (Some(saturated), Some(after), Some(rise))
    } else {
        if fresh.is_some() {
            notes.push("`fresh` counts for nothing: there is no fuel to evaporate".to_owned());
        }
        (None, None, None)
    };
    let counted = rise.filter(|_| fresh.is_some()).unwrap_or(0.0);
    let in_the_end = saturated.unwrap_or(gas) + counted;
    // The fuel takes minutes: the reading lies anywhere between the gas alone and the end.
    let verdict = match (gas.max(in_the_end), gas.min(in_the_end)) {
        (most, least) if most > NOTICED && least < -NOTICED => EITHER,
        (most, _) if most > NOTICED => HIDES,
        (_, least) if least < -NOTICED => MIMICS,
        _ => NONE,
    };
    if rise.is_some_and(|rise| rise > NOTICED) {
        notes.push(
            "fresh gas over liquid fuel gains vapour even at one temperature: wait until the \
             pressure has settled before a hold is timed"
                .to_owned(),
        );
        if fresh.is_none() {
            notes.push(
                "the verdict leaves this rise out: it counts where the hold is timed before the pressure has \
                 settled (the share of fresh gas tells how much)"
                    .to_owned(),
            );
        }
    }
    Ok(Worked {
        results: vec![
            gas.into(),
            saturated.into(),
            vapour.into(),
            rise.into(),
            verdict.into(),
        ],
        notes,
    })
}
