//! With what places are searched: smoke, ear and soap, the eye for what is wet, or dye; and the words that fit.
//!
//! A flow says it in the question of its places and in the gear of the step; how strongly something shows is called by
//! one of three marks all the same, so the mark stands behind words that are not its own.

use crate::flow::answer::Strength;
use crate::flow::model::{Flow, Prompt, PromptKind, Step};
use crate::report::asks_for_smoke;

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

/// Words of a question that speak of a search, with their usual endings: an assumption of ours, from the words of the
/// trade. What is put on goes before what shows by itself: "wet it with soapy water" is no search for what is wet.
const WORDS: [(Search, &[&str]); 4] = [
    (Search::Dye, &["dye", "ultraviolet"]),
    (Search::Soap, &["soap", "soapy"]),
    (Search::Wet, &["wet", "damp", "drip", "drips", "dripping"]),
    (
        Search::Soap,
        &[
            "bubble", "bubbles", "bubbling", "foam", "foams", "foaming", "blow", "blows",
            "blowing", "hear", "heard", "hiss", "hisses", "hissing",
        ],
    ),
];

impl Search {
    /// With what the places of a reading are searched: by its question, and where that says nothing by the step's gear.
    pub fn of(prompt: &Prompt, step: Option<&Step>) -> Self {
        let gear = step.map_or(&[][..], |step| &step.gear);
        Self::named_in(std::slice::from_ref(&prompt.ask))
            .or_else(|| Self::named_in(gear))
            .unwrap_or(Self::Smoke)
    }

    /// With what the places of a flow are searched, reading by reading and step by step.
    pub fn in_flow(flow: &Flow) -> impl Iterator<Item = Self> {
        let of_places = |prompt: &&Prompt| matches!(prompt.kind, PromptKind::Places(_));
        flow.readings.iter().filter(of_places).flat_map(|prompt| {
            let steps = flow.steps.iter();
            let read = steps.filter(|step| step.record.contains(&prompt.id));
            read.map(|step| Self::of(prompt, Some(step)))
        })
    }

    /// With what the places of a flow are searched: as those of the first reading that has any. Nothing where none has.
    pub fn of_flow(flow: &Flow) -> Option<Self> {
        Self::in_flow(flow).next()
    }

    /// The search of which texts speak. Smoke alone goes before all: "Where does blow-by smoke show?". Where it is named
    /// beside another, as in "Where does it bubble or smoke?", it is the other that has to be named.
    fn named_in(texts: &[String]) -> Option<Self> {
        if texts.iter().any(|text| asks_for_smoke(text)) {
            return Some(Self::Smoke);
        }
        let texts: Vec<String> = texts.iter().map(|text| text.to_lowercase()).collect();
        let words: Vec<&str> = texts.iter().flat_map(|text| words(text)).collect();
        let speaks = |of: &[&str]| words.iter().any(|word| of.contains(word));
        let mut searches = WORDS.iter();
        searches.find_map(|(search, of)| speaks(of).then_some(*search))
    }

    /// Whether a draught hides what shows: it carries smoke away, and no sound, foam, drop or dye.
    pub fn is_hidden_by_draught(self) -> bool {
        self == Self::Smoke
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

/// The words of a text. What is made up with "blow" is no blowing: blow-by, a blow-off valve.
fn words(text: &str) -> impl Iterator<Item = &str> {
    let hyphened = text.split(|c: char| !c.is_alphabetic() && c != '-');
    let meant = hyphened.filter(|word| !word.starts_with("blow-"));
    meant.flat_map(|word| word.split('-'))
}
