//! Which causes were ruled out along the way walked.

use super::job::{How, Job, Left, Run, outcome_of};
use super::judge::picture_at;
use crate::flow::condition::Truth;
use crate::flow::model::Cause;

impl Job {
    /// Causes that were ruled out along the way walked, with the flow and the reason given. What an outcome rules
    /// out under a condition counts where the readings taken there say that it holds, and nowhere else; and what was
    /// repaired or found after all is not said to be ruled out.
    pub fn ruled_out(&self) -> Vec<(&Run, &Cause, &str)> {
        let mut out: Vec<(&Run, &Cause, &str)> = Vec::new();
        let found = self.found();
        for run in &self.runs {
            for visit in run.walked() {
                let Some(Left {
                    how: How::Outcome(taken),
                    ..
                }) = &visit.left
                else {
                    continue;
                };
                let Some(outcome) = outcome_of(run, taken) else {
                    continue;
                };
                let mut ids: Vec<&str> = outcome.rules_out.iter().map(String::as_str).collect();
                if !outcome.rules_out_if.is_empty() {
                    let values = picture_at(self, run, visit).values;
                    let holds = outcome.rules_out_if.iter();
                    let holds = holds.filter(|out| out.when.truth(&values) == Truth::Yes);
                    ids.extend(holds.map(|out| out.cause.as_str()));
                }
                for cause in ids.into_iter().filter_map(|id| run.flow.cause(id)) {
                    let repaired = self.repairs.iter().any(|repair| repair.cause == cause.id);
                    let found = found.iter().any(|found| found.cause.id == cause.id);
                    if !repaired && !found && !out.iter().any(|(_, known, _)| known.id == cause.id)
                    {
                        out.push((run, cause, &outcome.because));
                    }
                }
            }
        }
        out
    }
}
