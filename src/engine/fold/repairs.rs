//! Repairs: agreed, declined, done.

use super::Fit;
use crate::engine::event::PartWas;
use crate::engine::job::{Job, Repair, Station};

/// The customer agrees, perhaps after all.
pub(super) fn agreed(job: &mut Job, cause: &str, by: &str) -> Fit {
    repair(job, cause, |r| {
        r.approved = Some(by.to_owned());
        r.declined = None;
    })
}

/// The customer declines, or has changed their mind after agreeing.
pub(super) fn declined(job: &mut Job, cause: &str, by: &str) -> Fit {
    repair(job, cause, |r| {
        r.approved = None;
        r.declined = Some(by.to_owned());
    })
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

pub(super) fn repaired(job: &mut Job, cause: &str, work: &str, part_was: PartWas) -> Fit {
    let agreed = job
        .visit()
        .and_then(|v| job.repair_in(v.since_seq))
        .is_some_and(|r| r.cause == cause && r.approved.is_some());
    if !agreed {
        return Err("the customer had not agreed to this repair".to_owned());
    }
    repair(job, cause, |r| r.done = Some((work.to_owned(), part_was)))
}
