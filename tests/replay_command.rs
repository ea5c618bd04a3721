//! `ruleout replay`, as the real program runs it, on the demo jobs and on records that were
//! tampered with.

use std::path::Path;
use std::process::Command;

fn replay(args: &[&str]) -> (i32, String, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_ruleout"))
        .arg("replay")
        .args(args)
        .output()
        .expect("the program runs");
    (
        output.status.code().expect("it ends by itself"),
        String::from_utf8(output.stdout).expect("text"),
        String::from_utf8(output.stderr).expect("text"),
    )
}

fn demo(name: &str) -> String {
    format!("{}/demo-jobs/{name}.yaml", env!("CARGO_MANIFEST_DIR"))
}

/// A copy of a demo job with one text replaced where it first stands.
fn changed(folder: &Path, name: &str, from: &str, to: &str) -> String {
    let text = std::fs::read_to_string(demo(name)).expect("a demo job");
    assert!(text.contains(from), "{from}");
    let path = folder.join("copy.yaml");
    std::fs::write(&path, text.replacen(from, to, 1)).expect("written");
    path.to_str().expect("a name in UTF-8").to_owned()
}

#[test]
fn the_demo_jobs_agree_with_the_engine_and_show_their_worked_values() {
    let names = [
        "shaft-wisp-then-sensor",
        "split-hose-then-gasket",
        "not-found-here",
        "metered-by-manifold-pressure",
    ];
    let paths: Vec<String> = names.iter().map(|name| demo(name)).collect();
    let (code, out, err) = replay(&paths.iter().map(String::as_str).collect::<Vec<_>>());
    assert_eq!((code, err.as_str()), (0, ""), "{out}");
    assert!(
        out.ends_with("4 job files, the records agree with the engine\n"),
        "{out}"
    );
    for part in [
        "= hole found",
        "too-small: It is too small",
        "test 2: again from the start",
        "ended: repaired and proved",
    ] {
        assert!(out.contains(part), "{part}");
    }
    assert!(out.lines().all(|line| line.chars().count() <= 80), "{out}");
}

#[test]
fn a_changed_worked_value_is_named_with_its_event_and_ends_with_1() {
    let folder = tempfile::tempdir().expect("a folder");
    let text = std::fs::read_to_string(demo("shaft-wisp-then-sensor")).expect("a demo job");
    let shown = text
        .lines()
        .find(|l| l.trim().starts_with("shown: 4.") || l.trim().starts_with("shown: \"4."))
        .expect("the share")
        .to_owned();
    let path = changed(
        folder.path(),
        "shaft-wisp-then-sensor",
        &shown,
        &shown.replacen("4.", "84.", 1),
    );
    let (code, out, _) = replay(&[&path]);
    assert_eq!(code, 1, "{out}");
    assert!(
        out.contains("event 45 DISAGREES: explained: recorded as 84."),
        "{out}"
    );
    assert!(out.ends_with("1 job file, 1 disagreement\n"), "{out}");

    let (code, out, _) = replay(&["--json", &path]);
    assert_eq!(code, 1);
    let json: serde_json::Value = serde_json::from_str(&out).expect("JSON");
    let job = &json["jobs"][0];
    assert_eq!(job["agrees"], false);
    assert_eq!(job["disagreements"][0]["event"], 45);
    assert_eq!(job["events"], text.matches("\n    seq: ").count());
}

#[test]
fn a_changed_reading_is_noticed_by_what_was_worked_from_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = changed(
        folder.path(),
        "shaft-wisp-then-sensor",
        "quantity: 1.4 L/min",
        "quantity: 0.4 L/min",
    );
    let (code, out, _) = replay(&[&path]);
    assert_eq!(code, 1, "{out}");
    // Where the place was covered, and at every judgement that rests on it.
    assert!(out.contains("event 45 DISAGREES: "), "{out}");
    let judged = out
        .matches("DISAGREES: explained: recorded as 4.7 %")
        .count();
    assert!(judged >= 1, "{out}");
}

#[test]
fn json_tells_every_step_with_its_readings_and_worked_values() {
    let (code, out, _) = replay(&["--json", &demo("not-found-here")]);
    assert_eq!(code, 0);
    let json: serde_json::Value = serde_json::from_str(&out).expect("JSON");
    let played = json["jobs"][0]["played"].as_array().expect("a list");
    let sweep = played
        .iter()
        .find(|e| e["step"] == "sweep")
        .expect("the sweep");
    assert_eq!(sweep["outcome"], "straight");
    assert!(
        sweep["readings"][0]["value"]
            .as_str()
            .is_some_and(|v| v.starts_with("99.6 kPa = 3.92 V"))
    );
    assert!(sweep["worked"].as_array().is_some_and(|w| {
        w.iter()
            .any(|v| v["si"].is_number() && v["low"].is_number())
    }));
}

#[test]
fn a_file_that_is_no_job_file_ends_with_2_and_is_named() {
    let flow = format!("{}/flows/intake-leak.yaml", env!("CARGO_MANIFEST_DIR"));
    let (code, out, err) = replay(&[&flow, &demo("not-found-here")]);
    assert_eq!(code, 2);
    assert!(
        err.contains("intake-leak.yaml: this is not a job file"),
        "{err}"
    );
    assert!(out.ends_with("1 job file, the records agree with the engine\n"));
    assert_eq!(replay(&["gone.yaml"]).0, 2);
}
