//! Loading conditions, and checking each against what its subject can be.

use super::super::condition::{Check, Condition, NOWHERE};
use super::super::finding::code;
use super::super::node::{Node, Place, Tree};
use super::fields::{Findings, parse_quantity, text_of, words_of};
use super::scope::{Meaning, Scope};
use crate::units::{Dimension, Quantity, Unit};

const CHECKS: [&str; 8] = [
    "at least", "above", "at most", "below", "between", "is", "any of", "none of",
];

/// Loads a condition: `always`, or subjects with their checks, joined by `all`, `any`, `none`.
pub fn condition(node: &Node, scope: &Scope, out: &mut Findings) -> Option<Condition> {
    match &node.tree {
        Tree::Text(word) if word == "always" => Some(Condition::Always),
        Tree::Map(pairs) => {
            let mut parts = Vec::new();
            for (key, value) in pairs {
                parts.push(part(key, value, scope, out)?);
            }
            Some(match parts.len() {
                1 => parts.remove(0),
                _ => Condition::All(parts),
            })
        }
        _ => {
            out.error(
                code::WRONG_SHAPE,
                node.place,
                format!(
                    "a condition is `always` or a set of checks, but here is {}",
                    node.kind()
                ),
                "write for example {smoke-flow: {at least: 2 L/min}}",
            );
            None
        }
    }
}

fn part(key: &Node, value: &Node, scope: &Scope, out: &mut Findings) -> Option<Condition> {
    let word = key.text().unwrap_or_default();
    match word {
        "all" => Some(Condition::All(joined(value, scope, out)?)),
        "any" => Some(Condition::Any(joined(value, scope, out)?)),
        "none" => Some(Condition::None(joined(value, scope, out)?)),
        subject => {
            let Some(meaning) = scope.get(subject) else {
                out.unknown(
                    code::UNKNOWN_ID,
                    key.place,
                    "reading, fact or worked value",
                    subject,
                    scope.ids(),
                );
                return None;
            };
            checks(subject, meaning, value, out)
        }
    }
}

fn joined(node: &Node, scope: &Scope, out: &mut Findings) -> Option<Vec<Condition>> {
    let Tree::List(items) = &node.tree else {
        out.error(
            code::WRONG_SHAPE,
            node.place,
            format!(
                "`all`, `any` and `none` join a list, but here is {}",
                node.kind()
            ),
            "write one condition a line, each after a hyphen",
        );
        return None;
    };
    items
        .iter()
        .map(|item| condition(item, scope, out))
        .collect()
}

fn checks(subject: &str, meaning: &Meaning, node: &Node, out: &mut Findings) -> Option<Condition> {
    let Tree::Map(pairs) = &node.tree else {
        out.error(
            code::WRONG_SHAPE,
            node.place,
            format!("`{subject}` wants a check, but here is {}", node.kind()),
            format!(
                "write one of: {}; such as {}",
                CHECKS.join(", "),
                example(subject, meaning)
            ),
        );
        return None;
    };
    let mut tests = Vec::new();
    for (key, value) in pairs {
        let check = check(key, value, subject, meaning, out)?;
        tests.push(Condition::Test {
            subject: subject.to_owned(),
            check,
        });
    }
    Some(match tests.len() {
        1 => tests.remove(0),
        _ => Condition::All(tests),
    })
}

fn example(subject: &str, meaning: &Meaning) -> String {
    match meaning {
        Meaning::Number(_, unit) => format!("{subject}: {{at least: 2 {}}}", unit.name()),
        Meaning::Words(words) => {
            format!(
                "{subject}: {{is: {}}}",
                words.first().map_or("word", String::as_str)
            )
        }
        Meaning::Places(places) => {
            format!(
                "{subject}: {{any of: [{}]}}",
                places.first().map_or("place", String::as_str)
            )
        }
        Meaning::Pairs(..) => "a worked value made from it".to_owned(),
    }
}

fn check(
    key: &Node,
    value: &Node,
    subject: &str,
    meaning: &Meaning,
    out: &mut Findings,
) -> Option<Check> {
    let word = key.text().unwrap_or_default();
    if !CHECKS.contains(&word) {
        out.unknown(code::UNKNOWN_KEY, key.place, "check", word, CHECKS);
        return None;
    }
    let of_words = matches!(word, "is" | "any of" | "none of");
    match meaning {
        Meaning::Number(dimension, unit) if !of_words => {
            let limit = |node: &Node, out: &mut Findings| {
                bound(node, *dimension, unit.name(), subject, out)
            };
            match word {
                "at least" => limit(value, out).map(Check::AtLeast),
                "above" => limit(value, out).map(Check::Above),
                "at most" => limit(value, out).map(Check::AtMost),
                "below" => limit(value, out).map(Check::Below),
                _ => range(value, *dimension, unit.name(), subject, out)
                    .map(|(a, b)| Check::Between(a, b)),
            }
        }
        Meaning::Words(known) if of_words => words_check(word, value, known, None, out),
        Meaning::Places(known) if of_words => words_check(word, value, known, Some(NOWHERE), out),
        _ => {
            out.error(
                code::WRONG_SHAPE,
                key.place,
                format!(
                    "`{word}` does not fit `{subject}`, which is {}",
                    describe(meaning)
                ),
                format!("write for example {}", example(subject, meaning)),
            );
            None
        }
    }
}

fn describe(meaning: &Meaning) -> String {
    match meaning {
        Meaning::Number(dimension, _) => format!("a number ({dimension})"),
        Meaning::Words(_) => "a word".to_owned(),
        Meaning::Places(_) => "a set of places".to_owned(),
        Meaning::Pairs(..) => "a set of pairs".to_owned(),
    }
}

fn words_check(
    word: &str,
    value: &Node,
    known: &[String],
    extra: Option<&str>,
    out: &mut Findings,
) -> Option<Check> {
    let words = words_of(value, word, out);
    let mut fits = !words.is_empty();
    for (w, place) in &words {
        let free = known.is_empty() && extra.is_none();
        if !free && !known.contains(w) && Some(w.as_str()) != extra {
            out.unknown(
                code::UNKNOWN_WORD,
                *place,
                "choice",
                w,
                known.iter().map(String::as_str).chain(extra),
            );
            fits = false;
        }
    }
    if !fits {
        return None;
    }
    let mut words: Vec<String> = words.into_iter().map(|(w, _)| w).collect();
    match word {
        "is" if words.len() == 1 => Some(Check::Is(words.remove(0))),
        "is" => {
            out.error(
                code::WRONG_SHAPE,
                value.place,
                "`is` takes one word",
                "write `any of` for several",
            );
            None
        }
        "any of" => Some(Check::AnyOf(words)),
        _ => Some(Check::NoneOf(words)),
    }
}

fn bound(
    node: &Node,
    dimension: Dimension,
    unit: &str,
    subject: &str,
    out: &mut Findings,
) -> Option<Quantity> {
    // A count has no unit to write: `test-number: {at least: 2}`.
    let text = text_of(node, subject, out)?;
    let count = (dimension == Dimension::Count)
        .then(|| text.parse().ok())
        .flatten();
    let quantity = match count.and_then(|n| Quantity::new(n, Unit::default_for(dimension)).ok()) {
        Some(quantity) => quantity,
        None => parse_quantity(&text, node.place, subject, out)?,
    };
    fits(quantity, dimension, unit, subject, node.place, out).then_some(quantity)
}

fn range(
    node: &Node,
    dimension: Dimension,
    unit: &str,
    subject: &str,
    out: &mut Findings,
) -> Option<(Quantity, Quantity)> {
    let (from, to) = span(node, subject, out)?;
    let both = fits(from, dimension, unit, subject, node.place, out)
        && fits(to, dimension, unit, subject, node.place, out);
    both.then_some((from, to))
}

/// Whether a quantity has the dimension that is wanted; reports it otherwise.
pub fn fits(
    q: Quantity,
    dimension: Dimension,
    unit: &str,
    what: &str,
    place: Place,
    out: &mut Findings,
) -> bool {
    if q.dimension() == dimension {
        return true;
    }
    out.error(
        code::WRONG_DIMENSION,
        place,
        format!(
            "`{what}` is a {dimension}, but `{q}` is a {}",
            q.dimension()
        ),
        format!("write a {dimension}, such as 2 {unit}"),
    );
    false
}

/// Reads a range such as `0..30 kPa`, `-5 kPa..5 kPa` or `10 % .. 20 %`; the last unit serves both.
pub fn span(node: &Node, key: &str, out: &mut Findings) -> Option<(Quantity, Quantity)> {
    let text = text_of(node, key, out)?;
    let Some((from, to)) = text.split_once("..") else {
        out.error(
            code::BAD_QUANTITY,
            node.place,
            format!("`{key}` wants a range, not `{text}`"),
            "write the two ends with two points between them, such as 0..30 kPa",
        );
        return None;
    };
    let to = parse_quantity(to.trim(), node.place, key, out)?;
    let from = match from.trim().parse::<f64>() {
        Ok(number) if number.is_finite() => Quantity::new(number, to.unit()).ok()?,
        _ => parse_quantity(from.trim(), node.place, key, out)?,
    };
    if from.dimension() != to.dimension() || from.si() > to.si() {
        out.error(
            code::BAD_QUANTITY,
            node.place,
            format!("`{key}` runs from {from} to {to}"),
            "write the smaller end first, both in units of one kind",
        );
        return None;
    }
    Some((from, to))
}
