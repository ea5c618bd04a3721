//! Playing a record through the engine, to see whether it still comes to what was written down.

use super::event::{Event, OutcomeTaken, Recorded, RecordedValue, Suggested, What};
use super::fold::apply;
use super::job::{Job, Station};
use super::judge;

/// Worked values may differ by this much in proportion: the last digits of a square root or a
/// power are the processor's own.
const SAME: f64 = 1e-9;

/// What came of playing one event.
#[derive(Clone, Debug)]
pub struct Played<'e> {
    /// The event.
    pub event: &'e Event,
    /// Where the record disagrees with what the engine computes.
    pub disagreements: Vec<String>,
}

/// Plays a record, event by event. Returns the job it ends in and what was found on the way.
pub fn replay(events: &[Event]) -> (Job, Vec<Played<'_>>) {
    let mut job = Job::default();
    let mut played = Vec::new();
    for event in events {
        let mut disagreements = match &event.what {
            What::OutcomeTaken(taken) => outcome(&job, taken),
            _ => Vec::new(),
        };
        let misfits = job.misfits.len();
        apply(&mut job, event);
        disagreements.extend(job.misfits.iter().skip(misfits).map(|m| m.why.clone()));
        if let What::FlowBegun { flow, .. } = &event.what {
            disagreements.extend(begun(&job, flow));
        }
        played.push(Played {
            event,
            disagreements,
        });
    }
    (job, played)
}

fn begun(job: &Job, flow: &str) -> Option<String> {
    let run = job.run()?;
    (run.flow.id != flow).then(|| {
        format!(
            "the record says flow {flow}, but its text is that of {}",
            run.flow.id
        )
    })
}

fn outcome(job: &Job, taken: &OutcomeTaken) -> Vec<String> {
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
    if let Some(now) = judge::suggested_at(job, run, visit)
        && now != taken.suggested
    {
        out.push(format!(
            "{}: the record says that the rules suggested {}, and they suggest {}",
            taken.step,
            words(&taken.suggested),
            words(&now)
        ));
    }
    let worked = judge::record_worked(&run.flow, step, &picture);
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

fn words(suggested: &Suggested) -> String {
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
        (Some(x), Some(y)) => (x - y).abs() <= 1e-6 * x.abs().max(y.abs()),
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
