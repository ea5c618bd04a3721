//! The calculations in the schema: what each takes, and which results there are.

use serde_json::{Map, Value, json};

use super::{defined, property};
use crate::flow::load::keys;
use crate::physics::calculation::{Calculation, Input, Kind};

/// What may stand under `worked`.
pub(super) fn worked() -> Value {
    let mut properties: Map<String, Value> = keys::WORKED
        .keys
        .iter()
        .map(|key| (key.name.to_owned(), property(key)))
        .collect();
    let results: std::collections::BTreeSet<&str> = crate::physics::all()
        .iter()
        .flat_map(|calculation| calculation.outputs)
        .map(|output| output.id)
        .collect();
    properties["take"] = json!({"enum": results, "description": properties["take"]["description"]});
    for calculation in crate::physics::all() {
        let mut by = defined(&name(calculation));
        by["description"] = json!(sentence(calculation.summary));
        properties.insert(calculation.name.to_owned(), by);
    }
    json!({
        "type": "object",
        "properties": properties,
        "additionalProperties": false,
    })
}

/// The name of a calculation in the schema.
pub(super) fn name(calculation: &Calculation) -> String {
    format!("calculation-{}", calculation.name)
}

/// What a calculation takes.
pub(super) fn inputs(calculation: &Calculation) -> Value {
    let properties: Map<String, Value> = calculation
        .inputs
        .iter()
        .map(|input| (input.name.to_owned(), input_schema(input)))
        .collect();
    let needed: Vec<&str> = calculation
        .inputs
        .iter()
        .filter(|input| input.needed)
        .map(|input| input.name)
        .collect();
    let named = json!({
        "type": "object",
        "properties": properties,
        "required": needed,
        "additionalProperties": false,
    });
    // A calculation with one needed input takes it without its name, too.
    if needed.len() == 1 {
        json!({"anyOf": [named, {"type": ["array", "string", "number"]}]})
    } else {
        named
    }
}

fn input_schema(input: &Input) -> Value {
    let mut schema = match input.kind {
        Kind::Quantity(_) | Kind::Count | Kind::Text | Kind::Coefficient => defined("text"),
        Kind::Word(words) => json!({"anyOf": [{"enum": words}, {"type": "string"}]}),
        Kind::List(_) | Kind::ListAny => defined("words"),
        Kind::Points(fields) => {
            let point: Map<String, Value> = fields
                .iter()
                .map(|field| (field.name.to_owned(), defined("text")))
                .collect();
            let needed = fields.iter().filter(|field| field.needed);
            let needed: Vec<&str> = needed.map(|field| field.name).collect();
            json!({"anyOf": [
                {"type": "string"},
                {"type": "array", "items": {
                    "type": "object",
                    "properties": point,
                    "required": needed,
                    "additionalProperties": false,
                }},
            ]})
        }
    };
    let default = input.default.map(|d| format!(" Left out: {d}."));
    schema["description"] = json!(sentence(input.help) + &default.unwrap_or_default());
    schema
}

fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    let first: String = letters
        .next()
        .into_iter()
        .flat_map(char::to_uppercase)
        .collect();
    format!("{first}{}.", letters.as_str().trim_end_matches('.'))
}
