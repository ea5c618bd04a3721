//! The schema that editors complete flows from: as it is made now, true of every shipped flow, and
//! strict about what is mistyped most.

use std::path::{Path, PathBuf};

use ruleout::check::schema;
use serde_json::Value;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).to_owned()
}

/// A flow as an editor sees it.
fn tree(yaml: &str) -> Value {
    serde_yaml::from_str(yaml).expect("YAML")
}

fn validator() -> jsonschema::Validator {
    jsonschema::draft202012::new(&schema::schema()).expect("a schema")
}

fn faults(yaml: &str) -> Vec<String> {
    validator()
        .iter_errors(&tree(yaml))
        .map(|error| format!("{} at {}", error, error.instance_path()))
        .collect()
}

const SOUND: &str = include_str!("flows_with_mistakes/nothing_wrong.yaml");

#[test]
fn the_committed_schema_is_the_one_that_is_made_now() {
    let path = root().join("assets/flow.schema.json");
    if std::env::var_os("RULEOUT_WRITE_SCHEMA").is_some() {
        std::fs::write(&path, schema::text()).expect("written");
    }
    let committed = std::fs::read_to_string(&path).expect("assets/flow.schema.json");
    assert!(
        committed == schema::text(),
        "the keys have changed: RULEOUT_WRITE_SCHEMA=1 cargo test --test suite flow_schema::"
    );
}

#[test]
fn it_is_a_schema_of_the_draft_that_it_names() {
    assert!(jsonschema::meta::is_valid(&schema::schema()));
}

#[test]
fn every_shipped_flow_and_the_one_to_begin_with_fit_it() {
    let shipped = ruleout::flow::shelf::shipped_texts().map(|(_, text)| text.to_owned());
    let begin = std::fs::read_to_string(root().join("assets/new-flow.yaml")).expect("a flow");
    let texts: Vec<String> = shipped
        .chain([begin.replace("NEW-FLOW", "one"), SOUND.to_owned()])
        .collect();
    assert!(texts.len() > 14, "{}", texts.len());
    let validator = validator();
    for text in texts {
        let tree = tree(&text);
        let faults: Vec<String> = validator
            .iter_errors(&tree)
            .map(|error| format!("{error} at {}", error.instance_path()))
            .collect();
        assert_eq!(
            faults,
            [""; 0],
            "{}",
            text.lines().next().unwrap_or_default()
        );
    }
}

#[test]
fn what_is_mistyped_most_is_shown_by_the_editor_already() {
    for (right, wrong) in [
        ("title:", "titel:"),
        ("phase: pressurise", "phase: presurise"),
        ("record: [start", "recrod: [start"),
        ("{at least: 20 kPa}", "{atleast: 20 kPa}"),
        ("ratio: [end, start]", "ratoi: [end, start]"),
        ("odds: likely", "odds: perhaps"),
        ("cautions: [eye-protection]", "cautions: [eye-protecton]"),
        ("go: {repair: joint}", "go: {repiar: joint}"),
        ("plausible: 5..120 kPa", "plausible: 120 kPa"),
        ("minutes: 40", "minutes: forty"),
        ("retest: {from: plug}", "retest: {form: plug}"),
        ("- id: hold", "- id: Hold Test"),
        ("  ask: ", "  aks: "),
        ("{ask: Gauge after", "{aks: Gauge after"),
    ] {
        if !SOUND.contains(right) {
            continue;
        }
        let text = SOUND.replacen(right, wrong, 1);
        assert!(!faults(&text).is_empty(), "{wrong}");
    }
    let without = SOUND.replacen("    do: Shut the supply, wait a minute, read.\n", "", 1);
    assert!(!faults(&without).is_empty(), "a step without `do`");
}

/// Each mistake about keys and fixed words that the checker finds, the schema finds as well.
#[test]
fn flows_with_wrong_keys_do_not_fit() {
    for name in [
        "unknown_key",
        "unknown_phase",
        "unknown_caution",
        "unknown_odds",
        "unknown_calculation",
        "wrong_input",
        "bad_id",
    ] {
        let path = root()
            .join("tests/flows_with_mistakes")
            .join(name)
            .with_extension("yaml");
        let text = std::fs::read_to_string(&path).expect("a flow");
        assert!(!faults(&text).is_empty(), "{name}");
    }
}
