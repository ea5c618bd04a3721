//! The checker of flows: texts of flow files in, findings out.
//!
//! Each file is loaded with every mistake placed; a flow that loads is looked at by the [`rules`];
//! what only shows across files (a flow that leads to another one) is checked here. Pure: reading files and printing are the command line's
//! business.

pub mod draw;
pub mod explain;
mod rules;
pub mod schema;
pub mod shelf;

use std::collections::BTreeMap;

use crate::flow::finding::{Finding, Severity, code};
use crate::flow::load::{self, load, nearest};
use crate::flow::node::{self, Node, Place, Tree};
use crate::flow::shelf::{Shelf, shipped_texts};

/// A flow file that is to be checked.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Source {
    /// What it is called in messages: its path as given.
    pub name: String,
    /// Its text.
    pub text: String,
}

/// What was found in one file.
#[derive(Debug)]
pub struct Checked<'s> {
    /// The file.
    pub source: &'s Source,
    /// Everything that was found, in the order of the text.
    pub findings: Vec<Finding>,
}

impl Checked<'_> {
    /// How many findings are of a severity.
    pub fn count(&self, severity: Severity) -> usize {
        let of = |finding: &&Finding| finding.severity == severity;
        self.findings.iter().filter(of).count()
    }
}

/// Checks files, each by itself and all together with the flows on a shelf.
pub fn check<'s>(sources: &'s [Source], shelf: &Shelf) -> Vec<Checked<'s>> {
    check_each(sources, shelf, &|| ())
}

/// The same; `done` is called after each file.
pub fn check_each<'s>(sources: &'s [Source], shelf: &Shelf, done: &dyn Fn()) -> Vec<Checked<'s>> {
    let trees: Vec<Option<Node>> = sources
        .iter()
        .map(|source| node::parse(&source.text).ok())
        .collect();
    let mut first_with: BTreeMap<&str, usize> = BTreeMap::new();
    for (n, tree) in trees.iter().enumerate() {
        if let Some((id, _)) = tree.as_ref().and_then(id_of) {
            first_with.entry(id).or_insert(n);
        }
    }
    let shelved = shelf.iter().map(|shelved| shelved.flow.id.as_str());
    let known: Vec<&str> = first_with.keys().copied().chain(shelved).collect();
    sources
        .iter()
        .zip(&trees)
        .enumerate()
        .map(|(n, (source, tree))| {
            let loaded = load(&source.text);
            let mut findings = loaded.findings;
            if let (Some(flow), Some(tree)) = (&loaded.flow, tree) {
                findings.extend(rules::check(flow, tree));
            }
            if let Some(tree) = tree {
                findings.extend(unknown_flows(tree, &known));
                findings.extend(same_flow(tree, n, &first_with, sources));
            }
            findings.sort_by_key(|f| (f.place.line, f.place.column, f.code));
            done();
            Checked { source, findings }
        })
        .collect()
}

/// Everything that is found in the text of one flow by itself, with what only follows from another finding and is
/// withheld from its author.
pub fn unabridged(text: &str) -> Vec<Finding> {
    let mut findings = load::unabridged(text);
    findings.extend(load(text).flow.iter().flat_map(rules::unabridged));
    findings
}

/// The id of the flow in a tree, with its place.
fn id_of(tree: &Node) -> Option<(&str, Place)> {
    let node = tree.below("flow")?;
    Some((node.text()?, node.place))
}

fn same_flow(
    tree: &Node,
    n: usize,
    first_with: &BTreeMap<&str, usize>,
    sources: &[Source],
) -> Option<Finding> {
    let (id, place) = id_of(tree)?;
    let first = *first_with.get(id).filter(|first| **first != n)?;
    let other = sources.get(first)?;
    Some(Finding::warning(
        code::SAME_FLOW,
        place,
        format!("the flow `{id}` is in {} too", other.name),
        // Files are read by their names, and the last one of an id stays.
        format!(
            "of one folder the last by name will be offered, {}, and no other: give one of them another id, or delete one file",
            last_with(id, sources, n)
        ),
    ))
}

/// The file among those with a flow's id that comes last by its name.
fn last_with<'s>(id: &str, sources: &'s [Source], here: usize) -> &'s str {
    let with_id = sources.iter().filter(|source| {
        let tree = node::parse(&source.text).ok();
        tree.as_ref()
            .and_then(id_of)
            .is_some_and(|(other, _)| other == id)
    });
    let names = with_id.map(|source| source.name.as_str());
    names.max().unwrap_or(&sources[here].name)
}

/// The files of which the flow takes the place of one that comes with the program and says something else, each with
/// its id.
pub fn in_place_of_shipped(sources: &[Source]) -> Vec<(&Source, String)> {
    let shipped: Vec<(String, &str)> = shipped_texts()
        .filter_map(|(_, text)| Some((id_in(text)?, text)))
        .collect();
    let takes = |source: &Source| {
        let id = id_in(&source.text)?;
        let (_, text) = shipped.iter().find(|(known, _)| *known == id)?;
        (*text != source.text).then_some(id)
    };
    sources
        .iter()
        .filter_map(|source| Some((source, takes(source)?)))
        .collect()
}

/// The id that a text gives its flow, by its first line that says one.
fn id_in(text: &str) -> Option<String> {
    let mut lines = text.lines();
    let id = lines.find_map(|line| line.trim_start_matches('\u{feff}').strip_prefix("flow:"))?;
    let id = id.split('#').next().unwrap_or_default().trim();
    Some(id.trim_matches(['"', '\'']).to_owned())
}

fn unknown_flows(tree: &Node, known: &[&str]) -> Vec<Finding> {
    let mut led_to = Vec::new();
    flows_led_to(tree, &mut led_to);
    led_to
        .into_iter()
        .filter(|(id, _)| !known.contains(id))
        .map(|(id, place)| {
            let help = match nearest(id, known) {
                Some(near) => format!("did you mean `{near}`?"),
                None => "check its file together with this one, or put it into the folder of flows"
                    .to_owned(),
            };
            let message = format!("there is no flow `{id}` here to lead on to");
            Finding::warning(code::UNKNOWN_FLOW, place, message, help)
        })
        .collect()
}

/// Every `go: {flow: id}` below a node. Looked for in the tree, since a flow with a mistake
/// elsewhere has no model to ask.
fn flows_led_to<'n>(node: &'n Node, out: &mut Vec<(&'n str, Place)>) {
    match &node.tree {
        Tree::List(items) => items.iter().for_each(|item| flows_led_to(item, out)),
        Tree::Map(pairs) => {
            for (key, value) in pairs {
                let flow = value.below("flow").filter(|_| key.text() == Some("go"));
                match flow.and_then(|flow| Some((flow.text()?, flow.place))) {
                    Some(led_to) => out.push(led_to),
                    None => flows_led_to(value, out),
                }
            }
        }
        Tree::Empty | Tree::Text(_) => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ONE: &str = "flow: one\ntitle: One\nsteps:\n  - id: a\n    phase: symptom\n    do: Look.\n    outcomes:\n      - {when: always, because: It is so, go: {flow: tow}}\n";

    fn source(name: &str, text: &str) -> Source {
        Source {
            name: name.to_owned(),
            text: text.to_owned(),
        }
    }

    #[test]
    fn a_flow_that_is_not_at_hand_is_a_warning_with_the_nearest_name() {
        let files = [
            source("one.yaml", ONE),
            source(
                "two.yaml",
                &ONE.replace("flow: one", "flow: two")
                    .replace("flow: tow", "flow: one"),
            ),
        ];
        let checked = check(&files, &Shelf::default());
        let codes: Vec<_> = checked[0]
            .findings
            .iter()
            .map(|f| (f.code, f.severity))
            .collect();
        assert_eq!(codes, [(code::UNKNOWN_FLOW, Severity::Warning)]);
        let finding = &checked[0].findings[0];
        assert_eq!((finding.place.line, finding.place.column), (8, 54));
        assert_eq!(finding.help, "did you mean `two`?");
        assert!(checked[1].findings.is_empty(), "{:?}", checked[1].findings);
    }

    #[test]
    fn a_flow_on_the_shelf_is_at_hand() {
        let mut shelf = Shelf::default();
        shelf.put("shelf", &ONE.replace("flow: one", "flow: tow"));
        let files = [source("one.yaml", ONE)];
        assert!(check(&files, &shelf)[0].findings.is_empty());
    }

    #[test]
    fn a_flow_in_place_of_a_shipped_one_is_told_where_it_says_something_else() {
        let (_, text) = shipped_texts().next().expect("a flow");
        let files = [
            source("same.yaml", text),
            source("mine.yaml", &format!("{text}# mine")),
        ];
        let taken = in_place_of_shipped(&files);
        assert_eq!(taken.len(), 1);
        assert_eq!(taken[0].0.name, "mine.yaml");
    }

    #[test]
    fn the_second_file_with_the_same_flow_is_named() {
        let text = ONE.replace("{flow: tow}", "done");
        let files = [source("one.yaml", &text), source("copy.yaml", &text)];
        let checked = check(&files, &Shelf::default());
        assert!(checked[0].findings.is_empty());
        assert_eq!(checked[1].findings[0].code, code::SAME_FLOW);
        assert!(checked[1].findings[0].message.contains("one.yaml"));
        assert!(
            checked[1].findings[0]
                .help
                .contains("by name will be offered, one.yaml,")
        );
    }
}
