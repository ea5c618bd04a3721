//! Keys and what they stand for. Handler, footer, help and the list of acts are all made from the
//! one table in [`table`] and beside it, so that they cannot part. Owns the lookup; knows of the model only what
//! the rows' own conditions ask.

mod evidence;
mod moves;
pub mod own;
mod practice;
mod table;

use super::input::{Key, Press};
use super::message::{Act, Edit, Message};
use super::model::{Demo, Model};

/// What is on screen, as far as keys are concerned.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Context {
    /// The board of jobs.
    Board,
    /// The search line of the board.
    Search,
    /// A field of a form that is typed in.
    Field,
    /// A field of a form with words to choose from.
    Words,
    /// A list that lies over the screen.
    List,
    /// A text that lies over the screen.
    Text,
    /// The picker of files.
    Files,
    /// The record of a job.
    Record,
    /// The walk: some ways to go on, numbered.
    Ways,
    /// The walk: a caution.
    Caution,
    /// The walk: a step is read through before its first question.
    Brief,
    /// The walk: a value or words are typed.
    Value,
    /// The walk: one of some words is chosen.
    Choice,
    /// The walk: places with their strength.
    Places,
    /// The walk: pairs of values are typed.
    Pairs,
    /// The walk: everything is read, and judged.
    Judged,
    /// The screen as plain text.
    Plain,
    /// The evidence.
    Evidence,
}

impl Context {
    /// All contexts.
    pub const ALL: [Self; 18] = [
        Self::Board,
        Self::Search,
        Self::Field,
        Self::Words,
        Self::List,
        Self::Text,
        Self::Files,
        Self::Record,
        Self::Ways,
        Self::Caution,
        Self::Brief,
        Self::Value,
        Self::Choice,
        Self::Places,
        Self::Pairs,
        Self::Judged,
        Self::Plain,
        Self::Evidence,
    ];

    /// Whether characters are typed into a field, so that letters and digits are no commands.
    pub fn types(self) -> bool {
        matches!(
            self,
            Self::Search | Self::Field | Self::Files | Self::Value | Self::Pairs
        )
    }

    /// Whether digits pick from a numbered list.
    pub fn picks(self) -> bool {
        use Context::{Board, Caution, Choice, Evidence, List, Places, Ways, Words};
        matches!(
            self,
            Board | Words | List | Ways | Choice | Places | Caution | Evidence
        )
    }

    /// Whether it is part of the walk.
    pub fn walks(self) -> bool {
        use Context::{Brief, Caution, Choice, Judged, Pairs, Places, Value, Ways};
        matches!(
            self,
            Ways | Caution | Brief | Value | Choice | Places | Pairs | Judged
        )
    }
}

/// One row of the key table.
pub struct Row {
    /// What it does.
    pub act: Act,
    /// The keys, the one to be shown first at the front.
    pub keys: &'static [Press],
    /// A word or two for the footer.
    pub words: &'static str,
    /// A line for the help.
    pub help: &'static str,
    /// Where it counts.
    pub contexts: &'static [Context],
    /// When it can be done.
    pub when: fn(&Model) -> bool,
    /// Its rank in the footer, 1 first; 0 keeps it out.
    pub foot: u8,
}

impl Row {
    /// Its usual keys that count in a context; [`own::Own`] has those of the workshop.
    pub fn keys_in(&self, context: Context) -> impl Iterator<Item = Press> {
        let keys = self.keys.iter().copied();
        keys.filter(move |press| own::counts(*press, context))
    }

    /// A word or two for the footer, as it is called where the model stands.
    pub fn words_in(&self, model: &Model) -> &'static str {
        if self.goes_back(model) {
            return "own jobs";
        }
        self.in_practice(model)
            .map_or(self.words, |(_, words, _)| words)
    }

    /// A line for the help, as it is called where the model stands.
    pub fn help_in(&self, model: &Model) -> &'static str {
        if self.goes_back(model) {
            return "back to the workshop's own jobs; these are thrown away";
        }
        self.in_practice(model)
            .map_or(self.help, |(_, _, help)| help)
    }

    /// What it does where the model stands: the letter that leaves the program leads back where the demo jobs were come to
    /// from.
    pub fn act_in(&self, model: &Model) -> Act {
        if self.goes_back(model) {
            Act::Return
        } else {
            self.act
        }
    }

    fn goes_back(&self, model: &Model) -> bool {
        self.act == Act::Quit && !self.is_fixed() && model.demo == Demo::BesideOwn
    }

    fn in_practice(&self, model: &Model) -> Option<&'static (Act, &'static str, &'static str)> {
        let mut own = practice::OF_EXERCISES.iter().filter(|_| model.practice);
        own.find(|(act, ..)| *act == self.act)
    }
}

/// From this many items on, a number is typed rather than a digit pressed.
pub const LONG: usize = 10;

/// The digits that pick here: their name and a word for the footer, if any do.
pub fn digits(model: &Model) -> Option<(String, &'static str)> {
    let context = model.context();
    if !context.picks() {
        return None;
    }
    if context == Context::Caution {
        return Some((model.caution_number().to_string(), "accept"));
    }
    let count = model.count();
    match count {
        0 => None,
        1 => Some(("1".to_owned(), "pick")),
        LONG.. => Some((format!("1-{count}"), "number")),
        _ => Some((format!("1-{count}"), "pick")),
    }
}

const EXPLAIN: Key = Key::Char('?');

fn types_a_character(press: Press) -> bool {
    matches!(press.key, Key::Char(_))
}

/// All rows.
pub fn all() -> impl Iterator<Item = &'static Row> {
    let tables = [table::TABLE, practice::PRACTICE, evidence::EVIDENCE];
    tables.into_iter().flatten().chain(moves::MOVES)
}

/// The rows that count in a context.
pub fn rows(context: Context) -> impl Iterator<Item = &'static Row> {
    all().filter(move |row| row.contexts.contains(&context))
}

/// Whether an act is for exercises only, so that nobody reads of it beside a real car.
pub fn is_of_exercises(act: Act) -> bool {
    matches!(
        act,
        Act::TakeReading | Act::Hands | Act::Debrief | Act::People
    )
}

/// The rows that can be done now.
pub fn available(model: &Model) -> impl Iterator<Item = &'static Row> {
    available_in(model, model.context())
}

/// The rows that can be done in a context, as the model stands.
pub fn available_in(model: &Model, context: Context) -> impl Iterator<Item = &'static Row> {
    rows(context)
        .filter(move |row| !model.keys.in_context(row, context).is_empty())
        .filter(|row| (row.when)(model))
}

/// The rows of the footer, as the model stands. That a reading can be taken is not offered where only the apprentice can
/// say it; who asks all the same is told so.
pub fn in_footer(model: &Model) -> impl Iterator<Item = &'static Row> {
    let takes = model.can_be_taken();
    available(model)
        .filter(|row| row.act != Act::NextJob || model.has_other_job())
        .filter(|row| row.foot > 0)
        .filter(move |row| takes || row.act != Act::TakeReading)
}

/// What a key means now.
pub fn meaning(model: &Model, press: Press) -> Option<Message> {
    let context = model.context();
    let typed_already = context.types() && !model.field_is_empty();
    let row = available(model).find(|row| {
        model.keys.in_context(row, context).contains(&press)
            && !(typed_already && press.key == EXPLAIN)
    });
    if let Some(row) = row {
        return Some(Message::Do(row.act_in(model)));
    }
    if let Some(act) = listed_in_more(model, press) {
        return Some(Message::Listed(act));
    }
    // Whoever has timed it by the watch is told that the clock here was never started, or that there is none.
    let of_clock = |row: &&Row| matches!(row.act, Act::Timer | Act::TimeUp);
    let mut clock = rows(context).filter(of_clock);
    if let Some(row) = clock.find(|row| model.keys.in_context(row, context).contains(&press)) {
        return Some(Message::Do(row.act));
    }
    // Enter accepts no caution and nothing that is not picked, and says what does.
    if context.picks() && press == Press::plain(Key::Enter) {
        return Some(Message::Do(Act::Accept));
    }
    if context.picks()
        && let Key::Char(digit @ '0'..='9') = press.key
        && !press.ctrl
    {
        let digit = digit as u8 - b'0';
        // No item has the number 0, which is said as any other number that is not there.
        return match usize::from(digit).checked_sub(1) {
            // At a stop a reading that is typed once more must not pick what clears it.
            Some(n) if model.count() < LONG && !model.is_stopped() => Some(Message::Pick(n)),
            None if context == Context::Caution => Some(Message::Do(Act::Accept)),
            _ => Some(Message::Digit(digit)),
        };
    }
    if context.types() {
        edit(press).map(Message::Edit)
    } else {
        None
    }
}

/// What a key does that stands beside its item in the list of everything that can be done, while that list is open. Digits
/// pick there.
fn listed_in_more(model: &Model, press: Press) -> Option<Act> {
    if !model.shows_more() || matches!(press.key, Key::Char('0'..='9')) {
        return None;
    }
    let context = model.context_below();
    let row = available_in(model, context)
        .find(|row| model.keys.in_context(row, context).contains(&press))?;
    model.lists_in_more(row.act).then_some(row.act)
}

fn edit(press: Press) -> Option<Edit> {
    Some(match press {
        Press {
            key: Key::Char('u'),
            ctrl: true,
        } => Edit::Clear,
        Press { ctrl: true, .. } => return None,
        Press {
            key: Key::Char(c), ..
        } => Edit::Insert(c),
        Press {
            key: Key::Backspace,
            ..
        } => Edit::Backspace,
        Press {
            key: Key::Delete, ..
        } => Edit::Delete,
        Press { key: Key::Left, .. } => Edit::Left,
        Press {
            key: Key::Right, ..
        } => Edit::Right,
        Press { key: Key::Home, .. } => Edit::Home,
        Press { key: Key::End, .. } => Edit::End,
        _ => return None,
    })
}

/// The first key of an act as people call it, in a context; its name where it has none there.
pub fn shown(model: &Model, act: Act, context: Context) -> String {
    let key = rows(context)
        .filter(|row| row.act == act)
        .find_map(|row| model.keys.in_context(row, context).first().copied());
    key.map_or_else(|| own::act_name(act), name)
}

/// A key as people call it.
pub fn name(press: Press) -> String {
    let key = match press.key {
        Key::Char(' ') => "Space".to_owned(),
        Key::Char(c) => c.to_string(),
        Key::F(n) => format!("F{n}"),
        Key::BackTab => "Shift-Tab".to_owned(),
        Key::PageUp => "PgUp".to_owned(),
        Key::PageDown => "PgDn".to_owned(),
        other => format!("{other:?}"),
    };
    if press.ctrl {
        format!("Ctrl-{}", key.to_uppercase())
    } else {
        key
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn no_key_stands_for_two_things_in_one_context() {
        for context in Context::ALL {
            let mut seen = BTreeSet::new();
            for row in rows(context) {
                for key in row.keys_in(context) {
                    assert!(seen.insert(name(key)), "{} twice in {context:?}", name(key));
                }
            }
            if context.picks() {
                assert!(
                    !seen
                        .iter()
                        .any(|k| k.len() == 1 && k.as_bytes()[0].is_ascii_digit()),
                    "{context:?}"
                );
            }
        }
    }

    #[test]
    fn every_row_is_documented_in_plain_letters_and_reachable() {
        for row in all() {
            assert!(
                !row.words.is_empty() && row.words.len() <= 16,
                "{:?}: {}",
                row.act,
                row.words
            );
            assert!(
                row.help.len() >= 10 && row.help.len() <= 72,
                "{:?}: {}",
                row.act,
                row.help
            );
            assert!(
                !row.keys.is_empty() && !row.contexts.is_empty(),
                "{:?}",
                row.act
            );
            let shown = row.keys.iter().map(|k| name(*k)).collect::<String>();
            assert!(shown.is_ascii(), "{shown}");
            for context in row.contexts {
                assert!(
                    row.keys_in(*context).next().is_some(),
                    "{:?} has no key in {context:?}",
                    row.act
                );
            }
        }
    }

    #[test]
    fn every_context_can_be_left_explained_and_quit() {
        for context in Context::ALL {
            for act in [Act::Help, Act::Quit] {
                assert!(
                    context == Context::Text || rows(context).any(|r| r.act == act),
                    "{act:?} in {context:?}"
                );
            }
            let back = [Act::Back, Act::Quit];
            assert!(rows(context).any(|r| back.contains(&r.act)), "{context:?}");
        }
    }
}
