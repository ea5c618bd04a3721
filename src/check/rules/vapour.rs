//! Whoever works on a fuel-vapour system has read that it burns.
//!
//! A flow whose `system` is fuel vapour must have the caution `no-ignition`, either for the whole
//! flow or before its first step that feeds anything in.

use crate::flow::finding::{Finding, code};
use crate::flow::model::{Flow, Phase, Step};

const CAUTION: &str = "no-ignition";

pub fn check(flow: &Flow) -> Vec<Finding> {
    let system = flow.system.to_lowercase();
    if !system.contains("vapour") && !system.contains("vapor") {
        return Vec::new();
    }
    let has = |cautions: &[String]| cautions.iter().any(|id| id == CAUTION);
    if has(&flow.cautions) {
        return Vec::new();
    }
    let feeds = |step: &&Step| {
        step.phase == Phase::Pressurise || step.set_up.as_ref().is_some_and(|s| s.supply.is_some())
    };
    let first = flow.steps.iter().find(feeds).or(flow.steps.first());
    first
        .filter(|step| !has(&step.cautions))
        .map(|step| {
            Finding::error(
                code::NO_CAUTION,
                step.place,
                "this flow works on fuel vapour, but nobody is told to keep fire away",
                format!("add `cautions: [{CAUTION}]` at the top of the flow"),
            )
        })
        .into_iter()
        .collect()
}
