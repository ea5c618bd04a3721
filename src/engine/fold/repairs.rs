//! Repairs: agreed, declined, done, and what was noted of them put right.

use super::Fit;
use crate::engine::event::PartWas;
use crate::engine::job::{Job, Repair, RepairBefore, Station};

/// The customer agrees, perhaps after all.
pub(super) fn agreed(job: &mut Job, seq: u64, cause: &str, by: &str) -> Fit {
    repair(job, cause, |r| {
        r.answered_seq = seq;
        r.approved = Some(by.to_owned());
        r.declined = None;
    })
}

/// The customer declines, or has changed their mind after agreeing.
pub(super) fn declined(job: &mut Job, seq: u64, cause: &str, by: &str) -> Fit {
    repair(job, cause, |r| {
        r.answered_seq = seq;
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
        answered_seq: 0,
        done_seq: 0,
        before: Vec::new(),
    };
    change(&mut new);
    job.repairs.push(new);
    Ok(())
}

pub(super) fn repaired(job: &mut Job, seq: u64, cause: &str, work: &str, part_was: PartWas) -> Fit {
    let agreed = job
        .visit()
        .and_then(|v| job.repair_in(v.since_seq))
        .is_some_and(|r| r.cause == cause && r.approved.is_some());
    if !agreed {
        return Err("the customer had not agreed to this repair".to_owned());
    }
    repair(job, cause, |r| {
        r.done = Some((work.to_owned(), part_was));
        r.done_seq = seq;
    })
}

/// What was noted of a repair is put right; how the part was only where the work is.
pub(super) fn correct(
    job: &mut Job,
    by: u64,
    noted: u64,
    words: &str,
    part_was: Option<PartWas>,
) -> Fit {
    let nothing = || format!("event {noted} noted nothing of a repair that still stands");
    let repair = job.repairs.iter_mut().find(|r| r.noted_by(noted));
    let repair = repair.ok_or_else(nothing)?;
    let words = words.to_owned();
    let (old, old_part) = if noted == repair.done_seq {
        let (old, part) = repair.done.as_mut().ok_or_else(nothing)?;
        let old_part = std::mem::replace(part, part_was.unwrap_or(*part));
        (std::mem::replace(old, words), Some(old_part))
    } else {
        let answer = repair.approved.as_mut().or(repair.declined.as_mut());
        let old = answer.ok_or_else(nothing)?;
        (std::mem::replace(old, words), None)
    };
    repair.before.push(RepairBefore {
        by,
        noted,
        words: old,
        part_was: old_part,
    });
    Ok(())
}
