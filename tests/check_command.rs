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
    assert_eq!(
        check(tests(), &["../flows"]),
        (0, "2 files, no errors\n".to_owned(), String::new())
    );
    let (code, out, _) = check(tests(), &["flows_with_mistakes/ten_mistakes.yaml"]);
    assert_eq!(code, 1);
    assert!(out.ends_with("1 file, 10 errors\n"), "{out}");
    assert!(!out.contains('\u{1b}'), "colour in a pipe");
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
    assert!(out.ends_with("1 file, 2 errors\n"), "{out}");
    assert!(
        err.contains("latin.yaml: this is not text in UTF-8 (byte 17)"),
        "{err}"
    );
    assert!(err.contains("gone.yaml: "), "{err}");
    let empty = tempfile::tempdir().expect("a folder");
    let (code, out, err) = check(empty.path(), &["."]);
    assert_eq!((code, out.as_str()), (2, ""));
    assert!(err.contains("no flow files"), "{err}");
}

#[test]
fn flows_that_lead_on_to_each_other_are_checked_together() {
    let (code, out, _) = check(tests(), &["fixtures/intake-short.yaml"]);
    assert_eq!(code, 0);
    assert!(out.contains("warning[unknown-flow]"), "{out}");
    let both = check(
        tests(),
        &["fixtures/intake-short.yaml", "fixtures/signal-short.yaml"],
    );
    assert_eq!(both.1, "2 files, no errors\n");
    let by_folder = check(
        tests(),
        &["fixtures/intake-short.yaml", "--flows", "fixtures"],
    );
    assert_eq!(by_folder.1, "1 file, no errors\n");
}
