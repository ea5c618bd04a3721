//! Moving about: in lists, forms and texts; and picking by number.

use tui_input::Input;

use super::{accept, edit, evidence, files, number};
use crate::flow::answer::Strength;
use crate::flow::model::PromptKind;
use crate::tui::effect::Effect;
use crate::tui::keys::Context;
use crate::tui::message::Act;
use crate::tui::model::{Field, FieldKind, ListKind, Model, Over, listed, one_of};
use crate::tui::theme::Role;

/// Up, down, pages, beginning, end.
pub fn go(model: &mut Model, act: Act) -> Vec<Effect> {
    let page = usize::from(model.size.1 / 2).max(1);
    let pages = matches!(act, Act::PageUp | Act::PageDown);
    let context = model.context();
    match context {
        Context::Board | Context::Search => {
            let count = model.count();
            model.board.at = moved(Some(model.board.at), count, act, page).unwrap_or(0);
        }
        Context::Field => return next_field(model, act == Act::Down),
        Context::Words if matches!(act, Act::Up | Act::Down) => {
            return next_field(model, act == Act::Down);
        }
        Context::Words => other_word(model, act, page),
        Context::Files => {
            if let Some(Over::Files(files)) = model.overs.last_mut() {
                let count = files.listed().len();
                files.at = moved(Some(files.at), count, act, page).unwrap_or(0);
            }
            return files::looked_elsewhere(model);
        }
        Context::Evidence => return evidence::go(model, act, page),
        Context::List => {
            let count = model.count();
            if let Some(Over::List { at, .. }) = model.overs.last_mut() {
                *at = moved(*at, count, act, page);
            }
        }
        Context::Ways | Context::Choice | Context::Places
            if !pages || context == Context::Ways && model.count() > 0 && !model.is_stopped() =>
        {
            let count = model.count();
            if let Some(open) = &mut model.open {
                // To move the mark is to choose; places are only looked at.
                open.entry.own |= context == Context::Choice;
                let at = if open.entry.key.is_some() {
                    &mut open.entry.at
                } else {
                    &mut open.at
                };
                // A way takes several rows.
                *at = moved(*at, count, act, (page / 4).max(1));
            }
        }
        _ => scroll(model, act, page),
    }
    Vec::new()
}

/// Another word of the row is picked.
fn other_word(model: &mut Model, act: Act, page: usize) {
    let act = match act {
        Act::WordBefore => Act::Up,
        Act::WordAfter => Act::Down,
        other => other,
    };
    if let Some(Over::Form(form)) = model.overs.last_mut()
        && let Some(FieldKind::Words { words, at }) = form.field_mut().map(|f| &mut f.kind)
    {
        *at = moved(*at, words.len(), act, page);
    }
}

/// The wheel moves a list by one and scrolls a text by three lines. In a form it does nothing: a
/// nudge must not move the focus.
pub fn wheel(model: &mut Model, down: bool) -> Vec<Effect> {
    let act = if down { Act::Down } else { Act::Up };
    match model.context() {
        Context::Board | Context::Search | Context::List | Context::Files | Context::Ways => {
            return go(model, act);
        }
        Context::Field | Context::Words => {}
        _ => (0..3).for_each(|_| scroll(model, act, 1)),
    }
    Vec::new()
}

/// Where a list's cursor goes.
pub(super) fn moved(at: Option<usize>, count: usize, act: Act, page: usize) -> Option<usize> {
    let last = count.checked_sub(1)?;
    let to = match (act, at) {
        (Act::First, _) | (Act::Down | Act::PageDown, None) => 0,
        (Act::Last, _) | (Act::Up | Act::PageUp, None) => last,
        (Act::Up, Some(at)) => at.saturating_sub(1),
        (Act::PageUp, Some(at)) => at.saturating_sub(page),
        (Act::PageDown, Some(at)) => at + page,
        (_, Some(at)) => at + 1,
        (_, None) => 0,
    };
    Some(to.min(last))
}

pub(super) fn scroll(model: &mut Model, act: Act, page: usize) {
    let page = u16::try_from(page).unwrap_or(u16::MAX);
    if let Some(scroll) = model.scroll_mut() {
        *scroll = match act {
            Act::Up => scroll.saturating_sub(1),
            Act::Down => scroll.saturating_add(1),
            Act::PageUp => scroll.saturating_sub(page),
            Act::PageDown => scroll.saturating_add(page),
            Act::First => 0,
            _ => u16::MAX,
        };
    }
}

/// To the next field of the form, or to the one before; round at the ends.
pub fn next_field(model: &mut Model, forward: bool) -> Vec<Effect> {
    let mut guess = None;
    if let Some(Over::Form(form)) = model.overs.last_mut() {
        let count = form.fields.len().max(1);
        guess = form.field().and_then(Field::guess);
        let mistake = form.field().and_then(|field| {
            let empty = field.text.value().trim().is_empty();
            // An empty field is no mistake yet while somebody is still on the way through.
            if empty { None } else { field.mistake() }
        });
        if let Some(field) = form.field_mut() {
            // What was said about it when it was sent stays until something is typed: the same
            // once more keeps an unusual value.
            field.error = mistake.or(field.error.take());
            field.note_warned();
            spell_out(field);
        }
        form.at = (form.at + if forward { 1 } else { count - 1 }) % count;
    }
    if let Some(guess) = guess {
        let text = format!("{guess}: go back to the field if you meant another.");
        model.say(Role::Plain, text);
    }
    Vec::new()
}

/// Numbers of a list become its words, so that what will be saved can be read.
fn spell_out(field: &mut Field) {
    if let FieldKind::OneOf(words, _) = &field.kind
        && let Ok(word) = one_of(field.text.value().trim(), words)
        && !word.is_empty()
    {
        field.text = Input::from(word);
        return;
    }
    if let FieldKind::Listed(words) = &field.kind
        && let Ok(listed) = listed(field.text.value(), words)
        && !listed.is_empty()
    {
        field.text = Input::from(listed.join(", "));
    }
}

/// Gives a field the focus.
pub fn focus(model: &mut Model, n: usize) -> Vec<Effect> {
    if let Some(Over::Form(form)) = model.overs.last_mut()
        && n < form.fields.len()
    {
        form.at = n;
    }
    Vec::new()
}

/// Picks the item with this number, from 0.
pub fn pick(model: &mut Model, n: usize) -> Vec<Effect> {
    let context = model.context();
    if context.picks() && context != Context::Caution && n >= model.count() {
        number::refuse(model, &(n + 1).to_string());
        return Vec::new();
    }
    match context {
        Context::Board | Context::Search => model.board.at = n,
        Context::Field => edit::add_listed(model, n),
        Context::Words => {
            if let Some(Over::Form(form)) = model.overs.last_mut()
                && let Some(field) = form.field_mut()
                && let FieldKind::Words { words, at } = &mut field.kind
                && n < words.len()
            {
                *at = Some(n);
                field.error = None;
            }
        }
        Context::List => {
            if let Some(Over::List { at, kind }) = model.overs.last_mut() {
                *at = Some(n);
                // Each is looked at by itself, and its number says so.
                if matches!(kind, ListKind::Fitted | ListKind::FittedBeforeProof) {
                    return accept::accept(model);
                }
            }
        }
        Context::Ways | Context::Choice => {
            let choice = model.context() == Context::Choice;
            if let Some(open) = &mut model.open {
                if choice {
                    open.entry.at = Some(n);
                    open.entry.own = true;
                    open.entry.taken = None;
                    open.entry.error = None;
                } else {
                    open.at = Some(n);
                }
            }
        }
        Context::Files => {
            if let Some(Over::Files(files)) = model.overs.last_mut() {
                files.at = n;
            }
            return files::looked_elsewhere(model);
        }
        Context::Places => cycle_place(model, n),
        Context::Caution => return accept::caution(model, n + 1),
        Context::Evidence => return evidence::pick(model, n),
        _ => {}
    }
    Vec::new()
}

/// A place goes round: nothing, wisp, steady, heavy.
fn cycle_place(model: &mut Model, n: usize) {
    let listed = match model.asked().map(|asked| &asked.prompt.kind) {
        Some(PromptKind::Places(listed)) => listed.clone(),
        _ => return,
    };
    let Some(open) = &mut model.open else {
        return;
    };
    let entry = &mut open.entry;
    let Some(place) = entry
        .places_in_order(&listed)
        .get(n)
        .map(|place| (*place).clone())
    else {
        return;
    };
    entry.at = Some(n);
    entry.own = true;
    entry.taken = None;
    entry.nowhere = false;
    entry.error = None;
    match next_strength(entry.places.get(&place).copied()) {
        Some(strength) => entry.places.insert(place, strength),
        None => entry.places.remove(&place),
    };
}

fn next_strength(strength: Option<Strength>) -> Option<Strength> {
    match strength {
        None => Some(Strength::Wisp),
        Some(Strength::Wisp) => Some(Strength::Steady),
        Some(Strength::Steady) => Some(Strength::Heavy),
        Some(Strength::Heavy) => None,
    }
}
