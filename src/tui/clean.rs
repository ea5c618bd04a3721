//! Makes text from files fit for a screen. Owns only that; knows nothing of what the text means.

use crate::job::hidden::is_hidden;

/// Takes out marks that turn the direction of writing or hide text, and turns control characters
/// into blanks: a flow or a job from somebody else must not be able to dress up a line.
pub fn clean(text: &str) -> String {
    text.chars()
        .filter_map(|c| match c {
            c if c.is_control() => Some(' '),
            c if is_hidden(c) => None,
            c => Some(c),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_turns_or_hides_text_goes_and_words_stay() {
        assert_eq!(clean("12 \u{202e}43\u{202c} kPa"), "12 43 kPa");
        assert_eq!(clean("a\u{200b}b\u{feff}"), "ab");
        assert_eq!(clean("bell\u{7} and\nline\u{1b}[2J"), "bell  and line [2J");
        assert_eq!(clean("Öl, 漢, µm"), "Öl, 漢, µm");
    }
}
