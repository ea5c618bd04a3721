//! A mapping: which column of a file holds which quantity, and in which unit; as YAML.
//!
//! ```yaml
//! ruleout-mapping: 1
//! columns:
//!   "Engine RPM": {holds: engine speed, unit: rpm}
//!   "Comment": {holds: nothing}
//! ```
//!
//! A mapping names columns as the file's header does. Columns of the mapping that a file does not
//! have are passed over, so that one mapping serves the several lists that one tool writes.

use std::fmt::Write as _;

use super::channel::Channel;
use super::header;
use crate::flow::finding::Finding;
use crate::flow::node::{self, Node, Tree};
use crate::units::Unit;

/// The word for a column that is not used.
pub const NOTHING: &str = "nothing";
/// The first key of a mapping's file.
const HEAD: &str = "ruleout-mapping";
/// The form that this version writes and reads.
const FORM: &str = "1";

/// What columns hold.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Mapping {
    /// The columns that it speaks of.
    pub entries: Vec<Entry>,
}

/// What one column holds.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// The column, as its header names it.
    pub column: String,
    /// What it holds; `None` for nothing that is used.
    pub holds: Option<Channel>,
    /// In which unit, where the header does not say it or says it wrongly.
    pub unit: Option<Unit>,
}

/// Why a text is no mapping. Lines and columns count from 1.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("line {line}, column {column}: {message}; {help}")]
pub struct MappingError {
    /// The line.
    pub line: usize,
    /// The column.
    pub column: usize,
    /// What is wrong there.
    pub message: String,
    /// What to do.
    pub help: String,
}

impl From<Finding> for MappingError {
    fn from(finding: Finding) -> Self {
        Self {
            line: finding.place.line,
            column: finding.place.column,
            message: finding.message,
            help: finding.help,
        }
    }
}

fn wrong<T>(
    node: &Node,
    message: impl Into<String>,
    help: impl Into<String>,
) -> Result<T, MappingError> {
    Err(MappingError {
        line: node.place.line,
        column: node.place.column,
        message: message.into(),
        help: help.into(),
    })
}

impl Mapping {
    /// Reads a mapping's text.
    ///
    /// # Errors
    /// [`MappingError`] with the first place at fault.
    pub fn parse(text: &str) -> Result<Self, MappingError> {
        let tree = node::parse(text)?;
        let pairs = map(&tree, "a mapping")?;
        let form = pairs.iter().find(|(key, _)| key.text() == Some(HEAD));
        if form.and_then(|(_, form)| form.text()) != Some(FORM) {
            return wrong(
                &tree,
                "this is no mapping of this version",
                format!("a mapping begins with the line `{HEAD}: {FORM}`"),
            );
        }
        let mut entries = Vec::new();
        for (key, value) in pairs {
            match key.text() {
                Some(HEAD) => {}
                Some("columns") => {
                    for (column, value) in map(value, "`columns`")? {
                        entries.push(entry(column, value)?);
                    }
                }
                other => {
                    let name = other.unwrap_or_default();
                    return wrong(
                        key,
                        format!("a mapping has no key `{name}`"),
                        format!("its keys are {HEAD} and columns"),
                    );
                }
            }
        }
        Ok(Self { entries })
    }

    /// The mapping's text, which [`Mapping::parse`] reads back.
    pub fn to_text(&self) -> String {
        let mut out = format!(
            "{HEAD}: {FORM}\n# What the columns of a log hold. The names are those of its header.\ncolumns:\n"
        );
        for entry in &self.entries {
            let holds = entry.holds.map_or(NOTHING, Channel::word);
            let unit = entry.unit.map_or_else(String::new, |unit| {
                format!(", unit: {}", quoted(unit.name()))
            });
            // Writing to a String cannot fail.
            let _ = writeln!(out, "  {}: {{holds: {holds}{unit}}}", quoted(&entry.column));
        }
        out
    }

    /// The entry of a column.
    pub fn entry(&self, column: &str) -> Option<&Entry> {
        self.entries.iter().find(|entry| entry.column == column)
    }
}

fn entry(column: &Node, value: &Node) -> Result<Entry, MappingError> {
    let mut entry = Entry {
        column: column.text().unwrap_or_default().to_owned(),
        holds: None,
        unit: None,
    };
    let mut said = false;
    for (key, value) in map(value, "a column")? {
        let text = value.text().unwrap_or_default();
        match key.text() {
            Some("holds") => {
                said = true;
                entry.holds = match holds(text) {
                    Some(holds) => holds,
                    None => {
                        return wrong(value, format!("no quantity is called `{text}`"), known());
                    }
                };
            }
            Some("unit") => {
                entry.unit = match header::unit(text) {
                    Some(unit) => Some(unit),
                    None => {
                        return wrong(
                            value,
                            format!("`{text}` is not a unit"),
                            "write for example rpm, g/s, kPa, %, C, s, V",
                        );
                    }
                };
            }
            other => {
                let name = other.unwrap_or_default();
                return wrong(
                    key,
                    format!("a column has no key `{name}`"),
                    "its keys are holds and unit",
                );
            }
        }
    }
    if said {
        Ok(entry)
    } else {
        wrong(column, "it does not say what the column holds", known())
    }
}

/// What a word says that a column holds; `Some(None)` is nothing.
pub fn holds(word: &str) -> Option<Option<Channel>> {
    if word.trim().eq_ignore_ascii_case(NOTHING) {
        return Some(None);
    }
    Channel::parse(word).map(Some)
}

/// The words that can stand after `holds:`.
pub fn known() -> String {
    let words: Vec<&str> = Channel::ALL.iter().map(|channel| channel.word()).collect();
    format!("say one of: {}, {NOTHING}", words.join(", "))
}

fn map<'n>(node: &'n Node, what: &str) -> Result<&'n [(Node, Node)], MappingError> {
    match &node.tree {
        Tree::Map(pairs) => Ok(pairs),
        Tree::Empty => Ok(&[]),
        _ => wrong(
            node,
            format!("{what} is a set of keys, but here is {}", node.kind()),
            "write keys with a colon after each",
        ),
    }
}

/// A text in double quotes, as YAML and JSON have them both; what cannot be seen is spelled out.
fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        // Writing to a String cannot fail.
        let _ = match c {
            '"' | '\\' => write!(out, "\\{c}"),
            c if c.is_control() || crate::job::hidden::is_hidden(c) => {
                write!(out, "\\U{:08x}", u32::from(c))
            }
            c => write!(out, "{c}"),
        };
    }
    out.push('"');
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_mapping_is_read_as_it_is_written_by_hand() {
        let mapping = Mapping::parse(
            "ruleout-mapping: 1\ncolumns:\n  Engine RPM: {holds: engine speed, unit: 1/min}\n  Note: {holds: nothing}\n",
        )
        .expect("a mapping");
        let speed = mapping.entry("Engine RPM").expect("there");
        assert_eq!(speed.holds, Some(Channel::Speed));
        assert_eq!(speed.unit.map(Unit::name), Some("rpm"));
        assert_eq!(mapping.entry("Note").expect("there").holds, None);
    }

    #[test]
    fn what_is_wrong_in_a_mapping_is_named_with_its_place() {
        let error = |text: &str| Mapping::parse(text).expect_err("refused").to_string();
        assert_eq!(
            error("columns: {}"),
            "line 1, column 1: this is no mapping of this version; a mapping begins with the line `ruleout-mapping: 1`"
        );
        let head = "ruleout-mapping: 1\n";
        let unit = error(&format!(
            "{head}columns:\n  A: {{holds: airflow, unit: gg}}\n"
        ));
        assert!(
            unit.starts_with("line 3, column 29: `gg` is not a unit"),
            "{unit}"
        );
        let word = error(&format!("{head}columns:\n  A: {{holds: air}}\n"));
        assert!(
            word.contains("no quantity is called `air`; say one of: time, engine speed"),
            "{word}"
        );
        let none = error(&format!("{head}columns:\n  A: {{unit: rpm}}\n"));
        assert!(
            none.contains("does not say what the column holds"),
            "{none}"
        );
        let key = error(&format!("{head}colums: {{}}\n"));
        assert!(key.contains("no key `colums`"), "{key}");
    }

    proptest! {
        #[test]
        fn what_is_written_is_read_back(
            names in proptest::collection::btree_set("\\PC{1,12}|[\\x00-\\x7f]{1,6}", 0..5),
            pick in 0_usize..200,
        ) {
            let entries = names.into_iter().enumerate().map(|(n, column)| {
                let holds = Channel::ALL.get((pick + n) % 20).copied();
                let unit = holds.and_then(Channel::dimension).map(Unit::default_for);
                Entry { column, holds, unit }
            });
            let mapping = Mapping { entries: entries.collect() };
            prop_assert_eq!(Mapping::parse(&mapping.to_text()), Ok(mapping));
        }

        #[test]
        fn no_text_makes_it_panic(text in "\\PC{0,60}") {
            let _ = Mapping::parse(&text);
        }
    }
}
