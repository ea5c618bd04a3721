//! Changing a setting in the text of the file: the value and nothing else, so that the comments of
//! whoever keeps the file stay. A setting that is not there takes the place of its commented-out
//! line, or is added at the end.

use super::broken::readable;
use super::load::KEYS;
use super::{Settings, load};
use crate::flow::finding::Finding;
use crate::flow::node::{self, Node, Tree};

/// The file that is written where there is none: every setting, explained and commented out.
pub const STANDARD: &str = include_str!("standard.yaml");

/// Why a setting was not changed.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum EditError {
    /// The file cannot be read as it is.
    #[error("line {line}, column {column}: {message}; mend that in the file first")]
    Broken {
        /// The line, from 1.
        line: usize,
        /// The column, from 1.
        column: usize,
        /// What is wrong there.
        message: String,
    },
    /// The value has comments between its lines, which a value in one line would lose.
    #[error("`{key}` has comments between its lines, which would be lost; change it in the file")]
    Comments {
        /// The setting.
        key: &'static str,
    },
    /// The changed text does not say what was meant.
    #[error("`{key}` cannot be changed from here; change it in the file")]
    Unfit {
        /// The setting.
        key: &'static str,
    },
}

/// A setting with its new value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    /// The setting.
    pub key: &'static str,
    /// Its value as YAML in one line; none takes the setting out.
    pub value: Option<String>,
}

/// The text with some settings changed. An empty text becomes the standard one first.
///
/// # Errors
/// If the text is no YAML, or a change would not be read back as it was meant.
pub fn change(text: &str, changes: &[Change]) -> Result<String, EditError> {
    let mut text = if text.trim().is_empty() {
        STANDARD.to_owned()
    } else {
        text.to_owned()
    };
    for change in changes {
        text = one(&text, change)?;
    }
    Ok(text)
}

fn one(text: &str, change: &Change) -> Result<String, EditError> {
    let tree = parse(text, change.key)?;
    let live = live(&tree, change.key);
    if let Some((key, value)) = live
        && has_comments(text, key, value)
    {
        return Err(EditError::Comments { key: change.key });
    }
    let changed = match (live, &change.value) {
        (Some((key, value)), new) => replaced(text, key, value, new.as_deref()),
        (None, None) => text.to_owned(),
        (None, Some(new)) => added(text, change.key, new),
    };
    // Reading it back is what makes sure that nothing else was hit.
    let (before, after) = (load(text).0, load(&changed).0);
    let fits = match parse(&changed, change.key) {
        Ok(tree) => live_value(&tree, change.key) == change.value.as_deref().map(meant),
        Err(_) => false,
    };
    if fits && others(&before, change.key) == others(&after, change.key) {
        Ok(changed)
    } else {
        Err(EditError::Unfit { key: change.key })
    }
}

/// The entries that can be read. A slip in another one does not stand in the way of this key's.
fn parse(text: &str, key: &str) -> Result<Node, EditError> {
    let broken = |finding: &Finding| EditError::Broken {
        line: finding.place.line,
        column: finding.place.column,
        message: finding.message.clone(),
    };
    node::parse(text).or_else(|whole| {
        let kept = readable(text, &whole).ok_or_else(|| broken(&whole))?;
        match kept.left_out(key) {
            Some(finding) => Err(broken(finding)),
            None => Ok(kept.tree),
        }
    })
}

/// Whether there are comments between the first line of a setting and the last of its value.
fn has_comments(text: &str, key: &Node, value: &Node) -> bool {
    let within = text.get(key.place.end..value.place.end).unwrap_or_default();
    let mut lines = within.lines().rev();
    // What stands behind the last line stays.
    lines.next();
    lines.any(|line| {
        let mut before = ' ';
        line.chars().any(|c| {
            let begins = c == '#' && before.is_whitespace();
            before = c;
            begins
        })
    })
}

fn live<'n>(tree: &'n Node, key: &str) -> Option<(&'n Node, &'n Node)> {
    let Tree::Map(pairs) = &tree.tree else {
        return None;
    };
    let found = pairs.iter().find(|(known, _)| known.text() == Some(key));
    found.map(|(key, value)| (key, value))
}

/// What a value says, without its places.
fn live_value(tree: &Node, key: &str) -> Option<String> {
    live(tree, key).map(|(_, value)| said(value))
}

fn meant(value: &str) -> String {
    node::parse(value).map_or_else(|_| value.to_owned(), |node| said(&node))
}

fn said(node: &Node) -> String {
    match &node.tree {
        Tree::Empty => String::new(),
        Tree::Text(text) => format!("{text:?}"),
        Tree::List(items) => format!("{:?}", items.iter().map(said).collect::<Vec<_>>()),
        Tree::Map(pairs) => {
            let pairs = pairs.iter().map(|(key, value)| (said(key), said(value)));
            format!("{:?}", pairs.collect::<Vec<_>>())
        }
    }
}

/// All settings but one.
fn others(settings: &Settings, key: &str) -> Settings {
    let mut rest = settings.clone();
    let usual = Settings::default();
    match key {
        "workshop" => rest.workshop = usual.workshop,
        "telephone" => rest.telephone = usual.telephone,
        "hours" => rest.hours = usual.hours,
        "labour-rate" => rest.labour_rate = usual.labour_rate,
        "altitude" => rest.altitude = usual.altitude,
        "units" => rest.units.system = usual.units.system,
        "unit-of" => rest.units.own = usual.units.own,
        "bays" => rest.bays = usual.bays,
        "people" => rest.people = usual.people,
        "theme" => rest.theme = usual.theme,
        "drawing" => rest.drawing = usual.drawing,
        "mouse" => rest.mouse = usual.mouse,
        "simulated-cars" => rest.simulated_cars = usual.simulated_cars,
        "missing-gear" => rest.missing_gear = usual.missing_gear,
        "flows" => rest.flows = usual.flows,
        _ => {}
    }
    // These stand elsewhere in the changed text.
    for entry in &mut rest.keys {
        entry.place = crate::flow::place::Place::default();
        for (_, place) in &mut entry.keys {
            *place = crate::flow::place::Place::default();
        }
    }
    for (_, place) in rest.gauges.iter_mut().chain(&mut rest.flows) {
        *place = crate::flow::place::Place::default();
    }
    rest
}

/// The value of a setting replaced; without a new one its lines are commented out.
fn replaced(text: &str, key: &Node, value: &Node, new: Option<&str>) -> String {
    let empty = value.tree == Tree::Empty;
    let end = if empty {
        key.place.end
    } else {
        value.place.end
    };
    let Some(new) = new else {
        let start = line_start(text, key.place.start);
        let end = line_end(text, end);
        let lines = text[start..end].lines().map(|line| format!("# {line}\n"));
        let lines: String = lines.collect();
        let rest = text[end..].strip_prefix('\n').unwrap_or(&text[end..]);
        return format!("{}{lines}{rest}", &text[..start]);
    };
    // A quoted key ends at its quote, a plain one at its colon.
    let colon = text[key.place.end.min(text.len())..]
        .find(':')
        .map_or(end, |at| key.place.end + at + 1);
    let block = text[colon..end.max(colon)].contains('\n');
    let rest = &text[end.max(colon)..];
    // The first line after a list in lines of its own must not be drawn up to the value.
    let gap = if block && !rest.starts_with('\n') && !rest.is_empty() {
        "\n"
    } else {
        ""
    };
    format!("{} {new}{gap}{rest}", &text[..colon])
}

/// The setting in place of its commented-out line, or at the end.
fn added(text: &str, key: &str, new: &str) -> String {
    let wanted = format!("#{key}:");
    let mut start = 0;
    for line in text.split_inclusive('\n') {
        let bare: String = line.split_whitespace().collect();
        if bare.starts_with(&wanted) {
            let end = start + line.trim_end_matches(['\n', '\r']).len();
            return format!("{}{key}: {new}{}", &text[..start], &text[end..]);
        }
        start += line.len();
    }
    let gap = if text.is_empty() || text.ends_with('\n') {
        ""
    } else {
        "\n"
    };
    format!("{text}{gap}{key}: {new}\n")
}

fn line_start(text: &str, at: usize) -> usize {
    text[..at].rfind('\n').map_or(0, |end| end + 1)
}

fn line_end(text: &str, at: usize) -> usize {
    text[at..].find('\n').map_or(text.len(), |end| at + end)
}

/// A text as YAML in one line: in quotes wherever it could be taken for something else.
pub fn yaml(text: &str) -> String {
    let plain = !text.is_empty()
        && text.starts_with(char::is_alphanumeric)
        && !text.ends_with(' ')
        && text
            .chars()
            .all(|c| c.is_alphanumeric() || matches!(c, ' ' | '-' | '.' | '/' | '%'));
    if plain {
        text.to_owned()
    } else {
        // A JSON string is a double-quoted one of YAML.
        serde_json::to_string(text).unwrap_or_default()
    }
}

/// Texts as a YAML list in one line; none for no text at all.
pub fn yaml_list(texts: &[String]) -> Option<String> {
    let items: Vec<String> = texts.iter().map(|text| yaml(text)).collect();
    (!items.is_empty()).then(|| format!("[{}]", items.join(", ")))
}

/// The settings that [`change`] knows.
pub fn known(key: &str) -> bool {
    KEYS.contains(&key)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn set(text: &str, key: &'static str, value: &str) -> String {
        let value = (!value.is_empty()).then(|| value.to_owned());
        change(text, &[Change { key, value }]).unwrap()
    }

    #[test]
    fn the_standard_file_is_sound_and_names_every_setting() {
        assert_eq!(load(STANDARD), (Settings::default(), Vec::new()));
        let lines: Vec<&str> = STANDARD
            .lines()
            .map(|line| line.strip_prefix('#').filter(|rest| !rest.starts_with(' ')))
            .map(Option::unwrap_or_default)
            .collect();
        let shown = lines.join("\n");
        let (_, findings) = load(&shown);
        assert_eq!(findings, [], "{shown}");
        for key in KEYS {
            assert!(shown.contains(&format!("{key}:")), "{key}");
        }
    }

    #[test]
    fn comments_stay_where_they_are() {
        let text =
            "# ours\nunits: us   # the boss wants it\nbays:\n  - 1\n  - 2\n# end\ntheme: dark\n";
        assert_eq!(set(text, "units", "metric"), text.replace("us ", "metric "));
        assert_eq!(
            set(text, "bays", "[1, lift]"),
            "# ours\nunits: us   # the boss wants it\nbays: [1, lift]\n# end\ntheme: dark\n"
        );
        assert_eq!(
            set(text, "theme", ""),
            text.replace("theme: dark", "# theme: dark")
        );
    }

    #[test]
    fn comments_between_the_lines_of_a_value_are_not_lost() {
        for text in [
            "bays:\n  - 1 # by the door\n  - 2\n",
            "bays:\n  # - 0\n  - 1\n  - 2\n",
            "bays: [1, # by the door\n  2]\n",
        ] {
            let value = Some("[1, lift]".to_owned());
            let changes = [Change { key: "bays", value }];
            let comments = EditError::Comments { key: "bays" };
            assert_eq!(change(text, &changes), Err(comments), "{text}");
            // Another setting can be changed all the same.
            let changed = set(text, "theme", "dark");
            assert!(changed.starts_with(text), "{changed}");
        }
    }

    #[test]
    fn a_slip_in_one_entry_does_not_stand_in_the_way_of_another() {
        let text = "bays: [1,\ntheme: dark\n";
        assert_eq!(set(text, "theme", "light"), "bays: [1,\ntheme: light\n");
        let twice = "units: us\nunits: metric\ntheme: dark\n";
        assert_eq!(
            set(twice, "theme", "light"),
            "units: us\nunits: metric\ntheme: light\n"
        );
    }

    #[test]
    fn a_setting_that_is_not_there_takes_its_commented_line_or_the_end() {
        let made = set("", "workshop", "Alder Lane");
        assert_eq!(load(&made).0.workshop, "Alder Lane");
        assert_eq!(made.lines().count(), STANDARD.lines().count());
        assert_eq!(set("# x", "theme", "light"), "# x\ntheme: light\n");
        assert_eq!(set("", "theme", ""), STANDARD);
    }

    #[test]
    fn a_mistake_in_the_entry_itself_is_left_alone() {
        let change = |text| {
            let value = Some("dark".to_owned());
            super::change(
                text,
                &[Change {
                    key: "theme",
                    value,
                }],
            )
        };
        assert!(matches!(
            change("theme: [dark,\nunits: us\n"),
            Err(EditError::Broken { line: 1, .. })
        ));
        // A mistake in another entry is kept as it is.
        assert_eq!(change("units: uss\n").unwrap(), "units: uss\ntheme: dark\n");
    }

    #[test]
    fn any_text_comes_back_as_it_was() {
        for text in [
            "Kim", "", " x", "yes: no", "#1", "a\"b", "1", "12:30", "ü ö", "- a", "*",
        ] {
            let made = set("", "workshop", &yaml(text));
            assert_eq!(load(&made).0.workshop, text.trim_end(), "{made}");
            let list = yaml_list(&[text.to_owned(), "z".to_owned()]).unwrap();
            let made = set("", "people", &list);
            let wanted: Vec<&str> = [text.trim(), "z"]
                .into_iter()
                .filter(|t| !t.is_empty())
                .collect();
            assert_eq!(load(&made).0.people, wanted, "{made}");
        }
    }
}
