//! Readings that are given bit by bit, left out, or put right before they count: single pairs of a
//! list, readings that may be left out, and what the job was opened with.
//!
//! Owns both halves: the events that such an action makes, and what those events do to the job.

use super::action::Action;
use super::event::{Event, Opening, What};
use super::job::{Job, LeftOut, Run, TakenPair};
use super::prompt;
use super::refusal::Refusal;
use crate::flow::model::{Prompt, PromptKind};
use crate::units::Quantity;

type Made = Result<Vec<What>, Refusal>;

impl Job {
    /// Whether a reading was left out in the visit that an event opened, and not taken after all.
    pub fn is_left_out(&self, visit: u64, reading: &str) -> bool {
        let left = self
            .left_out
            .iter()
            .any(|left| left.visit == visit && left.reading == reading);
        left && !self.taken_in(visit).any(|taken| taken.reading == reading)
    }

    /// The pairs of a list that count, of those taken in the visit that an event opened.
    pub fn pairs_in<'j>(&'j self, visit: u64, reading: &str) -> Vec<&'j TakenPair> {
        self.pairs
            .iter()
            .filter(|pair| pair.visit == visit && pair.reading == reading && pair.back.is_none())
            .collect()
    }
}

/// The prompt of a reading, if the step that is walked now asks for it.
fn asked<'j>(job: &'j Job, reading: &str) -> Result<&'j Prompt, Refusal> {
    let step = job.run().and_then(Run::step);
    let asked = step.is_some_and(|step| step.record.iter().any(|id| id == reading));
    job.run()
        .and_then(|run| run.flow.reading(reading))
        .filter(|_| asked)
        .ok_or_else(|| Refusal::NotNow(format!("this step does not ask for `{reading}`")))
}

/// The events of an action that gives a reading bit by bit, or leaves it out.
pub(super) fn act(job: &Job, action: Action) -> Made {
    match action {
        Action::LeaveOut { reading } => leave_out(job, reading),
        Action::Pair {
            reading,
            pair,
            confirmed,
        } => take_pair(job, reading, pair, confirmed),
        Action::TakePairBack { reading } => take_back(job, &reading),
        _ => Err(Refusal::NotNow("this gives no reading".to_owned())),
    }
}

fn leave_out(job: &Job, reading: String) -> Made {
    if asked(job, &reading)?.optional {
        Ok(vec![What::ReadingLeftOut { reading }])
    } else {
        Err(Refusal::WrongAnswer(
            "this may not be left out; if it cannot be told, say so and why".to_owned(),
        ))
    }
}

fn take_pair(job: &Job, reading: String, pair: (Quantity, Quantity), confirmed: bool) -> Made {
    let PromptKind::Pairs(pairs) = &asked(job, &reading)?.kind else {
        return Err(Refusal::WrongAnswer(
            "one answer is asked for here, not a list of pairs".to_owned(),
        ));
    };
    prompt::check_pair(pairs, pair)?;
    let odd = prompt::odd_pair(pairs, pair);
    match odd {
        Some(odd) if !confirmed => Err(prompt::ask_again(&odd)),
        odd => Ok(vec![What::PairTaken {
            reading,
            pair,
            confirmed: odd.is_some(),
        }]),
    }
}

fn take_back(job: &Job, reading: &str) -> Made {
    let visit = job.visit().map_or(0, |visit| visit.since_seq);
    match job.pairs_in(visit, reading).last() {
        Some(pair) => Ok(vec![What::PairTakenBack { taken: pair.seq }]),
        None => Err(Refusal::NotNow("no pair was taken here yet".to_owned())),
    }
}

/// The events of correcting what the job was opened with.
pub(super) fn correct_opening(job: &Job, opening: Opening, why: String) -> Made {
    if opening.vehicle.plate.trim().is_empty() || opening.complaint.trim().is_empty() {
        return Err(Refusal::WrongAnswer(
            "a job needs a plate and a complaint".to_owned(),
        ));
    }
    if job.opening.as_ref() == Some(&opening) {
        return Err(Refusal::NotNow("nothing was changed".to_owned()));
    }
    Ok(vec![What::OpeningCorrected { opening, why }])
}

type Fit = Result<(), String>;

fn visit_now(job: &Job) -> Result<u64, String> {
    job.visit()
        .map(|visit| visit.since_seq)
        .ok_or_else(|| "there is no step to take it at".to_owned())
}

/// What such an event does to the job.
pub(super) fn apply(job: &mut Job, event: &Event) -> Fit {
    match &event.what {
        What::ReadingLeftOut { reading } => {
            let visit = visit_now(job)?;
            job.left_out.push(LeftOut {
                seq: event.seq,
                reading: reading.clone(),
                visit,
            });
        }
        What::PairTaken {
            reading,
            pair,
            confirmed,
        } => {
            let visit = visit_now(job)?;
            job.pairs.push(TakenPair {
                seq: event.seq,
                reading: reading.clone(),
                pair: *pair,
                confirmed: *confirmed,
                visit,
                back: None,
            });
        }
        What::PairTakenBack { taken } => taken_back(job, event.seq, *taken)?,
        What::OpeningCorrected { opening, .. } => {
            let old = job.opening.replace(opening.clone());
            job.openings_before.extend(old.map(|old| (old, event.seq)));
        }
        _ => {}
    }
    Ok(())
}

fn taken_back(job: &mut Job, by: u64, taken: u64) -> Fit {
    let pair = job
        .pairs
        .iter_mut()
        .find(|pair| pair.seq == taken && pair.back.is_none())
        .ok_or_else(|| format!("event {taken} took no pair that still counts"))?;
    pair.back = Some(by);
    Ok(())
}
