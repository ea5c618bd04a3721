//! Results that come back from outside: jobs found, read, stored, or not.

use uuid::Uuid;

use super::acts;
use crate::engine::event::{Event, What};
use crate::engine::fold;
use crate::job::store::JobLine;
use crate::tui::effect::Effect;
use crate::tui::model::{Model, OpenJob, Over, Screen};
use crate::tui::theme::Role;

/// A search has found jobs. An answer to an older search is dropped.
pub fn found(model: &mut Model, query: &str, lines: Vec<JobLine>) -> Vec<Effect> {
    if query == model.board.query.value() {
        model.board.lines = lines;
        model.board.asked = true;
        model.board.at = model
            .board
            .at
            .min(model.board.shown().len().saturating_sub(1));
    }
    Vec::new()
}

/// A job was read: it is walked where it stands.
pub fn loaded(model: &mut Model, line: &JobLine, events: &[Event]) -> Vec<Effect> {
    let open = OpenJob::new(line.id, line.number, events);
    let misfits = open.job.misfits.len();
    model.open = Some(open);
    model.screen = Screen::Walk;
    model.overs.clear();
    saved(model);
    if misfits > 0 {
        let text = format!(
            "{misfits} event(s) of this job did not fit and changed nothing: see the record"
        );
        model.say(Role::Caution, text);
    }
    pick_likely(model);
    Vec::new()
}

/// Events are on the disk: now they count.
pub fn stored(model: &mut Model, job: Uuid, events: &[Event]) -> Vec<Effect> {
    let Some(open) = model.open.as_mut().filter(|open| open.id == job) else {
        return Vec::new();
    };
    let station = |open: &OpenJob| open.job.visit().map(|visit| visit.since_seq);
    let before = station(open);
    for event in events {
        fold::apply(&mut open.job, event);
        open.events.push(event.clone());
    }
    if station(open) != before {
        open.scroll = 0;
    }
    model.overs.clear();
    saved(model);
    if let Some(text) = events.last().and_then(|event| done(&event.what)) {
        model.say(Role::Plain, text);
    }
    pick_likely(model);
    let mut effects = acts::go_on(model);
    // Somebody may be looking at the gauge and not at the screen.
    if events
        .iter()
        .any(|event| matches!(event.what, What::LimitPassed { .. }))
    {
        effects.push(Effect::Bell);
    }
    effects
}

/// The form that was being saved is done with.
fn saved(model: &mut Model) {
    if let Some(kind) = model.saving.take() {
        model.drafts.retain(|draft| draft.kind != kind);
    }
}

fn pick_likely(model: &mut Model) {
    let likely = model.likely_way();
    if let Some(open) = &mut model.open {
        open.at = likely;
    }
}

/// What is said about an event that changes little on the screen.
fn done(what: &What) -> Option<&'static str> {
    Some(match what {
        What::CodesNoted(_) => "Codes, freeze frame and readiness are saved.",
        What::FindingNoted { .. } => "The finding is noted.",
        What::Remark { .. } => "The remark is in the record.",
        What::ReadingCorrected { .. } => "Corrected; the old answer stays in the record.",
        What::LimitCleared => "The limit is cleared. Read it again.",
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
    if !matches!(model.overs.last(), Some(Over::Form(_))) {
        model.overs.clear();
    }
    model.say(Role::Fail, why);
    Vec::new()
}
