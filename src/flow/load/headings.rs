//! Headings of a flow that are misspelt or lacking: said alone, and read as they are meant.
//!
//! What stands under a heading that is not known is declared all the same. Left out, it would be reported again by
//! everything that names it, a finding a line, and the slip would be lost among them.

use super::super::finding::code;
use super::super::node::{Node, Tree};
use super::fields::Findings;
use super::keys;
use super::near::nearest;
use super::unknown::unknown_key;

/// The headings under which things are declared.
const HEADINGS: [&str; 8] = [
    "gauges", "vehicle", "readings", "worked", "healthy", "causes", "steps", "retest",
];

/// The tree with its headings as they are meant, each that is not so written reported.
pub fn as_meant(tree: Node, out: &mut Findings) -> Node {
    let place = tree.place;
    let Tree::Map(mut pairs) = tree.tree else {
        return tree;
    };
    respell(&mut pairs, out);
    for kind in &LACKING {
        lacking(&mut pairs, kind, out);
    }
    Node {
        place,
        tree: Tree::Map(pairs),
    }
}

fn has(pairs: &[(Node, Node)], heading: &str) -> bool {
    pairs.iter().any(|(key, _)| key.text() == Some(heading))
}

/// Reports what is nearly a heading that is not there, and writes it right.
fn respell(pairs: &mut [(Node, Node)], out: &mut Findings) {
    let names = keys::FLOW.names();
    for n in 0..pairs.len() {
        let (key, value) = &pairs[n];
        let holds = matches!(value.tree, Tree::Map(_) | Tree::List(_));
        let Some(word) = key.text().filter(|word| holds && !names.contains(word)) else {
            continue;
        };
        let near = nearest(word, &names).filter(|near| HEADINGS.contains(near));
        let Some(meant) = near.filter(|near| !has(pairs, near)) else {
            continue;
        };
        unknown_key(key, false, keys::FLOW.what, &names, out);
        pairs[n].0.tree = Tree::Text(meant.to_owned());
    }
}

/// A heading that can be told to be lacking.
struct Lacking {
    heading: &'static str,
    /// What stands under it.
    what: &'static str,
    /// How that is told from what stands above it.
    is_one: fn(&Node) -> bool,
    /// Under which headings it stands then.
    under: &'static [&'static str],
}

const LACKING: [Lacking; 3] = [
    Lacking {
        heading: "readings",
        what: "a reading",
        is_one: is_reading,
        // Facts about the vehicle are asked like readings.
        under: &["gauges"],
    },
    Lacking {
        heading: "worked",
        what: "a worked value",
        is_one: is_worked,
        under: &["gauges", "vehicle", "readings"],
    },
    Lacking {
        heading: "causes",
        what: "a cause",
        is_one: is_cause,
        under: &["gauges", "vehicle", "readings", "worked", "healthy"],
    },
];

fn is_reading(node: &Node) -> bool {
    node.below("ask").is_some()
}

fn is_worked(node: &Node) -> bool {
    let Tree::Map(pairs) = &node.tree else {
        return false;
    };
    let is_calculation = |(key, _): &(Node, Node)| {
        key.text()
            .is_some_and(|word| crate::physics::find(word).is_some())
    };
    node.below("ask").is_none() && pairs.iter().any(is_calculation)
}

fn is_cause(node: &Node) -> bool {
    ["odds", "repair", "hand-on"]
        .iter()
        .any(|own| node.below(own).is_some())
}

/// Moves what stands at the end of another set, and would stand under a heading that is not there, to where it belongs.
fn lacking(pairs: &mut Vec<(Node, Node)>, kind: &Lacking, out: &mut Findings) {
    if has(pairs, kind.heading) {
        return;
    }
    let is_one = |(_, entry): &(Node, Node)| (kind.is_one)(entry);
    let found = pairs.iter().enumerate().find_map(|(n, (key, value))| {
        let Tree::Map(entries) = &value.tree else {
            return None;
        };
        let from = entries.iter().position(is_one).filter(|from| *from > 0)?;
        let under = key.text().is_some_and(|word| kind.under.contains(&word));
        (under && entries[from..].iter().all(is_one)).then_some((n, from))
    });
    let Some((n, from)) = found else { return };
    let above = pairs[n].0.text().unwrap_or_default().to_owned();
    let Tree::Map(entries) = &mut pairs[n].1.tree else {
        return;
    };
    let moved = entries.split_off(from);
    let Some(key) = moved.first().map(|(key, _)| key.clone()) else {
        return;
    };
    out.error(
        code::MISSING_KEY,
        key.place,
        format!(
            "`{}` is {}, and it stands under `{above}:`",
            key.text().unwrap_or_default(),
            kind.what
        ),
        format!("write a line {}: above it, in column 1", kind.heading),
    );
    let place = key.place;
    let heading = Node {
        place,
        tree: Tree::Text(kind.heading.to_owned()),
    };
    let tree = Tree::Map(moved);
    pairs.insert(n + 1, (heading, Node { place, tree }));
}
