//! No way leads on to the very flow that it is in.
//!
//! It would begin again at its first step with nothing read, and come to the same place.

use crate::flow::finding::{Finding, code};
use crate::flow::model::{Flow, Step};
use crate::flow::place::Place;
use crate::flow::target::Target;

pub fn check(flow: &Flow) -> Vec<Finding> {
    let ways = flow.steps.iter().flat_map(ways);
    let own = ways.filter(|(go, _)| matches!(go, Target::Flow(id) if *id == flow.id));
    own.map(|(_, place)| itself(flow, place)).collect()
}

fn ways(step: &Step) -> impl Iterator<Item = (&Target, Place)> {
    let outcomes = step.outcomes.iter().map(|o| (&o.go, o.place));
    let detours = step.unsure.iter().chain(&step.invalid);
    outcomes.chain(detours.map(|detour| (&detour.go, detour.place)))
}

fn itself(flow: &Flow, place: Place) -> Finding {
    let (id, first) = (&flow.id, flow.steps.first());
    let first = first.map_or("first-step", |step| step.id.as_str());
    Finding::warning(
        code::GOES_ROUND,
        place,
        format!("this leads on to `{id}`, which is this very flow: all of it would begin again"),
        format!("name another flow; or, to begin again, a step of this one, such as go: {first}"),
    )
}
