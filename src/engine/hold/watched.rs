//! How the gauge went while a hold of the past ran.
//!
//! The samples are not in the fit: an outcome rests on readings that every hold has, and not on how often somebody
//! looked. They show beside it whether the curve that two readings settle is the one that the gauge took.

use super::{ends, gauge};
use crate::engine::job::{Job, Run, Visit};
use crate::flow::model::Work;

impl Job {
    /// Samples of the hold that a `decay` was worked from at a visit: time in s as the decay counts it, and pressure in
    /// Pa above the air around, below zero for a vacuum. None where the calculation is another, or none was taken.
    pub fn watched(&self, run: &Run, visit: &Visit, work: &Work) -> Vec<(f64, f64)> {
        self.samples_of(run, visit, work).unwrap_or_default()
    }

    fn samples_of(&self, run: &Run, visit: &Visit, work: &Work) -> Option<Vec<(f64, f64)>> {
        if work.calculation.name != "decay" {
            return None;
        }
        let (from, to) = ends(work, "at")?;
        let (start, vacuum) = gauge(&run.flow, &from.1)?;
        let (end, _) = gauge(&run.flow, &to.1)?;
        let taken = self.taken_in(visit.since_seq);
        let began = taken.filter(|taken| taken.reading == start).last()?.at;
        let began = visit.clock.map_or(began, |again| again.max(began));
        let sign = if vacuum { -1.0 } else { 1.0 };
        let samples = self.samples_in(visit.since_seq, end, began);
        let placed = samples.map(|s| (from.0 + s.after.si(), sign * s.value.si()));
        Some(placed.collect())
    }
}
