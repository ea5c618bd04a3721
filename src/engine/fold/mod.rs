//! Folding events into a job. The only place that changes a [`Job`].
//!
//! Every event is accepted: one that does not fit where it stands changes nothing and is noted as
//! a misfit, so that no record, however damaged, stops the program. [`path`] is where the walk goes,
//! [`readings`] what it reads, [`repairs`] what it mends.

mod path;
mod readings;
mod repairs;

use super::event::{Event, Verdict, What};
use super::fitted;
use super::job::{AcceptedCaution, How, Job, Misfit, Noted, Run, Stop};
use super::partial;
use path::{
    back, begin, end_step, forward, hurry, leave, let_down, made_ready, on_step, retest, set_clock,
};
use readings::{correct, note_fact, take};
use repairs::{agreed, declined, repaired};

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
    let before = path::here(job);
    match try_apply(job, event) {
        Ok(()) => {
            if path::touches(&event.what) {
                job.touched_seq = event.seq;
            }
            fitted::note(job, event, before);
        }
        Err(why) => job.misfits.push(Misfit {
            seq: event.seq,
            why,
        }),
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
        What::JobOpened(_)
        | What::CodesNoted(_)
        | What::FactNoted { .. }
        | What::FindingNoted { .. }
        | What::Handover { .. }
        | What::Reopened { .. }
        | What::Remark { .. } => {
            noted(job, event);
            Ok(())
        }
        What::FlowBegun { hash, text, .. } => begin(job, event, hash, text),
        What::CautionAccepted { caution } => accept(job, event, caution),
        What::ReadingTaken { .. } => take(job, event),
        What::ReadingLeftOut { .. }
        | What::PairTaken { .. }
        | What::PairTakenBack { .. }
        | What::SampleTaken { .. }
        | What::SampleTakenBack { .. }
        | What::OpeningCorrected { .. } => partial::apply(job, event),
        What::ReadingCorrected { taken, value, .. } => correct(job, event, *taken, value),
        What::ClockBegunAgain | What::TimedElsewhere => set_clock(job, event),
        What::WaitCutShort { left } => hurry(job, *left),
        What::LimitPassed { .. } | What::LimitCleared | What::LimitMistyped => limit(job, event),
        What::OutcomeTaken(taken) => end_step(job, event, taken),
        What::StepSkipped { step, go, reason } => {
            on_step(job, step)?;
            let how = How::Skipped {
                go: go.clone(),
                reason: reason.clone(),
            };
            leave(job, event, how, go)
        }
        What::WentBack => back(job, event),
        What::WentForward => forward(job, event),
        What::RepairApproved { cause, by } => agreed(job, event.seq, cause, by),
        What::RepairDeclined { cause, by } => declined(job, event.seq, cause, by),
        What::RepairDone {
            cause,
            work,
            part_was,
        } => repaired(job, event.seq, cause, work, *part_was),
        What::RepairCorrected {
            noted,
            words,
            part_was,
            ..
        } => repairs::correct(job, event.seq, *noted, words, *part_was),
        What::RetestBegun { from, .. } => retest(job, event, from),
        What::FlowClosed { flow, result } => closed(job, flow, *result),
        What::TakenOff(what) => fitted::confirm(job, event, what),
        // The car that is not there follows from these; where the job stands does not.
        What::Practised(_) => {
            job.practised = true;
            Ok(())
        }
    }
}

/// What is written down, wherever the walk stands.
fn noted(job: &mut Job, event: &Event) {
    match &event.what {
        What::JobOpened(opening) => {
            job.facts.clone_from(&opening.facts);
            job.opening = Some(opening.clone());
            job.opened = Some(event.at);
        }
        What::CodesNoted(codes) => job.codes = Some(codes.clone()),
        What::FactNoted {
            fact,
            value,
            confirmed,
            ..
        } => {
            note_fact(job, event.seq, fact, value, *confirmed);
            made_ready(job, event);
        }
        What::FindingNoted { place, note } => job.findings.push(Noted {
            seq: event.seq,
            place: place.clone(),
            note: note.clone(),
        }),
        What::Handover { note } => job.handed_over = Some(note.clone()),
        What::Reopened { why } => {
            job.reopened = Some((event.seq, why.clone()));
            reopen(job);
        }
        What::Remark { text } => job.remarks.push((event.seq, text.clone())),
        _ => {}
    }
}

/// The flow that is walked has ended.
fn closed(job: &mut Job, flow: &str, result: Verdict) -> Fit {
    let run = current(job)?;
    if run.flow.id != flow {
        return Err(format!("the flow walked is {}, not {flow}", run.flow.id));
    }
    run.verdict = Some(result);
    Ok(())
}

/// A limit was passed, or what passed it is put right.
fn limit(job: &mut Job, event: &Event) -> Fit {
    if let What::LimitPassed {
        reading,
        value,
        limit,
    } = &event.what
    {
        job.stop = Some(Stop {
            seq: event.seq,
            reading: reading.clone(),
            value: *value,
            limit: *limit,
        });
        return Ok(());
    }
    if job.stop.take().is_none() {
        return Err("nothing had passed a limit".to_owned());
    }
    if event.what == What::LimitCleared {
        let_down(job, event);
    }
    Ok(())
}

/// Takes a handover back: the flow that it left is walked again.
fn reopen(job: &mut Job) {
    job.handed_over = None;
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

fn accept(job: &mut Job, event: &Event, caution: &str) -> Fit {
    let test = job.test_number();
    let flow = current(job)?.flow.id.clone();
    made_ready(job, event);
    job.cautions.push(AcceptedCaution {
        caution: caution.to_owned(),
        who: event.who.clone(),
        day: event.at.date_naive(),
        flow,
        test,
    });
    Ok(())
}
