//! Folding events into a job. The only place that changes a [`Job`].
//!
//! Every event is accepted: one that does not fit where it stands changes nothing and is noted as
//! a misfit, so that no record, however damaged, stops the program.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::again::{Because, Change, judge_again};
use super::event::{Event, OutcomeTaken, PartWas, Verdict, What};
use super::job::{
    AcceptedCaution, How, Job, Left, Misfit, Noted, Repair, Run, Station, Stop, Taken, Visit,
};
use super::partial;
use crate::flow::answer::Answer;
use crate::flow::load::load;
use crate::flow::target::Target;

/// Folds a job's events.
pub fn fold<'e>(events: impl IntoIterator<Item = &'e Event>) -> Job {
    let mut job = Job::default();
    for event in events {
        apply(&mut job, event);
    }
    job
}

/// Applies one event.
pub fn apply(job: &mut Job, event: &Event) {
    if let Err(why) = try_apply(job, event) {
        job.misfits.push(Misfit {
            seq: event.seq,
            why,
        });
    }
    job.seq = job.seq.max(event.seq);
    job.last = Some(event.at);
}

type Fit = Result<(), String>;

fn try_apply(job: &mut Job, event: &Event) -> Fit {
    if job.seq != 0 && event.seq <= job.seq {
        return Err(format!(
            "it is number {}, but {} came before it",
            event.seq, job.seq
        ));
    }
    in_place(job, &event.what)?;
    match &event.what {
        What::JobOpened(opening) => {
            job.facts.clone_from(&opening.facts);
            job.opening = Some(opening.clone());
            job.opened = Some(event.at);
            Ok(())
        }
        What::CodesNoted(codes) => {
            job.codes = Some(codes.clone());
            Ok(())
        }
        What::FactNoted {
            fact,
            value,
            confirmed,
        } => {
            if *confirmed {
                job.confirmed_facts.insert(fact.clone());
            } else {
                job.confirmed_facts.remove(fact);
            }
            note_fact(job, event.seq, fact, value);
            Ok(())
        }
        What::FlowBegun { hash, text, .. } => begin(job, event, hash, text),
        What::CautionAccepted { caution } => accept(job, event, caution),
        What::ReadingTaken { .. } => take(job, event),
        What::ReadingLeftOut { .. }
        | What::PairTaken { .. }
        | What::PairTakenBack { .. }
        | What::OpeningCorrected { .. } => partial::apply(job, event),
        What::ReadingCorrected { taken, value, .. } => correct(job, event, *taken, value),
        What::LimitPassed {
            reading,
            value,
            limit,
        } => {
            job.stop = Some(Stop {
                reading: reading.clone(),
                value: *value,
                limit: *limit,
            });
            Ok(())
        }
        What::LimitCleared => job
            .stop
            .take()
            .map(|_| ())
            .ok_or_else(|| "nothing had passed a limit".to_owned()),
        What::FindingNoted { place, note } => {
            let (place, note) = (place.clone(), note.clone());
            job.findings.push(Noted {
                seq: event.seq,
                place,
                note,
            });
            Ok(())
        }
        What::OutcomeTaken(taken) => end_step(job, event, taken),
        What::StepSkipped { step, go, reason } => {
            on_step(job, step)?;
            let how = How::Skipped {
                go: go.clone(),
                reason: reason.clone(),
            };
            leave(job, event, how, go)
        }
        What::WentBack => back(job),
        What::WentForward => forward(job),
        What::RepairApproved { cause, by } => repair(job, cause, |r| r.approved = Some(by.clone())),
        What::RepairDeclined { cause, by } => repair(job, cause, |r| r.declined = Some(by.clone())),
        What::RepairDone {
            cause,
            work,
            part_was,
        } => repaired(job, cause, work, *part_was),
        What::RetestBegun { from, .. } => retest(job, event, from),
        What::FlowClosed { flow, result } => {
            let run = current(job)?;
            if run.flow.id != *flow {
                return Err(format!("the flow walked is {}, not {flow}", run.flow.id));
            }
            run.verdict = Some(*result);
            Ok(())
        }
        What::Handover { note } => {
            job.handed_over = Some(note.clone());
            Ok(())
        }
        What::Reopened { .. } => {
            reopen(job);
            Ok(())
        }
        What::Remark { text } => {
            job.remarks.push((event.seq, text.clone()));
            Ok(())
        }
    }
}

fn reopen(job: &mut Job) {
    job.handed_over = None;
    // The flow that the handover left is walked again.
    if let Some(run) = job.current.and_then(|at| job.runs.get_mut(at))
        && run.verdict == Some(Verdict::Left)
    {
        run.verdict = None;
    }
}

/// Whether an event of this kind can stand here at all.
fn in_place(job: &Job, what: &What) -> Fit {
    match (what, &job.opening) {
        (What::JobOpened(_), Some(_)) => Err("the job was open already".to_owned()),
        (What::JobOpened(_), None) | (What::Remark { .. }, Some(_)) => Ok(()),
        (What::Reopened { .. }, Some(_)) if job.handed_over.is_some() => Ok(()),
        (What::Reopened { .. }, Some(_)) => Err("the job was not handed over".to_owned()),
        (_, None) => Err("the job was not opened yet".to_owned()),
        _ if job.handed_over.is_some() => Err("the car was handed over already".to_owned()),
        _ => Ok(()),
    }
}

fn current(job: &mut Job) -> Result<&mut Run, String> {
    let at = job
        .current
        .ok_or_else(|| "no flow was begun yet".to_owned())?;
    job.runs
        .get_mut(at)
        .ok_or_else(|| "no flow was begun yet".to_owned())
}

fn visit(event: &Event, station: Station, test: u32) -> Visit {
    Visit {
        station,
        test,
        since_seq: event.seq,
        since: event.at,
        left: None,
        rejudged: None,
    }
}

fn begin(job: &mut Job, event: &Event, hash: &str, text: &str) -> Fit {
    let loaded = load(text);
    let Some(flow) = loaded.flow else {
        let first = loaded
            .findings
            .first()
            .map(|f| f.message.clone())
            .unwrap_or_default();
        return Err(format!("the flow's text does not load: {first}"));
    };
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
        flow: Arc::new(flow),
        hash: hash.to_owned(),
        path,
        at: 0,
        verdict: None,
    });
    job.current = Some(job.runs.len() - 1);
    Ok(())
}

fn accept(job: &mut Job, event: &Event, caution: &str) -> Fit {
    let test = job.test_number();
    let flow = current(job)?.flow.id.clone();
    job.cautions.push(AcceptedCaution {
        caution: caution.to_owned(),
        who: event.who.clone(),
        day: event.at.date_naive(),
        flow,
        test,
    });
    Ok(())
}

fn take(job: &mut Job, event: &Event) -> Fit {
    let What::ReadingTaken {
        reading,
        value,
        confirmed,
        carried_from,
        from_file,
    } = &event.what
    else {
        return Ok(());
    };
    let flow = current(job)?.flow.id.clone();
    let here = job
        .visit()
        .ok_or_else(|| "there is no step to take it at".to_owned())?;
    let (visit, test) = (here.since_seq, here.test);
    let before = job.taken_in(visit).filter(|t| t.reading == *reading).last();
    let new = before.is_none_or(|before| before.value != *value);
    job.readings.push(Taken {
        seq: event.seq,
        at: event.at,
        who: event.who.clone(),
        reading: reading.clone(),
        value: value.clone(),
        before: Vec::new(),
        flow,
        visit,
        test,
        confirmed: *confirmed,
        carried_from: *carried_from,
        from_file: from_file.clone(),
    });
    if new {
        // At the end of the way this touches nothing; after going back, what comes after it.
        let change = Change {
            by: event.seq,
            because: Because::NewReading,
            id: reading,
            from: Some(visit),
        };
        judge_again(job, &change);
    }
    Ok(())
}

fn note_fact(job: &mut Job, by: u64, fact: &str, value: &Answer) {
    let old = job.facts.insert(fact.to_owned(), value.clone());
    if old.as_ref() != Some(value) {
        let change = Change {
            by,
            because: Because::Fact,
            id: fact,
            from: None,
        };
        judge_again(job, &change);
    }
}

/// A correction counts for the reading and for every later one that was taken over from it.
fn correct(job: &mut Job, event: &Event, seq: u64, value: &Answer) -> Fit {
    let Some(taken) = job.readings.iter().find(|t| t.seq == seq) else {
        return Err(format!("event {seq} took no reading"));
    };
    let (reading, visit) = (taken.reading.clone(), taken.visit);
    let mut same = BTreeSet::from([seq]);
    for taken in &mut job.readings {
        let over =
            taken.reading == reading && taken.carried_from.is_some_and(|n| same.contains(&n));
        if over || taken.seq == seq {
            same.insert(taken.seq);
            let old = std::mem::replace(&mut taken.value, value.clone());
            taken.before.push((old, event.seq));
        }
    }
    let change = Change {
        by: event.seq,
        because: Because::Correction,
        id: &reading,
        from: Some(visit),
    };
    judge_again(job, &change);
    Ok(())
}

fn on_step(job: &Job, step: &str) -> Fit {
    match job.visit().map(|v| &v.station) {
        Some(Station::Step(here)) if here == step => Ok(()),
        Some(Station::Step(here)) => Err(format!("the step walked is {here}, not {step}")),
        _ => Err(format!("the walk is not at a step, let alone at {step}")),
    }
}

fn end_step(job: &mut Job, event: &Event, taken: &OutcomeTaken) -> Fit {
    on_step(job, &taken.step)?;
    leave(job, event, How::Outcome(taken.clone()), &taken.go)
}

/// Leaves the current station for a target. Where the way ahead was walked before and still leads
/// to the same station in the same test, it is kept: going back and forward changes nothing.
fn leave(job: &mut Job, event: &Event, how: How, go: &Target) -> Fit {
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
fn push(run: &mut Run, event: &Event, how: How, station: Station, more_tests: u32) -> bool {
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
    !same
}

fn back(job: &mut Job) -> Fit {
    let run = current(job)?;
    if run.at > 0 {
        run.at -= 1;
        return Ok(());
    }
    match job.current {
        Some(at) if at > 0 => {
            job.current = Some(at - 1);
            Ok(())
        }
        _ => Err("this is where the walk began".to_owned()),
    }
}

fn forward(job: &mut Job) -> Fit {
    let run = current(job)?;
    if run.at + 1 < run.path.len() {
        run.at += 1;
        return Ok(());
    }
    match job.current {
        Some(at) if at + 1 < job.runs.len() => {
            job.current = Some(at + 1);
            Ok(())
        }
        _ => Err("the walk has not been further than this".to_owned()),
    }
}

/// Changes the repair that is decided at the current station.
fn repair(job: &mut Job, cause: &str, change: impl FnOnce(&mut Repair)) -> Fit {
    let run = job
        .run()
        .ok_or_else(|| "no flow was begun yet".to_owned())?;
    let here = run
        .visit()
        .ok_or_else(|| "there is no repair here".to_owned())?;
    if here.station != Station::Repair(cause.to_owned()) {
        return Err(format!("the walk is not at the repair of {cause}"));
    }
    let (visit, test, flow) = (here.since_seq, here.test, run.flow.id.clone());
    let name = run
        .flow
        .cause(cause)
        .map_or_else(|| cause.to_owned(), |c| c.name.clone());
    if let Some(known) = job.repairs.iter_mut().find(|r| r.visit == visit) {
        change(known);
        return Ok(());
    }
    let cause = cause.to_owned();
    let mut new = Repair {
        cause,
        name,
        flow,
        visit,
        test,
        approved: None,
        declined: None,
        done: None,
    };
    change(&mut new);
    job.repairs.push(new);
    Ok(())
}

fn repaired(job: &mut Job, cause: &str, work: &str, part_was: PartWas) -> Fit {
    let agreed = job
        .visit()
        .and_then(|v| job.repair_in(v.since_seq))
        .is_some_and(|r| r.cause == cause && r.approved.is_some());
    if !agreed {
        return Err("the customer had not agreed to this repair".to_owned());
    }
    repair(job, cause, |r| r.done = Some((work.to_owned(), part_was)))
}

fn retest(job: &mut Job, event: &Event, from: &str) -> Fit {
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
