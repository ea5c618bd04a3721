//! Beginning an exercise with the flows that are at hand.

use super::drawn::find;
use super::exercise::{Exercise, check_level};
use super::start::start;
use crate::engine::action::FlowText;
use crate::engine::event::What;
use crate::flow::load::nearest;
use crate::flow::shelf::Shelf;
use crate::plant::plan::Plan;

/// What is said of a flow that is not at hand: those that are, and what it may have been meant for.
fn not_there(shelf: &Shelf, flow: &str) -> String {
    let ids: Vec<&str> = shelf.iter().map(|s| s.flow.id.as_str()).collect();
    let meant =
        nearest(flow, &ids).map_or_else(String::new, |id| format!(" (did you mean `{id}`?)"));
    format!(
        "the flow `{flow}` of this exercise is not on the shelf{meant}; there are: {}. One of your own: name its folder \
         with --flows DIR",
        ids.join(", ")
    )
}

/// The first events of an exercise.
///
/// # Errors
/// Why it cannot be begun, with what to do.
pub fn begin(shelf: &Shelf, exercise: &Exercise) -> Result<Vec<What>, String> {
    check_level(exercise.level).map_err(|error| error.to_string())?;
    let Some(shelved) = shelf.find(&exercise.flow) else {
        return Err(not_there(shelf, &exercise.flow));
    };
    let plan = Plan::of(&shelved.flow);
    let (drawn, _) =
        find(&plan, exercise.seed, exercise.level).map_err(|error| error.to_string())?;
    let text = FlowText {
        id: shelved.flow.id.clone(),
        revision: shelved.flow.revision,
        hash: shelved.hash.clone(),
        text: shelved.text.clone(),
    };
    Ok(start(&plan, exercise, &drawn, text))
}
