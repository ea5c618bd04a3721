//! Typing and pasting. A paste only ever fills a field: line ends become blanks, and nothing in it
//! is a command.

use tui_input::{Input, InputRequest};

use super::{answer, files};
use crate::flow::model::PromptKind;
use crate::tui::clean::clean;
use crate::tui::effect::Effect;
use crate::tui::keys::Context;
use crate::tui::message::Edit;
use crate::tui::model::{FieldKind, Model, Over};

/// A field takes this many characters; more is a slip or a paste gone wrong.
const LONGEST: usize = 2_000;

/// Typing in the field that has the focus.
pub fn edit(model: &mut Model, edit: Edit) -> Vec<Effect> {
    if edit == Edit::Backspace && model.context() == Context::Pairs && model.field_is_empty() {
        return answer::take_pair_back(model);
    }
    if edit == Edit::Backspace && model.has_samples() && model.field_is_empty() {
        return answer::take_sample_back(model);
    }
    if edit == Edit::Backspace && model.context() == Context::Files && model.field_is_empty() {
        return files::up(model);
    }
    let begins_anew = begins_anew(model, edit);
    let changes = !matches!(edit, Edit::Left | Edit::Right | Edit::Home | Edit::End);
    let Some(text) = field(model) else {
        return Vec::new();
    };
    if matches!(edit, Edit::Insert(_)) && text.value().chars().count() >= LONGEST {
        return Vec::new();
    }
    if begins_anew {
        text.reset();
    }
    text.handle(match edit {
        Edit::Insert(c) => InputRequest::InsertChar(c),
        Edit::Backspace => InputRequest::DeletePrevChar,
        Edit::Delete => InputRequest::DeleteNextChar,
        Edit::Left => InputRequest::GoToPrevChar,
        Edit::Right => InputRequest::GoToNextChar,
        Edit::Home => InputRequest::GoToStart,
        Edit::End => InputRequest::GoToEnd,
        Edit::Clear => InputRequest::DeleteLine,
    });
    if changes { changed(model) } else { Vec::new() }
}

/// Whether typing begins a new value: a number that was refused is seldom mended at its end, and
/// taking it away letter by letter is a nuisance with gloves on. Moving the cursor keeps it.
fn begins_anew(model: &mut Model, edit: Edit) -> bool {
    if is_proposal(model) {
        return matches!(edit, Edit::Insert(_));
    }
    let value = matches!(
        model.asked().map(|asked| &asked.prompt.kind),
        Some(PromptKind::Quantity(_))
    );
    if model.context() != Context::Value {
        return false;
    }
    let Some(open) = &mut model.open else {
        return false;
    };
    let replace = std::mem::take(&mut open.entry.replace);
    replace && value && matches!(edit, Edit::Insert(_))
}

/// Whether what stands in the field of a form is a proposal that nobody touched; from now on it is their own.
fn is_proposal(model: &mut Model) -> bool {
    if model.context() != Context::Field {
        return false;
    }
    match model.overs.last_mut() {
        Some(Over::Form(form)) => form
            .field_mut()
            .is_some_and(|field| std::mem::take(&mut field.proposed)),
        _ => false,
    }
}

/// A paste: fills the field that has the focus, or does nothing.
pub fn paste(model: &mut Model, text: &str) -> Vec<Effect> {
    // Pairs stand one a line in a table that is pasted.
    let line_end = if model.context() == Context::Pairs {
        "; "
    } else {
        " "
    };
    let lines: Vec<&str> = text
        .lines()
        .map(str::trim)
        .filter(|line| !line.is_empty())
        .collect();
    let text = clean(&lines.join(line_end));
    let anew = is_proposal(model);
    let Some(field) = field(model) else {
        return Vec::new();
    };
    if anew {
        field.reset();
    }
    let room = LONGEST.saturating_sub(field.value().chars().count());
    for c in text.chars().take(room) {
        field.handle(InputRequest::InsertChar(c));
    }
    changed(model)
}

/// The field that has the focus, if one is typed in.
fn field(model: &mut Model) -> Option<&mut Input> {
    match model.context() {
        Context::Search => Some(&mut model.board.query),
        Context::Field => match model.overs.last_mut()? {
            Over::Form(form) => form.field_mut().map(|field| &mut field.text),
            _ => None,
        },
        Context::Files => match model.overs.last_mut()? {
            Over::Files(files) => Some(&mut files.filter),
            _ => None,
        },
        Context::Value | Context::Pairs => model.open.as_mut().map(|open| &mut open.entry.text),
        _ => None,
    }
}

/// What follows from a changed field: an old complaint about it goes, a search is made anew.
fn changed(model: &mut Model) -> Vec<Effect> {
    let context = model.context();
    match context {
        Context::Search => {
            model.board.at = 0;
            return vec![Effect::Find(model.board.query.value().to_owned())];
        }
        Context::Files => {
            if let Some(Over::Files(files)) = model.overs.last_mut() {
                files.at = 0;
            }
            return files::looked_elsewhere(model);
        }
        Context::Field => {
            if let Some(Over::Form(form)) = model.overs.last_mut()
                && let Some(field) = form.field_mut()
            {
                // While codes are typed, the last of them is always unfinished.
                field.error = None;
            }
        }
        _ => {
            if let Some(open) = &mut model.open {
                open.entry.error = None;
                open.entry.again = None;
                open.entry.late = None;
                let empty = open.entry.text.value().trim().is_empty();
                // A value emptied again is as if nothing had been typed.
                if context == Context::Value || !empty {
                    open.entry.own = !empty;
                    open.entry.taken = None;
                }
            }
        }
    }
    Vec::new()
}

/// Adds a word of the field's list to what is typed.
pub fn add_listed(model: &mut Model, n: usize) {
    let Some(Over::Form(form)) = model.overs.last_mut() else {
        return;
    };
    let Some(field) = form.field_mut() else {
        return;
    };
    let FieldKind::Listed(words) = &field.kind else {
        return;
    };
    let Some(word) = words.get(n) else {
        return;
    };
    let typed = field.text.value().trim().trim_end_matches(',').to_owned();
    let text = if typed.is_empty() {
        word.clone()
    } else {
        format!("{typed}, {word}")
    };
    field.text = Input::from(text);
    field.error = None;
}
