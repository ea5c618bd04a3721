//! One slip that shows on many lines is said once: where it shows first, with the other lines counted.
//!
//! A reading that was given another name, or was deleted, is missed by every line that names it; a list of choices
//! without its brackets, by every word of it. Said line by line, the one thing to mend is lost among what follows.

use std::collections::BTreeSet;

use super::super::finding::{Finding, code};
use super::super::node::{Node, Place, Tree};
use super::causes::NOT_LISTED;
use super::ids::as_written;
use super::near::{is_a_slip, listed, nearest};
use super::prompts;

/// How findings about a name that stands nowhere begin.
const THERE_IS_NO: &str = "there is no ";

/// The parts of a flow that declare what others name, each with the code of what names something else.
const DECLARED: [(&str, &str); 5] = [
    ("readings", code::UNKNOWN_ID),
    ("worked", code::UNKNOWN_ID),
    ("vehicle", code::UNKNOWN_ID),
    ("gauges", code::UNKNOWN_ID),
    ("causes", code::UNKNOWN_CAUSE),
];

/// The findings, with those that come of one name as one.
pub(super) fn said(tree: &Node, findings: Vec<Finding>) -> Vec<Finding> {
    let findings = one_word_for_a_list(tree, findings);
    let words = named_words(tree);
    let mut left: Vec<Finding> = Vec::new();
    let mut groups: Vec<(Name, Vec<Finding>)> = Vec::new();
    for finding in findings {
        let Some(name) = Name::of(&finding, &words) else {
            left.push(finding);
            continue;
        };
        match groups.iter_mut().find(|(known, _)| *known == name) {
            Some((_, group)) => group.push(finding),
            None => groups.push((name, vec![finding])),
        }
    }
    left.extend(
        groups
            .into_iter()
            .map(|(name, group)| as_one(tree, &name, group)),
    );
    left
}

/// What a finding misses.
#[derive(PartialEq, Eq)]
struct Name {
    code: &'static str,
    word: String,
    /// Of a word, the reading that should list it.
    of: Option<String>,
}

impl Name {
    fn of(finding: &Finding, words: &[Named]) -> Option<Self> {
        let kinds = [code::UNKNOWN_ID, code::UNKNOWN_CAUSE, code::UNKNOWN_WORD];
        let is_gear = finding.code == code::UNKNOWN_GEAR;
        let is_name = kinds.contains(&finding.code) && finding.message.starts_with(THERE_IS_NO);
        if !is_gear && !is_name {
            return None;
        }
        let is_word = finding.code == code::UNKNOWN_WORD;
        let of = words
            .iter()
            .find(|named| is_word && named.place == finding.place);
        Some(Self {
            code: finding.code,
            word: finding.message.split('`').nth(1)?.to_owned(),
            of: of.map(|named| named.id.to_owned()),
        })
    }
}

fn as_one(tree: &Node, name: &Name, mut group: Vec<Finding>) -> Finding {
    group.sort_by_key(|finding| finding.place.start);
    let lines: BTreeSet<usize> = group.iter().map(|finding| finding.place.line).collect();
    let mut first = group.swap_remove(0);
    let others: Vec<usize> = lines
        .into_iter()
        .filter(|line| *line != first.place.line)
        .collect();
    if !others.is_empty() {
        first.message = format!("{}; {}", first.message, so_do(&others));
    }
    if name.code == code::UNKNOWN_ID || name.code == code::UNKNOWN_CAUSE {
        first.help = help(tree, name, first.help, others.len());
    }
    first
}

/// The other lines that do the same.
pub(super) fn so_do(lines: &[usize]) -> String {
    let written: Vec<String> = lines.iter().map(usize::to_string).collect();
    let written: Vec<&str> = written.iter().map(String::as_str).collect();
    match lines {
        [line] => format!("line {line} names it too"),
        _ => format!(
            "{} other lines name it too: {}",
            lines.len(),
            listed(&written)
        ),
    }
}

/// What to write for a name that nothing declares and so many other lines have as well: most often the thing was given
/// another name.
fn help(tree: &Node, name: &Name, help: String, others: usize) -> String {
    let word = &name.word;
    let parts = DECLARED.iter().filter(|(_, code)| *code == name.code);
    let declared: Vec<String> = parts
        .flat_map(|(part, _)| prompts::ids(tree.below(part)))
        .collect();
    let declared: Vec<&str> = as_written(&declared).collect();
    let near = nearest(word, &declared).filter(|near| is_a_slip(word, near));
    let is_offered = help.starts_with("did you mean") || help.starts_with("known here");
    let mut named = BTreeSet::new();
    texts(tree, true, &mut named);
    if let Some(near) = near.filter(|near| others > 0 && !named.contains(near)) {
        return format!(
            "did you mean `{near}`? Nothing names that: where these lines are right, write `{word}` there, where it is \
             declared"
        );
    }
    if near.is_some() || !is_offered {
        return help;
    }
    let mut unnamed = declared
        .iter()
        .filter(|id| !named.contains(*id) && **id != NOT_LISTED);
    if let (Some(id), None) = (unnamed.next(), unnamed.next()) {
        let those = if others == 0 {
            "here"
        } else {
            "in those lines"
        };
        return format!(
            "nothing names `{id}`: if that is what is meant, write `{id}` {those}, or call it `{word}` again"
        );
    }
    if others == 0 || help.starts_with("did you mean") {
        return help;
    }
    format!("declare `{word}` again, or take it out of those lines; {help}")
}

/// Every text of a flow but the ids under which things are declared.
fn texts<'n>(node: &'n Node, top: bool, out: &mut BTreeSet<&'n str>) {
    match &node.tree {
        Tree::Empty => {}
        Tree::Text(text) => {
            out.insert(text);
        }
        Tree::List(items) => items.iter().for_each(|item| texts(item, false, out)),
        Tree::Map(pairs) => {
            for (key, value) in pairs {
                let declares = |(part, _): &(&str, &str)| key.text() == Some(*part);
                if let (Tree::Map(entries), true) =
                    (&value.tree, top && DECLARED.iter().any(declares))
                {
                    for (_, entry) in entries {
                        texts(entry, false, out);
                    }
                } else {
                    texts(key, false, out);
                    texts(value, false, out);
                }
            }
        }
    }
}

/// A word that a line names as an answer to a reading.
struct Named<'n> {
    id: &'n str,
    word: &'n str,
    place: Place,
}

/// The words that conditions and signatures name of each reading.
fn named_words(tree: &Node) -> Vec<Named<'_>> {
    let mut words = Vec::new();
    let Tree::Map(parts) = &tree.tree else {
        return words;
    };
    for (part, value) in parts {
        match part.text() {
            Some("readings" | "vehicle") => {
                let Tree::Map(entries) = &value.tree else {
                    continue;
                };
                for (_, entry) in entries {
                    entry
                        .below("only if")
                        .into_iter()
                        .for_each(|only| below(only, &mut words));
                }
            }
            _ => below(value, &mut words),
        }
    }
    words
}

fn below<'n>(node: &'n Node, words: &mut Vec<Named<'n>>) {
    match &node.tree {
        Tree::Empty | Tree::Text(_) => {}
        Tree::List(items) => items.iter().for_each(|item| below(item, words)),
        Tree::Map(pairs) => {
            for (key, value) in pairs {
                if let (Some(id), Tree::Map(checks)) = (key.text(), &value.tree) {
                    for check in checks {
                        of_check(id, check, words);
                    }
                }
                below(value, words);
            }
        }
    }
}

/// The words behind a check; in a signature the key is the word itself.
fn of_check<'n>(id: &'n str, (key, value): &'n (Node, Node), words: &mut Vec<Named<'n>>) {
    let mut add = |node: &'n Node| {
        words.extend(node.text().map(|word| Named {
            id,
            word,
            place: node.place,
        }));
    };
    match (key.text(), &value.tree) {
        (Some("any of" | "none of" | "is"), Tree::List(items)) => items.iter().for_each(add),
        (Some("any of" | "none of" | "is"), _) => add(value),
        _ => add(key),
    }
}

/// A list of which one word is written, without brackets, and of which other lines name more words.
fn one_word_for_a_list(tree: &Node, mut findings: Vec<Finding>) -> Vec<Finding> {
    let words = named_words(tree);
    for part in ["readings", "vehicle"] {
        let Some(Tree::Map(entries)) = tree.below(part).map(|node| &node.tree) else {
            continue;
        };
        for (id, entry) in entries {
            let (Some(id), Some((key, node, first))) = (id.text(), lone_word(entry)) else {
                continue;
            };
            let misses = |finding: &Finding| {
                let at = |named: &&Named| named.id == id && named.place == finding.place;
                let named = words
                    .iter()
                    .find(at)
                    .filter(|_| finding.code == code::UNKNOWN_WORD);
                named.map(|named| named.word)
            };
            let mut list = vec![first];
            for word in findings.iter().filter_map(misses) {
                if !list.contains(&word) {
                    list.push(word);
                }
            }
            if list.len() == 1 {
                continue;
            }
            findings.retain(|finding| misses(finding).is_none() && finding.place != node.place);
            let all_parted = parted_by_blanks(first, &list[1..]);
            if all_parted {
                findings.push(Finding::error(
                    code::WRONG_SHAPE,
                    node.place,
                    format!("`{first}` is one word to this list, and other lines name its parts"),
                    format!(
                        "write commas between them: {key}: [{}]",
                        list[1..].join(", ")
                    ),
                ));
                continue;
            }
            let others = list[1..].join("`, `");
            let which = if key == "places" { "place" } else { "choice" };
            findings.push(Finding::error(
                code::WRONG_SHAPE,
                node.place,
                format!(
                    "`{id}` gives one {which} only, `{first}`, and other lines name `{others}`"
                ),
                format!(
                    "write them all in square brackets: {key}: [{}]",
                    list.join(", ")
                ),
            ));
        }
    }
    findings
}

/// Whether a text is these words in a row, with blanks where commas were forgotten. What is named elsewhere comes in the
/// order of its lines.
fn parted_by_blanks(text: &str, words: &[&str]) -> bool {
    let mut left = text.trim();
    let mut used = 0;
    while !left.is_empty() {
        let next = words.iter().find_map(|word| {
            let rest = left.strip_prefix(word)?;
            (rest.is_empty() || rest.starts_with(' ')).then(|| rest.trim_start())
        });
        let Some(rest) = next else { return false };
        left = rest;
        used += 1;
    }
    used > 1
}

/// The one word of a reading's choices or places, with its key.
fn lone_word(entry: &Node) -> Option<(&'static str, &Node, &str)> {
    ["choices", "places"].into_iter().find_map(|key| {
        let node = entry.below(key)?;
        let word = match &node.tree {
            Tree::Text(word) => word,
            Tree::List(items) if key == "choices" && items.len() == 1 => items[0].text()?,
            _ => return None,
        };
        Some((key, node, word))
    })
}
