//! What the acts of the key table do.

use super::{
    accept, answer, back, columns, evidence, files, forms, list, moves, perform_or_say, practice,
    settings, submit,
};
use crate::engine::action::Action;
use crate::engine::job::Run;
use crate::engine::skip::{self, Ways};
use crate::job::store::Claim;
use crate::tui::effect::Effect;
use crate::tui::keys::{self, Context};
use crate::tui::message::Act;
use crate::tui::model::{FormKind, ListKind, Model, Over, Screen};
use crate::tui::theme::Role;
use crate::tui::view::{self, clock};

/// The step's clock begins, again or at all.
fn begin_timer(model: &mut Model) -> Vec<Effect> {
    // What was asked before the clock ran is asked anew: its answer was to another question.
    if let Some(open) = &mut model.open {
        open.entry.ask_no_more_about_time();
        open.hurry = None;
        open.time_up = None;
    }
    perform_or_say(model, Action::BeginClock)
}

/// The form that an act opens, of those that only open one.
fn form_of(act: Act) -> FormKind {
    match act {
        Act::Note => FormKind::Note,
        Act::Codes => FormKind::Codes,
        Act::Who => FormKind::Who,
        Act::AddPlace => FormKind::Place,
        _ => FormKind::Remark,
    }
}

/// Leaves the board. A car that was entered among the demo jobs goes with them, which is asked about once.
fn leave(model: &mut Model, how: Effect) -> Vec<Effect> {
    if model.leaves || model.among_demo.is_empty() || !model.asks_to_wait {
        return vec![how];
    }
    model.leaves = true;
    let text = format!(
        "Entered here among the demo jobs, and thrown away with them: {}. A real car belongs on the workshop's own board. \
         Once more leaves all the same.",
        model.among_demo.join(", ")
    );
    model.say(Role::Caution, text);
    Vec::new()
}

/// Does an act.
pub fn act(model: &mut Model, act: Act) -> Vec<Effect> {
    match act {
        Act::Quit => leave(model, Effect::Quit),
        Act::Redraw => vec![Effect::Redraw],
        Act::Mouse => mouse(model),
        Act::Help => over(model, Over::Help(model.context(), 0)),
        Act::Why => over(model, Over::Why(0)),
        Act::More => list(model, ListKind::More),
        Act::Flows | Act::ReadFile if model.is_exercise() => practice::stays(model),
        Act::HandOver if model.is_exercise() => practice::debrief(model),
        Act::Flows => list(model, ListKind::Flows),
        Act::Other => list(model, ListKind::Outcomes),
        Act::Correct => list(model, ListKind::Answers),
        Act::Record => {
            model.screen = Screen::Record(u16::MAX);
            Vec::new()
        }
        Act::Board => to_board(model),
        Act::Back => back::back(model),
        Act::Accept => accept::accept(model),
        Act::Up
        | Act::Down
        | Act::PageUp
        | Act::PageDown
        | Act::First
        | Act::Last
        | Act::WordBefore
        | Act::WordAfter => moves::go(model, act),
        Act::Next | Act::Previous => {
            let forward = act == Act::Next;
            match model.context() {
                Context::Evidence => evidence::turn(model, forward),
                _ => moves::next_field(model, forward),
            }
        }
        Act::Save => submit::submit(model),
        Act::NewJob if model.practice => list(model, ListKind::Exercises),
        Act::NewJob => forms::open(model, FormKind::NewJob),
        Act::Search => {
            model.board.searching = true;
            Vec::new()
        }
        Act::Closed => {
            model.board.closed = !model.board.closed;
            model.board.at = 0;
            Vec::new()
        }
        Act::Note | Act::Codes | Act::Remark | Act::Who | Act::AddPlace => {
            forms::open(model, form_of(act))
        }
        Act::PathBack => perform_or_say(model, Action::Back),
        Act::PathForward => perform_or_say(model, Action::Forward),
        Act::CouldNotTell => answer::could_not_tell(model),
        Act::Skip => skip(model),
        Act::HandOver if model.has_fitted() => list(model, ListKind::Fitted),
        Act::HandOver => forms::open(model, FormKind::HandOver),
        Act::Mark => match model.open.as_ref().and_then(|open| open.entry.at) {
            Some(at) => moves::pick(model, at),
            None => Vec::new(),
        },
        Act::Timer | Act::TimeUp => of_clock(model, act),
        Act::Rejudged => to_rejudged(model),
        Act::TryAgain => load_again(model, Claim::Politely),
        Act::TakeOver => load_again(model, Claim::TakeOver),
        Act::NextJob => {
            let here = model.open.as_ref().map(|open| open.id);
            let next = here.and_then(|job| model.board.after(job));
            let how = Claim::Politely;
            if next.is_none() {
                model.say(Role::Plain, "There is no other open job.");
            }
            let load = next.map(|job| Effect::Load { job, how });
            load.into_iter().collect()
        }
        Act::Demo | Act::Return => leave(model, Effect::Demo),
        Act::Settings => settings::open(model),
        Act::Plain => plain(model),
        Act::Copy => copy(model),
        Act::SaveText => save_text(model),
        Act::Paper => list(model, ListKind::Paper),
        Act::Suspend => vec![Effect::Suspend],
        Act::ReadFile => files::open(model),
        Act::NextPlace => files::next_place(model),
        Act::Columns => columns::open(model),
        Act::Practice => vec![Effect::Swap],
        Act::TakeReading => practice::take(model),
        Act::Hands => list(model, ListKind::Hands),
        Act::Debrief => practice::debrief(model),
        Act::Complaint => over(model, Over::Complaint(0)),
        Act::People => {
            model.overs.push(Over::People(0));
            vec![Effect::History]
        }
        Act::Evidence => evidence::open(model),
        Act::ByEvidence => evidence::take(model, 0),
        Act::Gear => list(model, ListKind::Gear),
        Act::OwnJobs => evidence::own_jobs(model),
    }
}

fn over(model: &mut Model, over: Over) -> Vec<Effect> {
    model.overs.push(over);
    Vec::new()
}

/// Lays the screen as plain text over it. The mouse is left to the terminal meanwhile, so that
/// dragging marks text.
fn plain(model: &mut Model) -> Vec<Effect> {
    let text = view::plain(model);
    model.overs.push(Over::Plain(text.into(), 0));
    model.say(
        Role::Plain,
        "Plain text: drag to mark it, or use the keys below.",
    );
    vec![Effect::Mouse(false)]
}

fn plain_text(model: &Model) -> Option<String> {
    match model.overs.last() {
        Some(Over::Plain(text, _)) => Some(text.to_string()),
        _ => None,
    }
}

fn copy(model: &mut Model) -> Vec<Effect> {
    let text = plain_text(model);
    let key = keys::shown(model, Act::SaveText, Context::Plain);
    model.say(
        Role::Plain,
        format!("Copied, if this terminal lets programs do so; {key} saves it as a file instead."),
    );
    text.map(Effect::Copy).into_iter().collect()
}

fn save_text(model: &mut Model) -> Vec<Effect> {
    let Some(text) = plain_text(model) else {
        return Vec::new();
    };
    let job = match (&model.open, model.screen) {
        (Some(open), Screen::Walk | Screen::Record(_)) => format!("job-{}-", open.number),
        _ => String::new(),
    };
    let now = model.now.with_timezone(&model.zone).format("%Y%m%d-%H%M");
    let name = format!("ruleout-{job}{now}");
    vec![Effect::SaveText { name, text }]
}

fn mouse(model: &mut Model) -> Vec<Effect> {
    model.mouse = !model.mouse;
    let text = if model.mouse {
        "The mouse works again; hold Shift while dragging to mark text."
    } else {
        "The mouse is off: drag to mark and copy text. The same key switches it on again."
    };
    model.say(Role::Plain, text);
    vec![Effect::Mouse(model.mouse)]
}

/// Asks why a step is skipped; first where to go on, where that hangs on the step itself.
fn skip(model: &mut Model) -> Vec<Effect> {
    let run = model.open.as_ref().and_then(|open| open.job.run());
    match run.and_then(Run::step).map(skip::ways) {
        Some(Ways::Choose(_)) => list(model, ListKind::Skip),
        Some(Ways::Nowhere) => {
            // The engine says why not, before it asks for a reason.
            let reason = String::new();
            perform_or_say(model, Action::Skip { reason, to: None })
        }
        _ => forms::open(model, FormKind::Skip(None)),
    }
}

/// Leaves the job where it is, for the board; somebody else may have it now.
pub fn to_board(model: &mut Model) -> Vec<Effect> {
    model.overs.clear();
    model.screen = Screen::Board;
    // A car that is gone is looked for no more.
    let gone = model
        .open
        .as_ref()
        .is_some_and(|open| open.job.handed_over.is_some());
    if gone {
        model.board.searching = false;
        model.board.query.reset();
    }
    vec![
        Effect::Release,
        Effect::Find(model.board.query.value().to_owned()),
    ]
}

/// Reads the open job anew, to write in it.
fn load_again(model: &Model, how: Claim) -> Vec<Effect> {
    let job = model.open.as_ref().map(|open| open.id);
    job.map(|job| Effect::Load { job, how })
        .into_iter()
        .collect()
}

/// Sets out for the step whose judgement has changed; [`go_on`] goes there one event at a time.
fn to_rejudged(model: &mut Model) -> Vec<Effect> {
    let target = model
        .open
        .as_ref()
        .and_then(|open| open.rejudged())
        .map(|(run, visit, ..)| (run, visit));
    if let Some(open) = &mut model.open {
        open.heading = target;
    }
    go_on(model)
}

/// A key of the clock; where nothing is timed, or no more, that is said.
fn of_clock(model: &mut Model, act: Act) -> Vec<Effect> {
    let ends = act == Act::TimeUp;
    if !model.has_timer() {
        model.say(Role::Plain, "Nothing is timed here.");
        return Vec::new();
    }
    if ends && !model.timer_runs() && !model.clock_waits() {
        model.say(Role::Plain, "The time is up already.");
        return Vec::new();
    }
    if ends {
        time_is_up(model)
    } else {
        begin_timer(model)
    }
}

/// Another clock says that the time is over. A slip of the finger must not end a wait, so it is asked about once.
fn time_is_up(model: &mut Model) -> Vec<Effect> {
    let key = |act| answer::called(model, act);
    if model.clock_waits() {
        let text = format!(
            "The clock was not started yet: {} starts it.",
            key(Act::Timer)
        );
        model.say(Role::Caution, text);
        return Vec::new();
    }
    let runs = model.timer().filter(|timer| timer.left > 0);
    if let Some(timer) = runs.filter(|_| model.asks_to_wait) {
        let words = format!(
            "{} of the time are left here. {} once more if another clock has timed it; the record says so.",
            clock::text(timer.left),
            key(Act::TimeUp)
        );
        let stay = Some(timer.stay);
        if let Some(open) = model.open.as_mut().filter(|open| open.time_up != stay) {
            open.time_up = stay;
            model.say(Role::Caution, words);
            return Vec::new();
        }
    }
    perform_or_say(model, Action::EndClock)
}

/// The next step towards where the walk is heading, if it is heading anywhere.
pub fn go_on(model: &mut Model) -> Vec<Effect> {
    let Some(open) = &mut model.open else {
        return Vec::new();
    };
    let here = open.job.current.zip(open.job.run().map(|run| run.at));
    let (Some(heading), Some(here)) = (open.heading, here) else {
        return Vec::new();
    };
    if here == heading {
        open.heading = None;
        return Vec::new();
    }
    let action = if heading < here {
        Action::Back
    } else {
        Action::Forward
    };
    let effects = perform_or_say(model, action);
    if effects.is_empty()
        && let Some(open) = &mut model.open
    {
        open.heading = None;
    }
    effects
}
