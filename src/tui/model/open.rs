//! The job that is open: its events, what they add up to, and what is half entered beside them.

use chrono::{DateTime, Utc};
use uuid::Uuid;

use super::{Entry, Model};
use crate::engine::event::{Event, What};
use crate::engine::fold;
use crate::engine::job::{Job, Rejudged, Station, Visit};
use crate::engine::standing::Standing;

/// The job that is open.
#[derive(Clone, Debug)]
pub struct OpenJob {
    /// Its name in the store.
    pub id: Uuid,
    /// Its number for people.
    pub number: u64,
    /// What happened.
    pub events: Vec<Event>,
    /// What that adds up to.
    pub job: Job,
    /// What is half entered.
    pub entry: Entry,
    /// The numbered way that is picked, where ways are shown.
    pub at: Option<usize>,
    /// How far the step's text is scrolled.
    pub scroll: u16,
    /// Why it can only be read here: somebody else has it open.
    pub held: Option<String>,
    /// The question, answered before, that is asked again because somebody went back to it.
    pub again: Option<String>,
    /// The visit whose step was read through before its first question.
    pub briefed: Option<u64>,
    /// The step is shown by itself first, since it and the question do not fit on one screen.
    pub brief: bool,
    /// The timer was begun again: in this visit, at this time.
    pub timer_from: Option<(u64, DateTime<Utc>)>,
    /// The visit whose timer was seen running, so that its end rings the bell, once.
    pub running: Option<u64>,
    /// The walk goes to this station (run and place on its path), one event at a time.
    pub heading: Option<(usize, usize)>,
    /// The car that is not there, where this is an exercise.
    pub bay: Option<Box<super::AtBay>>,
}

/// A step's timer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Timer {
    /// The visit.
    pub visit: u64,
    /// Seconds left; 0 or less once it is over.
    pub left: i64,
    /// Seconds in all.
    pub whole: i64,
}

impl OpenJob {
    /// A job from its events.
    pub fn new(id: Uuid, number: u64, events: &[Event]) -> Self {
        Self {
            id,
            number,
            events: events.to_vec(),
            job: fold::fold(events),
            entry: Entry::default(),
            at: None,
            scroll: 0,
            held: None,
            again: None,
            briefed: None,
            brief: false,
            timer_from: None,
            running: None,
            heading: None,
            bay: super::AtBay::of(events).map(Box::new),
        }
    }

    /// The first step, along all ways walked, whose judgement has changed since it was left and that
    /// is not where the walk is now: where it is, what it is called, and what changed.
    pub fn rejudged(&self) -> Option<(usize, usize, &Visit, &Rejudged)> {
        let here = self.job.current.zip(self.job.run().map(|run| run.at));
        self.job.runs.iter().enumerate().find_map(|(r, run)| {
            run.path.iter().enumerate().find_map(|(v, visit)| {
                let rejudged = visit.rejudged.as_ref().filter(|r| r.changed())?;
                (Some((r, v)) != here).then_some((r, v, visit, rejudged))
            })
        })
    }

    /// When the step on screen could begin: when it was reached, or when the last question or
    /// caution that stood before it was dealt with. A hold that started while somebody still read
    /// the cautions would be too short.
    fn step_began(&self, visit: &Visit) -> DateTime<Utc> {
        self.events
            .iter()
            .filter(|event| event.seq > visit.since_seq)
            .take_while(|event| {
                matches!(
                    event.what,
                    What::CautionAccepted { .. } | What::FactNoted { .. }
                )
            })
            .map(|event| event.at)
            .last()
            .unwrap_or(visit.since)
    }
}

impl Model {
    /// The timer of the step that is walked now.
    pub fn timer(&self) -> Option<Timer> {
        let open = self.open.as_ref()?;
        let Standing::Step(step) = self.standing() else {
            return None;
        };
        // In practice waiting costs minutes of the simulated clock, and none of anybody's.
        if open.bay.is_some() {
            return None;
        }
        let whole = whole_seconds(step.timer?);
        let visit = open
            .job
            .visit()
            .filter(|visit| matches!(visit.station, Station::Step(_)))?;
        let began = match open.timer_from {
            Some((since, at)) if since == visit.since_seq => at,
            _ => open.step_began(visit),
        };
        // A clock that was set back must not make the wait longer than it is.
        let gone = (self.now - began).num_seconds().max(0);
        Some(Timer {
            visit: visit.since_seq,
            left: whole - gone,
            whole,
        })
    }
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a float beyond i64 becomes its end, which is long enough"
)]
fn whole_seconds(seconds: f64) -> i64 {
    seconds.ceil() as i64
}
