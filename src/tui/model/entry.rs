//! What is half entered for the question on screen.

use std::collections::BTreeMap;

use tui_input::Input;

use crate::engine::prompt;
use crate::flow::answer::{Answer, Strength};
use crate::flow::model::{PairsPrompt, Prompt, PromptKind};
use crate::units::Quantity;

/// What is half entered.
#[derive(Clone, Debug, Default)]
pub struct Entry {
    /// The question: the event that opened the visit, and the prompt's id.
    pub key: Option<(u64, String)>,
    /// What is typed.
    pub text: Input,
    /// The word picked, or the place that the cursor is on.
    pub at: Option<usize>,
    /// Places marked so far.
    pub places: BTreeMap<String, Strength>,
    /// Pairs entered so far.
    pub pairs: Vec<(Quantity, Quantity)>,
    /// An implausible answer that was asked again: the same once more confirms it.
    pub again: Option<Answer>,
    /// Nothing is marked, and Enter was pressed once: once more says "nowhere".
    pub nowhere: bool,
    /// An earlier reading that may be taken over.
    pub offer: Option<Offered>,
    /// Something was typed, picked or marked: the answer is this one's own, even where it comes to
    /// the same as the earlier one.
    pub own: bool,
    /// What is wrong with what was entered.
    pub error: Option<String>,
    /// The value typed was refused: the next character typed begins a new one.
    pub replace: bool,
}

/// An earlier reading that may be taken over.
#[derive(Clone, Debug, PartialEq)]
pub struct Offered {
    /// The event that took it.
    pub seq: u64,
    /// Its value.
    pub value: Answer,
}

impl Entry {
    /// An entry for a question.
    pub fn new(key: (u64, String), offer: Option<Offered>, prompt: &Prompt) -> Self {
        let mut entry = Self {
            key: Some(key),
            ..Self::default()
        };
        match (&prompt.kind, offer.as_ref().map(|o| &o.value)) {
            (PromptKind::Choice(words), Some(Answer::Choice(word))) => {
                entry.at = words.iter().position(|w| w == word);
            }
            (PromptKind::Places(_), Some(Answer::Places(places))) => {
                entry.places.clone_from(places);
            }
            (PromptKind::Pairs(_), Some(Answer::Pairs(pairs))) => entry.pairs.clone_from(pairs),
            _ => {}
        }
        if matches!(prompt.kind, PromptKind::Places(_)) {
            entry.at = Some(0);
        }
        entry.offer = offer;
        entry
    }

    /// Whether something was entered and not accepted yet.
    pub fn is_touched(&self) -> bool {
        if !self.text.value().is_empty() {
            return true;
        }
        match self.offer.as_ref().map(|o| &o.value) {
            Some(Answer::Places(places)) => *places != self.places,
            Some(Answer::Pairs(pairs)) => *pairs != self.pairs,
            _ => !self.places.is_empty() || !self.pairs.is_empty(),
        }
    }

    /// Forgets what was entered.
    pub fn reset(&mut self) {
        let (places, pairs) = match self.offer.as_ref().map(|o| &o.value) {
            Some(Answer::Places(places)) => (places.clone(), Vec::new()),
            Some(Answer::Pairs(pairs)) => (BTreeMap::new(), pairs.clone()),
            _ => (BTreeMap::new(), Vec::new()),
        };
        self.text.reset();
        (self.places, self.pairs) = (places, pairs);
        self.again = None;
        self.nowhere = false;
        self.error = None;
        self.replace = false;
        self.own = false;
    }

    /// The event whose reading this answer takes over, where nothing was entered beside it.
    pub fn carried_from(&self, answer: &Answer) -> Option<u64> {
        self.offer
            .as_ref()
            .filter(|offer| !self.own && offer.value == *answer)
            .map(|offer| offer.seq)
    }

    /// The places in the order of the screen: those that the flow lists, then others.
    pub fn places_in_order<'a>(&'a self, listed: &'a [String]) -> Vec<&'a String> {
        let others = self.places.keys().filter(|place| !listed.contains(place));
        listed.iter().chain(others).collect()
    }
}

/// Reads one or more pairs from a line, "50 = 2.05; 60 = 2.4".
///
/// # Errors
/// Says how to write them.
pub fn parse_pairs(
    prompt: &Prompt,
    asked: &PairsPrompt,
    text: &str,
) -> Result<Vec<(Quantity, Quantity)>, String> {
    let how = || {
        format!(
            "write {} = {}, such as {}",
            asked.first.0,
            asked.second.0,
            example(asked)
        )
    };
    let Ok(Answer::Pairs(pairs)) = prompt::parse(prompt, text) else {
        return Err(how());
    };
    let fits = pairs.iter().all(|(a, b)| {
        a.dimension() == asked.first.1.dimension() && b.dimension() == asked.second.1.dimension()
    });
    if fits && !pairs.is_empty() {
        Ok(pairs)
    } else {
        Err(how())
    }
}

fn example(asked: &PairsPrompt) -> String {
    format!(
        "50 {} = 2.05 {}",
        asked.first.1.name(),
        asked.second.1.name()
    )
}
