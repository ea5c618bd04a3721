//! Loading what is asked: readings and vehicle facts.

use super::super::finding::code;
use super::super::log_key::LogKey;
use super::super::meaning::{Asked, Meaning, Plain};
use super::super::model::{Gauge, Prompt, PromptKind};
use super::super::node::{Node, Tree};
use super::fields::{Fields, Findings, text_of};
use super::ids::{check_free, check_id, with_those_meant};
use super::keys;
use super::kinds::kind;
use super::never::that_can_hold;
use super::scope::Scope;
use crate::units::Dimension;

/// The pairs `id: value` of a mapping, each id checked and met once.
pub fn entries<'n>(
    node: &'n Node,
    what: &str,
    out: &mut Findings,
) -> Vec<(String, &'n Node, &'n Node)> {
    let Tree::Map(pairs) = &node.tree else {
        out.error(
            code::WRONG_SHAPE,
            node.place,
            format!(
                "{what} are written as `id: ...`, but here is {}",
                node.kind()
            ),
            "write one a line: an id, a colon, and its keys indented below or in braces",
        );
        return Vec::new();
    };
    pairs
        .iter()
        .filter_map(|(key, value)| {
            let id = key.text()?.to_owned();
            check_id(&id, key.place, out);
            if value.tree == Tree::Empty {
                out.error(
                    code::NO_VALUE,
                    key.place,
                    format!("`{id}` has no value"),
                    "write its keys in braces after the colon, or indented below it",
                );
                return None;
            }
            Some((id, key, value))
        })
        .collect()
}

/// The ids of a mapping, whatever comes of their values.
pub fn ids(node: Option<&Node>) -> Vec<String> {
    let Some(Tree::Map(pairs)) = node.map(|node| &node.tree) else {
        return Vec::new();
    };
    with_those_meant(pairs.iter().filter_map(|(key, _)| key.text()))
}

/// Loads readings or facts. Their `only if` conditions are loaded by [`only_if`], once all ids are known.
pub fn prompts(node: &Node, what: &str, gauges: &[Gauge], out: &mut Findings) -> Vec<Prompt> {
    entries(node, what, out)
        .into_iter()
        .filter_map(|(id, key, value)| {
            check_free(&id, key.place, out);
            let fields = Fields::of(value, &keys::READING, out)?;
            let ask = fields.need_text("ask", out).unwrap_or_default();
            let kind = kind(&fields, &id, gauges, out)?;
            let log = fields
                .get("log")
                .and_then(|node| log(node, &id, &kind, out));
            let is = fields
                .get("is")
                .and_then(|node| meaning(node, &id, &kind, out));
            let optional = yes(&fields, "optional", out) && may_be_left_out(&fields, &kind, out);
            Some(Prompt {
                id,
                ask,
                help: fields.text("help", out).unwrap_or_default(),
                kind,
                only_if: None,
                optional,
                log,
                is,
                place: key.place,
            })
        })
        .collect()
}

/// Whether this kind of answer can be left out. A limit guards only what is read. At no place is an answer that clears, and Enter on no mark gives it:
/// it is never taken for having been left out.
fn may_be_left_out(fields: &Fields, kind: &PromptKind, out: &mut Findings) -> bool {
    let (message, help) = match kind {
        PromptKind::Places(_) => (
            "places cannot be left out: to show nowhere is an answer",
            "take `optional` out; where it may stay unlooked at, ask for that first (looked: {ask: Could you look?, choices: \
             [yes, no]}) and write only if: {looked: {is: \"yes\"}} here",
        ),
        PromptKind::Quantity(q) if q.never_above.is_some() => (
            "what has a limit cannot be left out: nothing would watch the limit then",
            "take `optional` out; or take `never above` out, where another reading guards the same thing",
        ),
        PromptKind::Choice(_)
        | PromptKind::Quantity(_)
        | PromptKind::Pairs(_)
        | PromptKind::Text => {
            return true;
        }
    };
    if let Some(node) = fields.get("optional") {
        out.error(code::WRONG_SHAPE, node.place, message, help);
    }
    false
}

/// Reads what a log fills a reading with; it must measure what the reading asks for.
fn log(node: &Node, id: &str, kind: &PromptKind, out: &mut Findings) -> Option<LogKey> {
    let words = text_of(node, "log", out)?;
    let Some(key) = LogKey::parse(&words) else {
        let known: Vec<String> = LogKey::all().map(LogKey::words).collect();
        let known = known.iter().map(String::as_str);
        out.unknown(
            code::UNKNOWN_WORD,
            node.place,
            "value of a log",
            &words,
            known,
        );
        return None;
    };
    let fit = match (key, kind) {
        (LogKey::Mean(_, value), PromptKind::Quantity(asked)) => {
            asked.unit.dimension() == value.dimension()
        }
        (LogKey::Sweep, PromptKind::Pairs(asked)) => {
            asked.first.1.dimension() == Dimension::Pressure
                && asked.second.1.dimension() == Dimension::Voltage
        }
        (LogKey::Trace, PromptKind::Pairs(asked)) => {
            asked.first.1.dimension() == Dimension::Time
                && asked.second.1.dimension() == Dimension::Voltage
        }
        _ => false,
    };
    if fit {
        return Some(key);
    }
    let (what, help) = match key {
        LogKey::Mean(_, value) => (
            format!("a {}", value.dimension()),
            "give the reading a unit of that kind, or take `log` out",
        ),
        LogKey::Sweep => (
            "pairs of a pressure and a voltage".to_owned(),
            "write for example pairs: {pressure: kPa, signal: V}, or take `log` out",
        ),
        LogKey::Trace => (
            "pairs of a time and a voltage".to_owned(),
            "write for example pairs: {time: ms, signal: V}, or take `log` out",
        ),
    };
    let message = format!("`{words}` gives {what}, which is not what `{id}` asks for");
    out.error(code::WRONG_DIMENSION, node.place, message, help);
    None
}

/// Reads what a reading is on the car; it must give the kind of answer that the reading asks for.
fn meaning(node: &Node, id: &str, kind: &PromptKind, out: &mut Findings) -> Option<Meaning> {
    let words = text_of(node, "is", out)?;
    let Some(meaning) = Meaning::parse(&words) else {
        let known = Meaning::all_words();
        let with_it: Vec<String> = plain_with(&words);
        if with_it.is_empty() {
            let known = known.iter().map(String::as_str);
            out.unknown(code::UNKNOWN_WORD, node.place, "reading", &words, known);
        } else {
            let message = format!("there is no reading `{words}`");
            let help = format!("did you mean {}?", with_it.join(" or "));
            out.error(code::UNKNOWN_WORD, node.place, message, help);
        }
        return None;
    };
    let (fit, what) = match (meaning.asked(), kind) {
        (Asked::Quantity(dimension), PromptKind::Quantity(asked)) => (
            asked.unit.dimension() == dimension,
            dimension.with_article(),
        ),
        (Asked::Quantity(dimension), _) => (false, dimension.with_article()),
        (Asked::Choice, kind) => (
            matches!(kind, PromptKind::Choice(_)),
            "one of some choices".to_owned(),
        ),
        (Asked::Places, kind) => (matches!(kind, PromptKind::Places(_)), "places".to_owned()),
        (Asked::Pairs, kind) => (matches!(kind, PromptKind::Pairs(_)), "pairs".to_owned()),
    };
    if fit {
        return Some(meaning);
    }
    let message = format!("`{words}` gives {what}, which is not what `{id}` asks for");
    let help = "give the reading a unit, choices, places or pairs of that kind, or take `is` out";
    out.error(code::WRONG_DIMENSION, node.place, message, help);
    None
}

/// The readings that have these words as a part of theirs, as `smoke seen` has `seen`; nothing where they are many.
fn plain_with(words: &str) -> Vec<String> {
    const MOST: usize = 3;
    let part = format!(" {} ", words.trim().to_lowercase());
    let all = Plain::ALL.iter().map(|plain| plain.words());
    let with: Vec<String> = all
        .filter(|known| format!(" {known} ").contains(&part))
        .map(|known| format!("`{known}`"))
        .collect();
    if with.len() > MOST { Vec::new() } else { with }
}

/// Reads a key that is `yes` or `no`.
pub fn yes(fields: &Fields, key: &str, out: &mut Findings) -> bool {
    let Some(node) = fields.get(key) else {
        return false;
    };
    match node.text() {
        Some("yes" | "true") => true,
        Some("no" | "false") => false,
        _ => {
            out.error(
                code::WRONG_SHAPE,
                node.place,
                format!("`{key}` is yes or no"),
                "write yes or no",
            );
            false
        }
    }
}

/// Loads the `only if` conditions of prompts that are already loaded.
pub fn only_if(node: &Node, prompts: &mut [Prompt], scope: &Scope, out: &mut Findings) {
    let Tree::Map(pairs) = &node.tree else { return };
    for (key, value) in pairs {
        let Tree::Map(keys) = &value.tree else {
            continue;
        };
        let Some((_, node)) = keys.iter().find(|(k, _)| k.text() == Some("only if")) else {
            continue;
        };
        let loaded = that_can_hold(node, "only if", scope, out);
        if let Some(prompt) = prompts
            .iter_mut()
            .find(|p| Some(p.id.as_str()) == key.text())
        {
            prompt.only_if = loaded;
        }
    }
}
