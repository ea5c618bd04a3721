//! Readings, corrections and facts, and the steps that they have judged again.

use std::collections::BTreeSet;

use super::{Fit, current};
use crate::engine::again::{Because, Change, judge_again};
use crate::engine::clock::late;
use crate::engine::event::{Event, What};
use crate::engine::job::{Job, Taken};
use crate::flow::answer::Answer;

pub(super) fn take(job: &mut Job, event: &Event) -> Fit {
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
    // What could not be told, or comes from a file or another flow, has no time of its own.
    let own = carried_from.is_none() && from_file.is_none();
    let told = matches!(value, Answer::Quantity(_));
    let late = late(job, reading, event.at).filter(|_| own && told);
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
        late,
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

pub(super) fn note_fact(job: &mut Job, by: u64, fact: &str, value: &Answer, confirmed: bool) {
    if confirmed {
        job.confirmed_facts.insert(fact.to_owned());
    } else {
        job.confirmed_facts.remove(fact);
    }
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
pub(super) fn correct(job: &mut Job, event: &Event, seq: u64, value: &Answer) -> Fit {
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
