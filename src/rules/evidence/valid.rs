//! Readings that do not count, because their step was not valid, or because what they were taken in was not: smoke that
//! is seen while the gauge stands at nothing was not looked for under pressure.

use std::collections::BTreeSet;

use crate::engine::fitted::runs_engine;
use crate::flow::condition::Truth;
use crate::flow::model::{Flow, Phase, Step};
use crate::flow::order::before;
use crate::flow::values::Value;
use crate::flow::working::Picture;

/// The readings of a flow that do not count.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct NotValid {
    /// Their own step was not valid.
    own: BTreeSet<String>,
    /// They were taken in a set-up of which the readings were not valid.
    within: BTreeSet<String>,
}

impl NotValid {
    /// By what was read.
    pub(super) fn of(flow: &Flow, picture: &Picture) -> Self {
        let valid: Vec<Option<bool>> = flow.steps.iter().map(|s| is_valid(s, picture)).collect();
        let mut out = Self::default();
        if !valid.contains(&Some(false)) {
            return out;
        }
        let behind = before(flow, &picture.values);
        for (place, step) in flow.steps.iter().enumerate() {
            if valid[place] == Some(false) {
                out.own.extend(step.record.iter().cloned());
                continue;
            }
            let looks = matches!(step.phase, Phase::Pressurise | Phase::Inspect);
            if !looks || runs_engine(step) {
                continue;
            }
            // The nearest step under pressure that says when its readings count: it may have been put right since another.
            let fed = behind[place]
                .iter()
                .flatten()
                .copied()
                .filter(|n| flow.steps[*n].phase == Phase::Pressurise && valid[*n].is_some());
            let nearest = fed.max_by_key(|n| behind[*n].as_ref().map_or(0, BTreeSet::len));
            if nearest.is_some_and(|n| valid[n] == Some(false)) {
                out.within.extend(step.record.iter().cloned());
            }
        }
        out
    }

    /// Why something that rests on these readings does not count; nothing where it does.
    pub(super) fn of_any(&self, leaves: &BTreeSet<String>) -> Option<&'static str> {
        if leaves.iter().any(|leaf| self.own.contains(leaf)) {
            return Some("its step was not valid");
        }
        let within = leaves.iter().any(|leaf| self.within.contains(leaf));
        within.then_some("what it was seen in was not valid")
    }
}

/// Whether what was read at a step counts; nothing where it does not say when, or that is not known yet.
fn is_valid(step: &Step, picture: &Picture) -> Option<bool> {
    let condition = step.valid_when.as_ref()?;
    match condition.truth(&picture.values) {
        Truth::No | Truth::Straddles => Some(false),
        Truth::Yes => Some(true),
        Truth::Unknown => {
            let mut subjects = condition.subjects().into_iter();
            let untold = subjects.any(|id| matches!(picture.values.get(id), Some(Value::Untold)));
            untold.then_some(false)
        }
    }
}
