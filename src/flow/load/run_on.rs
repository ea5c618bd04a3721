//! An item of a list into which the next one runs: it begins to the left of those below it, and to YAML they are more
//! words of it; or the comma between two is left out, and they are one.

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

/// The findings, with one for each item in which two names stand without a comma, in the place of those that miss the two.
pub(super) fn without_comma(node: &Node, text: &str, mut findings: Vec<Finding>) -> Vec<Finding> {
    let mut items = Vec::new();
    texts_of_lists(node, &mut items);
    for item in items {
        // What was said of the whole list is enough.
        let around = |finding: &Finding| {
            finding.place.start <= item.place.start && item.place.end <= finding.place.end
        };
        if findings.iter().any(around) {
            continue;
        }
        let missed: Vec<String> = findings.iter().filter_map(missing).collect();
        let Some((one, other)) = run_together(item, text, &missed) else {
            continue;
        };
        findings.retain(|finding| missing(finding).is_none_or(|name| name != one && name != other));
        findings.push(Finding::error(
            code::WRONG_SHAPE,
            item.place,
            format!("`{one} {other}` stands here as one item, and `{one}` and `{other}` are named elsewhere as two"),
            format!("put a comma between them: {one}, {other}"),
        ));
    }
    findings
}

/// The name that a finding says nothing declares.
fn missing(finding: &Finding) -> Option<String> {
    let unknown = UNKNOWN.contains(&finding.code) && finding.message.starts_with("there is no ");
    let name = finding.message.split('`').nth(1)?;
    unknown.then(|| name.to_owned())
}

/// The two names that an item is made of, both of which are missed elsewhere.
fn run_together(item: &Node, text: &str, missed: &[String]) -> Option<(String, String)> {
    let words = item.text()?;
    let written = text.get(item.place.start..item.place.end)?;
    if written.starts_with(['"', '\'']) {
        return None;
    }
    let misses = |name: &str| missed.iter().any(|other| other == name);
    let mut blanks = words.match_indices(' ');
    blanks.find_map(|(at, _)| {
        let (one, other) = (words[..at].trim(), words[at..].trim());
        (misses(one) && misses(other)).then(|| (one.to_owned(), other.to_owned()))
    })
}

fn texts_of_lists<'n>(node: &'n Node, found: &mut Vec<&'n Node>) {
    match &node.tree {
        Tree::Empty | Tree::Text(_) => {}
        Tree::Map(pairs) => pairs
            .iter()
            .for_each(|(_, value)| texts_of_lists(value, found)),
        Tree::List(items) => {
            for item in items {
                found.extend(item.text().map(|_| item));
                texts_of_lists(item, found);
            }
        }
    }
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
