//! Why a condition is neither met nor missed: what it looks at is not there.

use super::choice::{name, once};
use super::condition::Condition;
use super::model::{Flow, Step};
use super::values::Value;
use super::working::Picture;

/// Why a condition cannot be judged.
pub enum Unsettled {
    /// A calculation refused its inputs, in words.
    Refused(String),
    /// These readings are still to be taken.
    Missing(Vec<String>),
    /// What it hangs on could not be told, or was left out: in words, each thing once.
    InDoubt(Vec<String>),
}

/// Why a condition that comes to [`super::condition::Truth::Unknown`] at a step does so.
///
/// A calculation that refuses comes first, since no reading mends that; then what is still to be
/// read; and last what nobody will read any more.
pub fn unsettled(flow: &Flow, step: &Step, condition: &Condition, picture: &Picture) -> Unsettled {
    let subjects = condition.subjects();
    for id in &subjects {
        if let Some(Value::Refused(why)) = picture.values.get(id) {
            return Unsettled::Refused(format!("{} cannot be worked: {why}", name(flow, id)));
        }
    }
    let missing = subjects.iter().flat_map(|id| missing(flow, id, picture));
    let missing = once(missing.collect());
    if !missing.is_empty() {
        return Unsettled::Missing(missing);
    }
    let doubts = subjects
        .iter()
        .filter_map(|id| doubt(flow, step, id, picture));
    Unsettled::InDoubt(once(doubts.collect()))
}

/// The readings and facts that must still be taken for a value.
fn missing(flow: &Flow, id: &str, picture: &Picture) -> Vec<String> {
    let to_be_taken = |id: &String| picture.values.get(id).is_none() && !may_be_left_out(flow, id);
    match picture.missing.get(id) {
        Some(ids) => ids.iter().filter(|id| to_be_taken(id)).cloned().collect(),
        None if flow.prompt(id).is_some() && to_be_taken(&id.to_owned()) => vec![id.to_owned()],
        None => Vec::new(),
    }
}

fn may_be_left_out(flow: &Flow, id: &str) -> bool {
    flow.prompt(id).is_some_and(|prompt| prompt.optional)
}

/// What keeps a value from being known, in words; nothing where it is known.
fn doubt(flow: &Flow, step: &Step, id: &str, picture: &Picture) -> Option<String> {
    let said = |id: &str| match picture.values.get(id) {
        Some(Value::Untold) => format!("{} could not be told", name(flow, id)),
        _ if step.record.iter().any(|read| read == id) => {
            format!("{} was left out", name(flow, id))
        }
        _ => format!("{} was not read", name(flow, id)),
    };
    let since = |ids: &[String]| {
        let why: Vec<String> = ids.iter().map(|id| said(id)).collect();
        Some(format!(
            "{} is not known, since {}",
            name(flow, id),
            why.join(" and ")
        ))
    };
    match picture.values.get(id) {
        Some(Value::LeftOut) => since(picture.left_out.get(id)?),
        Some(Value::Untold) => Some(said(id)),
        Some(_) => None,
        None => match picture.missing.get(id) {
            Some(ids) => since(ids),
            None if flow.prompt(id).is_some() => Some(said(id)),
            // Its calculation does not settle this result with these readings.
            None => Some(format!(
                "{} cannot be told from these readings",
                name(flow, id)
            )),
        },
    }
}
