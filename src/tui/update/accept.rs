//! Enter: accepts what is shown, typed or picked.

use super::{answer, files, moves, perform_or_say, submit, then};
use crate::engine::action::Action;
use crate::engine::standing::Standing;
use crate::tui::effect::Effect;
use crate::tui::keys::Context;
use crate::tui::model::{Model, Over, items};

/// Accepts.
pub fn accept(model: &mut Model) -> Vec<Effect> {
    match model.context() {
        Context::Board | Context::Search => open_job(model),
        Context::Field | Context::Words => next_or_submit(model),
        Context::List => accept_item(model),
        Context::Files => files::accept(model),
        Context::Text => {
            model.overs.pop();
            Vec::new()
        }
        Context::Record => Vec::new(),
        Context::Ways => accept_way(model),
        Context::Caution => match model.standing() {
            Standing::Cautions(due) => match due.first() {
                Some(caution) => perform_or_say(model, Action::Accept(caution.id.to_owned())),
                None => Vec::new(),
            },
            _ => Vec::new(),
        },
        Context::Value => answer::value(model),
        Context::Choice => answer::choice(model),
        Context::Places => answer::places(model),
        Context::Pairs => answer::pairs(model),
        Context::Judged => perform_or_say(model, Action::Follow),
    }
}

fn open_job(model: &mut Model) -> Vec<Effect> {
    let id = model.board.shown().get(model.board.at).map(|line| line.id);
    id.map(Effect::Load).into_iter().collect()
}

fn next_or_submit(model: &mut Model) -> Vec<Effect> {
    let last = match model.overs.last() {
        Some(Over::Form(form)) => form.at + 1 >= form.fields.len(),
        _ => false,
    };
    if last {
        submit::submit(model)
    } else {
        moves::next_field(model, true)
    }
}

fn accept_item(model: &mut Model) -> Vec<Effect> {
    let Some(Over::List { kind, at: Some(at) }) = model.overs.last() else {
        return Vec::new();
    };
    let picked = items(model, *kind).into_iter().nth(*at);
    picked
        .map(|item| then(model, item.then))
        .unwrap_or_default()
}

fn accept_way(model: &mut Model) -> Vec<Effect> {
    let at = model.open.as_ref().and_then(|open| open.at);
    let picked = at.and_then(|at| model.ways().into_iter().nth(at));
    picked
        .map(|item| then(model, item.then))
        .unwrap_or_default()
}
