//! Places that are looked at, covered and tried.

use super::DIES;
use crate::flow::load::nearest;
use crate::flow::model::PromptKind;
use crate::practice::bay::{Answers, Bay};
use crate::practice::search::Search;
use crate::practice::session::Session;

pub(super) const NO_PLACE: &str = "here no place is asked for: look when the step wants it";

/// Looks at a place for so many seconds.
pub(super) fn looks(
    bay: &mut Bay,
    (place, seconds): (&str, u32),
    earlier: &Answers,
) -> Result<String, String> {
    let Some(prompt) = bay.step().and_then(|step| bay.places(step)) else {
        return Err(NO_PLACE.to_owned());
    };
    if let PromptKind::Places(places) = &prompt.kind {
        let places: Vec<&str> = places.iter().map(String::as_str).collect();
        listed(place, &places, "is asked for at this step")?;
    }
    let search = Search::of(prompt, bay.step());
    Ok(match bay.look(place, seconds, earlier) {
        Some(strength) => format!("{place}: {}.", search.strength(strength)),
        None => format!(
            "{place}: {}, after {} s.",
            search.nothing(),
            bay.looked(place)
        ),
    })
}

/// Refuses a place that is none of these.
pub(super) fn listed(place: &str, places: &[&str], is: &str) -> Result<(), String> {
    if places.contains(&place) {
        return Ok(());
    }
    let meant = nearest(place, places)
        .map_or_else(String::new, |near| format!(" (did you mean `{near}`?)"));
    Err(if places.is_empty() {
        format!("no place of this test {is}")
    } else {
        format!(
            "no place `{place}` {is}{meant}; there are: {}",
            places.join("; ")
        )
    })
}

/// Covers a place: on the running engine it is tried, and what changes is seen.
pub(super) fn covered(
    session: &Session,
    bay: &mut Bay,
    place: &str,
    earlier: &Answers,
) -> Result<String, String> {
    if bay.tries().is_none() {
        return Ok(format!("Covered: {place}."));
    }
    if session.bay.stays_still() {
        return Err(DIES.to_owned());
    }
    Ok(match bay.try_place(place, earlier) {
        Some(true) => format!(
            "Covered on the running engine, {place}: trims or idle change, and go back as it is freed."
        ),
        _ => format!("Covered on the running engine, {place}: nothing changes. It is free again."),
    })
}

/// What is said where places are to be tried, and none that was tried changes anything.
pub(super) fn not_tried(session: &Session) -> String {
    let tried = session.bay.tried();
    let so_far = if tried.is_empty() {
        "no place was tried yet".to_owned()
    } else {
        let tried: Vec<&str> = tried.iter().map(String::as_str).collect();
        format!("nothing changed at {}", tried.join(", "))
    };
    format!("{so_far}: with your hands, cover a place (it is freed again); then the next")
}
