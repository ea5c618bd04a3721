//! A whole part of a flow that is not there, though the rest names what would stand in it: said once.
//!
//! With `readings:` gone, every condition, every `record` and every worked value names what nothing declares. One
//! finding tells the author more than ninety.

use super::super::finding::{Finding, code};
use super::super::node::{Node, Tree};
use super::near::listed;

/// A part, and what is said of something in it that is not declared.
struct Part {
    heading: &'static str,
    what: &'static str,
    code: &'static str,
}

/// Many a sound flow has no worked values: what names one may as well name a reading by a wrong word. That it is a worked
/// value is told by a step that shows it.
const PARTS: [Part; 4] = [
    Part {
        heading: "readings",
        what: "readings",
        code: code::UNKNOWN_ID,
    },
    Part {
        heading: "causes",
        what: "causes",
        code: code::UNKNOWN_CAUSE,
    },
    Part {
        heading: WORKED,
        what: "worked values",
        code: code::UNKNOWN_ID,
    },
    Part {
        heading: "gear",
        what: "gear",
        code: code::UNKNOWN_GEAR,
    },
];

const WORKED: &str = "worked";

/// What steps show as worked values and nothing declares.
fn shown(findings: &[Finding]) -> Vec<String> {
    let named = findings.iter().filter_map(|finding| {
        let rest = finding.message.strip_prefix("there is no worked value `")?;
        Some(rest.trim_end_matches('`').to_owned())
    });
    named.collect()
}

/// The findings, with those that come of a part which is not there as one.
pub(super) fn as_one(tree: &Node, mut findings: Vec<Finding>) -> Vec<Finding> {
    for part in &PARTS {
        let is_there = tree
            .below(part.heading)
            .is_some_and(|node| node.tree != Tree::Empty);
        let shown = shown(&findings);
        let is_shown = |finding: &Finding| {
            let name = finding.message.split('`').nth(1).unwrap_or_default();
            shown.iter().any(|shown| shown == name)
        };
        // A slip of the finger is one wherever the part is.
        let comes_of_it = |finding: &Finding| {
            let slip = finding.help.starts_with("did you mean");
            let of_part = if part.heading == WORKED {
                is_shown(finding)
            } else {
                !slip
            };
            finding.code == part.code && of_part
        };
        let at: Vec<usize> = (0..findings.len())
            .filter(|n| comes_of_it(&findings[*n]))
            .collect();
        let mut names: Vec<&str> = Vec::new();
        for finding in at.iter().map(|n| &findings[*n]) {
            let name = finding.message.split('`').nth(1).unwrap_or_default();
            if !names.contains(&name) {
                names.push(name);
            }
        }
        let first = at.iter().min_by_key(|n| findings[**n].place.start).copied();
        let Some(first) = first.filter(|_| !is_there && at.len() > 1) else {
            continue;
        };
        let Part {
            heading,
            what,
            code: kind,
        } = part;
        let one = Finding {
            severity: findings[first].severity,
            ..Finding::error(
                kind,
                findings[first].place,
                format!(
                    "this flow has no part `{heading}:`, and its other parts name what would stand in it: {}",
                    listed(&names)
                ),
                format!(
                    "write a line {heading}: in column 1 and the {what} indented below it, or delete what names them"
                ),
            )
        };
        let names: Vec<String> = names.into_iter().map(str::to_owned).collect();
        let named = |finding: &Finding| {
            let said = finding.message.split('`').nth(1).unwrap_or_default();
            names.iter().any(|name| name == said)
        };
        // Where a word can stand too, a name that nothing declares is taken for a wrong one.
        let follows = |finding: &Finding| {
            comes_of_it(finding) || (finding.code == code::UNKNOWN_WORD && named(finding))
        };
        findings.retain(|finding| !follows(finding));
        findings.push(one);
    }
    findings
}
