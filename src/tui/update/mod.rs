//! What a message does to the model, and what is to be done outside. Pure: no clock, no store, no
//! terminal; the driver brings the time with each message and carries out the effects.

mod accept;
mod acts;
mod answer;
mod back;
mod columns;
mod edit;
pub(super) mod evidence;
mod files;
pub mod flows;
mod forms;
mod moves;
mod number;
pub mod practice;
mod settings;
mod stored;
mod submit;

pub use forms::to_be_read_again;

use chrono::{DateTime, Utc};

use super::effect::Effect;
use super::message::{Act, Message};
use super::model::{FormKind, ListKind, Model, OpenJob, Over, Screen, Then};
use super::theme::Role;
use super::view;
use crate::engine::act::act;
use crate::engine::action::{Action, FlowText};
use crate::engine::event::What;
use crate::engine::refusal::Refusal;
use crate::engine::standing::Standing;
use crate::engine::words;
use crate::units::preferred;

/// Takes a message in.
pub fn update(model: &mut Model, now: DateTime<Utc>, message: Message) -> Vec<Effect> {
    let units = model.settings.units.clone();
    preferred::showing(&units, || take(model, now, message))
}

fn take(model: &mut Model, now: DateTime<Utc>, message: Message) -> Vec<Effect> {
    model.now = now;
    if is_by_hand(&message) {
        hush(model);
        let leaves = |act: &Act| matches!(act, Act::Quit | Act::Return);
        model.leaves &= matches!(&message, Message::Do(act) | Message::Listed(act) if leaves(act));
        if !matches!(message, Message::Digit(_)) {
            model.number = None;
        }
    }
    let mut effects = match message {
        Message::Do(act) => acts::act(model, act),
        Message::Listed(act) => then(model, Then::Do(act)),
        Message::Pick(n) => moves::pick(model, n),
        Message::Turn(n) => evidence::turn_to(model, n),
        Message::Digit(digit) => number::digit(model, digit),
        Message::Edit(edit) => edit::edit(model, edit),
        Message::Paste(text) => edit::paste(model, &text),
        Message::Focus(n) => moves::focus(model, n),
        Message::Word(field, n) => {
            moves::focus(model, field);
            moves::pick(model, n)
        }
        Message::Wheel { down } => moves::wheel(model, down),
        Message::Resize(columns, rows) => {
            model.size = (columns, rows);
            Vec::new()
        }
        Message::Tick => Vec::new(),
        Message::Flows(read) => {
            flows::changed(model, *read);
            Vec::new()
        }
        Message::Checked(found) => {
            flows::checked(model, found);
            Vec::new()
        }
        Message::Folder(folder, places) => files::folder(model, *folder, places),
        Message::FileReading { path, percent } => {
            files::is_being_read(model, &path, percent);
            Vec::new()
        }
        Message::FileRead { path, look, result } => files::was_read(model, &path, look, result),
        Message::Mappings(names) => files::mappings(model, names),
        Message::Mapping { name, result } => columns::mapping(model, name, result),
        Message::MappingKept { name, result } => columns::kept(model, &name, result),
        Message::Found {
            query,
            lines,
            stands,
        } => stored::found(model, &query, lines, stands),
        Message::Loaded { line, events, held } => stored::loaded(model, &line, &events, held),
        Message::Lost { job, held } => stored::lost(model, job, held),
        Message::Followed { job, events, left } => stored::followed(model, job, &events, left),
        Message::Stored { job, events } => stored::stored(model, job, &events),
        Message::Settings(read) => settings::written(model, *read),
        Message::TextSaved(path) => {
            model.say(Role::Plain, format!("Saved as {}", path.display()));
            Vec::new()
        }
        Message::Swapped { practice } => practice::swapped(model, practice),
        Message::History(history) => {
            model.history = history;
            Vec::new()
        }
        Message::Failed(why) => stored::failed(model, why),
        Message::Weighed(answer) => evidence::answered(model, *answer),
    };
    model.sync();
    hush_of_time(model);
    model.keep_order_of_flows();
    brief(model);
    effects.extend(watch_timer(model));
    if let Some(text) = model.over_elsewhere() {
        model.say(Role::Focus, text);
        effects.push(Effect::Bell);
    }
    model.note_timer();
    effects.extend(evidence::ask(model));
    effects
}

/// Whether somebody has pressed or clicked something that does something; the wheel only looks about.
fn is_by_hand(message: &Message) -> bool {
    matches!(
        message,
        Message::Do(_)
            | Message::Listed(_)
            | Message::Pick(_)
            | Message::Digit(_)
            | Message::Turn(_)
            | Message::Edit(_)
            | Message::Paste(_)
            | Message::Focus(_)
            | Message::Word(..)
    )
}

/// What was said about the last thing done is taken away as the next one is.
fn hush(model: &mut Model) {
    model.notice = None;
    if let Some(open) = &mut model.open {
        open.entry.say_no_more();
    }
}

/// What was said about a wait is over with the wait.
fn hush_of_time(model: &mut Model) {
    if model.early().is_none()
        && let Some(open) = model
            .open
            .as_mut()
            .filter(|open| open.entry.early.is_some())
    {
        open.entry.ask_no_more_about_time();
    }
}

/// Where a step and its question do not fit on one screen, the step is shown by itself first, so
/// that nobody answers before its warning was on screen.
fn brief(model: &mut Model) {
    let visit = model
        .open
        .as_ref()
        .and_then(|open| Some((open.job.visit()?.since_seq, open.briefed)));
    let on_step = matches!(model.standing(), Standing::Step(_)) && model.screen == Screen::Walk;
    let brief = match visit {
        Some((visit, briefed)) if on_step && briefed != Some(visit) => !view::step_fits(model),
        _ => false,
    };
    if let Some(open) = &mut model.open {
        open.brief = brief;
        // What has fitted once was on screen; it is not shown by itself later on.
        if on_step && !brief {
            open.briefed = visit.map(|(visit, _)| visit);
        }
    }
}

/// Rings once when a timer that was seen running is over, where it is in sight.
fn watch_timer(model: &mut Model) -> Option<Effect> {
    if model.screen != Screen::Walk {
        return None;
    }
    let timer = model.timer();
    let open = model.open.as_mut()?;
    match timer {
        Some(timer) if timer.left > 0 => {
            open.running = (!timer.waits).then_some(timer.stay);
            None
        }
        Some(timer) if open.running == Some(timer.stay) => {
            open.running = None;
            // The role fills the whole row: it is to be seen from across the bay.
            model.say(Role::Focus, "THE TIME IS UP: READ NOW");
            Some(Effect::Bell)
        }
        _ => None,
    }
}

/// The effects of an action on the open job.
fn perform(model: &Model, action: Action) -> Result<Vec<Effect>, Refusal> {
    let Some(open) = &model.open else {
        return Err(Refusal::NotNow("open a job first".to_owned()));
    };
    if let Some(held) = &open.held {
        return Err(Refusal::NotNow(format!("read only: {held}")));
    }
    let what = match practice::besides(model, open, &action) {
        Some(what) => what,
        None => act(&open.job, model.desk(), action)?,
    };
    Ok(append(model, open, what))
}

fn append(model: &Model, open: &OpenJob, what: Vec<What>) -> Vec<Effect> {
    vec![Effect::Append {
        job: open.id,
        after: open.job.seq,
        who: model.who.clone(),
        what,
    }]
}

/// The effects of several actions at once: all of them or none. Only for such as do not change
/// what the others may do.
fn perform_all(
    model: &Model,
    actions: impl IntoIterator<Item = Action>,
) -> Result<Vec<Effect>, Refusal> {
    let mut all = Vec::new();
    for action in actions {
        for effect in perform(model, action)? {
            if let Effect::Append { what, .. } = effect {
                all.extend(what);
            }
        }
    }
    match &model.open {
        Some(open) if !all.is_empty() => Ok(append(model, open, all)),
        _ => Ok(Vec::new()),
    }
}

/// As [`perform`]; a refusal is said in the line above the keys.
fn perform_or_say(model: &mut Model, action: Action) -> Vec<Effect> {
    match perform(model, action) {
        Ok(effects) => effects,
        Err(refusal) => {
            model.say(Role::Caution, refusal.to_string());
            Vec::new()
        }
    }
}

/// Does what an item of a list stands for.
fn then(model: &mut Model, then: Then) -> Vec<Effect> {
    match then {
        Then::Do(act) => {
            model.overs.clear();
            acts::act(model, act)
        }
        Then::Begin(flow) => begin(model, &flow),
        Then::Outcome(id) => forms::open(model, FormKind::Take(id)),
        Then::Skip(go) => forms::open(model, FormKind::Skip(Some(go))),
        Then::Correct(seq) => forms::open(model, FormKind::Correct(seq)),
        Then::CorrectRepair(seq) => forms::open(model, FormKind::CorrectRepair(seq)),
        Then::Fact(id) => forms::open(model, FormKind::Fact(id)),
        Then::Opening => forms::open(model, FormKind::Opening),
        Then::ClearLimit => perform_or_say(model, Action::ClearLimit),
        Then::Mistyped => perform_or_say(model, Action::Mistyped),
        Then::Reopen => forms::open(model, FormKind::Reopen),
        Then::Approve => founded(model, FormKind::Approve),
        Then::Decline => forms::open(model, FormKind::Decline),
        Then::Repaired => founded(model, FormKind::Repaired),
        Then::Retest => perform_or_say(model, Action::Retest),
        Then::Unit(column, unit) => columns::unit(model, column, &unit),
        Then::AboutFile(about) => columns::about(model, about),
        Then::List(kind) if kind.is_of_a_file() => list(model, kind),
        Then::Warm(warm) => files::warm(model, warm),
        Then::Onward(flow) => onward(model, &flow),
        Then::Gear(gear) => evidence::mark_gear(model, &gear),
        Then::TakenDown => evidence::is_taken_down(model),
        Then::TakenOff(what) => perform_or_say(model, Action::TakeOff(what)),
        Then::HandOn(flow) => evidence::hand_on(model, &flow),
        Then::Paper(edition) => {
            model.overs.pop();
            vec![Effect::Paper(edition)]
        }
        Then::Close => {
            model.overs.pop();
            Vec::new()
        }
        other => practice::then(model, other),
    }
}

/// A form for a repair, unless the way to it no longer follows: that is said before anything is written in vain.
fn founded(model: &mut Model, kind: FormKind) -> Vec<Effect> {
    let open = model.open.as_ref();
    let against = open.and_then(|open| open.job.no_longer_follows());
    if let Some(words) = against.map(|(run, visit)| words::no_longer_follows(run, visit)) {
        model.say(Role::Caution, words);
        return Vec::new();
    }
    forms::open(model, kind)
}

fn begin(model: &mut Model, flow: &str) -> Vec<Effect> {
    let Some(shelved) = model.shelf.find(flow) else {
        model.say(
            Role::Caution,
            format!("the flow `{flow}` is not on the shelf: choose another"),
        );
        return Vec::new();
    };
    let text = FlowText {
        id: shelved.flow.id.clone(),
        revision: shelved.flow.revision,
        hash: shelved.hash.clone(),
        text: shelved.text.clone(),
    };
    perform_or_say(model, Action::Begin(text))
}

/// Goes on in another flow: along the way where it was begun before, else from the shelf.
fn onward(model: &mut Model, flow: &str) -> Vec<Effect> {
    let ahead = model.open.as_ref().is_some_and(|open| {
        let next = open.job.current.and_then(|at| open.job.runs.get(at + 1));
        next.is_some_and(|run| run.flow.id == flow)
    });
    if ahead {
        perform_or_say(model, Action::Forward)
    } else {
        begin(model, flow)
    }
}

/// Lays a list over the screen.
fn list(model: &mut Model, kind: ListKind) -> Vec<Effect> {
    let at = (kind == ListKind::More).then_some(0);
    model.overs.push(Over::List { kind, at });
    Vec::new()
}
