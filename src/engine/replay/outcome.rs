//! How a step was ended: what the rules said, what was worked out, where it led, and why.

use crate::engine::event::{OutcomeTaken, Recorded, RecordedValue, Suggested, What};
use crate::engine::job::{Job, Station};
use crate::engine::weighed::Chosen;
use crate::engine::{act, judge, words};
use crate::flow::choice::Choice;
use crate::flow::model::{Flow, Outcome, Step};
use crate::flow::target::Target;
use crate::flow::working::Picture;

/// Worked values may differ by this much in proportion: the last digits of a square root or a
/// power are the processor's own.
const SAME: f64 = 1e-9;
/// And the ends of their intervals by this much.
const SAME_END: f64 = 1e-6;

/// Where the end of a step disagrees with the job as it stood before it. `next` is the event after
/// it.
pub(super) fn compare(job: &Job, taken: &OutcomeTaken, next: Option<&What>) -> Vec<String> {
    let mut out = Vec::new();
    let (Some(run), Some(visit)) = (job.run(), job.visit()) else {
        return out;
    };
    let Some(step) = run
        .step()
        .filter(|_| visit.station == Station::Step(taken.step.clone()))
    else {
        return out; // The fold says that it does not fit.
    };
    let picture = judge::picture_at(job, run, visit);
    if let Some(choice) = judge::choice_now(job, &picture) {
        out.extend(suggestion(taken, &judge::suggested(&choice)));
        out.extend(leads(job, step, taken, &choice));
        out.extend(reason(taken, &choice));
    }
    out.extend(proof(job, step, taken));
    out.extend(worked(&run.flow, step, taken, &picture));
    if taken.go == Target::Done && !matches!(next, Some(What::FlowClosed { .. })) {
        out.push(format!(
            "{}: the flow ends here, and the record does not say how",
            taken.step
        ));
    }
    out
}

fn suggestion(taken: &OutcomeTaken, now: &Suggested) -> Option<String> {
    (*now != taken.suggested).then(|| {
        format!(
            "{}: the record says that the rules suggested {}, and they suggest {}",
            taken.step,
            named(&taken.suggested),
            named(now)
        )
    })
}

fn outcome<'s>(step: &'s Step, taken: &OutcomeTaken) -> Option<&'s Outcome> {
    let id = taken.outcome.as_deref()?;
    step.outcomes.iter().find(|outcome| outcome.id == id)
}

/// Whether the step was left for where the evidence said.
fn by_evidence(taken: &OutcomeTaken) -> bool {
    let weighed = taken.weighed.as_ref();
    taken.outcome.is_none() && weighed.is_some_and(|w| w.taken != Chosen::Flow)
}

/// Where it led: the outcome's own way, or the detour where nothing could be drawn from the step.
fn leads(job: &Job, step: &Step, taken: &OutcomeTaken, choice: &Choice) -> Option<String> {
    if by_evidence(taken) {
        let refused = act::refuse_elsewhere(job, step, &taken.go).err()?;
        return Some(format!(
            "{}: recorded as left by the evidence, but {refused}",
            taken.step
        ));
    }
    let by_flow = match (&taken.outcome, outcome(step, taken), choice) {
        (Some(id), None, _) => {
            return Some(format!("{}: the step has no outcome `{id}`", taken.step));
        }
        (Some(_), Some(outcome), _) => Some(&outcome.go),
        (None, _, Choice::NotValid { .. } | Choice::Unsure { .. } | Choice::Incomplete { .. }) => {
            choice.target()
        }
        (None, _, Choice::Matches(_) | Choice::NoMatch) => None,
    };
    if by_flow == Some(&taken.go) {
        return None;
    }
    let lead = |go: &Target| words::target(job.run(), go);
    Some(match by_flow {
        Some(go) => format!(
            "{}: recorded as leading {}, and by the flow it leads {}",
            taken.step,
            lead(&taken.go),
            lead(go)
        ),
        None => format!(
            "{}: recorded as leading {} without an outcome, and by the flow nothing leads there",
            taken.step,
            lead(&taken.go)
        ),
    })
}

/// Who takes another outcome than the rules suggest has to say why.
fn reason(taken: &OutcomeTaken, choice: &Choice) -> Option<String> {
    let id = taken.outcome.as_deref()?;
    let suggested = matches!(choice, Choice::Matches(outcome) if outcome.id == id);
    let given = taken
        .reason
        .as_deref()
        .is_some_and(|r| !r.trim().is_empty());
    (!suggested && !given).then(|| {
        format!(
            "{}: `{id}` was taken against the suggestion, and no reason is recorded",
            taken.step
        )
    })
}

fn proof(job: &Job, step: &Step, taken: &OutcomeTaken) -> Option<String> {
    let refused = act::refuse_unproved(job, outcome(step, taken)).err()?;
    Some(format!("{}: recorded as proved, but {refused}", taken.step))
}

fn worked(flow: &Flow, step: &Step, taken: &OutcomeTaken, picture: &Picture) -> Vec<String> {
    let mut out = Vec::new();
    let worked = judge::record_worked(flow, step, picture);
    for (id, recorded) in &taken.worked {
        match worked.get(id) {
            None => out.push(format!(
                "{id}: recorded as {}, but it cannot be worked",
                recorded.shown
            )),
            Some(now) if !same(recorded, now) => out.push(format!(
                "{id}: recorded as {} by {}, worked now as {} by {}",
                recorded.shown, recorded.by, now.shown, now.by
            )),
            Some(_) => {}
        }
    }
    for id in worked.keys().filter(|id| !taken.worked.contains_key(*id)) {
        out.push(format!(
            "{id}: worked now as {}, but not in the record",
            worked[id].shown
        ));
    }
    out
}

fn named(suggested: &Suggested) -> String {
    match suggested {
        Suggested::Outcome(id) => format!("the outcome `{id}`"),
        Suggested::Unsure => "that it cannot be told".to_owned(),
        Suggested::NotValid => "that the readings are not valid".to_owned(),
        Suggested::NoMatch => "no outcome".to_owned(),
    }
}

fn same(a: &Recorded, b: &Recorded) -> bool {
    let near = |x: f64, y: f64| (x - y).abs() <= SAME * x.abs().max(y.abs());
    let near_end = |x: Option<f64>, y: Option<f64>| match (x, y) {
        (Some(x), Some(y)) => (x - y).abs() <= SAME_END * x.abs().max(y.abs()),
        (None, None) => true,
        _ => false,
    };
    // Another version of the calculation that comes to the same is no disagreement.
    a.shown == b.shown
        && match (&a.value, &b.value) {
            (RecordedValue::Words(x), RecordedValue::Words(y)) => x == y,
            (
                RecordedValue::Number {
                    si: x,
                    low: xl,
                    high: xh,
                },
                RecordedValue::Number {
                    si: y,
                    low: yl,
                    high: yh,
                },
            ) => near(*x, *y) && near_end(*xl, *yl) && near_end(*xh, *yh),
            _ => false,
        }
}
