//! Beginning an exercise with the flows that are at hand.

use super::drawn::find;
use super::exercise::{Exercise, check_level};
use super::start::start;
use crate::engine::action::FlowText;
use crate::engine::event::What;
use crate::flow::shelf::Shelf;
use crate::plant::plan::Plan;

/// The first events of an exercise.
///
/// # Errors
/// Why it cannot be begun, with what to do.
pub fn begin(shelf: &Shelf, exercise: &Exercise) -> Result<Vec<What>, String> {
    check_level(exercise.level).map_err(|error| error.to_string())?;
    let Some(shelved) = shelf.find(&exercise.flow) else {
        return Err(format!(
            "the flow `{}` of this exercise is not on the shelf; name its folder with --flows DIR",
            exercise.flow
        ));
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
