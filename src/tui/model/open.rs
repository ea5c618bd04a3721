//! The job that is open: its events, what they add up to, and what is half entered beside them.

use std::cell::RefCell;

use chrono::{DateTime, Utc};
use uuid::Uuid;

use super::{Entry, Model};
use crate::engine::clock;
use crate::engine::event::Event;
use crate::engine::fold;
use crate::engine::hold::{self, Going, Hold};
use crate::engine::job::{Job, Rejudged, Visit};
use crate::engine::standing::Standing;
use crate::units::preferred::{self, Preferred};

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
    /// How far the column beside it is.
    pub beside: u16,
    /// Why it can only be read here: somebody else has it open.
    pub held: Option<String>,
    /// Somebody writes in it elsewhere, as far as is known.
    pub written_elsewhere: bool,
    /// The question, answered before, that is asked again because somebody went back to it.
    pub again: Option<String>,
    /// The visit whose step was read through before its first question.
    pub briefed: Option<u64>,
    /// The step is shown by itself first, since it and the question do not fit on one screen.
    pub brief: bool,
    /// The stay at which it was asked whether the judgement may come before the time is over.
    pub hurry: Option<u64>,
    /// The stay at which it was asked whether another clock has timed it.
    pub time_up: Option<u64>,
    /// The stay whose timer was seen running, so that its end rings the bell, once.
    pub running: Option<u64>,
    /// The walk goes to this station (run and place on its path), one event at a time.
    pub heading: Option<(usize, usize)>,
    /// The flows in the order in which they were first shown to choose from.
    pub flows: Option<Vec<String>>,
    /// The car that is not there, where this is an exercise.
    pub bay: Option<Box<super::AtBay>>,
    /// How the hold goes, as it was reckoned last.
    reckoned: RefCell<Option<Reckoned>>,
}

/// How a hold goes, and what it was reckoned from: a drawing a second must not reckon the same again each time.
#[derive(Clone, Debug)]
struct Reckoned {
    /// The last event of the job, when the hold began, and what values are shown in.
    from: (u64, DateTime<Utc>, (Preferred, bool)),
    going: Option<Going>,
}

/// A step's timer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Timer {
    /// The stay at the step, by the event that began it.
    pub stay: u64,
    /// Seconds left; 0 or less once it is over.
    pub left: i64,
    /// Seconds in all.
    pub whole: i64,
    /// The clock waits: it begins as the start of the hold is read.
    pub waits: bool,
    /// When it began, where it runs.
    pub began: Option<DateTime<Utc>>,
    /// It began by itself as the step came up, and nobody has begun it with a key.
    pub by_itself: bool,
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
            beside: 0,
            held: None,
            written_elsewhere: false,
            again: None,
            briefed: None,
            brief: false,
            running: None,
            hurry: None,
            time_up: None,
            heading: None,
            flows: None,
            bay: super::AtBay::of(events).map(Box::new),
            reckoned: RefCell::default(),
        }
    }

    /// The first step, along all ways walked, whose judgement has changed since it was left and that
    /// is not where the walk is now: where it is, what it is called, and what changed. A test that is
    /// repeated from its start leaves behind what was judged in the one before it.
    pub fn rejudged(&self) -> Option<(usize, usize, &Visit, &Rejudged)> {
        let here = self.job.current.zip(self.job.run().map(|run| run.at));
        let test = self.job.test_number();
        self.job.runs.iter().enumerate().find_map(|(r, run)| {
            let path = run.path.iter().enumerate();
            path.filter(|(_, v)| v.test == test).find_map(|(v, visit)| {
                let rejudged = visit.rejudged.as_ref().filter(|r| r.changed())?;
                (Some((r, v)) != here).then_some((r, v, visit, rejudged))
            })
        })
    }
}

impl Model {
    /// The timer of the step that is walked now.
    pub fn timer(&self) -> Option<Timer> {
        let open = self.open.as_ref()?;
        let begun = match self.standing() {
            Standing::Step(_) => true,
            // Whoever takes the step over reads its cautions while the clock runs on.
            Standing::Cautions(_) => open.job.is_begun_by_other(&self.who),
            _ => false,
        };
        if !begun {
            return None;
        }
        // In practice waiting costs minutes of the simulated clock, and none of anybody's.
        if open.bay.is_some() {
            return None;
        }
        let clock = clock::clock(&open.job)?;
        Some(Timer {
            stay: clock.stay,
            left: clock.left(self.now),
            whole: clock.whole,
            waits: clock.began.is_none(),
            began: clock.began,
            by_itself: clock.began.is_some() && clock::began_by_itself(&open.job),
        })
    }

    /// When the clock of the hold that runs began: as its start was read, or was begun again since.
    pub fn hold_began(&self) -> Option<DateTime<Utc>> {
        let open = self.open.as_ref()?;
        hold::hold(&open.job)?.began(&open.job)
    }

    /// The hold that was left between its start and its end, which begins anew. In practice the
    /// clock is the car's own, and stands still while nobody does anything.
    pub fn hold_left(&self) -> Option<Hold<'_>> {
        let open = self.open.as_ref().filter(|open| open.bay.is_none())?;
        hold::hold(&open.job).filter(|hold| hold.was_left(&open.job))
    }

    /// The hold that runs, with how it goes.
    pub fn going(&self) -> Option<(Hold<'_>, Going)> {
        // In practice nobody waits, and in lines nothing is drawn.
        let open = self.open.as_ref().filter(|open| open.bay.is_none())?;
        if !matches!(self.standing(), Standing::Step(_)) {
            return None;
        }
        let hold = hold::hold(&open.job)?;
        let from = (open.job.seq, self.hold_began()?, preferred::now());
        let mut reckoned = open.reckoned.borrow_mut();
        if reckoned.as_ref().is_none_or(|last| last.from != from) {
            let going = hold.going(&open.job, from.1);
            *reckoned = Some(Reckoned { from, going });
        }
        Some((hold, reckoned.as_ref()?.going.clone()?))
    }

    /// By how many seconds the end of a hold that is asked for now comes too late.
    pub fn late(&self) -> Option<i64> {
        let open = self.open.as_ref().filter(|_| self.has_clock)?;
        let asked = self.asked().filter(|asked| !asked.fact)?;
        self.timer()?;
        clock::late(&open.job, &asked.prompt.id, self.now)
    }

    /// Seconds that are left of the wait at the step, where an answer or a judgement now would come early and nobody has
    /// said yet that it may.
    pub fn early(&self) -> Option<i64> {
        // In practice the clock is the car's own.
        let open = self.open.as_ref()?;
        self.timer()?;
        clock::cut_short(&open.job, self.now)
    }

    /// Whether a clock waits for somebody to start it.
    pub fn clock_waits(&self) -> bool {
        let open = self.open.as_ref();
        self.timer().is_some() && open.is_some_and(|open| clock::waits_for_hand(&open.job))
    }

    /// Whether the end of a hold is asked for of which a sample was taken that can be taken back, before its
    /// time is up or after.
    pub fn has_samples(&self) -> bool {
        let open = self.open.as_ref().filter(|_| self.has_clock);
        let sampled = open.and_then(|open| {
            let hold = hold::hold(&open.job)?;
            let visit = open.job.visit()?.since_seq;
            let began = hold.began(&open.job)?;
            let mut samples = open.job.samples_in(visit, &hold.end.id, began);
            let asked = self
                .asked()
                .filter(|asked| asked.prompt.id == hold.end.id)?;
            (!asked.fact && samples.next().is_some()).then_some(())
        });
        sampled.is_some()
    }

    /// Whether a value typed now is a sample of the hold that runs.
    pub fn takes_samples(&self) -> bool {
        // In lines there is no clock to look at: whoever types the end has waited for it.
        let open = self.open.as_ref().filter(|_| self.has_clock);
        let hold = open.and_then(|open| hold::hold(&open.job));
        let end = hold.is_some_and(|hold| {
            self.asked()
                .is_some_and(|asked| !asked.fact && asked.prompt.id == hold.end.id)
        });
        end && self
            .timer()
            .is_some_and(|timer| !timer.waits && timer.left > 0)
    }
}
