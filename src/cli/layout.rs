//! Small helpers for text on a terminal: lines of a width, and counted things.

use crate::units::together::{NO_BREAK, together};

/// A text in lines of at most so many letters, as far as its words allow.
pub fn wrapped(text: &str, width: usize) -> String {
    let mut out = String::new();
    let mut room = width;
    let text = together(text);
    for word in text.split(' ') {
        let long = word.chars().count();
        if out.is_empty() {
            room = width.saturating_sub(long);
        } else if long < room {
            out.push(' ');
            room -= long + 1;
        } else {
            out.push('\n');
            room = width.saturating_sub(long);
        }
        out.push_str(word);
    }
    out.replace(NO_BREAK, " ")
}

/// A head and a text beside it, wrapped so that the text keeps its column.
pub fn beside(head: &str, text: &str, column: usize, width: usize) -> String {
    let body = wrapped(text, width.saturating_sub(column));
    let gap = " ".repeat(column.saturating_sub(head.chars().count()));
    let indent = format!("\n{}", " ".repeat(column));
    format!("{head}{gap}{}\n", body.replace('\n', &indent))
}

/// "1 file", "2 files".
pub fn counted(n: usize, what: &str) -> String {
    let plural = if n == 1 { "" } else { "s" };
    format!("{n} {what}{plural}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_go_on_in_the_next_line_and_keep_their_column() {
        assert_eq!(wrapped("one two three", 7), "one two\nthree");
        assert_eq!(wrapped("a-word-too-long x", 4), "a-word-too-long\nx");
        assert_eq!(wrapped("", 4), "");
        assert_eq!(
            beside(" 7", "one two three", 4, 11),
            " 7  one two\n    three\n"
        );
    }
}
