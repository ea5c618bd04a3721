//! The JSON Schema of a flow file, for editors that complete and explain keys.
//!
//! Made from the tables that the loader itself reads by ([`keys`]), and from the lists of phases,
//! cautions, units, calculations and words for odds, so that the two cannot part. The schema is
//! looser than the checker: it knows keys, shapes and fixed words, not ids, dimensions or ways.

mod calculations;

use serde_json::{Map, Value, json};

use crate::flow::cautions;
use crate::flow::likelihood;
use crate::flow::load::conditions::CHECKS;
use crate::flow::load::keys::{self, Holds, Key, Need, Table};
use crate::flow::log_key::LogKey;
use crate::flow::meaning::Meaning;
use crate::flow::model::Phase;
use crate::units::Unit;

/// An id, as the loader takes it.
const ID: &str = "^[a-z][a-z0-9-]{0,59}$";

/// The schema, as the text of a file.
pub fn text() -> String {
    format!("{:#}\n", schema())
}

/// The schema (JSON Schema 2020-12).
pub fn schema() -> Value {
    let mut schema = Map::new();
    schema.insert(
        "$schema".to_owned(),
        json!("https://json-schema.org/draft/2020-12/schema"),
    );
    schema.insert("title".to_owned(), json!("A flow for ruleout"));
    schema.insert(
        "description".to_owned(),
        json!("A test procedure, written by a workshop for itself. `ruleout check` looks at what a schema cannot."),
    );
    if let Value::Object(flow) = table(&keys::FLOW) {
        schema.extend(flow);
    }
    let mut defs = Map::new();
    for (name, of) in TABLES {
        defs.insert((*name).to_owned(), table(of));
    }
    for (name, def) in [
        ("text", text_like()),
        ("words", words()),
        (
            "yes",
            json!({"enum": [true, false, "yes", "no", "true", "false"]}),
        ),
        ("unit", unit()),
        ("odds", odds()),
        ("caution", caution()),
        ("phase", json!({"enum": Phase::ALL.map(Phase::word)})),
        ("log", log()),
        ("meaning", meaning()),
        ("target", target()),
        ("check", check()),
        ("condition", condition()),
        ("shows", shows()),
        ("effect", effect()),
        ("worked", calculations::worked()),
    ] {
        defs.insert(name.to_owned(), def);
    }
    for calculation in crate::physics::all() {
        let name = calculations::name(calculation);
        defs.insert(name, calculations::inputs(calculation));
    }
    schema.insert("$defs".to_owned(), Value::Object(defs));
    Value::Object(schema)
}

/// The tables that stand in the schema under a name.
const TABLES: &[(&str, &Table)] = &[
    ("for", &keys::FOR),
    ("reading", &keys::READING),
    ("gauge", &keys::GAUGE),
    ("cause", &keys::CAUSE),
    ("step", &keys::STEP),
    ("set-up", &keys::SET_UP),
    ("outcome", &keys::OUTCOME),
    ("way-out", &keys::WAY_OUT),
    ("retest", &keys::RETEST),
];

fn name_of(table: &Table) -> &'static str {
    let found = TABLES.iter().find(|(_, known)| known.what == table.what);
    found.map_or("", |(name, _)| name)
}

fn defined(name: &str) -> Value {
    json!({"$ref": format!("#/$defs/{name}")})
}

fn table(table: &Table) -> Value {
    let properties: Map<String, Value> = table
        .keys
        .iter()
        .map(|key| (key.name.to_owned(), property(key)))
        .collect();
    let required: Vec<&str> = table
        .keys
        .iter()
        .filter(|key| key.need == Need::Always)
        .map(|key| key.name)
        .collect();
    let mut schema = json!({
        "type": "object",
        "properties": properties,
        "additionalProperties": false,
    });
    if !required.is_empty() {
        schema["required"] = json!(required);
    }
    schema
}

fn property(key: &Key) -> Value {
    let mut property = holds(key.holds);
    property["description"] = json!(key.help);
    property
}

fn holds(holds: Holds) -> Value {
    match holds {
        Holds::Text => defined("text"),
        Holds::Words => defined("words"),
        Holds::Listed => json!({"type": "array", "minItems": 1, "items": defined("text")}),
        // `false` is an id to the loader, and a truth value to an editor.
        Holds::Id => json!({"type": ["string", "boolean"], "pattern": ID}),
        Holds::Number(from, to) => json!({"type": "number", "minimum": from, "maximum": to}),
        Holds::Yes => defined("yes"),
        Holds::Quantity(example) => {
            json!({"$ref": "#/$defs/text", "examples": [example]})
        }
        Holds::Range(example) => {
            let range = json!({"type": "string", "pattern": r"\.\.", "examples": [example]});
            json!({"anyOf": [range, {
                "description": "For pairs: one range a column.",
                "type": "array", "items": range, "minItems": 2, "maxItems": 2,
            }]})
        }
        Holds::Unit => defined("unit"),
        Holds::Condition => defined("condition"),
        Holds::Conditions => by_id(&defined("condition")),
        Holds::Target => defined("target"),
        Holds::Phase => defined("phase"),
        Holds::Cautions => json!({"anyOf": [
            {"type": "array", "items": defined("caution")},
            defined("caution"),
        ]}),
        Holds::Odds => defined("odds"),
        Holds::Log => defined("log"),
        Holds::Meaning => defined("meaning"),
        Holds::Columns => json!({
            "type": "object",
            "additionalProperties": defined("unit"),
            "minProperties": 2,
            "maxProperties": 2,
        }),
        Holds::Shows => defined("shows"),
        Holds::Effect => defined("effect"),
        Holds::Worked => by_id(&defined("worked")),
        Holds::Keys(table) => defined(name_of(table)),
        Holds::ById(table) => by_id(&defined(name_of(table))),
        Holds::List(table) => json!({"type": "array", "items": defined(name_of(table))}),
    }
}

fn by_id(of: &Value) -> Value {
    json!({
        "type": "object",
        "propertyNames": {"pattern": ID},
        "additionalProperties": of,
    })
}

/// The loader reads every plain value as the words that stand there.
fn text_like() -> Value {
    json!({"type": ["string", "number", "boolean"]})
}

fn words() -> Value {
    json!({"anyOf": [{"type": "array", "items": defined("text")}, defined("text")]})
}

/// Units are proposed by their names; other spellings are read as well.
fn unit() -> Value {
    let names: Vec<&str> = Unit::all().map(Unit::name).collect();
    json!({"anyOf": [{"enum": names}, {"type": "string"}]})
}

fn odds() -> Value {
    let words = likelihood::WORDS.map(|(word, ..)| word);
    json!({"anyOf": [
        {"enum": words},
        {"type": "string", "pattern": r"^\s*[0-9.]+\s*%?\s*$", "examples": ["15 %"]},
        {"type": "number", "exclusiveMinimum": 0, "exclusiveMaximum": 1},
    ]})
}

fn caution() -> Value {
    let each: Vec<Value> = cautions::all()
        .iter()
        .map(|c| json!({"const": c.id, "description": c.title}))
        .collect();
    json!({"oneOf": each})
}

/// What a reading is on the car: words that stand, and those with the name of a place or a valve in them.
fn meaning() -> Value {
    let named = |words: &String| words.contains("NAME") || words.contains("PLACE");
    let (named, plain): (Vec<String>, Vec<String>) =
        Meaning::all_words().into_iter().partition(named);
    let pattern = |words: &String| words.replace("NAME", ".+").replace("PLACE", ".+");
    let patterns = named.iter().map(pattern).collect::<Vec<_>>().join("|");
    json!({"anyOf": [
        {"enum": plain},
        {"type": "string", "pattern": format!("^({patterns})$")},
    ]})
}

fn log() -> Value {
    let words: Vec<String> = LogKey::all().map(LogKey::words).collect();
    json!({"enum": words})
}

fn target() -> Value {
    let one = |key: &str, help: &str| {
        json!({
            "type": "object",
            "properties": {key: {"type": "string", "pattern": ID, "description": help}},
            "required": [key],
            "additionalProperties": false,
        })
    };
    json!({"anyOf": [
        {"const": "done", "description": "The flow ends here."},
        {"type": "string", "pattern": ID, "description": "A step, by its id."},
        one("repair", "The repair of this cause; after it the test is repeated."),
        one("flow", "Another flow is next."),
    ]})
}

fn check() -> Value {
    let properties: Map<String, Value> = CHECKS
        .iter()
        .map(|(word, help)| {
            let mut check = match *word {
                "any of" | "none of" => defined("words"),
                _ => defined("text"),
            };
            check["description"] = json!(help);
            ((*word).to_owned(), check)
        })
        .collect();
    json!({
        "type": "object",
        "properties": properties,
        "additionalProperties": false,
        "minProperties": 1,
    })
}

fn condition() -> Value {
    let joined =
        |help: &str| json!({"type": "array", "items": defined("condition"), "description": help});
    json!({"anyOf": [
        {"const": "always"},
        {
            "type": "object",
            "properties": {
                "all": joined("All of these hold."),
                "any": joined("At least one of these holds."),
                "none": joined("None of these holds."),
            },
            "additionalProperties": defined("check"),
            "minProperties": 1,
        },
    ]})
}

fn shows() -> Value {
    json!({
        "type": "object",
        "additionalProperties": {"anyOf": [
            {"type": ["string", "number"], "description": "A range with its unit; `either way` behind it means its mirror image below zero as well."},
            {
                "type": "object",
                "additionalProperties": defined("odds"),
                "description": "Words or places, each with how likely it is.",
            },
        ]},
    })
}

fn effect() -> Value {
    json!({
        "type": "object",
        "properties": {
            "hole": {"type": "string", "pattern": " at ", "examples": ["1..6 mm at intake"]},
        },
        "patternProperties": {
            "^valve .": {"enum": ["stuck open", "stuck shut", "slow"]},
            "^sensor .": {"type": "string", "examples": ["offset 6..12 kPa", "offset 6..12 kPa either way", "gain 0.8..0.9", "drop-out"]},
        },
        "additionalProperties": false,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tables(of: &Table, found: &mut Vec<&'static str>) {
        for key in of.keys {
            if let Holds::Keys(table) | Holds::ById(table) | Holds::List(table) = key.holds {
                found.push(name_of(table));
                tables(table, found);
            }
        }
    }

    #[test]
    fn every_table_has_a_name_in_the_schema() {
        let mut found = Vec::new();
        tables(&keys::FLOW, &mut found);
        assert!(found.len() >= 10, "{found:?}");
        assert!(found.iter().all(|name| !name.is_empty()), "{found:?}");
    }

    fn walk(node: &Value, at: &str, schema: &Value) {
        match node {
            Value::Object(map) => {
                if let Some(Value::String(to)) = map.get("$ref") {
                    let path = to.trim_start_matches('#');
                    assert!(schema.pointer(path).is_some(), "{to} at {at}");
                }
                if let Some(Value::Object(properties)) = map.get("properties") {
                    for (name, property) in properties {
                        let field = at.contains("items");
                        let told = property.get("description").is_some();
                        assert!(told || field || name == "hole", "{at}/{name}");
                    }
                }
                for (key, value) in map {
                    walk(value, &format!("{at}/{key}"), schema);
                }
            }
            Value::Array(items) => items.iter().for_each(|item| walk(item, at, schema)),
            _ => {}
        }
    }

    #[test]
    fn every_key_is_explained_and_every_reference_leads_somewhere() {
        let schema = schema();
        walk(&schema, "", &schema);
    }
}
