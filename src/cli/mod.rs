//! The sub-commands, one file each, and what they share.
//!
//! Results go to stdout, everything else to stderr. All text that came out of a file passes
//! through [`clean`] before it is printed: nothing that a stranger wrote may drive the terminal.

use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::Args;

use crate::flow::load::nearest;
use crate::flow::shelf::Shelf;
use crate::import::ImportError;
use crate::import::saved::SavedError;
use crate::job::file::FileError;
use crate::job::find::FindError;
use crate::job::merge::MergeError;
use crate::job::place::{NoPlace, data_folder};
use crate::job::save::SaveError;
use crate::job::sqlite::{FILE, SqliteStore};
use crate::job::store::StoreError;
use crate::physics::calculation::CalcError;
use crate::settings::Settings;
use crate::settings::file::{Read, flows as settings_flows, flows_missing, read as read_settings};
use crate::settings::place::settings_file;

pub mod board;
pub mod calc;
pub mod check;
mod clean;
pub mod completions;
pub mod draw;
pub mod examples;
pub mod export;
pub mod files;
pub mod import;
pub mod jobs;
mod layout;
pub mod learned;
pub mod line;
pub mod man;
pub mod new_flow;
mod no_text;
pub mod plain;
pub mod practise;
mod progress;
pub mod rank;
pub mod read;
pub mod replay;
pub mod report;
mod stamps;
pub mod trial;

pub use clean::{clean, clean_json, one_line};

/// Options of every command.
#[derive(Args, Clone, Debug, Default)]
pub struct Common {
    /// Keep jobs in this folder instead of the usual one
    #[arg(long, global = true, value_name = "DIR")]
    pub data: Option<PathBuf>,
    /// Look for flows in this folder too (`flows:` in the settings names one for good)
    #[arg(long, global = true, value_name = "DIR")]
    pub flows: Option<PathBuf>,
    /// Take the settings from this file instead of the usual one, which is settings.yaml in
    /// `$XDG_CONFIG_HOME/ruleout` or `~/.config/ruleout` (Linux), `~/Library/Application Support/ruleout`
    /// (macOS), `%APPDATA%\ruleout\config` (Windows); `s` on the board says where
    #[arg(long, global = true, value_name = "FILE")]
    pub settings: Option<PathBuf>,
}

impl Common {
    /// The settings; a file that is not there is one with every setting left out.
    pub fn settings(&self) -> Read {
        let mut read = read_settings(settings_file(self.settings.as_deref()));
        if self.flows.is_some() {
            // The folder of the settings is not asked for.
            let missing = flows_missing(&read);
            read.findings
                .retain(|finding| Some(finding) != missing.as_ref());
        }
        read
    }

    /// Whether a file of settings that was named is there, or can be made where the screens may do so.
    ///
    /// # Errors
    /// If it is not, and cannot: most often its name is mistyped.
    pub fn settings_are_there(&self, makes_it: bool) -> Result<(), CliError> {
        let Some(path) = self.settings.as_deref().filter(|path| !path.exists()) else {
            return Ok(());
        };
        let folder = path
            .parent()
            .filter(|folder| !folder.as_os_str().is_empty());
        if makes_it && folder.is_none_or(Path::is_dir) {
            return Ok(());
        }
        Err(CliError::NoSettings(path.to_owned()))
    }

    /// The folder with the owner's flows: the one that was named, else that of the settings where it is there.
    pub fn flows_folder(&self) -> Option<PathBuf> {
        let named = || settings_flows(&self.settings()).filter(|folder| folder.is_dir());
        self.flows.clone().or_else(named)
    }

    /// The settings for a command that only prints: what is wrong in them goes to stderr, and the
    /// entry is then as if it were not there.
    pub fn settings_or_say(&self) -> Settings {
        let read = self.settings();
        let path = read.path.unwrap_or_default();
        for finding in &read.findings {
            let place = finding.place;
            let text = format!(
                "{}:{}:{}: {}; {}",
                path.display(),
                place.line,
                place.column,
                finding.message,
                finding.help
            );
            let _ = writeln!(io::stderr(), "ruleout: {}", clean(&text));
        }
        read.settings
    }

    /// The folder of the store.
    ///
    /// # Errors
    /// If there is no home folder and none was given.
    pub fn folder(&self) -> Result<PathBuf, CliError> {
        Ok(data_folder(self.data.as_deref())?)
    }

    /// The flows at hand: those that come with the program, and those in the owner's folder. One
    /// with a mistake is left out, and noted on the shelf.
    ///
    /// # Errors
    /// If the folder or a file in it cannot be read.
    pub fn shelf(&self) -> Result<Shelf, CliError> {
        let mut shelf = Shelf::shipped();
        let Some(folder) = &self.flows_folder() else {
            return Ok(shelf);
        };
        let unread = |path: &Path, error: files::TextError| CliError::Flow {
            path: path.to_owned(),
            error,
        };
        let paths = files::flow_files(folder).map_err(|error| unread(folder, error.into()))?;
        for path in paths {
            let text = files::flow_text(&path).map_err(|error| unread(&path, error))?;
            shelf.put(&path.display().to_string(), &text);
        }
        shelf.unread = files::misnamed(folder)
            .iter()
            .map(|(path, _)| path.display().to_string())
            .collect();
        Ok(shelf)
    }

    /// The store, made if it is not there.
    ///
    /// # Errors
    /// What the store says.
    pub fn store(&self) -> Result<SqliteStore, CliError> {
        Ok(SqliteStore::open(&self.folder()?)?)
    }

    /// The store if it is there: a command that only looks makes no folder, least of all a
    /// mistyped one.
    ///
    /// # Errors
    /// What the store says.
    pub fn store_if_there(&self) -> Result<Option<SqliteStore>, CliError> {
        let folder = self.folder()?;
        // "Cannot tell" is not "no": a folder that may not be looked into is an error.
        let there = folder
            .join(FILE)
            .try_exists()
            .map_err(|error| StoreError::Folder {
                dir: folder.clone(),
                reason: error.to_string(),
            })?;
        Ok(if there {
            Some(SqliteStore::open(&folder)?)
        } else {
            None
        })
    }
}

/// How a command ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// Done, or the answer is yes.
    Fine = 0,
    /// The answer is no.
    No = 1,
    /// The command was used wrongly, or a file cannot be read.
    Misused = 2,
}

impl From<Outcome> for ExitCode {
    fn from(outcome: Outcome) -> Self {
        Self::from(outcome as u8)
    }
}

/// Why a command could not do its work.
#[derive(Debug, thiserror::Error)]
pub enum CliError {
    /// There is nowhere to keep jobs.
    #[error(transparent)]
    Place(#[from] NoPlace),
    /// The store would not.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// No single job is meant.
    #[error(transparent)]
    Find(#[from] FindError),
    /// The file of settings that was named is not there.
    #[error("there is no settings file {}; look at its name, or leave --settings out for the usual one", .0.display())]
    NoSettings(PathBuf),
    /// There is no store yet.
    #[error("there are no jobs in {} yet; name the folder that has them with --data DIR", .0.display())]
    NoStore(PathBuf),
    /// A job cannot be written as a file.
    #[error(transparent)]
    File(#[from] FileError),
    /// A job file cannot be read.
    #[error("{}: {error}{}", .path.display(), files::of_job_file(.error))]
    Read {
        /// The file.
        path: PathBuf,
        /// Why.
        error: FileError,
    },
    /// A flow file cannot be read.
    #[error("{}: {error}{}", .path.display(), files::remedy(.error))]
    Flow {
        /// The file.
        path: PathBuf,
        /// Why.
        error: files::TextError,
    },
    /// A job file was not taken in.
    #[error("{}: {error}", .path.display())]
    Merge {
        /// The file.
        path: PathBuf,
        /// Why.
        error: MergeError,
    },
    /// A job file was not saved.
    #[error("{}: {error}", .path.display())]
    Save {
        /// The file.
        path: PathBuf,
        /// Why.
        error: SaveError,
    },
    /// No flow of this name, with what to write instead.
    #[error("there is no flow `{0}`, and no file of that name; {1}")]
    NoFlow(String, String),
    /// A flow that has mistakes.
    #[error("{} has mistakes; run: ruleout check {}", .0.display(), .0.display())]
    FlowMistakes(PathBuf),
    /// A text that cannot be the id of a flow.
    #[error(
        "`{0}` cannot be the id of a flow; use small letters, digits and hyphens, such as roof-drain"
    )]
    FlowId(String),
    /// A kind of finding that there is not.
    #[error("there is no finding `{code}`; {remedy}")]
    NoCode {
        /// What was asked for.
        code: String,
        /// What to do.
        remedy: String,
    },
    /// A new file cannot be written.
    #[error("{}: {error}; choose another name", .path.display())]
    NewFile {
        /// The file.
        path: PathBuf,
        /// Why.
        error: io::Error,
    },
    /// The screens could not go on.
    #[error(transparent)]
    Screens(#[from] crate::tui::TuiError),
    /// A report was not written.
    #[error("{}: {error}", .path.display())]
    Write {
        /// The file.
        path: PathBuf,
        /// Why.
        error: report::WriteError,
    },
    /// The causes cannot be ranked.
    #[error(transparent)]
    Rank(#[from] rank::RankError),
    /// A flow cannot be tried.
    #[error(transparent)]
    Trial(#[from] trial::TrialError),
    /// A calculation refused its inputs.
    #[error(transparent)]
    Calc(#[from] CalcError),
    /// A log or a capture cannot be read.
    #[error("{}: {error}", .path.display())]
    Import {
        /// The file.
        path: PathBuf,
        /// Why.
        error: Box<ImportError>,
    },
    /// An option that says how a file is written cannot be understood.
    #[error(transparent)]
    Option(#[from] read::options::OptionError),
    /// A mapping was not read or kept.
    #[error(transparent)]
    Mapping(#[from] SavedError),
    /// A job cannot take readings from a file now.
    #[error("job {job} cannot take readings from a file now: {why}")]
    NoFill {
        /// The job's number.
        job: u64,
        /// What to do first.
        why: String,
    },
    /// An exercise cannot be begun, read or told of.
    #[error(transparent)]
    Practise(#[from] practise::PractiseError),
    /// The result could not be printed.
    #[error("the result cannot be printed: {0}")]
    Print(io::Error),
}

impl CliError {
    /// That there is no flow of this name, with the nearest one there is.
    pub(crate) fn no_flow(name: &str, shelf: &Shelf) -> Self {
        let known: Vec<&str> = shelf
            .iter()
            .map(|shelved| shelved.flow.id.as_str())
            .collect();
        let remedy = match nearest(name, &known) {
            Some(near) => format!("did you mean `{near}`?"),
            None => "give an id such as intake-leak, or a file; flows of your own are found with --flows DIR, or with \
                     `flows:` in the settings"
                .to_owned(),
        };
        Self::NoFlow(name.to_owned(), remedy)
    }

    /// Says on stderr what went wrong. With nobody left to listen, that is no further error.
    pub fn report(&self) {
        let _ = writeln!(io::stderr(), "ruleout: {}", clean(&self.to_string()));
    }
}

/// Prints a finished result. A reader that has gone away (`| head`) has all it wants: no error.
///
/// # Errors
/// [`CliError::Print`] for any other trouble.
pub fn print(text: &str) -> Result<(), CliError> {
    let mut out = io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => Err(CliError::Print(error)),
        _ => Ok(()),
    }
}
