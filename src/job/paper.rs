//! Events as YAML text that people can read.
//!
//! Written by hand rather than by the YAML library, for two reasons: the choice of how each text
//! stands (plain, quoted or as a block) is what makes a job file readable, and every character
//! must come back as it was. What is plain here is plain to every reader of YAML 1.1 and 1.2;
//! whatever is doubtful is quoted, and whatever cannot be seen is spelled out.

use std::fmt::{self, Write};

use serde::de::{Deserialize, Deserializer, MapAccess, SeqAccess, Visitor};

use super::hidden::is_hidden;

/// The longest line that a small list or set of keys is put on.
const SHORT: usize = 72;
/// The longest key that stands before its colon without a `?` (YAML 1.2.2, 8.2.2: 1024 characters,
/// quotes and escapes included).
const LONGEST_KEY: usize = 1000;

/// A value about to be written, its keys in the order in which they were declared.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// Nothing.
    Null,
    /// A number or truth value, in its final spelling.
    Bare(String),
    /// Text.
    Text(String),
    /// A list.
    List(Vec<Shape>),
    /// Keys and their values.
    Map(Vec<(String, Shape)>),
}

impl Shape {
    /// Appends the value after a key or dash, whose column is `indent`; ends with a newline.
    pub fn write(&self, out: &mut String, indent: usize) {
        if let Some(line) = self.on_one_line() {
            out.push(' ');
            out.push_str(&line);
            out.push('\n');
            return;
        }
        match self {
            Self::Text(text) => block(out, text, indent + 2),
            Self::List(items) => {
                out.push('\n');
                for item in items {
                    pad(out, indent + 2);
                    out.push('-');
                    item.write(out, indent + 2);
                }
            }
            Self::Map(pairs) => {
                out.push('\n');
                for (key, value) in pairs {
                    pad(out, indent + 2);
                    write_pair(out, key, value, indent + 2);
                }
            }
            Self::Null | Self::Bare(_) => {}
        }
    }

    /// The same with every text in quotes, as the most guarded form there is.
    pub fn spelled_out(self) -> Self {
        match self {
            Self::Text(text) => Self::Bare(quoted(&text)),
            Self::List(items) => Self::List(items.into_iter().map(Self::spelled_out).collect()),
            Self::Map(pairs) => Self::Map(
                pairs
                    .into_iter()
                    .map(|(key, value)| (key, value.spelled_out()))
                    .collect(),
            ),
            other => other,
        }
    }

    /// The value on one line, if that reads well.
    fn on_one_line(&self) -> Option<String> {
        match self {
            Self::Null => Some("null".to_owned()),
            Self::Bare(text) => Some(text.clone()),
            Self::Text(text) => (!is_block(text)).then(|| scalar(text)),
            Self::List(items) => {
                let items: Option<Vec<String>> = items.iter().map(Self::as_item).collect();
                items
                    .map(|items| format!("[{}]", items.join(", ")))
                    .filter(|line| line.len() <= SHORT)
            }
            Self::Map(pairs) => match pairs.as_slice() {
                [] => Some("{}".to_owned()),
                [(key, value)] => value
                    .as_item()
                    .filter(|_| !matches!(value, Self::List(_)))
                    .map(|value| format!("{{{}: {value}}}", scalar(key)))
                    .filter(|line| line.len() <= SHORT),
                _ => None,
            },
        }
    }

    /// A member of a list on one line: no keys inside.
    fn as_item(&self) -> Option<String> {
        match self {
            Self::Map(_) => None,
            _ => self.on_one_line(),
        }
    }
}

/// Writes `key: value` at the present place, whose column is `indent`.
pub fn write_pair(out: &mut String, key: &str, value: &Shape, indent: usize) {
    let key = scalar(key);
    if key.chars().count() > LONGEST_KEY {
        out.push_str("? ");
        out.push_str(&key);
        out.push('\n');
        pad(out, indent);
    } else {
        out.push_str(&key);
    }
    out.push(':');
    value.write(out, indent);
}

fn pad(out: &mut String, columns: usize) {
    out.extend(std::iter::repeat_n(' ', columns));
}

/// Whether a text can stand as a literal block and reads better so: several lines, and nothing in
/// it that cannot be seen (but tabs inside a line).
fn is_block(text: &str) -> bool {
    text.trim_end_matches('\n').contains('\n')
        && text.chars().all(|c| c == '\n' || c == '\t' || !is_hidden(c))
        // Blank lines at the start and lines of blanks are read differently by different readers.
        && text.split('\n').all(|line| line.is_empty() || !line.trim_matches([' ', '\t']).is_empty())
        && !text.starts_with(['\n', ' ', '\t'])
}

fn block(out: &mut String, text: &str, indent: usize) {
    let body = text.trim_end_matches('\n');
    // How many line ends to keep: none, one, or all.
    out.push_str(match text.len() - body.len() {
        0 => " |-\n",
        1 => " |\n",
        _ => " |+\n",
    });
    for line in text.split_inclusive('\n') {
        if line != "\n" {
            pad(out, indent);
        }
        out.push_str(line);
    }
    if !text.ends_with('\n') {
        out.push('\n');
    }
}

/// A text on one line: plain if no reader can take it for anything else, otherwise quoted.
fn scalar(text: &str) -> String {
    if is_plain(text) {
        text.to_owned()
    } else {
        quoted(text)
    }
}

fn is_plain(text: &str) -> bool {
    if is_time_or_name(text) {
        return true;
    }
    let Some(first) = text.chars().next() else {
        return false;
    };
    // A number with its unit is text because of the blank in it.
    let digits = text
        .strip_prefix('-')
        .unwrap_or(text)
        .starts_with(|c: char| c.is_ascii_digit());
    let starts_well = first.is_alphabetic() || (digits && text.contains(' '));
    starts_well
        && text.len() <= 400
        && !text.ends_with(' ')
        && text
            .chars()
            .all(|c| c.is_alphanumeric() || " ._/%+-()".contains(c))
        && !text.contains("  ")
        && !is_word_of_yaml(text)
}

/// Words that some reader of YAML takes for nothing, a truth value or a number.
fn is_word_of_yaml(text: &str) -> bool {
    const WORDS: [&str; 13] = [
        "null", "true", "false", "yes", "no", "on", "off", "y", "n", "nan", "inf", "infinity",
        "none",
    ];
    WORDS.iter().any(|word| text.eq_ignore_ascii_case(word))
}

/// Times as they are written here (2026-03-02T09:41:07Z) and UUIDs: both begin with digits, and
/// neither is a number to anybody.
fn is_time_or_name(text: &str) -> bool {
    let shape = |pattern: &str| {
        text.len() >= pattern.len()
            && text.bytes().zip(pattern.bytes()).all(|(c, p)| match p {
                b'0' => c.is_ascii_digit(),
                b'x' => matches!(c, b'0'..=b'9' | b'a'..=b'f'),
                _ => c == p,
            })
    };
    let time = shape("0000-00-00T00:00:00")
        && text.ends_with('Z')
        && text
            .bytes()
            .skip(19)
            .all(|c| c.is_ascii_digit() || c == b'.' || c == b'Z')
        && text.bytes().filter(|c| *c == b'Z').count() == 1
        && text.len() <= 30;
    time || (text.len() == 36 && shape("xxxxxxxx-xxxx-xxxx-xxxx-xxxxxxxxxxxx"))
}

/// A text in double quotes with everything spelled out that cannot be seen.
fn quoted(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 2);
    out.push('"');
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\r' => out.push_str("\\r"),
            '\t' => out.push_str("\\t"),
            _ if is_hidden(c) => spell(&mut out, c),
            _ => out.push(c),
        }
    }
    out.push('"');
    out
}

fn spell(out: &mut String, c: char) {
    let code = u32::from(c);
    // Writing to a String cannot fail.
    let _ = match code {
        0..=0xFF => write!(out, "\\x{code:02X}"),
        0x100..=0xFFFF => write!(out, "\\u{code:04X}"),
        _ => write!(out, "\\U{code:08X}"),
    };
}

/// Any value that serde can write as JSON, with its keys in the order in which they are declared:
/// JSON text is what keeps that order.
///
/// # Errors
/// What the JSON library says of a value that has no JSON form.
pub fn shape(value: &impl serde::Serialize) -> Result<Shape, serde_json::Error> {
    serde_json::from_str(&serde_json::to_string(value)?)
}

impl<'de> Deserialize<'de> for Shape {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(ShapeVisitor)
    }
}

struct ShapeVisitor;

impl<'de> Visitor<'de> for ShapeVisitor {
    type Value = Shape;

    fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str("any value")
    }
    fn visit_unit<E>(self) -> Result<Shape, E> {
        Ok(Shape::Null)
    }
    fn visit_bool<E>(self, v: bool) -> Result<Shape, E> {
        Ok(Shape::Bare(v.to_string()))
    }
    fn visit_i64<E>(self, v: i64) -> Result<Shape, E> {
        Ok(Shape::Bare(v.to_string()))
    }
    fn visit_u64<E>(self, v: u64) -> Result<Shape, E> {
        Ok(Shape::Bare(v.to_string()))
    }
    fn visit_f64<E>(self, v: f64) -> Result<Shape, E> {
        // The shortest spelling that reads back as the same number, with a dot or an exponent.
        Ok(Shape::Bare(format!("{v:?}")))
    }
    fn visit_str<E>(self, v: &str) -> Result<Shape, E> {
        Ok(Shape::Text(v.to_owned()))
    }
    fn visit_string<E>(self, v: String) -> Result<Shape, E> {
        Ok(Shape::Text(v))
    }
    fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Shape, A::Error> {
        let mut items = Vec::new();
        while let Some(item) = seq.next_element()? {
            items.push(item);
        }
        Ok(Shape::List(items))
    }
    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Shape, A::Error> {
        let mut pairs = Vec::new();
        while let Some(pair) = map.next_entry()? {
            pairs.push(pair);
        }
        Ok(Shape::Map(pairs))
    }
}
