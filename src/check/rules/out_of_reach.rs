//! A repair is reached by the cars that it is for.
//!
//! An outcome that repairs a cause by a limit of a number, where that cause shows nothing but what lies on the other side
//! of the limit, and no other outcome repairs it otherwise, is met by other cars alone: a slip in a digit of the one or the other, or two readings put the wrong
//! way round. What outcomes ask of words is held against the causes in [`super::wrong_repair`].

use super::signatures::shows_what_is_healthy;
use super::signs::{SURELY, speaks, together};
use super::wrong_repair;
use crate::engine::judge::rests_on;
use crate::flow::choice::name;
use crate::flow::condition::Check;
use crate::flow::finding::{Finding, code};
use crate::flow::model::{Arg, Cause, Flow, Outcome, PromptKind, Step, Work};
use crate::flow::signature::{Shown, Shows};
use crate::flow::target::Target;
use crate::units::Dimension;

/// A share of what was there before is no more than all of it, but for the errors of two readings.
const ALL_OF_IT: f64 = 1.1;

pub fn check(flow: &Flow) -> Vec<Finding> {
    let turned: Vec<(&Work, Finding)> = flow
        .worked
        .iter()
        .filter_map(|work| Some((work, turned(flow, work)?)))
        .collect();
    let others = wrong_repair::check(flow);
    let of_another = |outcome: &Outcome| others.iter().any(|f| f.place == outcome.place);
    let outcomes = flow.steps.iter().flat_map(|step| &step.outcomes);
    let mut found: Vec<Finding> = outcomes
        .filter_map(|outcome| {
            let Target::Repair(id) = &outcome.go else {
                return None;
            };
            let cause = flow.cause(id)?;
            // That nothing tells it from a sound car is a finding of its own, and so is an end of another cause.
            if shows_what_is_healthy(flow, cause) || is_reached(flow, cause) || of_another(outcome)
            {
                return None;
            }
            let (shows, check) = never_met(flow, outcome, cause)?;
            let follows = |(work, _): &(&Work, Finding)| rests_on_work(flow, &shows.id, work);
            (!turned.iter().any(follows)).then(|| never(flow, outcome, cause, shows, check))
        })
        .collect();
    found.extend(turned.into_iter().map(|(_, finding)| finding));
    found
}

/// Whether another end repairs it within what it shows: a part can fail in more ways than one.
fn is_reached(flow: &Flow, cause: &Cause) -> bool {
    let mut outcomes = flow.steps.iter().flat_map(|step| &step.outcomes);
    outcomes.any(|outcome| {
        outcome.go == Target::Repair(cause.id.clone()) && never_met(flow, outcome, cause).is_none()
    })
}

/// What a cause shows beyond a limit that the outcome asks for.
fn never_met<'f>(
    flow: &'f Flow,
    outcome: &'f Outcome,
    cause: &'f Cause,
) -> Option<(&'f Shows, &'f Check)> {
    together(&outcome.when)
        .into_iter()
        .find_map(|(subject, check)| {
            let shows = cause.shows.iter().find(|shows| shows.id == subject)?;
            let number = matches!(shows.what, Shown::Range(..) | Shown::EitherWay(..));
            let against = speaks(flow, shows, check, SURELY) == Some(false);
            (number && against).then_some((shows, check))
        })
}

fn never(flow: &Flow, outcome: &Outcome, cause: &Cause, shows: &Shows, check: &Check) -> Finding {
    let (end, id) = (&outcome.id, &cause.id);
    let said = match &shows.what {
        Shown::Range(from, to) => format!("{from} to {to}"),
        Shown::EitherWay(from, to) => format!("{from} to {to} either way"),
        Shown::Words(_) => String::new(),
    };
    let (subject, check) = (name(flow, &shows.id), check.english());
    Finding::warning(
        code::WRONG_REPAIR,
        outcome.place,
        format!(
            "`{end}` repairs `{id}` with {subject} {check}, and by its `shows` `{id}` gives {said}: no car with it comes here"
        ),
        format!("mend the limit, or what `{id}` shows; or lead to the cause that is found so"),
    )
}

fn rests_on_work(flow: &Flow, id: &str, work: &Work) -> bool {
    id == work.id || flow.work(id).is_some() && rests_on(flow, id, &work.id)
}

/// A share of a pressure that is left after a wait, worked with the first reading above the second.
fn turned(flow: &Flow, work: &Work) -> Option<Finding> {
    if work.calculation.name != "ratio" {
        return None;
    }
    let (above, below) = match work.inputs.as_slice() {
        [(_, Arg::List(two))] => match two.as_slice() {
            [Arg::Of(above), Arg::Of(below)] => (above, below),
            _ => return None,
        },
        _ => return None,
    };
    let in_turn = |step: &Step| {
        let at = |id: &String| step.record.iter().position(|read| read == id);
        step.timer.is_some() && at(above).zip(at(below)).is_some_and(|(a, b)| a < b)
    };
    let falls = is_pressure(flow, above) && is_pressure(flow, below);
    if !falls || !flow.steps.iter().any(in_turn) {
        return None;
    }
    let causes = flow.causes.iter().flat_map(|cause| &cause.shows);
    let shown = flow.healthy.iter().chain(causes);
    let ends: Vec<f64> = shown
        .filter(|shows| shows.id == work.id)
        .filter_map(|shows| match &shows.what {
            Shown::Range(_, to) => Some(to.si()),
            _ => None,
        })
        .collect();
    let lost = ends.iter().any(|to| *to < 1.0) && ends.iter().all(|to| *to <= ALL_OF_IT);
    lost.then(|| {
        Finding::warning(
            code::WRONG_REPAIR,
            work.place,
            format!(
                "`{}` is `{above}` to `{below}`, and `{above}` is read first: a pressure that falls gives more than 100 %, \
                 and all that is shown of it is less",
                work.id
            ),
            format!("write ratio: [{below}, {above}]"),
        )
    })
}

fn is_pressure(flow: &Flow, id: &str) -> bool {
    let kind = flow.reading(id).map(|reading| &reading.kind);
    matches!(kind, Some(PromptKind::Quantity(q)) if q.unit.dimension() == Dimension::Pressure)
}
