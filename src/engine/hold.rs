//! A hold: a closed space whose gauge is read as it is shut and again some time later. While it
//! runs, samples in between show which way it goes before it is over.
//!
//! Nothing is decided by samples: the step's outcomes rest on its readings alone. What they come to
//! is worked by `decay`, the same calculation as everywhere, with the errors of the gauge. Where
//! the flow names no volume, only the fall itself is fitted, and no hole.

use chrono::{DateTime, Utc};

use super::job::{Job, Taken};
use crate::flow::answer::Answer;
use crate::flow::condition::{Check, Condition};
use crate::flow::model::{Arg, Flow, Prompt, PromptKind, Work};
use crate::units::{Dimension, Unit};

mod going;

pub use going::Going;

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
}

/// The hold of the present step, if it is one.
pub fn hold(job: &Job) -> Option<Hold<'_>> {
    let run = job.run()?;
    let (flow, step) = (&run.flow, run.step()?);
    let asked = |id: &str| {
        let prompt = flow.reading(id)?;
        let pressure = matches!(&prompt.kind, PromptKind::Quantity(q) if q.unit.dimension() == Dimension::Pressure);
        (pressure && step.record.iter().any(|asked| asked == id)).then_some(prompt)
    };
    let before = |a: &Prompt, b: &Prompt| {
        let at = |id: &str| step.record.iter().position(|asked| asked == id);
        at(&a.id) < at(&b.id)
    };
    let decay = flow.worked.iter().find_map(|work| {
        let (from, to) = ends(work)?;
        let (start, vacuum) = gauge(flow, &from.1)?;
        let (start, end) = (asked(start)?, asked(gauge(flow, &to.1)?.0)?);
        before(start, end).then_some((work, start, end, to.0 - from.0, vacuum))
    });
    let ratio = flow.worked.iter().find_map(|work| {
        let [Arg::Of(end), Arg::Of(start)] = list(work)? else {
            return None;
        };
        let (start, end) = (asked(start)?, asked(end)?);
        before(start, end).then_some((work, start, end))
    });
    let (start, end, seconds, vacuum) = match (&decay, &ratio) {
        (Some((_, start, end, seconds, vacuum)), _) => (*start, *end, *seconds, *vacuum),
        (None, Some((_, start, end))) => (*start, *end, step.timer?, false),
        (None, None) => return None,
    };
    let ratio = ratio.filter(|(_, a, b)| a.id == start.id && b.id == end.id);
    let ratio = ratio.map(|(work, ..)| work);
    let mut limits = Vec::new();
    for outcome in &step.outcomes {
        if let Some(work) = ratio {
            checks(&outcome.when, &work.id, &mut limits);
        }
    }
    (seconds > 0.0).then_some(Hold {
        flow,
        start,
        end,
        seconds,
        vacuum,
        decay: decay.map(|(work, ..)| work),
        ratio,
        limits,
    })
}

fn input<'w>(work: &'w Work, name: &str) -> Option<&'w Arg> {
    let found = work.inputs.iter().find(|(known, _)| *known == name);
    found.map(|(_, arg)| arg)
}

/// Time and pressure of the two points of a decay.
fn ends(work: &Work) -> Option<((f64, Arg), (f64, Arg))> {
    if work.calculation.name != "decay" {
        return None;
    }
    let Arg::Rows(rows) = input(work, "at")? else {
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

/// The two values of a ratio.
fn list(work: &Work) -> Option<&[Arg]> {
    match work.inputs.first()? {
        (_, Arg::List(items)) if work.calculation.name == "ratio" => Some(items),
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
    /// When the start was read, if it was in this stay at the step and the end was not.
    pub fn began(&self, job: &Job) -> Option<DateTime<Utc>> {
        let start = self.started(job)?;
        (start.seq > job.visit()?.stay_seq).then_some(start.at)
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
