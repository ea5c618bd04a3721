//! What is done on a car that is not there: the events of practice, which no real job has.
//!
//! They stand in the record of a practice job between the events that every job has, so that the simulated car
//! follows from the record alone. The fold of a job notes that it is one of practice, and passes over what was done.

use serde::{Deserialize, Serialize};

use crate::units::Quantity;

/// One thing done, or marked, in practice.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum Practised {
    /// The exercise: from these and the flow's text the car follows.
    Begun(Exercise),
    /// An opening was closed by hand.
    Closed {
        /// The opening.
        opening: String,
    },
    /// An opening was opened again.
    Opened {
        /// The opening.
        opening: String,
    },
    /// The supply was set and connected.
    Fed {
        /// The gas, as [`crate::physics::gas::Gas::named`] knows it.
        gas: String,
        /// Pressure against the barometer.
        pressure: Quantity,
    },
    /// The supply was taken off.
    SupplyOff,
    /// A place was covered.
    Covered {
        /// The place.
        place: String,
    },
    /// All covers were taken off.
    Uncovered,
    /// Somebody searched a place, by what the step searches with.
    Looked {
        /// The place.
        place: String,
        /// For so many seconds.
        seconds: u32,
    },
    /// Somebody went round all plugs and clamps.
    WentRound,
    /// The engine was run until it was warm.
    Warmed,
    /// The engine was left to cool.
    Cooled,
    /// The door of the bay was shut: no draught.
    DoorShut,
    /// The codes were cleared, and with them freeze frame, readiness and trims.
    CodesCleared,
    /// Somebody looked at the ranges of the gauges.
    GaugesSeen,
    /// A gauge was set to the range that fits.
    RangeSet {
        /// The gauge.
        gauge: String,
    },
    /// A reading was taken of the car; what was written down is an event of its own.
    Took {
        /// The reading.
        reading: String,
    },
    /// The part of a repair that was agreed to was taken off and opened.
    PartOpened {
        /// The cause that it stands for.
        cause: String,
        /// It looked bad.
        bad: bool,
        /// What is bad about it is too small to explain the complaint.
        #[serde(default, skip_serializing_if = "is_not")]
        small: bool,
        /// What was taken off with it, in words: the cover at its place, the supply.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        off: Vec<String>,
    },
    /// Something unsafe was done, which stopped the exercise.
    Stopped {
        /// What, by the name that practice has for it.
        harm: String,
        /// The caution that speaks of it.
        caution: String,
    },
    /// The exercise was marked.
    Marked(Marks),
}

/// What an exercise is.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Exercise {
    /// The flow's id.
    pub flow: String,
    /// The seed.
    pub seed: u64,
    /// The level, 1 to 4.
    pub level: u8,
    /// Which of the seed's cars it is: the first that can be solved.
    pub attempt: u32,
    /// The name under which the owner handed it on.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub name: String,
}

/// What came of an exercise.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Marks {
    /// The parts, each with what was reached and what could be.
    pub parts: Vec<Mark>,
    /// Minutes on the simulated clock.
    pub minutes: f64,
    /// Minutes of the way that the program itself would have gone.
    pub par: f64,
}

/// One part of the marks.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Mark {
    /// The part.
    pub part: String,
    /// Reached.
    pub got: u32,
    /// Of so many.
    pub of: u32,
}

impl Marks {
    /// Reached in all.
    pub fn got(&self) -> u32 {
        self.parts.iter().map(|part| part.got).sum()
    }

    /// Of so many in all.
    pub fn of(&self) -> u32 {
        self.parts.iter().map(|part| part.of).sum()
    }
}

#[expect(
    clippy::trivially_copy_pass_by_ref,
    reason = "serde hands over a reference"
)]
fn is_not(it: &bool) -> bool {
    !*it
}

impl Practised {
    /// The wish to take the part of a repair off; how it looks is seen as it happens.
    pub fn part_opened(cause: impl Into<String>) -> Self {
        Self::PartOpened {
            cause: cause.into(),
            bad: false,
            small: false,
            off: Vec::new(),
        }
    }

    /// In words, for the record. What is hidden on the car is not among them.
    pub fn words(&self) -> String {
        match self {
            Self::Begun(exercise) => {
                let Exercise {
                    seed, level, name, ..
                } = exercise;
                let name = if name.is_empty() {
                    String::new()
                } else {
                    format!(" \"{name}\"")
                };
                format!("practice{name} begun: level {level}, seed {seed}; there is no such car")
            }
            Self::Closed { opening } => format!("closed by hand: {opening}"),
            Self::Opened { opening } => format!("opened by hand: {opening}"),
            Self::Fed { gas, pressure } => {
                format!("supply connected: {} at {pressure}", gas.replace('-', " "))
            }
            Self::SupplyOff => "supply taken off".to_owned(),
            Self::Covered { place } => format!("covered: {place}"),
            Self::Uncovered => "all covers taken off".to_owned(),
            Self::Looked { place, seconds } => {
                format!("looked for {seconds} s: {place}")
            }
            Self::WentRound => "went round every plug, cap and clamp".to_owned(),
            Self::Warmed => "engine run until it was warm".to_owned(),
            Self::Cooled => "engine left to cool".to_owned(),
            Self::DoorShut => "door of the bay shut".to_owned(),
            Self::CodesCleared => {
                "codes cleared, and with them freeze frame, readiness and trims".to_owned()
            }
            Self::GaugesSeen => "looked at the ranges of the gauges".to_owned(),
            Self::RangeSet { gauge } => {
                format!(
                    "gauge set to the range that fits: {}",
                    gauge.replace('-', " ")
                )
            }
            Self::Took { reading } => format!("taken of the car: {}", reading.replace('-', " ")),
            Self::PartOpened {
                cause,
                bad,
                small,
                off,
            } => {
                let looks = match (bad, small) {
                    (true, true) => "bad, but too little for the complaint",
                    (true, false) => "bad",
                    (false, _) => "good",
                };
                let part = cause.replace('-', " ");
                let with = if off.is_empty() {
                    String::new()
                } else {
                    format!("; taken off with it: {}", off.join(", "))
                };
                format!("part taken off and opened, it looks {looks}: {part}{with}")
            }
            Self::Stopped { harm, .. } => {
                format!(
                    "exercise stopped, something unsafe was done: {}",
                    harm.replace('-', " ")
                )
            }
            Self::Marked(marks) => {
                format!("exercise marked: {} of {}", marks.got(), marks.of())
            }
        }
    }
}

/// Whether events are of an exercise and of no real job: of a file that is not folded yet; a job says so itself
/// ([`super::job::Job::practised`]).
pub fn is_practice(events: &[super::event::Event]) -> bool {
    events
        .iter()
        .any(|event| matches!(event.what, super::event::What::Practised(_)))
}
