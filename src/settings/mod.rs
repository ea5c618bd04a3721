//! The workshop's settings: one commented YAML file.
//!
//! Everything in it may be left out. A mistake costs the entry that it stands in and no other: the
//! program starts all the same, with what that entry would be if it were not there, and names the
//! place ([`load`]). It is written by people and by the program; the program changes the value and
//! nothing else, so that comments stay ([`edit`]). What keys mean is the screens' business: their
//! names are kept here as written, with their places.

mod broken;
pub mod edit;
pub mod file;
mod load;
pub mod place;
pub mod rate;

use crate::flow::load::{listed, nearest};
use crate::flow::model::Flow;
use crate::flow::place::Place;
use crate::units::Quantity;
use crate::units::preferred::Preferred;

pub use load::load;
pub use rate::Rate;

/// The settings.
#[derive(Clone, Debug, PartialEq)]
pub struct Settings {
    /// The workshop's name, for the head of reports; empty if none is set.
    pub workshop: String,
    /// The telephone number that a customer rings, as written; empty if none is set.
    pub telephone: String,
    /// When somebody is there, as written; empty if it is not set.
    pub hours: String,
    /// What an hour of work costs, where the owner says it.
    pub labour_rate: Option<Rate>,
    /// Its height above sea level, which flows ask for in every job; offered there.
    pub altitude: Option<Quantity>,
    /// The units that values are shown in.
    pub units: Preferred,
    /// The bays, in the order in which the board shows them.
    pub bays: Vec<String>,
    /// The people who work here; the first is at the keyboard unless somebody else is named.
    pub people: Vec<String>,
    /// The look of the screens.
    pub theme: Look,
    /// Which characters lines and bars are drawn with.
    pub drawing: Drawing,
    /// Whether the screens take the mouse when they start.
    pub mouse: bool,
    /// The folder with the workshop's own flows, as written, with its place.
    pub flows: Option<(String, Place)>,
    /// Files with the profiles of floats without numbers, as written.
    pub gauges: Vec<(String, Place)>,
    /// Whether the evidence rests on simulated cars; else on the words of the flows.
    pub simulated_cars: bool,
    /// Gear that is not at hand in this workshop.
    pub missing_gear: Vec<String>,
    /// Keys of actions that are not to have their usual ones.
    pub keys: Vec<KeyEntry>,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            workshop: String::new(),
            telephone: String::new(),
            hours: String::new(),
            labour_rate: None,
            altitude: None,
            units: Preferred::default(),
            bays: Vec::new(),
            people: Vec::new(),
            theme: Look::default(),
            drawing: Drawing::default(),
            mouse: true,
            simulated_cars: true,
            flows: None,
            gauges: Vec::new(),
            missing_gear: Vec::new(),
            keys: Vec::new(),
        }
    }
}

impl Settings {
    /// What is said of missing gear that no flow names, each with what was meant where that can be told: a slip there
    /// leaves the gear suggested.
    pub fn of_no_flow<'f>(&self, flows: impl Iterator<Item = &'f Flow>) -> Vec<String> {
        let mut known: Vec<&str> = Vec::new();
        for flow in flows {
            let steps = flow.steps.iter().flat_map(|step| &step.gear);
            known.extend(flow.gear.iter().chain(steps).map(String::as_str));
        }
        known.sort_unstable();
        known.dedup();
        let named = |name: &str| {
            let name = name.to_lowercase();
            known.iter().any(|gear| gear.to_lowercase().contains(&name))
        };
        let idle = self.missing_gear.iter().filter(|name| !named(name));
        idle.map(|name| match nearest(name, &known) {
            Some(near) => {
                format!("`missing-gear`: no flow has gear `{name}`; did you mean `{near}`?")
            }
            None => format!(
                "`missing-gear`: no flow has gear `{name}`; known are: {}",
                listed(&known)
            ),
        })
        .collect()
    }

    /// The gear that a flow names and that is not at hand here; part of a name is enough.
    pub fn missing(&self, flow: &Flow) -> Vec<String> {
        let named = flow
            .gear
            .iter()
            .chain(flow.steps.iter().flat_map(|s| &s.gear));
        let mut out: Vec<String> = Vec::new();
        for gear in named {
            let lower = gear.to_lowercase();
            let mut missing = self.missing_gear.iter().map(|name| name.to_lowercase());
            if missing.any(|name| lower.contains(&name)) && !out.contains(gear) {
                out.push(gear.clone());
            }
        }
        out
    }
}

/// An action with the keys that it is to have.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KeyEntry {
    /// The action, as written.
    pub action: String,
    /// Where it stands.
    pub place: Place,
    /// The keys, as written, each with its place.
    pub keys: Vec<(String, Place)>,
}

/// The looks of the screens.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Look {
    /// The terminal's own colours.
    #[default]
    Terminal,
    /// Light on black.
    Dark,
    /// Black on white, for the sun.
    Light,
    /// No colour at all.
    Monochrome,
}

impl Look {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Terminal, Self::Dark, Self::Light, Self::Monochrome];

    /// Its name in the settings.
    pub fn word(self) -> &'static str {
        match self {
            Self::Terminal => "terminal",
            Self::Dark => "dark",
            Self::Light => "light",
            Self::Monochrome => "monochrome",
        }
    }
}

/// Which characters lines, bars and large digits are drawn with.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Drawing {
    /// As the language settings of the computer allow.
    #[default]
    Auto,
    /// Lines and blocks.
    Blocks,
    /// Letters and signs that every terminal has.
    Ascii,
}

impl Drawing {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Auto, Self::Blocks, Self::Ascii];

    /// Its name in the settings.
    pub fn word(self) -> &'static str {
        match self {
            Self::Auto => "auto",
            Self::Blocks => "blocks",
            Self::Ascii => "ascii",
        }
    }
}
