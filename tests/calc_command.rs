//! `ruleout calc` by the real program: the options and results that scripts rely on.

use std::process::Command;

use serde_json::Value;

/// Exit code, standard output, standard error.
fn calc(args: &[&str]) -> (i32, String, String) {
    let done = Command::new(env!("CARGO_BIN_EXE_ruleout"))
        .arg("calc")
        .args(args)
        .output()
        .expect("the program starts");
    (
        done.status.code().expect("a code"),
        String::from_utf8(done.stdout).expect("text"),
        String::from_utf8(done.stderr).expect("text"),
    )
}

fn json(args: &[&str]) -> Value {
    let (code, out, err) = calc(&[args, &["--json"]].concat());
    assert_eq!((code, err.as_str()), (0, ""), "{args:?}");
    serde_json::from_str(&out).expect("one object")
}

#[test]
fn a_decay_gives_its_hole_and_its_verdicts() {
    let done = json(&[
        "decay",
        "--volume",
        "30 L",
        "--volume-error",
        "10 %",
        "--at",
        "0 s = 14 inH2O @ 21.5 C",
        "--at",
        "120 s = 8.6 inH2O @ 21.5 C",
        "--gas",
        "nitrogen",
        "--criterion",
        "evaporative-pressure",
    ]);
    let results = &done["results"];
    let number = |id: &str, key: &str| results[id][key].as_f64().expect("a number");
    assert!(number("diameter", "low") < number("diameter", "si"));
    assert!(number("diameter", "si") < number("diameter", "high"));
    assert_eq!(results["diameter"]["unit"], "mm");
    assert_eq!(results["verdict"]["text"], "passes");
    assert_eq!(results["small-leak"]["text"], "below 0.020 in");
    assert_eq!(results["temperature-verdict"]["text"], "steady");
    assert!(number("leak-rate", "si") > 0.0);
}

#[test]
fn a_number_or_a_code_is_written_by_itself() {
    let vin = json(&["vin", "1M8GDM9AXKP042788"]);
    assert_eq!(vin["results"]["verdict"]["text"], "valid");
    assert_eq!(vin["results"]["check-digit"]["text"], "X");
    let code = json(&["code", "P0456"]);
    assert_eq!(code["results"]["class"]["text"], "generic");
    let value = &json(&["pid", "--pid", "0C", "--bytes", "1A F8"])["results"]["value"];
    assert_eq!(
        (&value["shown"], &value["unit"]),
        (&"1726 rpm".into(), &"rpm".into())
    );
}

#[test]
fn holes_are_repeated_and_add_by_area() {
    let two = json(&[
        "flow",
        "--hole",
        "3 mm",
        "--hole",
        "4 mm",
        "--pressure",
        "2 kPa",
    ]);
    let one = json(&["flow", "--hole", "5 mm", "--pressure", "2 kPa"]);
    let flow = |done: &Value| done["results"]["mass-flow"]["si"].as_f64().expect("a flow");
    assert!((flow(&two) / flow(&one) - 1.0).abs() < 1e-12);
}

/// A bias shared by both readings of a gauge nearly cancels in a difference; two errors do not.
#[test]
fn the_accuracy_of_a_gauge_is_one_error_for_all_its_readings() {
    let base = [
        "found",
        "--open-flow",
        "2.3 L/min",
        "--covered-flow",
        "1.9 L/min",
        "--open-pressure",
        "14 inH2O",
        "--covered-pressure",
        "14 inH2O",
        "--coefficient",
        "0.6",
    ];
    let width = |option: &str| {
        let done = json(&[&base[..], &[option, "0.2 L/min"]].concat());
        let area = &done["results"]["area"];
        area["high"].as_f64().expect("a bound") - area["low"].as_f64().expect("a bound")
    };
    assert!(width("--flow-accuracy") < 1e-6 * width("--flow-error"));
}

#[test]
fn a_gauge_profile_is_read_and_its_mistakes_are_placed() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("float.yaml");
    let path = file.to_str().expect("a name in UTF-8");
    let sound = "gauge: bay-two-float\npressure: 14 inH2O\ngas: nitrogen\nresolution: 2 %\npoints:\n  \
                 - {height: 0 %, hole: blocked}\n  - {height: 35 %, hole: 0.020 in}\n  \
                 - {height: 78 %, hole: 0.040 in}\n";
    std::fs::write(&file, sound).expect("written");
    let done = json(&["gauge", "--profile", path, "--height", "50 %"]);
    let flow = &done["results"]["flow"];
    assert!(flow["low"].as_f64().expect("a bound") < flow["si"].as_f64().expect("a flow"));
    std::fs::write(&file, sound.replace("35 %", "35 mm")).expect("written");
    let (code, out, err) = calc(&["gauge", "--profile", path, "--height", "50 %"]);
    assert_eq!((code, out.as_str()), (2, ""));
    assert!(
        err.contains("float.yaml:7:") && err.contains("`height` is a ratio"),
        "{err}"
    );
    let (code, _, err) = calc(&["gauge", "--profile", "not-there.yaml", "--height", "50 %"]);
    assert!(code == 2 && err.contains("cannot be read"), "{err}");
}

#[test]
fn what_is_refused_ends_with_2_and_a_remedy() {
    for (args, part) in [
        (
            &["decay", "--volume", "30 L", "--at", "0 s = 14 inH2O"][..],
            "read at least two",
        ),
        (&["code", "X1"], "write a letter P, C, B or U"),
        (
            &["vapour", "--from", "20 C", "--to", "99 C"],
            "vapour curve",
        ),
        (
            &["flow", "--hole", "-1 mm", "--pressure", "1 kPa"],
            "below zero",
        ),
    ] {
        let (code, out, err) = calc(args);
        assert_eq!((code, out.as_str()), (2, ""), "{args:?}");
        assert!(err.contains(part), "{err}");
    }
}

#[test]
fn a_text_that_is_no_identification_number_is_a_no() {
    for (text, code) in [
        ("1M8GDM9AXKP042788", 0),
        // Not every car need have a check digit that matches.
        ("1M8GDM9AXKP042789", 0),
        ("1M8GDM9AXKPO42788", 1),
        ("123", 1),
    ] {
        for form in [&["vin", text][..], &["vin", text, "--json"]] {
            let (got, out, err) = calc(form);
            assert_eq!((got, err.as_str()), (code, ""), "{form:?}");
            assert_eq!(out.contains("malformed"), code == 1, "{out}");
        }
    }
}

#[test]
fn results_fit_eighty_columns_whatever_the_verdicts_say() {
    let decay = &[
        "decay",
        "--volume",
        "30 L",
        "--at",
        "0 s = 14 inH2O",
        "--at",
        "60 s = 10 inH2O",
        "--at",
        "120 s = 8 inH2O",
    ];
    let (code, out, _) = calc(decay);
    assert_eq!(code, 0);
    assert!(out.contains("cannot tell: no temperatures"), "{out}");
    assert!(
        out.contains("diameter             0.346 mm     95 %: 0.299 mm to 0.388 mm\n"),
        "{out}"
    );
    let wide: Vec<&str> = out
        .lines()
        .filter(|line| line.chars().count() > 80)
        .collect();
    assert!(wide.is_empty(), "{wide:#?}");
}
