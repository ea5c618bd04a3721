//! Where the walk goes: flows begun, stations left and reached, back, forward, the retest.

use super::{Fit, current};
use crate::engine::event::{Event, OutcomeTaken};
use crate::engine::job::{How, Job, Left, Run, Station, Visit};
use crate::flow::kept::kept;
use crate::flow::target::Target;

pub(super) fn visit(event: &Event, station: Station, test: u32) -> Visit {
    Visit {
        station,
        test,
        since_seq: event.seq,
        since: event.at,
        stay_seq: event.seq,
        stay: event.at,
        left: None,
        rejudged: None,
    }
}

/// A stay begins where the walk is now: what runs while somebody stands at a step, a clock above
/// all, does not outlast the stay in which it was begun.
fn stay(job: &mut Job, event: &Event) {
    let run = job.current.and_then(|at| job.runs.get_mut(at));
    if let Some(visit) = run.and_then(|run| run.path.get_mut(run.at)) {
        visit.stay_seq = event.seq;
        visit.stay = event.at;
    }
}

pub(super) fn begin(job: &mut Job, event: &Event, hash: &str, text: &str) -> Fit {
    let flow = kept(text).map_err(|findings| {
        let first = findings.first().map(|f| f.message.clone());
        let first = first.unwrap_or_default();
        format!("the flow's text does not load: {first}")
    })?;
    let Some(first) = flow.steps.first() else {
        return Err("the flow has no steps".to_owned());
    };
    // A flow that is begun in the middle of a test belongs to that test.
    let test = job.test_number();
    let path = vec![visit(event, Station::Step(first.id.clone()), test)];
    // What was walked ahead and left behind by going back is no longer the way.
    job.runs.truncate(job.current.map_or(0, |at| at + 1));
    if let Some(run) = job.runs.last_mut() {
        run.path.truncate(run.at + 1);
    }
    job.runs.push(Run {
        flow,
        hash: hash.to_owned(),
        path,
        at: 0,
        verdict: None,
    });
    job.current = Some(job.runs.len() - 1);
    Ok(())
}

pub(super) fn on_step(job: &Job, step: &str) -> Fit {
    match job.visit().map(|v| &v.station) {
        Some(Station::Step(here)) if here == step => Ok(()),
        Some(Station::Step(here)) => Err(format!("the step walked is {here}, not {step}")),
        _ => Err(format!("the walk is not at a step, let alone at {step}")),
    }
}

pub(super) fn end_step(job: &mut Job, event: &Event, taken: &OutcomeTaken) -> Fit {
    on_step(job, &taken.step)?;
    leave(job, event, How::Outcome(taken.clone()), &taken.go)
}

/// Leaves the current station for a target. Where the way ahead was walked before and still leads
/// to the same station in the same test, it is kept: going back and forward changes nothing.
pub(super) fn leave(job: &mut Job, event: &Event, how: How, go: &Target) -> Fit {
    let run = current(job)?;
    let station = match go {
        Target::Step(id) if run.flow.step(id).is_some() => Station::Step(id.clone()),
        Target::Step(id) => return Err(format!("the flow has no step {id}")),
        Target::Repair(cause) => Station::Repair(cause.clone()),
        Target::Flow(flow) => Station::LedTo(flow.clone()),
        Target::Done => Station::End,
    };
    let diverges = push(run, event, how, station, 0);
    if diverges {
        // A station newly reached reopens a flow that had ended, and flows that were begun from
        // further along are no longer on the way.
        run.verdict = None;
        job.runs.truncate(job.current.map_or(0, |at| at + 1));
    }
    Ok(())
}

/// Goes to the next station; says whether that is another than the way ahead had before.
pub(super) fn push(
    run: &mut Run,
    event: &Event,
    how: How,
    station: Station,
    more_tests: u32,
) -> bool {
    let at = run.at;
    let Some(here) = run.path.get_mut(at) else {
        return false;
    };
    let test = here.test.saturating_add(more_tests);
    here.left = Some(Left {
        seq: event.seq,
        at: event.at,
        how,
    });
    here.rejudged = None;
    let same = run
        .path
        .get(at + 1)
        .is_some_and(|n| n.station == station && n.test == test);
    if !same {
        run.path.truncate(at + 1);
        run.path.push(visit(event, station, test));
    }
    run.at = at + 1;
    if let (true, Some(next)) = (same, run.path.get_mut(at + 1)) {
        next.stay_seq = event.seq;
        next.stay = event.at;
    }
    !same
}

pub(super) fn back(job: &mut Job, event: &Event) -> Fit {
    let run = current(job)?;
    if run.at > 0 {
        run.at -= 1;
    } else {
        let before = job.current.and_then(|at| at.checked_sub(1));
        let nowhere = || "this is where the walk began".to_owned();
        job.current = Some(before.ok_or_else(nowhere)?);
    }
    stay(job, event);
    Ok(())
}

pub(super) fn forward(job: &mut Job, event: &Event) -> Fit {
    let run = current(job)?;
    if run.at + 1 < run.path.len() {
        run.at += 1;
    } else {
        let next = job.current.map(|at| at + 1);
        let next = next.filter(|at| *at < job.runs.len());
        let nowhere = || "the walk has not been further than this".to_owned();
        job.current = Some(next.ok_or_else(nowhere)?);
    }
    stay(job, event);
    Ok(())
}

pub(super) fn retest(job: &mut Job, event: &Event, from: &str) -> Fit {
    let done = job
        .visit()
        .and_then(|v| job.repair_in(v.since_seq))
        .is_some_and(|r| r.done.is_some());
    if !done {
        return Err("nothing was repaired since the last test".to_owned());
    }
    let run = current(job)?;
    if run.flow.step(from).is_none() {
        return Err(format!("the flow has no step {from}"));
    }
    let diverges = push(run, event, How::Retest, Station::Step(from.to_owned()), 1);
    if diverges {
        run.verdict = None;
        job.runs.truncate(job.current.map_or(0, |at| at + 1));
    }
    Ok(())
}
