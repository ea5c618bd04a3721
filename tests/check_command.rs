//! `ruleout check`, as the real program runs it.

use std::path::Path;
use std::process::Command;

fn check(dir: &Path, args: &[&str]) -> (i32, String, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_ruleout"))
        .arg("check")
        .args(args)
        .current_dir(dir)
        .output()
        .expect("the program runs");
    (
        output.status.code().expect("it ends by itself"),
        String::from_utf8(output.stdout).expect("text"),
        String::from_utf8(output.stderr).expect("text"),
    )
}

fn tests() -> &'static Path {
    Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/tests"))
}

#[test]
fn sound_flows_end_with_0_and_errors_with_1() {
    let (code, out, err) = check(tests(), &["flows_with_mistakes/nothing_wrong.yaml"]);
    assert_eq!(
        (code, out.as_str(), err.as_str()),
        (0, "1 file, no errors\n", "")
    );
    let (code, out, _) = check(tests(), &["flows_with_mistakes/ten_mistakes.yaml"]);
    assert_eq!(code, 1);
    assert!(out.ends_with("1 file, 10 errors\n"), "{out}");
    assert!(!out.contains('\u{1b}'), "colour in a pipe");
}

#[test]
fn the_flows_that_come_with_the_program_have_no_mistake_and_no_warning() {
    let (code, out, err) = check(tests(), &["../flows"]);
    // On a slow machine it says how far it is.
    let mistakes: Vec<&str> = err
        .lines()
        .filter(|line| !line.starts_with("checking flows: "))
        .collect();
    assert_eq!((code, mistakes), (0, Vec::new()), "{out}");
    assert!(out.ends_with(" files, no errors\n"), "{out}");
}

#[test]
fn files_that_are_passed_over_and_flows_in_place_of_shipped_ones_are_named() {
    let folder = tempfile::tempdir().expect("a folder");
    let sound = std::fs::read_to_string(tests().join("flows_with_mistakes/nothing_wrong.yaml"));
    let sound = sound.expect("a text");
    let shipped = tests().join("../flows/intake-leak.yaml");
    let shipped = std::fs::read_to_string(shipped).expect("a text");
    let mine = shipped.replacen("title: ", "title: My ", 1);
    for (name, text) in [
        ("a.YML", &sound),
        ("b.yaml.txt", &sound),
        ("intake-leak.yaml", &mine),
    ] {
        std::fs::write(folder.path().join(name), text).expect("written");
    }
    let (code, out, err) = check(folder.path(), &["."]);
    assert_eq!(code, 0, "{out}");
    assert!(out.ends_with("2 files, no errors\n"), "{out}");
    assert!(err.contains("b.yaml.txt is not read"), "{err}");
    assert!(err.contains("save it as b.yaml"), "{err}");
    let takes = "its flow `intake-leak` takes the place of the one of that id";
    assert!(err.contains(takes), "{err}");
    let (code, _, err) = check(folder.path(), &["my-flow"]);
    assert_eq!(code, 2);
    assert!(err.contains("look at the name"), "{err}");
}

#[test]
fn a_warning_alone_ends_with_0() {
    let (code, out, _) = check(tests(), &["flows_with_mistakes/number_sign_in_text.yaml"]);
    assert_eq!(code, 0, "{out}");
    assert!(out.ends_with("1 file, no errors, 1 warning\n"), "{out}");
}

#[test]
fn json_holds_every_finding_of_every_file() {
    let (code, out, err) = check(
        tests(),
        &[
            "--json",
            "flows_with_mistakes/tab.yaml",
            "flows_with_mistakes/decimal_comma.yaml",
        ],
    );
    assert_eq!((code, err.as_str()), (1, ""));
    let json: serde_json::Value = serde_json::from_str(&out).expect("JSON");
    let findings = json["findings"].as_array().expect("a list");
    assert_eq!(findings.len(), 2);
    let comma = &findings[1];
    assert_eq!(comma["severity"], "error");
    assert_eq!(comma["code"], "bad-quantity");
    assert_eq!(comma["file"], "flows_with_mistakes/decimal_comma.yaml");
    assert_eq!(
        (comma["line"].as_u64(), comma["column"].as_u64()),
        (Some(34), Some(45))
    );
    assert_eq!(comma["help"], "write a decimal point: 90.5 %");
    assert!(comma["message"].is_string());
}

#[test]
fn a_file_that_cannot_be_read_is_named_and_the_others_are_checked() {
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::write(
        folder.path().join("latin.yaml"),
        b"flow: a\ntitle: L\xe4rm\n",
    )
    .expect("written");
    std::fs::write(folder.path().join("bad.yaml"), "flow: a\n").expect("written");
    let (code, out, err) = check(folder.path(), &[".", "gone.yaml"]);
    assert_eq!(code, 2);
    assert!(out.ends_with("2 files, 3 errors\n"), "{out}");
    assert!(out.contains("latin.yaml:2:9"), "{out}");
    assert!(err.contains("gone.yaml: "), "{err}");
    assert!(!err.contains("latin.yaml"), "{err}");
    let empty = tempfile::tempdir().expect("a folder");
    let (code, out, err) = check(empty.path(), &["."]);
    assert_eq!((code, out.as_str()), (2, ""));
    assert!(err.contains("no flow files"), "{err}");
}

#[test]
fn a_file_that_is_no_text_is_a_finding_among_those_of_the_others() {
    let folder = tempfile::tempdir().expect("a folder");
    let files: [(&str, &[u8]); 5] = [
        ("a.yaml", b"PK\x03\x04\x14\x00\x06\x00 word/document.xml"),
        ("b.yaml", b"flow: b\n"),
        ("c.yaml", b"\x89PNG\r\n\x1a\n\0\0"),
        ("d.yaml", b"\xff\xfef\0l\0o\0w\0"),
        ("e.yaml", b"flow: e\ntitle: L\xe4rm\n"),
    ];
    for (name, bytes) in files {
        std::fs::write(folder.path().join(name), bytes).expect("written");
    }
    let (code, out, err) = check(folder.path(), &["--json", "."]);
    assert_eq!((code, err.as_str()), (1, ""));
    let json: serde_json::Value = serde_json::from_str(&out).expect("JSON");
    let found: Vec<String> = json["findings"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|finding| {
            let said = |key: &str| finding[key].as_str().expect("words").to_owned();
            let (file, code, message) = (said("file"), said("code"), said("message"));
            assert!(!said("help").is_empty() && said("severity") == "error");
            let (line, column) = (&finding["line"], &finding["column"]);
            let name = file.trim_start_matches("./");
            format!("{name}:{line}:{column} {code}: {message}")
        })
        .collect();
    let beside: Vec<&String> = found
        .iter()
        .filter(|line| !line.contains("no-text"))
        .collect();
    assert!(beside.iter().all(|line| line.starts_with("b.yaml:")) && !beside.is_empty());
    let no_text: Vec<&str> = found
        .iter()
        .filter(|line| line.contains("no-text"))
        .map(String::as_str)
        .collect();
    assert_eq!(
        no_text,
        [
            "a.yaml:1:1 no-text: this is a document of a word processor, not plain text",
            "c.yaml:1:1 no-text: this is a picture (PNG), not plain text",
            "d.yaml:1:1 no-text: this is text in UTF-16, not in UTF-8",
            "e.yaml:2:9 no-text: from here on this is not text in UTF-8 (in Latin-1 here stands `\u{e4}`)",
        ]
    );
    // As text it is shown with its place as well.
    let (code, out, err) = check(folder.path(), &["."]);
    assert_eq!((code, err.as_str()), (1, ""));
    assert!(
        out.contains("c.yaml:1:1") && out.contains("e.yaml:2:9"),
        "{out}"
    );
}

#[test]
fn flows_that_lead_on_to_each_other_are_checked_together() {
    let folder = tempfile::tempdir().expect("a folder");
    let flow = |id: &str, next: &str| {
        let text = format!(
            "flow: {id}\ntitle: Look\nsteps:\n  - id: look\n    phase: symptom\n    do: Look.\n    \
             outcomes: [{{when: always, go: {{flow: {next}}}}}]\n"
        );
        std::fs::write(folder.path().join(format!("{id}.yaml")), text).expect("written");
    };
    flow("one", "other");
    flow("other", "one");
    let (code, out, _) = check(folder.path(), &["one.yaml"]);
    assert_eq!(code, 0);
    assert!(out.contains("warning[unknown-flow]"), "{out}");
    let both = check(folder.path(), &["one.yaml", "other.yaml"]);
    assert_eq!(both.1, "2 files, no errors\n");
    let by_folder = check(folder.path(), &["one.yaml", "--flows", "."]);
    assert_eq!(by_folder.1, "1 file, no errors\n");
}

#[test]
fn a_code_is_explained_and_a_mistyped_one_is_put_right() {
    let (code, out, _) = check(tests(), &["--explain", "gap"]);
    assert_eq!(code, 0);
    assert!(
        out.starts_with("gap\n") && out.contains("Instead of"),
        "{out}"
    );
    let (code, out, err) = check(tests(), &["--explain", "ovrlap"]);
    assert_eq!((code, out.as_str()), (2, ""));
    assert!(err.contains("did you mean `overlap` (There are"), "{err}");
    let (code, _, err) = check(tests(), &["--explain", "nonesuch"]);
    assert_eq!(code, 2);
    let line = |code: &str| err.lines().find(|line| line.starts_with(code));
    assert!(
        line("dead-end ").is_some_and(|line| line.contains("A step")),
        "{err}"
    );
    let (_, out, _) = check(tests(), &["--explain", "unknown-caution"]);
    assert!(
        out.contains("no-self-start        The engine must not start"),
        "{out}"
    );
    let (_, out, _) = check(tests(), &["--explain"]);
    assert!(out.lines().count() > 30, "{out}");
    let (_, out, _) = check(tests(), &["--json", "--explain", "gap"]);
    let json: serde_json::Value = serde_json::from_str(&out).expect("JSON");
    assert_eq!(json["explanations"][0]["code"], "gap");
}

/// Reads lines until one starts so; gives up when the program ends.
fn until(lines: &mut impl Iterator<Item = std::io::Result<String>>, start: &str) -> String {
    lines
        .map(|line| line.expect("a line"))
        .find(|line| line.starts_with(start))
        .expect("the program goes on")
}

#[test]
fn a_watched_file_is_checked_again_when_it_is_saved() {
    use std::io::BufRead;
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("hold.yaml");
    let sound = include_str!("flows_with_mistakes/nothing_wrong.yaml");
    std::fs::write(&file, sound).expect("written");
    let mut child = Command::new(env!("CARGO_BIN_EXE_ruleout"))
        .args(["check", "--watch", "."])
        .current_dir(folder.path())
        .stdout(std::process::Stdio::piped())
        .spawn()
        .expect("the program runs");
    let mut lines = std::io::BufReader::new(child.stdout.take().expect("piped")).lines();
    assert!(until(&mut lines, "-- ").ends_with("checked"));
    assert_eq!(until(&mut lines, "1 file"), "1 file, no errors");
    std::fs::write(&file, sound.replace("go: hold}", "go: hodl}")).expect("written");
    assert!(until(&mut lines, "-- ").ends_with("hold.yaml has changed"));
    assert!(until(&mut lines, "error[").contains("`hodl`"));
    // The sound text again, as many editors save: a new file in the place of the old one.
    let new = folder.path().join("hold.yaml~");
    std::fs::write(&new, sound).expect("written");
    std::fs::rename(&new, &file).expect("renamed");
    assert_eq!(until(&mut lines, "1 file, no"), "1 file, no errors");
    child.kill().expect("it was still running");
    child.wait().expect("it has ended");
}

#[test]
fn a_flow_with_another_ending_is_checked_and_said_never_to_be_read_from_a_folder() {
    let folder = tempfile::tempdir().unwrap();
    let sound = tests().join("flows_with_mistakes/nothing_wrong.yaml");
    std::fs::copy(sound, folder.path().join("hose.yaml.txt")).unwrap();
    let (code, out, err) = check(folder.path(), &["hose.yaml.txt"]);
    assert_eq!((code, out.as_str()), (0, "1 file, no errors\n"));
    assert!(
        err.contains("never read") && err.ends_with("save it as hose.yaml\n"),
        "{err}"
    );
}
