//! Where the walk goes: flows begun, stations left and reached, back, forward, the retest.

use super::{Fit, current};
use crate::engine::event::{Event, OutcomeTaken, What};
use crate::engine::hold::hold;
use crate::engine::job::{How, Job, Left, Run, Station, Visit};
use crate::flow::kept::kept;
use crate::flow::target::Target;
use crate::units::Quantity;

pub(super) fn visit(event: &Event, station: Station, test: u32) -> Visit {
    Visit {
        station,
        test,
        since_seq: event.seq,
        since: event.at,
        stay_seq: event.seq,
        ready: event.at,
        ready_seq: event.seq,
        gone_seq: None,
        clock: None,
        time_up: None,
        hurried: None,
        by: event.who.clone(),
        left: None,
        rejudged: None,
    }
}

/// A stay begins at a station: what runs while somebody stands at a step, a clock above all, does
/// not outlast the stay in which it was begun.
fn stay(visit: &mut Visit, event: &Event) {
    visit.stay_seq = event.seq;
    visit.ready = event.at;
    visit.ready_seq = event.seq;
    visit.gone_seq = None;
    visit.clock = None;
    visit.time_up = None;
    visit.hurried = None;
    visit.by.clone_from(&event.who);
}

/// The pressure was let down: what a hold that ran had begun with stands no more, and it begins anew.
pub(super) fn let_down(job: &mut Job, event: &Event) {
    let ran = hold(job).is_some_and(|hold| hold.began(job).is_some());
    if let Some(visit) = visit_now(job).filter(|_| ran) {
        stay(visit, event);
    }
}

fn visit_now(job: &mut Job) -> Option<&mut Visit> {
    let run = job.current.and_then(|at| job.runs.get_mut(at))?;
    run.path.get_mut(run.at)
}

/// The walk comes back to a station. Where nothing was done since it went back or forward from
/// there, somebody only looked at another step: the car stands as it did, and its clock runs on.
fn come_back(job: &mut Job, event: &Event) {
    let touched = job.touched_seq;
    let Some(visit) = visit_now(job) else {
        return;
    };
    match visit.gone_seq.take() {
        Some(gone) if touched < gone => {}
        _ => stay(visit, event),
    }
}

/// Whether something was done on the car, rather than looked at, noted or put right in writing.
pub(super) fn touches(what: &What) -> bool {
    !matches!(
        what,
        What::JobOpened(_)
            | What::OpeningCorrected { .. }
            | What::CodesNoted(_)
            | What::FactNoted { .. }
            | What::CautionAccepted { .. }
            | What::ReadingCorrected { .. }
            | What::RepairCorrected { .. }
            | What::PairTakenBack { .. }
            | What::SampleTakenBack { .. }
            | What::LimitMistyped
            | What::TimedElsewhere
            | What::WaitCutShort { .. }
            | What::FindingNoted { .. }
            | What::Remark { .. }
            | What::WentBack
            | What::WentForward
    )
}

/// A question or a caution that stood before the step is dealt with: a hold that began while
/// somebody still read the cautions would be too short. Whoever takes a step over that another has begun reads them
/// while its clock runs on.
pub(super) fn made_ready(job: &mut Job, event: &Event) {
    let last = job.seq;
    if job.is_begun_by_other(&event.who) {
        return;
    }
    if let Some(visit) = visit_now(job)
        && visit.ready_seq == last
    {
        visit.ready = event.at;
        visit.ready_seq = event.seq;
    }
}

/// The clock of the present step is begun again, or another clock says that its time is over.
pub(super) fn set_clock(job: &mut Job, event: &Event) -> Fit {
    let visit = visit_now(job).filter(|visit| matches!(visit.station, Station::Step(_)));
    let visit = visit.ok_or_else(|| "no step is walked that a clock could run for".to_owned())?;
    if event.what == What::TimedElsewhere {
        visit.time_up = Some(event.at);
    } else {
        visit.clock = Some(event.at);
    }
    Ok(())
}

/// Somebody goes on before the wait of the present step is over.
pub(super) fn hurry(job: &mut Job, left: Quantity) -> Fit {
    let visit = visit_now(job).filter(|visit| matches!(visit.station, Station::Step(_)));
    let visit = visit.ok_or_else(|| "no step is walked that a clock could run for".to_owned())?;
    visit.hurried = Some(left);
    Ok(())
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
        stay(next, event);
    }
    !same
}

/// The station that the walk goes back or forward from.
fn go_from(job: &mut Job, from: (usize, usize), event: &Event) {
    let run = job.runs.get_mut(from.0);
    if let Some(visit) = run.and_then(|run| run.path.get_mut(from.1)) {
        visit.gone_seq = Some(event.seq);
    }
}

pub(super) fn here(job: &Job) -> Option<(usize, usize)> {
    job.current.zip(job.run().map(|run| run.at))
}

pub(super) fn back(job: &mut Job, event: &Event) -> Fit {
    let from = here(job);
    let run = current(job)?;
    if run.at > 0 {
        run.at -= 1;
    } else {
        let before = job.current.and_then(|at| at.checked_sub(1));
        let nowhere = || "this is where the walk began".to_owned();
        job.current = Some(before.ok_or_else(nowhere)?);
    }
    if let Some(from) = from {
        go_from(job, from, event);
    }
    come_back(job, event);
    Ok(())
}

pub(super) fn forward(job: &mut Job, event: &Event) -> Fit {
    let from = here(job);
    let run = current(job)?;
    if run.at + 1 < run.path.len() {
        run.at += 1;
    } else {
        let next = job.current.map(|at| at + 1);
        let next = next.filter(|at| *at < job.runs.len());
        let nowhere = || "the walk has not been further than this".to_owned();
        job.current = Some(next.ok_or_else(nowhere)?);
    }
    if let Some(from) = from {
        go_from(job, from, event);
    }
    come_back(job, event);
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
