//! `equilibrium`: pressure and flow at which a regulated supply settles against openings; `fill`:
//! time to reach a pressure in a space.
//!
//! Model, symbols, source and what is left out: [`crate::physics::supply`]. Worked example of
//! `equilibrium`: a supply of 14 inH2O that passes 10 L/min open, against a sharp hole of
//! 0.040 in, settles at about 13.3 inH2O and 2.2 L/min. Of `fill`: without a restriction's loss
//! 30 L to 14 inH2O take `V dp / (101.325 kPa Q)` = 6.2 s at 10 L/min; with it about twice as long.

use super::decay_points::space;
use super::gear::{BAROMETER, COEFFICIENT, COEFFICIENT_SPREAD, GAS, TEMPERATURE};
use super::wording::shown_low;
use crate::physics::calculation::{
    Answer, CANNOT_TELL, CalcError, Calculation, Input, Kind, Output, Shifts, Worked,
};
use crate::physics::gas::{ATMOSPHERE, ROOM};
use crate::physics::given::Given;
use crate::physics::orifice;
use crate::physics::supply::Supply;
use crate::units::Dimension;

const SOURCE: &str = "two isentropic orifices in a row, the supply's own restriction sized by its \
                      open flow; ideal gas in the space";

const SET_PRESSURE: Input = Input::needed(
    "set-pressure",
    Kind::Quantity(Dimension::Pressure),
    "pressure that the supply holds with its tip blocked, as a difference to the barometer",
);
const OPEN_FLOW: Input = Input::needed(
    "open-flow",
    Kind::Quantity(Dimension::VolumeFlow),
    "flow of the supply with its tip open, at 20 C and 101.325 kPa",
);

/// Where a supply settles.
pub(super) static EQUILIBRIUM: Calculation = Calculation {
    name: "equilibrium",
    version: 1,
    summary: "pressure and flow that a regulated supply of limited flow settles at",
    source: SOURCE,
    inputs: &[
        SET_PRESSURE,
        OPEN_FLOW,
        Input::needed(
            "hole",
            Kind::List(Dimension::Length),
            "diameter of an opening; several add by area",
        ),
        GAS,
        TEMPERATURE,
        BAROMETER,
        COEFFICIENT,
    ],
    outputs: &[
        Output::quantity(
            "pressure",
            Dimension::Pressure,
            "inH2O",
            "pressure in the system",
        )
        .one_way(),
        Output::quantity(
            "flow",
            Dimension::VolumeFlow,
            "L/min",
            "flow that the float shows, at 20 C and 101.325 kPa",
        )
        .one_way(),
    ],
    nuisances: &[COEFFICIENT_SPREAD],
    refuse: refuse_supply,
    run: run_equilibrium,
};

fn refuse_supply(given: &Given) -> Result<(), CalcError> {
    for name in ["set-pressure", "open-flow"] {
        if given.number(name)? <= 0.0 {
            return Err(CalcError::new(
                name,
                "a supply gives pressure and flow above zero",
                "read the pressure with the tip blocked and the flow with it open",
            ));
        }
    }
    match given.get("hole").map(|_| given.list("hole")).transpose()? {
        Some(holes) if holes.iter().any(|hole| *hole < 0.0) => Err(CalcError::new(
            "hole",
            "one is below zero",
            "give the diameter of each; leave out what is shut",
        )),
        _ => Ok(()),
    }
}

fn supply(given: &Given, shifts: &Shifts) -> Result<(Supply, f64), CalcError> {
    let space = space(given, shifts)?;
    let set = given.number("set-pressure")?.max(0.0);
    let supply = Supply::passing(set, given.number("open-flow")?.max(0.0), &space);
    let holes: &[f64] = match given.get("hole") {
        Some(_) => given.list("hole")?,
        None => &[],
    };
    let opening = holes.iter().map(|hole| orifice::area(hole.max(0.0))).sum();
    Ok((supply, opening))
}

fn run_equilibrium(given: &Given, shifts: &Shifts) -> Result<Worked, CalcError> {
    let space = space(given, shifts)?;
    let (supply, opening) = supply(given, shifts)?;
    let pressure = if opening == 0.0 {
        supply.set
    } else {
        supply.equilibrium(&space, opening)
    };
    // What comes in is what goes out; each is worked where its own pressure drop has digits left.
    let mass_flow = if pressure < 0.5 * supply.set {
        supply.flow(&space, pressure)
    } else {
        opening * space.flux(pressure)
    };
    let flow = mass_flow / space.gas.density(ATMOSPHERE, ROOM);
    let mut notes = vec![
        "the float stands behind the regulator; volume flow at 20.0 C and 101.33 kPa".to_owned(),
    ];
    if pressure < 0.05 * supply.set {
        notes.push(
            "the openings pass nearly all that the supply gives: the flow says little about \
             their size"
                .to_owned(),
        );
    }
    Ok(Worked {
        results: vec![pressure.into(), flow.into()],
        notes,
    })
}

const REACHES: &str = "reaches it";
const NEVER: &str = "never reaches it";

/// How long a space takes to fill.
pub(super) static FILL: Calculation = Calculation {
    name: "fill",
    version: 2,
    summary: "time for a regulated supply to reach a pressure in a space",
    source: SOURCE,
    inputs: &[
        SET_PRESSURE,
        OPEN_FLOW,
        Input::optional(
            "target",
            Kind::Quantity(Dimension::Pressure),
            "pressure to reach; 95 % of the set pressure if left out",
        ),
        Input::optional(
            "volume",
            Kind::Quantity(Dimension::Volume),
            "volume of the space; or give `tank` and `fuel-level`",
        ),
        Input::optional(
            "tank",
            Kind::Quantity(Dimension::Volume),
            "volume of the empty tank",
        ),
        Input::optional(
            "fuel-level",
            Kind::Quantity(Dimension::Ratio),
            "share of the tank that is full of fuel",
        ),
        Input::optional(
            "hole",
            Kind::List(Dimension::Length),
            "diameter of an opening that leaks meanwhile; several add by area",
        ),
        GAS,
        TEMPERATURE,
        BAROMETER,
        COEFFICIENT,
    ],
    outputs: &[
        Output::quantity("time", Dimension::Time, "s", "time to reach the pressure"),
        Output::quantity("volume", Dimension::Volume, "L", "volume of the space"),
        Output::text(
            "verdict",
            &[REACHES, NEVER, CANNOT_TELL],
            "whether it gets there at all",
        )
        .or_cannot_tell(),
    ],
    nuisances: &[COEFFICIENT_SPREAD],
    refuse: refuse_fill,
    run: run_fill,
};

fn refuse_fill(given: &Given) -> Result<(), CalcError> {
    refuse_supply(given)?;
    if let Some(level) = given.maybe("fuel-level")
        && !(0.0..=1.0).contains(&level)
    {
        return Err(CalcError::new(
            "fuel-level",
            "no tank is less than empty or more than full",
            "give a share from 0 % to 100 %",
        ));
    }
    if volume(given)? <= 0.0 {
        return Err(CalcError::new(
            "volume",
            "there is no space to fill",
            "give a volume above zero, or a tank that is not full",
        ));
    }
    if target(given)? <= 0.0 {
        return Err(CalcError::new(
            "target",
            "a supply fills to a pressure above the barometer",
            "give the test pressure, for example 14 inH2O",
        ));
    }
    Ok(())
}

fn target(given: &Given) -> Result<f64, CalcError> {
    Ok(given.number_or("target", 0.95 * given.number("set-pressure")?))
}

fn volume(given: &Given) -> Result<f64, CalcError> {
    match (
        given.maybe("volume"),
        given.maybe("tank"),
        given.maybe("fuel-level"),
    ) {
        (Some(volume), None, None) => Ok(volume),
        (None, Some(tank), Some(level)) => Ok(tank * (1.0 - level)),
        (None, Some(_), None) => Err(CalcError::new(
            "fuel-level",
            "missing",
            "give it with `tank`, for example 40 %",
        )),
        (None, None, Some(_)) => Err(CalcError::new(
            "tank",
            "missing",
            "give the volume of the empty tank with `fuel-level`",
        )),
        (None, None, None) => Err(CalcError::new(
            "volume",
            "missing",
            "give `volume`, or `tank` and `fuel-level`",
        )),
        (Some(_), _, _) => Err(CalcError::new(
            "volume",
            "given together with a tank",
            "give `volume`, or `tank` and `fuel-level`",
        )),
    }
}

fn run_fill(given: &Given, shifts: &Shifts) -> Result<Worked, CalcError> {
    let space = space(given, shifts)?;
    let (supply, opening) = supply(given, shifts)?;
    let volume = volume(given)?;
    let goal = target(given)?;
    let time = supply.time_to_fill(&space, volume, opening, goal);
    let pressure = shown_low;
    let mut notes = vec![format!("to {}", pressure(goal))];
    let reached = time.is_finite();
    if !reached {
        let most = if opening > 0.0 {
            supply.equilibrium(&space, opening)
        } else {
            supply.set
        };
        let remedy = if opening > 0.0 {
            "find the large leak first, or set the supply higher within the limit"
        } else {
            "set the supply higher, within the limit"
        };
        notes.push(format!("it settles at {}: {remedy}", pressure(most)));
    }
    if given.maybe("tank").is_some() {
        notes.push(
            "the vapour lines and the canister add to the tank's own vapour space".to_owned(),
        );
    }
    Ok(Worked {
        results: vec![
            if reached { time.into() } else { Answer::Absent },
            volume.into(),
            if reached { REACHES } else { NEVER }.into(),
        ],
        notes,
    })
}
