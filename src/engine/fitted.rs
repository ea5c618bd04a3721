//! What the set-ups walked on a job have fitted to the car, closed off or switched on, and nothing
//! took off again.
//!
//! A set-up counts as made once the walk has come to its step from another, or something was read
//! there: somebody who begins a flow by mistake and leaves it at once has fitted nothing. Going back
//! undoes nothing on the car, nor does a flow that is left. Off again is what a later set-up opens,
//! what was taken down on the way elsewhere, and what somebody looked at and confirmed.

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

use super::event::{Event, What};
use super::job::{How, Job, Run, Station};
use crate::flow::model::{Phase, Step};

/// One thing that a set-up leaves on the car.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum Fitted {
    /// An opening that was closed off.
    Closed(String),
    /// A supply that was connected.
    Supply(String),
    /// Anything else, in the flow's words for how it is when it is put back.
    PutBack(String),
}

impl Fitted {
    /// What is looked at, and how it must be, in words.
    pub fn off_again(&self) -> String {
        match self {
            Self::Closed(opening) => format!("{opening}: clamp, plug or cover off, open again"),
            Self::Supply(supply) => {
                let supply = named_supply(supply);
                format!("{supply}: shut off, nothing of it left on the car")
            }
            Self::PutBack(words) => words.clone(),
        }
    }

    /// What is to be done before the walk goes where it is not wanted.
    pub fn take_down(&self) -> String {
        match self {
            Self::Closed(opening) => format!("open again: {opening}"),
            // A record names it by these words.
            Self::Supply(supply) => format!("shut off and take away: {supply}"),
            Self::PutBack(words) => words.clone(),
        }
    }
}

/// Something that stands on the car, and where it was put there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stands {
    /// What it is.
    pub what: Fitted,
    /// The title of the step whose set-up put it there.
    pub step: String,
    /// The title of the flow.
    pub flow: String,
}

/// Something that somebody confirmed to be off the car again.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TakenOff {
    /// What.
    pub what: Fitted,
    /// Who confirmed it.
    pub who: String,
    /// When.
    pub at: DateTime<Utc>,
    /// Where it had been put there.
    pub stood: Stands,
}

/// A supply by what it is: flows name some by their kind alone, and gases by what comes out.
pub fn named_supply(supply: &str) -> String {
    const ARE: [&str; 5] = ["supply", "unit", "pump", "blower", "vacuum"];
    if ARE.iter().any(|word| supply.contains(word)) {
        supply.to_owned()
    } else {
        format!("{supply} supply")
    }
}

impl Job {
    /// What stands on the car but for what the step that is walked now puts there itself, or works with though another has
    /// put it there: after that step it is asked for. A purge line may stay shut until the running engine is read, as the
    /// caution says; for the proof it is free.
    pub fn fitted_before(&self) -> impl Iterator<Item = &Stands> {
        let here = self.run().and_then(|run| Some((run, run.step()?)));
        let may_stay = |stands: &Stands| match &stands.what {
            Fitted::Closed(opening) => opening.starts_with("purge"),
            _ => false,
        };
        self.fitted.iter().filter(move |stands| {
            here.is_none_or(|(run, step)| {
                let own = stands.step == step.title && stands.flow == run.flow.title;
                let own = own || puts(step).any(|what| what == stands.what);
                !own && (step.phase == Phase::Retest || !may_stay(stands))
            })
        })
    }

    /// Whether all that the present step's set-up puts in place stands from before: another step has put it there, or this
    /// one at an earlier visit. A set-up that names nothing is never known to stand.
    pub fn is_set_up_before(&self) -> bool {
        let Some((run, step)) = self.run().and_then(|run| Some((run, run.step()?))) else {
            return false;
        };
        let set_up = step.set_up.clone().unwrap_or_default();
        let closed = set_up.seal.into_iter().map(Fitted::Closed);
        let mut wanted = closed
            .chain(set_up.supply.into_iter().map(Fitted::Supply))
            .peekable();
        let here = Station::Step(step.id.clone());
        let test = run.visit().map(|visit| visit.test);
        let was_here = run.path.iter().take(run.at).any(|visit| {
            let done = matches!(&visit.left, Some(left) if matches!(left.how, How::Outcome(_)));
            done && visit.station == here && Some(visit.test) == test
        });
        let by_other = |stands: &Stands| stands.step != step.title || stands.flow != run.flow.title;
        wanted.peek().is_some()
            && wanted.all(|what| {
                let mut fitted = self.fitted.iter().filter(|stands| stands.what == what);
                fitted.any(|stands| was_here || by_other(stands))
            })
    }

    /// The supplies that stand connected, as far as anybody knows.
    pub fn supplies_on(&self) -> impl Iterator<Item = &str> {
        self.fitted.iter().filter_map(|stands| match &stands.what {
            Fitted::Supply(supply) => Some(supply.as_str()),
            _ => None,
        })
    }
}

/// Cautions of steps at which the engine runs with everything put together.
const PUT_TOGETHER: &str = "smoke-off";
const RUNNING: [&str; 2] = [PUT_TOGETHER, "running-engine"];

/// Cautions of steps at which the engine runs or the car is driven.
const MOVING: [&str; 3] = [PUT_TOGETHER, "running-engine", "road-drive"];

/// Whether the engine runs at a step, by its cautions.
pub fn runs_engine(step: &Step) -> bool {
    let mut cautions = step.cautions.iter();
    cautions.any(|caution| RUNNING.contains(&caution.as_str()))
}

/// Whether what set-ups left on the car is to be looked at now that something has happened: as the walk comes to the
/// proof, or to a step before which all is taken off, after a repair in a flow that runs the engine or drives the car, since
/// its test begins there, and in that test as the walk comes to the first step that does and needs nothing on the car, and to
/// those before it. The unit that feeds the smoke is proved by being used.
pub fn due_off(job: &Job, happened: &What) -> bool {
    let Some(run) = job.run().filter(|run| run.flow.system != "smoke unit") else {
        return false;
    };
    let tells = |step: &Step, one_of: &[&str]| {
        let mut own = step.cautions.iter();
        own.any(|caution| one_of.contains(&caution.as_str()))
    };
    let due = match happened {
        What::OutcomeTaken(_) | What::StepSkipped { .. } | What::RetestBegun { .. } => {
            run.step().is_some_and(|step| {
                step.phase == Phase::Retest
                    || tells(step, &[PUT_TOGETHER])
                    || tells(step, &MOVING)
                        && is_first_after_repair(run, |step| {
                            tells(step, &MOVING) && puts(step).next().is_none()
                        })
            })
        }
        What::RepairDone { .. } => run.flow.steps.iter().any(|step| tells(step, &MOVING)),
        _ => false,
    };
    due && job.fitted_before().next().is_some()
}

/// Whether the walk stands at the first step of a repeated test that is so, or at one before it.
fn is_first_after_repair(run: &Run, is_so: impl Fn(&Step) -> bool) -> bool {
    let Some(test) = run.visit().map(|visit| visit.test).filter(|test| *test > 1) else {
        return false;
    };
    let before = run
        .path
        .iter()
        .take(run.at)
        .filter(|visit| visit.test == test);
    let mut steps = before.filter_map(|visit| match &visit.station {
        Station::Step(id) => run.flow.step(id),
        _ => None,
    });
    !steps.any(is_so)
}

/// Notes what an event that was just folded has put on the car or taken off it. `before` is the
/// station (run and place on its path) where the walk stood until then.
pub(super) fn note(job: &mut Job, event: &Event, before: Option<(usize, usize)>) {
    match &event.what {
        What::OutcomeTaken(taken) => {
            if let Some(left) = before.and_then(|at| step_at(job, at)) {
                put(job, &left);
                let opens = left.0.set_up.unwrap_or_default().open;
                take_off(
                    job,
                    |what| matches!(what, Fitted::Closed(o) if opens.contains(o)),
                );
            }
            if let Some(weighed) = &taken.weighed {
                take_off(job, |what| weighed.taken_down.contains(&what.take_down()));
            }
            put_here(job);
        }
        What::StepSkipped { .. } | What::RetestBegun { .. } | What::PairTaken { .. } => {
            put_here(job);
        }
        // What a file or another flow had read says nothing about the car as it stands.
        What::ReadingTaken {
            carried_from: None,
            from_file: None,
            ..
        } => put_here(job),
        _ => {}
    }
}

/// Somebody confirms that one thing is off again.
pub(super) fn confirm(job: &mut Job, event: &Event, what: &Fitted) -> Result<(), String> {
    let at = job.fitted.iter().position(|stands| stands.what == *what);
    let at = at.ok_or_else(|| format!("nothing is known to be fitted of: {}", what.off_again()))?;
    let stood = job.fitted.remove(at);
    job.taken_off.push(TakenOff {
        what: what.clone(),
        who: event.who.clone(),
        at: event.at,
        stood,
    });
    Ok(())
}

/// Puts what the present step puts there.
fn put_here(job: &mut Job) {
    let at = job.current.zip(job.run().map(|run| run.at));
    if let Some(here) = at.and_then(|at| step_at(job, at)) {
        put(job, &here);
    }
}

/// The step of a station, with the title of its flow. One that was skipped is none: what it would
/// have put there was not put.
fn step_at(job: &Job, (run, at): (usize, usize)) -> Option<(Step, String)> {
    let run = job.runs.get(run)?;
    let visit = run.path.get(at)?;
    if matches!(&visit.left, Some(left) if matches!(left.how, How::Skipped { .. })) {
        return None;
    }
    let Station::Step(id) = &visit.station else {
        return None;
    };
    Some((run.flow.step(id)?.clone(), run.flow.title.clone()))
}

/// What a step leaves on the car.
fn puts(step: &Step) -> impl Iterator<Item = Fitted> {
    let set_up = step.set_up.clone().unwrap_or_default();
    let closed = set_up.seal.into_iter().map(Fitted::Closed);
    let supply = set_up.supply.into_iter().map(Fitted::Supply);
    let others = step.put_back.iter().cloned().map(Fitted::PutBack);
    closed.chain(supply).chain(others)
}

fn put(job: &mut Job, (step, flow): &(Step, String)) {
    for what in puts(step) {
        if !job.fitted.iter().any(|stands| stands.what == what) {
            job.fitted.push(Stands {
                what,
                step: step.title.clone(),
                flow: flow.clone(),
            });
        }
    }
}

fn take_off(job: &mut Job, off: impl Fn(&Fitted) -> bool) {
    job.fitted.retain(|stands| !off(&stands.what));
}
