//! Signs with which no plain value, or no item of a list, begins.

use super::slips::quoted;
use super::{Slip, Spot};
use crate::flow::load::{meant, nearest};

/// A value that begins with a sign of YAML's own, or with a letter that is not seen.
pub(super) fn character(spot: &Spot) -> Option<Slip> {
    let marks = [
        "unexpected character",
        "reference to unknown value",
        "scanning an anchor or alias",
        "block sequence entries are not allowed",
        "mapping keys are not allowed in this context",
    ];
    if !spot.says(&marks) {
        return None;
    }
    let rest = spot.text.get(spot.at..spot.line_start + spot.line.len())?;
    let hidden = rest.char_indices().find(|(_, c)| c.is_control());
    if let Some((at, c)) = hidden {
        return Some(Slip {
            start: spot.at + at,
            end: spot.at + at + c.len_utf8(),
            message: "there is an invisible character here".to_owned(),
            help: "delete the word and type it again".to_owned(),
        });
    }
    let c = rest.chars().next()?;
    let value = rest
        .split([',', '}', ']'])
        .next()
        .unwrap_or(rest)
        .trim_end();
    let alone = |name: &&str| !name.is_empty() && !name.contains(' ');
    if let Some(name) = value.strip_prefix('*').filter(alone) {
        return Some(Slip {
            start: spot.at,
            end: spot.at + value.len(),
            message: format!("`*{name}` repeats what is marked &{name}, and nothing above is"),
            help: match marked(spot.text, name) {
                Some(near) => format!("did you mean *{near}?"),
                None => {
                    "write it out here; where it was copied from another flow, copy what it stands for"
                        .to_owned()
                }
            },
        });
    }
    // Inside braces of its own, the sign stands where the check's word does.
    let in_braces = spot.text.get(..spot.at)?.trim_end().ends_with('{');
    let help = match as_check(value) {
        Some(check) if in_braces => format!("write {check}"),
        Some(check) => format!("write {{{check}}}"),
        None => format!("put it in quotes: {}", quoted(value)),
    };
    Some(Slip {
        start: spot.at,
        end: spot.at + value.len(),
        message: format!("a value cannot begin with {c}"),
        help,
    })
}

/// The mark in a text that is nearest to a name.
fn marked<'t>(text: &'t str, name: &str) -> Option<&'t str> {
    let mut marks = Vec::new();
    for piece in text.split(" &").skip(1) {
        let end =
            piece.find(|c: char| c.is_whitespace() || matches!(c, ',' | '{' | '}' | '[' | ']'));
        marks.push(piece.get(..end.unwrap_or(piece.len()))?);
    }
    nearest(name, &marks)
}

/// `> 10 mm` or `>=: 95 %` as a check in words.
fn as_check(value: &str) -> Option<String> {
    let figure = value.trim_start_matches(['>', '<', '=']);
    let sign = value.strip_suffix(figure)?;
    let figure = figure.trim_start_matches([':', ' ']);
    let is_number = figure.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '-' | '.'));
    let check = meant::check(sign).filter(|_| !sign.is_empty() && is_number)?;
    Some(format!("{check}: {figure}"))
}

/// `> 90 %` for a check or a range: to the library a folded text begins there.
pub(super) fn sign_first(spot: &Spot) -> Option<Slip> {
    if !spot.says(&["scanning a block scalar"]) {
        return None;
    }
    let at = spot.line.find(": >").or_else(|| spot.line.find(": |"))? + 2;
    let value = spot.line.get(at..)?.trim_end();
    let figure = value.trim_start_matches(['>', '|', '=', ' ']);
    Some(Slip {
        start: spot.line_start + at,
        end: spot.line_start + at + value.len(),
        message: format!("a value cannot begin with {}", &value[..1]),
        help: format!(
            "for a check write {{above: {figure}}}; for a range write both its ends, as {figure} .. 200 %; a long text begins \
             in the next line"
        ),
    })
}

/// A list whose items begin with another sign than a hyphen: `* id: hold`, or a dash of a word processor.
pub(super) fn bullet(spot: &Spot) -> Option<Slip> {
    let (start, _) = spot.words();
    let words = spot.line.trim();
    let sign = words.chars().next()?;
    let signs = ['*', '+', '\u{2022}', '\u{2013}', '\u{2014}', '\u{2212}'];
    let item = words.strip_prefix(signs)?.strip_prefix(' ')?;
    Some(Slip {
        start,
        end: start + sign.len_utf8(),
        message: format!("an item of a list begins with a hyphen, and here is {sign}"),
        help: format!("write - {}", item.trim_start())
            .chars()
            .take(120)
            .collect(),
    })
}
