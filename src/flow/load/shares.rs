//! A share whose unit is not said is shown as the flow speaks of it: in per cent where its limits and
//! ranges are.

use super::super::condition::{Check, Condition};
use super::super::model::{Flow, Step};
use super::super::node::Node;
use super::super::signature::Shown;
use crate::units::{Dimension, Unit};

/// Sets the unit of worked shares that have none of their own.
pub(super) fn in_percent(worked: Option<&Node>, flow: &mut Flow) {
    let percent = Unit::default_for(Dimension::Ratio);
    let has_own =
        |id: &str| worked.is_some_and(|w| w.below(id).is_some_and(|n| n.below("unit").is_some()));
    let meant: Vec<String> = flow
        .worked
        .iter()
        .filter(|work| work.unit.is_some_and(|u| u.dimension() == Dimension::Ratio))
        .filter(|work| !has_own(&work.id) && spoken_of(flow, &work.id, percent))
        .map(|work| work.id.clone())
        .collect();
    for work in &mut flow.worked {
        if meant.contains(&work.id) {
            work.unit = Some(percent);
        }
    }
}

/// Whether the flow speaks of a value in a unit, in a condition or in what is shown.
fn spoken_of(flow: &Flow, id: &str, unit: Unit) -> bool {
    let mut conditions = flow.steps.iter().flat_map(Step::conditions);
    let shows = flow.causes.iter().flat_map(|cause| &cause.shows);
    let mut shows = flow.healthy.iter().chain(shows);
    conditions.any(|condition| limits(condition, id, unit))
        || shows.any(|shows| {
            shows.id == id && matches!(&shows.what, Shown::Range(_, to) | Shown::EitherWay(_, to) if to.unit() == unit)
        })
}

fn limits(condition: &Condition, id: &str, unit: Unit) -> bool {
    match condition {
        Condition::All(parts) | Condition::Any(parts) | Condition::None(parts) => {
            parts.iter().any(|part| limits(part, id, unit))
        }
        Condition::Test { subject, check } if subject == id => match check {
            Check::AtLeast(q) | Check::Above(q) | Check::AtMost(q) | Check::Below(q) => {
                q.unit() == unit
            }
            Check::Between(_, to) => to.unit() == unit,
            Check::Is(_) | Check::AnyOf(_) | Check::NoneOf(_) => false,
        },
        Condition::Test { .. } | Condition::Always => false,
    }
}
