//! Loading conditions, and checking each against what its subject can be.

use super::super::condition::{Check, Condition, NOWHERE};
use super::super::finding::code;
use super::super::node::{Node, Tree};
use super::conditions_help::{describe, example, help_of, limit_that_is_read, names_a_number};
use super::fields::{Findings, words_of};
use super::meant;
use super::near::is_a_slip;
use super::quantities::{bound, cut_by_comma, is_cut_off, range};
use super::scope::{Meaning, Scope};
use super::unknown;

/// The checks, each with what it asks.
pub const CHECKS: [(&str, &str); 8] = [
    ("at least", "The value is this or more."),
    ("above", "The value is more than this."),
    ("at most", "The value is this or less."),
    ("below", "The value is less than this."),
    ("between", "The value lies in this range; both ends count."),
    ("is", "The word is this one; for places, it shows here."),
    (
        "any of",
        "The word is one of these; for places, it shows at one of them.",
    ),
    (
        "none of",
        "The word is none of these; for places, it shows at none of them.",
    ),
];
const CHECK_WORDS: [&str; 8] = {
    let mut words = [""; 8];
    let mut n = 0;
    while n < words.len() {
        words[n] = CHECKS[n].0;
        n += 1;
    }
    words
};

/// Loads a condition: `always`, or subjects with their checks, joined by `all`, `any`, `none`.
pub fn condition(node: &Node, scope: &Scope, out: &mut Findings) -> Option<Condition> {
    match &node.tree {
        Tree::Text(word) if word == "always" => Some(Condition::Always),
        Tree::Map(pairs) if matches!(&pairs[..], [(key, value)] if key.text().is_some_and(is_always) && value.tree == Tree::Empty) =>
        {
            out.error(
                code::WRONG_SHAPE,
                node.place,
                "`always` stands without braces",
                "write when: always",
            );
            None
        }
        Tree::Map(pairs) if pairs.is_empty() => {
            out.error(
                code::NO_VALUE,
                node.place,
                "this condition is empty, so it always fits",
                "write always if that is meant, or for example {smoke-flow: {at least: 2 L/min}}",
            );
            None
        }
        Tree::Map(pairs) => {
            let parts: Vec<_> = pairs
                .iter()
                .map(|(key, value)| part(key, value, scope, out))
                .collect();
            let mut parts: Vec<Condition> = parts.into_iter().collect::<Option<_>>()?;
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
                match node
                    .text()
                    .and_then(|text| meant::as_condition(text, |id| scope.get(id)))
                {
                    Some(written) => format!("write {written}"),
                    None if node.text().is_some_and(is_always) => {
                        "write always, in small letters".to_owned()
                    }
                    None if node.text().is_some_and(|text| is_a_slip(text, "always")) => {
                        "did you mean `always`?".to_owned()
                    }
                    None if node.text().is_some_and(meant::is_otherwise) => {
                        "for all that is left write always, and let it be the last outcome"
                            .to_owned()
                    }
                    None => help_of(node, scope),
                },
            );
            None
        }
    }
}

/// Whether a word is `always`, in whichever letters.
fn is_always(word: &str) -> bool {
    word.trim().eq_ignore_ascii_case("always")
}

/// Whether a condition is `always` or was meant so, with a mistake that was reported.
pub fn is_meant_as_always(node: &Node) -> bool {
    match &node.tree {
        Tree::Text(word) => is_always(word) || is_a_slip(word, "always"),
        Tree::Map(pairs) => {
            matches!(&pairs[..], [(key, _)] if key.text().is_some_and(is_always))
        }
        Tree::Empty | Tree::List(_) => false,
    }
}

fn part(key: &Node, value: &Node, scope: &Scope, out: &mut Findings) -> Option<Condition> {
    let Some(word) = key.text() else {
        out.error(
            code::WRONG_SHAPE,
            key.place,
            "one condition stands in braces of its own within the others",
            "take its braces off: conditions in one set of braces hold together, as {kept: {below: 50 %}, noise: {is: loud}}",
        );
        return None;
    };
    match word {
        "all" => Some(Condition::All(joined(value, scope, out)?)),
        "any" => Some(Condition::Any(joined(value, scope, out)?)),
        "none" => Some(Condition::None(joined(value, scope, out)?)),
        subject => {
            let Some(meaning) = scope.get(subject) else {
                if let Some(joint) = meant::joint(subject) {
                    out.error(
                        code::UNKNOWN_ID,
                        key.place,
                        format!("conditions are not joined by `{subject}`"),
                        format!("write {joint}: and its conditions in square brackets, as {joint}: [{{kept: {{below: 50 %}}}}, {{noise: {{is: loud}}}}]"),
                    );
                    return None;
                }
                out.unknown(
                    code::UNKNOWN_ID,
                    key.place,
                    "reading, fact or worked value",
                    subject,
                    scope.ids(),
                );
                return None;
            };
            checks(subject, meaning, value, scope, out)
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
    let parts: Vec<_> = items
        .iter()
        .map(|item| condition(item, scope, out))
        .collect();
    parts.into_iter().collect()
}

fn checks(
    subject: &str,
    meaning: &Meaning,
    node: &Node,
    scope: &Scope,
    out: &mut Findings,
) -> Option<Condition> {
    if *meaning == Meaning::Broken {
        return None;
    }
    let Tree::Map(pairs) = &node.tree else {
        out.error(
            code::WRONG_SHAPE,
            node.place,
            format!("`{subject}` wants a check, but here is {}", node.kind()),
            match node
                .text()
                .and_then(|text| meant::as_check(subject, text, meaning))
            {
                Some(written) => format!("write {written}"),
                None => format!(
                    "write one of: {}; such as {}",
                    CHECK_WORDS.join(", "),
                    example(subject, meaning)
                ),
            },
        );
        return None;
    };
    if let Some([(_, first), (rest, _)]) = pairs.windows(2).find(|w| is_cut_off(&w[1].0, &w[1].1)) {
        cut_by_comma(first, rest, subject, out);
        return None;
    }
    if matches!(meaning, Meaning::Number(..))
        && let Some((check, limit)) = pairs.iter().find(|(_, limit)| names_a_number(limit, scope))
    {
        let of = limit.text().and_then(|text| scope.get(text));
        limit_that_is_read(subject, check, limit, (meaning, of), out);
        return None;
    }
    if (0..pairs.len()).any(|n| unknown::list_without_brackets(&pairs[n..], out) > 0) {
        return None;
    }
    let tests: Vec<_> = pairs
        .iter()
        .map(|(key, value)| check(key, value, subject, meaning, out))
        .collect();
    let tests: Vec<Check> = tests.into_iter().collect::<Option<_>>()?;
    let mut tests: Vec<Condition> = tests
        .into_iter()
        .map(|check| Condition::Test {
            subject: subject.to_owned(),
            check,
        })
        .collect();
    Some(match tests.len() {
        1 => tests.remove(0),
        _ => Condition::All(tests),
    })
}

fn check(
    key: &Node,
    value: &Node,
    subject: &str,
    meaning: &Meaning,
    out: &mut Findings,
) -> Option<Check> {
    let word = key.text().unwrap_or_default();
    let Some(known) = CHECK_WORDS.iter().find(|known| **known == word) else {
        let written = meant::as_check(subject, word, meaning);
        match written.filter(|_| value.tree == Tree::Empty && !word.contains(':')) {
            Some(written) => out.error(
                code::UNKNOWN_KEY,
                key.place,
                format!("there is no check `{word}`"),
                format!("write {written}"),
            ),
            None => unknown_check(key, value, out),
        }
        return None;
    };
    if value.tree == Tree::Empty {
        out.error(
            code::NO_VALUE,
            key.place,
            format!("`{known}` has no value"),
            format!("write for example {}", example(subject, meaning)),
        );
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

/// A word that is no check: without its blank, in other words, or something else.
fn unknown_check(key: &Node, value: &Node, out: &mut Findings) {
    let word = key.text().unwrap_or_default();
    if value.tree == Tree::Empty
        && let Some((head, rest)) = word.split_once(':')
        && let Some(check) = CHECK_WORDS.iter().find(|check| **check == head.trim())
    {
        out.error(
            code::UNKNOWN_KEY,
            key.place,
            format!("the check `{check}` wants a blank after its colon"),
            format!("write {check}: {}", rest.trim()),
        );
        return;
    }
    match meant::check(word) {
        Some(check) => out.error(
            code::UNKNOWN_KEY,
            key.place,
            format!("there is no check `{word}`"),
            format!("did you mean `{check}`?"),
        ),
        None => out.unknown(code::UNKNOWN_KEY, key.place, "check", word, CHECK_WORDS),
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
            fits = false;
            if let Some(parts) = meant::parted(w, known) {
                let check = if word == "is" { "any of" } else { word };
                out.error(
                    code::UNKNOWN_WORD,
                    *place,
                    format!("`{w}` is more than one word of the list"),
                    format!("write {check}: [{}]", parts.join(", ")),
                );
                continue;
            }
            out.unknown(
                code::UNKNOWN_WORD,
                *place,
                if extra.is_some() { "place" } else { "choice" },
                w,
                known.iter().map(String::as_str).chain(extra),
            );
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
