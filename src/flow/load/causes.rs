//! Loading causes and their odds.

use super::super::likelihood;
use super::super::model::Cause;
use super::super::node::Node;
use super::fields::{Fields, Findings};
use super::keys;
use super::prompts::entries;
use super::quantities::{fits, quantity_of};
use super::signatures::bad_likelihood;
use crate::units::Dimension;

/// The cause that is always there: none of those listed.
pub const NOT_LISTED: &str = "not-listed";

/// Loads causes.
pub fn causes(node: &Node, out: &mut Findings) -> Vec<Cause> {
    entries(node, "causes", out)
        .into_iter()
        .filter_map(|(id, key, value)| {
            let fields = Fields::of(value, &keys::CAUSE, out)?;
            let odds = odds(&fields, out);
            let name = fields
                .text("name", out)
                .unwrap_or_else(|| id.replace('-', " "));
            let listed = id != NOT_LISTED;
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
                minutes,
                until_repaired: fields.text("until repaired", out).unwrap_or_default(),
                shows: Vec::new(),
                effects: Vec::new(),
                place: key.place,
            })
        })
        .collect()
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
