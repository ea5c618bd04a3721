//! The supply of the car that is not there: its form, and connecting it as that says.

use super::{did_it, wish};
use crate::engine::practised::Practised;
use crate::physics::gas::Gas;
use crate::tui::effect::Effect;
use crate::tui::model::{AtBay, FieldKind, Form, FormKind, Model};
use crate::tui::update::forms::label;
use crate::units::preferred::{said, shown_unit};
use crate::units::{Dimension, Quantity, Unit};

/// What a hand pump presses in.
const AIR: &str = "air";

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
    let form = if is_pumped(model) {
        let lead = "It goes on in place of the cap. What is set here is pumped up with it, and stands in the system.";
        Form::new(kind, "Fit the hand pump and pump", lead)
    } else {
        let lead = "Set it before it is connected. What is set here stands on the hose: on its blocked tip while a step keeps it off the car, and else in the car.";
        Form::new(kind, "Connect the supply", lead).field_of(label::GAS, gas, "a digit picks")
    };
    let never = limit(model).map_or_else(String::new, |limit| format!("never above {limit}; "));
    form.field_of(
        label::PRESSURE,
        FieldKind::Needed,
        format!("{never}in {unit}, or with its unit, such as 3.4 kPa or 14 inH2O"),
    )
}

/// The car of the exercise that is open.
fn bay(model: &Model) -> Option<&AtBay> {
    model.open.as_ref()?.bay.as_deref()
}

/// Whether the supply is a hand pump, of which no gas is asked.
fn is_pumped(model: &Model) -> bool {
    bay(model).is_some_and(|bay| bay.session().bay.is_pumped())
}

/// What the supply must never be set above, in words.
fn limit(model: &Model) -> Option<String> {
    Some(said(bay(model)?.session().bay.limit()?))
}

/// Warns once of a pressure above the limit, as a reading above it can be taken back: whoever sends the same once more
/// means it. Whether it was warned of just now.
fn warns(model: &Model, form: &mut Form, pressure: Quantity) -> bool {
    let above = bay(model).is_some_and(|bay| bay.session().bay.is_above_limit(pressure.si()));
    let mut fields = form.fields.iter_mut();
    let Some(field) = fields.find(|field| field.label == label::PRESSURE) else {
        return false;
    };
    if !above || field.is_kept() {
        return false;
    }
    field.warned = Some(field.text.value().trim().to_owned());
    let text = format!(
        "that is above {}. Nothing is connected yet: correct it if it is a slip; the same once more connects it",
        limit(model).unwrap_or_default()
    );
    form.refuse(label::PRESSURE, text);
    true
}

/// Connects the supply as the form says.
pub fn supply(model: &mut Model, form: &mut Form) -> Option<Vec<Effect>> {
    let picked = form
        .word(label::GAS)
        .and_then(|n| Gas::NAMES.get(n).copied());
    let pumps = is_pumped(model).then_some(AIR);
    let Some(gas) = picked.or(pumps) else {
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
    if warns(model, form, pressure) {
        return None;
    }
    let gas = gas.to_owned();
    match wish(model, &Practised::Fed { gas, pressure }) {
        Ok(did) => Some(did_it(model, did)),
        Err(why) => {
            form.refuse(label::PRESSURE, why);
            None
        }
    }
}
