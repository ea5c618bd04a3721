//! What is said of conditions that cannot be read, by what the flow has: examples of its own, and limits that are
//! readings.

use super::super::finding::code;
use super::super::node::Node;
use super::super::values::TEST_NUMBER;
use super::fields::Findings;
use super::quantities::a;
use super::scope::{Meaning, Scope};

/// What a condition looks like: by a word that is written, else by something that this flow has.
pub(super) fn help_of(node: &Node, scope: &Scope) -> String {
    let said = format!(" {} ", node.text().unwrap_or_default());
    let named = scope.ids().find_map(|id| {
        let (Meaning::Words(words) | Meaning::Places(words)) = scope.get(id)? else {
            return None;
        };
        let word = words
            .iter()
            .find(|word| said.contains(&format!(" {word} ")))?;
        let word = match word.as_str() {
            "yes" | "no" => format!("\"{word}\""),
            other => other.to_owned(),
        };
        Some(format!("{{{id}: {{is: {word}}}}}"))
    });
    if let Some(written) = named {
        return format!("write {written}");
    }
    let usable = |meaning: &&Meaning| {
        matches!(
            meaning,
            Meaning::Number(..) | Meaning::Words(_) | Meaning::Places(_)
        )
    };
    let own = scope.ids().filter(|id| *id != TEST_NUMBER).find_map(|id| {
        let meaning = scope.get(id).filter(usable)?;
        Some(example(id, meaning))
    });
    let like = own.unwrap_or_else(|| "smoke-flow: {at least: 2 L/min}".to_owned());
    format!("write always, or for example {{{like}}}")
}

pub(super) fn example(subject: &str, meaning: &Meaning) -> String {
    match meaning {
        // Nobody writes "2 ratio".
        Meaning::Number(_, unit) if unit.name() == "ratio" => {
            format!("{subject}: {{at least: 2 %}}")
        }
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
        Meaning::Pairs(..) | Meaning::Broken => "a worked value made from it".to_owned(),
    }
}

pub(super) fn describe(meaning: &Meaning) -> String {
    match meaning {
        Meaning::Number(dimension, _) => a(*dimension),
        Meaning::Words(_) => "a word".to_owned(),
        Meaning::Places(_) => "a set of places".to_owned(),
        Meaning::Pairs(..) | Meaning::Broken => "a set of pairs".to_owned(),
    }
}

/// Reports a limit that is itself a reading, a fact or a worked value.
pub(super) fn limit_that_is_read(
    subject: &str,
    check: &Node,
    limit: &Node,
    (meaning, of): (&Meaning, Option<&Meaning>),
    out: &mut Findings,
) {
    let (check, text) = (
        check.text().unwrap_or_default(),
        limit.text().unwrap_or_default(),
    );
    let zero = match meaning {
        Meaning::Number(_, unit) if unit.name() != "ratio" => format!("0 {}", unit.name()),
        _ => "0 %".to_owned(),
    };
    let of_one_kind = matches!(
        (meaning, of),
        (Meaning::Number(one, _), Some(Meaning::Number(other, _))) if one == other
    );
    let help = if of_one_kind {
        format!(
            "work the difference first, under `worked`: over: {{difference: [{subject}, {text}]}}; then \
             ask for over: {{{check}: {zero}}}"
        )
    } else {
        format!("write for example {}", example(subject, meaning))
    };
    let message = format!("a limit is a number, and `{text}` is read or worked");
    out.error(code::BAD_QUANTITY, limit.place, message, help);
}

pub(super) fn names_a_number(limit: &Node, scope: &Scope) -> bool {
    let meaning = limit.text().and_then(|text| scope.get(text));
    matches!(meaning, Some(Meaning::Number(..)))
}
