//! The real program in a pseudo-terminal, as a person at the keyboard has it.

use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};
use std::thread;
use std::time::{Duration, Instant};

use portable_pty::{CommandBuilder, PtySize, native_pty_system};

/// Far beyond what the slowest machine needs: a bound, not a measurement.
pub const PATIENCE: Duration = Duration::from_mins(1);
/// What the screen says where a step and its question do not fit together.
pub const BY_ITSELF: &str = "It is read: go on";

/// As much of a text as surely stands in one row.
pub fn beginning(text: &str) -> &str {
    text.split_at(text.floor_char_boundary(20)).0
}

/// A program on a terminal of 80 by 24.
pub struct Terminal {
    pub child: Box<dyn portable_pty::Child + Send + Sync>,
    keys: Box<dyn Write + Send>,
    screen: Arc<Mutex<vt100::Parser>>,
    written: Arc<Mutex<Vec<u8>>>,
    tty: Option<PathBuf>,
    pair: portable_pty::PtyPair,
}

impl Terminal {
    /// The board of jobs of a folder, with somebody at the keyboard.
    pub fn start(data: &Path, who: &str) -> Self {
        let mut command = CommandBuilder::new(env!("CARGO_BIN_EXE_ruleout"));
        command.args(["--data", &data.display().to_string(), "--who", who]);
        Self::run(command)
    }

    /// Any command.
    pub fn run(mut command: CommandBuilder) -> Self {
        let size = PtySize {
            rows: 24,
            cols: 80,
            pixel_width: 0,
            pixel_height: 0,
        };
        let pair = native_pty_system().openpty(size).unwrap();
        command.env("TERM", "xterm-256color");
        // Whoever runs the tests may have settings of their own. These spare the tests the making
        // of simulated cars, which has tests of its own.
        command.env("XDG_CONFIG_HOME", crate::support::settings());
        let child = pair.slave.spawn_command(command).unwrap();
        let screen = Arc::new(Mutex::new(vt100::Parser::new(24, 80, 0)));
        let written = Arc::new(Mutex::new(Vec::new()));
        let mut output = pair.master.try_clone_reader().unwrap();
        let (seen, raw) = (Arc::clone(&screen), Arc::clone(&written));
        thread::spawn(move || {
            let mut bytes = [0; 4096];
            while let Ok(n @ 1..) = output.read(&mut bytes) {
                seen.lock().unwrap().process(&bytes[..n]);
                raw.lock().unwrap().extend_from_slice(&bytes[..n]);
            }
        });
        Self {
            child,
            keys: pair.master.take_writer().unwrap(),
            screen,
            written,
            tty: pair.master.tty_name(),
            pair,
        }
    }

    pub fn text(&self) -> String {
        self.screen.lock().unwrap().screen().contents()
    }

    pub fn screen(&self) -> vt100::Screen {
        self.screen.lock().unwrap().screen().clone()
    }

    pub fn wait_for(&self, wanted: &str) {
        let until = Instant::now() + PATIENCE;
        while !self.text().contains(wanted) {
            assert!(
                Instant::now() < until,
                "{wanted:?} does not come up on\n{}",
                self.text()
            );
            thread::sleep(Duration::from_millis(10));
        }
    }

    /// Makes the window another size.
    pub fn resize(&self, columns: u16, rows: u16) {
        let size = PtySize {
            rows,
            cols: columns,
            pixel_width: 0,
            pixel_height: 0,
        };
        self.pair.master.resize(size).unwrap();
        self.screen
            .lock()
            .unwrap()
            .screen_mut()
            .set_size(rows, columns);
    }

    pub fn press(&mut self, keys: &str) {
        self.keys.write_all(keys.as_bytes()).unwrap();
        self.keys.flush().unwrap();
    }

    /// Types, waits until the program has shown it, and accepts.
    pub fn enter(&mut self, text: &str) {
        self.press(text);
        self.wait_for(text);
        self.press("\r");
    }

    /// What stands behind a text on screen, up to the next blank.
    pub fn after(&self, text: &str) -> String {
        self.wait_for(text);
        let screen = self.text();
        let (_, behind) = screen.split_once(text).unwrap();
        behind.split_whitespace().next().unwrap().to_owned()
    }

    /// Waits for a text. A step that is shown by itself first is read and left, and so are cautions: those of a day count
    /// for that day, and a test may run at midnight.
    pub fn read_step(&mut self, wanted: &str) {
        let until = Instant::now() + PATIENCE;
        loop {
            let text = self.text();
            if text.contains(BY_ITSELF) {
                self.press("\r");
                while self.text().contains(BY_ITSELF) {
                    assert!(Instant::now() < until, "it stays by itself:\n{text}");
                    thread::sleep(Duration::from_millis(10));
                }
            } else if text.contains(wanted) {
                return;
            } else if let Some((_, behind)) = text.split_once("> Press ") {
                let number = behind.split_whitespace().next().unwrap_or_default();
                self.press(number);
                while self.text() == text {
                    assert!(Instant::now() < until, "it stays:\n{text}");
                    thread::sleep(Duration::from_millis(10));
                }
            }
            assert!(
                Instant::now() < until,
                "{wanted:?} does not come up on\n{text}"
            );
            thread::sleep(Duration::from_millis(10));
        }
    }

    pub fn kill(mut self) {
        // As when the battery is pulled: no signal that could be caught.
        self.child.kill().unwrap();
        self.child.wait().unwrap();
    }

    /// Sends it a signal by name.
    pub fn signal(&self, name: &str) {
        let pid = self.child.process_id().unwrap().to_string();
        let sent = std::process::Command::new("kill")
            .args(["-s", name, &pid])
            .status();
        assert!(sent.unwrap().success());
    }

    /// What the program has written so far, as it came.
    pub fn written(&self) -> String {
        String::from_utf8_lossy(&self.written.lock().unwrap()).into_owned()
    }

    /// How the terminal is set, in the words of `stty -a`.
    pub fn settings(&self) -> String {
        let tty = std::fs::File::open(self.tty.as_ref().unwrap()).unwrap();
        let out = std::process::Command::new("stty")
            .arg("-a")
            .stdin(tty)
            .output()
            .unwrap();
        String::from_utf8(out.stdout).unwrap()
    }

    /// Waits until the program has ended, and says how.
    pub fn ended(&mut self) -> portable_pty::ExitStatus {
        let until = Instant::now() + PATIENCE;
        loop {
            if let Some(status) = self.child.try_wait().unwrap() {
                return status;
            }
            assert!(Instant::now() < until, "it does not end:\n{}", self.text());
            thread::sleep(Duration::from_millis(10));
        }
    }
}
