//! The clock of the present step: when it began, how long it lasts, and whether it is over.
//!
//! It follows from the record alone, so that it runs on through a quit, a battery pulled and a job
//! opened elsewhere. Whoever shows it brings the time of day.

use chrono::{DateTime, TimeDelta, Utc};

use super::hold::{Hold, hold};
use super::job::{Job, Run, Station, Visit};

/// The clock of a step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Clock {
    /// The stay at the step, by the event that began it.
    pub stay: u64,
    /// When it began; absent while it waits for the start of the hold to be read, or for somebody to start it.
    pub began: Option<DateTime<Utc>>,
    /// Seconds in all.
    pub whole: i64,
    /// Another clock said that it is over.
    pub timed_elsewhere: bool,
}

impl Clock {
    /// Seconds left; 0 or less once it is over, all of them while it waits.
    pub fn left(&self, now: DateTime<Utc>) -> i64 {
        match self.began {
            None => self.whole,
            Some(_) if self.timed_elsewhere => 0,
            // A clock that was set back must not make the wait longer than it is.
            Some(began) => self.whole - (now - began).num_seconds().max(0),
        }
    }

    /// When it ends by itself; nothing where it waits or is over by another clock.
    pub fn ends(&self) -> Option<DateTime<Utc>> {
        let began = self.began.filter(|_| !self.timed_elsewhere)?;
        Some(began + TimeDelta::try_seconds(self.whole)?)
    }
}

/// The clock of the step where a job is, if it has one and its reading is not done with.
pub fn clock(job: &Job) -> Option<Clock> {
    if let Some(hold) = hold(job) {
        return of_hold(job, &hold);
    }
    let visit = job.visit()?;
    if !matches!(visit.station, Station::Step(_)) {
        return None;
    }
    let step = job.run()?.step()?;
    let seconds = step.timer?;
    match visit.clock {
        None if step.timer_by_hand && visit.time_up.is_none() => Some(waiting(visit, seconds)),
        clock => begun(job, clock.unwrap_or(visit.ready), seconds),
    }
}

/// Whether something was read at the step where a job is since the time of its clock was over: then nothing waits to be
/// read because of it. The clock of a hold is gone by then.
pub fn is_read(job: &Job) -> bool {
    let (Some(clock), Some(visit)) = (clock(job), job.visit()) else {
        return false;
    };
    let over = match clock.began {
        Some(_) if clock.timed_elsewhere => visit.time_up,
        _ => clock.ends(),
    };
    let since = |over: DateTime<Utc>| {
        let mut read = job.taken_in(visit.since_seq);
        read.any(|taken| taken.seq > clock.stay && taken.at >= over)
    };
    hold(job).is_none() && over.is_some_and(since)
}

/// Whether the clock of the step where a job is waits for somebody to start it.
pub fn waits_for_hand(job: &Job) -> bool {
    hold(job).is_none() && clock(job).is_some_and(|clock| clock.began.is_none())
}

/// Whether the clock of the step where a job is began as the step did, and by nobody's hand since: what it is to time may
/// have begun later.
pub fn began_by_itself(job: &Job) -> bool {
    let by_hand = job
        .run()
        .and_then(Run::step)
        .is_none_or(|step| step.timer_by_hand);
    let begun = job.visit().is_none_or(|visit| visit.clock.is_some());
    hold(job).is_none() && !by_hand && !begun
}

/// Seconds that are left of the wait at the step where a job is, where an answer or a judgement would come before it is
/// over. Nothing at a hold, whose end is no answer until then, nor where somebody went on early at this stay already.
pub fn cut_short(job: &Job, now: DateTime<Utc>) -> Option<i64> {
    if hold(job).is_some() || job.visit()?.hurried.is_some() {
        return None;
    }
    Some(clock(job)?.left(now)).filter(|left| *left > 0)
}

/// Seconds in which a value that was read is typed: an assumption of ours, no source.
const TO_TYPE: i64 = 6;

/// By how many seconds the end of the hold that runs comes late at a moment: more than a twentieth of the hold (an
/// assumption of ours, no source), and more than it takes to type. Nothing for any other reading, nor where another
/// clock timed it, the clock of the day was set back, or the car is not there and neither is its time. What comes early
/// is not told: on the screens it is a sample, and whoever walks in lines may type start and end one after the other.
pub fn late(job: &Job, reading: &str, at: DateTime<Utc>) -> Option<i64> {
    let hold = hold(job).filter(|hold| hold.end.id == reading && !job.practised)?;
    let clock = of_hold(job, &hold).filter(|clock| !clock.timed_elsewhere)?;
    let late = (at - clock.began?).num_seconds() - clock.whole;
    (late > (clock.whole / 20).max(TO_TYPE)).then_some(late)
}

/// The clock of a hold begins as its start is read, and is done with as its end is.
fn of_hold(job: &Job, hold: &Hold) -> Option<Clock> {
    let visit = job.visit()?;
    if let Some(began) = hold.began(job) {
        return begun(job, began, hold.seconds);
    }
    let mut read = job.taken_in(visit.since_seq);
    let waits = hold.was_left(job) || !read.any(|taken| taken.reading == hold.start.id);
    waits.then(|| waiting(visit, hold.seconds))
}

fn waiting(visit: &Visit, seconds: f64) -> Clock {
    Clock {
        stay: visit.stay_seq,
        began: None,
        whole: whole_seconds(seconds),
        timed_elsewhere: false,
    }
}

fn begun(job: &Job, began: DateTime<Utc>, seconds: f64) -> Option<Clock> {
    let visit = job.visit()?;
    Some(Clock {
        stay: visit.stay_seq,
        began: Some(began),
        whole: whole_seconds(seconds),
        timed_elsewhere: visit.time_up.is_some_and(|at| at >= began),
    })
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a float beyond i64 becomes its end, which is long enough"
)]
fn whole_seconds(seconds: f64) -> i64 {
    seconds.ceil() as i64
}
