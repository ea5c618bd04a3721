//! The supply of the car that is not there: its form, and connecting it as that says.

use super::{did_it, wish};
use crate::engine::practised::Practised;
use crate::physics::gas::Gas;
use crate::tui::effect::Effect;
use crate::tui::model::{FieldKind, Form, FormKind, Model};
use crate::tui::update::forms::label;
use crate::units::preferred::shown_unit;
use crate::units::{Dimension, Quantity, Unit};

/// The unit in which the supply's gauge reads here, as the workshop wants it shown.
fn supply_unit(model: &Model) -> Unit {
    let bay = model.open.as_ref().and_then(|open| open.bay.as_ref());
    shown_unit(bay.map_or(Unit::default_for(Dimension::Pressure), |bay| {
        bay.supply_unit
    }))
}

/// Gas and pressure of the supply: all that stands on a supply can be chosen, right or not.
pub fn supply_form(model: &Model, kind: FormKind) -> Form {
    let words = Gas::NAMES.iter().map(|word| (*word).to_owned());
    let gas = FieldKind::Words {
        words: words.collect(),
        at: None,
    };
    let unit = supply_unit(model);
    Form::new(
        kind,
        "Connect the supply",
        "Set it before it is connected. What is set here stands on the hose: on its blocked tip while a step keeps it off the car, and else in the car.",
    )
    .field_of(label::GAS, gas, "a digit picks")
    .field_of(
        label::PRESSURE,
        FieldKind::Needed,
        format!("in {unit}; or with its unit, such as 3.4 kPa or 14 inH2O"),
    )
}

/// Connects the supply as the form says.
pub fn supply(model: &mut Model, form: &mut Form) -> Option<Vec<Effect>> {
    let Some(gas) = form.word(label::GAS).and_then(|n| Gas::NAMES.get(n)) else {
        form.refuse(label::GAS, "pick one".to_owned());
        return None;
    };
    let text = form.text(label::PRESSURE);
    // A bare number is read in the unit that the form shows.
    let bare = text.replace(',', ".").parse::<f64>().ok();
    let typed = match bare {
        Some(number) => Quantity::new(number, supply_unit(model)),
        None => text.parse::<Quantity>(),
    };
    let pressure = match typed {
        Ok(q) if q.dimension() == Dimension::Pressure && q.si() > 0.0 => q,
        Ok(_) => {
            form.refuse(label::PRESSURE, "a pressure above nothing".to_owned());
            return None;
        }
        Err(error) => {
            form.refuse(label::PRESSURE, error.to_string());
            return None;
        }
    };
    let gas = (*gas).to_owned();
    match wish(model, &Practised::Fed { gas, pressure }) {
        Ok(did) => Some(did_it(model, did)),
        Err(why) => {
            form.refuse(label::PRESSURE, why);
            None
        }
    }
}
