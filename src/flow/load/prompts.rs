//! Loading what is asked: readings, vehicle facts, and the gauges that readings are taken on.

use super::super::finding::code;
use super::super::log_key::LogKey;
use super::super::model::{
    Gauge, Limit, PairsPrompt, Prompt, PromptKind, QuantityPrompt, Range, Tolerance,
};
use super::super::node::{Node, Tree};
use super::conditions::condition;
use super::fields::{Fields, Findings, check_id, text_of, words_of};
use super::keys;
use super::quantities::{a, fits, parse_quantity, quantity_of, range, unknown_unit};
use super::scope::Scope;
use crate::units::{Dimension, Quantity, Unit, UnitError};

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
    let ids = pairs.iter().filter_map(|(key, _)| key.text());
    ids.map(str::to_owned).collect()
}

/// Loads gauges.
pub fn gauges(node: &Node, out: &mut Findings) -> Vec<Gauge> {
    entries(node, "gauges", out)
        .into_iter()
        .filter_map(|(id, key, value)| {
            let fields = Fields::of(value, &keys::GAUGE, out)?;
            let name = fields
                .text("name", out)
                .unwrap_or_else(|| id.replace('-', " "));
            let accuracy = fields
                .get("accuracy")
                .and_then(|n| tolerance(n, "accuracy", None, out));
            let resolution = fields
                .get("resolution")
                .and_then(|n| quantity_of(n, "resolution", "kPa", out));
            Some(Gauge {
                id,
                name,
                accuracy,
                resolution,
                place: key.place,
            })
        })
        .collect()
}

/// Reads `5 %`, `0.1 L/min`, or `5 % at least 0.1 L/min`; where the unit of the reading is known,
/// what is no share must be of its kind.
pub fn tolerance(
    node: &Node,
    key: &str,
    unit: Option<Unit>,
    out: &mut Findings,
) -> Option<Tolerance> {
    let text = text_of(node, key, out)?;
    let (first, floor) = match text.split_once("at least") {
        Some((first, floor)) => (first.trim(), Some(floor.trim())),
        None => (text.as_str(), None),
    };
    let like = unit.map_or("%", Unit::name);
    let first = parse_quantity(first, node.place, key, like, out)?;
    let floor = match floor {
        Some(floor) => Some(parse_quantity(floor, node.place, key, like, out)?),
        None => None,
    };
    let relative = first.dimension() == Dimension::Ratio;
    let absolute = if relative { floor } else { Some(first) };
    if let (Some(unit), Some(absolute)) = (unit, absolute)
        && !fits(
            absolute,
            unit.dimension(),
            unit.name(),
            key,
            node.place,
            out,
        )
    {
        return None;
    }
    match (relative, floor) {
        (true, Some(floor)) => Some(Tolerance::Both(first.si(), floor)),
        (true, None) => Some(Tolerance::Relative(first.si())),
        (false, None) => Some(Tolerance::Absolute(first)),
        (false, Some(_)) => {
            out.error(
                code::BAD_QUANTITY,
                node.place,
                format!("`{key}`: a floor goes with a share, not with {first}"),
                "write for example 5 % at least 0.1 L/min",
            );
            None
        }
    }
}

/// Loads readings or facts. Their `only if` conditions are loaded by [`only_if`], once all ids are known.
pub fn prompts(node: &Node, what: &str, gauges: &[Gauge], out: &mut Findings) -> Vec<Prompt> {
    entries(node, what, out)
        .into_iter()
        .filter_map(|(id, key, value)| {
            let fields = Fields::of(value, &keys::READING, out)?;
            let ask = fields.need_text("ask", out).unwrap_or_default();
            let kind = kind(&fields, &id, gauges, out)?;
            let log = fields
                .get("log")
                .and_then(|node| log(node, &id, &kind, out));
            Some(Prompt {
                id,
                ask,
                help: fields.text("help", out).unwrap_or_default(),
                kind,
                only_if: None,
                optional: yes(&fields, "optional", out),
                log,
                place: key.place,
            })
        })
        .collect()
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
    };
    let message = format!("`{words}` gives {what}, which is not what `{id}` asks for");
    out.error(code::WRONG_DIMENSION, node.place, message, help);
    None
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
        let loaded = condition(node, scope, out);
        if let Some(prompt) = prompts
            .iter_mut()
            .find(|p| Some(p.id.as_str()) == key.text())
        {
            prompt.only_if = loaded;
        }
    }
}

fn kind(fields: &Fields, id: &str, gauges: &[Gauge], out: &mut Findings) -> Option<PromptKind> {
    let choice = |key: &str, out: &mut Findings| -> Option<Vec<String>> {
        Some(
            words_of(fields.get(key)?, key, out)
                .into_iter()
                .map(|(word, _)| word)
                .collect(),
        )
    };
    if fields.get("unit").is_some() {
        return quantity(fields, id, gauges, out).map(|q| PromptKind::Quantity(Box::new(q)));
    }
    if let Some(words) = choice("choices", out) {
        if words.is_empty() {
            out.error(
                code::NO_VALUE,
                fields.place(),
                format!("`{id}` gives no choices"),
                "list them: choices: [yes, no]",
            );
        }
        return Some(PromptKind::Choice(words));
    }
    if let Some(places) = choice("places", out) {
        return Some(PromptKind::Places(places));
    }
    if let Some(node) = fields.get("pairs") {
        return pairs(node, fields, out).map(PromptKind::Pairs);
    }
    if yes(fields, "words", out) {
        return Some(PromptKind::Text);
    }
    out.error(
        code::MISSING_KEY,
        fields.place(),
        format!("`{id}` does not say what kind of answer it takes"),
        "add one of: unit, choices, places, pairs, or `words: yes`",
    );
    None
}

/// Reads a unit's name, or reports it.
fn unit_of(node: &Node, out: &mut Findings) -> Option<Unit> {
    let text = text_of(node, "unit", out)?;
    match Unit::parse(&text) {
        Ok(unit) => Some(unit),
        Err(error) => {
            let nearest = match error {
                UnitError::UnknownUnit { nearest, .. } => nearest,
                _ => None,
            };
            out.error(
                code::BAD_QUANTITY,
                node.place,
                format!("there is no unit `{text}`"),
                unknown_unit(nearest, ""),
            );
            None
        }
    }
}

fn quantity(
    fields: &Fields,
    id: &str,
    gauges: &[Gauge],
    out: &mut Findings,
) -> Option<QuantityPrompt> {
    let unit = unit_of(fields.get("unit")?, out)?;
    let plausible = fields
        .get("plausible")
        .and_then(|node| range(node, unit.dimension(), unit.name(), id, out));
    let never_above = fields
        .get("never above")
        .and_then(|node| limit(node, unit, id, out));
    let error = fields
        .get("error")
        .and_then(|n| tolerance(n, "error", Some(unit), out));
    let error = error.map(|error| in_points(error, unit));
    let gauge = fields.get("gauge").and_then(|node| {
        let name = text_of(node, "gauge", out)?;
        if let Some(gauge) = gauges.iter().find(|g| g.id == name) {
            return reads(gauge, unit, id, node, out).then_some(name);
        }
        out.unknown(
            code::UNKNOWN_ID,
            node.place,
            "gauge",
            &name,
            gauges.iter().map(|g| g.id.as_str()),
        );
        None
    });
    Some(QuantityPrompt {
        unit,
        plausible,
        never_above,
        gauge,
        error,
    })
}

/// Whether a gauge reads in units of this kind, as far as its own errors tell.
fn reads(gauge: &Gauge, unit: Unit, id: &str, node: &Node, out: &mut Findings) -> bool {
    let accuracy = match gauge.accuracy {
        Some(Tolerance::Absolute(q) | Tolerance::Both(_, q)) => Some(q),
        _ => None,
    };
    let kinds = [accuracy, gauge.resolution];
    let Some(other) = kinds
        .into_iter()
        .flatten()
        .find(|q| q.dimension() != unit.dimension())
    else {
        return true;
    };
    out.error(
        code::WRONG_DIMENSION,
        node.place,
        format!(
            "`{id}` is {}, but the gauge `{}` reads {} ({other})",
            a(unit.dimension()),
            gauge.id,
            other.dimension()
        ),
        "name the gauge that it is read on, or put that gauge's errors right",
    );
    false
}

/// A percentage that is the error of a percentage is meant in points: a trim of 18 % with an error
/// of 2 % lies between 16 and 20 %.
fn in_points(error: Tolerance, unit: Unit) -> Tolerance {
    match error {
        Tolerance::Relative(share) if unit.dimension() == Dimension::Ratio => {
            let points = Unit::default_for(Dimension::Ratio);
            Quantity::new(points.from_si(share), points).map_or(error, Tolerance::Absolute)
        }
        other => other,
    }
}

fn limit(node: &Node, unit: Unit, id: &str, out: &mut Findings) -> Option<Limit> {
    let text = text_of(node, "never above", out)?;
    if text.starts_with(|c: char| c.is_ascii_alphabetic()) {
        return Some(Limit::Fact(text));
    }
    let limit = parse_quantity(&text, node.place, "never above", unit.name(), out)?;
    fits(limit, unit.dimension(), unit.name(), id, node.place, out)
        .then_some(Limit::Constant(limit))
}

fn pairs(node: &Node, fields: &Fields, out: &mut Findings) -> Option<PairsPrompt> {
    let Tree::Map(columns) = &node.tree else {
        out.error(
            code::WRONG_SHAPE,
            node.place,
            "`pairs` names two columns with their units",
            "write for example pairs: {pressure: kPa, signal: V}",
        );
        return None;
    };
    if columns.len() != 2 {
        out.error(
            code::WRONG_SHAPE,
            node.place,
            format!("`pairs` has {} columns; it takes two", columns.len()),
            "write for example pairs: {pressure: kPa, signal: V}",
        );
        return None;
    }
    let mut loaded = columns.iter().filter_map(|(name, unit)| {
        Some((
            name.text().unwrap_or_default().to_owned(),
            unit_of(unit, out)?,
        ))
    });
    let (first, second) = (loaded.next()?, loaded.next()?);
    drop(loaded);
    let at_least = fields.number("at least", 1.0..=100.0, out).unwrap_or(1.0);
    let mut errors = fields.get("errors").map(|node| match &node.tree {
        Tree::List(items) => items
            .iter()
            .zip([first.1, second.1])
            .map(|(item, unit)| tolerance(item, "errors", Some(unit), out))
            .collect(),
        _ => Vec::new(),
    });
    let errors = errors.get_or_insert_with(Vec::new);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "1 to 100"
    )]
    let at_least = at_least as usize;
    let plausible = columns_plausible(fields, &first, &second, out);
    Some(PairsPrompt {
        first,
        second,
        plausible,
        at_least,
        errors: (
            errors.first().copied().flatten(),
            errors.get(1).copied().flatten(),
        ),
    })
}

/// The plausible ranges of the two columns, written as a list of two.
fn columns_plausible(
    fields: &Fields,
    first: &(String, Unit),
    second: &(String, Unit),
    out: &mut Findings,
) -> (Option<Range>, Option<Range>) {
    let Some(node) = fields.get("plausible") else {
        return (None, None);
    };
    let Tree::List(items) = &node.tree else {
        out.error(
            code::WRONG_SHAPE,
            node.place,
            "the two columns of pairs have a plausible range each",
            "write for example plausible: [10..115 kPa, 0..5 V]",
        );
        return (None, None);
    };
    if items.len() != 2 {
        out.error(
            code::WRONG_SHAPE,
            node.place,
            format!(
                "two plausible ranges are needed, one a column; here are {}",
                items.len()
            ),
            "write for example plausible: [10..115 kPa, 0..5 V]",
        );
        return (None, None);
    }
    let mut ranges = items
        .iter()
        .zip([first, second])
        .map(|(item, (name, unit))| range(item, unit.dimension(), unit.name(), name, out));
    (ranges.next().flatten(), ranges.next().flatten())
}
