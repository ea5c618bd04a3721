//! Loading the gauges that readings are taken on, and errors.

use super::super::finding::code;
use super::super::model::{Gauge, Tolerance};
use super::super::node::Node;
use super::fields::{Fields, Findings, text_of};
use super::keys;
use super::prompts::entries;
use super::quantities::{a, fits, parse_quantity, quantity_of};
use crate::units::{Dimension, Unit};

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

/// Whether a gauge reads in units of this kind, as far as its own errors tell; a finding where not.
pub(super) fn reads(gauge: &Gauge, unit: Unit, id: &str, node: &Node, out: &mut Findings) -> bool {
    let Some(other) = gauge.reads_otherwise(unit) else {
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
