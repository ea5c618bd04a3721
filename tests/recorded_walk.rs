//! The walk that the README shows: the real program in a terminal of 80 by 24, on a demo job, typed
//! at by hand as it were, and written as an SVG that plays. The committed file must be what the
//! program shows now:
//!
//!     RULEOUT_WRITE_WALK=1 cargo test --test suite recorded_walk::      to record it anew

#![cfg(unix)]
use std::path::Path;
use std::thread;
use std::time::{Duration, Instant};

use crate::cast::{Frame, svg};
use crate::pty::{PATIENCE, Terminal};
use portable_pty::CommandBuilder;

/// What is typed, what comes up then, and for how many seconds it stands.
const WALK: &[(&str, &str, f64)] = &[
    ("", "CAUTION: Running engine", 4.0),
    ("1", "CAUTION: The engine must not start", 1.2),
    ("2", "CAUTION: Smoke into the intake", 1.2),
    ("3", "CAUTION: Eye protection", 1.2),
    ("4", "Step 12 of 20", 3.5),
    ("\r", "Which place did you cover?", 1.5),
    ("2", "> 2  vacuum hose", 1.0),
    ("\r", "Flow float with the place covered", 1.5),
    ("2", "[2_", 0.3),
    (".", "[2._", 0.3),
    ("1", "[2.1_", 0.8),
    ("\r", "Gauge with the place covered", 1.2),
    ("3", "[3_", 0.3),
    (".", "[3._", 0.3),
    ("3", "[3.3_", 0.8),
    ("\r", "Do other places still show", 1.0),
    ("1", "> 1  no", 0.8),
    ("\r", "share explained", 5.0),
    ("\r", "What is left of the complaint?", 2.0),
    ("\r", "Is it big enough?", 6.0),
    ("w", "Why: each outcome", 4.0),
    ("\x1b", "Is it big enough?", 1.5),
    ("\r", "look at each of these", 4.0),
];

/// How long a screen must stay as it is to be a frame.
const STANDS: Duration = Duration::from_millis(500);

/// The terminal's screen once it is another than the last one, stands still, and nothing is being
/// worked out.
fn settled(terminal: &Terminal, wanted: &str, last: Option<&vt100::Screen>) -> vt100::Screen {
    terminal.wait_for(wanted);
    let mut before = terminal.screen();
    let patience = Instant::now() + PATIENCE;
    while last.is_some_and(|last| last.contents_formatted() == before.contents_formatted()) {
        assert!(Instant::now() < patience, "nothing changes for {wanted:?}");
        thread::sleep(Duration::from_millis(10));
        before = terminal.screen();
    }
    // The evidence is worked out beside the screens, and comes to them a moment later.
    let mut stood = Instant::now();
    while stood.elapsed() < STANDS {
        thread::sleep(Duration::from_millis(20));
        let now = terminal.screen();
        let moved = now.contents_formatted() != before.contents_formatted();
        if moved || terminal.text().contains("being worked out") {
            stood = Instant::now();
        }
        before = now;
    }
    before
}

fn recorded() -> String {
    let mut command = CommandBuilder::new(env!("CARGO_BIN_EXE_ruleout"));
    command.args(["demo", "--job", "1", "--who", "Ines Harrow"]);
    command.env_remove("NO_COLOR");
    let mut terminal = Terminal::run(command);
    let mut frames = Vec::new();
    for (keys, wanted, seconds) in WALK {
        if !keys.is_empty() {
            terminal.press(keys);
        }
        let last = frames.last().map(|frame: &Frame| &frame.screen);
        let screen = settled(&terminal, wanted, last);
        let seconds = *seconds;
        frames.push(Frame { screen, seconds });
    }
    terminal.press("\x03");
    assert!(terminal.ended().success());
    svg(
        &frames,
        "ruleout: from the place that smokes to the share of the complaint that it explains",
        "A recorded walk at 80 by 24. Four cautions are accepted. The place that showed most is \
         covered, and float and gauge are read with it covered. The program works out the hole \
         found, the hole that the complaint needs and the share explained, each with its range, \
         says that the share cannot be told well enough, and leads on to the running proof.",
    )
}

#[test]
fn the_recorded_walk_is_what_the_program_shows() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("assets/walk.svg");
    let now = recorded();
    for wrong in ["<script", "http:", "https:", "<image", "<foreignObject"] {
        let found = now.replace("http://www.w3.org/2000/svg", "");
        assert!(!found.contains(wrong), "{wrong} is in the picture");
    }
    assert!(now.len() < 300_000, "{} bytes", now.len());
    if std::env::var_os("RULEOUT_WRITE_WALK").is_some() {
        std::fs::write(&path, &now).unwrap();
    }
    let kept = std::fs::read_to_string(&path).unwrap_or_default();
    let first = now.lines().zip(kept.lines()).find(|(a, b)| a != b);
    assert!(
        now == kept,
        "assets/walk.svg is not what the program shows now; look at it and record it anew with \
         RULEOUT_WRITE_WALK=1. The first difference: {first:?}"
    );
}
