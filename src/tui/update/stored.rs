//! Results that come back from outside: jobs found, read, stored, or not.

use tui_input::Input;
use uuid::Uuid;

use super::{acts, forms};
use crate::engine::event::{Codes, Event, What};
use crate::engine::fitted::due_off;
use crate::engine::fold;
use crate::engine::waits::Stand;
use crate::job::store::JobLine;
use crate::tui::effect::Effect;
use crate::tui::model::{Demo, FormKind, ListKind, Model, OpenJob, Over, Screen, still_fitted};
use crate::tui::theme::Role;

/// A search has found jobs. An answer to an older search is dropped.
pub fn found(
    model: &mut Model,
    query: &str,
    lines: Vec<JobLine>,
    stands: Option<Vec<(Uuid, Stand)>>,
) -> Vec<Effect> {
    if let Some(stands) = stands {
        model.board.stands = stands;
    }
    if query == model.board.query.value() {
        model.board.lines = lines;
        model.board.asked = true;
        model.board.at = model
            .board
            .at
            .min(model.board.shown().len().saturating_sub(1));
    }
    model.note_others();
    Vec::new()
}

/// A job was read: it is walked where it stands.
pub fn loaded(
    model: &mut Model,
    line: &JobLine,
    events: &[Event],
    held: Option<String>,
) -> Vec<Effect> {
    let mut open = OpenJob::new(line.id, line.number, events);
    let was_held = model.open.as_ref().is_some_and(|before| {
        before.id == open.id && before.held.is_some() && model.screen == Screen::Walk
    });
    open.written_elsewhere = held.is_some();
    open.held = held;
    let is_held = open.held.is_some();
    let misfits = open.job.misfits.len();
    model.open = Some(open);
    model.screen = Screen::Walk;
    model.overs.clear();
    if model.saving == Some(FormKind::NewJob) && model.demo != Demo::No {
        model.among_demo.push(line.plate.clone());
    }
    saved(model);
    match (was_held, is_held) {
        (true, true) => model.say(Role::Caution, "It is still open elsewhere."),
        (true, false) => model.say(
            Role::Strong,
            "The job is yours to write in. Look where it stands now.",
        ),
        (false, _) => {}
    }
    if misfits > 0 {
        let text = format!(
            "{misfits} event(s) of this job did not fit and changed nothing: see the record"
        );
        model.say(Role::Caution, text);
    }
    super::practice::welcome(model);
    pick_likely(model);
    if let Some(last) = events.last().filter(|_| !is_held)
        && model.asks_who(line.id, &last.who)
        && (!was_held || model.who_is_guessed)
    {
        return super::forms::who_goes_on(model, &last.who);
    }
    Vec::new()
}

/// Somebody else has taken the job over: here it can only be read from now on.
pub fn lost(model: &mut Model, job: Uuid, held: String) -> Vec<Effect> {
    if let Some(open) = model.open.as_mut().filter(|open| open.id == job) {
        open.held = Some(held);
        open.written_elsewhere = true;
        open.at = None;
        for over in model.overs.drain(..) {
            if let Over::Form(form) = over {
                model
                    .drafts
                    .retain(|draft| !draft.is(&form.kind, form.about));
                model.drafts.push(*form);
            }
        }
        model.say(
            Role::Caution,
            "The job was taken over elsewhere. All that was accepted here is kept.",
        );
    }
    Vec::new()
}

/// What somebody else has done on a job that can only be read here.
pub fn followed(model: &mut Model, job: Uuid, events: &[Event], left: bool) -> Vec<Effect> {
    let Some(open) = model.open.as_mut().filter(|open| open.id == job) else {
        return Vec::new();
    };
    take_in(open, events);
    if left {
        let free = format!(
            "job {} was left elsewhere; nobody writes in it now",
            open.number
        );
        open.held = Some(free);
        open.written_elsewhere = false;
    }
    if let Some(last) = events.last() {
        let at = last.at.with_timezone(&model.zone).format("%H:%M:%S");
        let text = format!("It went on elsewhere: {}, {at}", last.who);
        model.say(Role::Plain, text);
    }
    Vec::new()
}

/// Adds events to the job that is open, and to its car where it is an exercise.
fn take_in(open: &mut OpenJob, events: &[Event]) {
    let station = |open: &OpenJob| open.job.visit().map(|visit| visit.since_seq);
    let before = station(open);
    for event in events {
        fold::apply(&mut open.job, event);
        open.events.push(event.clone());
    }
    if station(open) != before {
        open.scroll = 0;
        open.again = None;
    }
    if let Some(bay) = open.bay.take() {
        open.bay = bay.after(events, &open.events).map(Box::new);
    }
}

/// Events are on the disk: now they count.
pub fn stored(model: &mut Model, job: Uuid, events: &[Event]) -> Vec<Effect> {
    let Some(open) = model.open.as_mut().filter(|open| open.id == job) else {
        return Vec::new();
    };
    take_in(open, events);
    pairs_stored(open, events);
    if answers_again(open, events) {
        model.go_to_next_question();
    }
    super::practice::was_done(model, events);
    saved(model);
    if let Some(What::CodesNoted(codes)) = events.last().map(|event| &event.what) {
        model.say(Role::Plain, codes_saved(codes));
        // What was asked while nothing was saved is answered by it.
        if let Some(open) = model
            .open
            .as_mut()
            .filter(|open| open.entry.unsaved.is_some())
        {
            open.entry.error = None;
        }
    }
    if let Some(text) = events.last().and_then(|event| done(&event.what)) {
        model.say(Role::Plain, text);
    }
    super::practice::seen(model, events);
    let taken_off = |event: &Event| matches!(event.what, What::TakenOff(_));
    if events.iter().any(taken_off) {
        say_how_many_are_left(model);
        one_less_fitted(model);
    }
    // On a car that is not there nobody could look.
    let open = model.open.as_ref().filter(|open| open.bay.is_none());
    if open.is_some_and(|open| events.iter().any(|event| due_off(&open.job, &event.what))) {
        let kind = ListKind::FittedBeforeProof;
        model.overs.push(Over::List { kind, at: None });
    }
    pick_likely(model);
    let mut effects = acts::go_on(model);
    effects.extend(super::practice::is_over(model, events));
    // Somebody may be looking at the gauge and not at the screen.
    if events
        .iter()
        .any(|event| matches!(event.what, What::LimitPassed { .. }))
    {
        effects.push(Effect::Bell);
    }
    effects
}

/// Whether the question that was asked again has its answer now.
fn answers_again(open: &OpenJob, events: &[Event]) -> bool {
    events.iter().any(|event| {
        let id = match &event.what {
            What::ReadingTaken { reading, .. } | What::ReadingLeftOut { reading } => Some(reading),
            What::FactNoted { fact, .. } => Some(fact),
            _ => None,
        };
        id.is_some() && id == open.again.as_ref()
    })
}

/// A pair that is on the disk leaves the field; one that was taken back comes into it again.
fn pairs_stored(open: &mut OpenJob, events: &[Event]) {
    for event in events {
        match &event.what {
            What::PairTaken { .. } | What::SampleTaken { .. } => {
                open.entry.text.reset();
                open.entry.error = None;
                open.entry.again = None;
            }
            What::PairTakenBack { taken } => {
                let pair = open.job.pairs.iter().find(|pair| pair.seq == *taken);
                if let Some((a, b)) = pair.map(|pair| pair.pair) {
                    open.entry.text = Input::from(format!("{a} = {b}"));
                }
            }
            _ => {}
        }
    }
}

/// The form that was being saved is done with.
fn saved(model: &mut Model) {
    if let Some(kind) = model.saving.take() {
        let about = model.about(&kind);
        model.drafts.retain(|draft| !draft.is(&kind, about));
    }
}

/// The record says by whom; how many there are still to be looked at.
fn say_how_many_are_left(model: &mut Model) {
    let before_it_goes =
        matches!(model.overs.last(), Some(Over::List { kind, .. }) if *kind == ListKind::Fitted);
    let open = model.open.as_ref();
    let left = open.map_or(0, |open| still_fitted(&open.job, !before_it_goes).len());
    let text = match left {
        0 => "Confirmed, and that was the last; the record says by whom.".to_owned(),
        n => format!("Confirmed; the record says by whom. {n} still to be looked at."),
    };
    model.say(Role::Plain, text);
}

/// One thing is off the car again: the next is picked anew, and after the last the list is done with.
fn one_less_fitted(model: &mut Model) {
    let before_it_goes = match model.overs.last() {
        Some(Over::List { kind, .. }) if *kind == ListKind::Fitted => true,
        Some(Over::List { kind, .. }) if *kind == ListKind::FittedBeforeProof => false,
        _ => return,
    };
    let open = model.open.as_ref();
    let is_last = open.is_none_or(|open| still_fitted(&open.job, !before_it_goes).is_empty());
    if let Some(Over::List { at, .. }) = model.overs.last_mut() {
        *at = None;
    }
    if is_last {
        model.overs.pop();
    }
    if is_last && before_it_goes {
        forms::open(model, FormKind::HandOver);
    }
}

fn pick_likely(model: &mut Model) {
    let likely = model.likely_way();
    if let Some(open) = &mut model.open {
        open.at = likely;
    }
}

/// What was saved of what the control unit had stored, and what was left empty.
fn codes_saved(codes: &Codes) -> String {
    let parts = [
        ("freeze frame", &codes.freeze_frame),
        ("readiness", &codes.readiness),
    ];
    let names = |empty: bool| {
        let of = parts
            .iter()
            .filter(|(_, text)| text.trim().is_empty() == empty);
        of.map(|(name, _)| *name).collect::<Vec<_>>()
    };
    match (&names(false)[..], &names(true)[..]) {
        (_, []) => "Codes, freeze frame and readiness are saved.".to_owned(),
        ([one], [other]) => {
            format!("Codes and {one} are saved; nothing is written down of the {other}.")
        }
        _ => "Codes are saved; nothing is written down of freeze frame and readiness.".to_owned(),
    }
}

/// What is said about an event that changes little on the screen.
fn done(what: &What) -> Option<&'static str> {
    Some(match what {
        What::FindingNoted { .. } => "The finding is noted.",
        What::Remark { .. } => "The remark is in the record.",
        What::ReadingCorrected { .. } | What::RepairCorrected { .. } => {
            "Corrected; the old answer stays in the record."
        }
        What::LimitMistyped => "Noted as mistyped. Read it again.",
        What::LimitCleared => "The limit is cleared. Read it again.",
        What::OpeningCorrected { .. } => "Corrected; what stood there stays in the record.",
        What::ReadingLeftOut { .. } => "Left out; the record says so.",
        What::PairTaken { .. } => "The pair is saved.",
        What::SampleTaken { .. } => "The sample is saved; Backspace takes it back.",
        What::ClockBegunAgain => "The clock begins from now.",
        What::SampleTakenBack { .. } => "The sample is taken back.",
        What::PairTakenBack { .. } => "Taken back: type it anew, or empty the field.",
        What::Reopened { .. } => "The job is open again.",
        What::RepairApproved { .. } => "The approval is noted.",
        _ => return None,
    })
}

/// Something could not be stored or read. What is typed stays where it is.
pub fn failed(model: &mut Model, why: String) -> Vec<Effect> {
    model.saving = None;
    if let Some(open) = &mut model.open {
        open.heading = None;
    }
    if !matches!(model.overs.last(), Some(Over::Form(_) | Over::Plain(..))) {
        model.overs.clear();
    }
    model.say(Role::Fail, why);
    Vec::new()
}
