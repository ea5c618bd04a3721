//! What the evidence said beside the flow's own rules when a step was ended: both ways with their
//! expected minutes, the odds on which that rested, and which way was taken.
//!
//! Part of the frozen format of [`super::event`]: fields are only ever added. The figures are those
//! that stood on the screen; they are never worked out anew, so that an old job says for ever what
//! its technician saw.

use serde::{Deserialize, Serialize};

use crate::flow::target::Target;

/// What the evidence said, and what was chosen.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Weighed {
    /// Which way was taken.
    pub taken: Chosen,
    /// What the evidence would do.
    pub evidence: Way,
    /// Where the flow's own rules led, where they led anywhere.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flow: Option<Way>,
    /// Why the evidence would do it, in one line.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub because: String,
    /// The most likely causes, the most likely first.
    pub odds: Vec<Odds>,
    /// Where the likelihoods came from, with the version of the reckoning.
    pub by: String,
    /// How many of the workshop's own jobs were counted; 0: the author's odds alone.
    #[serde(default, skip_serializing_if = "is_none")]
    pub own_jobs: u32,
    /// Gear that was not at hand.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub not_here: Vec<String>,
    /// What was taken down before the walk went elsewhere.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub taken_down: Vec<String>,
}

#[expect(
    clippy::trivially_copy_pass_by_ref,
    reason = "serde hands over a reference"
)]
fn is_none(jobs: &u32) -> bool {
    *jobs == 0
}

/// Which way was taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Chosen {
    /// The flow's own, or another of its outcomes.
    Flow,
    /// That of the evidence.
    Evidence,
    /// Another of those that the evidence listed.
    Another,
}

/// One way on.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Way {
    /// In words.
    pub words: String,
    /// Where it leads; absent: hand the car on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub go: Option<Target>,
    /// Expected minutes to a proven repair, if that is done first; absent where none can be said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub minutes: Option<f64>,
}

/// A cause with its probabilities, 0 to 1.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Odds {
    /// The cause's id.
    pub cause: String,
    /// That it is there.
    pub present: f64,
    /// That it is there and big enough for the complaint.
    pub explains: f64,
}

impl Weighed {
    /// The same, with what was chosen.
    #[must_use]
    pub fn with(mut self, taken: Chosen) -> Self {
        self.taken = taken;
        self
    }
}
