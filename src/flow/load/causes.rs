//! Loading causes and their odds.

use super::super::finding::code;
use super::super::likelihood;
use super::super::model::Cause;
use super::super::node::{Node, Tree};
use super::fields::{Fields, Findings};
use super::keys;
use super::parts::parts;
use super::prompts::entries;
use super::quantities::{fits, quantity_of};
use super::signatures::bad_likelihood;
use crate::units::Dimension;

/// The cause that is always there: none of those listed.
pub const NOT_LISTED: &str = "not-listed";

/// Loads causes.
pub fn causes(node: &Node, out: &mut Findings) -> Vec<Cause> {
    let all = entries(node, "causes", out);
    without_minutes(&all, out);
    all.into_iter()
        .filter_map(|(id, key, value)| {
            let fields = Fields::of(value, &keys::CAUSE, out)?;
            let odds = odds(&fields, out);
            let name = fields
                .text("name", out)
                .unwrap_or_else(|| id.replace('-', " "));
            let listed = id != NOT_LISTED;
            if let (false, Some(node)) = (listed, fields.get("repair")) {
                out.warning(
                    code::WRONG_SHAPE,
                    node.place,
                    format!("`{NOT_LISTED}` is whatever nobody thought of, so that nothing repairs it"),
                    "take `repair` out; hand-on: 60 min says what it costs to hand the car on unsolved",
                );
            }
            let repair = if listed {
                fields.need_text("repair", out)
            } else {
                Some(String::new())
            };
            let minutes = match fields.get("hand-on") {
                Some(node) => hand_on(node, out)?,
                None => fields.number("minutes", 0.0..=10_000.0, out).unwrap_or(0.0),
            };
            Some(Cause {
                id,
                name,
                odds: odds?,
                repair: repair?,
                parts: parts(&fields, listed, out),
                minutes,
                until_repaired: fields.text("until repaired", out).unwrap_or_default(),
                shows: Vec::new(),
                effects: Vec::new(),
                effects_at: Vec::new(),
                place: key.place,
            })
        })
        .collect()
}

/// Names the causes of which the minutes were forgotten: of a flow that says them of others, none takes no time.
fn without_minutes(all: &[(String, &Node, &Node)], out: &mut Findings) {
    let takes = |node: &Node| {
        let minutes = node.below("minutes").and_then(Node::text);
        minutes.is_some_and(|text| text.trim() != "0")
    };
    let listed = || all.iter().filter(|(id, ..)| id != NOT_LISTED);
    if !listed().any(|(_, _, value)| takes(value)) {
        return;
    }
    for (id, key, value) in listed().filter(|(_, _, value)| value.below("minutes").is_none()) {
        // One that is no set of keys at all is a finding of its own.
        if !matches!(value.tree, Tree::Map(_)) {
            continue;
        }
        out.warning(
            code::MISSING_KEY,
            key.place,
            format!("`{id}` does not say how long its repair takes, and counts as done in no time"),
            "add `minutes:` with its minutes, such as minutes: 40",
        );
    }
}

fn odds(fields: &Fields, out: &mut Findings) -> Option<f64> {
    let node = fields.need("odds", out)?;
    let text = node.text().unwrap_or_default().trim();
    let odds = likelihood::parse(text);
    if odds.is_none() {
        bad_likelihood(text, node.place, out);
    }
    odds
}

/// What it costs to hand the car on, in minutes.
fn hand_on(node: &Node, out: &mut Findings) -> Option<f64> {
    let time = quantity_of(node, "hand-on", "min", out)?;
    fits(time, Dimension::Time, "min", "hand-on", node.place, out).then(|| time.si() / 60.0)
}
