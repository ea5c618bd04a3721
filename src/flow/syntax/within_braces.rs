//! Slips within one set of braces, or right in front of it, that the reader takes for something else.

use super::marks::is_key;
use super::slips::quoted;
use super::{Slip, Spot};

/// A key, a blank and its braces, with the colon left out: `not-listed {odds: 10 %}`.
pub(super) fn no_colon_in_front(spot: &Spot) -> Option<Slip> {
    spot.before_second_value()?;
    let words = spot.line.trim_start().trim_start_matches("- ");
    let (key, keys) = words.split_once(" {")?;
    let is_id = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
    if key.is_empty() || !key.chars().all(is_id) {
        return None;
    }
    let start = spot.line_start + spot.line.len() - words.len();
    Some(Slip {
        start,
        end: start + key.len(),
        message: format!("there is no colon after `{key}`"),
        help: format!("write {key}: {{{keys}"),
    })
}

/// A bracket is closed, and the next key follows without a comma: `{is: dry}} because: It is dry`.
pub(super) fn no_comma_behind(spot: &Spot) -> Option<Slip> {
    let before = spot.before_second_value()?;
    let closed = before.trim_end();
    let bracket = closed.chars().last().filter(|c| matches!(c, '}' | ']'))?;
    let rest = spot.text.get(spot.at..spot.line_start + spot.line.len())?;
    let (key, _) = rest.trim_start().split_once(':')?;
    let key = key.trim();
    if !is_key(key) {
        return None;
    }
    let end = spot.line_start + closed.len();
    Some(Slip {
        start: end - bracket.len_utf8(),
        end: spot.at + rest.find(':').unwrap_or(0),
        message: format!("there is no comma before `{key}`"),
        help: format!("write a comma behind the {bracket}: {bracket}, {key}: ..."),
    })
}

/// A text within braces that begins with a hyphen.
pub(super) fn hyphen_first(spot: &Spot) -> Option<Slip> {
    if !spot.says(&["only valid inside a block"]) {
        return None;
    }
    let before = spot.text.get(spot.line_start..spot.at)?;
    let rest = spot.text.get(spot.at..spot.line_start + spot.line.len())?;
    if !before.ends_with(": ") || !before.contains('{') || !rest.starts_with("- ") {
        return None;
    }
    let value = rest.split([',', '}']).next()?.trim_end();
    Some(Slip {
        start: spot.at,
        end: spot.at + value.len(),
        message: "a text that begins with a hyphen must stand in quotes".to_owned(),
        help: format!("write {}, or leave the hyphen out", quoted(value)),
    })
}

/// The first key of a block has no colon, so that the one below it seems to be indented for nothing.
pub(super) fn no_colon_above(spot: &Spot) -> Option<Slip> {
    let before = spot.before_second_value()?;
    if before.contains(": ") {
        return None;
    }
    let above = spot
        .text
        .get(..spot.line_start)?
        .trim_end_matches(['\n', '\r']);
    let start = above.rfind('\n').map_or(0, |at| at + 1);
    let line = above.get(start..)?;
    let indent = |line: &str| line.len() - line.trim_start().len();
    let words = line.trim();
    let (key, value) = words.split_once(' ')?;
    if indent(line) != indent(spot.line) || words.contains(':') || !is_key(key) {
        return None;
    }
    let start = start + indent(line);
    Some(Slip {
        start,
        end: start + words.len(),
        message: "there is no colon in this line".to_owned(),
        help: format!("write {key}: {}", value.trim()),
    })
}
