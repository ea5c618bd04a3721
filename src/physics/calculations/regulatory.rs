//! `regulatory`: the diameter that a fuel-vapour leak counts for under the emission rules.
//!
//! ```text
//! d = 7.844 (Q / sqrt((p - p_a)(p + p_a) / (SG T)))^0.5057
//! ```
//!
//! `d` in; `Q` m3/s of nitrogen; `p` and `p_a` absolute pressure inside and around, kPa; `SG`
//! specific gravity, 0.967 for nitrogen; `T` K. Source: 40 CFR 1066.985 (constants second-hand,
//! equation and example from memory). The thresholds of 0.020 and 0.040 in are those of 13 CCR
//! 1968.2 (e)(4.2.2).
//!
//! Not the same thing as `hole`: at 14 inH2O and these sizes the rule implies a coefficient of
//! about 0.75, a thin sharp edge has 0.60, so the two diameters differ by some 11 %. A figure must
//! say which it is. Worked example: 0.8e-5 m3/s at 104.294 against 101.332 kPa and 298.15 K gives
//! 0.0172 in.

use super::gear::{BAROMETER, positive, refuse_negative};
use crate::physics::calculation::{
    Answer, CANNOT_TELL, CalcError, Calculation, Input, Kind, Output, Seen, Shifts, Worked,
};
use crate::physics::gas::{ATMOSPHERE, ROOM};
use crate::physics::given::Given;
use crate::units::Dimension;

const INCH: f64 = 0.0254;
const SMALL: f64 = 0.020 * INCH;
const LARGE: f64 = 0.040 * INCH;
/// Specific gravity of nitrogen in the rule.
const GRAVITY: f64 = 0.967;

const UNDER: &str = "under 0.020 in";
const BETWEEN: &str = "from 0.020 in to under 0.040 in";
const OVER: &str = "0.040 in or more";

/// The diameter that the rule gives.
pub(super) static REGULATORY: Calculation = Calculation {
    name: "regulatory",
    version: 2,
    summary: "diameter that a fuel-vapour leak counts for under the emission rules, with nitrogen",
    source: "40 CFR 1066.985 (from memory); thresholds of 13 CCR 1968.2 (e)(4.2.2)",
    inputs: &[
        Input::needed(
            "flow",
            Kind::Quantity(Dimension::VolumeFlow),
            "flow of nitrogen",
        ),
        Input::needed(
            "pressure",
            Kind::Quantity(Dimension::Pressure),
            "pressure inside, above the barometer",
        ),
        BAROMETER,
        Input::or(
            "temperature",
            Kind::Quantity(Dimension::Temperature),
            "20 C",
            "temperature of the nitrogen",
        ),
    ],
    outputs: &[
        Output::quantity(
            "diameter",
            Dimension::Length,
            "in",
            "equivalent diameter of the rule",
        ),
        Output::text(
            "verdict",
            &[UNDER, BETWEEN, OVER, CANNOT_TELL],
            "where it stands among the thresholds",
        )
        .judged("diameter", judge),
    ],
    nuisances: &[],
    refuse: |given| {
        refuse_negative(given, "flow")?;
        if given.number("pressure")? > 0.0 {
            return Ok(());
        }
        Err(CalcError::new(
            "pressure",
            "the rule is for pressure inside, above the barometer",
            "read the gauge with the supply on",
        ))
    },
    run,
};

fn run(given: &Given, _: &Shifts) -> Result<Worked, CalcError> {
    let around = positive("barometer", given.number_or("barometer", ATMOSPHERE), "Pa")? / 1000.0;
    let temperature = positive("temperature", given.number_or("temperature", ROOM), "K")?;
    let drop = given.number("pressure")?.max(0.0) / 1000.0;
    let head = (drop * (drop + 2.0 * around) / (GRAVITY * temperature)).sqrt();
    let diameter = INCH * 7.844 * (given.number("flow")?.max(0.0) / head).powf(0.5057);
    let note =
        "the rule's own equivalent diameter; `hole` with a sharp edge gives about a tenth more";
    Ok(Worked {
        results: vec![diameter.into(), judge(&Seen::exact(given, diameter))],
        notes: vec![note.to_owned()],
    })
}

fn judge(seen: &Seen) -> Answer {
    seen.class(|diameter| match diameter {
        d if d >= LARGE => OVER,
        d if d >= SMALL => BETWEEN,
        _ => UNDER,
    })
}
