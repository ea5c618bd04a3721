//! The settings as a whole: the file in its place, on the screens, in reports and calculations.

use std::fs;
use std::path::Path;
use std::process::Output;

use crate::pty::Terminal;
use assert_cmd::Command;
use portable_pty::CommandBuilder;

fn ruleout(arguments: &[&str], settings: &Path) -> Output {
    let mut command = Command::cargo_bin("ruleout").unwrap();
    command.args(arguments).arg("--settings").arg(settings);
    command.output().unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

fn settings(text: &str) -> (tempfile::TempDir, std::path::PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("settings.yaml");
    fs::write(&path, text).unwrap();
    (folder, path)
}

#[test]
fn a_report_has_the_workshop_and_its_units_and_a_mistake_costs_only_its_entry() {
    let (_folder, path) = settings(
        "workshop: Alder Lane\nunits: us\nthem: dark\nsimulated-cars: off\ntelephone: 0555 0142\n",
    );
    let jobs = fs::read_dir("demo-jobs").unwrap();
    let mut jobs: Vec<_> = jobs.map(|job| job.unwrap().path()).collect();
    jobs.sort();
    let job = jobs
        .iter()
        .find(|job| job.extension().is_some_and(|e| e == "yaml"));
    let job = job.unwrap().display().to_string();
    let made = ruleout(&["report", "--file", &job, "--for", "workshop"], &path);
    assert_eq!(made.status.code(), Some(0));
    let (page, said) = (text(&made.stdout), text(&made.stderr));
    assert!(page.contains("Alder Lane"), "{page}");
    assert!(page.contains(" psi") && page.contains(" cfh"), "{page}");
    assert!(said.contains("settings.yaml:3:1:"), "{said}");
    assert!(said.contains("did you mean `theme`?"), "{said}");
    let customer = text(&ruleout(&["report", "--file", &job], &path).stdout);
    assert!(customer.contains("\nTelephone: 0555 0142\n"), "{customer}");
    let json = |path: &Path| {
        let job = [
            "report", "--file", &job, "--for", "customer", "--as", "json",
        ];
        let text = text(&ruleout(&job, path).stdout);
        let mut value: serde_json::Value = serde_json::from_str(&text).unwrap();
        let object = value.as_object_mut().unwrap();
        object.remove("made");
        object.get("values").cloned()
    };
    let (_other, empty) = settings("");
    assert_eq!(json(&path), json(&empty));
}

#[test]
fn a_settings_file_that_is_not_there_is_named() {
    let made = ruleout(&["jobs"], Path::new("no-such-file.yaml"));
    assert_eq!(made.status.code(), Some(2));
    let said = text(&made.stderr);
    assert!(
        said.contains("there is no settings file no-such-file.yaml"),
        "{said}"
    );
}

#[test]
fn a_bracket_left_open_costs_its_own_entry() {
    let (_folder, path) =
        settings("workshop: Alder Lane\npeople: [Kim, Ines\nunits: us\nsimulated-cars: off\n");
    let job = fs::read_dir("demo-jobs").unwrap();
    let mut jobs: Vec<_> = job.map(|job| job.unwrap().path()).collect();
    jobs.retain(|job| job.extension().is_some_and(|end| end == "yaml"));
    jobs.sort();
    let job = jobs[0].display().to_string();
    let made = ruleout(&["report", "--file", &job, "--for", "workshop"], &path);
    let (page, said) = (text(&made.stdout), text(&made.stderr));
    assert!(page.contains("Alder Lane"), "{page}");
    assert!(said.contains("settings.yaml:2:9:"), "{said}");
    assert!(
        said.contains("until then `people` is left out, and nothing else"),
        "{said}"
    );
}

#[test]
fn the_folder_of_flows_in_the_settings_serves_every_command() {
    let (folder, path) = settings("flows: my-flows\n");
    let own = folder.path().join("my-flows");
    fs::create_dir(&own).unwrap();
    let made = Command::cargo_bin("ruleout")
        .unwrap()
        .args(["new-flow", "roof-drain"])
        .output();
    fs::write(own.join("roof-drain.yaml"), made.unwrap().stdout).unwrap();
    for command in ["draw", "rank"] {
        let found = ruleout(&[command, "roof-drain"], &path);
        assert_eq!(found.status.code(), Some(0), "{}", text(&found.stderr));
    }
    let missing = ruleout(&["draw", "roof-drian"], &path);
    assert!(text(&missing.stderr).contains("did you mean `roof-drain`?"));
    fs::remove_dir_all(&own).unwrap();
    let gone = ruleout(&["rank", "roof-drain"], &path);
    assert_eq!(gone.status.code(), Some(2));
    let said = text(&gone.stderr);
    assert!(said.contains("--flows DIR"), "{said}");
}

#[test]
fn a_gauge_profile_of_the_settings_is_found_by_its_id() {
    let (folder, path) = settings("gauges: [float.yaml]\n");
    fs::write(
        folder.path().join("float.yaml"),
        "gauge: bay-two-float\npressure: 14 inH2O\npoints:\n  - {height: 0 %, hole: blocked}\n  - {height: 35 %, hole: 0.020 in}\n  - {height: 78 %, hole: 0.040 in}\n",
    )
    .unwrap();
    let asked = [
        "calc",
        "gauge",
        "--profile",
        "bay-two-float",
        "--height",
        "50 %",
    ];
    let found = ruleout(&asked, &path);
    assert_eq!(found.status.code(), Some(0), "{}", text(&found.stderr));
    let missing = ruleout(&asked, Path::new("no-such-file.yaml"));
    assert_eq!(missing.status.code(), Some(2));
}

#[test]
fn the_screens_start_with_a_broken_file_and_say_where_it_is_broken() {
    let (folder, path) = settings("units: us\nbays: [1, 2\n");
    let mut command = CommandBuilder::new(env!("CARGO_BIN_EXE_ruleout"));
    command.args(["--data", &folder.path().display().to_string()]);
    command.args(["--who", "Kim", "--settings", &path.display().to_string()]);
    let mut terminal = Terminal::run(command);
    terminal.wait_for("Settings, line 2, column");
    terminal.wait_for("Open jobs");
    terminal.press("q");
    assert!(terminal.ended().success());
}

#[test]
fn what_is_wrong_in_the_settings_is_named_by_every_command_that_goes_by_them() {
    let (folder, path) = settings("flows: nowhere\nmissing-gear: [lmp]\n");
    let data = folder.path().join("data").display().to_string();
    for arguments in [
        &["draw", "no-such-flow"][..],
        &["trial", "no-such-flow"],
        &["rank", "intake-leak", "--by-words"],
        &["jobs"],
        &["learned"],
    ] {
        let with = [arguments, &["--data", &data]].concat();
        let said = text(&ruleout(&with, &path).stderr);
        let named = said
            .matches("settings.yaml:1:8: there is no folder")
            .count();
        assert_eq!(named, 1, "{arguments:?}: {said}");
    }
    let ranked = ruleout(
        &["rank", "intake-leak", "--by-words", "--data", &data],
        &path,
    );
    let out = text(&ranked.stdout);
    let words = out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        words.contains("no flow has gear `lmp`; did you mean `lamp`?"),
        "{out}"
    );
}
