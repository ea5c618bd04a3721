//! Causes can be told from a sound car, and from one another, by something that is read.
//!
//! Asked only of flows that say what a sound car shows (`healthy`): without that, nobody means the
//! causes to be reasoned about.

use crate::flow::finding::{Finding, code};
use crate::flow::load::causes::NOT_LISTED;
use crate::flow::model::{Cause, Flow};
use crate::flow::signature::Shows;

pub fn check(flow: &Flow) -> Vec<Finding> {
    if flow.healthy.is_empty() {
        return Vec::new();
    }
    let listed: Vec<&Cause> = flow
        .causes
        .iter()
        .filter(|cause| cause.id != NOT_LISTED)
        .collect();
    let mut found = Vec::new();
    for (n, cause) in listed.iter().enumerate() {
        if shows_what_is_healthy(flow, cause) {
            found.push(like_healthy(cause));
        } else if let Some(other) = listed[..n].iter().find(|other| alike(other, cause)) {
            found.push(like(cause, other));
        }
    }
    found
}

/// Whether a cause shows nothing that a sound car would not show.
pub fn shows_what_is_healthy(flow: &Flow, cause: &Cause) -> bool {
    cause.effects.is_empty() && cause.shows.iter().all(|shows| flow.healthy.contains(shows))
}

fn like_healthy(cause: &Cause) -> Finding {
    Finding::warning(
        code::TELLS_NOTHING,
        cause.place,
        format!("nothing that is read tells `{}` from a sound car", cause.id),
        "add `shows:` with what a reading shows if it is the cause, or `effect:`",
    )
}

fn like(cause: &Cause, other: &Cause) -> Finding {
    Finding::warning(
        code::TELLS_NOTHING,
        cause.place,
        format!(
            "nothing that is read tells `{}` from `{}`",
            cause.id, other.id
        ),
        "add a reading that differs between the two, or make them one cause",
    )
}

fn alike(one: &Cause, other: &Cause) -> bool {
    let within = |a: &[Shows], b: &[Shows]| a.iter().all(|shows| b.contains(shows));
    within(&one.shows, &other.shows)
        && within(&other.shows, &one.shows)
        && one.effects == other.effects
}
