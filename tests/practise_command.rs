//! Exercises from the command line: line by line, and the table of results.

use std::fs;
use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};

/// Runs `practise` with these lines on its input: exit status, output, errors.
fn practise(dir: &Path, args: &[&str], lines: &str) -> (i32, String, String) {
    let mut program = Command::new(env!("CARGO_BIN_EXE_ruleout"))
        .args(["--data", "data", "practise"])
        .args(args)
        .current_dir(dir)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut stdin = program.stdin.take().unwrap();
    stdin.write_all(lines.as_bytes()).unwrap();
    drop(stdin);
    let done = program.wait_with_output().unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (
        done.status.code().unwrap(),
        text(done.stdout),
        text(done.stderr),
    )
}

const EXHAUST: [&str; 4] = ["exhaust-leak", "--seed", "7", "--by-line"];

#[test]
fn line_by_line_a_refused_line_is_said_and_makes_the_exit_status() {
    let dir = tempfile::tempdir().unwrap();
    let (fine, out, err) = practise(dir.path(), &EXHAUST, "accept\naccept\nwhere\n");
    assert_eq!(fine, 0, "{out}{err}");
    assert!(err.contains("not ended"), "{err}");
    let (refused, out, _) = practise(dir.path(), &EXHAUST, "take exhaust-heard\nend\n");
    assert_eq!(refused, 2, "{out}");
    assert!(
        out.contains("\n! ") && out.contains("Score: 0 of 100"),
        "{out}"
    );
}

#[test]
fn line_by_line_gauges_and_steps_have_the_names_that_people_read() {
    let dir = tempfile::tempdir().unwrap();
    let lines =
        "accept\naccept\nwhere\ngauges\nrange pressure gauge of the smoke unit\nrange clock\n";
    let (_, out, _) = practise(dir.path(), &EXHAUST, lines);
    assert!(
        out.contains("step: Save what the control unit knows"),
        "{out}"
    );
    assert!(
        out.contains("The gauge is set to the range that fits."),
        "{out}"
    );
    assert!(
        out.contains(
            "! no gauge `clock` here; there are: flow float of the smoke unit; pressure gauge"
        ),
        "{out}"
    );
}

#[test]
fn line_by_line_a_place_or_a_reading_that_is_not_asked_for_is_refused_and_costs_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let intake = ["intake-leak", "--seed", "3", "--by-line"];
    let lines = "accept\naccept\nwhere\ncover moon\ncover brake boster\nlook moon for 60\ntake idle-airflow\nwhere\n";
    let (refused, out, _) = practise(dir.path(), &intake, lines);
    assert_eq!(refused, 2, "{out}");
    for said in [
        "! no place `moon` can be covered; there are: ",
        "! no place `brake boster` can be covered (did you mean `brake booster`?); there are: ",
        "! here no place is asked for",
        "! this step does not ask for `idle-airflow`",
    ] {
        assert!(out.contains(said), "{said}: {out}");
    }
    let last = out.lines().last().unwrap();
    assert!(last.contains("[PRACTICE 0 min;"), "{out}");
}

#[test]
fn an_exercise_with_a_name_is_no_other_car() {
    let dir = tempfile::tempdir().unwrap();
    let saved = [
        "exhaust-leak",
        "--seed",
        "7",
        "--level",
        "2",
        "--save",
        "tuesday.yaml",
    ];
    assert_eq!(practise(dir.path(), &saved, "").0, 0);
    let other = ["tuesday.yaml", "--level", "4", "--by-line"];
    let (refused, _, err) = practise(dir.path(), &other, "end\n");
    assert_eq!(refused, 2, "{err}");
    assert!(
        err.contains("\"tuesday\" is the car of seed 7 at level 2")
            && err.contains("ruleout practise exhaust-leak --seed 7 --level 4"),
        "{err}"
    );
    let same = ["tuesday.yaml", "--level", "2", "--by-line"];
    assert_eq!(practise(dir.path(), &same, "end\n").0, 0);
}

#[test]
fn results_are_written_over_an_earlier_table_and_over_nothing_else() {
    let dir = tempfile::tempdir().unwrap();
    let results = |file: &str| practise(dir.path(), &["--results", file], "");
    let ends = || assert_eq!(practise(dir.path(), &EXHAUST, "end\n").0, 0);
    ends();
    assert_eq!(results("marks.csv").0, 0);
    let rows = || {
        fs::read_to_string(dir.path().join("marks.csv"))
            .unwrap()
            .lines()
            .count()
    };
    assert_eq!(rows(), 2);
    ends();
    assert_eq!(results("marks.csv").0, 0);
    assert_eq!(rows(), 3);
    fs::write(dir.path().join("wages.csv"), "who,wage\n").unwrap();
    let (refused, _, err) = results("wages.csv");
    assert_eq!(refused, 2);
    assert!(
        err.contains("wages.csv") && err.contains("choose another name"),
        "{err}"
    );
    let kept = fs::read_to_string(dir.path().join("wages.csv")).unwrap();
    assert_eq!(kept, "who,wage\n");
}
