//! The same walk line by line, for screen readers, pipes and slow links: lines are added, nothing is
//! drawn again. A [`session::Session`] turns what is typed into the messages of the screens'
//! [`update`](super::update), so that both walk by one set of rules; this file reads the lines.

mod command;
mod marks;
mod page;
mod screen;
pub mod session;
mod typed;

use std::io::{self, BufRead, IsTerminal, Read, Write};
use std::sync::mpsc::{Receiver, RecvTimeoutError, SyncSender, sync_channel};
use std::thread;
use std::time::Duration;

use uuid::Uuid;

use super::checker::Checker;
use super::{Flows, Options, TICK, TuiError, begun, claimed, farewell};
use session::{Said, Session};

/// A line longer than this, in bytes, is cut: no answer is.
const LONGEST: u64 = 64 * 1_024;

/// How the walk ended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Ended {
    /// It was left, or the input ended.
    Left,
    /// A piped line was not taken. Those after it were meant for something else, and were not read.
    NotTaken {
        /// Its number, from 1.
        line: u64,
        /// Why not.
        why: String,
    },
}

/// What comes in.
enum Coming {
    Line(String),
    End,
    /// A signal that ends the program.
    Signal(i32),
}

/// Walks line by line until the user leaves or the input ends; with a job, that one is opened first.
///
/// # Errors
/// If nothing can be written; everything accepted before is kept.
pub fn run(options: Options, job: Option<Uuid>) -> Result<Ended, TuiError> {
    let (mut begun, notes) = begun(options);
    let shelf = (begun.shelf)().map_err(TuiError::Flows)?;
    begun.driver.model.put_shelf(shelf);
    let mut checker = Checker::default();
    checker.look_at(&begun.driver.model.shelf);
    // A script cannot wait, and a line more would be its next answer.
    begun.driver.model.asks_to_wait = io::stdin().is_terminal();
    let (session, said) = Session::begin(begun.driver, job);
    let mut walk = Walk {
        session,
        flows: begun.flows,
        checker,
        echo: !io::stdin().is_terminal(),
        prompted: false,
    };
    let ended = walk.say(&said).and_then(|()| walk.lines());
    let (ended, signal) = match ended {
        // A reader that has gone away has all it wants.
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => return Ok(Ended::Left),
        other => other?,
    };
    if walk.prompted {
        writeln!(io::stdout())?;
    }
    farewell(walk.session.model(), &notes)?;
    // The claim is given back before the program ends.
    drop(walk);
    if let Some(signal) = signal {
        end_as(signal);
    }
    Ok(ended)
}

/// A session with its lines.
struct Walk {
    session: Session,
    flows: Option<Flows>,
    /// Looks at the owner's flows meanwhile.
    checker: Checker,
    /// What comes from a pipe is repeated, so that what comes out can be read by itself.
    echo: bool,
    /// A prompt stands at the end of what was written.
    prompted: bool,
}

impl Walk {
    /// Takes lines in until the walk ends, and by which signal it did, if by one.
    fn lines(&mut self) -> io::Result<(Ended, Option<i32>)> {
        let coming = coming()?;
        let mut number = 0;
        // The line of a pipe that was asked about, and why: the next one confirms it, or is meant for something else.
        let mut asked: Option<(u64, String)> = None;
        loop {
            let next = self.next(&coming)?;
            // The same text once more may be the answer to the next question.
            let confirms = match &next {
                Coming::Line(line) => line.trim().is_empty(),
                Coming::Signal(_) => true,
                Coming::End => false,
            };
            if let Some((line, why)) = asked.take_if(|_| !confirms) {
                return Ok((Ended::NotTaken { line, why }, None));
            }
            asked = None;
            let said = match next {
                Coming::End => return Ok((Ended::Left, None)),
                Coming::Signal(signal) => return Ok((Ended::Left, Some(signal))),
                Coming::Line(line) => {
                    number += 1;
                    if self.echo {
                        writeln!(io::stdout(), "{}", super::clean::clean(line.trim()))?;
                    }
                    self.prompted = false;
                    self.session.line(&line)
                }
            };
            self.say(&said)?;
            if said.left {
                return Ok((Ended::Left, None));
            }
            if let Some(why) = said.asked_again.filter(|_| self.echo) {
                asked = Some((number, why));
            }
            if let Some(why) = said.refused.filter(|_| self.echo) {
                return Ok((Ended::NotTaken { line: number, why }, None));
            }
        }
    }

    /// The next line. While none comes, timers run out, the claim is renewed, and flow files that
    /// change are read anew.
    fn next(&mut self, coming: &Receiver<Coming>) -> io::Result<Coming> {
        loop {
            let Some(wait) = self.wait() else {
                return Ok(coming.recv().unwrap_or(Coming::End));
            };
            match coming.recv_timeout(wait) {
                Ok(came) => return Ok(came),
                Err(RecvTimeoutError::Disconnected) => return Ok(Coming::End),
                Err(RecvTimeoutError::Timeout) => {}
            }
            let read = self.flows.as_mut().and_then(|look| look());
            let said = match (read, self.checker.found()) {
                (Some(read), _) => {
                    let said = self.session.flows(read);
                    self.checker.look_at(&self.session.model().shelf);
                    said
                }
                (None, Some(found)) => self.session.checked(found),
                (None, None) => self.session.tick(),
            };
            if said.bell || !said.lines.is_empty() {
                self.say(&said)?;
            }
        }
    }

    fn wait(&mut self) -> Option<Duration> {
        let looks = self.flows.is_some() || self.checker.is_looking();
        if looks || self.session.model().is_ticking() {
            return Some(TICK);
        }
        let holds = self.session.driver_mut().holds();
        holds.then(|| claimed::RENEW.to_std().unwrap_or(TICK))
    }

    fn say(&mut self, said: &Said) -> io::Result<()> {
        let mut out = io::stdout().lock();
        if self.prompted {
            writeln!(out)?;
            self.prompted = false;
        }
        // Only a terminal has a bell; in a file it would be rubbish.
        if said.bell && out.is_terminal() {
            out.write_all(b"\x07")?;
        }
        for line in &said.lines {
            writeln!(out, "{line}")?;
        }
        if !said.left {
            write!(out, "{}", said.prompt)?;
            self.prompted = true;
        }
        out.flush()
    }
}

/// Lines as they come in, and signals that end the program.
fn coming() -> io::Result<Receiver<Coming>> {
    // A line waits until the one before it was taken, so that a long file is not held in memory.
    let (sender, receiver) = sync_channel(0);
    signals(sender.clone())?;
    thread::spawn(move || {
        let mut input = io::stdin().lock();
        loop {
            let mut bytes = Vec::new();
            let read = input.by_ref().take(LONGEST).read_until(b'\n', &mut bytes);
            let came = match read {
                Ok(read) if read > 0 => Coming::Line(String::from_utf8_lossy(&bytes).into_owned()),
                _ => Coming::End,
            };
            let ends = matches!(came, Coming::End);
            if sender.send(came).is_err() || ends {
                return;
            }
        }
    });
    Ok(receiver)
}

#[cfg(unix)]
fn signals(sender: SyncSender<Coming>) -> io::Result<()> {
    use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM};
    let mut signals = signal_hook::iterator::Signals::new([SIGINT, SIGTERM, SIGHUP])?;
    thread::spawn(move || {
        if let Some(signal) = signals.forever().next() {
            let _ = sender.send(Coming::Signal(signal));
        }
    });
    Ok(())
}

/// Ends the process as the signal would have: whoever sent it sees why it ended.
#[cfg(unix)]
fn end_as(signal: i32) {
    let _ = signal_hook::low_level::emulate_default_handler(signal);
}

#[cfg(not(unix))]
fn signals(_: SyncSender<Coming>) -> io::Result<()> {
    Ok(())
}

#[cfg(not(unix))]
fn end_as(_: i32) {}
