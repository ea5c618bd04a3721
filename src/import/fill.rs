//! From a file to the readings of a flow: those whose key `log` names something that it has.
//!
//! Nothing is typed by anybody here, so what is doubtful is left out with a reason: a stretch that
//! is missing, a value that swings more than its reading may err. Whether a job can take them is
//! [`super::put`].

use super::Import;
use super::capture::Capture;
use super::channel::Channel;
use super::log::Log;
use super::moments::Summary;
use super::trace::LONGEST;
use crate::flow::answer::Answer;
use crate::flow::log_key::{LogKey, LogWindow};
use crate::flow::model::{Flow, PairsPrompt, Prompt, PromptKind, QuantityPrompt};
use crate::units::{Quantity, Unit};

/// The fewest values that a mean is taken from: fewer are read as well by eye.
pub const FEWEST: u64 = 5;
/// 95 % of a normal distribution lies within so many standard errors.
pub const Z95: f64 = 1.96;

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

/// The readings of a flow that a file fills.
pub fn fill(flow: &Flow, import: &Import) -> Fill {
    match import {
        Import::Log(log) => from_log(flow, log),
        Import::Capture(capture) => from_capture(flow, capture),
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

/// The readings of a flow that a capture fills: the pairs of a sweep, or its trace.
pub fn from_capture(flow: &Flow, capture: &Capture) -> Fill {
    let mut fill = Fill::default();
    for prompt in &flow.readings {
        match (prompt.log, &prompt.kind) {
            (Some(LogKey::Sweep), PromptKind::Pairs(asked)) => {
                fill.put(prompt, sweep(prompt, asked, capture));
            }
            (Some(LogKey::Trace), PromptKind::Pairs(asked)) => {
                fill.put(prompt, trace(prompt, asked, capture));
            }
            _ => {}
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
    let window = log.best(kind).ok_or_else(|| none_holds(log, kind))?;
    if log.look.column(channel).is_none() {
        return Err(format!("no column holds {}", channel.word()));
    }
    let summary = window
        .value(channel)
        .filter(|summary| summary.count >= FEWEST)
        .ok_or_else(|| format!("fewer than {FEWEST} values of {} there", channel.word()))?;
    if window.dead().any(|dead| dead == channel) {
        return Err(format!(
            "{} is 0 throughout while the engine runs: nothing is behind that column",
            channel.word()
        ));
    }
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

/// Why there is no stretch of a kind.
fn none_holds(log: &Log, kind: LogWindow) -> String {
    let purge = match log.tally.purging {
        0 => String::new(),
        rows => {
            format!("; {rows} rows do not count since the purge was open: shut it and log anew")
        }
    };
    format!(
        "the log has no {} that holds long enough{purge}",
        kind.name()
    )
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

fn sweep(prompt: &Prompt, asked: &PairsPrompt, capture: &Capture) -> Result<Filled, String> {
    if capture.look.column(Channel::Pressure).is_none() {
        return Err(
            "no column holds the pressure at the sensor; type it beside each step".to_owned(),
        );
    }
    volts(capture)?;
    let steps = capture.steps();
    let pairs = steps
        .iter()
        .filter_map(|step| pair((step.pressure?, step.signal), asked));
    let pairs: Vec<_> = pairs.collect();
    if pairs.len() < asked.at_least {
        return Err(format!(
            "{} steps are held in it, and {} are needed: hold each pressure for some seconds",
            pairs.len(),
            asked.at_least
        ));
    }
    Ok(of_pairs(prompt, pairs, capture.rows))
}

fn trace(prompt: &Prompt, asked: &PairsPrompt, capture: &Capture) -> Result<Filled, String> {
    if !capture.is_timed() {
        return Err("no column holds the time".to_owned());
    }
    volts(capture)?;
    let excerpt = capture.excerpt();
    let points = excerpt.as_ref().map_or(&[][..], |part| &part.points);
    let pairs: Vec<_> = points
        .iter()
        .filter_map(|point| pair(*point, asked))
        .collect();
    if pairs.len() < asked.at_least {
        return Err(format!(
            "it has {} points in {LONGEST} s, and {} are needed: record more samples a second",
            pairs.len(),
            asked.at_least
        ));
    }
    let rows = excerpt.map_or(capture.rows, |part| part.rows);
    Ok(of_pairs(prompt, pairs, rows))
}

/// The flows ask for volts.
fn volts(capture: &Capture) -> Result<(), String> {
    if capture.look.signal_is_pressure() {
        return Err("its signal is scaled as a pressure, and volts are asked for".to_owned());
    }
    Ok(())
}

/// A pair of values in the units that are asked for.
fn pair(si: (f64, f64), asked: &PairsPrompt) -> Option<(Quantity, Quantity)> {
    Some((
        as_measured(si.0, asked.first.1)?,
        as_measured(si.1, asked.second.1)?,
    ))
}

/// A value of a pair in the unit that is asked for, to nine digits that count: samples of a trace may lie closer than
/// any digit that the unit is shown with.
fn as_measured(si: f64, unit: Unit) -> Option<Quantity> {
    let value: f64 = format!("{:.8e}", unit.from_si(si)).parse().ok()?;
    Quantity::new(value + 0.0, unit).ok()
}

fn of_pairs(prompt: &Prompt, pairs: Vec<(Quantity, Quantity)>, rows: (u64, u64)) -> Filled {
    Filled {
        reading: prompt.id.clone(),
        ask: prompt.ask.clone(),
        value: Answer::Pairs(pairs),
        half_width: None,
        rows,
        warmth_unknown: false,
    }
}

/// A value in the unit that is asked for, with one digit more than that unit is shown with.
fn rounded(si: f64, unit: Unit) -> Option<Quantity> {
    let tens = (0..=unit.decimals()).fold(1.0, |tens, _| tens * 10.0);
    let value = unit.from_si(si);
    // Adding zero makes a zero below zero a plain one.
    Quantity::new((value * tens).round() / tens + 0.0, unit).ok()
}
