//! What is typed as an answer: a number, a word, a value, a pair, places, a field, a file.

use std::path::Path;

use super::session::Session;
use super::{marks, page};
use crate::engine::standing::Standing;
use crate::flow::model::PromptKind;
use crate::tui::files;
use crate::tui::keys::Context;
use crate::tui::message::{Act, Edit, Message};
use crate::tui::model::{Field, FieldKind, Form, ListKind, Over};

impl Session {
    /// An answer, in the way that what is on screen is answered.
    pub(super) fn answer(&mut self, text: &str) {
        match self.driver.model.context() {
            Context::Board => self.pick_number(text, "type the number of a job, or a command"),
            Context::Search => self.search(text),
            Context::Field => self.field(text),
            Context::Words => self.word_of_form(text),
            Context::List | Context::Ways => {
                self.pick_number(text, "type one of the numbers, or a command");
            }
            Context::Files => self.file(text),
            Context::Caution => self.caution(text),
            Context::Choice => self.choice(text),
            Context::Places => self.places(text),
            Context::Value | Context::Pairs => self.typed(text),
            _ if text.is_empty() => self.accept(),
            _ => self.refuse(&format!(
                "`{text}` is no command here: Enter alone goes on, `help` lists the commands"
            )),
        }
    }

    fn accept(&mut self) {
        self.act(Act::Accept);
        self.complaint();
    }

    /// Says what is wrong with what was entered for the question. What may be kept as it is stays,
    /// for Enter alone to keep it; anything else is gone.
    fn complaint(&mut self) {
        let Some(open) = &mut self.driver.model.open else {
            return;
        };
        let Some(error) = open.entry.error.take() else {
            return;
        };
        let asked_again = open.entry.again.is_some() || open.entry.nowhere;
        if asked_again {
            self.ask_again(&error);
            return;
        }
        self.refuse(&error);
        if self.driver.model.context().types() {
            self.send(Message::Edit(Edit::Clear));
        }
    }

    fn replace(&mut self, text: &str) {
        self.send(Message::Edit(Edit::Clear));
        self.send(Message::Paste(text.to_owned()));
    }

    fn pick_number(&mut self, text: &str, how: &str) {
        if text.is_empty() {
            if self.driver.model.picked().is_some() && self.driver.model.context() == Context::Ways
            {
                self.accept();
            } else {
                self.refuse(how);
            }
            return;
        }
        let count = self.driver.model.count();
        match text.parse::<usize>() {
            Ok(n) if (1..=count).contains(&n) => {
                let kind = match self.driver.model.overs.last() {
                    Some(Over::List { kind, .. }) => Some(*kind),
                    _ => None,
                };
                self.send(Message::Pick(n - 1));
                // Of what is to be seen off the car the number itself confirms.
                if !matches!(kind, Some(ListKind::Fitted | ListKind::FittedBeforeProof)) {
                    self.accept();
                }
                self.read_out();
            }
            Ok(n) => self.refuse(&format!(
                "there is no {n} here: the list goes from 1 to {count}"
            )),
            Err(_) => self.refuse(&format!("`{text}`: {how}; `help` lists the commands")),
        }
    }

    fn search(&mut self, text: &str) {
        let count = self.driver.model.board.shown().len();
        let found = !self.driver.model.board.query.value().trim().is_empty();
        match text.parse::<usize>() {
            _ if text.is_empty() => self.refuse("type words to search for, or `back`"),
            Ok(n) if found && (1..=count).contains(&n) => {
                self.send(Message::Pick(n - 1));
                self.accept();
            }
            _ => self.replace(text),
        }
    }

    /// Fills a field of a form in and goes on to the next; the last one saves.
    fn field(&mut self, text: &str) {
        if !text.is_empty() {
            self.replace(text);
        }
        if !self.is_mistaken() {
            self.next_or_save();
        }
    }

    fn word_of_form(&mut self, text: &str) {
        let words = match self.form().and_then(Form::field).map(|field| &field.kind) {
            Some(FieldKind::Words { words, .. }) => words.clone(),
            _ => return,
        };
        if let Some(n) = one_of(text, &words) {
            self.send(Message::Pick(n));
        } else if !text.is_empty() {
            self.refuse(&format!("`{text}`: choose one of {}", words.join(", ")));
            return;
        }
        if !self.is_mistaken() {
            self.next_or_save();
        }
    }

    fn next_or_save(&mut self) {
        self.act(Act::Accept);
        let error = self.form().and_then(|form| {
            let field = form.field()?;
            let error = field.error.clone()?;
            Some(format!("{}: {error}", field.label))
        });
        if let Some(error) = error {
            // An unusual value may be kept; it was understood.
            self.say(&format!("! {error}"));
        }
    }

    /// Whether the field cannot stay as it is, which is said at once.
    fn is_mistaken(&mut self) -> bool {
        let mistake = self.form().and_then(Form::field).and_then(Field::mistake);
        match mistake {
            Some(mistake) => {
                self.refuse(&mistake);
                // What cannot stay does not stand there to be kept.
                self.send(Message::Edit(Edit::Clear));
                true
            }
            None => false,
        }
    }

    fn form(&self) -> Option<&Form> {
        match self.driver.model.overs.last() {
            Some(Over::Form(form)) => Some(form),
            _ => None,
        }
    }

    fn caution(&mut self, text: &str) {
        let words = match self.driver.model.standing() {
            Standing::Cautions(due) => due.first().map(|caution| page::own_words(caution)),
            _ => None,
        };
        let Some(words) = words else {
            return;
        };
        if text.eq_ignore_ascii_case(&words) {
            let number = self.driver.model.caution_number();
            self.send(Message::Pick(number - 1));
        } else {
            self.refuse(&format!(
                "read it, then type: {words}. Each caution is accepted by its own name."
            ));
        }
    }

    /// Whether a text is one of the words that the question on screen offers.
    pub(super) fn is_choice(&self, text: &str) -> bool {
        self.words()
            .is_some_and(|words| words.iter().any(|word| word.eq_ignore_ascii_case(text)))
    }

    fn words(&self) -> Option<Vec<String>> {
        match &self.driver.model.asked()?.prompt.kind {
            PromptKind::Choice(words) if self.driver.model.overs.is_empty() => Some(words.clone()),
            _ => None,
        }
    }

    fn choice(&mut self, text: &str) {
        let Some(words) = self.words() else {
            return;
        };
        if let Some(n) = one_of(text, &words) {
            self.send(Message::Pick(n));
        } else if !text.is_empty() {
            self.refuse(&format!(
                "`{text}`: choose 1 to {}, or the word",
                words.len()
            ));
            return;
        }
        self.accept();
    }

    fn places(&mut self, text: &str) {
        if text.is_empty() {
            self.accept();
            return;
        }
        match self.picks(text) {
            Ok(picks) => {
                self.pick_all(&picks);
                if let Some(marked) = page::marked(&self.driver.model) {
                    self.say(&marked);
                }
            }
            Err(why) => self.refuse(&why),
        }
    }

    pub(super) fn pick_all(&mut self, picks: &[usize]) {
        for n in picks {
            self.send(Message::Pick(*n));
        }
    }

    pub(super) fn picks(&self, text: &str) -> Result<Vec<usize>, String> {
        let model = &self.driver.model;
        let (Some(asked), Some(open)) = (model.asked(), &model.open) else {
            return Ok(Vec::new());
        };
        match &asked.prompt.kind {
            PromptKind::Places(listed) => {
                let places = open.entry.places_in_order(listed);
                marks::picks(text, &places, &open.entry.places)
            }
            _ => Ok(Vec::new()),
        }
    }

    /// A value, words, or a pair.
    fn typed(&mut self, text: &str) {
        if !text.is_empty() {
            self.replace(text);
        }
        self.accept();
    }

    /// A file by its number or path: what it would fill is said, and Enter alone fills it in.
    fn file(&mut self, text: &str) {
        if text.is_empty() {
            self.accept();
            return;
        }
        let Some(Over::Files(picker)) = self.driver.model.overs.last() else {
            return;
        };
        let count = picker.listed().len();
        if let Some(n) = text
            .parse::<usize>()
            .ok()
            .and_then(|n| n.checked_sub(1))
            .filter(|n| *n < count)
        {
            self.send(Message::Pick(n));
            self.enter_folder();
            return;
        }
        let path = picker.folder.path.join(text);
        self.path(&path);
    }

    fn enter_folder(&mut self) {
        let folder = match self.driver.model.overs.last() {
            Some(Over::Files(picker)) => picker.picked().is_some_and(|entry| entry.folder),
            _ => false,
        };
        if folder {
            self.accept();
        }
    }

    fn path(&mut self, path: &Path) {
        let places = match self.driver.model.overs.last() {
            Some(Over::Files(picker)) => picker.places.clone(),
            _ => return,
        };
        if path.is_dir() {
            self.send(Message::Folder(Box::new(files::folder(path)), places));
            return;
        }
        let folder = path.parent().map(files::folder).unwrap_or_default();
        let name = path
            .file_name()
            .map(|name| name.to_string_lossy().into_owned());
        let at = name.and_then(|name| folder.entries.iter().position(|e| e.name == name));
        let Some(at) = at else {
            self.refuse(&format!("there is no file {}", path.display()));
            return;
        };
        self.send(Message::Folder(Box::new(folder), places));
        self.send(Message::Pick(at));
    }
}

/// A word by its number, itself, or a beginning that can mean nothing else.
fn one_of(text: &str, words: &[String]) -> Option<usize> {
    if let Ok(n) = text.parse::<usize>() {
        return n.checked_sub(1).filter(|n| *n < words.len());
    }
    let lower = text.to_lowercase();
    if lower.is_empty() {
        return None;
    }
    if let Some(n) = words.iter().position(|word| word.to_lowercase() == lower) {
        return Some(n);
    }
    let mut starts = words
        .iter()
        .enumerate()
        .filter(|(_, word)| word.to_lowercase().starts_with(&lower));
    match (starts.next(), starts.next()) {
        (Some((n, _)), None) => Some(n),
        _ => None,
    }
}
