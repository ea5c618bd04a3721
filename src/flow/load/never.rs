//! Conditions that contradict themselves: a `valid when` or `only if` that nothing can meet.
//!
//! Such a step counts never, such a reading is asked on no car; said here once, at its own line, and not by everything
//! that follows from it. Only the checks that must all hold are looked at, by what they say themselves.

use std::collections::{BTreeMap, BTreeSet};

use super::super::condition::{Check, Condition, NOWHERE};
use super::super::finding::code;
use super::super::node::Node;
use super::conditions::condition;
use super::fields::Findings;
use super::scope::{Meaning, Scope};

/// Loads the condition of a key, and reports one that can never hold.
pub fn that_can_hold(
    node: &Node,
    key: &str,
    scope: &Scope,
    out: &mut Findings,
) -> Option<Condition> {
    let loaded = condition(node, scope, out)?;
    if let Some(subject) = clash(&loaded, scope) {
        out.error(
            code::NEVER_HOLDS,
            node.place,
            format!("this `{key}` never holds: its own checks on `{subject}` leave nothing"),
            "mend one of them: they exclude one another; for either of them, write any: [{...}, {...}]",
        );
    }
    Some(loaded)
}

/// The subject whose checks exclude one another.
fn clash<'c>(condition: &'c Condition, scope: &Scope) -> Option<&'c str> {
    if let Condition::Any(parts) = condition {
        let mut clashes = parts.iter().map(|part| clash(part, scope));
        let first = clashes.next()??;
        return clashes.all(|clash| clash.is_some()).then_some(first);
    }
    let mut left: BTreeMap<&str, Left> = BTreeMap::new();
    for (subject, check) in together(condition) {
        let of_it = left
            .entry(subject)
            .or_insert_with(|| Left::all(scope.get(subject)));
        if !of_it.narrow(check) {
            return Some(subject);
        }
    }
    let Condition::All(parts) = condition else {
        return None;
    };
    parts.iter().find_map(|part| clash(part, scope))
}

/// The checks that must all hold.
fn together(condition: &Condition) -> Vec<(&str, &Check)> {
    match condition {
        Condition::All(parts) => parts.iter().flat_map(together).collect(),
        Condition::Test { subject, check } => vec![(subject, check)],
        Condition::Any(_) | Condition::None(_) | Condition::Always => Vec::new(),
    }
}

/// What a value can still be.
struct Left {
    /// The least, the most, and whether each counts itself; SI.
    low: (f64, bool),
    high: (f64, bool),
    /// The words of a choice; nothing where any word can be given.
    words: Option<BTreeSet<String>>,
    /// Places at which something shows, and those at which nothing does.
    shown: BTreeSet<String>,
    clear: BTreeSet<String>,
    is_places: bool,
}

impl Left {
    fn all(meaning: Option<&Meaning>) -> Self {
        let words = match meaning {
            Some(Meaning::Words(words)) if !words.is_empty() => {
                Some(words.iter().cloned().collect())
            }
            _ => None,
        };
        Self {
            low: (f64::NEG_INFINITY, false),
            high: (f64::INFINITY, false),
            words,
            shown: BTreeSet::new(),
            clear: BTreeSet::new(),
            is_places: matches!(meaning, Some(Meaning::Places(_))),
        }
    }

    /// Narrows it by a check; says whether anything is left.
    fn narrow(&mut self, check: &Check) -> bool {
        match check {
            Check::AtLeast(q) => self.from(q.si(), true),
            Check::Above(q) => self.from(q.si(), false),
            Check::AtMost(q) => self.to(q.si(), true),
            Check::Below(q) => self.to(q.si(), false),
            Check::Between(from, to) => {
                self.from(from.si(), true);
                self.to(to.si(), true);
            }
            Check::Is(word) => self.among(std::slice::from_ref(word)),
            Check::AnyOf(words) => self.among(words),
            Check::NoneOf(words) if self.is_places => self.clear.extend(words.iter().cloned()),
            Check::NoneOf(words) => {
                if let Some(left) = &mut self.words {
                    left.retain(|word| !words.contains(word));
                }
            }
        }
        let ((low, from), (high, to)) = (self.low, self.high);
        let between = low < high || (low <= high && from && to);
        let nowhere = self.shown.contains(NOWHERE) && self.shown.len() > 1;
        let some_word = self.words.as_ref().is_none_or(|words| !words.is_empty());
        between && some_word && !nowhere && self.shown.is_disjoint(&self.clear)
    }

    fn from(&mut self, at: f64, counts: bool) {
        let (low, so_far) = self.low;
        if at > low || (at >= low && so_far && !counts) {
            self.low = (at, counts);
        }
    }

    fn to(&mut self, at: f64, counts: bool) {
        let (high, so_far) = self.high;
        if at < high || (at <= high && so_far && !counts) {
            self.high = (at, counts);
        }
    }

    fn among(&mut self, words: &[String]) {
        match (self.is_places, words) {
            // At one of several: which, is not said.
            (true, [place]) => self.shown.extend([place.clone()]),
            (true, _) => {}
            (false, _) => {
                let left = self
                    .words
                    .get_or_insert_with(|| words.iter().cloned().collect());
                left.retain(|word| words.contains(word));
            }
        }
    }
}
