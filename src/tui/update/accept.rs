//! Enter: accepts what is shown, typed or picked.

use super::{answer, evidence, files, moves, perform_or_say, submit, then};
use crate::engine::action::Action;
use crate::engine::standing::Standing;
use crate::job::store::Claim;
use crate::tui::effect::Effect;
use crate::tui::keys::Context;
use crate::tui::model::{Model, Over, items};
use crate::tui::theme::Role;

/// Accepts.
pub fn accept(model: &mut Model) -> Vec<Effect> {
    let context = model.context();
    if !model.can_accept() && matches!(context, Context::List | Context::Ways | Context::Choice) {
        let text = match model.count() {
            0 => "There is nothing to pick here.".to_owned(),
            1 => "Press 1 first, then Enter.".to_owned(),
            count => format!("Pick one first: 1 to {count}, then Enter."),
        };
        model.say(Role::Plain, text);
        return Vec::new();
    }
    match context {
        Context::Board | Context::Search => open_job(model),
        Context::Field | Context::Words => next_or_submit(model),
        Context::List => accept_item(model),
        Context::Files => files::accept(model),
        Context::Text => {
            model.overs.pop();
            Vec::new()
        }
        Context::Record | Context::Plain => Vec::new(),
        Context::Ways => accept_way(model),
        Context::Caution => {
            say_caution_number(model);
            Vec::new()
        }
        Context::Brief => {
            if let Some(open) = &mut model.open {
                open.briefed = open.job.visit().map(|visit| visit.since_seq);
                open.scroll = 0;
            }
            Vec::new()
        }
        Context::Value => answer::value(model),
        Context::Choice => answer::choice(model),
        Context::Places => answer::places(model),
        Context::Pairs => answer::pairs(model),
        Context::Judged => follow(model),
        Context::Evidence => evidence::take_picked(model),
    }
}

/// Accepts what the readings come to. Before the time of the step is over it is asked about once.
fn follow(model: &mut Model) -> Vec<Effect> {
    let early = model.early();
    let stay = model.timer().map(|timer| timer.stay);
    if let Some(left) = early.filter(|_| model.asks_to_wait) {
        let words = answer::not_waited(model, left);
        if let Some(open) = model.open.as_mut().filter(|open| open.hurry != stay) {
            open.hurry = stay;
            model.say(Role::Caution, words);
            return Vec::new();
        }
    }
    let action = evidence::weighed(model, Action::Follow);
    perform_or_say(model, answer::cut_short(early, action))
}

/// Accepts the caution on screen if its own number was pressed.
pub fn caution(model: &mut Model, number: usize) -> Vec<Effect> {
    if number != model.caution_number() {
        say_caution_number(model);
        return Vec::new();
    }
    let due = match model.standing() {
        Standing::Cautions(due) => due.first().map(|caution| caution.id.to_owned()),
        _ => None,
    };
    match due {
        Some(id) => perform_or_say(model, Action::Accept(id)),
        None => Vec::new(),
    }
}

fn say_caution_number(model: &mut Model) {
    let number = model.caution_number();
    model.say(
        Role::Caution,
        format!("Read it, then press {number}. Each caution has its own number."),
    );
}

fn open_job(model: &mut Model) -> Vec<Effect> {
    let id = model.board.shown().get(model.board.at).map(|line| line.id);
    let how = Claim::Politely;
    id.map(|job| Effect::Load { job, how })
        .into_iter()
        .collect()
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
