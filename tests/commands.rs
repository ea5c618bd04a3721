//! The commands over the store, as the real program runs them.

use std::fs;
use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Command, Output, Stdio};

const JOB: &str = r#"ruleout-job: 1
job: 019c0c6e-8f00-7000-8000-000000000001
events:
  - id: 019c0c6e-8f00-7000-8000-000000000002
    seq: 1
    at: 2026-03-02T12:00:00Z
    who: Ina
    what:
      job-opened:
        vehicle: {plate: KT-204, model: "Brenta Sella \e[31m1.6\e[0m"}
        complaint: "rough idle\n\u202Ewhen cold"
        codes: [P0171]
  - id: 019c0c6e-8f00-7000-8000-000000000003
    seq: 2
    at: 2026-03-02T12:05:00Z
    who: Ina
    what: {remark: {text: waits outside}}
"#;

fn ruleout(dir: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_ruleout"));
    command.arg("--data").arg("data").current_dir(dir);
    command
}

fn run(dir: &Path, args: &[&str]) -> (i32, String, String) {
    let Output {
        status,
        stdout,
        stderr,
    } = ruleout(dir).args(args).output().unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (status.code().unwrap(), text(stdout), text(stderr))
}

/// A folder with one job in its store, and the job's file.
fn workshop() -> tempfile::TempDir {
    let dir = tempfile::tempdir().unwrap();
    fs::write(dir.path().join("job.yaml"), JOB).unwrap();
    let (code, out, err) = run(dir.path(), &["import", "job.yaml"]);
    assert_eq!(
        (code, out.as_str(), err.as_str()),
        (0, "job.yaml: job 1, added, 2 events\n", "")
    );
    dir
}

#[test]
fn jobs_are_listed_as_clean_text_and_as_json() {
    let dir = workshop();
    let (code, out, _) = run(dir.path(), &["jobs"]);
    assert_eq!(code, 0);
    assert!(
        out.starts_with(
            "job 1  KT-204  Brenta Sella 1.6  (open)\n    rough idle when cold\n    P0171\n"
        ),
        "{out}"
    );
    let (code, out, _) = run(dir.path(), &["jobs", "kt", "OUTSIDE", "--json"]);
    assert_eq!(code, 0);
    assert!(!out.contains(['\u{1b}', '\u{202e}']), "{out}");
    let list: serde_json::Value = serde_json::from_str(&out).unwrap();
    assert_eq!(list[0]["number"], 1);
    assert_eq!(list[0]["complaint"], "rough idle\n\u{202e}when cold");
    assert_eq!(list[0]["codes"], serde_json::json!(["P0171"]));
    assert_eq!(list[0]["state"], "open");
    assert_eq!(list[0]["step"], serde_json::Value::Null);

    let (code, out, err) = run(dir.path(), &["jobs", "nothing like it"]);
    assert_eq!((code, out.as_str()), (0, ""));
    assert!(err.contains("no job"), "{err}");
    let (_, out, _) = run(dir.path(), &["jobs", "nothing like it", "--json"]);
    assert_eq!(out, "[]\n");
}

#[test]
fn looking_makes_no_store() {
    let dir = tempfile::tempdir().unwrap();
    assert_eq!(run(dir.path(), &["jobs", "--json"]).1, "[]\n");
    let (code, _, err) = run(dir.path(), &["export", "1"]);
    assert_eq!(code, 2);
    assert!(err.contains("no jobs in"), "{err}");
    assert!(!dir.path().join("data").exists());

    fs::write(dir.path().join("data"), "a file where the folder should be").unwrap();
    let (code, _, err) = run(dir.path(), &["jobs"]);
    assert_eq!(code, 2, "cannot tell is not none");
    assert!(err.contains("the folder data cannot be used"), "{err}");
}

#[test]
fn an_export_is_the_job_and_goes_back_in() {
    let dir = workshop();
    let (code, out, _) = run(dir.path(), &["export", "KT 204"]);
    assert_eq!(code, 0);
    assert!(out.starts_with("ruleout-job: 1\n"), "{out}");
    assert!(
        out.contains(r#"model: "Brenta Sella \x1B[31m1.6\x1B[0m""#),
        "{out}"
    );
    assert_eq!(
        run(dir.path(), &["export", "019c", "-o", "copy.yaml"]),
        (0, String::new(), String::new())
    );
    assert_eq!(
        fs::read_to_string(dir.path().join("copy.yaml")).unwrap(),
        out
    );
    let (code, text, _) = run(dir.path(), &["import", "copy.yaml", "copy.yaml"]);
    assert_eq!(code, 0);
    assert!(text.contains("nothing new"), "{text}");
    fs::rename(dir.path().join("data"), dir.path().join("first")).unwrap();
    let (_, text, _) = run(dir.path(), &["import", "--json", "copy.yaml"]);
    let taken: serde_json::Value = serde_json::from_str(&text).unwrap();
    assert_eq!(
        (&taken[0]["added"], &taken[0]["known"]),
        (&2.into(), &0.into())
    );
    assert_eq!(run(dir.path(), &["export", "1"]).1, out);
}

#[test]
fn an_export_replaces_an_earlier_copy_and_nothing_else() {
    let dir = workshop();
    let file = dir.path().join("copy.yaml");
    run(dir.path(), &["export", "1", "-o", "copy.yaml"]);
    let whole = fs::read_to_string(&file).unwrap();
    let earlier = &whole[..whole.rfind("  - id").unwrap()];
    fs::write(&file, earlier).unwrap();
    assert_eq!(run(dir.path(), &["export", "1", "-o", "copy.yaml"]).0, 0);
    assert_eq!(fs::read_to_string(&file).unwrap(), whole);

    for other in ["a letter", &whole.replace("outside", "inside")] {
        fs::write(&file, other).unwrap();
        let (code, _, err) = run(dir.path(), &["export", "1", "-o", "copy.yaml"]);
        assert_eq!(code, 2);
        assert!(
            err.contains("copy.yaml: this file is there already"),
            "{err}"
        );
        assert_eq!(fs::read_to_string(&file).unwrap(), other);
    }
    assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 3, "no leftovers");
    let (code, _, err) = run(dir.path(), &["export", "1", "-o", "no/such/folder.yaml"]);
    assert_eq!(code, 2, "{err}");
}

#[test]
fn one_bad_file_does_not_hold_up_the_others() {
    let dir = workshop();
    let other = JOB
        .replace("-00000000000", "-00000000001")
        .replace("KT-204", "BR-77");
    fs::write(dir.path().join("other.yaml"), other).unwrap();
    fs::write(dir.path().join("bad.yaml"), "flow: \u{1b}[2J\n").unwrap();
    let changed = JOB.replace("outside", "inside");
    fs::write(dir.path().join("changed.yaml"), changed).unwrap();
    let (code, out, err) = run(
        dir.path(),
        &[
            "import",
            "bad.yaml",
            "missing.yaml",
            "changed.yaml",
            "other.yaml",
        ],
    );
    assert_eq!(code, 2);
    assert_eq!(out, "other.yaml: job 2, added, 2 events\n");
    let lines: Vec<&str> = err.lines().collect();
    assert_eq!(lines.len(), 3, "{err}");
    assert!(
        lines[0].starts_with("ruleout: bad.yaml: this is not a job file"),
        "{err}"
    );
    assert!(lines[1].starts_with("ruleout: missing.yaml: "), "{err}");
    assert!(
        lines[2].contains("event 2") && lines[2].contains("inside"),
        "{err}"
    );
}

#[test]
fn a_job_file_is_read_from_standard_input() {
    let dir = tempfile::tempdir().unwrap();
    fs::write(dir.path().join("job.yaml"), JOB).unwrap();
    let output = ruleout(dir.path())
        .args(["import", "-"])
        .stdin(fs::File::open(dir.path().join("job.yaml")).unwrap())
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(0));
}

#[test]
fn an_unknown_job_is_no_panic_and_exits_2() {
    let dir = workshop();
    let (code, out, err) = run(dir.path(), &["export", "nobody\u{1b}[2J"]);
    assert_eq!((code, out.as_str()), (2, ""));
    assert!(
        err.starts_with("ruleout: no job is called `nobody`"),
        "{err}"
    );
    assert!(!err.contains('\u{1b}'), "{err}");
}

#[test]
fn a_reader_that_goes_away_is_no_error() {
    let dir = workshop();
    // More than a pipe holds, so that the writer meets the closed end.
    let long = JOB.replace("waits outside", &"waits outside ".repeat(40_000));
    fs::write(
        dir.path().join("long.yaml"),
        long.replace("-00000000000", "-00000000002"),
    )
    .unwrap();
    assert_eq!(run(dir.path(), &["import", "long.yaml"]).0, 0);
    let mut child = ruleout(dir.path())
        .args(["export", "2"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut line = String::new();
    BufReader::new(child.stdout.take().unwrap())
        .read_line(&mut line)
        .unwrap();
    let output = child.wait_with_output().unwrap();
    assert_eq!(line, "ruleout-job: 1\n");
    assert_eq!(output.status.code(), Some(0));
    assert_eq!(String::from_utf8(output.stderr).unwrap(), "");
}

#[test]
fn a_mistyped_folder_of_jobs_is_not_taken_for_an_empty_one() {
    let dir = tempfile::tempdir().unwrap();
    let (code, out, err) = run(dir.path(), &["jobs"]);
    assert_eq!((code, out.as_str()), (0, ""));
    assert!(err.contains("there is no folder data"), "{err}");
    fs::create_dir(dir.path().join("data")).unwrap();
    let (_, _, err) = run(dir.path(), &["jobs"]);
    assert_eq!(err, "no jobs in data yet\n");
}

#[test]
fn a_job_file_that_is_not_there_is_named_with_a_remedy() {
    let dir = tempfile::tempdir().unwrap();
    for arguments in [
        &["import", "nix.yaml"][..],
        &["report", "--file", "nix.yaml"],
    ] {
        let (code, _, err) = run(dir.path(), arguments);
        assert_eq!(code, 2, "{err}");
        assert!(
            err.contains("nix.yaml") && err.contains("; look at the name"),
            "{err}"
        );
    }
}
