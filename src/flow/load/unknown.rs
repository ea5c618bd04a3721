//! Keys that are not known where they stand, and what was probably meant by them.

use super::super::finding::code;
use super::super::node::{Node, Tree};
use super::super::syntax::quoted;
use super::fields::Findings;
use super::near::{listed, nearest};

/// Words that people write for a key.
const OTHERS: [(&str, &[&str]); 9] = [
    ("when", &["if", "condition", "where"]),
    ("go", &["then", "next", "goto", "go to", "leads to"]),
    ("because", &["reason", "why", "text"]),
    ("do", &["action", "instruction", "text", "what to do"]),
    ("ask", &["question", "prompt", "text"]),
    ("title", &["name"]),
    ("name", &["title"]),
    ("record", &["read", "reads", "readings", "measure"]),
    ("beware", &["warning", "note", "caution"]),
];

/// Keys of which the value is a list.
const LISTS: [&str; 13] = [
    "places",
    "choices",
    "record",
    "show",
    "cautions",
    "seal",
    "open",
    "rules out",
    "codes",
    "symptoms",
    "any of",
    "none of",
    "parts",
];

/// How the message about a list without its brackets ends.
pub(super) const NO_BRACKETS: &str = "its square brackets are missing";

/// The key that is meant by another word for it.
pub(super) fn meant<'k>(word: &str, keys: &[&'k str]) -> Option<&'k str> {
    let word = word.to_lowercase();
    OTHERS
        .iter()
        .filter(|(_, others)| others.contains(&word.as_str()))
        .find_map(|(key, _)| keys.iter().find(|known| *known == key))
        .copied()
}

/// A list whose brackets were forgotten: a key with its first word, and the words that commas parted
/// from it, each of which reads as a key without a value. Says how many those are.
pub(super) fn list_without_brackets(pairs: &[(Node, Node)], out: &mut Findings) -> usize {
    let Some(((key, first), rest)) = pairs.split_first() else {
        return 0;
    };
    let (Some(name), Some(word)) = (key.text(), first.text()) else {
        return 0;
    };
    let parted = rest.iter().take_while(|(key, value)| {
        value.tree == Tree::Empty && key.text().is_some_and(|word| !word.contains(':'))
    });
    let words: Vec<&str> = parted.filter_map(|(key, _)| key.text()).collect();
    if !LISTS.contains(&name) || words.is_empty() {
        return 0;
    }
    out.error(
        code::WRONG_SHAPE,
        first.place,
        format!("`{name}` is a list, and {NO_BRACKETS}"),
        format!("write {name}: [{word}, {}]", words.join(", ")),
    );
    words.len()
}

/// Keys of which the value is a sentence.
const TEXTS: [&str; 6] = ["ask", "because", "beware", "do", "help", "repair"];

/// A sentence that commas have cut into several parts, of which one may read as a key by chance. Says how many follow
/// the first.
pub(super) fn text_in_parts(pairs: &[(Node, Node)], out: &mut Findings) -> usize {
    let Some(((key, first), rest)) = pairs.split_first() else {
        return 0;
    };
    let (Some(name), Some(text)) = (key.text(), first.text()) else {
        return 0;
    };
    let parted = rest.iter().take_while(|(key, value)| {
        value.tree == Tree::Empty && key.text().is_some_and(|word| !word.contains(':'))
    });
    let parts: Vec<&Node> = parted.map(|(key, _)| key).collect();
    let is_sentence = |part: &&Node| part.text().is_some_and(|text| text.contains(' '));
    if !TEXTS.contains(&name) || parts.len() < 2 || !parts.iter().any(is_sentence) {
        return 0;
    }
    let words: Vec<&str> = parts.iter().filter_map(|part| part.text()).collect();
    // Of two quotation marks the first may have been forgotten.
    let whole = format!("{text}, {}", words.join(", "));
    let whole = whole.trim_end_matches('"');
    out.error(
        code::UNKNOWN_KEY,
        parts[0].place,
        format!("a comma parts `{}` from the text before it", words[0]),
        format!("put the whole text in quotes: {name}: {}", quoted(whole)),
    );
    parts.len()
}

/// The words of a list that stands without its brackets on a line of its own: `record: start, end`.
pub(super) fn words_without_brackets(
    node: &Node,
    key: &str,
    out: &mut Findings,
) -> Option<Vec<String>> {
    let text = node.text()?;
    // Words of which one is chosen are often parted by a stroke.
    let each_alone = matches!(key, "record" | "show" | "rules out" | "codes" | "parts");
    let parted_by = [", ", "; ", " and ", " / ", "/", " | "].iter().find(|by| {
        let fits = match **by {
            ", " | "; " => true,
            // Two places may well be "hose and joint".
            " and " => each_alone,
            _ => key == "choices",
        };
        fits && text.contains(**by)
    })?;
    if !LISTS.contains(&key) {
        return None;
    }
    let words: Vec<String> = text
        .split(if *parted_by == " and " {
            " and "
        } else {
            parted_by.trim()
        })
        .map(|word| word.trim().to_owned())
        .collect();
    out.error(
        code::WRONG_SHAPE,
        node.place,
        format!("`{key}` is a list, and {NO_BRACKETS}"),
        format!("write {key}: [{}]", words.join(", ")),
    );
    Some(words)
}

/// Reports a key that is not among those known; what has no value is most often not meant as one.
pub(super) fn unknown_key(key: &Node, empty: bool, what: &str, keys: &[&str], out: &mut Findings) {
    let word = key.text().unwrap_or_default();
    let head = word.split([' ', ':']).next().unwrap_or_default();
    let (message, help) = if word.contains(['\u{201c}', '\u{201d}', '\u{201e}']) {
        (
            format!("`{word}` has curly quotes, which hold no text together"),
            "write straight ones, as in because: \"It leaks, but little\"".to_owned(),
        )
    } else if empty && word.starts_with(|c: char| c.is_ascii_digit()) {
        (
            format!("a comma parts `{word}` from what stands before it"),
            "write a decimal point, not a comma, such as 2.5 kPa".to_owned(),
        )
    } else if empty && word.ends_with('"') && word.matches('"').count() == 1 {
        (
            format!("`{word}` ends with a quotation mark, and the one before its text is missing"),
            "put one in front of the text as well, as in because: \"It leaks, but little\""
                .to_owned(),
        )
    } else if empty && head.len() < word.len() && keys.contains(&head) {
        let rest = word[head.len()..].trim_start_matches([' ', ':', '=']);
        (
            format!("the key `{head}` wants a colon and a blank after it"),
            format!("write {head}: {rest}"),
        )
    } else if let Some(help) = elsewhere(word, what) {
        (format!("{what} has no key `{word}`"), help.to_owned())
    } else if let Some(meant) = meant(word, keys) {
        (
            format!("{what} has no key `{word}`"),
            format!("write `{meant}`"),
        )
    } else if let Some(near) = nearest(word, keys) {
        (
            format!("{what} has no key `{word}`"),
            format!("did you mean `{near}`?"),
        )
    } else if empty && word.contains(' ') {
        (
            format!("a comma parts `{word}` from the text before it"),
            "put the whole text in quotes, as in because: \"It leaks, but little\"".to_owned(),
        )
    } else {
        (
            format!("{what} has no key `{word}`"),
            format!("its keys are: {}", listed(keys)),
        )
    };
    out.error(code::UNKNOWN_KEY, key.place, message, help);
}

/// Where a key belongs that stands in another set.
fn elsewhere(word: &str, what: &str) -> Option<&'static str> {
    Some(match (what, word) {
        ("a step", "go" | "when" | "because" | "repair" | "proved" | "rules out") => {
            "it belongs to an outcome, as outcomes: [{when: always, go: the-next-step}]"
        }
        ("an outcome", "repair") => "write the cause behind go, as go: {repair: its-id}",
        ("an outcome", "flow") => "write the flow behind go, as go: {flow: its-id}",
        (
            "a gauge",
            "ask" | "unit" | "plausible" | "choices" | "places" | "never above" | "gauge",
        ) => "a reading has it: write a line readings: above the first reading, in column 1",
        _ => return None,
    })
}
