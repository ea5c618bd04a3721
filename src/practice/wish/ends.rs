//! How an exercise ends: by hand, or stopped by something unsafe.

use super::Did;
use crate::engine::act::act;
use crate::engine::action::Action;
use crate::engine::event::What;
use crate::engine::practised::Practised;
use crate::engine::standing::Desk;
use crate::practice::debrief::Debrief;
use crate::practice::harm::Harm;
use crate::practice::session::Session;

/// Something unsafe stops the exercise; `done` is what was recorded of it.
pub(super) fn stop(session: &Session, desk: Desk, done: &[What], harm: Harm) -> Did {
    Did {
        what: stopped(session, desk, done, &harm),
        sees: stop_words(&harm),
        reads: None,
        harm: Some(harm),
    }
}

/// What is said where something unsafe stops the exercise.
pub fn stop_words(harm: &Harm) -> String {
    format!("STOP. {} {}", harm.done(), harm.would_have())
}

/// The events that end an exercise in which something unsafe was done.
fn stopped(session: &Session, desk: Desk, done: &[What], harm: &Harm) -> Vec<What> {
    let mut what = done.to_vec();
    what.push(What::Practised(Practised::Stopped {
        harm: harm.id().to_owned(),
        caution: harm.caution_id().to_owned(),
    }));
    // What stopped it has cost its minutes as well: the marks are those of the record as it will be.
    let after = session.after(&what);
    what.extend(end(&after, desk, "stopped: something unsafe was done"));
    what
}

/// The events that end an exercise: it is marked, and the job is closed.
pub fn end(session: &Session, desk: Desk, note: &str) -> Vec<What> {
    let marks = Debrief::without_evidence(session).marks();
    let mut what = vec![What::Practised(Practised::Marked(marks))];
    let note = note.to_owned();
    what.extend(
        act(
            &session.job,
            desk,
            Action::EndExercise { note: note.clone() },
        )
        .unwrap_or_else(
            // A limit that was passed and not let down stops everything; an exercise ends all the same.
            |_| vec![What::Handover { note }],
        ),
    );
    what
}
