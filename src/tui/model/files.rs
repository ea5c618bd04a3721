//! The picker of files: where it looks, what lies there, and what the file under the cursor holds.

use std::path::PathBuf;
use std::sync::Arc;

use chrono::{DateTime, Utc};
use tui_input::Input;

use super::Model;
use crate::engine::standing::Standing;
use crate::import::dialect::{Decimal, Separator};
use crate::import::fill::fill;
use crate::import::mapping::Mapping;
use crate::import::put::{File, Put, put};
use crate::import::{Channel, Import, Look, Options, Unasked};
use crate::units::Unit;

/// A larger file is read only when it is picked, not while the cursor passes over it, in bytes.
pub const AT_ONCE: u64 = 32 << 20;

/// Something in a folder.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// Its name, as far as it is text.
    pub name: String,
    /// Where it is.
    pub path: PathBuf,
    /// It is a folder.
    pub folder: bool,
    /// Its size, in bytes.
    pub size: u64,
    /// When it was changed last, where the system tells.
    pub changed: Option<DateTime<Utc>>,
}

/// What lies in a folder.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Folder {
    /// Where it is.
    pub path: PathBuf,
    /// The way up first, then folders and files together, the newest first.
    pub entries: Vec<Entry>,
    /// Why it cannot be looked into, if so.
    pub error: Option<String>,
}

/// What the file under the cursor holds.
#[derive(Clone, Debug, Default)]
pub enum Preview {
    /// Not looked at.
    #[default]
    None,
    /// It is being read: so much of it by now, in percent.
    Reading(u8),
    /// It was read.
    Read(Arc<Import>),
    /// Units must be asked.
    Unasked(Vec<Unasked>),
    /// It cannot be read, and why.
    Wrong(String),
}

/// The picker.
#[derive(Clone, Debug, Default)]
pub struct Files {
    /// What lies in the folder on screen.
    pub folder: Folder,
    /// Folders to begin at: where files usually land, the last one used, the current one.
    pub places: Vec<PathBuf>,
    /// Only names with this in them are listed.
    pub filter: Input,
    /// The entry under the cursor, among those listed.
    pub at: usize,
    /// The file that the preview is of.
    pub path: Option<PathBuf>,
    /// What that file holds.
    pub preview: Preview,
    /// How it is written and what its columns hold, as far as that is known.
    pub look: Option<Arc<Look>>,
    /// What stands between its cells, where that was told.
    pub separator: Option<Separator>,
    /// What stands before decimals, where that was told.
    pub decimal: Option<Decimal>,
    /// What columns hold, where that was told.
    pub columns: Vec<(String, Option<Channel>)>,
    /// Units that were said for that file.
    pub units: Vec<(String, Unit)>,
    /// The column that is being told about.
    pub column: Option<String>,
    /// The column whose unit is asked for, since the one in its header does not fit.
    pub asking: Option<Unasked>,
    /// Units that are missing are asked for at once.
    pub ask_units: bool,
    /// The mapping in use, by its name; it stays from file to file.
    pub mapping: Option<(String, Mapping)>,
    /// Names of the mappings that were kept.
    pub mappings: Vec<String>,
    /// Somebody vouches for a warm engine.
    pub warm: bool,
}

impl Files {
    /// The entries that are listed.
    pub fn listed(&self) -> Vec<&Entry> {
        let wanted = self.filter.value().trim().to_lowercase();
        let fits = |entry: &&Entry| entry.name.to_lowercase().contains(&wanted);
        self.folder.entries.iter().filter(fits).collect()
    }

    /// The entry under the cursor.
    pub fn picked(&self) -> Option<&Entry> {
        self.listed().get(self.at).copied()
    }

    /// What is known about the file beforehand.
    pub fn options(&self) -> Options {
        let mapping = self.mapping.as_ref().map(|(_, mapping)| mapping.clone());
        Options {
            separator: self.separator,
            decimal: self.decimal,
            mapping: mapping.unwrap_or_default(),
            columns: self.columns.clone(),
            units: self.units.clone(),
            purpose: None,
        }
    }

    /// Another file is looked at: what was told of the one before does not count for it.
    pub fn turn_to(&mut self, path: Option<PathBuf>) {
        let kept = (self.mapping.take(), std::mem::take(&mut self.mappings));
        *self = Self {
            folder: std::mem::take(&mut self.folder),
            places: std::mem::take(&mut self.places),
            filter: std::mem::take(&mut self.filter),
            at: self.at,
            path,
            mapping: kept.0,
            mappings: kept.1,
            ..Self::default()
        };
    }
}

impl Model {
    /// Whether the flow that is walked asks for something that a file can hold.
    pub fn can_read_a_file(&self) -> bool {
        let run = self.open.as_ref().and_then(|open| open.job.run());
        matches!(self.standing(), Standing::Step(_))
            && run.is_some_and(|run| run.flow.readings.iter().any(|r| r.log.is_some()))
    }

    /// What a file that was read would fill.
    ///
    /// # Errors
    /// Says what to do first where the job cannot take readings.
    pub fn would_fill(&self, files: &Files) -> Result<Put, String> {
        let nothing = || "no flow is walked".to_owned();
        let Preview::Read(read) = &files.preview else {
            return Ok(Put::default());
        };
        let open = self.open.as_ref().ok_or_else(nothing)?;
        let run = open.job.run().ok_or_else(nothing)?;
        let name = files.path.as_ref().and_then(|path| path.file_name());
        let name = name.map(|name| name.to_string_lossy()).unwrap_or_default();
        let hash = match &**read {
            Import::Log(log) => &log.hash,
            Import::Capture(capture) => &capture.hash,
        };
        let file = File { name: &name, hash };
        put(
            &open.job,
            self.desk(),
            &fill(&run.flow, read),
            file,
            files.warm,
        )
    }
}
