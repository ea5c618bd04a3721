//! An outcome that asks for what one cause shows repairs that one, and not another.
//!
//! Copied with its end, an outcome leads to the repair of the cause that it was copied from. It is told by a
//! cause that no outcome repairs: the outcome asks for what this one shows, and for what the one that it
//! repairs does not. Where another outcome repairs it, two ends may have been interchanged; that is said only
//! where the outcome asks for what the one cause all but certainly shows, and the other never does.
//!
//! A cause that says nothing of a reading shows there what a sound car shows. Where an outcome asks for the sign of
//! another cause, and the one that it repairs is silent on it, that reading cannot speak for the repair.

use super::as_said::known;
use super::signatures::shows_what_is_healthy;
use super::signs::{SURELY, share, shown_as_sound, shown_or_sound, speaks, together};
use crate::flow::condition::{Check, Condition};
use crate::flow::finding::{Finding, code};
use crate::flow::load::causes::NOT_LISTED;
use crate::flow::model::{Cause, Flow, Outcome, PromptKind};
use crate::flow::signature::Shows;
use crate::flow::target::Target;

/// From these odds on a word speaks for a cause: it is rather shown than not.
const FOR: f64 = 0.5;
/// Below these it speaks against it: the upper end of `very unlikely`.
const AGAINST: f64 = 0.2;

pub fn check(flow: &Flow) -> Vec<Finding> {
    let outcomes = || flow.steps.iter().flat_map(|step| &step.outcomes);
    let is_repaired = |cause: &&Cause| {
        cause.id == NOT_LISTED || outcomes().any(|o| o.go == Target::Repair(cause.id.clone()))
    };
    let never: Vec<&Cause> = flow
        .causes
        .iter()
        .filter(|cause| !is_repaired(cause))
        .collect();
    let wrong = |outcome: &Outcome| {
        let Target::Repair(repaired) = &outcome.go else {
            return None;
        };
        let repaired = flow.cause(repaired)?;
        let points =
            |cause: &&&Cause| points_at(flow, &outcome.when, cause, repaired, (FOR, AGAINST));
        let copied = never
            .iter()
            .find(points)
            .map(|cause| copied(outcome, cause, repaired));
        copied.or_else(|| {
            // That nothing tells it from a sound car is a finding of its own.
            if shows_what_is_healthy(flow, repaired) {
                return None;
            }
            let mut others = flow
                .causes
                .iter()
                .filter(|cause| cause.id != NOT_LISTED && cause.id != repaired.id);
            if let Some(other) = others
                .clone()
                .find(|c| points_at(flow, &outcome.when, c, repaired, SURELY))
            {
                return Some(interchanged(outcome, other, repaired));
            }
            if let Some((other, word)) = names_another(flow, &outcome.when, repaired) {
                return Some(named(outcome, other, repaired, word));
            }
            others.find_map(|cause| {
                let sign = silent_on(flow, &outcome.when, cause, repaired)?;
                Some(silent(outcome, cause, repaired, sign))
            })
        })
    };
    outcomes().filter_map(wrong).collect()
}

/// Whether a condition asks for what one cause shows and the other does not.
fn points_at(
    flow: &Flow,
    when: &Condition,
    one: &Cause,
    other: &Cause,
    limits: (f64, f64),
) -> bool {
    let by = |(subject, check): (&str, &Check)| {
        let of = |cause: &Cause| {
            let shows = cause.shows.iter().find(|s| s.id == subject)?;
            Some(speaks(flow, shows, check, limits))
        };
        of(one) == Some(Some(true)) && of(other) == Some(Some(false))
    };
    together(when).into_iter().any(by) && !known(flow, &one.shows).excludes(flow, when)
}

/// A cause that a condition names by its id or name, as the answer to a question for the part, where another is
/// repaired. What physics gives such a reading follows the outcomes themselves, so that nothing else would show it.
fn names_another<'f>(
    flow: &'f Flow,
    when: &'f Condition,
    repaired: &Cause,
) -> Option<(&'f Cause, &'f str)> {
    let plain = |text: &str| text.to_lowercase().replace('-', " ");
    let names = |cause: &Cause, word: &str| {
        plain(&cause.id) == plain(word) || plain(&cause.name) == plain(word)
    };
    let checks = together(when).into_iter();
    let mut words = checks.filter_map(|(subject, check)| match check {
        Check::Is(word) => Some((subject, word.as_str())),
        _ => None,
    });
    words.find_map(|(subject, word)| {
        let choice = flow.reading(subject).map(|reading| &reading.kind);
        let of_part = matches!(choice, Some(PromptKind::Choice(_)));
        let other = flow.causes.iter().find(|cause| names(cause, word))?;
        (of_part && other.id != repaired.id && !names(repaired, word)).then_some((other, word))
    })
}

/// The reading by which a condition asks for the sign of one cause, where the other is silent on it and nothing else
/// in the condition speaks for that other one.
fn silent_on<'f>(flow: &Flow, when: &'f Condition, one: &Cause, other: &Cause) -> Option<&'f str> {
    // What stands in an `any` or a `none` may speak for the repair, and so may what physics gives.
    if !is_plain(when) || !other.effects.is_empty() || known(flow, &one.shows).excludes(flow, when)
    {
        return None;
    }
    let checks = together(when);
    let share = |cause: &Cause, subject: &str, check: &Check| {
        shown_or_sound(flow, cause, subject).map(|shows| share(flow, shows, check))
    };
    let speaks_for_other = |(subject, check): &(&str, &Check)| {
        let (one, other) = (share(one, subject, check), share(other, subject, check));
        other > one
    };
    if checks.iter().any(speaks_for_other) {
        return None;
    }
    checks.into_iter().find_map(|(subject, check)| {
        let shows = one.shows.iter().find(|shows| shows.id == subject)?;
        let sound = shown_as_sound(flow, other, subject)?;
        let speaks = |shows| speaks(flow, shows, check, (FOR, AGAINST));
        let tells = speaks(shows) == Some(true) && speaks(sound) == Some(false);
        tells.then_some(subject)
    })
}

/// Whether nothing in a condition is one of several, or denied.
fn is_plain(condition: &Condition) -> bool {
    match condition {
        Condition::All(parts) => parts.iter().all(is_plain),
        Condition::Test { .. } | Condition::Always => true,
        Condition::Any(_) | Condition::None(_) => false,
    }
}

/// Whether a condition asks for what is all but certainly shown where these shows hold, and never where those do.
pub fn asks_for(flow: &Flow, when: &Condition, shows: &[Shows], others: &[Shows]) -> bool {
    let by = |(subject, check): (&str, &Check)| {
        let of = |shows: &[Shows]| {
            let shows = shows.iter().find(|s| s.id == subject)?;
            Some(speaks(flow, shows, check, SURELY))
        };
        of(shows) == Some(Some(true)) && of(others) == Some(Some(false))
    };
    together(when).into_iter().any(by)
}

fn copied(outcome: &Outcome, cause: &Cause, repaired: &Cause) -> Finding {
    let (id, one, other) = (&outcome.id, &cause.id, &repaired.id);
    let wrong = format!(
        "`{id}` asks for what `{one}` shows and repairs `{other}`; nothing repairs `{one}`"
    );
    finding(outcome, one, wrong)
}

fn interchanged(outcome: &Outcome, cause: &Cause, repaired: &Cause) -> Finding {
    let (id, one, other) = (&outcome.id, &cause.id, &repaired.id);
    let wrong = format!(
        "`{id}` asks for what `{one}` shows and `{other}` never does, and repairs `{other}`"
    );
    finding(outcome, one, wrong)
}

fn named(outcome: &Outcome, cause: &Cause, repaired: &Cause, word: &str) -> Finding {
    let (id, one, other) = (&outcome.id, &cause.id, &repaired.id);
    let wrong = format!("`{id}` is taken where the answer names `{word}`, and repairs `{other}`");
    finding(outcome, one, wrong)
}

fn silent(outcome: &Outcome, cause: &Cause, repaired: &Cause, sign: &str) -> Finding {
    let (id, one, other) = (&outcome.id, &cause.id, &repaired.id);
    let wrong = format!(
        "`{id}` asks for what `{one}` shows of `{sign}` and repairs `{other}`, which says nothing of `{sign}` and so \
         shows there what a sound car does"
    );
    let help =
        format!("write go: {{repair: {one}}}; or say under `shows` of `{other}` what {sign} shows");
    Finding::warning(code::WRONG_REPAIR, outcome.place, wrong, help)
}

fn finding(outcome: &Outcome, one: &str, wrong: String) -> Finding {
    let help = format!("write go: {{repair: {one}}}, or mend what the two causes show");
    Finding::warning(code::WRONG_REPAIR, outcome.place, wrong, help)
}
