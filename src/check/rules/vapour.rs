//! Whoever feeds gas into a fuel-vapour system has read that it burns.
//!
//! Where a flow's `system` is fuel vapour, one of the cautions about it must be accepted before
//! gas is fed in: for the whole flow, at that step, or at a step before it on every way there.
//!
//! Example: `system: fuel vapour` with `cautions: [fuel-vapour]` at the top of the flow.

use super::paths::reached_without;
use crate::flow::finding::{Finding, code};
use crate::flow::model::{Flow, Phase, Step};

/// The cautions that say that fuel vapour burns; the first is the one to be proposed.
const CAUTIONS: [&str; 2] = ["fuel-vapour", "no-ignition"];

pub fn check(flow: &Flow) -> Option<Finding> {
    let system = flow.system.to_lowercase();
    let concerned = system.contains("vapour") || system.contains("vapor");
    if !concerned || warns(&flow.cautions) {
        return None;
    }
    let unwarned = reached_without(flow, |step| warns(&step.cautions));
    // One finding: one line at the top of the flow answers for all of them.
    let step = flow.steps.iter().find(|step| {
        feeds(step) && !warns(&step.cautions) && unwarned.contains(step.id.as_str())
    })?;
    Some(Finding::error(
        code::NO_CAUTION,
        step.place,
        format!(
            "`{}` feeds gas into fuel vapour, but nobody has been told to keep fire away",
            step.id
        ),
        format!("add `cautions: [{}]` at the top of the flow", CAUTIONS[0]),
    ))
}

fn warns(cautions: &[String]) -> bool {
    cautions.iter().any(|id| CAUTIONS.contains(&id.as_str()))
}

fn feeds(step: &Step) -> bool {
    step.phase == Phase::Pressurise || step.set_up.as_ref().is_some_and(|s| s.supply.is_some())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_cautions_asked_for_are_in_the_list_of_cautions() {
        for id in CAUTIONS {
            assert!(crate::flow::cautions::find(id).is_some(), "{id}");
        }
    }
}
