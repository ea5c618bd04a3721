//! Exercises from the command line: line by line, and the table of results.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// Runs `practise` with these lines on its input: exit status, output, errors.
fn practise(dir: &Path, args: &[&str], lines: &str) -> (i32, String, String) {
    practise_with(dir, args, lines, &[])
}

/// The same in a surrounding that has this as well.
fn practise_with(
    dir: &Path,
    args: &[&str],
    lines: &str,
    own: &[(&str, PathBuf)],
) -> (i32, String, String) {
    let mut program = Command::new(env!("CARGO_BIN_EXE_ruleout"))
        .args(["--data", "data", "practise"])
        .args(args)
        .envs(own.iter().map(|(name, path)| (name, path)))
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
fn line_by_line_it_is_told_whether_the_engine_is_cold_and_it_is_warmed_up_and_let_cool() {
    let dir = tempfile::tempdir().unwrap();
    let intake = ["intake-leak", "--seed", "7", "--level", "2", "--by-line"];
    let lines = "accept\nglance\nwarm\nwarm\nglance\ncool\nglance\ncame-with\nhelp\n";
    let (fine, out, err) = practise(dir.path(), &intake, lines);
    assert_eq!(fine, 0, "{out}{err}");
    let told: Vec<&str> = out
        .lines()
        .filter(|line| {
            let begins = ["What you see: ", "You run", "It is", "You let"];
            begins.iter().any(|word| line.starts_with(word))
        })
        .map(|line| line.split(';').next().unwrap())
        .collect();
    assert_eq!(
        told,
        [
            "What you see: engine cold, off",
            "You run the engine until it is warm.",
            "It is warm already.",
            "What you see: engine warm, off",
            "You let it cool. It can be touched.",
            "What you see: engine cold, off",
        ]
    );
    assert_eq!(out.matches("The car comes with: ").count(), 2, "{out}");
    for word in ["glance ", "warm ", "cool ", "door ", "came-with "] {
        let helps = |line: &str| line.starts_with(word);
        assert!(out.lines().any(helps), "{word}: {out}");
    }
    let unit = ["smoke-unit-check", "--seed", "7", "--by-line"];
    let (refused, out, _) = practise(dir.path(), &unit, "warm\n");
    assert_eq!(refused, 2, "{out}");
    assert!(out.contains("! there is no engine in this test"), "{out}");
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

/// Up to the hold of a cooling system, whatever the cap shows.
const TO_THE_HOLD: &str = "accept\naccept\naccept\ntake data-saved\ntake coolant-level\nfollow\naccept\nopen filler neck\n\
                           take coolant-warmth\nfollow\ntake cap-opens\ntake cap-holds\noutcome good because it is new\n\
                           close overflow\nfollow\naccept\naccept\nwhere\n";

#[test]
fn line_by_line_a_limit_that_was_passed_is_let_down_or_was_mistyped_and_the_walk_goes_on() {
    let cooling = ["cooling-pressure-hold", "--seed", "3", "--by-line"];
    for word in ["let-down", "mistyped"] {
        let dir = tempfile::tempdir().unwrap();
        let lines = format!(
            "{TO_THE_HOLD}supply 100 kPa\nsay hold-start = 215 kPa\n{word}\nsay hold-start = 60 kPa\nend\n"
        );
        let (_, out, _) = practise(dir.path(), &cooling, &lines);
        assert!(
            out.contains("STOP, a limit was passed: hold-start 215 kPa"),
            "{out}"
        );
        assert!(
            out.contains("`let-down`") && out.contains("`mistyped`"),
            "{out}"
        );
        assert!(!out.contains("is no word of practice"), "{out}");
        let on = out.rsplit("STOP, a limit").next().unwrap();
        assert!(on.contains("to read: hold-end"), "{out}");
        // What was let down is no longer on the car, and a pump is called one.
        let off = on.contains("hand pump not on") && on.contains("Pump anew, lower");
        assert_eq!(off, word == "let-down", "{on}");
        assert!(!out.contains("air connected"), "{out}");
        let lost = out.contains("- 10 lost: a limit was passed in test 1");
        assert_eq!(lost, word == "let-down", "{out}");
    }
}

#[test]
fn line_by_line_a_supply_above_the_limit_is_warned_of_once_and_a_hand_pump_has_no_gas() {
    let dir = tempfile::tempdir().unwrap();
    let cooling = ["cooling-pressure-hold", "--seed", "3", "--by-line"];
    let lines = format!(
        "{TO_THE_HOLD}supply 215 kPa\nsupply nitrogen 60 kPa\nsupply 60 kPa\nwhere\nsupply 215 kPa\nsupply 215 kPa\n"
    );
    let (_, out, _) = practise(dir.path(), &cooling, &lines);
    assert_eq!(out.matches("! that is above ").count(), 2, "{out}");
    assert!(
        out.contains("! this is a hand pump, of which no gas is asked"),
        "{out}"
    );
    assert!(out.contains("hand pump on, at 60.0 kPa"), "{out}");
    assert!(
        out.contains("STOP. You set the supply above the limit"),
        "{out}"
    );
}

#[test]
fn line_by_line_a_step_says_what_is_set_up_and_the_limit_and_gives_away_nothing_that_is_to_be_found_out()
 {
    let dir = tempfile::tempdir().unwrap();
    let cooling = ["cooling-pressure-hold", "--seed", "3", "--by-line"];
    let (_, out, _) = practise(dir.path(), &cooling, TO_THE_HOLD);
    for said in [
        "Set up (6 min): close off: overflow; supply: hand pump",
        "Set up: open: filler neck",
        "Before the car goes: radiator cap on",
        "(kPa, never above ",
    ] {
        assert!(out.contains(said), "{said}: {out}");
    }
    for hidden in ["engine cold", "open loop", "draught"] {
        assert!(!out.contains(hidden), "{hidden}: {out}");
    }
}

#[test]
fn line_by_line_an_exercise_counts_for_whom_the_settings_name_first() {
    let dir = tempfile::tempdir().unwrap();
    let folder = dir.path().join("c").join("ruleout");
    fs::create_dir_all(&folder).unwrap();
    fs::write(folder.join("settings.yaml"), "people: [Jo Marsh]\n").unwrap();
    let own = [("XDG_CONFIG_HOME", dir.path().join("c"))];
    let (_, out, err) = practise_with(dir.path(), &EXHAUST, "end\n", &own);
    assert!(out.contains("Score:"), "{out}{err}");
    let (_, table, _) = practise(dir.path(), &["--results", "-"], "");
    assert!(table.contains("Jo Marsh"), "{table}");
}

#[test]
fn a_charge_air_run_that_is_plugged_or_fed_is_not_driven() {
    let charge = [
        "charge-air-leak",
        "--seed",
        "8",
        "--level",
        "1",
        "--by-line",
    ];
    let to_the_drive = "accept\naccept\ntake data-saved\nfollow\naccept\n";
    let does = |lines: &str| {
        let dir = tempfile::tempdir().unwrap();
        practise(dir.path(), &charge, &format!("{to_the_drive}{lines}end\n")).1
    };
    let plugged =
        does("close compressor outlet\nclose throttle inlet\ntake boost-wanted\ntake boost-seen\n");
    assert!(plugged.contains("it gets no air"), "{plugged}");
    let shown = |line: &str| line.starts_with("boost-seen: ");
    assert!(!plugged.lines().any(shown), "{plugged}");
    for left in [
        "Left on the car as the exercise ended",
        "still closed: throttle inlet",
    ] {
        assert!(plugged.contains(left), "{left}: {plugged}");
    }
    let fed = does("supply air 60 kPa\nclose throttle inlet\ntake boost-seen\n");
    assert!(
        fed.contains("You pushed it in against what blows out"),
        "{fed}"
    );
    assert!(
        fed.contains("STOP. You ran the engine with the supply connected."),
        "{fed}"
    );
}

#[test]
fn a_flow_that_is_not_there_is_answered_with_those_that_are() {
    let dir = tempfile::tempdir().unwrap();
    let (refused, _, err) = practise(dir.path(), &["charge", "--by-line"], "end\n");
    assert_eq!(refused, 2, "{err}");
    assert!(
        err.contains("there are: ") && err.contains("charge-air-leak"),
        "{err}"
    );
}
