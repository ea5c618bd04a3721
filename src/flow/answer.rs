//! Answers to a flow's prompts: what a technician read, chose or saw.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::units::Quantity;

/// An answer to a prompt: what was read, chosen or seen.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Answer {
    /// A value with its unit.
    Quantity(Quantity),
    /// One of the choices.
    Choice(String),
    /// Where something showed, and how strongly. Empty: looked everywhere, nothing showed.
    Places(BTreeMap<String, Strength>),
    /// Pairs of values, such as a sweep.
    Pairs(Vec<(Quantity, Quantity)>),
    /// Words.
    Text(String),
    /// It was tried, and could not be told. Never counts as normal.
    CouldNotTell(String),
}

/// How strongly smoke shows at a place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Strength {
    /// Thin, comes and goes.
    Wisp,
    /// A steady thread.
    Steady,
    /// It pours out.
    Heavy,
}
