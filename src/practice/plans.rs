//! Plans of the flows that are practised, each made once and kept while the program runs.
//!
//! A plan borrows from its flow and a simulated car from its plan, so a car can be kept beside the events of its
//! exercise only if both stay where they are. Nobody practises more than a few flows at a time, and each takes some
//! hundred kilobytes at most.

use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};

use crate::engine::event::{Event, What};
use crate::flow::kept::kept;
use crate::plant::plan::Plan;

use super::session::exercise;

/// The plan of the flow that is practised, as its text was when the exercise began. `None` where the events are of
/// no exercise, or the text cannot be read.
pub fn plan(events: &[Event]) -> Option<&'static Plan<'static>> {
    static PLANS: Mutex<BTreeMap<String, &'static Plan<'static>>> = Mutex::new(BTreeMap::new());
    let exercise = exercise(events)?;
    let text = events.iter().find_map(|event| match &event.what {
        What::FlowBegun { flow, text, .. } if *flow == exercise.flow => Some(text),
        _ => None,
    })?;
    let mut plans = PLANS.lock().unwrap_or_else(PoisonError::into_inner);
    if let Some(plan) = plans.get(text) {
        return Some(plan);
    }
    let flow = Box::leak(Box::new(kept(text).ok()?));
    let plan: &'static Plan = Box::leak(Box::new(Plan::of(flow)));
    plans.insert(text.clone(), plan);
    Some(plan)
}
