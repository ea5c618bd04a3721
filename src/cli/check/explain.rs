//! `ruleout check --explain CODE`: more words on one kind of finding.

use std::fmt::Write;

use serde_json::json;

use super::super::layout::{beside, wrapped};
use super::super::{CliError, Outcome, clean_json, print};
use crate::check::explain::{Explanation, all, explain, words_for};
use crate::flow::load::nearest;

const WIDTH: usize = 80;

/// Prints the explanation of a code; all codes, each in a line or two, where none is named.
///
/// # Errors
/// For a code that there is not, and where the result cannot be printed.
pub fn run(code: &str, as_json: bool) -> Result<Outcome, CliError> {
    let asked = code.trim().to_lowercase();
    let chosen: Vec<&Explanation> = if asked.is_empty() {
        all().collect()
    } else {
        let found = explain(&asked).ok_or_else(|| unknown(code, &asked))?;
        vec![found]
    };
    print(&match (as_json, chosen.as_slice()) {
        (true, chosen) => json_of(chosen),
        (false, [one]) => page(one),
        (false, many) => list(many),
    })?;
    Ok(Outcome::Fine)
}

fn unknown(code: &str, asked: &str) -> CliError {
    let codes: Vec<&str> = all().map(|e| e.code).collect();
    let remedy = match nearest(asked, &codes).and_then(explain) {
        Some(near) => format!(
            "did you mean `{}` ({})?",
            near.code,
            first_sentence(near.what)
        ),
        None => format!("these are all:\n\n{}", list(&all().collect::<Vec<_>>())),
    };
    CliError::NoCode {
        code: code.to_owned(),
        remedy,
    }
}

fn page(e: &Explanation) -> String {
    let indented = |text: &str| {
        let lines = text.lines().map(|line| format!("    {line}"));
        lines.collect::<Vec<_>>().join("\n")
    };
    let words = words_for(e);
    let lines = words.iter().map(|(word, line)| (*word, *line));
    let words = match words.as_slice() {
        [] => String::new(),
        [(_, ""), ..] => {
            let words: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
            wrapped(&format!("All of them: {}.", words.join(", ")), WIDTH) + "\n\n"
        }
        _ => format!("All of them:\n\n{}\n", in_columns(lines)),
    };
    format!(
        "{}\n\n{}\n\n{}\n\n{words}Instead of\n\n{}\n\nwrite\n\n{}\n",
        e.code,
        wrapped(e.what, WIDTH),
        wrapped(e.why, WIDTH),
        indented(e.before),
        indented(e.after)
    )
}

fn list(all: &[&Explanation]) -> String {
    in_columns(all.iter().map(|e| (e.code, first_sentence(e.what))))
}

/// Words, each with its line beside it.
fn in_columns<'w>(words: impl Iterator<Item = (&'w str, &'w str)> + Clone) -> String {
    let column = words.clone().map(|(word, _)| word.len()).max().unwrap_or(0) + 2;
    let mut out = String::new();
    for (word, line) in words {
        let _ = write!(out, "{}", beside(word, line, column, WIDTH));
    }
    out
}

fn first_sentence(text: &str) -> &str {
    let first = text.split_once(". ").map_or(text, |(first, _)| first);
    first.trim_end_matches('.')
}

fn json_of(chosen: &[&Explanation]) -> String {
    let one = |e: &&Explanation| json!({"code": e.code, "what": e.what, "why": e.why, "before": e.before, "after": e.after, "words": words_for(e).iter().map(|(word, _)| *word).collect::<Vec<_>>()});
    let list: Vec<_> = chosen.iter().map(one).collect();
    clean_json(&format!("{:#}\n", json!({ "explanations": list })))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_page_fits_a_narrow_terminal_but_for_its_examples() {
        for e in all() {
            for line in [e.what, e.why].map(|text| wrapped(text, WIDTH)) {
                assert!(
                    line.lines().all(|line| line.chars().count() <= WIDTH),
                    "{line}"
                );
            }
            assert!(page(e).contains(e.code));
        }
        assert!(
            list(&all().collect::<Vec<_>>())
                .lines()
                .all(|l| l.chars().count() <= WIDTH)
        );
    }
}
