//! A reading whose unit is at odds with all that is written of it: the unit is at fault, and is named once.
//!
//! With `unit: mm` for a pressure, its plausible range, its limit, its gauge and every calculation that takes it up
//! would be called wrong, each on its own line, and each of them is right.

use std::collections::BTreeSet;

use super::super::finding::{Finding, code};
use super::super::node::{Node, Tree};
use super::near::listed;
use crate::units::{Dimension, Quantity, Unit};

/// The findings, with those that come of one unit as one, at that unit.
pub(super) fn as_one(tree: &Node, mut findings: Vec<Finding>) -> Vec<Finding> {
    for part in ["readings", "vehicle"] {
        let Some(Tree::Map(entries)) = tree.below(part).map(|node| &node.tree) else {
            continue;
        };
        for (id, entry) in entries {
            let of_it = id.text().and_then(|id| of_one(tree, id, entry, &findings));
            let Some((one, all)) = of_it else { continue };
            findings.retain(|finding| !all.contains(finding));
            findings.push(one);
        }
    }
    findings
}

/// One finding for all that speak against the unit of a reading, and those.
fn of_one(
    tree: &Node,
    id: &str,
    entry: &Node,
    findings: &[Finding],
) -> Option<(Finding, Vec<Finding>)> {
    let node = entry.below("unit")?;
    let unit = Unit::parse(node.text()?).ok()?;
    let (ticked, place) = (format!("`{id}`"), entry.place);
    let against: Vec<Finding> = findings
        .iter()
        .filter(|finding| {
            finding.code == code::WRONG_DIMENSION && finding.message.contains(&ticked)
        })
        .cloned()
        .collect();
    let own =
        |finding: &&Finding| place.start <= finding.place.start && finding.place.end <= place.end;
    // Where nothing in the reading itself speaks against it, the lines that use it are wrong.
    if against.len() < 2 || !against.iter().any(|finding| own(&finding)) {
        return None;
    }
    let meant = against
        .iter()
        .flat_map(|finding| finding.message.split(['`', '(', ')']))
        .filter_map(|word| unit_named(tree, word))
        .find(|meant| meant.dimension() != unit.dimension());
    let one = Finding::error(
        code::WRONG_DIMENSION,
        node.place,
        at_odds(id, unit, meant, &against),
        help(entry, unit, meant),
    );
    Some((one, against))
}

/// What speaks against the unit, and on which lines.
fn at_odds(id: &str, unit: Unit, meant: Option<Unit>, against: &[Finding]) -> String {
    let lines: BTreeSet<usize> = against.iter().map(|finding| finding.place.line).collect();
    let lines: Vec<String> = lines.iter().map(usize::to_string).collect();
    let lines: Vec<&str> = lines.iter().map(String::as_str).collect();
    let count = match lines.len() {
        1 => "one line".to_owned(),
        n => format!("{n} lines"),
    };
    let other = meant.map_or_else(
        || "something else".to_owned(),
        |meant| meant.dimension().with_article(),
    );
    format!(
        "`{id}` is in {}, {}, and {count} take it for {other}: {}",
        unit.name(),
        unit.dimension().with_article(),
        listed(&lines)
    )
}

/// The unit to write, where the lines that speak against the one that stands there tell it.
fn help(entry: &Node, unit: Unit, meant: Option<Unit>) -> String {
    let Some(meant) = meant else {
        return "write the unit in which it is read, or mend those lines".to_owned();
    };
    let (unit, meant) = (unit.dimension(), meant.name());
    let range = if range_is_in(entry, unit) {
        format!(", and its plausible range in {meant}")
    } else {
        String::new()
    };
    let is = unit.with_article();
    format!("write unit: {meant}{range}; where it is {is}, mend those lines")
}

/// The unit of a quantity as it is written, or of the reading or fact of this id.
fn unit_named(tree: &Node, word: &str) -> Option<Unit> {
    if let Ok(quantity) = word.parse::<Quantity>() {
        return Some(quantity.unit());
    }
    let mut parts = ["readings", "vehicle"].into_iter();
    let unit = parts.find_map(|part| tree.below(part)?.below(word)?.below("unit")?.text())?;
    Unit::parse(unit).ok()
}

/// Whether the plausible range of a reading is written in this dimension.
fn range_is_in(entry: &Node, dimension: Dimension) -> bool {
    let range = entry.below("plausible").and_then(Node::text);
    let unit = range.and_then(|range| range.rsplit(' ').next());
    unit.and_then(|unit| Unit::parse(unit).ok())
        .is_some_and(|unit| unit.dimension() == dimension)
}
