//! Reading keys out of a mapping, with a finding for everything that does not fit.

use super::super::finding::{Finding, code};
use super::super::node::{Node, Place, Tree};
use crate::units::{Quantity, UnitError};

/// The findings of one run, in the order in which they were met.
#[derive(Debug, Default)]
pub struct Findings(pub Vec<Finding>);

impl Findings {
    /// Adds an error.
    pub fn error(
        &mut self,
        code: &'static str,
        place: Place,
        message: impl Into<String>,
        help: impl Into<String>,
    ) {
        self.0.push(Finding::error(code, place, message, help));
    }

    /// Adds a warning.
    pub fn warning(
        &mut self,
        code: &'static str,
        place: Place,
        message: impl Into<String>,
        help: impl Into<String>,
    ) {
        self.0.push(Finding::warning(code, place, message, help));
    }

    /// Adds an error about a word that is not among those known, with the nearest one.
    pub fn unknown<'w>(
        &mut self,
        code: &'static str,
        place: Place,
        what: &str,
        word: &str,
        known: impl IntoIterator<Item = &'w str>,
    ) {
        let known: Vec<&str> = known.into_iter().collect();
        let help = match nearest(word, &known) {
            Some(near) => format!("did you mean `{near}`?"),
            None if known.is_empty() => format!("no {what} is declared in this flow yet"),
            None => format!("known here: {}", known.join(", ")),
        };
        self.error(code, place, format!("there is no {what} `{word}`"), help);
    }
}

/// The known word that is closest to a mistyped one, if any is close at all.
pub fn nearest<'k>(word: &str, known: &[&'k str]) -> Option<&'k str> {
    let lower = word.to_lowercase().replace(['_', ' '], "-");
    known
        .iter()
        .map(|k| {
            (
                strsim::damerau_levenshtein(&lower, &k.to_lowercase().replace(['_', ' '], "-")),
                *k,
            )
        })
        .filter(|(distance, k)| *distance <= 1 + k.chars().count() / 4)
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, k)| k)
}

/// A mapping whose keys are being read.
pub struct Fields<'n> {
    /// What it is, for messages ("a step").
    what: &'static str,
    place: Place,
    pairs: &'n [(Node, Node)],
}

impl<'n> Fields<'n> {
    /// Takes a node as a mapping with these keys; reports another shape and unknown keys.
    pub fn of(
        node: &'n Node,
        what: &'static str,
        keys: &[&str],
        out: &mut Findings,
    ) -> Option<Self> {
        let Tree::Map(pairs) = &node.tree else {
            out.error(
                code::WRONG_SHAPE,
                node.place,
                format!("{what} is a set of keys, but here is {}", node.kind()),
                format!("write it with keys: {}", keys.join(", ")),
            );
            return None;
        };
        for (key, _) in pairs {
            let word = key.text().unwrap_or_default();
            if !keys.contains(&word) {
                let help = match nearest(word, keys) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => format!("keys of {what}: {}", keys.join(", ")),
                };
                out.error(
                    code::UNKNOWN_KEY,
                    key.place,
                    format!("{what} has no key `{word}`"),
                    help,
                );
            }
        }
        Some(Self {
            what,
            place: node.place,
            pairs,
        })
    }

    /// Where the mapping begins.
    pub fn place(&self) -> Place {
        self.place
    }

    /// The value of a key, if it is there and not empty.
    pub fn get(&self, key: &str) -> Option<&'n Node> {
        self.pairs
            .iter()
            .find(|(k, _)| k.text() == Some(key))
            .map(|(_, value)| value)
            .filter(|value| value.tree != Tree::Empty)
    }

    /// The value of a key that must be there.
    pub fn need(&self, key: &str, out: &mut Findings) -> Option<&'n Node> {
        let found = self.get(key);
        if found.is_none() {
            out.error(
                code::MISSING_KEY,
                self.place,
                format!("{} needs the key `{key}`", self.what),
                format!("add `{key}:` with its value"),
            );
        }
        found
    }

    /// The text of a key that may be left out.
    pub fn text(&self, key: &str, out: &mut Findings) -> Option<String> {
        text_of(self.get(key)?, key, out)
    }

    /// The text of a key that must be there.
    pub fn need_text(&self, key: &str, out: &mut Findings) -> Option<String> {
        text_of(self.need(key, out)?, key, out)
    }

    /// The words of a key that may be left out: a list, or one word.
    pub fn words(&self, key: &str, out: &mut Findings) -> Vec<(String, Place)> {
        self.get(key)
            .map(|node| words_of(node, key, out))
            .unwrap_or_default()
    }

    /// A plain number that must lie in a range.
    pub fn number(
        &self,
        key: &str,
        range: std::ops::RangeInclusive<f64>,
        out: &mut Findings,
    ) -> Option<f64> {
        let node = self.get(key)?;
        let text = text_of(node, key, out)?;
        match text.trim().parse::<f64>() {
            Ok(number) if range.contains(&number) => Some(number),
            Ok(number) => {
                out.error(
                    code::BAD_QUANTITY,
                    node.place,
                    format!(
                        "`{key}` is {number}, outside {} to {}",
                        range.start(),
                        range.end()
                    ),
                    "check the number",
                );
                None
            }
            Err(_) => {
                out.error(
                    code::BAD_QUANTITY,
                    node.place,
                    format!("`{key}` wants a plain number, not `{text}`"),
                    "write digits only, such as 20",
                );
                None
            }
        }
    }
}

/// A node's text, or a finding.
pub fn text_of(node: &Node, key: &str, out: &mut Findings) -> Option<String> {
    if let Some(text) = node.text() {
        return Some(text.trim_end().to_owned());
    }
    out.error(
        code::WRONG_SHAPE,
        node.place,
        format!("`{key}` wants words, but here is {}", node.kind()),
        "write the words after the colon; put them in quotes where they hold a colon, a bracket or a hash sign",
    );
    None
}

/// A node's words: a list of them, or one.
pub fn words_of(node: &Node, key: &str, out: &mut Findings) -> Vec<(String, Place)> {
    match &node.tree {
        Tree::List(items) => items
            .iter()
            .filter_map(|item| Some((text_of(item, key, out)?, item.place)))
            .collect(),
        Tree::Empty => Vec::new(),
        _ => text_of(node, key, out)
            .map(|text| (text, node.place))
            .into_iter()
            .collect(),
    }
}

/// Reads a quantity, or reports why it cannot be read.
pub fn quantity_of(node: &Node, key: &str, out: &mut Findings) -> Option<Quantity> {
    let text = text_of(node, key, out)?;
    parse_quantity(&text, node.place, key, out)
}

/// Reads a quantity out of a text that stands at a place.
pub fn parse_quantity(text: &str, place: Place, key: &str, out: &mut Findings) -> Option<Quantity> {
    match text.parse::<Quantity>() {
        Ok(quantity) => Some(quantity),
        Err(error) => {
            out.error(
                code::BAD_QUANTITY,
                place,
                format!("`{key}`: cannot read `{text}`: {error}"),
                remedy(&error),
            );
            None
        }
    }
}

fn remedy(_: &UnitError) -> &'static str {
    "write a number, a space and a unit, such as 14 inH2O, 0.020 in, 2.3 L/min, 15 %"
}

/// Checks an id: lower-case words with hyphens, so that it can be read aloud and typed anywhere.
pub fn check_id(id: &str, place: Place, out: &mut Findings) {
    let fits = !id.is_empty()
        && id.len() <= 60
        && id.starts_with(|c: char| c.is_ascii_lowercase())
        && id
            .chars()
            .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-');
    if !fits {
        out.error(
            code::BAD_ID,
            place,
            format!("`{id}` cannot be an id"),
            "use small letters, digits and hyphens, beginning with a letter, such as smoke-flow",
        );
    }
}
