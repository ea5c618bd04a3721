//! What is half entered for the question on screen.

use std::collections::BTreeMap;

use tui_input::Input;

use crate::engine::prompt;
use crate::flow::answer::{Answer, Strength};
use crate::flow::model::{PairsPrompt, Prompt, PromptKind};
use crate::units::Quantity;

/// What is half entered. Pairs are no part of it: each is in the record as soon as it is accepted.
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
    /// An implausible answer that was asked again: the same once more confirms it.
    pub again: Option<Answer>,
    /// The end of a hold that came late and was asked about: the same once more says that it was read in time.
    pub late: Option<Answer>,
    /// An answer that came before the time was over and was asked about: the same once more counts.
    pub early: Option<Answer>,
    /// That something is saved which is not in the record, as it was said once.
    pub unsaved: Option<Answer>,
    /// Places are left empty, and Enter was pressed once: once more says that nothing shows there.
    pub nowhere: bool,
    /// An earlier reading that may be taken over.
    pub offer: Option<Offered>,
    /// What the workshop's settings say; Enter on nothing takes it.
    pub by_settings: Option<Answer>,
    /// An earlier reading that is read anew all the same.
    pub earlier: Option<Answer>,
    /// The answer that was given here before somebody came back to the question.
    pub given: Option<Answer>,
    /// Something was typed, picked or marked: the answer is this one's own, even where it comes to
    /// the same as the earlier one.
    pub own: bool,
    /// What the car of an exercise showed, as long as it stands there so.
    pub taken: Option<Answer>,
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
    /// The title of the flow in which it was read.
    pub flow: String,
}

impl Entry {
    /// What was asked about the time of the step is said no more: the clock was begun, or it is over by now.
    pub fn ask_no_more_about_time(&mut self) {
        if self.early.take().is_some() | self.late.take().is_some() {
            self.error = None;
        }
    }

    /// Takes away what was said about an answer, unless it waits for the same once more.
    pub fn say_no_more(&mut self) {
        let asks = self.again.is_some() || self.late.is_some() || self.early.is_some();
        if !asks && self.unsaved.is_none() && !self.nowhere {
            self.error = None;
        }
    }

    /// An entry for a question, with the answer given here before, if one was.
    pub fn new(key: (u64, String), prompt: &Prompt, given: Option<Answer>) -> Self {
        let mut entry = Self {
            key: Some(key),
            given,
            ..Self::default()
        };
        entry.fill(&prompt.kind);
        entry
    }

    /// What stands there from the start: the answer given here before.
    fn fill(&mut self, kind: &PromptKind) {
        match (kind, &self.given) {
            (PromptKind::Choice(words), given) => {
                self.at = match given {
                    Some(Answer::Choice(word)) => words.iter().position(|w| w == word),
                    _ => None,
                };
            }
            (PromptKind::Places(_), given) => {
                self.at = Some(0);
                self.places = match given {
                    Some(Answer::Places(places)) => places.clone(),
                    _ => BTreeMap::new(),
                };
            }
            _ => {}
        }
    }

    /// Whether something was entered and not accepted yet.
    pub fn is_touched(&self) -> bool {
        if !self.text.value().is_empty() {
            return true;
        }
        match &self.given {
            Some(Answer::Places(places)) => *places != self.places,
            _ => !self.places.is_empty(),
        }
    }

    /// Forgets what was entered.
    pub fn reset(&mut self, kind: &PromptKind) {
        self.text.reset();
        self.again = None;
        self.late = None;
        self.early = None;
        self.unsaved = None;
        self.nowhere = false;
        self.error = None;
        self.replace = false;
        self.fill(kind);
        self.own = false;
        self.taken = None;
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
