//! With what places are searched: smoke, ear and soap, the eye for what is wet, or dye; and the words that fit.
//!
//! A flow says it in the question of its places and in the gear of the step; how strongly something shows is called by
//! one of three marks all the same, so the mark stands behind words that are not its own.

use crate::flow::answer::Strength;
use crate::flow::model::{Flow, Prompt, PromptKind, Step};

/// With what a place is searched.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Search {
    /// Smoke, in the beam of a lamp.
    Smoke,
    /// Ear and soap, under pressure.
    Soap,
    /// What is wet or drips.
    Wet,
    /// Dye, under the ultraviolet lamp.
    Dye,
}

/// Words of a question that speak of a search: an assumption of ours, from the words of the trade. Those of another search
/// than smoke go before it, since smoke is then what is left where they find nothing.
const WORDS: [(Search, &[&str]); 3] = [
    (Search::Dye, &["dye", "ultraviolet"]),
    (Search::Wet, &["wet", "drip", "drips", "damp"]),
    (
        Search::Soap,
        &[
            "soap", "bubble", "bubbles", "blow", "blows", "hear", "heard", "hiss", "hisses",
        ],
    ),
];

impl Search {
    /// With what the places of a reading are searched: by its question, and where that says nothing by the step's gear.
    pub fn of(prompt: &Prompt, step: Option<&Step>) -> Self {
        let gear = step.map_or(&[][..], |step| &step.gear);
        let mut texts = std::iter::once(&prompt.ask).chain(gear);
        texts
            .find_map(|text| Self::named_in(text))
            .unwrap_or(Self::Smoke)
    }

    /// With what the places of a flow are searched: as those of the first reading that has any. Nothing where none has.
    pub fn of_flow(flow: &Flow) -> Option<Self> {
        let mut readings = flow.readings.iter();
        let places = readings.find(|prompt| matches!(prompt.kind, PromptKind::Places(_)))?;
        let mut steps = flow.steps.iter();
        let step = steps.find(|step| step.record.contains(&places.id));
        Some(Self::of(places, step))
    }

    fn named_in(text: &str) -> Option<Self> {
        let text = text.to_lowercase();
        let words: Vec<&str> = text.split(|c: char| !c.is_alphabetic()).collect();
        let speaks = |of: &[&str]| words.iter().any(|word| of.contains(word));
        let mut searches = WORDS.iter();
        searches.find_map(|(search, of)| speaks(of).then_some(*search))
    }

    /// What is done to search a place, with a capital.
    pub fn act(self) -> &'static str {
        match self {
            Self::Smoke => "Look with the lamp",
            Self::Soap => "Search by ear and soap",
            Self::Wet => "Look for what is wet",
            Self::Dye => "Look with ultraviolet light",
        }
    }

    /// How strongly something shows, in words.
    pub fn strength(self, strength: Strength) -> &'static str {
        use Strength::{Heavy, Steady, Wisp};
        match (self, strength) {
            (Self::Smoke, Wisp) => "a wisp, it comes and goes",
            (Self::Smoke, Steady) => "a steady thread",
            (Self::Smoke, Heavy) => "it pours out",
            (Self::Soap, Wisp) => "fine foam under soap (wisp)",
            (Self::Soap, Steady) => "bubbles, a faint hiss (steady)",
            (Self::Soap, Heavy) => "it blows, and is heard (heavy)",
            (Self::Wet, Wisp) => "damp, no drop falls (wisp)",
            (Self::Wet, Steady) => "drop after drop (steady)",
            (Self::Wet, Heavy) => "it runs down (heavy)",
            (Self::Dye, Wisp) => "a faint trace glows (wisp)",
            (Self::Dye, Steady) => "a streak glows (steady)",
            (Self::Dye, Heavy) => "it glows all around (heavy)",
        }
    }

    /// That nothing is found at a place.
    pub fn nothing(self) -> &'static str {
        match self {
            Self::Smoke => "nothing shows",
            Self::Soap => "no hiss, no bubble",
            Self::Wet => "it is dry",
            Self::Dye => "nothing glows",
        }
    }
}
