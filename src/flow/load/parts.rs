//! The parts that the repair of a cause takes. What is no part is said here: on the order it would be an empty line, or be
//! missing from it.

use super::super::finding::code;
use super::super::node::{Node, Tree};
use super::fields::{Fields, Findings, words_of};
use super::unknown::{NO_BRACKETS, words_without_brackets};

/// The key.
const PARTS: &str = "parts";
/// How a part begins of which the one before it does as well.
const OR: &str = "or ";

/// A part as it is ordered, without the word that it stands in the stead of the one before it.
pub fn bare(part: &str) -> &str {
    part.strip_prefix(OR).unwrap_or(part).trim()
}

/// Loads the parts of a cause; of what is not listed there are none.
pub(super) fn parts(fields: &Fields, listed: bool, out: &mut Findings) -> Vec<String> {
    let Some(node) = fields.get(PARTS) else {
        return Vec::new();
    };
    if !listed {
        out.warning(
            code::WRONG_SHAPE,
            node.place,
            "what nobody thought of has no repair, and no parts are ordered for it",
            "take `parts` out",
        );
        return Vec::new();
    }
    let Tree::List(items) = &node.tree else {
        no_list(node, out);
        return Vec::new();
    };
    if items.is_empty() {
        out.error(
            code::NO_VALUE,
            node.place,
            "`parts` names no part",
            "write the parts, such as parts: [hose, clamp], or take `parts` out",
        );
    }
    let mut parts: Vec<String> = Vec::new();
    for item in items {
        if let Some(part) = part_of(item, parts.last(), out) {
            said_twice(&part, &parts, item, out);
            parts.push(part);
        }
    }
    parts
}

/// Reports parts that stand in no list.
fn no_list(node: &Node, out: &mut Findings) {
    let Some(text) = node.text() else {
        out.error(
            code::WRONG_SHAPE,
            node.place,
            format!("`parts` is a list of words, but here is {}", node.kind()),
            "write the parts between square brackets, such as parts: [hose, clamp]",
        );
        return;
    };
    // Several words of which each may be a part of its own are reported with their commas.
    if words_without_brackets(node, PARTS, out).is_none() {
        let help = match text.trim() {
            "" => "parts: [hose, clamp]".to_owned(),
            text => format!("parts: [{text}]"),
        };
        out.error(
            code::WRONG_SHAPE,
            node.place,
            format!("`{PARTS}` is a list, and {NO_BRACKETS}"),
            format!("write {help}"),
        );
    }
}

/// One part, or a finding.
fn part_of(item: &Node, before: Option<&String>, out: &mut Findings) -> Option<String> {
    let Some(text) = item.text() else {
        no_words(item, out);
        return None;
    };
    let part = text.trim();
    let name = if part == OR.trim() { "" } else { bare(part) };
    if !name.chars().any(char::is_alphabetic) {
        let (message, help) = if name.is_empty() {
            (
                "here the name of a part is missing".to_owned(),
                "write it, or take the empty place out",
            )
        } else {
            (
                format!("`{name}` names no part"),
                "write its name with it, such as 2 clamps",
            )
        };
        out.error(code::WRONG_SHAPE, item.place, message, help);
        return None;
    }
    match before {
        None if part.starts_with(OR) => out.warning(
            code::WRONG_SHAPE,
            item.place,
            format!("`{part}` has no part before it in whose stead it would do"),
            format!("take `or` out, or write the other part before it: parts: [hose, {part}]"),
        ),
        // A comma within a part has cut it into two.
        Some(before) if is_condition(part) => out.warning(
            code::WRONG_SHAPE,
            item.place,
            format!("a comma parts `{part}` from `{before}`, and it would be ordered as a part of its own"),
            format!("put both in quotes: \"{before}, {part}\""),
        ),
        _ => {}
    }
    Some(part.to_owned())
}

fn no_words(item: &Node, out: &mut Findings) {
    let help = match &item.tree {
        Tree::List(inner) => {
            let mut within = Findings::default();
            let words = words_of(item, PARTS, &mut within);
            let words: Vec<String> = words.into_iter().map(|(word, _)| word).collect();
            if within.0.is_empty() && !inner.is_empty() {
                format!("take the inner brackets out: {}", words.join(", "))
            } else {
                "write the name of one part in its place".to_owned()
            }
        }
        Tree::Empty => "write the name of a part, or take the empty place out".to_owned(),
        _ => "write the name of one part; in quotes where it holds a colon or a bracket".to_owned(),
    };
    out.error(
        code::WRONG_SHAPE,
        item.place,
        format!("a part is some words, but here is {}", item.kind()),
        help,
    );
}

/// Whether words say when a part is needed, and name none.
fn is_condition(part: &str) -> bool {
    let first = part.split_whitespace().next().unwrap_or_default();
    ["if", "unless", "when", "where"].contains(&first)
}

fn said_twice(part: &str, parts: &[String], item: &Node, out: &mut Findings) {
    let same = |known: &&String| bare(known).to_lowercase() == bare(part).to_lowercase();
    if parts.iter().any(|known| same(&known)) {
        out.warning(
            code::SAME_ID,
            item.place,
            format!("`{}` stands in these parts twice", bare(part)),
            "take one of the two out, or write the part that was meant",
        );
    }
}
