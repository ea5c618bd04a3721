//! An outcome that asks for what one cause shows repairs that one, and not another.
//!
//! Copied with its end, an outcome leads to the repair of the cause that it was copied from. It is told by a
//! cause that no outcome repairs: the outcome asks for what this one shows, and for what the one that it
//! repairs does not. Where another outcome repairs it, two ends may have been interchanged; that is said only
//! where the outcome asks for what the one cause all but certainly shows, and the other never does.

use super::as_said::known;
use super::signatures::shows_what_is_healthy;
use super::way::known::Known;
use crate::flow::condition::{Check, Condition};
use crate::flow::finding::{Finding, code};
use crate::flow::load::causes::NOT_LISTED;
use crate::flow::model::{Cause, Flow, Outcome};
use crate::flow::signature::{Shown, Shows};
use crate::flow::target::Target;

/// From these odds on a word speaks for a cause: it is rather shown than not.
const FOR: f64 = 0.5;
/// Below these it speaks against it: the upper end of `very unlikely`.
const AGAINST: f64 = 0.2;
/// What speaks so, on either side, where every cause is repaired somewhere: all but certain, and never.
const SURELY: (f64, f64) = (0.95, 1e-9);

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
            let other = others.find(|c| points_at(flow, &outcome.when, c, repaired, SURELY))?;
            Some(interchanged(outcome, other, repaired))
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

/// Whether what is shown speaks for a check, or against it; nothing where it does neither.
fn speaks(flow: &Flow, shows: &Shows, check: &Check, limits: (f64, f64)) -> Option<bool> {
    let odds = |listed: &[String]| match &shows.what {
        Shown::Words(words) => {
            let those = words.iter().filter(|(word, _)| listed.contains(word));
            Some(those.map(|(_, odds)| odds).sum::<f64>())
        }
        Shown::Range(..) | Shown::EitherWay(..) => None,
    };
    match check {
        Check::Is(word) => by_odds(odds(std::slice::from_ref(word))?, limits),
        Check::AnyOf(words) => by_odds(odds(words)?, limits),
        Check::NoneOf(_) => None,
        Check::AtLeast(_)
        | Check::Above(_)
        | Check::AtMost(_)
        | Check::Below(_)
        | Check::Between(..) => {
            let test = Condition::Test {
                subject: shows.id.clone(),
                check: check.clone(),
            };
            let known: Known = known(flow, std::slice::from_ref(shows));
            let (holds, fails) = (known.settles(flow, &test), known.excludes(flow, &test));
            (holds || fails).then_some(holds)
        }
    }
}

fn by_odds(odds: f64, (least, most): (f64, f64)) -> Option<bool> {
    (odds >= least || odds < most).then_some(odds >= least)
}

/// The checks that must all hold.
fn together(condition: &Condition) -> Vec<(&str, &Check)> {
    match condition {
        Condition::All(parts) => parts.iter().flat_map(together).collect(),
        Condition::Test { subject, check } => vec![(subject, check)],
        Condition::Any(_) | Condition::None(_) | Condition::Always => Vec::new(),
    }
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

fn finding(outcome: &Outcome, one: &str, wrong: String) -> Finding {
    let help = format!("write go: {{repair: {one}}}, or mend what the two causes show");
    Finding::warning(code::WRONG_REPAIR, outcome.place, wrong, help)
}
