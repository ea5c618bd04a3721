//! A hold: a closed space whose gauge is read as it is shut and again some time later. While it
//! runs, samples in between show which way it goes before it is over.
//!
//! Nothing is decided by samples: the step's outcomes rest on its readings alone. What they come to
//! is worked by `decay`, the same calculation as everywhere, with the errors of the gauge. Where
//! the flow names no volume, only the fall itself is fitted, and no hole.
//!
//! A hold is known by what the flow works out of its two readings: a `decay`, the decay with a test
//! hole open of a `volume`, the share that is kept, or, at a step with a timer, the fall alone.

use chrono::{DateTime, Utc};

use super::job::{Job, Station, Taken};
use super::judge::rests_on;
use super::shown;
use crate::flow::answer::Answer;
use crate::flow::condition::{Check, Condition};
use crate::flow::model::{Arg, Flow, Prompt, PromptKind, Step, Work};
use crate::units::{Dimension, Unit};

mod going;
mod watched;

pub use going::{Firm, Going};

/// A hold that the present step asks for.
#[derive(Clone, Debug)]
pub struct Hold<'j> {
    flow: &'j Flow,
    /// The gauge as the supply is shut.
    pub start: &'j Prompt,
    /// The gauge at the end.
    pub end: &'j Prompt,
    /// How long it lasts, s.
    pub seconds: f64,
    /// A vacuum is held: the gauge shows how far below the air around.
    vacuum: bool,
    decay: Option<&'j Work>,
    ratio: Option<&'j Work>,
    limits: Vec<&'j Check>,
    /// The volume or the fall that tells this hold, where neither a decay nor a ratio does.
    space: Option<&'j Work>,
    /// Worked values that the step judges by and that rest on the end, each with its limits.
    judged: Vec<(&'j Work, Vec<&'j Check>)>,
}

/// The two readings of a hold, and what the flow works out of them.
#[derive(Clone, Copy)]
struct Pair<'j> {
    work: &'j Work,
    start: &'j Prompt,
    end: &'j Prompt,
    seconds: f64,
    vacuum: bool,
}

/// The hold of the present step, if it is one.
pub fn hold(job: &Job) -> Option<Hold<'_>> {
    let run = job.run()?;
    of_step(&run.flow, run.step()?)
}

/// The hold that a step asks for, if it is one.
pub fn of_step<'j>(flow: &'j Flow, step: &'j Step) -> Option<Hold<'j>> {
    let first = |of: fn(&Flow, &Step, &Work) -> Option<Ends>| {
        let mut all = flow.worked.iter();
        all.find_map(|work| pair(flow, step, work, &of(flow, step, work)?))
    };
    let (decay, ratio) = (first(by_decay), first(by_ratio));
    let other = || first(by_volume).or_else(|| first(by_fall));
    let plain = if decay.is_none() && ratio.is_none() {
        other()
    } else {
        None
    };
    let found = decay.or(ratio).or(plain)?;
    let (start, end) = (found.start, found.end);
    let ratio = ratio.filter(|of| of.start.id == start.id && of.end.id == end.id);
    let ratio = ratio.map(|of| of.work);
    Some(Hold {
        flow,
        start,
        end,
        seconds: found.seconds,
        vacuum: found.vacuum,
        decay: decay.map(|of| of.work),
        ratio,
        limits: ratio.map_or_else(Vec::new, |work| limits(step, &work.id)),
        space: plain.map(|of| of.work),
        judged: plain.map_or_else(Vec::new, |_| judged(flow, step, end)),
    })
}

/// The start of the hold that was left before its end, and is read anew because the clock begins
/// with it.
pub fn anew(job: &Job) -> Option<&Prompt> {
    hold(job)
        .filter(|hold| hold.was_left(job))
        .map(|hold| hold.start)
}

/// Whether a reading ended a hold whose start was read anew since in the same visit: it says nothing of the hold that began
/// then.
pub fn is_void(job: &Job, flow: &Flow, step: &Step, taken: &Taken) -> bool {
    let Some(hold) = of_step(flow, step).filter(|hold| hold.end.id == taken.reading) else {
        return false;
    };
    let mut here = job.taken_in(taken.visit);
    here.any(|start| start.reading == hold.start.id && start.seq > taken.seq)
}

/// That the end of a hold, read in the visit that an event opened, stands above its start or above what the gauge showed
/// on the way: a space that is shut gains nothing.
pub fn rises(job: &Job, visit: u64, reading: &str, end: &Answer) -> Option<String> {
    let Answer::Quantity(end) = end else {
        return None;
    };
    let mut runs = job.runs.iter();
    let (run, at) = runs.find_map(|run| {
        let mut path = run.path.iter();
        Some((run, path.find(|at| at.since_seq == visit)?))
    })?;
    let Station::Step(step) = &at.station else {
        return None;
    };
    let hold = of_step(&run.flow, run.flow.step(step)?).filter(|hold| hold.end.id == reading)?;
    let start = job
        .taken_in(visit)
        .filter(|t| t.reading == hold.start.id)
        .last()?;
    let Answer::Quantity(began) = start.value else {
        return None;
    };
    let samples = job.samples.iter().filter(|sample| {
        sample.visit == visit
            && sample.reading == reading
            && sample.back.is_none()
            && sample.seq > start.seq
    });
    let before = samples.map(|sample| sample.value).chain([began]);
    let least = before.min_by(|a, b| a.si().total_cmp(&b.si()))?;
    (began.si() > 0.0 && end.si() > least.si()).then(|| {
        format!(
            "{} is more than the {} that the gauge showed before in this hold: what is shut gains nothing, unless it warms",
            shown::quantity(*end),
            shown::quantity(least)
        )
    })
}

/// Ids of the readings at the start and at the end, how long it lasts (s), and whether a vacuum is
/// held.
type Ends = (String, String, f64, bool);

/// The pair of readings, where the step asks for both, the start first.
fn pair<'j>(flow: &'j Flow, step: &Step, work: &'j Work, ends: &Ends) -> Option<Pair<'j>> {
    let (start, end, seconds, vacuum) = ends;
    let place = |id: &str| step.record.iter().position(|asked| asked == id);
    let (start, end) = (flow.reading(start)?, flow.reading(end)?);
    let in_order = place(&start.id)? < place(&end.id)?;
    let pressures = pressure_gauge(start).is_some() && pressure_gauge(end).is_some();
    (in_order && pressures && *seconds > 0.0).then_some(Pair {
        work,
        start,
        end,
        seconds: *seconds,
        vacuum: *vacuum,
    })
}

/// The gauge of a reading of a pressure.
fn pressure_gauge(prompt: &Prompt) -> Option<&Option<String>> {
    match &prompt.kind {
        PromptKind::Quantity(q) if q.unit.dimension() == Dimension::Pressure => Some(&q.gauge),
        _ => None,
    }
}

fn by_decay(flow: &Flow, _: &Step, work: &Work) -> Option<Ends> {
    if work.calculation.name == "decay" {
        by_points(flow, work, "at")
    } else {
        None
    }
}

/// The decay with the test hole open, else the one with it shut.
fn by_volume(flow: &Flow, step: &Step, work: &Work) -> Option<Ends> {
    if work.calculation.name != "volume" {
        return None;
    }
    let asked = |ends: &Ends| step.record.contains(&ends.0);
    let mut both = ["open-at", "at"].into_iter();
    both.find_map(|name| by_points(flow, work, name).filter(asked))
}

/// Two rows of time and pressure.
fn by_points(flow: &Flow, work: &Work, name: &str) -> Option<Ends> {
    let (from, to) = ends(work, name)?;
    let (start, vacuum) = gauge(flow, &from.1)?;
    let (end, _) = gauge(flow, &to.1)?;
    Some((start.to_owned(), end.to_owned(), to.0 - from.0, vacuum))
}

fn by_ratio(_: &Flow, step: &Step, work: &Work) -> Option<Ends> {
    match list(work, "ratio")? {
        [Arg::Of(end), Arg::Of(start)] => Some((start.clone(), end.clone(), step.timer?, false)),
        _ => None,
    }
}

/// What is lost between two readings of one gauge: a difference of two gauges is no fall.
fn by_fall(flow: &Flow, step: &Step, work: &Work) -> Option<Ends> {
    let [Arg::Of(a), Arg::Of(b)] = list(work, "difference")? else {
        return None;
    };
    let place = |id: &str| step.record.iter().position(|asked| asked == id);
    let (start, end) = if place(a)? < place(b)? {
        (a, b)
    } else {
        (b, a)
    };
    let gauge = |id: &str| pressure_gauge(flow.reading(id)?);
    if gauge(start)? != gauge(end)? {
        return None;
    }
    Some((start.clone(), end.clone(), step.timer?, false))
}

/// Worked values by which the outcomes of a step judge, that rest on its end reading.
fn judged<'j>(flow: &'j Flow, step: &'j Step, end: &Prompt) -> Vec<(&'j Work, Vec<&'j Check>)> {
    let all = flow.worked.iter();
    let resting = all.filter(|work| rests_on(flow, &work.id, &end.id));
    let with_limits = resting.map(|work| (work, limits(step, &work.id)));
    with_limits.filter(|(_, all)| !all.is_empty()).collect()
}

/// The limits that the outcomes of a step set to a value, each once.
fn limits<'j>(step: &'j Step, id: &str) -> Vec<&'j Check> {
    let mut limits = Vec::new();
    for outcome in &step.outcomes {
        checks(&outcome.when, id, &mut limits);
    }
    limits
}

fn input<'w>(work: &'w Work, name: &str) -> Option<&'w Arg> {
    let found = work.inputs.iter().find(|(known, _)| *known == name);
    found.map(|(_, arg)| arg)
}

/// Time and pressure of the two points of a decay.
fn ends(work: &Work, name: &str) -> Option<((f64, Arg), (f64, Arg))> {
    let Arg::Rows(rows) = input(work, name)? else {
        return None;
    };
    let end = |row: &[Option<Arg>]| match row {
        [Some(Arg::Constant(time)), Some(pressure), ..] => Some((time.si(), pressure.clone())),
        _ => None,
    };
    match &rows[..] {
        [first, last] => Some((end(first)?, end(last)?)),
        _ => None,
    }
}

/// The two values of a ratio or a difference.
fn list<'w>(work: &'w Work, name: &str) -> Option<&'w [Arg]> {
    match work.inputs.first()? {
        (_, Arg::List(items)) if work.calculation.name == name => Some(items),
        _ => None,
    }
}

/// The reading that a pressure is: itself, or so far below the air around.
fn gauge<'w>(flow: &'w Flow, arg: &'w Arg) -> Option<(&'w str, bool)> {
    let Arg::Of(id) = arg else { return None };
    let Some(work) = flow.work(id) else {
        return Some((id, false));
    };
    match work.inputs.first()? {
        (_, Arg::List(items)) if work.calculation.name == "difference" => match &items[..] {
            [Arg::Constant(nothing), Arg::Of(id)] if nothing.si() == 0.0 => Some((id, true)),
            _ => None,
        },
        _ => None,
    }
}

/// The checks of a condition on one value that set a limit, each once.
fn checks<'c>(condition: &'c Condition, id: &str, out: &mut Vec<&'c Check>) {
    match condition {
        Condition::All(parts) | Condition::Any(parts) | Condition::None(parts) => {
            for part in parts {
                checks(part, id, out);
            }
        }
        Condition::Test { subject, check }
            if subject == id
                && limit(check).is_some()
                && !out.iter().any(|known| limit(known) == limit(check)) =>
        {
            out.push(check);
        }
        _ => {}
    }
}

fn limit(check: &Check) -> Option<f64> {
    match check {
        Check::AtLeast(q) | Check::Above(q) | Check::AtMost(q) | Check::Below(q) => Some(q.si()),
        _ => None,
    }
}

impl Hold<'_> {
    /// When the clock began, if it did in this stay at the step and the end was not read: as the
    /// start was read, or as the clock was begun again since.
    pub fn began(&self, job: &Job) -> Option<DateTime<Utc>> {
        let (start, visit) = (self.started(job)?, job.visit()?);
        let again = visit.clock.map_or(start.at, |at| at.max(start.at));
        (start.seq > visit.stay_seq).then_some(again)
    }

    /// Whether the step was left between start and end: nobody watched the space meanwhile, so that
    /// the start is read anew and the clock begins with it.
    pub fn was_left(&self, job: &Job) -> bool {
        let stay = job.visit().map(|visit| visit.stay_seq);
        self.started(job)
            .is_some_and(|start| Some(start.seq) < stay)
    }

    /// The start, if it was read at this step and the end was not.
    fn started<'j>(&self, job: &'j Job) -> Option<&'j Taken> {
        let visit = job.visit()?.since_seq;
        let start = job.taken_in(visit).filter(|t| t.reading == self.start.id);
        let start = start.last()?;
        let over = job
            .taken_in(visit)
            .any(|t| t.reading == self.end.id && t.seq > start.seq);
        let over = over || job.is_left_out(visit, &self.end.id);
        let read = matches!(start.value, Answer::Quantity(_));
        (read && !over).then_some(start)
    }
}

/// The unit in which a gauge is asked for.
pub fn pressure(prompt: &Prompt) -> Option<Unit> {
    match &prompt.kind {
        PromptKind::Quantity(q) => Some(q.unit),
        _ => None,
    }
}
