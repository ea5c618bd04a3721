//! `ruleout read` and the captures of `ruleout calc`, as the real program runs them.

#![allow(
    clippy::format_collect,
    clippy::unwrap_used,
    missing_docs,
    reason = "a test stops where something is not as expected"
)]

use crate::logs;
use std::fs;
use std::path::Path;
use std::process::Command;

use chrono::Utc;
use ruleout::engine::act::act;
use ruleout::engine::action::{Action, FlowText};
use ruleout::engine::event::{Event, FromFile, Opening, What};
use ruleout::engine::fold::fold;
use ruleout::engine::standing::{Desk, Standing};
use ruleout::flow::answer::Answer;
use ruleout::flow::shelf::Shelf;
use ruleout::job::file::JobFile;
use serde_json::Value;
use uuid::Uuid;

/// Exit code, standard output, standard error.
fn run(dir: &Path, args: &[&str]) -> (i32, String, String) {
    let done = Command::new(env!("CARGO_BIN_EXE_ruleout"))
        .args(["--data", "data"])
        .args(args)
        .current_dir(dir)
        .env("USER", "Ina")
        .output()
        .unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (
        done.status.code().unwrap(),
        text(done.stdout),
        text(done.stderr),
    )
}

fn workshop() -> tempfile::TempDir {
    let dir = tempfile::tempdir().unwrap();
    for (name, text) in logs::all() {
        fs::write(dir.path().join(name), text).unwrap();
    }
    dir
}

#[test]
fn a_log_is_shown_with_its_columns_and_steady_stretches() {
    let dir = workshop();
    let (code, out, err) = run(dir.path(), &["read", "idle-and-2500-comma.csv"]);
    assert_eq!((code, err.as_str()), (0, ""), "{out}");
    assert!(out.contains("separator semicolon, decimal comma"), "{out}");
    assert!(
        out.contains("Mass air flow [g/s]        airflow              g/s   \"air flow\""),
        "{out}"
    );
    assert!(out.contains("warm idle: lines 40 to 181"), "{out}");
    assert!(out.contains("steady 2500 rpm: lines 192 to 245"), "{out}");
    assert!(out.contains("airflow              2.70 g/s"), "{out}");

    let (code, out, _) = run(dir.path(), &["read", "idle-and-2500.csv", "--json"]);
    let object: Value = serde_json::from_str(&out).unwrap();
    assert_eq!((code, &object["kind"]), (0, &Value::from("log")));
    assert_eq!(object["windows"].as_array().unwrap().len(), 2);
    let air = &object["windows"][0]["values"]["airflow"];
    assert!(
        (air["si"].as_f64().unwrap() - 2.70e-3).abs() < 2e-5,
        "{air}"
    );
    assert_eq!(object["hash"].as_str().unwrap().len(), 64);
}

#[test]
fn unknown_units_are_asked_for_and_a_mapping_keeps_the_answer() {
    let dir = workshop();
    let text = logs::idle_and_fast(logs::POINT).replacen("Mass air flow [g/s]", "Mass air flow", 1);
    fs::write(dir.path().join("bare.csv"), text).unwrap();
    let (code, out, err) = run(dir.path(), &["read", "bare.csv"]);
    assert_eq!(code, 2);
    assert!(
        err.contains("--unit \"Mass air flow=g/s\" (airflow; it may be g/s or kg/s, kg/h"),
        "{err}"
    );
    assert!(out.contains("Mass air flow"), "{out}");
    let told = [
        "read",
        "bare.csv",
        "--unit",
        "Mass air flow=kg/h",
        "--save-mapping",
        "bay 2",
    ];
    let (code, out, err) = run(dir.path(), &told);
    assert_eq!(code, 0, "{err}");
    assert!(out.contains("airflow              0.750 g/s"), "{out}");
    let (code, again, err) = run(dir.path(), &["read", "bare.csv", "--mapping", "bay 2"]);
    assert_eq!((code, err.as_str()), (0, ""));
    assert!(again.contains("airflow              0.750 g/s"), "{again}");
    let (code, _, err) = run(dir.path(), &["read", "bare.csv", "--mapping", "bay 3"]);
    assert_eq!(code, 2);
    assert!(
        err.contains("no mapping is kept as \"bay 3\"; there are: bay 2"),
        "{err}"
    );
}

#[test]
fn the_exit_status_tells_no_from_misuse() {
    let dir = workshop();
    let cold = logs::idle_and_fast(logs::POINT).replace(",88,", ",48,");
    fs::write(dir.path().join("cold.csv"), cold.replace(",8", ",4")).unwrap();
    let short: String = logs::idle_and_fast(logs::POINT)
        .lines()
        .take(20)
        .map(|l| format!("{l}\n"))
        .collect();
    fs::write(dir.path().join("short.csv"), short).unwrap();
    let (code, out, _) = run(dir.path(), &["read", "short.csv"]);
    assert_eq!(code, 1, "{out}");
    assert!(
        out.contains("warm idle: nothing that holds for 10 s or more"),
        "{out}"
    );
    for args in [
        &["read", "not-there.csv"][..],
        &["read", "short.csv", "--unit", "RPM"],
        &["read", "short.csv", "--job", "1"],
        &["read", "short.csv", "--warm"],
    ] {
        let (code, _, err) = run(dir.path(), args);
        assert_eq!(code, 2, "{args:?}");
        assert!(err.len() > 20, "{err}");
    }
}

#[test]
fn nothing_in_a_file_or_its_name_drives_the_terminal() {
    let dir = workshop();
    let name = "log\u{1b}[31m\u{202e}.csv";
    let text =
        logs::idle_and_fast(logs::POINT).replacen("Fuel loop", "Fuel\u{1b}]0;x\u{7} loop", 1);
    fs::write(dir.path().join(name), text).unwrap();
    for args in [&["read", name][..], &["read", name, "--json"]] {
        let (_, out, err) = run(dir.path(), args);
        for text in [out, err] {
            assert!(!text.contains(['\u{1b}', '\u{202e}', '\u{7}']), "{text:?}");
        }
    }
}

#[test]
fn captures_give_the_ripple_and_the_sensors_line() {
    let dir = workshop();
    let lobes = [
        "read",
        "ripple.csv",
        "--cylinders",
        "4",
        "--speed",
        "800 rpm",
        "--json",
    ];
    let (code, out, err) = run(dir.path(), &lobes);
    assert_eq!((code, err.as_str()), (0, ""));
    let object: Value = serde_json::from_str(&out).unwrap();
    let results = &object["worked"]["results"];
    assert_eq!(results["verdict"]["text"], "one lobe differs", "{results}");
    assert_eq!(results["odd-lobe"]["si"], 3.0, "{results}");

    let file = [
        "calc",
        "ripple",
        "--file",
        "ripple.csv",
        "--cylinders",
        "4",
        "--speed",
        "800 rpm",
        "--json",
    ];
    let (code, out, err) = run(dir.path(), &file);
    assert_eq!((code, err.as_str()), (0, ""));
    let calc: Value = serde_json::from_str(&out).unwrap();
    assert_eq!(calc["results"], *results);

    let sweep = [
        "calc",
        "sensor",
        "--file",
        "sweep.csv",
        "--expected-gain",
        "37.5 mV/kPa",
        "--expected-offset",
        "0.25 V",
        "--json",
    ];
    let (code, out, err) = run(dir.path(), &sweep);
    assert_eq!((code, err.as_str()), (0, ""));
    let calc: Value = serde_json::from_str(&out).unwrap();
    let gain = calc["results"]["gain"]["si"].as_f64().unwrap();
    assert!((gain / 37.5e-6 - 1.0).abs() < 0.005, "{gain}");
    assert_eq!(calc["results"]["verdict"]["text"], "reads off by an offset");

    let both = [
        "calc",
        "ripple",
        "--file",
        "ripple.csv",
        "--point",
        "0 s = 1 V",
    ];
    assert_eq!(run(dir.path(), &both).0, 2);
    let log = [
        "calc",
        "ripple",
        "--file",
        "idle-and-2500.csv",
        "--cylinders",
        "4",
        "--speed",
        "800 rpm",
    ];
    let (code, _, err) = run(dir.path(), &log);
    assert_eq!(code, 2);
    assert!(err.contains("this is a log, not a capture"), "{err}");
}

/// A job that stands at the step which asks for the readings at warm idle, in the store as job 1.
fn job_at_idle(dir: &Path) {
    let shelf = Shelf::shipped();
    let flow = shelf.find("intake-leak").unwrap();
    let mut events: Vec<Event> = Vec::new();
    let mut add = |action: Action| {
        let job = fold(&events);
        let desk = Desk {
            who: "Ina",
            day: Utc::now().date_naive(),
        };
        for what in act(&job, desk, action).unwrap() {
            events.push(Event {
                id: Uuid::now_v7(),
                seq: events.len() as u64 + 1,
                at: Utc::now(),
                who: "Ina".to_owned(),
                what,
            });
        }
        fold(&events)
    };
    add(Action::Open(Opening {
        complaint: "rough idle".to_owned(),
        codes: vec!["P0171".to_owned()],
        ..Opening::default()
    }));
    let mut job = add(Action::Begin(FlowText {
        id: flow.flow.id.clone(),
        revision: flow.flow.revision,
        hash: flow.hash.clone(),
        text: flow.text.clone(),
    }));
    for _ in 0..40 {
        let desk = Desk {
            who: "Ina",
            day: Utc::now().date_naive(),
        };
        let action = match job.standing(desk) {
            Standing::Facts(facts) => Action::SetFact {
                fact: facts[0].id.clone(),
                value: match facts[0].id.as_str() {
                    "metering" => Answer::Choice("air mass".to_owned()),
                    "banks" => Answer::Quantity("1 count".parse().unwrap()),
                    _ => Answer::Quantity("200 m".parse().unwrap()),
                },
                confirmed: false,
            },
            Standing::Cautions(due) => Action::Accept(due[0].id.to_owned()),
            Standing::Step(step) if step.record.iter().any(|id| id == "idle-airflow") => break,
            Standing::Step(_) => match job.prompts_now().into_iter().find(|(_, taken)| !taken) {
                Some((prompt, _)) => Action::Read {
                    reading: prompt.id.clone(),
                    value: Answer::Choice("yes".to_owned()),
                    confirmed: false,
                    carried_from: None,
                },
                None => Action::Follow,
            },
            other => panic!("{other:?}"),
        };
        job = add(action);
    }
    let file = JobFile {
        job: Uuid::now_v7(),
        events,
    };
    fs::write(dir.join("job.yaml"), file.to_text().unwrap()).unwrap();
    assert_eq!(run(dir, &["import", "job.yaml"]).0, 0);
}

fn readings(dir: &Path) -> Vec<(String, Answer, FromFile)> {
    assert_eq!(run(dir, &["export", "1", "-o", "out.yaml"]).0, 0);
    let file = JobFile::read(&dir.join("out.yaml")).unwrap();
    fs::remove_file(dir.join("out.yaml")).unwrap();
    let of_file = |event: Event| match event.what {
        What::ReadingTaken {
            reading,
            value,
            from_file: Some(from),
            ..
        } => Some((reading, value, from)),
        _ => None,
    };
    file.events.into_iter().filter_map(of_file).collect()
}

#[test]
fn one_log_fills_the_flows_readings_each_with_its_file_rows_and_hash() {
    let dir = workshop();
    job_at_idle(dir.path());
    let (code, out, err) = run(dir.path(), &["read", "idle-and-2500.csv", "--job", "1"]);
    assert_eq!((code, err.as_str()), (0, ""), "{out}");
    assert!(
        out.contains("job 1, Intake leak: 8 readings filled"),
        "{out}"
    );
    let filled = readings(dir.path());
    let names: Vec<&str> = filled
        .iter()
        .map(|(reading, ..)| reading.as_str())
        .collect();
    assert_eq!(
        names,
        [
            "idle-airflow",
            "idle-manifold",
            "idle-short-1",
            "idle-long-1",
            "cruise-airflow",
            "cruise-manifold",
            "cruise-short-1",
            "cruise-long-1"
        ]
    );
    let hash = blake3::hash(logs::idle_and_fast(logs::POINT).as_bytes())
        .to_hex()
        .to_string();
    for (reading, value, from) in &filled {
        assert_eq!(
            (from.name.as_str(), &from.hash),
            ("idle-and-2500.csv", &hash)
        );
        let idle = reading.starts_with("idle");
        assert_eq!(
            from.rows,
            if idle { (40, 181) } else { (192, 245) },
            "{reading}"
        );
        assert!(matches!(value, Answer::Quantity(_)));
    }
    // Once more there is nothing to fill, and nothing is written over.
    let (code, out, _) = run(dir.path(), &["read", "idle-and-2500.csv", "--job", "1"]);
    assert_eq!(code, 1, "{out}");
    assert!(
        out.contains("idle airflow: it was read at this step already"),
        "{out}"
    );
    assert_eq!(readings(dir.path()).len(), 8);
}

#[test]
fn a_log_that_does_not_show_a_warm_engine_needs_somebodys_word() {
    let dir = workshop();
    job_at_idle(dir.path());
    let text = logs::idle_and_fast(logs::POINT).replacen("Coolant temp [°C]", "Note", 1);
    fs::write(dir.path().join("no-coolant.csv"), text).unwrap();
    let (code, out, _) = run(dir.path(), &["read", "no-coolant.csv", "--job", "1"]);
    assert_eq!(code, 1, "{out}");
    assert!(
        out.contains("does not show that the engine was warm"),
        "{out}"
    );
    assert!(out.contains("if the engine was warm, say --warm"), "{out}");
    let (code, out, _) = run(
        dir.path(),
        &["read", "no-coolant.csv", "--job", "1", "--warm", "--json"],
    );
    let object: Value = serde_json::from_str(&out).unwrap();
    assert_eq!(code, 0);
    assert_eq!(object["filled"]["readings"].as_array().unwrap().len(), 8);
}

#[test]
fn a_second_bank_in_the_log_of_a_car_with_one_is_said() {
    let dir = workshop();
    job_at_idle(dir.path());
    // The example's short trims once more, under the name of the other bank.
    let text = logs::idle_and_fast(logs::POINT);
    let mut lines = text.lines();
    let head = lines.next().unwrap();
    let place = head
        .split(',')
        .position(|name| name.starts_with("STFT B1"))
        .unwrap();
    let more = |line: &str| format!("{line},{}\n", line.split(',').nth(place).unwrap());
    let rows: String = lines.map(more).collect();
    fs::write(
        dir.path().join("two-banks.csv"),
        format!("{head},STFT B2 [%]\n{rows}"),
    )
    .unwrap();
    let (code, out, err) = run(dir.path(), &["read", "two-banks.csv", "--job", "1"]);
    assert_eq!((code, err.as_str()), (0, ""), "{out}");
    assert!(out.contains("8 readings filled"), "{out}");
    assert!(
        out.contains(
            "note: the log also has trims of bank 2, and this job is about a car with one bank"
        ),
        "{out}"
    );
}

#[test]
fn a_log_with_the_purge_open_or_a_dead_column_fills_nothing_from_it() {
    let dir = workshop();
    job_at_idle(dir.path());
    let text = logs::idle_and_fast(logs::POINT);
    let (head, rows) = text.split_once('\n').unwrap();
    let with = |name: &str, cell: &str| {
        let rows: String = rows
            .lines()
            .map(|line| format!("{line},{cell}\n"))
            .collect();
        format!("{head},{name}\n{rows}")
    };
    fs::write(
        dir.path().join("purge.csv"),
        with("EVAP purge command (%)", "45"),
    )
    .unwrap();
    let (code, out, _) = run(dir.path(), &["read", "purge.csv", "--job", "1"]);
    assert_eq!(code, 1, "{out}");
    assert!(out.contains("with the purge open"), "{out}");
    assert!(
        out.contains(
            "not filled: idle airflow: the log has no warm idle that holds long enough; 216 rows"
        ),
        "{out}"
    );

    let place = head
        .split(',')
        .position(|name| name.starts_with("Mass air"))
        .unwrap();
    let dead = |line: &str| {
        let mut cells: Vec<&str> = line.split(',').collect();
        cells[place] = "0.00";
        cells.join(",") + "\n"
    };
    let rows: String = rows.lines().map(dead).collect();
    fs::write(dir.path().join("dead.csv"), format!("{head}\n{rows}")).unwrap();
    let (_, out, _) = run(dir.path(), &["read", "dead.csv", "--job", "1"]);
    assert!(
        out.contains("note: airflow is 0 throughout while the engine runs"),
        "{out}"
    );
    assert!(
        out.contains("not filled: idle airflow: airflow is 0 throughout"),
        "{out}"
    );
    let names: Vec<String> = readings(dir.path())
        .into_iter()
        .map(|(name, ..)| name)
        .collect();
    assert!(
        !names.contains(&"idle-airflow".to_owned()) && names.contains(&"idle-manifold".to_owned()),
        "{names:?}"
    );
}

#[test]
fn captures_whose_headers_say_little_are_read_as_captures() {
    let dir = workshop();
    let rows: String = (0..2000)
        .map(|n| {
            let t = f64::from(n) / 1000.0;
            let lobe = std::f64::consts::PI * t * 800.0 / 30.0;
            format!("{t:.4},{:.4}\n", 35.0 + 2.0 * lobe.sin().powi(2))
        })
        .collect();
    let file = |name: &str, head: &str| {
        fs::write(dir.path().join(name), format!("{head}\n{rows}")).unwrap();
    };
    file("bare.csv", "Time,Channel A");
    file("scaled.csv", "Time (s),MAP (kPa)");
    let lobes = ["--cylinders", "4", "--speed", "800 rpm"];
    let with = |first: &[&str]| run(dir.path(), &[first, &lobes[..]].concat());
    let units = ["--unit", "Channel A=V", "--unit", "Time=s"];
    let (code, out, err) = with(&[&["read", "bare.csv"][..], &units[..]].concat());
    assert_eq!(code, 0, "{out}{err}");
    assert!(out.contains("verdict") && out.contains("even"), "{out}");
    let (code, _, err) = with(&["calc", "ripple", "--file", "bare.csv"]);
    assert_eq!(code, 2);
    assert!(err.contains("--column \"Channel A=signal\""), "{err}");
    let scaled = [
        &["read", "scaled.csv"][..],
        &["calc", "ripple", "--file", "scaled.csv"][..],
    ];
    for command in scaled {
        let (code, out, err) = with(command);
        assert_eq!(code, 0, "{out}{err}");
        // 2 kPa, less what the means over a sixteenth of a lobe take off its crest and trough.
        assert!(out.contains("depth-pressure  1.95 kPa"), "{out}");
    }
    let (code, _, err) = run(dir.path(), &["calc", "sensor", "--file", "scaled.csv"]);
    assert_eq!(code, 2);
    assert!(err.contains("the signal is scaled as a pressure"), "{err}");
}
