//! Curly quotes around a value, as a word processor or a page that was copied gives them: to YAML they are letters
//! like any others. Knows the tree, nothing of what keys mean.

use super::super::finding::{Finding, Severity, code};
use super::super::node::{Node, Tree};

/// What opens such a text, and what closes it.
const OPEN: [char; 5] = ['\u{201c}', '\u{201d}', '\u{201e}', '\u{ab}', '\u{bb}'];

/// Says of every value that stands between curly quotes what to write: in the place of what was found wrong with
/// it, or as a warning.
pub fn quotes(node: &Node, findings: &mut Vec<Finding>) {
    match &node.tree {
        Tree::Empty => {}
        Tree::List(items) => items.iter().for_each(|item| quotes(item, findings)),
        Tree::Map(pairs) => pairs.iter().for_each(|(_, value)| quotes(value, findings)),
        Tree::Text(text) => {
            let Some(inside) = inside(text) else { return };
            let message = format!(
                "the curly quotes around `{inside}` are letters of it, and hold nothing together"
            );
            let help = format!("write it without them, or with straight ones: \"{inside}\"");
            let of_it = |found: &&mut Finding| {
                found.severity == Severity::Error && found.place.start == node.place.start
            };
            match findings.iter_mut().find(of_it) {
                Some(found) => (found.message, found.help) = (message, help),
                None => findings.push(Finding::warning(
                    code::WRONG_SHAPE,
                    node.place,
                    message,
                    help,
                )),
            }
        }
    }
}

/// The words between curly quotes, where the whole text stands between them.
fn inside(text: &str) -> Option<&str> {
    let inside = text.trim().strip_prefix(OPEN)?.strip_suffix(OPEN)?;
    (!inside.is_empty() && !inside.contains(OPEN)).then_some(inside)
}
