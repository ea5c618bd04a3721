//! Going back: closes what lies over the screen, empties a field, or goes one station back.

use super::acts::to_board;
use super::{forms, list, perform, settings};
use crate::engine::action::Action;
use crate::tui::effect::Effect;
use crate::tui::model::{FormKind, ListKind, Model, Over, Screen};
use crate::tui::theme::Role;
use crate::tui::view;

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
        Some(Over::Form(form)) if form.kind == FormKind::Settings => {
            // It shows what is, and never what somebody thought of a while ago.
            if settings::form(model).differs(&form) {
                model.say(
                    Role::Caution,
                    "What you changed in the settings is not saved.",
                );
            }
            return Vec::new();
        }
        Some(Over::Form(form)) => {
            if forms::is_written_in(model, &form)
                && !matches!(form.kind, FormKind::Place | FormKind::Who)
            {
                model
                    .drafts
                    .retain(|draft| !draft.is(&form.kind, form.about));
                model.drafts.push(*form);
                model.say(
                    Role::Plain,
                    "What you typed is kept, and stands there as you open this form again.",
                );
            }
            return Vec::new();
        }
        Some(Over::Plain(..)) => return vec![Effect::Mouse(model.mouse)],
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
    if model.is_held() {
        return to_board(model);
    }
    if model.is_touched() {
        let kind = model.asked().map(|asked| asked.prompt.kind.clone());
        if let (Some(open), Some(kind)) = (&mut model.open, kind) {
            open.entry.reset(&kind);
        }
        model.say(Role::Plain, "Emptied. Once more goes back.");
        return Vec::new();
    }
    if within_step(model) {
        return Vec::new();
    }
    perform(model, Action::Back).unwrap_or_else(|_| before_the_walk(model))
}

/// Where the walk began, back leads to the board; from a flow that was only just picked it leads to the others, since
/// the wrong one may have been picked.
fn before_the_walk(model: &mut Model) -> Vec<Effect> {
    let just_picked = model.open.as_ref().is_some_and(|open| {
        let first = open.job.run().and_then(|run| run.path.first());
        first.is_some_and(|visit| visit.since_seq == open.job.seq)
    });
    if just_picked && !model.is_exercise() && !model.is_stopped() {
        list(model, ListKind::Flows)
    } else {
        to_board(model)
    }
}

/// One back within the step: to the question before, to the top of its text, to the step by
/// itself. False where this is its beginning.
fn within_step(model: &mut Model) -> bool {
    if model.is_brief() {
        return false;
    }
    let before = model.question_before();
    let long = !view::step_fits(model) && model.is_on_step();
    let Some(open) = &mut model.open else {
        return false;
    };
    if before.is_some() {
        open.again = before;
    } else if long {
        open.briefed = None;
        open.scroll = 0;
    } else if open.scroll > 0 {
        open.scroll = 0;
    } else {
        return false;
    }
    true
}
