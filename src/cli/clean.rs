//! Text from files, made fit for a terminal.

use std::fmt::Write;

use crate::job::hidden::is_hidden;

/// Takes out control characters, escape sequences and marks that turn the direction of writing.
/// Tabs and line ends stay.
pub fn clean(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(c) = rest.chars().next() {
        if matches!(
            c,
            '\u{1b}' | '\u{90}' | '\u{98}' | '\u{9b}' | '\u{9d}' | '\u{9e}' | '\u{9f}'
        ) {
            rest = after_sequence(rest);
            continue;
        }
        if c == '\n' || c == '\t' || !is_hidden(c) {
            out.push(c);
        }
        rest = &rest[c.len_utf8()..];
    }
    out
}

/// As [`clean`], on one line: each run of blanks and line ends becomes one blank.
pub fn one_line(text: &str) -> String {
    clean(&text.replace('\r', " "))
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ")
}

/// JSON text that is safe on a terminal and still says the same: what cannot be seen is spelled
/// out. In JSON such characters can stand inside strings only, so the text stays valid.
pub fn clean_json(json: &str) -> String {
    let mut out = String::with_capacity(json.len());
    for c in json.chars() {
        if c == '\n' || !is_hidden(c) {
            out.push(c);
        } else {
            for unit in c.encode_utf16(&mut [0; 2]) {
                // Writing to a String cannot fail.
                let _ = write!(out, "\\u{unit:04x}");
            }
        }
    }
    out
}

/// What follows an escape sequence (ECMA-48, 5.4 and 5.6) at the start of the text. A sequence that
/// does not end takes only its first characters with it, so that it cannot swallow what follows.
fn after_sequence(text: &str) -> &str {
    let mut chars = text.chars();
    let first = chars.next();
    let seven_bit = first == Some('\u{1b}');
    let kind = if seven_bit {
        chars.clone().next()
    } else {
        first
    };
    let body = match (seven_bit, kind) {
        (true, Some(c)) if (' '..='~').contains(&c) => {
            chars.next();
            chars.as_str()
        }
        _ => chars.as_str(),
    };
    match kind {
        Some('[' | '\u{9b}') => after_control(body),
        Some(']' | 'P' | 'X' | '^' | '_') if seven_bit => after_string(body),
        Some('\u{90}' | '\u{98}' | '\u{9d}' | '\u{9e}' | '\u{9f}') if !seven_bit => {
            after_string(body)
        }
        // Intermediates (as in `ESC ( B`), then one final character.
        Some(' '..='/') if seven_bit => {
            let body = body.trim_start_matches(|c: char| (' '..='/').contains(&c));
            body.strip_prefix(|c: char| ('0'..='~').contains(&c))
                .unwrap_or(body)
        }
        _ => body,
    }
}

/// Parameters and intermediates up to the final character of a control sequence.
fn after_control(body: &str) -> &str {
    let end = body.trim_start_matches(|c: char| (' '..='?').contains(&c));
    end.strip_prefix(|c: char| ('@'..='~').contains(&c))
        .unwrap_or(body)
}

/// A control string up to its terminator (ST, or BEL as terminals accept).
fn after_string(body: &str) -> &str {
    let ends = [("\u{7}", 1), ("\u{1b}\\", 2), ("\u{9c}", 2)];
    let end = ends
        .iter()
        .filter_map(|(mark, len)| body.find(mark).map(|at| at + len))
        .min();
    // A title or a link has no line end in it: a terminator beyond one belongs to something else.
    match end {
        Some(end) if !body[..end].contains('\n') => &body[end..],
        _ => body,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn escape_sequences_and_controls_go_and_text_stays() {
        assert_eq!(clean("\u{1b}[31mred\u{1b}[0m"), "red");
        assert_eq!(clean("\u{9b}2Jgone"), "gone");
        assert_eq!(clean("\u{1b}]0;title\u{7}plate"), "plate");
        assert_eq!(
            clean("\u{1b}]8;;http://x\u{1b}\\link\u{1b}]8;;\u{1b}\\"),
            "link"
        );
        assert_eq!(clean("\u{1b}(Bplain\u{1b}c"), "plain");
        assert_eq!(clean("a\rb\u{8}c\u{7f}d\0"), "abcd");
        assert_eq!(clean("12 \u{202e}43\u{202c} x"), "12 43 x");
        assert_eq!(clean("a\tb\nc ü 漢 🔧"), "a\tb\nc ü 漢 🔧");
    }

    #[test]
    fn an_unfinished_sequence_does_not_swallow_what_follows() {
        assert_eq!(clean("\u{1b}]0;no end of it"), "0;no end of it");
        assert_eq!(clean("\u{1b}]0;no\nend\u{7}"), "0;no\nend");
        assert_eq!(clean("\u{1b}[12ü"), "12ü");
        assert_eq!(clean("end\u{1b}"), "end");
        assert_eq!(clean("\u{1b}\u{1b}[1mx"), "x");
    }

    #[test]
    fn one_line_is_one_line() {
        assert_eq!(
            one_line(" rough\r\n idle\t cold\u{1b}[2J "),
            "rough idle cold"
        );
    }

    #[test]
    fn json_stays_the_same_value_with_nothing_hidden_in_it() {
        let text = "a\u{9b}2J\u{202e}b\u{7f}\u{e0041}ü\n";
        let json = clean_json(&serde_json::to_string(text).expect("text"));
        assert!(!json.chars().any(is_hidden), "{json}");
        assert_eq!(serde_json::from_str::<String>(&json).expect("valid"), text);
    }

    proptest::proptest! {
        #[test]
        fn nothing_hidden_is_left_and_cleaning_twice_is_cleaning_once(text in "(\\PC|[\\x00-\\x9f]|\u{1b}\\[|\u{1b}\\]|\u{202e}){0,40}") {
            let once = clean(&text);
            proptest::prop_assert!(!once.chars().any(|c| is_hidden(c) && c != '\n' && c != '\t'));
            proptest::prop_assert_eq!(clean(&once), once);
        }
    }
}
