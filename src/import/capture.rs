//! A capture: the trace of a signal over time, as points and as the steps that were held.
//!
//! The points feed the calculation of the ripple. A sweep of a pressure sensor is held for a moment
//! at each pressure; those moments become its pairs of pressure and signal.

use std::io::Read;

use super::channel::Channel;
use super::error::ImportError;
use super::flaws::Flaws;
use super::look::{Look, Options, Purpose};
use super::moments::Moments;
use super::rows::Rows;
use super::slot::Row;
use super::source::Source;
use super::{open, require};

/// The most points that are kept: some seconds at the finest that a workshop's scope writes, 80 MB.
pub const MOST_POINTS: usize = 2_000_000;
/// A step of a sweep is held at least so long, s: a hand pump's gauge is read in that time.
pub const HELD: f64 = 1.0;
/// A step is looked at in pieces of this length, s.
const PIECE: f64 = 0.2;
/// The signal of a held step stays within this, V, and within [`STAYS_SHARE`] of the whole span:
/// about the error that the flows give a reading of it. Chosen here, no source.
const STAYS: f64 = 0.01;
/// See [`STAYS`].
const STAYS_SHARE: f64 = 0.005;

/// A point of a capture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// The line where it stands.
    pub line: u64,
    /// Time, s.
    pub time: f64,
    /// Signal, V; or Pa, where it is scaled.
    pub signal: f64,
    /// Pressure at the sensor, Pa, absolute; NaN where the capture has none.
    pub pressure: f64,
    /// Level of the trigger, in its own unit; NaN where the capture has none.
    pub trigger: f64,
}

/// What a capture says.
#[derive(Clone, Debug)]
pub struct Capture {
    /// How it is written and what its columns hold.
    pub look: Look,
    /// Hash of the file (BLAKE3, hexadecimal).
    pub hash: String,
    /// First and last line with a point.
    pub rows: (u64, u64),
    /// The points; rows without a time or a signal are left out.
    pub points: Vec<Point>,
    /// What was left out of it.
    pub flaws: Flaws,
}

/// A step of a sweep that was held.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// When it begins and ends, s; `None` where the file is a table of what was held, without times.
    pub time: Option<(f64, f64)>,
    /// Mean signal, V.
    pub signal: f64,
    /// Mean pressure, Pa, absolute, where the capture has it.
    pub pressure: Option<f64>,
}

/// Reads a capture to its end.
///
/// # Errors
/// As [`super::read_log`]; [`ImportError::TooManyPoints`] beyond [`MOST_POINTS`].
pub fn read_capture(reader: impl Read, options: &Options) -> Result<Capture, ImportError> {
    let (source, look) = open(reader, options)?;
    capture_from(source, look)
}

/// Reads a capture whose beginning was looked at.
pub(super) fn capture_from<R: Read>(source: Source<R>, look: Look) -> Result<Capture, ImportError> {
    // A sweep that was written down by hand has a pressure and a signal a row, and no time.
    let timed = look.column(Channel::Time).is_some();
    let needed = [Channel::Signal, Channel::Pressure];
    require(
        &look,
        Purpose::Capture,
        &needed[..if timed { 1 } else { 2 }],
    )?;
    let mut rows = Rows::new(source, &look, Purpose::Capture);
    let mut row = Row::default();
    let mut points: Vec<Point> = Vec::new();
    let mut lines: Option<(u64, u64)> = None;
    while rows.next(&mut row)? {
        let point = Point {
            line: row.line,
            time: row.value(Channel::Time),
            signal: row.value(Channel::Signal),
            pressure: row.value(Channel::Pressure),
            trigger: row.value(Channel::Trigger),
        };
        if (timed && point.time.is_nan()) || point.signal.is_nan() {
            continue;
        }
        if points.len() == MOST_POINTS {
            return Err(ImportError::TooManyPoints { limit: MOST_POINTS });
        }
        lines = Some((lines.map_or(row.line, |lines| lines.0), row.line));
        points.push(point);
    }
    let (hash, flaws) = rows.finish()?;
    Ok(Capture {
        rows: lines.unwrap_or((0, 0)),
        flaws,
        hash,
        points,
        look,
    })
}

impl Capture {
    /// The points as the calculations of a trace take them: time in s, signal in V or Pa, and the
    /// trigger's level where the capture has one.
    pub fn trace(&self) -> Vec<Vec<Option<f64>>> {
        let row = |point: &Point| {
            let trigger = Some(point.trigger).filter(|level| level.is_finite());
            vec![Some(point.time), Some(point.signal), trigger]
        };
        self.points.iter().map(row).collect()
    }

    /// Whether its points have times: a table of what a hand pump's sweep came to has none.
    pub fn is_timed(&self) -> bool {
        self.look.column(Channel::Time).is_some()
    }

    /// The steps that were held, in their order; where there are no times each point is one.
    pub fn steps(&self) -> Vec<Step> {
        if !self.is_timed() {
            let step = |point: &Point| Step {
                time: None,
                signal: point.signal,
                pressure: Some(point.pressure).filter(|pressure| pressure.is_finite()),
            };
            return self.points.iter().map(step).collect();
        }
        let mut span = Moments::default();
        self.points.iter().for_each(|point| span.add(point.signal));
        let stays = STAYS.max(span.range() * STAYS_SHARE);
        let mut steps = Vec::new();
        let mut held: Option<Held> = None;
        for piece in self.pieces() {
            let goes_on = piece.signal.range() <= 2.0 * stays
                && held.as_ref().is_some_and(|held| held.near(&piece, stays));
            match &mut held {
                Some(held) if goes_on => held.append(&piece),
                _ => {
                    steps.extend(held.take().and_then(Held::step));
                    if piece.signal.range() <= 2.0 * stays {
                        held = Some(piece);
                    }
                }
            }
        }
        steps.extend(held.and_then(Held::step));
        steps
    }

    fn pieces(&self) -> Vec<Held> {
        let mut pieces: Vec<Held> = Vec::new();
        for point in &self.points {
            match pieces.last_mut() {
                Some(piece) if (0.0..PIECE).contains(&(point.time - piece.time.0)) => {
                    piece.add(point);
                }
                _ => {
                    let mut piece = Held {
                        time: (point.time, point.time),
                        signal: Moments::default(),
                        pressure: Moments::default(),
                    };
                    piece.add(point);
                    pieces.push(piece);
                }
            }
        }
        pieces
    }
}

/// A stretch of a trace.
struct Held {
    time: (f64, f64),
    signal: Moments,
    pressure: Moments,
}

impl Held {
    fn add(&mut self, point: &Point) {
        self.time.1 = point.time;
        self.signal.add(point.signal);
        self.pressure.add(point.pressure);
    }

    fn near(&self, other: &Self, stays: f64) -> bool {
        let apart = self.signal.mean().zip(other.signal.mean());
        let goes_on = other.time.0 >= self.time.1;
        goes_on && apart.is_some_and(|(a, b)| (a - b).abs() <= stays)
    }

    fn append(&mut self, other: &Self) {
        self.time.1 = other.time.1;
        self.signal.append(&other.signal);
        self.pressure.append(&other.pressure);
    }

    fn step(self) -> Option<Step> {
        (self.time.1 - self.time.0 >= HELD).then_some(Step {
            time: Some(self.time),
            signal: self.signal.mean()?,
            pressure: self.pressure.mean(),
        })
    }
}
