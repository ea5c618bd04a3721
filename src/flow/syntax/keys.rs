//! Slips in how keys are put together: a colon or braces forgotten, and old lines left below a key
//! that has a new value.

use super::slips::open_brackets;
use super::{Slip, Spot};

/// A key in braces whose colon was forgotten: `{drop {above: 22 K}}`.
pub(super) fn no_colon_before_brace(spot: &Spot) -> Option<Slip> {
    if !spot.says(&[
        "mapping values are not allowed",
        "did not find expected ',' or '}'",
        "did not find expected ',' or ']'",
    ]) {
        return None;
    }
    // The bracket may be the very place that was stumbled over.
    let before = spot.text.get(spot.line_start..)?;
    let until = spot.at - spot.line_start;
    let until = until
        + before
            .get(until..)?
            .chars()
            .next()
            .map_or(0, char::len_utf8);
    let before = before.get(..until)?;
    let (brace, _) = before
        .char_indices()
        .rev()
        .find(|(_, c)| matches!(c, '{' | '['))?;
    let begins = before[..brace]
        .rfind(['{', ',', '['])
        .map_or(0, |at| at + 1);
    let key = before[begins..brace].trim();
    let is_key = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || matches!(c, '-' | ' ');
    if key.is_empty() || begins == 0 || !key.chars().all(is_key) {
        return None;
    }
    let start = spot.line_start + begins + before[begins..brace].find(key)?;
    let bracket = &before[brace..=brace];
    Some(Slip {
        start,
        end: start + key.len(),
        message: format!("there is no colon after `{key}`"),
        help: format!("write a colon and a blank before the bracket: {key}: {bracket}..."),
    })
}

/// Conditions joined by a word: `{a: {below: 3 s}} or {b: {is: loud}}`.
pub(super) fn joined_by_a_word(spot: &Spot) -> Option<Slip> {
    const JOINS: [(&str, &str); 2] = [
        (
            "or",
            "for either of the two, write any: [{first}, {second}]",
        ),
        (
            "and",
            "for both, write them into one set of braces with a comma between: {first, second}",
        ),
    ];
    if !spot.says(&[
        "mapping values are not allowed",
        "did not find expected ',' or '}'",
        "did not find expected ',' or ']'",
        "did not find expected key",
    ]) {
        return None;
    }
    JOINS.iter().find_map(|(word, help)| {
        let at = spot.line.find(&format!("}} {word} "))? + 2;
        let help = if spot.line[at..].starts_with(&format!("{word} {{")) {
            (*help).to_owned()
        } else {
            joined_within(spot, at, word)?
        };
        Some(Slip {
            start: spot.line_start + at,
            end: spot.line_start + at + word.len(),
            message: format!("conditions are not joined by `{word}`"),
            help,
        })
    })
}

/// What to write for `{kept: {below: 90 %} or end: {below: 10 kPa}}`: two conditions in one set of braces.
fn joined_within(spot: &Spot, at: usize, word: &str) -> Option<String> {
    let (open, _) = *open_brackets(spot.text, spot.line_start + at).last()?;
    let first = spot.text.get(open + 1..spot.line_start + at)?.trim();
    let rest = spot.line.get(at + word.len()..)?.trim_start();
    let (subject, check) = rest.split_once(": {")?;
    let second = balanced(rest).trim_end();
    if first.contains('\n') || subject.contains(' ') || check.is_empty() {
        return None;
    }
    Some(match word {
        "or" => format!("write {{any: [{{{first}}}, {{{second}}}]}}"),
        _ => format!("write {{{first}, {second}}}"),
    })
}

/// Keys that usually begin a set.
const FIRST: [&str; 9] = [
    "flow",
    "id",
    "when",
    "ask",
    "name",
    "title",
    "text",
    "from",
    "ruleout-mapping",
];

/// `flow my-test` for `flow: my-test`: without its colon the first line of a set is a text, and the next line goes on
/// with it.
pub(super) fn no_colon_in_the_first(spot: &Spot) -> Option<Slip> {
    let here = spot.says(&["comment intercepting"]);
    let above = spot.says(&["mapping values are not allowed"])
        && !spot.before_second_value()?.contains(": ");
    if !here && !above {
        return None;
    }
    let mut end = spot.line_start + if here { spot.line.len() } else { 0 };
    loop {
        let start = spot.text.get(..end)?.rfind('\n').map_or(0, |at| at + 1);
        let line = spot.text.get(start..end)?;
        let words = line.split(" #").next().unwrap_or_default().trim_end();
        if !words.is_empty() && !words.starts_with('#') {
            return without_colon(words, start);
        }
        end = start.checked_sub(1)?;
    }
}

/// Words above the first key of a file, such as a heading without its number sign: the first key reads as a second
/// value of theirs.
pub(super) fn words_at_the_top(spot: &Spot) -> Option<Slip> {
    let key = spot.before_second_value()?;
    let above = spot.text.get(..spot.line_start)?;
    let mut start = 0;
    let mut first = None;
    for line in above.split_inclusive('\n') {
        let words = line.trim_start_matches('\u{feff}').trim();
        if !words.is_empty() && !words.starts_with('#') {
            // With a key above it this is a line within a set, and another mistake.
            if words.contains(": ") || words.ends_with(':') || words.starts_with("- ") {
                return None;
            }
            first = first.or(Some((start + line.find(words)?, words)));
        }
        start += line.len();
    }
    let (start, words) = first?;
    (!key.starts_with(' ')).then(|| Slip {
        start,
        end: start + words.len(),
        message: format!("this line is no key with its value, and `{key}:` is to be the first"),
        help:
            "delete it, or begin it with a number sign and a blank, which makes it a remark: # ..."
                .to_owned(),
    })
}

/// The slip in a line that begins at a byte offset, where its first word is a key.
fn without_colon(line: &str, start: usize) -> Option<Slip> {
    let words = line.trim_start().trim_start_matches("- ").trim_start();
    let start = start + line.len() - words.len();
    if let Some((key, value)) = words.split_once(':')
        && FIRST.contains(&key)
        && !value.starts_with(' ')
        && !value.is_empty()
    {
        return Some(Slip {
            start,
            end: start + words.len(),
            message: format!("there is no blank after the colon of `{key}`"),
            help: format!("write {key}: {value}"),
        });
    }
    let (key, value) = words.split_once(' ')?;
    FIRST.contains(&key).then(|| Slip {
        start,
        end: start + words.len(),
        message: format!("there is no colon after `{key}`"),
        help: format!("write {key}: {}", value.trim_start_matches(['=', ' '])),
    })
}

/// Keys whose value is a set of keys in braces, so that a colon after them is no text's.
const IN_BRACES: [&str; 8] = [
    "go",
    "skip to",
    "when",
    "valid when",
    "only if",
    "unsure",
    "not valid",
    "retest",
];

/// `go: repair: core` for `go: {repair: core}`.
pub(super) fn no_braces(spot: &Spot) -> Option<Slip> {
    let before = spot.before_second_value()?;
    let (head, _) = before.rsplit_once(": ")?;
    let key = head.rsplit(['{', ',', '[']).next()?.trim();
    let key = key.trim_start_matches("- ");
    if !IN_BRACES.contains(&key) {
        return None;
    }
    let start = spot.line_start + head.len() + 2;
    let rest = spot.text.get(start..spot.line_start + spot.line.len())?;
    // On a line of its own a comma parts the keys that are to stand in the braces.
    let value = if before.contains(['{', '[']) {
        balanced(rest)
    } else {
        rest.split(" #").next().unwrap_or(rest)
    };
    let value = value.trim_end();
    Some(Slip {
        start,
        end: start + value.len(),
        message: format!("what stands after `{key}:` wants braces"),
        help: format!("write {{{value}}}"),
    })
}

/// The text up to the comma or bracket that ends it, those within brackets of its own left out.
fn balanced(text: &str) -> &str {
    let mut open = 0_usize;
    for (at, c) in text.char_indices() {
        match c {
            '{' | '[' => open += 1,
            ',' | '}' | ']' if open == 0 => return &text[..at],
            '}' | ']' => open -= 1,
            _ => {}
        }
    }
    text
}

/// Whether a line is words rather than a key with its value.
fn is_text(line: &str) -> bool {
    let key = line.split_once(':').map_or(line, |(key, _)| key).trim();
    key.starts_with(char::is_uppercase) || key.matches(' ').count() > 1
}

/// A line that is indented below a key which has its value already: most often what was left over
/// when the key was given a new one.
pub(super) fn left_over(spot: &Spot) -> Option<Slip> {
    if !spot.says(&[
        "mapping values are not allowed",
        "did not find expected key",
        "did not find expected <document start>",
        "simple key expected",
    ]) {
        return None;
    }
    let indent = |line: &str| line.len() - line.trim_start().len();
    let is_words = |line: &&str| !line.trim().is_empty() && !line.trim_start().starts_with('#');
    let above = spot.text.get(..spot.line_start)?;
    let here = indent(spot.line);
    let (n, parent) = above
        .lines()
        .enumerate()
        .filter(|(_, line)| is_words(line))
        .filter(|(_, line)| indent(line) < here)
        .last()?;
    let (key, value) = parent.split_once(": ")?;
    let (key, value) = (key.trim().trim_start_matches("- "), value.trim());
    let holds_text = matches!(value.chars().next()?, '|' | '>');
    if holds_text || value.starts_with('#') || parent.trim_start().starts_with("- ") {
        return None;
    }
    let message = format!(
        "`{key}` has its value in line {} already, and this line is indented below it",
        n + 1
    );
    let own = format!(
        "if it is a key of its own, begin it in column {}",
        indent(parent) + 1
    );
    let like = |text: &str| {
        let value = text.split_once(": ").map(|(_, value)| value.trim_start());
        value.is_some_and(|value| value.starts_with('{'))
    };
    let help = if like(parent) && like(spot.line) {
        format!(
            "begin it in column {}, as the one above it; or delete it, if it is left over",
            indent(parent) + 1
        )
    } else if value.starts_with(['{', '[']) {
        format!(
            "delete what is left over below `{key}`, every line that is still indented; or, {own}"
        )
    } else if is_text(spot.line) {
        format!(
            "delete what is left over below `{key}`; or, if it belongs to its text, write {key}: >- and put all \
             words below"
        )
    } else {
        format!("delete what is left over below `{key}`; or, {own}")
    };
    Some(spot.whole_line(message, help))
}
