//! What each id of a flow stands for, so that conditions and calculations can be checked.

use std::collections::BTreeMap;

use super::super::model::{Prompt, PromptKind};
use super::super::values::TEST_NUMBER;
use crate::units::{Dimension, Unit};

/// What an id stands for.
#[derive(Clone, Debug, PartialEq)]
pub enum Meaning {
    /// A number of this dimension, usually written in this unit.
    Number(Dimension, Unit),
    /// One of these words; an empty list stands for free words.
    Words(Vec<String>),
    /// It is declared, but with a mistake that was reported: nothing is said about its uses.
    Broken,
    /// Any of these places.
    Places(Vec<String>),
    /// Pairs of these dimensions.
    Pairs(Dimension, Dimension),
}

/// All ids of a flow.
#[derive(Debug, Default)]
pub struct Scope(BTreeMap<String, Meaning>);

impl Scope {
    /// The ids of these prompts, and those that every flow has.
    pub fn of<'p>(prompts: impl IntoIterator<Item = &'p Prompt>) -> Self {
        let mut scope = Self::default();
        let count = Unit::default_for(Dimension::Count);
        scope.add(TEST_NUMBER, Meaning::Number(Dimension::Count, count));
        for prompt in prompts {
            let meaning = match &prompt.kind {
                PromptKind::Quantity(q) => Meaning::Number(q.unit.dimension(), q.unit),
                PromptKind::Choice(words) => Meaning::Words(words.clone()),
                PromptKind::Places(places) => Meaning::Places(places.clone()),
                PromptKind::Pairs(pairs) => {
                    Meaning::Pairs(pairs.first.1.dimension(), pairs.second.1.dimension())
                }
                PromptKind::Text => Meaning::Words(Vec::new()),
            };
            // Whether a use of it means the test or this, nobody can tell.
            let taken = prompt.id == TEST_NUMBER;
            scope.add(&prompt.id, if taken { Meaning::Broken } else { meaning });
        }
        scope
    }

    /// Adds an id.
    pub fn add(&mut self, id: &str, meaning: Meaning) {
        self.0.insert(id.to_owned(), meaning);
    }

    /// Notes that these ids are declared, whatever came of them.
    pub fn declared<'i>(&mut self, ids: impl IntoIterator<Item = &'i String>) {
        for id in ids {
            self.0.entry(id.clone()).or_insert(Meaning::Broken);
        }
    }

    /// What an id stands for.
    pub fn get(&self, id: &str) -> Option<&Meaning> {
        self.0.get(id)
    }

    /// All ids.
    pub fn ids(&self) -> impl Iterator<Item = &str> {
        self.0.keys().map(String::as_str)
    }
}
