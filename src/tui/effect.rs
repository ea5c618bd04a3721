//! What the model wants done outside: the driver carries these out and feeds the results back.

use std::path::PathBuf;

use uuid::Uuid;

use super::habits::Habits;
use super::model::EvidenceKey;
use crate::engine::event::What;
use crate::import::Options;
use crate::import::mapping::Mapping;
use crate::job::store::Claim;
use crate::report::edition::Edition;
use crate::settings::edit::Change;

/// Something to be done outside the model.
#[derive(Clone, Debug, PartialEq)]
pub enum Effect {
    /// Find jobs.
    Find(String),
    /// Read a job, and claim it for writing.
    Load {
        /// The job.
        job: Uuid,
        /// How to claim it if somebody else has it.
        how: Claim,
    },
    /// Give the claim on the job back: it is left.
    Release,
    /// Open a new job with these events.
    Open {
        /// Who opens it.
        who: String,
        /// What happened.
        what: Vec<What>,
    },
    /// Add these events to a job.
    Append {
        /// The job.
        job: Uuid,
        /// The number of its last event.
        after: u64,
        /// By whom.
        who: String,
        /// What happened.
        what: Vec<What>,
    },
    /// Look into a folder; without one, where files usually land.
    Folder(Option<PathBuf>),
    /// Read a file.
    ReadFile {
        /// The file.
        path: PathBuf,
        /// What is known about it.
        options: Box<Options>,
    },
    /// Name the mappings that are kept.
    Mappings,
    /// Read the mapping of this name.
    Mapping(String),
    /// Keep a mapping under a name.
    KeepMapping {
        /// The name.
        name: String,
        /// The mapping.
        mapping: Box<Mapping>,
    },
    /// Note the last folder used.
    KeepFolder(PathBuf),
    /// Change settings in their file.
    SaveSettings(Vec<Change>),
    /// Put a text into the clipboard of whoever looks at the terminal.
    Copy(String),
    /// Save a text as a file of this name, where files usually land.
    SaveText {
        /// The name that it should have.
        name: String,
        /// What is to stand in it.
        text: String,
    },
    /// Make this page of the open job, and save it where files usually land.
    Paper(Edition),
    /// Leave for the demo jobs, or back from them.
    Demo,
    /// Put the program to sleep until it is called up again.
    Suspend,
    /// Turn from the workshop's jobs to exercises, or back: another store.
    Swap,
    /// Begin an exercise on this flow; without a seed, on any car.
    Exercise {
        /// The flow's id.
        flow: String,
        /// The level.
        level: u8,
        /// The seed.
        seed: Option<u64>,
        /// Its name, where the owner handed it on.
        name: String,
    },
    /// Read what this person has practised so far.
    History,
    /// Work the evidence out for this state of the open job.
    Weigh(EvidenceKey),
    /// Note what the workshop has said about the evidence.
    KeepHabits(Habits),
    /// Ring the bell.
    Bell,
    /// Take mouse events, or leave them to the terminal.
    Mouse(bool),
    /// Draw every cell anew.
    Redraw,
    /// Leave.
    Quit,
}
