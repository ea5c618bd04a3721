//! Readings that are given bit by bit, left out, or put right before they count: single pairs of a
//! list, readings that may be left out, and what the job was opened with.
//!
//! Owns both halves: the events that such an action makes, and what those events do to the job.

use chrono::{DateTime, Utc};

use super::action::Action;
use super::event::{Event, Opening, What};
use super::job::{Job, LeftOut, Run, Sample, TakenPair};
use super::prompt;
use super::refusal::Refusal;
use crate::flow::answer::Answer;
use crate::flow::model::{Prompt, PromptKind};
use crate::units::{Dimension, Quantity, Unit};

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

impl Job {
    /// The samples of a hold that count: of this visit, not taken back, since its clock began.
    pub fn samples_in<'j>(
        &'j self,
        visit: u64,
        reading: &'j str,
        began: DateTime<Utc>,
    ) -> impl DoubleEndedIterator<Item = &'j Sample> {
        self.samples.iter().filter(move |sample| {
            sample.visit == visit
                && sample.reading == reading
                && sample.back.is_none()
                && sample.at >= began
        })
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
        Action::Sample {
            reading,
            after,
            value,
        } => take_sample(job, reading, after, &value),
        Action::TakeSampleBack { reading } => {
            let visit = job.visit().map_or(0, |visit| visit.since_seq);
            let mut all = job.samples_in(visit, &reading, DateTime::UNIX_EPOCH);
            match all.next_back() {
                Some(sample) => Ok(vec![What::SampleTakenBack { taken: sample.seq }]),
                None => Err(Refusal::NotNow("no sample was taken here yet".to_owned())),
            }
        }
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

fn take_sample(job: &Job, reading: String, after: f64, value: &Answer) -> Made {
    let prompt = asked(job, &reading)?;
    prompt::check_kind(prompt, value)?;
    let (PromptKind::Quantity(asked), Answer::Quantity(value)) = (&prompt.kind, value) else {
        return Err(Refusal::WrongAnswer(
            "a sample is the value of a gauge".to_owned(),
        ));
    };
    // What would stop the step as a reading stops it as a sample.
    if let Some(limit) = prompt::passed(job, asked, *value)? {
        return Ok(vec![What::LimitPassed {
            reading,
            value: *value,
            limit,
        }]);
    }
    let after = Quantity::new(after.max(0.0).round(), Unit::default_for(Dimension::Time))
        .map_err(|error| Refusal::WrongAnswer(error.to_string()))?;
    Ok(vec![What::SampleTaken {
        reading,
        after,
        value: *value,
    }])
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
        What::SampleTaken {
            reading,
            after,
            value,
        } => {
            let visit = visit_now(job)?;
            job.samples.push(Sample {
                seq: event.seq,
                at: event.at,
                reading: reading.clone(),
                after: *after,
                value: *value,
                visit,
                back: None,
            });
        }
        What::SampleTakenBack { taken } => {
            let mut samples = job.samples.iter_mut();
            let sample = samples
                .find(|sample| sample.seq == *taken && sample.back.is_none())
                .ok_or_else(|| format!("event {taken} took no sample that still counts"))?;
            sample.back = Some(event.seq);
        }
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
