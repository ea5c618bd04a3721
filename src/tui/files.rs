//! Folders and files as the driver gets them: the only part of the screens that looks at the disk.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::AtomicU64;

use chrono::{DateTime, Utc};

use super::model::{FileEntry, Folder};
use super::reading::Counted;
use crate::import::mapping::Mapping;
use crate::import::{self, Import, ImportError, Look, Options, saved};

/// Where the last folder used is noted, inside the folder of jobs.
const NOTE: &str = "last-folder.txt";
/// Said where there is no folder of jobs.
const NOWHERE: &str = "there is no folder here to keep mappings in";
/// The most entries of a folder that are listed: the newest.
const MOST: usize = 2_000;

/// Where the picker begins, and where it notes the last folder used.
#[derive(Clone, Debug, Default)]
pub struct Places {
    /// The note of the last folder used, if there is anywhere to keep it.
    note: Option<PathBuf>,
    /// Where files usually land, and the current folder.
    usual: Vec<PathBuf>,
}

impl Places {
    /// The places of this computer; `kept` is the folder of jobs, if there is one.
    pub fn of_this_computer(kept: Option<&Path>) -> Self {
        let user = directories::UserDirs::new();
        let downloads = user.as_ref().map(|dirs| {
            let usual = || dirs.home_dir().join("Downloads");
            dirs.download_dir().map_or_else(usual, Path::to_owned)
        });
        let current = std::env::current_dir().ok();
        Self {
            note: kept.map(|folder| folder.join(NOTE)),
            usual: downloads.into_iter().chain(current).collect(),
        }
    }

    /// Other places than those of this computer.
    pub fn new(note: Option<PathBuf>, usual: Vec<PathBuf>) -> Self {
        Self { note, usual }
    }

    /// Folders to begin at that are there: the last one used, where files land, the current one.
    pub fn all(&self) -> Vec<PathBuf> {
        let noted = self
            .note
            .as_ref()
            .and_then(|note| fs::read_to_string(note).ok());
        let last = noted.map(|text| PathBuf::from(text.trim_end_matches('\n')));
        let mut all: Vec<PathBuf> = Vec::new();
        for place in last.into_iter().chain(self.usual.iter().cloned()) {
            if place.is_dir() && !all.contains(&place) {
                all.push(place);
            }
        }
        all
    }

    /// The folder that mappings are kept in: that of jobs.
    fn kept(&self) -> Option<&Path> {
        self.note.as_deref().and_then(Path::parent)
    }

    /// Names of the mappings that are kept.
    pub fn mappings(&self) -> Vec<String> {
        self.kept().map(saved::names).unwrap_or_default()
    }

    /// Reads the mapping of this name.
    ///
    /// # Errors
    /// Says why it cannot be read.
    pub fn mapping(&self, name: &str) -> Result<Mapping, String> {
        let folder = self.kept().ok_or(NOWHERE)?;
        let path = saved::path_of(folder, name).map_err(|error| error.to_string())?;
        saved::read(&path).map_err(|error| error.to_string())
    }

    /// Keeps a mapping under a name.
    ///
    /// # Errors
    /// Says why it was not kept.
    pub fn keep_mapping(&self, name: &str, mapping: Mapping) -> Result<Mapping, String> {
        let folder = self.kept().ok_or(NOWHERE)?;
        let kept = saved::keep(folder, name, &mapping);
        kept.map(|_| mapping).map_err(|error| error.to_string())
    }

    /// Notes the last folder used. That it cannot is no reason to stop anybody.
    pub fn keep(&self, folder: &Path) {
        if let (Some(note), Some(text)) = (&self.note, folder.to_str()) {
            let _ = fs::write(note, text);
        }
    }
}

/// Saves a text in a folder under a name that is not taken there yet.
///
/// # Errors
/// Says why it was not saved.
pub fn save(
    folder: Option<&Path>,
    name: &str,
    ending: &str,
    text: &str,
) -> Result<PathBuf, String> {
    let folder = folder.ok_or("there is no folder here to save it in")?;
    for n in 1..100 {
        let name = if n == 1 {
            format!("{name}.{ending}")
        } else {
            format!("{name}-{n}.{ending}")
        };
        let path = folder.join(name);
        // Never over a file that somebody may miss.
        match fs::File::create_new(&path) {
            Ok(mut file) => {
                return file
                    .write_all(text.as_bytes())
                    .map(|()| path.clone())
                    .map_err(|error| format!("{} was not saved: {error}", path.display()));
            }
            Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => {}
            Err(error) => return Err(format!("{} was not saved: {error}", path.display())),
        }
    }
    Err(format!(
        "{} has a hundred of these already: tidy it up first",
        folder.display()
    ))
}

/// What lies in a folder, the newest first; hidden files are left out.
pub fn folder(path: &Path) -> Folder {
    let mut entries: Vec<FileEntry> = Vec::new();
    let mut error = None;
    match fs::read_dir(path) {
        Ok(found) => {
            entries.extend(found.filter_map(|one| entry(&one.ok()?)));
            entries.sort_by(|a, b| b.changed.cmp(&a.changed).then_with(|| a.name.cmp(&b.name)));
            entries.truncate(MOST);
        }
        Err(why) => error = Some(format!("This folder cannot be looked into: {why}")),
    }
    if let Some(above) = path.parent() {
        entries.insert(
            0,
            FileEntry {
                name: "..".to_owned(),
                path: above.to_owned(),
                folder: true,
                size: 0,
                changed: None,
            },
        );
    }
    Folder {
        path: path.to_owned(),
        entries,
        error,
    }
}

fn entry(found: &fs::DirEntry) -> Option<FileEntry> {
    let name = found.file_name().to_string_lossy().into_owned();
    // Through links: a link to a folder is a folder to whoever looks for a file.
    let about = fs::metadata(found.path()).ok()?;
    let readable = about.is_dir() || about.is_file();
    (readable && !name.starts_with('.')).then(|| FileEntry {
        name,
        path: found.path(),
        folder: about.is_dir(),
        size: about.len(),
        changed: about.modified().ok().map(DateTime::<Utc>::from),
    })
}

/// What a file holds, or why it cannot be read.
pub type Held = Result<Arc<Import>, Arc<ImportError>>;

/// Reads a file; besides, says what its columns are taken for, even where it cannot be read further.
pub fn read(path: &Path, options: &Options) -> (Option<Arc<Look>>, Held) {
    read_counted(path, options, &AtomicU64::new(0))
}

/// As [`read`]; counts the bytes that are read.
pub fn read_counted(
    path: &Path,
    options: &Options,
    count: &AtomicU64,
) -> (Option<Arc<Look>>, Held) {
    let file = || fs::File::open(path);
    let read = file().map_err(ImportError::from);
    match read.and_then(|file| import::read(Counted::new(file, count), options)) {
        Ok(read) => {
            let look = match &read {
                Import::Log(log) => &log.look,
                Import::Capture(capture) => &capture.look,
            };
            (Some(Arc::new(look.clone())), Ok(Arc::new(read)))
        }
        Err(error) => {
            let look = file().ok().map(|file| import::look_at(file, options));
            (
                look.and_then(Result::ok).map(Arc::new),
                Err(Arc::new(error)),
            )
        }
    }
}
