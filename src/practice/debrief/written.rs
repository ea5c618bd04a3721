//! What was written down and the car does not bear out, in words: with the step, and what the car showed or would have
//! shown.

use crate::engine::shown;
use crate::flow::answer::Answer;
use crate::flow::model::Flow;
use crate::practice::log::{How, Stood, Unlooked, Written};
use crate::practice::session::Session;

/// What was read, and written down otherwise than it stood.
pub(super) fn misread(session: &Session) -> Vec<String> {
    lines(session, |how| *how == How::Read)
}

/// What was written down without being read, seen or so.
pub(super) fn made_up(session: &Session) -> Vec<String> {
    lines(session, |how| *how != How::Read)
}

fn lines(session: &Session, these: impl Fn(&How) -> bool) -> Vec<String> {
    let flow = session.bay.plan().flow;
    let written = session.bay.log.not_borne_out();
    written
        .filter(|written| these(&written.how))
        .map(|written| line(flow, written))
        .collect()
}

fn line(flow: &Flow, written: &Written) -> String {
    let ask = asked(flow, &written.reading);
    let end = if ask.ends_with(['.', '?', '!', ':']) {
        ""
    } else {
        ":"
    };
    let after = if written.put_right {
        " You put it right."
    } else {
        ""
    };
    format!(
        "{}: {ask}{end} You wrote {}{after}",
        at(flow, written),
        came(written)
    )
}

/// The step and the test.
pub(super) fn at(flow: &Flow, written: &Written) -> String {
    let step = flow.step(&written.step);
    let step = step.map_or(written.step.as_str(), |step| &step.title);
    format!("\"{step}\", test {}", written.test)
}

/// The question of a reading.
pub(super) fn asked<'f>(flow: &'f Flow, reading: &'f str) -> &'f str {
    flow.reading(reading)
        .map_or(reading, |prompt| prompt.ask.as_str())
}

/// What was asked and what was written, in words.
pub(super) fn said(flow: &Flow, written: &Written) -> String {
    let ask = asked(flow, &written.reading).trim_end_matches(['.', '?', '!', ':']);
    format!("{ask}: {}", shown::answer(&written.said))
}

/// What was written, and what there was.
fn came(written: &Written) -> String {
    let said = shown::answer(&written.said);
    let stood = match &written.stood {
        Stood::Was(words) => return format!("{said}; {words}."),
        Stood::Showed(stood) => stood,
    };
    let shows = shown::answer(stood);
    match &written.how {
        How::NotLooked(places) if places.is_empty() => match stood {
            Answer::Places(stood) if stood.is_empty() => {
                format!("{said} and looked at no place; nothing would have shown.")
            }
            _ => format!("{said} and looked at no place; something did show: {shows}."),
        },
        How::NotLooked(places) => {
            let (unfed, not): (Vec<&Unlooked>, Vec<&Unlooked>) =
                places.iter().partition(|place| place.unfed);
            let listed = |how: &str, places: &[&Unlooked]| {
                let these = places.iter().map(|place| at_place(stood, &place.place));
                let these: Vec<String> = these.collect();
                (!these.is_empty()).then(|| format!("{how}: {}", these.join("; ")))
            };
            let how = [
                listed("had not looked at", &not),
                listed("had looked with nothing fed at", &unfed),
            ];
            let how: Vec<String> = how.into_iter().flatten().collect();
            format!("{said} and {}.", how.join("; and "))
        }
        How::NotAsked => format!("{said} without reading it; the car would have shown {shows}."),
        How::Read | How::Claimed(_) => format!("{said}; the car showed {shows}."),
    }
}

fn at_place(stood: &Answer, place: &str) -> String {
    let there = matches!(stood, Answer::Places(places) if places.contains_key(place));
    let what = if there {
        "something did show"
    } else {
        "nothing would have shown"
    };
    format!("{place}, where {what}")
}
