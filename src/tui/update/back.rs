//! Going back: closes what lies over the screen, empties a field, or goes one station back.

use super::acts::to_board;
use super::perform;
use crate::engine::action::Action;
use crate::tui::effect::Effect;
use crate::tui::model::{FormKind, Model, Over, Screen};
use crate::tui::theme::Role;

/// One back.
pub fn back(model: &mut Model) -> Vec<Effect> {
    if let Some(Over::Files(files)) = model.overs.last_mut()
        && !files.filter.value().is_empty()
    {
        files.filter.reset();
        files.at = 0;
        return super::files::looked_elsewhere(model);
    }
    match model.overs.pop() {
        Some(Over::Form(form)) => {
            if form.is_touched() && form.kind != FormKind::Place {
                model.drafts.retain(|draft| draft.kind != form.kind);
                model.drafts.push(*form);
                model.say(
                    Role::Plain,
                    "What you typed is kept until you open this form again.",
                );
            }
            return Vec::new();
        }
        Some(_) => return Vec::new(),
        None => {}
    }
    match model.screen {
        Screen::Board => leave_search(model),
        Screen::Record(_) => {
            model.screen = Screen::Walk;
            Vec::new()
        }
        Screen::Walk => walk_back(model),
    }
}

fn leave_search(model: &mut Model) -> Vec<Effect> {
    model.board.searching = false;
    model.board.query.reset();
    model.board.at = 0;
    vec![Effect::Find(String::new())]
}

fn walk_back(model: &mut Model) -> Vec<Effect> {
    if model.is_touched() {
        if let Some(open) = &mut model.open {
            open.entry.reset();
        }
        model.say(Role::Plain, "Emptied. Once more goes back.");
        return Vec::new();
    }
    // Where the walk began, back leads to the board.
    perform(model, Action::Back).unwrap_or_else(|_| to_board(model))
}
