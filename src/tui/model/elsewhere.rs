//! Timers that run on in a job that is not in sight: on the board, in another bay, behind the record. Their end is said
//! wherever one is.

use chrono::{DateTime, Utc};
use uuid::Uuid;

use super::{Model, Screen};
use crate::engine::standing::Standing;

/// A timer of a job that was left running.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RunsElsewhere {
    job: Uuid,
    /// The job and its bay, and the step.
    words: (String, String),
    ends: DateTime<Utc>,
}

impl Model {
    /// The job that is walked on screen.
    fn in_sight(&self) -> Option<Uuid> {
        let open = self.open.as_ref().filter(|_| self.screen == Screen::Walk);
        open.map(|open| open.id)
    }

    /// Notes how the timer of the open job stands, so that it is known still when the job is left.
    pub fn note_timer(&mut self) {
        let Some(open) = &self.open else {
            return;
        };
        let (job, opening) = (open.id, open.job.opening.as_ref());
        let runs = self.timer().filter(|timer| !timer.waits && timer.left > 0);
        let noted = runs.map(|timer| {
            let bay = opening.map_or("", |opening| opening.bay.as_str());
            let step = match self.standing() {
                Standing::Step(step) => step.title.clone(),
                _ => String::new(),
            };
            RunsElsewhere {
                job,
                words: (named(open.number, bay), step),
                ends: self.now + chrono::Duration::seconds(timer.left),
            }
        });
        self.elsewhere.retain(|other| other.job != job);
        self.elsewhere.extend(noted);
    }

    /// Notes timers of jobs on the board that nobody has looked at since the program began: a battery
    /// that was pulled stops no clock.
    pub fn note_others(&mut self) {
        // One that was read since, wherever that was done, is over.
        let stands = &self.board.stands;
        let of = |job: Uuid| stands.iter().find(|(id, _)| *id == job);
        self.elsewhere
            .retain(|other| of(other.job).is_none_or(|(_, stand)| stand.ends.is_some()));
        let mut found = Vec::new();
        for (job, stand) in self.board.stands.iter().filter(|_| !self.practice) {
            let line = self.board.lines.iter().find(|line| line.id == *job);
            let known = self.elsewhere.iter().any(|other| other.job == *job);
            let ends = stand.ends.filter(|ends| *ends > self.now && !known);
            if let (Some(ends), Some(line)) = (ends, line) {
                let step = stand.place.rsplit(": ").next().unwrap_or_default();
                found.push(RunsElsewhere {
                    job: *job,
                    words: (named(line.number, &line.bay), step.to_owned()),
                    ends,
                });
            }
        }
        self.elsewhere.extend(found);
    }

    /// When the next timer out of sight ends.
    pub fn next_end(&self) -> Option<DateTime<Utc>> {
        let here = self.in_sight();
        let others = self.elsewhere.iter().filter(|e| Some(e.job) != here);
        others.map(|e| e.ends).min()
    }

    /// What is said of timers out of sight that are over by now, once.
    pub fn over_elsewhere(&mut self) -> Option<String> {
        let (here, now) = (self.in_sight(), self.now);
        let is_over = |e: &RunsElsewhere| Some(e.job) != here && e.ends <= now;
        let over = self.elsewhere.iter().filter(|e| is_over(e));
        let over: Vec<RunsElsewhere> = over.cloned().collect();
        if over.is_empty() {
            return None;
        }
        self.elsewhere.retain(|e| !is_over(e));
        if let Some(open) = &mut self.open
            && over.iter().any(|e| e.job == open.id)
        {
            // It is said here, and not once more as the job comes back in sight.
            open.running = None;
        }
        let said = over.into_iter().map(|e| {
            let (job, step) = e.words;
            if step.is_empty() {
                format!("{job}: THE TIME IS UP")
            } else {
                format!("{job}: THE TIME IS UP: {step}")
            }
        });
        Some(said.collect::<Vec<_>>().join("; "))
    }
}

/// The job and its bay.
fn named(number: u64, bay: &str) -> String {
    if bay.is_empty() {
        format!("JOB {number}")
    } else {
        format!("JOB {number}, BAY {bay}")
    }
}
