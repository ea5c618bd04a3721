//! A settings file that is no YAML as a whole: every entry that can be read counts all the same.
//!
//! An entry begins with its key in the first column and reaches to the next one. One that cannot be read by itself is
//! blanked, so that all other places stay where they are, and named with what is wrong in it.

use super::load::KEYS;
use crate::flow::finding::{Finding, code};
use crate::flow::node::{self, Node, Tree};
use crate::flow::place::Place;

/// Entries that a settings file may have to be read one by one: far more than there are keys.
const MOST: usize = 60;

/// What can be read of a text that is no YAML as it stands.
#[derive(Debug)]
pub struct Kept {
    /// The entries that can be read, at their places.
    pub tree: Node,
    /// What is wrong in those that cannot, each with the settings that are lost by it: its own, and those that stand
    /// within it because their lines are indented.
    pub wrong: Vec<(Vec<String>, Finding)>,
}

impl Kept {
    /// What is wrong in the entry of a key, where it was left out.
    pub fn left_out(&self, key: &str) -> Option<&Finding> {
        let mut wrong = self.wrong.iter();
        let wrong = wrong.find(|(lost, _)| lost.iter().any(|known| known == key));
        wrong.map(|(_, finding)| finding)
    }
}

/// What can be read of a text that is no YAML as it stands; nothing where no entry can be told from the others.
pub fn readable(text: &str, whole: &Finding) -> Option<Kept> {
    let entries = entries(text);
    // A text of so many is no settings file, and each would be read by itself.
    if entries.len() > MOST {
        return None;
    }
    let mut left = text.to_owned();
    let mut wrong = Vec::new();
    for (n, entry) in entries.iter().enumerate() {
        let others = entries.iter().enumerate().filter(|(m, _)| *m != n);
        let alone = others.fold(text.to_owned(), |text, (_, other)| blanked(&text, *other));
        let mistake = match node::parse(&alone) {
            Ok(tree) if matches!(tree.tree, Tree::Map(_)) => continue,
            Ok(_) => no_key(text, *entry, whole),
            Err(finding) => finding,
        };
        wrong.push(named(text, *entry, mistake));
        left = blanked(&left, *entry);
    }
    // What only clashes with another entry, such as a key that stands twice.
    for _ in 0..entries.len() {
        let finding = match node::parse(&left) {
            Ok(tree) if tree.tree == Tree::Empty => return None,
            Ok(tree) => return Some(Kept { tree, wrong }),
            Err(finding) => finding,
        };
        let at = finding.place.start;
        let entry = *entries.iter().find(|(from, to)| *from <= at && at < *to)?;
        left = blanked(&left, entry);
        wrong.push(named(text, entry, finding));
    }
    None
}

/// From which byte to which each entry reaches.
fn entries(text: &str) -> Vec<(usize, usize)> {
    let mut starts = Vec::new();
    let mut at = 0;
    for line in text.split_inclusive('\n') {
        let is_key = line
            .trim_start_matches('\u{feff}')
            .starts_with(char::is_alphabetic);
        if is_key {
            starts.push(at);
        }
        at += line.len();
    }
    let ends = starts.iter().skip(1).copied().chain([text.len()]);
    starts.iter().copied().zip(ends).collect()
}

/// The text with a stretch of it blanked, its lines left.
fn blanked(text: &str, (from, to): (usize, usize)) -> String {
    let mut out = String::with_capacity(text.len());
    for (at, c) in text.char_indices() {
        if (from..to).contains(&at) && c != '\n' {
            out.extend(std::iter::repeat_n(' ', c.len_utf8()));
        } else {
            out.push(c);
        }
    }
    out
}

/// An entry that reads as words without a key.
fn no_key(text: &str, (from, to): (usize, usize), whole: &Finding) -> Finding {
    if (from..to).contains(&whole.place.start) {
        return whole.clone();
    }
    let line = text[from..to].lines().next().unwrap_or_default();
    Finding::error(
        code::NOT_YAML,
        Place {
            line: text[..from].matches('\n').count() + 1,
            column: 1,
            start: from,
            end: from + line.len(),
        },
        "there is no colon in this line",
        "write the setting, a colon, a blank and its value",
    )
}

/// Says which settings are out of use until the entry is mended.
fn named(text: &str, (from, to): (usize, usize), mut finding: Finding) -> (Vec<String>, Finding) {
    let key = |line: &str| {
        let line = line.trim_start_matches('\u{feff}').trim_start();
        line.split([':', ' ']).next().unwrap_or_default().to_owned()
    };
    let mut lines = text[from..to].lines();
    let own = key(lines.next().unwrap_or_default());
    let within = lines.map(key).filter(|key| KEYS.contains(&key.as_str()));
    let within: Vec<String> = within.filter(|key| *key != own).collect();
    let said = match within.split_last() {
        None => format!("`{own}` is"),
        Some((last, others)) => {
            let before = std::iter::once(&own).chain(others);
            let before: Vec<String> = before.map(|key| format!("`{key}`")).collect();
            format!("{} and `{last}` are", before.join(", "))
        }
    };
    finding.help = format!(
        "{}; until then {said} left out, and nothing else",
        finding.help
    );
    let lost = std::iter::once(own).chain(within).collect();
    (lost, finding)
}

#[cfg(test)]
mod tests {
    use super::super::edit::{Change, EditError, change};
    use super::super::{Look, load};

    #[test]
    fn one_slip_costs_its_own_entry_and_no_other() {
        for (slip, line) in [
            ("people: [Kim Archer, Ines", 2),
            ("people: \"Kim Archer", 2),
            ("people: {Kim Archer", 2),
            ("people Kim Archer", 2),
            ("people:\n  - Anna\n - Piet", 4),
            ("people: Anna: Holm", 2),
        ] {
            let text = format!("workshop: Alder Lane\n{slip}\nbays: [1, 2]\ntheme: dark\n");
            let (settings, findings) = load(&text);
            assert_eq!(settings.workshop, "Alder Lane", "{slip}: {findings:?}");
            assert_eq!(settings.bays, ["1", "2"], "{slip}");
            assert_eq!(settings.theme, Look::Dark, "{slip}");
            assert!(settings.people.is_empty(), "{slip}");
            assert_eq!(findings.len(), 1, "{slip}: {findings:?}");
            assert_eq!(findings[0].place.line, line, "{slip}: {findings:?}");
            assert!(findings[0].help.contains("`people` is left out"), "{slip}");
        }
    }

    #[test]
    fn an_indented_setting_is_lost_with_the_one_above_and_said_to_be() {
        for (text, lost) in [
            (
                "labour-rate: 84.50 EUR\n  units: us\nbays: [1]\n",
                "`labour-rate` and `units` are",
            ),
            (
                "unit-of: {pressure: kPa}\n\tunits: us\n  people: [Kim]\nbays: [1]\n",
                "`unit-of`, `units` and `people` are",
            ),
        ] {
            let (settings, findings) = load(text);
            assert_eq!(settings.bays, ["1"], "{findings:?}");
            assert_eq!(findings.len(), 1, "{findings:?}");
            let said = format!("until then {lost} left out, and nothing else");
            assert!(findings[0].help.ends_with(&said), "{findings:?}");
            // Written beside the line that is lost, it would stand twice once that is mended.
            let units = Change {
                key: "units",
                value: Some("metric".to_owned()),
            };
            let refused = change(text, &[units]);
            assert!(
                matches!(refused, Err(EditError::Broken { line: 2, .. })),
                "{refused:?}"
            );
        }
    }

    #[test]
    fn of_a_key_that_stands_twice_the_first_counts() {
        let (settings, findings) = load("units: us\nworkshop: Alder Lane\nworkshop: Elm Lane\n");
        assert_eq!(settings.workshop, "Alder Lane");
        assert_eq!(findings.len(), 1);
        assert_eq!(findings[0].place.line, 3);
    }

    #[test]
    fn two_slips_are_both_named() {
        let (settings, findings) = load("bays: [1,\nunits: us\npeople: {Kim\ntheme: light\n");
        assert_eq!(settings.theme, Look::Light);
        let lines: Vec<usize> = findings.iter().map(|f| f.place.line).collect();
        assert_eq!(lines, [1, 3], "{findings:?}");
    }

    #[test]
    fn where_nothing_can_be_kept_that_is_said() {
        let (_, findings) = load("[1, 2\n");
        assert_eq!(findings.len(), 1);
        assert!(
            findings[0].help.contains("nothing in this file counts"),
            "{findings:?}"
        );
    }
}
