//! More words on every kind of finding: what it is, why it matters, and an example of either side.
//!
//! One table, which `ruleout check --explain CODE` prints. The texts are for somebody who writes
//! flows and has never programmed. Nothing here looks at a flow.

mod table;

use crate::flow::finding::code;
use crate::flow::{cautions, system};
use table::explanations;

/// More words on one code.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Explanation {
    /// The code, as findings show it.
    pub code: &'static str,
    /// What is wrong.
    pub what: &'static str,
    /// What happens beside the car if it stays so.
    pub why: &'static str,
    /// What it looks like.
    pub before: &'static str,
    /// What to write instead.
    pub after: &'static str,
}

/// The explanation of a code.
pub fn explain(code: &str) -> Option<&'static Explanation> {
    explanations().find(|explanation| explanation.code == code)
}

/// The words that can stand there, where a code is about one of a fixed set that is not in the schema
/// alone, each with what it is; nothing where the word says it.
pub fn words_for(explanation: &Explanation) -> Vec<(&'static str, &'static str)> {
    match explanation.code {
        code::UNKNOWN_CAUTION => cautions::all()
            .iter()
            .map(|caution| (caution.id, caution.title))
            .collect(),
        code::UNKNOWN_SYSTEM => system::KNOWN.iter().map(|word| (*word, "")).collect(),
        _ => Vec::new(),
    }
}

/// All explanations, from the text of the file to what a whole flow must hold.
pub fn all() -> impl Iterator<Item = &'static Explanation> {
    explanations()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The codes, out of the source in which they are declared: nobody can add one and forget it.
    fn codes() -> Vec<&'static str> {
        include_str!("../flow/finding.rs")
            .lines()
            .filter_map(|line| line.trim().strip_prefix("pub const "))
            .filter_map(|line| line.split('"').nth(1))
            .collect()
    }

    #[test]
    fn every_code_is_explained_once_and_nothing_else_is() {
        let mut declared = codes();
        assert!(declared.len() > 30, "{declared:?}");
        let mut explained: Vec<&str> = all().map(|e| e.code).collect();
        declared.sort_unstable();
        explained.sort_unstable();
        assert_eq!(explained, declared);
    }

    #[test]
    fn every_explanation_is_whole() {
        for e in all() {
            for text in [e.what, e.why, e.before, e.after] {
                assert!(!text.trim().is_empty(), "{}", e.code);
            }
            assert_ne!(e.before, e.after, "{}", e.code);
            let widest = e.before.lines().chain(e.after.lines()).map(str::len).max();
            assert!(widest.is_some_and(|widest| widest <= 110), "{}", e.code);
        }
    }
}
