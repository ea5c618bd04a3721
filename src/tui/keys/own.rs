//! The workshop's own keys: read from the settings, checked against the table, and what a row's
//! keys come to with them. An entry that cannot stand is left out and named with its place; the
//! action then keeps its usual keys, so that nothing is ever without one.

use std::collections::BTreeMap;

use super::super::input::{Key, Press};
use super::super::message::Act;
use super::{Context, Row, all, name, types_a_character};
use crate::flow::finding::{Finding, code};
use crate::flow::load::nearest;
use crate::flow::place::Place;
use crate::settings::KeyEntry;

/// What a terminal itself takes, or sends for another key: these are never an action's own.
const TAKEN: [(char, &str); 8] = [
    ('c', "it always leaves the program"),
    ('q', "it always leaves the program"),
    ('z', "it always puts the program to sleep"),
    ('u', "it empties a field"),
    ('m', "terminals send it for Enter"),
    ('i', "terminals send it for Tab"),
    ('h', "terminals send it for Backspace"),
    ('[', "terminals send it for Esc"),
];

/// Keys that take the place of the usual ones.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Own(BTreeMap<Act, Vec<Press>>);

impl Own {
    /// Reads the entries of the settings.
    pub fn read(entries: &[KeyEntry]) -> (Self, Vec<Finding>) {
        let mut findings = Vec::new();
        let mut kept: Vec<(Act, &KeyEntry, Vec<Press>)> = Vec::new();
        for entry in entries {
            match one(entry) {
                Ok((act, keys)) => kept.push((act, entry, keys)),
                Err(finding) => findings.push(finding),
            }
        }
        // Two actions may swap their keys, so all are tried together; the later of two that clash
        // goes, until none clash.
        loop {
            let own = Self(
                kept.iter()
                    .map(|(act, _, keys)| (*act, keys.clone()))
                    .collect(),
            );
            let wrong = kept
                .iter()
                .enumerate()
                .rev()
                .find_map(|(n, (act, entry, _))| Some((n, own.clash(*act, entry)?)));
            match wrong {
                Some((n, finding)) => {
                    kept.remove(n);
                    findings.push(finding);
                }
                None => return (own, findings),
            }
        }
    }

    /// The keys of a row.
    pub fn of(&self, row: &Row) -> Vec<Press> {
        match self.0.get(&row.act) {
            Some(own) if !row.is_fixed() => own.clone(),
            _ => row.keys.to_vec(),
        }
    }

    /// The keys of a row that count in a context.
    pub fn in_context(&self, row: &Row, context: Context) -> Vec<Press> {
        let mut keys = self.of(row);
        keys.retain(|press| counts(*press, context));
        keys
    }

    /// Why an action cannot have its own keys beside all the others.
    fn clash(&self, act: Act, entry: &KeyEntry) -> Option<Finding> {
        for row in all().filter(|row| row.act == act && !row.is_fixed()) {
            for context in row.contexts {
                let own = self.in_context(row, *context);
                if own.is_empty() {
                    return Some(wrong(
                        entry.place,
                        format!(
                            "`{}` needs a key that counts where something is typed as well",
                            entry.action
                        ),
                        "add one that is no letter, such as Ctrl-A",
                    ));
                }
                let others = all()
                    .filter(|other| !std::ptr::eq(*other, row) && other.contexts.contains(context));
                for other in others {
                    let theirs = self.in_context(other, *context);
                    if let Some(key) = own.iter().find(|key| theirs.contains(key)) {
                        let at = place_of(entry, *key);
                        return Some(wrong(
                            at,
                            format!(
                                "{} already stands for `{}` where `{}` counts too",
                                name(*key),
                                act_name(other.act),
                                entry.action
                            ),
                            "choose another key, or give that action another one too",
                        ));
                    }
                }
            }
        }
        None
    }
}

impl Row {
    /// Whether its key stays whatever the settings say: leaving must always be possible.
    pub fn is_fixed(&self) -> bool {
        let fixed = ['c', 'q', 'z'].map(Press::ctrl);
        matches!(self.keys, [key] if fixed.contains(key))
    }
}

/// Whether a key counts in a context: where text is typed, a letter is a letter. The question mark
/// is the exception: it explains as long as nothing is typed.
pub(super) fn counts(press: Press, context: Context) -> bool {
    !context.types() || press.ctrl || !types_a_character(press) || press.key == super::EXPLAIN
}

/// The name of an action in the settings.
pub fn act_name(act: Act) -> String {
    let mut out = String::new();
    for (n, c) in format!("{act:?}").chars().enumerate() {
        if c.is_uppercase() && n > 0 {
            out.push('-');
        }
        out.extend(c.to_lowercase());
    }
    out
}

/// The actions that can have keys of their own, in the order of the table.
pub fn acts() -> Vec<Act> {
    let mut acts: Vec<Act> = Vec::new();
    for row in all().filter(|row| !row.is_fixed()) {
        if !acts.contains(&row.act) {
            acts.push(row.act);
        }
    }
    acts
}

fn wrong(place: Place, message: String, help: impl Into<String>) -> Finding {
    Finding::error(code::UNKNOWN_WORD, place, message, help)
}

fn place_of(entry: &KeyEntry, key: Press) -> Place {
    let named = |(text, _): &&(String, Place)| press(text).is_ok_and(|press| press == key);
    entry
        .keys
        .iter()
        .find(named)
        .map_or(entry.place, |(_, place)| *place)
}

/// One entry by itself.
fn one(entry: &KeyEntry) -> Result<(Act, Vec<Press>), Finding> {
    let acts = acts();
    let wanted = entry.action.to_lowercase().replace([' ', '_'], "-");
    let Some(act) = acts.iter().copied().find(|act| act_name(*act) == wanted) else {
        let names: Vec<String> = acts.iter().copied().map(act_name).collect();
        let known: Vec<&str> = names.iter().map(String::as_str).collect();
        let help = match nearest(&entry.action, &known) {
            Some(near) => format!("did you mean `{near}`?"),
            None => format!("the actions are: {}", known.join(", ")),
        };
        let message = format!("there is no action `{}`", entry.action);
        return Err(wrong(entry.place, message, help));
    };
    let mut keys = Vec::new();
    for (text, place) in &entry.keys {
        let press = press(text).map_err(|why| {
            wrong(
                *place,
                format!("`{text}`: {why}"),
                "write F5, Ctrl-E, Enter, Space, PgUp, or the letter itself",
            )
        })?;
        let picks = matches!(press.key, Key::Char('0'..='9')) && !press.ctrl;
        if picks {
            return Err(wrong(
                *place,
                format!("`{text}`: digits pick from lists and are typed"),
                "choose a letter, or Ctrl with a letter",
            ));
        }
        keys.push(press);
    }
    Ok((act, keys))
}

/// A key by its name.
///
/// # Errors
/// Says why it is none.
pub fn press(text: &str) -> Result<Press, String> {
    let text = text.trim();
    let lower = text.to_lowercase();
    if let Some(rest) = lower.strip_prefix("ctrl-").or(lower.strip_prefix("ctrl+")) {
        let mut letters = rest.chars();
        let (Some(letter), None) = (letters.next(), letters.next()) else {
            return Err("Ctrl goes with one letter".to_owned());
        };
        if let Some((_, why)) = TAKEN.iter().find(|(taken, _)| *taken == letter) {
            return Err((*why).to_owned());
        }
        return if letter.is_ascii_lowercase() {
            Ok(Press::ctrl(letter))
        } else {
            Err("Ctrl goes with one letter from A to Z".to_owned())
        };
    }
    let key = match lower.as_str() {
        "enter" => Key::Enter,
        "esc" => Key::Esc,
        "tab" => Key::Tab,
        "shift-tab" => Key::BackTab,
        "backspace" => Key::Backspace,
        "delete" => Key::Delete,
        "left" => Key::Left,
        "right" => Key::Right,
        "up" => Key::Up,
        "down" => Key::Down,
        "pgup" => Key::PageUp,
        "pgdn" => Key::PageDown,
        "home" => Key::Home,
        "end" => Key::End,
        "space" => Key::Char(' '),
        _ => {
            let number = lower.strip_prefix('f').and_then(|n| n.parse::<u8>().ok());
            let mut letters = text.chars();
            match (number, letters.next(), letters.next()) {
                (Some(n @ 1..=12), ..) => Key::F(n),
                (None, Some(c), None) if !c.is_control() => Key::Char(c),
                _ => return Err("it is no key".to_owned()),
            }
        }
    };
    Ok(Press::plain(key))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::settings::load;

    fn read(text: &str) -> (Own, Vec<(usize, usize, String)>) {
        let (settings, findings) = load(text);
        assert_eq!(findings, [], "{text}");
        let (own, findings) = Own::read(&settings.keys);
        let found = findings.into_iter().map(|f| {
            (
                f.place.line,
                f.place.column,
                format!("{} ({})", f.message, f.help),
            )
        });
        (own, found.collect())
    }

    #[test]
    fn every_key_of_the_table_can_be_written_in_the_settings() {
        for row in all().filter(|row| !row.is_fixed()) {
            for key in row.keys {
                assert_eq!(press(&name(*key)), Ok(*key), "{}", name(*key));
            }
        }
    }

    #[test]
    fn an_action_has_its_own_keys_and_others_keep_theirs() {
        let (own, found) = read("keys: {record: [Ctrl-A, z], complaint: F5}\n");
        assert_eq!(found, []);
        let names = |act| -> Vec<String> {
            let rows = all().filter(|row| row.act == act);
            rows.flat_map(|row| own.of(row)).map(name).collect()
        };
        assert_eq!(names(Act::Record), ["Ctrl-A", "z"]);
        assert_eq!(names(Act::Note), ["F3", "n"]);
    }

    #[test]
    fn two_actions_may_swap_their_keys() {
        let (own, found) = read("keys:\n  record: [F4, e]\n  correct: [F5, r]\n");
        assert_eq!(found, []);
        assert_ne!(own, Own::default());
    }

    #[test]
    fn what_clashes_is_named_with_its_place_and_left_out() {
        let (own, found) = read("keys:\n  record: [F4, r]\n  note: [F3, n]\n");
        assert_eq!(found.len(), 1, "{found:?}");
        assert_eq!((found[0].0, found[0].1), (2, 12));
        assert!(
            found[0].2.contains("F4 already stands for `correct`"),
            "{found:?}"
        );
        assert_eq!(own.0.keys().collect::<Vec<_>>(), [&Act::Note]);
        let (_, found) =
            read("keys:\n  complaint: F5\n  record: [Ctrl-A, r]\n  note: [Ctrl-A, n]\n");
        assert_eq!(found.len(), 1, "{found:?}");
        assert_eq!(found[0].0, 4);
    }

    #[test]
    fn what_is_no_action_and_no_key_is_named() {
        let (own, found) = read(
            "keys:\n  recrod: F5\n  note: F13\n  skip: Ctrl-M\n  codes: z\n  other: 3\n  quit: Ctrl-C\n",
        );
        assert_eq!(own, Own::default());
        let lines: Vec<usize> = found.iter().map(|f| f.0).collect();
        assert_eq!(lines, [2, 3, 4, 6, 7, 5], "{found:#?}");
        assert!(found[0].2.contains("did you mean `record`"), "{found:?}");
        assert!(found[5].2.contains("no letter"), "{found:?}");
    }

    #[test]
    fn leaving_is_never_taken_away() {
        let (own, found) = read("keys: {quit: Ctrl-A}\n");
        assert_eq!(found, []);
        let keys: Vec<String> = all()
            .filter(|row| row.act == Act::Quit)
            .flat_map(|row| own.of(row))
            .map(name)
            .collect();
        assert_eq!(keys, ["Ctrl-C", "Ctrl-Q", "Ctrl-A"]);
    }
}
