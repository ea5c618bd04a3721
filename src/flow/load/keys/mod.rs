//! Every key that a flow file can hold: its name, what it holds, and what it is for.
//!
//! One source for two readers: the loader takes a mapping's keys from here, and the JSON Schema that
//! an editor completes from is made from here. The words are for somebody who writes flows and has
//! never programmed.

mod declared;
mod walked;

pub use declared::{CAUSE, FLOW, FOR, GAUGE, READING, WORKED};
pub use walked::{OUTCOME, RETEST, SET_UP, STEP, WAY_OUT};

/// Whether a key must be there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Need {
    /// It may be left out.
    Free,
    /// It must be there.
    Always,
    /// It must be there in some cases, which the loader tells.
    Sometimes,
}

/// What a key holds.
#[derive(Clone, Copy, Debug)]
pub enum Holds {
    /// Words.
    Text,
    /// An id: small letters, digits and hyphens, a letter first.
    Id,
    /// Words, one or a list of them.
    Words,
    /// A list of words, with its brackets even around one.
    Listed,
    /// A number without a unit, at least and at most.
    Number(f64, f64),
    /// Yes or no.
    Yes,
    /// A value with a unit, such as the example.
    Quantity(&'static str),
    /// A range with a unit, such as the example; for pairs a list of two.
    Range(&'static str),
    /// A unit.
    Unit,
    /// A condition.
    Condition,
    /// Conditions by the id of what each decides on.
    Conditions,
    /// Where a step leads.
    Target,
    /// One of the phases.
    Phase,
    /// Cautions by their ids.
    Cautions,
    /// How likely: a word or a share.
    Odds,
    /// What a log of scan data fills a reading with.
    Log,
    /// What a reading is on the car.
    Meaning,
    /// Two columns with their units.
    Columns,
    /// What readings show: by id, a range or words with their odds.
    Shows,
    /// What is wrong physically.
    Effect,
    /// Worked values by their ids: each a calculation with its inputs.
    Worked,
    /// One set of these keys.
    Keys(&'static Table),
    /// Sets of these keys by id.
    ById(&'static Table),
    /// A list of sets of these keys.
    List(&'static Table),
}

/// One key.
#[derive(Clone, Copy, Debug)]
pub struct Key {
    /// Its name.
    pub name: &'static str,
    /// Whether it must be there.
    pub need: Need,
    /// What it holds.
    pub holds: Holds,
    /// What it is for, in a sentence or two.
    pub help: &'static str,
}

/// The keys of one kind of mapping.
#[derive(Clone, Copy, Debug)]
pub struct Table {
    /// What the mapping is, for messages ("a step").
    pub what: &'static str,
    /// Its keys.
    pub keys: &'static [Key],
}

impl Table {
    /// The key with this name.
    pub fn key(&self, name: &str) -> Option<&'static Key> {
        self.keys.iter().find(|key| key.name == name)
    }

    /// The names of all keys.
    pub fn names(&self) -> Vec<&'static str> {
        self.keys.iter().map(|key| key.name).collect()
    }
}

const fn free(name: &'static str, holds: Holds, help: &'static str) -> Key {
    let need = Need::Free;
    Key {
        name,
        need,
        holds,
        help,
    }
}

const fn always(name: &'static str, holds: Holds, help: &'static str) -> Key {
    let need = Need::Always;
    Key {
        name,
        need,
        holds,
        help,
    }
}

const fn sometimes(name: &'static str, holds: Holds, help: &'static str) -> Key {
    let need = Need::Sometimes;
    Key {
        name,
        need,
        holds,
        help,
    }
}
