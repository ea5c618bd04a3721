//! Reading keys out of a mapping, with a finding for everything that does not fit.

use super::super::finding::{Finding, code};
use super::super::node::{Node, Place, Tree};
use super::keys::{Need, Table};
use super::meant;
use super::near::{is_a_slip, listed, nearest};
use super::quantities::{cut_by_comma, is_cut_off};
use super::unknown;

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
        kind: &'static str,
        place: Place,
        what: &str,
        word: &str,
        known: impl IntoIterator<Item = &'w str>,
    ) {
        let known: Vec<&str> = known.into_iter().collect();
        if let Some((value, remark)) = meant::glued_remark(word)
            && known.contains(&value)
        {
            self.error(
                kind,
                place,
                format!("there is no {what} `{word}`"),
                without_glue(value, remark),
            );
            return;
        }
        let several: Vec<&str> = word.split_whitespace().collect();
        if several.len() > 1 && several.iter().all(|one| known.contains(one)) {
            self.error(
                kind,
                place,
                format!("there is no {what} `{word}`"),
                format!("write commas between them: [{}]", several.join(", ")),
            );
            return;
        }
        let parted: Vec<&str> = word.split(';').map(str::trim).collect();
        if parted.len() > 1 && parted.iter().all(|one| known.contains(one)) {
            self.error(
                kind,
                place,
                format!("there is no {what} `{word}`"),
                format!(
                    "put a comma in place of the semicolon: {}",
                    parted.join(", ")
                ),
            );
            return;
        }
        let help = match nearest(word, &known) {
            // Short lists are shown as well: the nearest letters are not always what was meant.
            Some(near) if known.len() <= 8 && !is_a_slip(word, near) => {
                format!("did you mean `{near}`? Known here: {}", listed(&known))
            }
            Some(near) => format!("did you mean `{near}`?"),
            None if known.is_empty() => {
                format!("this flow declares no {what} yet: declare it, or delete what names it")
            }
            // Of what guards people nothing is left out.
            None if kind == code::UNKNOWN_CAUTION => format!("known here: {}", known.join(", ")),
            None => format!("known here: {}", listed(&known)),
        };
        self.error(kind, place, format!("there is no {what} `{word}`"), help);
    }
}

/// A mapping whose keys are being read.
pub struct Fields<'n> {
    /// What it is, for messages ("a step").
    what: &'static str,
    /// Its keys, where they are fixed.
    table: Option<&'static Table>,
    place: Place,
    pairs: &'n [(Node, Node)],
}

impl<'n> Fields<'n> {
    /// Takes a node as a mapping with the keys of a table; reports another shape and unknown keys.
    pub fn of(node: &'n Node, table: &'static Table, out: &mut Findings) -> Option<Self> {
        let fields = Self::with_keys(node, table.what, &table.names(), out)?;
        let table = Some(table);
        Some(Self { table, ..fields })
    }

    /// The same with keys that are known only when they are met.
    pub fn with_keys(
        node: &'n Node,
        what: &'static str,
        keys: &[&str],
        out: &mut Findings,
    ) -> Option<Self> {
        let Tree::Map(pairs) = &node.tree else {
            out.error(
                code::WRONG_SHAPE,
                node.place,
                format!(
                    "{what} is a set of keys with values, but here is {}",
                    node.kind()
                ),
                match like(what) {
                    Some(_) if what == "the retest" && node.text().is_some() => {
                        format!("write {{from: {}}}", node.text().unwrap_or_default())
                    }
                    Some(_) if what == "a way out" && node.text().is_some_and(|text| !text.contains(' ')) => {
                        format!(
                            "write why and where it goes on: {{because: Too close to call, go: {}}}",
                            node.text().unwrap_or_default()
                        )
                    }
                    Some(like) => format!("write it with its keys, such as {like}"),
                    None => format!("write `key: value` with keys out of: {}", listed(keys)),
                },
            );
            return None;
        };
        let mut before: Option<&(Node, Node)> = None;
        let mut parted = 0;
        for (n, pair) in pairs.iter().enumerate() {
            let (key, value) = pair;
            if parted > 0 {
                parted -= 1;
                continue;
            }
            parted = unknown::list_without_brackets(&pairs[n..], out);
            if parted == 0 {
                parted = unknown::text_in_parts(&pairs[n..], out);
            }
            let word = key.text().unwrap_or_default();
            if let Some((of, first)) = before.replace(pair)
                && is_cut_off(key, value)
                && first.text().is_some_and(ends_with_digit)
            {
                cut_by_comma(first, key, of.text().unwrap_or_default(), out);
                continue;
            }
            let (empty, known) = (value.tree == Tree::Empty, keys.contains(&word));
            match (known, empty) {
                (true, false) => {}
                (true, true) => out.error(
                    code::NO_VALUE,
                    key.place,
                    format!("`{word}` has no value"),
                    "write it after the colon and a blank, or delete the key",
                ),
                (false, _) => unknown::unknown_key(key, empty, what, keys, out),
            }
        }
        Some(Self {
            what,
            table: None,
            place: node.place,
            pairs,
        })
    }

    /// Where the mapping begins.
    pub fn place(&self) -> Place {
        self.place
    }

    /// Whether a key is there, with a value or without.
    pub fn has(&self, key: &str) -> bool {
        self.pairs.iter().any(|(k, _)| k.text() == Some(key))
    }

    /// Whether a key stands here without its colon, which was reported.
    pub fn is_cut(&self, key: &str) -> bool {
        self.pairs.iter().any(|(k, value)| {
            let word = k.text().unwrap_or_default();
            value.tree == Tree::Empty && word != key && word.split([' ', ':']).next() == Some(key)
        })
    }

    /// The value of a key, if it is there and not empty.
    pub fn get(&self, key: &str) -> Option<&'n Node> {
        debug_assert!(
            self.table.is_none_or(|table| table.key(key).is_some()),
            "{key}"
        );
        self.pairs
            .iter()
            .find(|(k, _)| k.text() == Some(key))
            .map(|(_, value)| value)
            .filter(|value| value.tree != Tree::Empty)
    }

    /// The value of a key that must be there.
    pub fn need(&self, key: &str, out: &mut Findings) -> Option<&'n Node> {
        let is_free = |table: &Table| table.key(key).is_some_and(|key| key.need == Need::Free);
        debug_assert!(!self.table.is_some_and(is_free), "{key}");
        let found = self.get(key);
        // A key without a value, or without its colon, or by another word was reported as such.
        let meant = |(k, value): &(Node, Node)| {
            let word = k.text().unwrap_or_default();
            let cut = value.tree == Tree::Empty && word.split([' ', ':']).next() == Some(key);
            let is_known = self.table.is_some_and(|table| table.key(word).is_some());
            cut || unknown::meant(word, &[key]).is_some() || (!is_known && is_a_slip(word, key))
        };
        if found.is_none() && !self.pairs.iter().any(meant) {
            out.error(
                code::MISSING_KEY,
                self.place,
                format!("{} needs the key `{key}`", self.what),
                how(key),
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

    /// A whole number that must lie in a range.
    pub fn whole(
        &self,
        key: &str,
        range: std::ops::RangeInclusive<f64>,
        out: &mut Findings,
    ) -> Option<f64> {
        let number = self.number(key, range, out)?;
        if number.fract() == 0.0 {
            return Some(number);
        }
        out.error(
            code::BAD_QUANTITY,
            self.get(key)?.place,
            format!("`{key}` is a whole number, not {number}"),
            format!("write {}", number.floor() + 1.0),
        );
        None
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
                    format!("`{key}` cannot be {number}"),
                    format!("write a number from {} to {}", range.start(), range.end()),
                );
                None
            }
            Err(_) => {
                if let Some((value, remark)) = meant::glued_remark(&text)
                    && value.trim().parse::<f64>().is_ok()
                {
                    out.error(
                        code::BAD_QUANTITY,
                        node.place,
                        format!("`{key}` wants a plain number, not `{text}`"),
                        without_glue(value, remark),
                    );
                    return None;
                }
                let help = match meant::with_zeros(&text).filter(|t| t.parse::<f64>().is_ok()) {
                    Some(figures) => format!("write {figures}: a letter O stands there for a zero"),
                    None => number_help(key, &text),
                };
                out.error(
                    code::BAD_QUANTITY,
                    node.place,
                    format!("`{key}` wants a plain number, not `{text}`"),
                    help,
                );
                None
            }
        }
    }
}

fn number_help(key: &str, text: &str) -> String {
    match number_meant(key, text) {
        Some(number) => format!("write digits only and no unit: {number}"),
        None => "write digits only and no unit, such as 20".to_owned(),
    }
}

/// The number that was meant where a plain one is wanted: of `1.5 h` its minutes, of `4,5` with a point, of `ca. 4` or
/// `v2` the figures.
fn number_meant(key: &str, text: &str) -> Option<f64> {
    if let Some(minutes) = meant::in_minutes(text).filter(|_| key == "minutes") {
        return Some(minutes);
    }
    let from = text.find(|c: char| c.is_ascii_digit())?;
    let figures = text[from..].replacen(',', ".", 1);
    let to = figures.find(|c: char| !(c.is_ascii_digit() || c == '.'));
    let figures = figures[..to.unwrap_or(figures.len())].trim_end_matches('.');
    figures.parse().ok()
}

/// What to write for a value with its remark glued to it.
pub fn without_glue(value: &str, remark: &str) -> String {
    format!("a remark begins with a blank and a number sign: write {value} {remark}")
}

/// What to add for a key that is not there.
fn how(key: &str) -> String {
    let with = match key {
        "flow" => "with its id, such as roof-drain",
        "title" => "with what the technician sees",
        "id" => "with a short name in small letters, such as hold",
        "phase" => {
            "with one of: symptom, isolate, block-off, pressurise, inspect, judge, repair, retest"
        }
        "do" => "with what the technician does",
        "ask" => "with the question",
        "outcomes" => "with where it leads on, such as [{when: always, go: done}]",
        "when" => "with what it asks for, such as {kept: {below: 90 %}}; or always",
        "go" => "with where it leads: a step's id, done or {repair: a-cause}",
        "because" => "with the reason, for the technician to read",
        "repair" => "with what is done about it, such as Renew the hose",
        "from" => "with the step at which the test begins again",
        _ => "with its value",
    };
    format!("add `{key}:` {with}")
}

/// What a short set of keys looks like.
fn like(what: &str) -> Option<&'static str> {
    Some(match what {
        "the retest" => "{from: first-step}",
        "a way out" => "{because: Too close to call, go: read-again}",
        "`for`" => "{codes: [P0171], symptoms: [rough idle]}",
        "a set-up" => "{seal: [both ends], minutes: 10}",
        "a gauge" => "{accuracy: 2 %, resolution: 1 kPa}",
        "a cause" => "{odds: likely, repair: Renew it, minutes: 30}",
        "a reading or fact" => "{ask: What does the gauge show?, unit: kPa}",
        "an outcome" => "{id: holds, when: always, because: It holds, go: done}",
        _ => return None,
    })
}

fn ends_with_digit(text: &str) -> bool {
    text.ends_with(|c: char| c.is_ascii_digit())
}

/// A node's text, or a finding.
pub fn text_of(node: &Node, key: &str, out: &mut Findings) -> Option<String> {
    if let Some(text) = node.text() {
        return Some(text.trim_end().to_owned());
    }
    let help = match &node.tree {
        Tree::List(items) if items.iter().all(|item| item.text().is_some()) => format!(
            "write one text: {key}: >- and the words indented below it, without hyphens or brackets"
        ),
        _ => "write words after the colon; in quotes where they hold a colon, a bracket or a number sign".to_owned(),
    };
    out.error(
        code::WRONG_SHAPE,
        node.place,
        format!("`{key}` wants words, but here is {}", node.kind()),
        help,
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
        _ => match unknown::words_without_brackets(node, key, out) {
            Some(words) => words.into_iter().map(|word| (word, node.place)).collect(),
            None => text_of(node, key, out)
                .map(|text| (text, node.place))
                .into_iter()
                .collect(),
        },
    }
}
