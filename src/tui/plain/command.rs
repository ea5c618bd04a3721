//! Commands as words. They are the words of the key table, so that what can be done here and what
//! the screens can do are one list; only keys that move about on a screen have no command.

use crate::tui::keys::{self, Row};
use crate::tui::message::Act;
use crate::tui::model::Model;

/// What a command does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Command {
    /// An act of the key table.
    Act(Act),
    /// Lists what can be typed.
    Help,
    /// Says again what is asked.
    Again,
    /// Empties what is typed or marked.
    Empty,
    /// Takes the last pair of a list back.
    TakeBack,
}

/// Words for the commands that have no key.
const OWN: [(&str, &str, Command); 4] = [
    ("help", "list what can be typed here", Command::Help),
    (
        "again",
        "say again where the walk stands and what is asked",
        Command::Again,
    ),
    (
        "empty",
        "empty what stands in a field, or is marked",
        Command::Empty,
    ),
    (
        "take back",
        "take the last pair of a list back, to be typed anew",
        Command::TakeBack,
    ),
];

/// A command with its words and what it does.
pub struct Named {
    /// The words that are typed.
    pub words: &'static str,
    /// A line for the help.
    pub help: &'static str,
    /// What it does.
    pub command: Command,
    /// Its rank among the hints, 1 first; 0 keeps it out.
    pub rank: u8,
}

/// The commands that can be used now.
pub fn available(model: &Model) -> Vec<Named> {
    let mut all: Vec<Named> = Vec::new();
    for row in keys::available(model).filter(|row| counts(row)) {
        // The key that leaves at once and the one that leaves from the board are one command.
        if !all.iter().any(|named| named.words == row.words_in(model)) {
            all.push(Named {
                words: row.words_in(model),
                help: row.help_in(model),
                command: Command::Act(row.act),
                rank: row.foot,
            });
        }
    }
    let pairs = model.context() == keys::Context::Pairs;
    let types = model.context().types() || model.context() == keys::Context::Places;
    for (words, help, command) in OWN {
        let fits = match command {
            Command::Empty => types,
            Command::TakeBack => pairs,
            _ => true,
        };
        if fits {
            all.push(Named {
                words,
                help,
                command,
                rank: 0,
            });
        }
    }
    all
}

/// Whether a row of the key table is a command here: nothing moves about, nothing is drawn.
fn counts(row: &Row) -> bool {
    let only_drawn = matches!(
        row.act,
        Act::Accept
            | Act::Next
            | Act::Previous
            | Act::Mouse
            | Act::Redraw
            | Act::Mark
            | Act::NextPlace
            | Act::Help
            | Act::More
            | Act::Plain
            | Act::Copy
            | Act::SaveText
            | Act::Suspend
    );
    !(row.act.moves() || only_drawn)
}

/// The command that a line begins with, and the rest of the line: `skip the step no gauge`.
/// Without a rest a beginning of its words will do where it can mean nothing else.
pub fn read<'t>(model: &Model, text: &'t str) -> Option<(Command, &'t str)> {
    let all = available(model);
    let said = text.trim();
    let mut found: Option<(usize, Command, &str)> = None;
    for named in &all {
        let Some(rest) = after(said, named.words) else {
            continue;
        };
        if found.is_none_or(|(length, ..)| named.words.len() > length) {
            found = Some((named.words.len(), named.command, rest));
        }
    }
    if let Some((_, command, rest)) = found {
        return Some((command, rest));
    }
    if matches!(said, "quit" | "exit") {
        return Some((Command::Act(Act::Quit), ""));
    }
    let lower = said.to_lowercase();
    let mut starts = all
        .iter()
        .filter(|named| !lower.is_empty() && named.words.starts_with(&lower));
    match (starts.next(), starts.next()) {
        (Some(named), None) => Some((named.command, "")),
        _ => None,
    }
}

/// What follows a command's words, if the text begins with them.
fn after<'t>(text: &'t str, words: &str) -> Option<&'t str> {
    let head = text.get(..words.len())?;
    let rest = text.get(words.len()..)?;
    let ends = rest.is_empty() || rest.starts_with(char::is_whitespace);
    (ends && head.eq_ignore_ascii_case(words)).then(|| rest.trim())
}

/// Whether a line is a command and nothing else, written in full and without the slash.
pub fn bare(model: &Model, text: &str) -> Option<Command> {
    let said = text.trim();
    if said == "?" {
        return Some(Command::Help);
    }
    if matches!(said, "quit" | "exit") {
        return Some(Command::Act(Act::Quit));
    }
    available(model)
        .into_iter()
        .find(|named| named.words.eq_ignore_ascii_case(said))
        .map(|named| named.command)
}
