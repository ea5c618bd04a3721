//! An item of a list into which the next ones run: it begins to the left of them, and to YAML they are more words of it.

use super::super::finding::{Finding, code};
use super::super::node::{Node, Tree};

/// What says of a name that nothing declares it.
const UNKNOWN: [&str; 5] = [
    code::UNKNOWN_WORD,
    code::UNKNOWN_ID,
    code::UNKNOWN_GEAR,
    code::UNKNOWN_CAUSE,
    code::UNKNOWN_STEP,
];

/// The findings, with one for each such item in the place of those about it and about the words that it took up.
pub(super) fn items(node: &Node, text: &str, mut findings: Vec<Finding>) -> Vec<Finding> {
    let mut found = Vec::new();
    below(node, text, &mut found);
    for (item, finding) in found {
        findings.retain(|other| !follows(other, item, &finding));
        findings.push(finding);
    }
    findings
}

/// Whether a finding is about an item that ran on, or misses one of the words that it took up.
fn follows(other: &Finding, item: &str, run_on: &Finding) -> bool {
    let (place, at) = (run_on.place, other.place);
    if place.start <= at.start && at.end <= place.end {
        return true;
    }
    let name = other.message.split('`').nth(1).unwrap_or_default();
    let mut taken_up = item.split(" - ").map(str::trim);
    UNKNOWN.contains(&other.code) && taken_up.any(|words| words == name)
}

fn below<'n>(node: &'n Node, text: &str, found: &mut Vec<(&'n str, Finding)>) {
    match &node.tree {
        Tree::Empty | Tree::Text(_) => {}
        Tree::Map(pairs) => pairs
            .iter()
            .for_each(|(_, value)| below(value, text, found)),
        Tree::List(items) => {
            for item in items {
                let words = item.text();
                found.extend(words.and_then(|words| Some((words, run_on(item, text)?))));
                below(item, text, found);
            }
        }
    }
}

fn run_on(item: &Node, text: &str) -> Option<Finding> {
    let written = text.get(item.place.start..item.place.end)?;
    if written.starts_with(['"', '\'', '|', '>']) {
        return None;
    }
    let mut lines = written.lines().enumerate().skip(1);
    let (n, next) = lines.find(|(_, line)| line.trim_start().starts_with("- "))?;
    let indent = next.len() - next.trim_start().len();
    let line = item.place.line + n;
    Some(Finding::error(
        code::WRONG_SHAPE,
        item.place,
        format!(
            "line {line} begins further right than this item, and so is read as more words of it"
        ),
        format!("begin both in one column, as line {line} does: after {indent} spaces"),
    ))
}
