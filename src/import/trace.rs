//! A trace that a job can keep: the part of a capture that shows the matter, in few points.
//!
//! A capture has up to millions of points, and a record that people read and export cannot hold
//! them. A stretch of [`LONGEST`] is enough for two cycles of the slowest idle, and [`MOST`] points
//! over it leave eight for each lobe of eight cylinders at 1500 rpm, which is what the calculation
//! of the ripple asks for.

use super::capture::{Capture, Point};

/// How much of a capture is kept, s: two cycles at 300 rpm.
pub const LONGEST: f64 = 0.8;
/// The most points that are kept.
pub const MOST: usize = 640;

/// A part of a capture, thinned out.
#[derive(Clone, Debug, PartialEq)]
pub struct Trace {
    /// Time from the start of the part, s, and signal, V.
    pub points: Vec<(f64, f64)>,
    /// First and last line that count.
    pub rows: (u64, u64),
    /// How many points of the capture each is the mean of, on average.
    pub each: f64,
    /// It starts where the trigger first rises.
    pub triggered: bool,
}

impl Capture {
    /// The part from the trigger's first rise, else from the start. Where there are more points
    /// than are kept, each is the mean of those in its share of the time, so that noise goes and a
    /// lobe stays. `None` without any points.
    pub fn excerpt(&self) -> Option<Trace> {
        let rise = self.trigger_rises();
        let from = self.points.get(rise.unwrap_or(0)..)?;
        let start = from.first()?.time;
        let near = |point: &&Point| (0.0..=LONGEST).contains(&(point.time - start));
        let part: Vec<&Point> = from.iter().take_while(near).collect();
        let (first, last) = (part.first()?, part.last()?);
        let share = (last.time - start) / MOST as f64;
        let points = if part.len() <= MOST {
            part.iter().map(|p| (p.time - start, p.signal)).collect()
        } else {
            means(&part, start, share)
        };
        Some(Trace {
            rows: (first.line, last.line),
            each: part.len() as f64 / points.len().max(1) as f64,
            triggered: rise.is_some(),
            points,
        })
    }

    /// The point at which the trigger first rises through the middle of its range.
    fn trigger_rises(&self) -> Option<usize> {
        let levels = self.points.iter().map(|point| point.trigger);
        let (low, high) = levels
            .filter(|level| level.is_finite())
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), level| {
                (low.min(level), high.max(level))
            });
        let middle = f64::midpoint(low, high);
        let rises = |pair: &[Point]| pair[0].trigger <= middle && pair[1].trigger > middle;
        let at = self.points.windows(2).position(rises)?;
        (low < high).then_some(at + 1)
    }
}

/// The mean time and signal of the points in each share of the time.
fn means(part: &[&Point], start: f64, share: f64) -> Vec<(f64, f64)> {
    let last = MOST as f64 - 1.0;
    let place = |point: &Point| ((point.time - start) / share).floor().min(last);
    part.chunk_by(|a, b| place(a).total_cmp(&place(b)).is_eq())
        .map(|points| {
            let n = points.len() as f64;
            let mean = |of: fn(&Point) -> f64| points.iter().map(|p| of(p)).sum::<f64>() / n;
            (mean(|p| p.time) - start, mean(|p| p.signal))
        })
        .collect()
}
