//! `share`: how much of the complaint the leak found explains.
//!
//! `share = A_found / A_needed`, areas of the two holes; for round holes the square of the ratio
//! of their diameters. Both at the same coefficient, which then cancels.
//!
//! A static test with positive pressure does not reproduce a hot engine under vacuum: a hose lip
//! that smoke pushes open is sucked shut, a gasket closes as it warms, or the other way round.
//! How far the two part we take to be within a factor of 1.34 both ways 95 times in 100
//! (`static-test`, a standard deviation of 15 % on a logarithmic scale): an assumption of ours,
//! no source. Worked example: 1.0 mm found and 2.0 mm needed share 25 %.

use crate::physics::calculation::{
    Answer, CANNOT_TELL, CalcError, Calculation, Input, Kind, Nuisance, Output, Seen, Shifts,
    Worked,
};
use crate::physics::given::Given;
use crate::physics::orifice;
use crate::units::Dimension;

/// Above this the leak found is more than the complaint needs.
const MORE: f64 = 1.0;
/// From this on the leak explains the complaint: mending 70 % of a 25 % trim leaves 7.5 %, inside
/// the +-10 % taken as normal. Common practice, no source.
const EXPLAINS: f64 = 0.7;
/// Below this the leak is too small: after mending it most of the complaint would still be there.
/// An assumption of ours, no source.
const SMALL: f64 = 0.3;
/// Standard deviation of the logarithm of the area, see the head of this file.
const STATIC_TEST: f64 = 0.15;

const VERDICTS: &[&str] = &[
    "more than enough",
    EXPLAINS_IT,
    "explains part",
    "too small",
    CANNOT_TELL,
];
const EXPLAINS_IT: &str = "explains";

/// The share explained.
pub(super) static SHARE: Calculation = Calculation {
    name: "share",
    version: 4,
    summary: "share of the complaint that the leak found explains",
    source: "ratio of areas; limits and spread are assumptions, stated in the notes",
    inputs: &[
        Input::optional(
            "hole",
            Kind::Quantity(Dimension::Length),
            "diameter of the leak found; or give `hole-area`",
        ),
        Input::optional(
            "hole-area",
            Kind::Quantity(Dimension::Area),
            "area of the leak found",
        ),
        Input::optional(
            "needed",
            Kind::Quantity(Dimension::Length),
            "diameter that the complaint needs; or give `needed-area`",
        ),
        Input::optional(
            "needed-area",
            Kind::Quantity(Dimension::Area),
            "area that the complaint needs",
        ),
    ],
    outputs: &[
        Output::quantity(
            "share",
            Dimension::Ratio,
            "%",
            "area found over area needed; nothing where covering did not lower the flow",
        )
        .proportional()
        .from_zero(),
        Output::text("verdict", VERDICTS, "what the share means").judged("share", judge),
    ],
    nuisances: &[Nuisance {
        name: "static-test",
        help: "a static test against a hot engine under vacuum: within a factor of 1.34 both ways \
               95 times in 100, an assumption",
        only_with: None,
    }],
    refuse,
    run,
};

fn refuse(given: &Given) -> Result<(), CalcError> {
    for (diameter, area) in [("hole", "hole-area"), ("needed", "needed-area")] {
        super::gear::refuse_negative(given, diameter)?;
        if given.maybe(diameter).is_some() && given.maybe(area).is_some() {
            return Err(CalcError::new(
                area,
                format!("given together with `{diameter}`"),
                "give one of the two",
            ));
        }
    }
    if opening(given, "needed", "needed-area")? > 0.0 {
        return Ok(());
    }
    Err(CalcError::new(
        "needed",
        "the complaint needs no hole at all",
        "check the trims that it came from: there may be no lean complaint",
    ))
}

fn run(given: &Given, shifts: &Shifts) -> Result<Worked, CalcError> {
    let found =
        opening(given, "hole", "hole-area")? * (STATIC_TEST * shifts.get("static-test")).exp();
    let share = found.max(0.0) / opening(given, "needed", "needed-area")?.max(0.0);
    let notes = vec![
        "explains from 70 % on, too small below 30 %: assumptions, no source".to_owned(),
        "a static test does not reproduce a hot engine under vacuum: a factor of 1.34 both ways \
         is allowed for it"
            .to_owned(),
    ];
    Ok(Worked {
        results: vec![share.into(), judge(&Seen::exact(given, share))],
        notes,
    })
}

fn judge(seen: &Seen) -> Answer {
    // Enough is enough: that it may be more than that leaves nothing open.
    if seen.estimate.low >= EXPLAINS && seen.estimate.low <= MORE {
        return EXPLAINS_IT.into();
    }
    seen.class(|share| match share {
        share if share > MORE => "more than enough",
        share if share >= EXPLAINS => EXPLAINS_IT,
        share if share >= SMALL => "explains part",
        _ => "too small",
    })
}

fn opening(given: &Given, diameter: &str, area: &str) -> Result<f64, CalcError> {
    match (given.maybe(area), given.maybe(diameter)) {
        (Some(area), _) => Ok(area),
        (None, Some(diameter)) => Ok(orifice::area(diameter.max(0.0))),
        (None, None) => Err(CalcError::new(
            diameter,
            "missing",
            format!("give `{diameter}` or `{area}`"),
        )),
    }
}
