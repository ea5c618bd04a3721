//! Flow files that change while the screens are open.
//!
//! The shelf is exchanged as a whole. A job that runs keeps the text with which its flow began, which
//! lies in its record: nothing of the job looks at the shelf. A file that is broken now keeps its
//! last good flow at hand, and is named with the place of its first mistake.

use super::super::model::{Model, Over};
use super::super::theme::Role;
use crate::flow::finding::{Finding, Severity};
use crate::flow::shelf::{Rejected, Shelf};

/// Takes flows that were read anew.
pub fn changed(model: &mut Model, read: Result<Shelf, String>) {
    let mut shelf = match read {
        Ok(shelf) => shelf,
        Err(why) => {
            model.say(Role::Caution, format!("{why}: the flows stay as they were"));
            return;
        }
    };
    shelf.keep_from(&model.shelf);
    let (role, said) = match broken(&shelf.rejected) {
        Some(said) => (Role::Caution, said),
        None => (Role::Strong, news(&model.shelf, &shelf)),
    };
    model.shelf = shelf;
    // What was picked may stand in another line now.
    for over in &mut model.overs {
        if let Over::List { at, .. } = over {
            *at = None;
        }
    }
    model.say(role, said);
}

/// A line on the flows that have mistakes, with the place of the first.
pub fn broken(rejected: &[Rejected]) -> Option<String> {
    let first = rejected.first()?;
    let error = |finding: &&Finding| finding.severity == Severity::Error;
    let file = first.origin.rsplit(['/', '\\']).next().unwrap_or_default();
    let mut said = match first.findings.iter().find(error) {
        Some(mistake) => format!(
            "{file}:{}:{}: {}",
            mistake.place.line, mistake.place.column, mistake.message
        ),
        None => format!("{file} cannot be read"),
    };
    if rejected.len() > 1 {
        said = format!("{said} (and {} more files)", rejected.len() - 1);
    }
    Some(format!("{said}; see `ruleout check`"))
}

/// What is new on the shelf.
fn news(before: &Shelf, after: &Shelf) -> String {
    let changed = after.iter().filter(|flow| {
        before
            .find(&flow.flow.id)
            .is_none_or(|old| old.hash != flow.hash)
    });
    let changed: Vec<String> = changed
        .map(|flow| format!("{} (revision {})", flow.flow.id, flow.flow.revision))
        .collect();
    match &changed[..] {
        [] => "The flows were read anew.".to_owned(),
        [one] => format!("Read anew: {one}. A job that runs keeps the one it began with."),
        many => format!(
            "{} flows were read anew. A job that runs keeps those it began with.",
            many.len()
        ),
    }
}
