//! `calc convert`: one quantity in the other units of its dimension.

use super::json_flag;
use crate::physics::calculation::CalcError;
use crate::units::{Dimension, Quantity, Unit, UnitError};
use clap::{Arg, ArgAction, ArgMatches, Command};
use serde_json::{Map, Value, json};

pub(super) const NAME: &str = "convert";

pub(super) fn command() -> Command {
    let quantity = Arg::new("quantity")
        .required(true)
        .value_name("QUANTITY")
        .allow_hyphen_values(true)
        .help("For example \"14 inH2O\"");
    let to = Arg::new("to")
        .long("to")
        .value_name("UNIT")
        .action(ArgAction::Append)
        .help("Unit to show it in; all of them if none is named");
    Command::new(NAME)
        .about("a quantity in other units of its dimension")
        .args([quantity, to, json_flag()])
        .after_help(
            "Inches of water and mercury are the conventional ones, 249.089 Pa and 3386.389 Pa. \
             A temperature is taken as a point on its scale, not as a difference.",
        )
}

pub(super) fn run(matches: &ArgMatches) -> Result<String, CalcError> {
    let wrong =
        |e: UnitError| CalcError::new("quantity", e.to_string(), "write for example \"14 inH2O\"");
    let text = matches
        .get_one::<String>("quantity")
        .map_or("", String::as_str);
    let quantity: Quantity = text.parse().map_err(wrong)?;
    if quantity.dimension() == Dimension::Temperature && quantity.si() < 0.0 {
        return Err(CalcError::new(
            "quantity",
            format!("{quantity} is below absolute zero"),
            "look at the sign and the unit; a difference of temperatures has no point on the scale",
        ));
    }
    let converted: Vec<Quantity> = targets(matches, quantity)?
        .into_iter()
        .filter_map(|unit| quantity.in_unit(unit))
        .collect();
    if converted.is_empty() {
        return Err(CalcError::new(
            "quantity",
            format!(
                "there is no other unit of {} than {}",
                quantity.dimension(),
                quantity.unit()
            ),
            "convert a quantity such as \"14 inH2O\"",
        ));
    }
    if matches.get_flag("json") {
        return Ok(as_json(quantity, &converted));
    }
    let line = |c: &Quantity| format!("{quantity} = {} {}", six_digits(c.value()), c.unit());
    Ok(converted.iter().map(line).collect::<Vec<_>>().join("\n") + "\n")
}

fn targets(matches: &ArgMatches, quantity: Quantity) -> Result<Vec<Unit>, CalcError> {
    let Some(names) = matches.get_many::<String>("to") else {
        return Ok(Unit::of(quantity.dimension())
            .filter(|unit| *unit != quantity.unit())
            .collect());
    };
    names
        .map(|name| {
            let unit = Unit::parse(name)
                .map_err(|e| CalcError::new("to", e.to_string(), "write for example \"kPa\""))?;
            if unit.dimension() == quantity.dimension() {
                return Ok(unit);
            }
            let problem = format!(
                "{unit} measures {}, and {quantity} is {}",
                unit.dimension(),
                quantity.dimension().with_article()
            );
            Err(CalcError::new(
                "to",
                problem,
                "name a unit of the same dimension",
            ))
        })
        .collect()
}

fn as_json(quantity: Quantity, converted: &[Quantity]) -> String {
    let results: Map<String, Value> = converted
        .iter()
        .map(|c| {
            let name = c.unit().name();
            let shown = format!("{} {name}", six_digits(c.value()));
            (
                name.to_owned(),
                json!({"si": quantity.si(), "unit": name, "value": c.value(), "shown": shown}),
            )
        })
        .collect();
    let object = json!({"calculation": NAME, "results": results, "notes": []});
    format!("{object:#}\n")
}

/// Six digits that count, without needless zeros.
fn six_digits(value: f64) -> String {
    let magnitude = value.abs();
    if value == 0.0 {
        return "0".to_owned();
    }
    if !(1e-6..1e9).contains(&magnitude) {
        return format!("{value:.5e}");
    }
    let decimals = (0..12)
        .find(|d| magnitude * 10_f64.powi(*d) >= 99_999.5)
        .unwrap_or(12);
    let text = format!("{value:.*}", usize::try_from(decimals).unwrap_or(0));
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}
