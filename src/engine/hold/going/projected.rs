//! What the step will judge by, worked out as if the end of the hold had been read already: the
//! flow's own worked values, with what the fall so far says of the end in the place of the reading.

use crate::engine::hold::{Hold, limit};
use crate::engine::job::Job;
use crate::engine::judge;
use crate::flow::answer::Answer;
use crate::flow::model::{PromptKind, Work};
use crate::flow::values::{Value, Values};
use crate::flow::working::{Known, picture, plain_values};
use crate::physics::uncertainty::Estimate;
use crate::units::Quantity;

/// Halvings until the limit is known better than any gauge shows it.
const HALVINGS: u32 = 24;

/// A worked value with its interval, for an end that is known no better than the fall tells.
pub(super) fn value(hold: &Hold, job: &Job, work: &Work, end: &Estimate) -> Option<Estimate> {
    let own = number(&values(hold, job, end.value, true)?, work)?;
    let ends =
        [end.low, end.high].map(|si| Some(number(&values(hold, job, si, false)?, work)?.value));
    let (mut low, mut high) = (own.low, own.high);
    // Where the calculation refuses one end of the range, nothing bounds the value on that side; which
    // side that is cannot be told.
    for at in ends {
        (low, high) = at.map_or((f64::NEG_INFINITY, f64::INFINITY), |at| {
            (low.min(at), high.max(at))
        });
    }
    Some(Estimate {
        value: own.value,
        low,
        high,
    })
}

/// The end at which a worked value meets each of its limits, as lines over the whole hold.
pub(super) fn lines(hold: &Hold, job: &Job, start: f64) -> Vec<(String, [(f64, f64); 2])> {
    let mut lines: Vec<(String, [(f64, f64); 2])> = Vec::new();
    for (work, checks) in &hold.judged {
        for check in checks {
            let Some(level) = limit(check).and_then(|at| meets(hold, job, work, at, start)) else {
                continue;
            };
            let line = [(0.0, level), (hold.seconds, level)];
            // "Below" and "at least" one limit are one line.
            if lines.iter().all(|(_, known)| *known != line) {
                lines.push((format!("{} {}", work.name, check.english()), line));
            }
        }
    }
    lines
}

/// The end at which a worked value comes to a limit, between nothing left and all of the start.
fn meets(hold: &Hold, job: &Job, work: &Work, limit: f64, start: f64) -> Option<f64> {
    let above = |end: f64| Some(number(&values(hold, job, end, false)?, work)?.value > limit);
    // At the very ends some calculations refuse: an emptied space, a fall of nothing.
    let (mut low, mut high) = (start * 0.02, start * 0.998);
    let (at_low, at_high) = (above(low), above(high));
    if at_low.is_some() && at_low == at_high {
        return None;
    }
    // One end that cannot be worked out stands for whatever the other is not.
    let at_low = at_low.or(at_high.map(|above| !above))?;
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(low, high);
        // What cannot be worked out lies on the side of the end that cannot.
        let beyond = above(middle).map_or(at_high.is_none(), |above| above != at_low);
        if beyond {
            high = middle;
        } else {
            low = middle;
        }
    }
    let found = f64::midpoint(low, high);
    // What only parts the range that can be worked out from the rest is no limit.
    let both = above(low).zip(above(high));
    both.filter(|(low, high)| low != high).map(|_| found)
}

fn number(values: &Values, work: &Work) -> Option<Estimate> {
    match values.get(&work.id)? {
        Value::Number(estimate) if estimate.value.is_finite() => Some(*estimate),
        _ => None,
    }
}

/// All that follows if the gauge shows this at the end, Pa; with intervals or without.
fn values(hold: &Hold, job: &Job, end: f64, intervals: bool) -> Option<Values> {
    let PromptKind::Quantity(asked) = &hold.end.kind else {
        return None;
    };
    let (run, visit) = (job.run()?, job.visit()?);
    let mut answers = judge::answers(job, run, visit);
    let read = Quantity::new(asked.unit.from_si(end), asked.unit).ok()?;
    answers.insert(hold.end.id.clone(), Answer::Quantity(read));
    let known = Known {
        answers: &answers,
        test_number: visit.test,
    };
    Some(if intervals {
        picture(&run.flow, known).values
    } else {
        plain_values(&run.flow, known)
    })
}
