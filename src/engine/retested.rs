//! What of a test was walked again after a repair: a retest may come to its proof by another way than the test that found
//! the cause, and then it is not said that all of it was repeated.

use super::job::{How, Job, Repair, Run, Station, Visit};
use crate::flow::model::{Phase, Step};

impl Job {
    /// The steps that found a cause whose repair was made, and of which no later test has walked any, in the order of the
    /// repairs: of each the last. Where nothing shows any more a way is shorter, so that one of them is enough.
    pub fn not_walked_again(&self) -> Vec<&Step> {
        let mut out: Vec<&Step> = Vec::new();
        for repair in self.repairs.iter().filter(|r| r.done.is_some()) {
            let Some((run, steps)) = self.found_at(repair) else {
                continue;
            };
            let again = |step: &&Step| {
                let mut runs = self.runs.iter().filter(|r| r.flow.id == run.flow.id);
                runs.any(|other| walks(other, step, repair.test))
            };
            let last = steps.last().filter(|_| !steps.iter().any(again));
            if let Some(step) = last.filter(|step| out.iter().all(|known| known.id != step.id)) {
                out.push(step);
            }
        }
        out
    }

    /// The steps before a repair, in its test, that fed or searched and read something; where there is none, the last one
    /// that read anything.
    fn found_at(&self, repair: &Repair) -> Option<(&Run, Vec<&Step>)> {
        let is_here = |visit: &Visit| visit.since_seq == repair.visit;
        let run = self.runs.iter().find(|run| run.path.iter().any(is_here))?;
        let before = run.path.iter().take_while(|visit| !is_here(visit));
        let own = before.filter(|visit| visit.test == repair.test);
        let read = own.filter(|visit| self.taken_in(visit.since_seq).next().is_some());
        let steps: Vec<&Step> = read
            .filter_map(|visit| match &visit.station {
                Station::Step(id) => run.flow.step(id),
                _ => None,
            })
            .collect();
        let finds = |step: &&&Step| matches!(step.phase, Phase::Pressurise | Phase::Inspect);
        let found: Vec<&Step> = steps.iter().filter(finds).copied().collect();
        let last = || steps.last().copied().into_iter().collect();
        Some((run, if found.is_empty() { last() } else { found }))
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
