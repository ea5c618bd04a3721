//! What an input means: the messages that change the model, and the named acts that keys stand
//! for. Plain data; knows no key and no screen.

use std::path::PathBuf;
use std::sync::Arc;

use uuid::Uuid;

use super::model::Folder;
use super::weigher::Answer;
use crate::check::shelf::Found;
use crate::engine::event::Event;
use crate::engine::waits::Stand;
use crate::flow::shelf::Shelf;
use crate::import::mapping::Mapping;
use crate::import::{Import, ImportError, Look};
use crate::job::store::JobLine;
use crate::practice::people::Exercised;
use crate::settings::file::Read;

/// Something that changes the model.
#[derive(Clone, Debug)]
pub enum Message {
    /// An act of the key table.
    Do(Act),
    /// An act that the list of everything that can be done names, by the key that stands beside it there.
    Listed(Act),
    /// The item with this number (from 0) of the list on screen.
    Pick(usize),
    /// A digit of a number that is typed, where the list on screen is longer than nine.
    Digit(u8),
    /// The page with this number (from 0) of the evidence.
    Turn(usize),
    /// Typing in the field that has the focus.
    Edit(Edit),
    /// Text for the field that has the focus.
    Paste(String),
    /// The field with this number (from 0) of the form on screen gets the focus.
    Focus(usize),
    /// A word of a field of the form: the field, and the word, from 0.
    Word(usize, usize),
    /// The terminal's size in columns and rows.
    Resize(u16, u16),
    /// The wheel was turned, towards the end of the text or away from it.
    Wheel {
        /// Towards the end.
        down: bool,
    },
    /// Time has passed.
    Tick,
    /// Flow files have changed and were read anew, or could not be.
    Flows(Box<Result<Shelf, String>>),
    /// The checker has looked at the owner's flows.
    Checked(Vec<Found>),
    /// The jobs that a search found.
    Found {
        /// What was searched for.
        query: String,
        /// The jobs.
        lines: Vec<JobLine>,
        /// Where each open one stands, where that was looked up.
        stands: Option<Vec<(Uuid, Stand)>>,
    },
    /// What lies in a folder, and the folders to begin at.
    Folder(Box<Folder>, Vec<PathBuf>),
    /// A file is being read.
    FileReading {
        /// The file.
        path: PathBuf,
        /// How much of it is read, in percent.
        percent: u8,
    },
    /// A file was read, or was not.
    FileRead {
        /// The file.
        path: PathBuf,
        /// How it is written and what its columns hold, as far as that can be told.
        look: Option<Arc<Look>>,
        /// What it holds, or why it cannot be read.
        result: Result<Arc<Import>, Arc<ImportError>>,
    },
    /// Names of the mappings that are kept.
    Mappings(Vec<String>),
    /// A mapping was read, or cannot be.
    Mapping {
        /// Its name.
        name: String,
        /// What it says, or why it cannot be read.
        result: Result<Mapping, String>,
    },
    /// A mapping was kept, or was not.
    MappingKept {
        /// Its name.
        name: String,
        /// What it says, or why it was not kept.
        result: Result<Mapping, String>,
    },
    /// A job was read.
    Loaded {
        /// Its line on the board.
        line: Box<JobLine>,
        /// Its events.
        events: Arc<[Event]>,
        /// Why it can only be read here, if it can.
        held: Option<String>,
    },
    /// Somebody else has taken the job over that is open here; the words say who.
    Lost {
        /// The job.
        job: Uuid,
        /// Why it can only be read from now on.
        held: String,
    },
    /// A job that can only be read here was looked at again.
    Followed {
        /// The job.
        job: Uuid,
        /// What was done elsewhere since.
        events: Arc<[Event]>,
        /// Nobody writes in it any more.
        left: bool,
    },
    /// Events are on the disk.
    Stored {
        /// The job.
        job: Uuid,
        /// The events.
        events: Arc<[Event]>,
    },
    /// The settings were written and read anew.
    Settings(Box<Read>),
    /// A text was saved in this file.
    TextSaved(PathBuf),
    /// The other store is in use: exercises, or the workshop's jobs.
    Swapped {
        /// Exercises.
        practice: bool,
    },
    /// What came of all exercises that have ended, the oldest first.
    History(Vec<Exercised>),
    /// The evidence was worked out.
    Weighed(Box<Answer>),
    /// Something could not be stored or read, with what to do about it.
    Failed(String),
}

/// A change to a field.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(missing_docs, reason = "the names say it")]
pub enum Edit {
    Insert(char),
    Backspace,
    Delete,
    Left,
    Right,
    Home,
    End,
    Clear,
}

/// What a key stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Act {
    /// Leave the program.
    Quit,
    /// Explain the screen.
    Help,
    /// List everything that can be done here.
    More,
    /// Switch the mouse on or off.
    Mouse,
    /// Draw everything anew.
    Redraw,
    /// To the board of jobs.
    Board,
    /// Back: closes what is open, or one station back along the walk.
    Back,
    /// Accept what is shown or picked.
    Accept,
    /// One up.
    Up,
    /// One down.
    Down,
    /// A page up.
    PageUp,
    /// A page down.
    PageDown,
    /// To the beginning.
    First,
    /// To the end.
    Last,
    /// The word before, in a row of words to pick from.
    WordBefore,
    /// The next word.
    WordAfter,
    /// To the next field.
    Next,
    /// To the field before.
    Previous,
    /// Save the form.
    Save,
    /// A new job.
    NewJob,
    /// Search the jobs.
    Search,
    /// Show jobs that were handed over, or not.
    Closed,
    /// One station back along the walk.
    PathBack,
    /// One station forward along the walk.
    PathForward,
    /// It was tried and cannot be told.
    CouldNotTell,
    /// Note something found.
    Note,
    /// Correct an answer.
    Correct,
    /// Show the record.
    Record,
    /// Take another outcome.
    Other,
    /// Skip the step.
    Skip,
    /// Save codes, freeze frame and readiness.
    Codes,
    /// Leave the flow for another.
    Flows,
    /// A remark for the record.
    Remark,
    /// Hand the car over.
    HandOver,
    /// Why the rules suggest what they do.
    Why,
    /// Another place than those listed.
    AddPlace,
    /// The place under the cursor goes round.
    Mark,
    /// Begin the step's timer again.
    Timer,
    /// The time is up, by another clock.
    TimeUp,
    /// Back to a step that was judged again.
    Rejudged,
    /// Read the job anew, to write in it if nobody else does any more.
    TryAgain,
    /// Take the job over from whoever has it open.
    TakeOver,
    /// Fill readings from a file.
    ReadFile,
    /// The next folder to begin at.
    NextPlace,
    /// What the columns of a file hold.
    Columns,
    /// To the next open job.
    NextJob,
    /// Look at demo jobs.
    Demo,
    /// Back from them to the workshop's own jobs.
    Return,
    /// Change the settings.
    Settings,
    /// The screen as plain text.
    Plain,
    /// Copy the plain text to the clipboard.
    Copy,
    /// Save the plain text as a file.
    SaveText,
    /// Write a page to print.
    Paper,
    /// Put the program to sleep.
    Suspend,
    /// To the exercises, or back to the workshop's jobs.
    Practice,
    /// What the car came with, to be read again.
    Complaint,
    /// Who has practised what.
    People,
    /// Say who is at the keys.
    Who,
    /// Take the reading of the car that is not there.
    TakeReading,
    /// What hands do on the car that is not there.
    Hands,
    /// End the exercise, or read its debrief.
    Debrief,
    /// The evidence: causes, next steps, the flow as a map.
    Evidence,
    /// Leave the step for where the evidence says.
    ByEvidence,
    /// Say which gear is not here.
    Gear,
    /// Count the workshop's own jobs, or leave them out.
    OwnJobs,
}

impl Act {
    /// Whether it only moves about in a list, a row of words or a text.
    pub fn moves(self) -> bool {
        matches!(
            self,
            Self::Up
                | Self::Down
                | Self::PageUp
                | Self::PageDown
                | Self::First
                | Self::Last
                | Self::WordBefore
                | Self::WordAfter
        )
    }
}
