//! What the control unit of the practice car has stored, read out and cleared.

use std::fmt::Write as _;

use crate::engine::event::Codes;
use crate::practice::session::Session;

/// What is seen as the control unit's memory is read out and saved.
pub(super) fn saved(session: &Session) -> String {
    let mut words =
        String::from("You read out and save stored and pending codes, freeze frame and readiness.");
    let codes = codes(session);
    for (are, codes) in [("Stored", codes.stored), ("Pending", codes.pending)] {
        if !codes.is_empty() {
            let _ = write!(words, " {are}: {}.", codes.join(", "));
        }
    }
    if session.bay.test() > 1 && session.bay.are_codes_stored() && !came_codes(session).is_empty() {
        words.push_str(
            " Nobody has cleared them since the car came: they say nothing of the repair.",
        );
    }
    words
}

/// What is seen as the codes are cleared.
pub(super) fn cleared(session: &Session) -> String {
    let mut words = String::from(
        "The codes are cleared, and freeze frame and readiness with them: the long trims begin at nothing, and every monitor \
         has to run again.",
    );
    if session.bay.test() == 1 && !session.bay.are_codes_saved() {
        words.push_str(" Nobody had saved them.");
    }
    words
}

/// The codes with which the car came.
fn came_codes(session: &Session) -> Vec<String> {
    let opening = session.job.opening.as_ref();
    opening.map_or_else(Vec::new, |opening| opening.codes.clone())
}

/// What the control unit has stored, for the record: the codes with which the car came, until somebody clears them; those
/// are pending once the engine has run again with the complaint still there.
pub(super) fn codes(session: &Session) -> Codes {
    let came = |are: bool| {
        let codes = are.then(|| came_codes(session));
        codes.unwrap_or_default()
    };
    let stored = session.bay.are_codes_stored();
    Codes {
        stored: came(stored),
        pending: came(session.bay.came_back()),
        freeze_frame: if stored { "saved" } else { "none" }.to_owned(),
        readiness: "saved".to_owned(),
    }
}
