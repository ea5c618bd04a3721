//! What of a test was walked again after a repair: a retest may come to its proof by another way than the test that found
//! the cause, and then it is not said that all of it was repeated.

use super::job::{How, Job, Repair, Run, Station, Visit};
use crate::flow::model::Step;

impl Job {
    /// The steps by whose readings the way came to a repair that was made, and which no later test has walked again, in the
    /// order of the repairs.
    pub fn not_walked_again(&self) -> Vec<&Step> {
        let mut out: Vec<&Step> = Vec::new();
        for repair in self.repairs.iter().filter(|r| r.done.is_some()) {
            let Some((run, step)) = self.found_at(repair) else {
                continue;
            };
            let again =
                |other: &Run| other.flow.id == run.flow.id && walks(other, step, repair.test);
            if !self.runs.iter().any(again) && !out.iter().any(|known| known.id == step.id) {
                out.push(step);
            }
        }
        out
    }

    /// The last step before a repair at which something was read.
    fn found_at(&self, repair: &Repair) -> Option<(&Run, &Step)> {
        let is_here = |visit: &Visit| visit.since_seq == repair.visit;
        let run = self.runs.iter().find(|run| run.path.iter().any(is_here))?;
        let at = run.path.iter().position(is_here)?;
        let before = run.path.iter().take(at).rev();
        let mut read = before.filter(|visit| self.taken_in(visit.since_seq).next().is_some());
        match &read.next()?.station {
            Station::Step(id) => Some((run, run.flow.step(id)?)),
            _ => None,
        }
    }
}

/// Whether a walk has come through a step in a test after this one, and did not skip it.
fn walks(run: &Run, step: &Step, after: u32) -> bool {
    run.walked().iter().any(|visit| {
        let skipped = visit
            .left
            .as_ref()
            .is_some_and(|left| matches!(left.how, How::Skipped { .. }));
        visit.test > after && !skipped && visit.station == Station::Step(step.id.clone())
    })
}
