//! From a log to the readings of a flow: those whose key `log` names something that it has.
//!
//! Nothing is typed by anybody here, so what is doubtful is left out with a reason: a stretch that
//! is missing, a value that swings more than its reading may err, a log that an earlier test of
//! the same job has used already.

use super::capture::Capture;
use super::channel::Channel;
use super::log::Log;
use super::moments::Summary;
use crate::engine::act::act;
use crate::engine::action::Action;
use crate::engine::event::{FromFile, What};
use crate::engine::job::Job;
use crate::engine::standing::Desk;
use crate::flow::answer::Answer;
use crate::flow::log_key::{LogKey, LogWindow};
use crate::flow::model::{Flow, Prompt, PromptKind, QuantityPrompt};
use crate::units::{Quantity, Unit};

/// The fewest values that a mean is taken from: fewer are read as well by eye.
pub const FEWEST: u64 = 5;
/// 95 % of a normal distribution lies within so many standard errors.
const Z95: f64 = 1.96;

/// A reading that a file fills.
#[derive(Clone, Debug, PartialEq)]
pub struct Filled {
    /// The reading's id.
    pub reading: String,
    /// The question, as the flow asks it.
    pub ask: String,
    /// The answer.
    pub value: Answer,
    /// 95 % half-width of the mean, as a difference in SI units; `None` for pairs.
    pub half_width: Option<f64>,
    /// First and last line that count.
    pub rows: (u64, u64),
    /// The log does not say whether the engine was warm.
    pub warmth_unknown: bool,
}

/// A reading that the file could fill and does not.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LeftOut {
    /// The reading's id.
    pub reading: String,
    /// Why.
    pub why: String,
}

/// The readings of a flow that a file fills.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Fill {
    /// Those that it fills, in the order of the flow.
    pub filled: Vec<Filled>,
    /// Those that it does not.
    pub left_out: Vec<LeftOut>,
}

impl Fill {
    fn put(&mut self, prompt: &Prompt, filled: Result<Filled, String>) {
        match filled {
            Ok(filled) => self.filled.push(filled),
            Err(why) => self.left_out.push(LeftOut {
                reading: prompt.id.clone(),
                why,
            }),
        }
    }
}

/// The readings of a flow that a log fills.
pub fn from_log(flow: &Flow, log: &Log) -> Fill {
    let mut fill = Fill::default();
    for prompt in &flow.readings {
        if let (Some(LogKey::Mean(kind, value)), PromptKind::Quantity(asked)) =
            (prompt.log, &prompt.kind)
        {
            fill.put(prompt, mean(prompt, asked, log, kind, Channel::of(value)));
        }
    }
    fill
}

/// The readings of a flow that a capture fills: the pairs of a sweep.
pub fn from_capture(flow: &Flow, capture: &Capture) -> Fill {
    let mut fill = Fill::default();
    for prompt in &flow.readings {
        if let (Some(LogKey::Sweep), PromptKind::Pairs(asked)) = (prompt.log, &prompt.kind) {
            let units = (asked.first.1, asked.second.1);
            fill.put(prompt, sweep(prompt, units, asked.at_least, capture));
        }
    }
    fill
}

fn mean(
    prompt: &Prompt,
    asked: &QuantityPrompt,
    log: &Log,
    kind: LogWindow,
    channel: Channel,
) -> Result<Filled, String> {
    let window = log
        .best(kind)
        .ok_or_else(|| format!("the log has no {} that holds long enough", kind.name()))?;
    if log.look.column(channel).is_none() {
        return Err(format!("no column holds {}", channel.word()));
    }
    let summary = window
        .value(channel)
        .filter(|summary| summary.count >= FEWEST)
        .ok_or_else(|| format!("fewer than {FEWEST} values of {} there", channel.word()))?;
    let value = rounded(summary.mean, asked.unit)
        .ok_or_else(|| "its mean is no number that can be kept".to_owned())?;
    let half_width = Z95 * summary.standard_error;
    settled(asked, summary, half_width)?;
    if let Some((from, to)) = asked.plausible
        && !(from.si()..=to.si()).contains(&value.si())
    {
        return Err(format!(
            "{value} is unusual here ({from} to {to}): look at the log, and type it if it is right"
        ));
    }
    Ok(Filled {
        reading: prompt.id.clone(),
        ask: prompt.ask.clone(),
        value: Answer::Quantity(value),
        half_width: Some(half_width),
        rows: window.rows,
        warmth_unknown: window.warmth_unknown,
    })
}

/// The flow's own error of the reading bounds how far its mean may be uncertain: a job's
/// calculations count with that error and know of no other.
fn settled(asked: &QuantityPrompt, summary: &Summary, half_width: f64) -> Result<(), String> {
    let Some(error) = asked.error else {
        return Ok(());
    };
    let allowed = error.half_width(summary.mean);
    if half_width <= allowed {
        return Ok(());
    }
    Err(format!(
        "its mean is known to {} only, and the flow counts on {}: log a longer, steadier stretch",
        asked.unit.show_step(half_width),
        asked.unit.show_step(allowed)
    ))
}

fn sweep(
    prompt: &Prompt,
    units: (Unit, Unit),
    at_least: usize,
    capture: &Capture,
) -> Result<Filled, String> {
    if capture.look.column(Channel::Pressure).is_none() {
        return Err(
            "no column holds the pressure at the sensor; type it beside each step".to_owned(),
        );
    }
    let pairs: Vec<(Quantity, Quantity)> = capture
        .steps()
        .iter()
        .filter_map(|step| {
            let pressure = rounded(step.pressure?, units.0)?;
            Some((pressure, rounded(step.signal, units.1)?))
        })
        .collect();
    if pairs.len() < at_least {
        return Err(format!(
            "{} steps are held in it, and {at_least} are needed: hold each pressure for some seconds",
            pairs.len()
        ));
    }
    Ok(Filled {
        reading: prompt.id.clone(),
        ask: prompt.ask.clone(),
        value: Answer::Pairs(pairs),
        half_width: None,
        rows: capture.rows,
        warmth_unknown: false,
    })
}

/// A value in the unit that is asked for, with one digit more than that unit is shown with.
fn rounded(si: f64, unit: Unit) -> Option<Quantity> {
    let tens = (0..=unit.decimals()).fold(1.0, |tens, _| tens * 10.0);
    let value = unit.from_si(si);
    // Adding zero makes a zero below zero a plain one.
    Quantity::new((value * tens).round() / tens + 0.0, unit).ok()
}

/// The file that readings come from.
#[derive(Clone, Copy, Debug)]
pub struct File<'f> {
    /// Its name, without the folders above it.
    pub name: &'f str,
    /// Its hash.
    pub hash: &'f str,
}

/// Puts readings into the job at the step where it stands, as far as the step asks for them.
/// `warm` says that somebody vouches for a warm engine where the log does not show it.
///
/// Gives the events to be recorded, and what was left out and why; the job itself is unchanged.
pub fn into_job(
    job: &Job,
    desk: Desk,
    fill: &Fill,
    file: File,
    warm: bool,
) -> (Vec<What>, Vec<LeftOut>) {
    let mut events = Vec::new();
    let mut left_out = fill.left_out.clone();
    // What the present step does not ask for is no loss: it is another step's.
    let asked = job.prompts_now();
    left_out.retain(|left| asked.iter().any(|(prompt, _)| prompt.id == left.reading));
    for filled in &fill.filled {
        match one(job, desk, filled, file, warm) {
            Ok(mut new) => events.append(&mut new),
            Err(why) => left_out.push(LeftOut {
                reading: filled.reading.clone(),
                why,
            }),
        }
    }
    (events, left_out)
}

fn one(
    job: &Job,
    desk: Desk,
    filled: &Filled,
    file: File,
    warm: bool,
) -> Result<Vec<What>, String> {
    let asked = job.prompts_now();
    let Some((_, taken)) = asked.iter().find(|(prompt, _)| prompt.id == filled.reading) else {
        return Err("the present step does not ask for it".to_owned());
    };
    if *taken {
        return Err("it was read at this step already; correct it there if it is wrong".to_owned());
    }
    if filled.warmth_unknown && !warm {
        return Err("the log does not show that the engine was warm".to_owned());
    }
    let test = job.test_number();
    let used = job.readings.iter().find(|taken| {
        let from = taken.from_file.as_ref();
        taken.test != test && from.is_some_and(|from| from.hash == file.hash)
    });
    if let Some(used) = used {
        return Err(format!(
            "this same file was read in test {}; log the engine anew after the repair",
            used.test
        ));
    }
    let action = Action::ReadFromFile {
        reading: filled.reading.clone(),
        value: filled.value.clone(),
        from: FromFile {
            name: file.name.to_owned(),
            rows: filled.rows,
            hash: file.hash.to_owned(),
        },
    };
    let events = act(job, desk, action).map_err(|refusal| refusal.to_string())?;
    // A limit that was passed in the past is no reason to stop now.
    if events
        .iter()
        .any(|event| matches!(event, What::LimitPassed { .. }))
    {
        return Err("it lies above the limit of this reading; look at the log".to_owned());
    }
    Ok(events)
}
