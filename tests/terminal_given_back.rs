//! The terminal is given back on every way out: by signal, by panic, by Ctrl-C. Each in a real
//! pseudo-terminal.

#![cfg(unix)]
use std::time::{Duration, Instant};

use crate::pty::{PATIENCE, Terminal};
use portable_pty::CommandBuilder;
use ruleout::tui::terminal::Screen;

/// What ends the second screen, and what begins it.
const LEAVES: &str = "\u{1b}[?1049l";
const ENTERS: &str = "\u{1b}[?1049h";

/// Lines are read and echoed again, and the program wrote nothing after it had left the screen
/// but plain words.
fn is_given_back(terminal: &Terminal) {
    let settings = terminal.settings();
    for word in ["icanon", "echo", "isig"] {
        assert!(
            settings
                .split_whitespace()
                .any(|set| set.trim_matches(';') == word),
            "{word}: {settings}"
        );
    }
    let written = terminal.written();
    assert_eq!(written.matches(ENTERS).count(), 1);
    assert_eq!(written.matches(LEAVES).count(), 1, "{written:?}");
    let after = written.rsplit(LEAVES).next().unwrap();
    let after = after.replace("\u{1b}[?25h", ""); // The cursor is shown again.
    assert!(
        !after.contains("\u{1b}["),
        "drawn after it was left: {after:?}"
    );
}

fn at_the_board() -> (tempfile::TempDir, Terminal) {
    let folder = tempfile::tempdir().unwrap();
    let terminal = Terminal::start(folder.path(), "Ines Harrow");
    terminal.wait_for("new job");
    let raw = terminal.settings();
    assert!(raw.contains("-icanon"), "it was not taken over: {raw}");
    (folder, terminal)
}

#[test]
fn by_signals_that_end_the_program() {
    for name in ["TERM", "HUP", "INT", "QUIT"] {
        let (_folder, mut terminal) = at_the_board();
        terminal.signal(name);
        let status = terminal.ended();
        assert!(
            !status.success(),
            "{name}: whoever sent it sees that it ended so"
        );
        is_given_back(&terminal);
    }
}

#[test]
fn by_ctrl_c() {
    let (_folder, mut terminal) = at_the_board();
    terminal.press("\u{3}");
    assert!(terminal.ended().success());
    let settings = terminal.settings();
    assert!(!settings.contains("-icanon"), "{settings}");
}

#[test]
fn whoever_stops_it_from_outside_finds_it_drawn_and_typed_at_as_before() {
    let (_folder, mut terminal) = at_the_board();
    terminal.signal("STOP");
    terminal.signal("CONT");
    let until = Instant::now() + PATIENCE;
    while terminal.written().matches(ENTERS).count() < 2 {
        assert!(Instant::now() < until, "{:?}", terminal.written());
        std::thread::sleep(Duration::from_millis(10));
    }
    terminal.wait_for("new job");
    terminal.press("n");
    terminal.wait_for("as it stands on the car");
    let raw = terminal.settings();
    assert!(raw.contains("-icanon"), "{raw}");
    terminal.press("\u{3}");
    assert!(terminal.ended().success());
}

/// A terminal at the far end of a slow link may not answer in time.
#[test]
fn no_terminal_is_asked_where_its_cursor_stands() {
    let (_folder, mut terminal) = at_the_board();
    terminal.press("\u{c}");
    terminal.resize(100, 30);
    terminal.press("n");
    terminal.wait_for("as it stands on the car");
    terminal.resize(80, 24);
    terminal.press("\u{3}");
    assert!(terminal.ended().success());
    let written = terminal.written();
    assert!(!written.contains("\u{1b}[6n"), "{written:?}");
}

#[test]
fn by_a_panic_and_its_message_can_be_read() {
    let mut command = CommandBuilder::new(std::env::current_exe().unwrap());
    command.args([
        "--exact",
        "terminal_given_back::panics_with_the_terminal_taken",
        "--ignored",
        "--nocapture",
    ]);
    command.env("RUST_BACKTRACE", "0");
    let mut terminal = Terminal::run(command);
    assert!(!terminal.ended().success());
    terminal.wait_for("a mistake in the program");
    let settings = terminal.settings();
    assert!(!settings.contains("-icanon"), "{settings}");
    let written = terminal.written();
    let (left, said) = (
        written.find(LEAVES),
        written.find("a mistake in the program"),
    );
    assert!(left.unwrap() < said.unwrap(), "{written:?}");
}

#[test]
#[ignore = "is run by the test above in a pseudo-terminal of its own"]
fn panics_with_the_terminal_taken() {
    let _screen = Screen::take().unwrap();
    panic!("a mistake in the program");
}
