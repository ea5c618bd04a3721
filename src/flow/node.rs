//! YAML text as a tree in which every value knows its line and column.
//!
//! This is the only module that knows the YAML library. It turns text into [`Node`]s and nothing
//! more: what keys mean is the loader's business. Reading into a tree first, and into the model
//! second, is what lets the checker report every mistake of a file in one run, where a derived
//! deserialiser stops at the first.

use std::fmt;

use serde::de::{Deserialize, Deserializer, MapAccess, SeqAccess, Visitor};
use serde_yaml::Spanned;

use super::finding::{Finding, code};
pub use super::place::Place;
use super::syntax;

/// The largest file that is read, in bytes (1 MiB): far beyond any flow written by hand.
pub const LARGEST_FILE: usize = 1 << 20;
/// The deepest nesting that is read; a flow needs about eight levels.
const DEEPEST: usize = 32;
/// The most values that a file may hold, once its aliases are followed.
const MOST_NODES: usize = 50_000;

/// One value of a YAML file.
#[derive(Clone, Debug, PartialEq)]
pub struct Node {
    /// Where it stands.
    pub place: Place,
    /// What it holds.
    pub tree: Tree,
}

/// What a [`Node`] holds. Numbers and truth values are kept as the text that was written:
/// the loader decides what they are, so that `no` stays the word "no" and `0.020 in` a length.
#[derive(Clone, Debug, PartialEq)]
pub enum Tree {
    /// Nothing was written after the colon.
    Empty,
    /// A scalar, as written (quotes taken off).
    Text(String),
    /// A list.
    List(Vec<Node>),
    /// A mapping, in the order of the file.
    Map(Vec<(Node, Node)>),
}

impl Node {
    /// The scalar's text, if it is one.
    pub fn text(&self) -> Option<&str> {
        match &self.tree {
            Tree::Text(text) => Some(text),
            _ => None,
        }
    }

    /// The value of a key, if this is a mapping that has it.
    pub fn below(&self, key: &str) -> Option<&Self> {
        match &self.tree {
            Tree::Map(pairs) => pairs
                .iter()
                .find(|(k, _)| k.text() == Some(key))
                .map(|(_, value)| value),
            _ => None,
        }
    }

    /// What this is, in an owner's words.
    pub fn kind(&self) -> String {
        const MOST: usize = 30;
        match &self.tree {
            Tree::Empty => "nothing".to_owned(),
            Tree::Text(text) if text.chars().count() <= MOST => format!("`{text}`"),
            Tree::Text(text) => format!("`{}...`", text.chars().take(MOST).collect::<String>()),
            Tree::List(_) => "a list".to_owned(),
            Tree::Map(_) => "a set of keys".to_owned(),
        }
    }
}

/// Parses YAML text into a tree.
///
/// # Errors
/// One [`Finding`] for text that is too large, is not YAML, nests too deeply or
/// unfolds (through aliases) into too many values.
pub fn parse(text: &str) -> Result<Node, Finding> {
    if text.len() > LARGEST_FILE {
        return Err(Finding::error(
            code::TOO_LARGE,
            Place::default(),
            format!(
                "the file is larger than a flow may be ({} KiB)",
                LARGEST_FILE / 1024
            ),
            "split it into several flows",
        ));
    }
    let raw: Spanned<Raw> = serde_yaml::from_str_with_options(text, options())
        .map_err(|error| not_yaml(text, &error))?;
    Ok(settle(raw, text))
}

/// Whether a text is YAML at all.
pub(super) fn reads(text: &str) -> bool {
    serde_yaml::from_str_with_options::<Spanned<Raw>>(text, options()).is_ok()
}

fn options() -> serde_yaml::Options {
    let budget = serde_yaml::budget! {
        max_depth: DEEPEST,
        max_nodes: MOST_NODES,
        max_aliases: 100,
        max_anchors: 100,
        max_total_scalar_bytes: 4 * LARGEST_FILE,
    };
    serde_yaml::options! {
        budget: budget,
        strict_booleans: true,
    }
}

/// Words a syntax error for an owner; see [`syntax`].
fn not_yaml(text: &str, error: &serde_yaml::Error) -> Finding {
    let bare = error.without_snippet();
    let place = bare
        .location()
        .map_or(Place::default(), |at| place_of(text, at));
    let message = bare.render_with_formatter(&serde_yaml::UserMessageFormatter);
    syntax::finding(
        text,
        place.line.max(1),
        place.column.max(1),
        &first_sentence(&message),
    )
}

/// The library's message without its location prefix and snippet lines.
fn first_sentence(message: &str) -> String {
    let line = message.lines().next().unwrap_or("this is not YAML").trim();
    let line = line.strip_prefix("error: ").unwrap_or(line);
    match line.split_once(" at line ") {
        Some((before, _)) => before.to_owned(),
        None => line.to_owned(),
    }
}

fn place_of(text: &str, at: serde_yaml::Location) -> Place {
    let line = usize::try_from(at.line()).unwrap_or(0);
    let column = usize::try_from(at.column()).unwrap_or(0);
    let (start, end) = match (at.span().byte_offset(), at.span().byte_len()) {
        (Some(start), Some(len)) => {
            let start = usize::try_from(start).unwrap_or(0).min(text.len());
            let len = usize::try_from(len).unwrap_or(0);
            (start, start.saturating_add(len).min(text.len()))
        }
        _ => (0, 0),
    };
    Place {
        line,
        column,
        start,
        end,
    }
}

/// The untyped tree as the YAML library hands it over.
enum Raw {
    Empty,
    Text(String),
    /// A plain scalar that YAML takes for a number or a truth value: its text is read again
    /// from the source, since `0.90` must not become `0.9`.
    Plain(String),
    List(Vec<Spanned<Raw>>),
    Map(Vec<(Spanned<Raw>, Spanned<Raw>)>),
}

fn settle(raw: Spanned<Raw>, text: &str) -> Node {
    let mut place = place_of(text, raw.referenced);
    let tree = match raw.value {
        Raw::Empty => Tree::Empty,
        Raw::Text(words) => Tree::Text(words),
        Raw::Plain(words) => {
            let written = place_of(text, raw.defined);
            let source = text.get(written.start..written.end).map(str::trim);
            Tree::Text(
                source
                    .filter(|s| !s.is_empty())
                    .map_or(words, str::to_owned),
            )
        }
        Raw::List(items) => Tree::List(items.into_iter().map(|item| settle(item, text)).collect()),
        Raw::Map(pairs) => Tree::Map(
            pairs
                .into_iter()
                .map(|(key, value)| (settle(key, text), settle(value, text)))
                .collect(),
        ),
    };
    place.end = place.end.max(end_of(&tree, place, text));
    Node { place, tree }
}

/// Where a collection ends: after its last value, and after the bracket that closes it.
fn end_of(tree: &Tree, place: Place, text: &str) -> usize {
    let last = match tree {
        Tree::List(items) => items.last(),
        // A key without a value ends it as well.
        Tree::Map(pairs) => pairs.last().map(|(key, value)| match value.tree {
            Tree::Empty => key,
            _ => value,
        }),
        Tree::Empty | Tree::Text(_) => return place.end,
    };
    let end = last.map_or(place.start, |node| node.place.end);
    let brackets = matches!(text.as_bytes().get(place.start), Some(b'{' | b'['));
    let after = text.get(end..).filter(|_| brackets).unwrap_or_default();
    match after.find([']', '}']) {
        Some(closing) => end + closing + 1,
        None => end,
    }
}

impl<'de> Deserialize<'de> for Raw {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(RawVisitor)
    }
}

struct RawVisitor;

impl<'de> Visitor<'de> for RawVisitor {
    type Value = Raw;

    fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str("a word, a number, a list or a set of keys")
    }
    fn visit_unit<E>(self) -> Result<Raw, E> {
        Ok(Raw::Empty)
    }
    fn visit_none<E>(self) -> Result<Raw, E> {
        Ok(Raw::Empty)
    }
    fn visit_some<D: Deserializer<'de>>(self, d: D) -> Result<Raw, D::Error> {
        Raw::deserialize(d)
    }
    fn visit_str<E>(self, v: &str) -> Result<Raw, E> {
        Ok(Raw::Text(v.to_owned()))
    }
    fn visit_string<E>(self, v: String) -> Result<Raw, E> {
        Ok(Raw::Text(v))
    }
    fn visit_bool<E>(self, v: bool) -> Result<Raw, E> {
        Ok(Raw::Plain(v.to_string()))
    }
    fn visit_i64<E>(self, v: i64) -> Result<Raw, E> {
        Ok(Raw::Plain(v.to_string()))
    }
    fn visit_u64<E>(self, v: u64) -> Result<Raw, E> {
        Ok(Raw::Plain(v.to_string()))
    }
    fn visit_i128<E>(self, v: i128) -> Result<Raw, E> {
        Ok(Raw::Plain(v.to_string()))
    }
    fn visit_u128<E>(self, v: u128) -> Result<Raw, E> {
        Ok(Raw::Plain(v.to_string()))
    }
    fn visit_f64<E>(self, v: f64) -> Result<Raw, E> {
        Ok(Raw::Plain(v.to_string()))
    }
    fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Raw, A::Error> {
        let mut items = Vec::new();
        while let Some(item) = seq.next_element()? {
            items.push(item);
        }
        Ok(Raw::List(items))
    }
    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Raw, A::Error> {
        let mut pairs = Vec::new();
        while let Some(pair) = map.next_entry()? {
            pairs.push(pair);
        }
        Ok(Raw::Map(pairs))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn get<'a>(node: &'a Node, key: &str) -> &'a Node {
        let Tree::Map(pairs) = &node.tree else {
            panic!("not a map")
        };
        &pairs
            .iter()
            .find(|(k, _)| k.text() == Some(key))
            .expect("key")
            .1
    }

    #[test]
    fn every_value_knows_its_line_and_column() {
        let tree = parse("flow: x\nsteps:\n  - id: plug\n    minutes: 20\n").unwrap();
        let Tree::List(steps) = &get(&tree, "steps").tree else {
            panic!()
        };
        let minutes = get(&steps[0], "minutes");
        assert_eq!((minutes.place.line, minutes.place.column), (4, 14));
    }

    #[test]
    fn numbers_and_truth_values_keep_their_text() {
        let tree = parse("a: 0.90\nb: no\nc: true\nd: 0x1F\ne: 1e3\nf: \"07\"\ng: 007\n").unwrap();
        for (key, text) in [
            ("a", "0.90"),
            ("b", "no"),
            ("c", "true"),
            ("d", "0x1F"),
            ("e", "1e3"),
            ("f", "07"),
            ("g", "007"),
        ] {
            assert_eq!(get(&tree, key).text(), Some(text), "{key}");
        }
    }

    #[test]
    fn alias_bombs_and_absurd_nesting_are_refused() {
        let levels = (1..9).map(|level| {
            let list = vec![format!("*a{}", level - 1); 10].join(",");
            format!("a{level}: &a{level} [{list}]\n")
        });
        let bomb = format!("a0: &a0 [x,x,x,x]\n{}", levels.collect::<String>());
        assert!(parse(&bomb).is_err());
        let deep = format!("a: {}{}", "[".repeat(10_000), "]".repeat(10_000));
        assert!(parse(&deep).is_err());
        assert_eq!(
            parse(&"a".repeat(LARGEST_FILE + 1)).unwrap_err().code,
            code::TOO_LARGE
        );
    }

    #[test]
    fn a_tab_at_the_start_of_a_line_is_named_with_its_remedy() {
        let finding = parse("flow: x\nsteps:\n\t- id: a\n").unwrap_err();
        assert_eq!(finding.place.line, 3, "{finding:?}");
        assert!(finding.help.contains("spaces"), "{finding:?}");
    }

    #[test]
    fn a_key_given_twice_is_refused_at_the_second() {
        let finding = parse("flow: x\ntitle: a\ntitle: b\n").unwrap_err();
        assert_eq!(finding.place.line, 3, "{finding:?}");
    }
}
