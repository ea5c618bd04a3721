//! Where the walk goes on when a step is skipped.
//!
//! A step that was not done decides nothing, so the engine does not guess: its author says where a
//! skip leads; or all its outcomes lead to one place; or the technician says where to go on. A skip
//! names no cause and ends no flow: that is an outcome, taken with a reason.

use crate::flow::model::Step;
use crate::flow::target::Target;

/// Where a skip leads.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Ways {
    /// There.
    To(Target),
    /// To one of these, as the technician says.
    Choose(Vec<Target>),
    /// Nowhere: every outcome of the step repairs something or ends the flow.
    Nowhere,
}

/// Where a skip of a step leads.
pub fn ways(step: &Step) -> Ways {
    if let Some(go) = &step.skip_to {
        return Ways::To(go.clone());
    }
    let itself = Target::Step(step.id.clone());
    let mut led: Vec<&Target> = Vec::new();
    for outcome in step.outcomes.iter().filter(|outcome| outcome.go != itself) {
        if !led.contains(&&outcome.go) {
            led.push(&outcome.go);
        }
    }
    let onward: Vec<Target> = led
        .iter()
        .filter(|go| matches!(go, Target::Step(_) | Target::Flow(_)))
        .map(|go| (*go).clone())
        .collect();
    match (led.len(), onward.as_slice()) {
        (_, []) => Ways::Nowhere,
        (1, [only]) => Ways::To(only.clone()),
        _ => Ways::Choose(onward),
    }
}
