//! What a shell and `man` get from the program.

use std::process::{Command, Output};

fn run(args: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_ruleout"));
    command
        .args(args)
        .env("XDG_CONFIG_HOME", "/nowhere")
        .output()
        .unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

#[test]
fn every_usual_shell_gets_a_script_that_knows_the_commands() {
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let out = run(&["completions", shell]);
        assert!(out.status.success(), "{shell}");
        let script = text(&out.stdout);
        for word in ["report", "new-flow", "raised-idle", "plain"] {
            assert!(script.contains(word), "{shell}: {word}");
        }
    }
    let out = run(&["completions", "tcsh"]);
    assert_eq!(out.status.code(), Some(2));
    assert!(text(&out.stderr).contains("possible values: bash"));
}

#[test]
fn every_command_has_a_manual_page_on_the_screen_and_as_a_file() {
    let all = text(&run(&["man"]).stdout);
    let folder = tempfile::tempdir().unwrap();
    let place = folder.path().join("man1");
    let out = run(&["man", "-o", &place.display().to_string()]);
    assert!(out.status.success(), "{}", text(&out.stderr));
    let files: Vec<_> = std::fs::read_dir(&place)
        .unwrap()
        .map(Result::unwrap)
        .collect();
    assert_eq!(files.len(), all.matches("\n.TH ").count());
    assert!(files.len() > 40, "{} pages", files.len());
    for name in ["ruleout", "ruleout-report", "ruleout-calc-hole"] {
        let page = std::fs::read_to_string(place.join(format!("{name}.1"))).unwrap();
        assert!(page.contains(&format!(".TH {name} 1")), "{page}");
        assert!(page.contains("Examples:"), "{page}");
    }
}
