//! Mappings kept by name, as YAML files in the folder of settings.

use std::fs;
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

use super::mapping::{Mapping, MappingError};

/// The folder of mappings, inside that of settings.
const FOLDER: &str = "mappings";
/// The largest mapping that is read, in bytes.
const LARGEST: u64 = 1 << 20;

/// Why a mapping was not read or kept.
#[derive(Debug, thiserror::Error)]
pub enum SavedError {
    /// The name cannot be a file's.
    #[error("\"{0}\" cannot be a mapping's name; use letters, digits, blanks and hyphens")]
    Name(String),
    /// No mapping of this name is kept.
    #[error("no mapping is kept as \"{asked}\"; {}", kept_names(.kept))]
    Unknown {
        /// The name.
        asked: String,
        /// The names that are kept.
        kept: Vec<String>,
    },
    /// The file cannot be read or written.
    #[error("{}: {error}", .path.display())]
    System {
        /// The file.
        path: PathBuf,
        /// What the system says.
        error: io::Error,
    },
    /// It is no mapping.
    #[error("{}: {error}", .path.display())]
    Mapping {
        /// The file.
        path: PathBuf,
        /// Why.
        error: MappingError,
    },
}

fn kept_names(kept: &[String]) -> String {
    if kept.is_empty() {
        "none is kept so far: `ruleout read FILE --save-mapping NAME` keeps one".to_owned()
    } else {
        format!("there are: {}", kept.join(", "))
    }
}

/// The file of a mapping's name.
///
/// # Errors
/// [`SavedError::Name`] for a name that could lead out of the folder or that not every system takes.
pub fn path_of(settings: &Path, name: &str) -> Result<PathBuf, SavedError> {
    let good = |c: char| c.is_alphanumeric() || matches!(c, ' ' | '-' | '_');
    let trimmed = name.trim();
    if trimmed.is_empty() || trimmed.len() > 100 || !trimmed.chars().all(good) {
        return Err(SavedError::Name(name.to_owned()));
    }
    Ok(settings.join(FOLDER).join(format!("{trimmed}.yaml")))
}

/// Reads a mapping from a file.
///
/// # Errors
/// If it cannot be read or is no mapping.
pub fn read(path: &Path) -> Result<Mapping, SavedError> {
    let system = |error| SavedError::System {
        path: path.to_owned(),
        error,
    };
    let mut text = String::new();
    let file = fs::File::open(path).map_err(system)?;
    file.take(LARGEST)
        .read_to_string(&mut text)
        .map_err(system)?;
    Mapping::parse(&text).map_err(|error| SavedError::Mapping {
        path: path.to_owned(),
        error,
    })
}

/// The mapping that is meant: a file's path if there is such a file, else a saved name.
///
/// # Errors
/// As [`read`]; [`SavedError::Unknown`] for a name that is not kept.
pub fn find(settings: &Path, asked: &str) -> Result<Mapping, SavedError> {
    let path = Path::new(asked);
    if path.is_file() {
        return read(path);
    }
    // With a folder or an ending, a file was meant.
    if path.components().count() > 1 || path.extension().is_some() {
        return read(path);
    }
    let saved = path_of(settings, asked)?;
    if !saved.is_file() {
        return Err(SavedError::Unknown {
            asked: asked.to_owned(),
            kept: names(settings),
        });
    }
    read(&saved)
}

/// Keeps a mapping under a name, in place of an earlier one.
///
/// # Errors
/// [`SavedError::Name`], or what the disk says; an earlier mapping is then untouched.
pub fn keep(settings: &Path, name: &str, mapping: &Mapping) -> Result<PathBuf, SavedError> {
    let path = path_of(settings, name)?;
    let write = || {
        let folder = path.parent().unwrap_or(settings);
        fs::create_dir_all(folder)?;
        let part = path.with_extension("part");
        let mut file = fs::File::create(&part)?;
        file.write_all(mapping.to_text().as_bytes())?;
        file.sync_all()?;
        fs::rename(&part, &path)
    };
    match write() {
        Ok(()) => Ok(path),
        Err(error) => Err(SavedError::System { path, error }),
    }
}

/// Names of the mappings that are kept, in order.
pub fn names(settings: &Path) -> Vec<String> {
    let entries = fs::read_dir(settings.join(FOLDER)).into_iter().flatten();
    let mut names: Vec<String> = entries
        .filter_map(|entry| {
            let path = entry.ok()?.path();
            let yaml = path.extension().is_some_and(|ending| ending == "yaml");
            yaml.then(|| path.file_stem()?.to_str().map(str::to_owned))?
        })
        .collect();
    names.sort();
    names
}
