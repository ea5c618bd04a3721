//! Text from jobs, made fit for paper: characters that cannot be seen are taken out.

pub use crate::engine::shown::{capital as sentence, words as listed};
use crate::job::hidden::is_hidden;

/// A text on one line: line ends and runs of blanks become one blank, hidden characters go. A
/// no-break space is no blank: it stays.
pub fn line(text: &str) -> String {
    let blank = |c: char| c.is_whitespace() && c != '\u{a0}';
    let visible: String = text
        .chars()
        .map(|c| if blank(c) { ' ' } else { c })
        .filter(|c| !is_hidden(*c))
        .collect();
    let words = visible.split(' ').filter(|word| !word.is_empty());
    words.collect::<Vec<_>>().join(" ")
}

/// The lines of a text, each as [`line`] makes it; empty ones at both ends are left out.
pub fn lines(text: &str) -> Vec<String> {
    let text = text.replace("\r\n", "\n").replace('\r', "\n");
    let all: Vec<String> = text.split('\n').map(line).collect();
    let from = all.iter().position(|l| !l.is_empty()).unwrap_or(all.len());
    let to = all
        .iter()
        .rposition(|l| !l.is_empty())
        .map_or(from, |at| at + 1);
    all[from..to].to_vec()
}

/// The name of a cause. Where the flow gave it none it is called by its id, which is no name for paper: its words, the
/// first with a capital.
pub fn named(id: &str, name: &str) -> String {
    let words = id.replace('-', " ");
    if name == id || name == words {
        sentence(&words)
    } else {
        name.to_owned()
    }
}

/// A text that ends as a sentence does.
pub fn stopped(text: &str) -> String {
    let text = text.trim();
    if text.is_empty() || text.ends_with(['.', '!', '?', ':']) {
        text.to_owned()
    } else {
        format!("{text}.")
    }
}

/// "a", "a and b", "a, b and c".
pub fn joined<T: AsRef<str>>(words: &[T]) -> String {
    match words {
        [] => String::new(),
        [one] => one.as_ref().to_owned(),
        [most @ .., last] => {
            let most: Vec<&str> = most.iter().map(AsRef::as_ref).collect();
            format!("{} and {}", most.join(", "), last.as_ref())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_cannot_be_seen_is_taken_out() {
        assert_eq!(line("a\u{1b}[31m b\u{202e}c\u{0}\r\n d\te"), "a[31m bc d e");
        assert_eq!(
            lines("\r\n one \n\n two\u{200b}\r three\n"),
            ["one", "", "two", "three"]
        );
        assert_eq!(lines(""), Vec::<String>::new());
    }

    #[test]
    fn a_cause_without_a_name_is_called_by_the_words_of_its_id() {
        assert_eq!(named("drain-blocked", "drain-blocked"), "Drain blocked");
        assert_eq!(named("drain-blocked", "drain blocked"), "Drain blocked");
        assert_eq!(named("hose", "Hose cracked"), "Hose cracked");
    }

    #[test]
    fn words_are_joined_as_people_say_them() {
        assert_eq!(joined(&["a", "b", "c"]), "a, b and c");
        assert_eq!(joined(&["a"]), "a");
        assert_eq!(stopped("It holds"), "It holds.");
        assert_eq!(sentence("übel"), "Übel");
    }
}
