//! Loading what kind of answer a reading or fact takes, with its unit, range and limit.

use super::super::condition::NOWHERE;
use super::super::finding::code;
use super::super::model::{
    Gauge, Limit, PairsPrompt, PromptKind, QuantityPrompt, Range, Tolerance,
};
use super::super::node::{Node, Tree};
use super::fields::{Fields, Findings, text_of, words_of};
use super::gauges::{reads, tolerance};
use super::meant;
use super::prompts::yes;
use super::quantities::{fits, is_no_step, parse_quantity, range, unknown_unit};
use crate::units::{Dimension, Quantity, Unit, UnitError};

/// The keys of which exactly one says what kind of answer is taken.
const KINDS: [&str; 5] = ["unit", "choices", "places", "pairs", "words"];

pub(super) fn kind(
    fields: &Fields,
    id: &str,
    gauges: &[Gauge],
    out: &mut Findings,
) -> Option<PromptKind> {
    let choice = |key: &str, out: &mut Findings| -> Option<Vec<String>> {
        Some(
            words_of(fields.get(key)?, key, out)
                .into_iter()
                .map(|(word, _)| word)
                .collect(),
        )
    };
    let kinds = KINDS
        .iter()
        .filter_map(|key| fields.get(key).map(|node| (*key, node)));
    if let [(first, _), (second, node), ..] = kinds.collect::<Vec<_>>()[..] {
        out.error(
            code::WRONG_SHAPE,
            node.place,
            format!(
                "`{id}` says twice what kind of answer it takes: by `{first}` and by `{second}`"
            ),
            "keep the one that is meant, and make another reading of the other",
        );
        return None;
    }
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
        if let [one] = &words[..]
            && let Some(parts) = meant::strokes(one)
        {
            out.error(
                code::WRONG_SHAPE,
                fields
                    .get("choices")
                    .map_or(fields.place(), |node| node.place),
                format!("`{id}` gives one choice only: `{one}`"),
                format!("write choices: [{}]", parts.join(", ")),
            );
            // What names them is right then.
            return Some(PromptKind::Choice(
                parts.into_iter().map(str::to_owned).collect(),
            ));
        }
        few_choices(fields, &words, id, out);
        return Some(PromptKind::Choice(words));
    }
    if let Some(mut places) = choice("places", out) {
        if places.iter().any(|place| place == NOWHERE) {
            out.warning(
                code::SAME_ID,
                fields
                    .get("places")
                    .map_or(fields.place(), |node| node.place),
                format!("`{NOWHERE}` can be answered to every question for places"),
                "take it out of the list",
            );
            places.retain(|place| place != NOWHERE);
        }
        return Some(PromptKind::Places(places));
    }
    if let Some(node) = fields.get("pairs") {
        return pairs(node, fields, id, gauges, out)
            .map(|pairs| PromptKind::Pairs(Box::new(pairs)));
    }
    if yes(fields, "words", out) {
        return Some(PromptKind::Text);
    }
    if KINDS.iter().any(|key| fields.is_cut(key)) {
        return None;
    }
    out.error(
        code::MISSING_KEY,
        fields.place(),
        format!("`{id}` does not say what kind of answer it takes"),
        "add one of: unit, choices, places, pairs, or `words: yes`",
    );
    None
}

/// Warns of a choice that is listed twice, and of one that leaves nothing to choose.
fn few_choices(fields: &Fields, words: &[String], id: &str, out: &mut Findings) {
    let Some(node) = fields.get("choices") else {
        return;
    };
    let mut places = Vec::new();
    if let Tree::List(items) = &node.tree {
        places.extend(items.iter().map(|item| item.place));
    }
    for (n, word) in words.iter().enumerate() {
        if words[..n].contains(word) {
            out.warning(
                code::SAME_ID,
                places.get(n).copied().unwrap_or(node.place),
                format!("`{word}` stands among the choices of `{id}` a second time"),
                "take one of the two out, or write the word that was meant",
            );
            return;
        }
    }
    if let [word] = words {
        out.warning(
            code::WRONG_SHAPE,
            node.place,
            format!("`{id}` gives one choice only, `{word}`: there is nothing to choose"),
            "list what else it may be, such as choices: [yes, no], or delete the reading",
        );
    }
}

/// Reads a unit's name, or reports it.
pub(super) fn unit_of(node: &Node, out: &mut Findings) -> Option<Unit> {
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
                meant::counted_from(&text).unwrap_or_else(|| unknown_unit(nearest, "")),
            );
            None
        }
    }
}

pub(super) fn quantity(
    fields: &Fields,
    id: &str,
    gauges: &[Gauge],
    out: &mut Findings,
) -> Option<QuantityPrompt> {
    let unit = unit_of(fields.get("unit")?, out)?;
    let plausible = fields
        .get("plausible")
        .and_then(|node| range(node, unit.dimension(), unit.name(), id, out));
    if let (Some(range), Some(node)) = (plausible, fields.get("plausible")) {
        far_unit(range, unit, id, node, out);
    }
    let never_above = fields
        .get("never above")
        .and_then(|node| limit(node, unit, id, out));
    let error = fields
        .get("error")
        .and_then(|n| tolerance(n, "error", Some(unit), out));
    let error = error.map(|error| in_points(error, unit));
    let gauge = fields.get("gauge").and_then(|node| {
        let gauge = known_gauge(node, gauges, out)?;
        reads(gauge, unit, id, node, out).then(|| gauge.id.clone())
    });
    Some(QuantityPrompt {
        unit,
        plausible,
        never_above,
        gauge,
        error,
    })
}

/// Warns where a bare number would be taken in a unit far from the one that the range is written in.
fn far_unit((low, high): Range, unit: Unit, id: &str, node: &Node, out: &mut Findings) {
    const FAR: f64 = 100.0;
    let written = high.unit();
    let times = written.step_to_si(1.0) / unit.step_to_si(1.0);
    // A share and its percentage are a hundred apart, and both are read rightly by everybody.
    if unit.dimension() == Dimension::Ratio || (1.0 / FAR < times && times < FAR) {
        return;
    }
    out.warning(
        code::FAR_UNIT,
        node.place,
        format!(
            "`{id}` is read in {}, and what is plausible is written in {}",
            unit.name(),
            written.name()
        ),
        format!(
            "write both in one unit: unit: {}, or plausible: {}..{} {}",
            written.name(),
            short(unit.from_si(low.si())),
            short(unit.from_si(high.si())),
            unit.name()
        ),
    );
}

/// A number without the digits that a conversion leaves behind.
fn short(value: f64) -> f64 {
    format!("{value:.6e}").parse().unwrap_or(value)
}

/// The gauge that is named, or a finding.
fn known_gauge<'g>(node: &Node, gauges: &'g [Gauge], out: &mut Findings) -> Option<&'g Gauge> {
    let name = text_of(node, "gauge", out)?;
    let known = gauges.iter().find(|gauge| gauge.id == name);
    if known.is_none() {
        if name.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '+' | '±')) {
            out.error(
                code::UNKNOWN_ID,
                node.place,
                format!("`gauge` names a gauge, but `{name}` is an error"),
                format!(
                    "write error: {}",
                    name.trim_start_matches(['+', '/', '-', '±', ' '])
                ),
            );
            return None;
        }
        let ids = gauges.iter().map(|gauge| gauge.id.as_str());
        out.unknown(code::UNKNOWN_ID, node.place, "gauge", &name, ids);
    }
    known
}

/// A percentage that is the error of a percentage is meant in points: a trim of 18 % with an error
/// of 2 % lies between 16 and 20 %.
pub(super) fn in_points(error: Tolerance, unit: Unit) -> Tolerance {
    match error {
        Tolerance::Relative(share) if unit.dimension() == Dimension::Ratio => {
            let points = Unit::default_for(Dimension::Ratio);
            Quantity::new(points.from_si(share), points).map_or(error, Tolerance::Absolute)
        }
        other => other,
    }
}

pub(super) fn limit(node: &Node, unit: Unit, id: &str, out: &mut Findings) -> Option<Limit> {
    let text = text_of(node, "never above", out)?;
    if text.starts_with(|c: char| c.is_ascii_alphabetic()) {
        return Some(Limit::Fact(text));
    }
    let limit = parse_quantity(&text, node.place, "never above", unit.name(), out)?;
    let fits = fits(limit, unit.dimension(), unit.name(), id, node.place, out)
        && is_no_step(limit, unit.name(), id, node.place, out);
    fits.then_some(Limit::Constant(limit))
}

pub(super) fn pairs(
    node: &Node,
    fields: &Fields,
    id: &str,
    gauges: &[Gauge],
    out: &mut Findings,
) -> Option<PairsPrompt> {
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
    let gauge = fields.get("gauge").and_then(|node| {
        let gauge = known_gauge(node, gauges, out)?;
        // The column whose kind it reads; where neither is, the message is about the first.
        let column = usize::from(!gauge.may_read(first.1) && gauge.may_read(second.1));
        reads(gauge, [first.1, second.1][column], id, node, out).then(|| (gauge.id.clone(), column))
    });
    Some(PairsPrompt {
        first,
        second,
        plausible,
        gauge,
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
