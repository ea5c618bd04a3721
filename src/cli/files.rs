//! Reading files that are named on the command line: flow files, and all of a folder's.

use std::fs::File;
use std::io::{self, Read};
use std::path::{Path, PathBuf};

use super::no_text::{self, NoText};
use crate::flow::node::LARGEST_FILE;
use crate::job::file::FileError;

/// Why a file cannot be read as text.
#[derive(Debug, thiserror::Error)]
pub enum TextError {
    /// The system would not give it.
    #[error("{0}")]
    System(#[from] io::Error),
    /// Its bytes are no text.
    #[error("{why}")]
    NoText {
        /// What it is.
        why: NoText,
        /// Where most of it is text: that, with a mark for each letter that is none.
        text: String,
    },
}

/// The text of a flow file. Of a file that is larger than any flow no more is read than shows
/// that it is.
///
/// # Errors
/// If the system does not give it, or it is not UTF-8.
pub fn flow_text(path: &Path) -> Result<String, TextError> {
    let mut bytes = Vec::new();
    let most = LARGEST_FILE as u64 + 1;
    File::open(path)?.take(most).read_to_end(&mut bytes)?;
    if bytes.len() > LARGEST_FILE {
        if let Some(document @ (NoText::Document(_) | NoText::Binary)) = no_text::why(&bytes) {
            return Err(no_text(document, &bytes));
        }
        // The last letter may be cut in two; nobody will read it.
        return Ok(String::from_utf8_lossy(&bytes).into_owned());
    }
    match no_text::why(&bytes) {
        Some(why) => Err(no_text(why, &bytes)),
        // What is no text was told above, so that nothing is lost here.
        None => Ok(String::from_utf8_lossy(&bytes).into_owned()),
    }
}

fn no_text(why: NoText, bytes: &[u8]) -> TextError {
    let text = match why {
        NoText::Letter { .. } => String::from_utf8_lossy(bytes).into_owned(),
        NoText::Document(_) | NoText::Utf16 | NoText::Binary => String::new(),
    };
    TextError::NoText { why, text }
}

/// The flow files that a path means: itself, or all `*.yaml` and `*.yml` in it, in the order of
/// their names.
///
/// # Errors
/// If the folder cannot be listed.
pub fn flow_files(path: &Path) -> io::Result<Vec<PathBuf>> {
    if !path.is_dir() {
        return Ok(vec![path.to_owned()]);
    }
    let mut files = Vec::new();
    for entry in std::fs::read_dir(path)? {
        let file = entry?.path();
        // Some systems make capitals of it.
        let yaml = file
            .extension()
            .is_some_and(|end| end.eq_ignore_ascii_case("yaml") || end.eq_ignore_ascii_case("yml"));
        if yaml && !file.is_dir() {
            files.push(file);
        }
    }
    files.sort();
    Ok(files)
}

/// What to do about a file or folder that is not read.
pub fn remedy(error: &TextError) -> &'static str {
    match error {
        TextError::System(error) => of_system(error),
        TextError::NoText { .. } => "",
    }
}

/// What to do about a job file that is not read.
pub fn of_job_file(error: &FileError) -> &'static str {
    match error {
        FileError::System(error) => of_system(error),
        // These say so themselves.
        _ => "",
    }
}

fn of_system(error: &io::Error) -> &'static str {
    match error.kind() {
        io::ErrorKind::NotFound => "; look at the name, and at the folder that you are in",
        io::ErrorKind::IsADirectory => "; name a file in it",
        io::ErrorKind::NotADirectory => "; name the folder that it lies in",
        io::ErrorKind::PermissionDenied => "; ask for the right to read it",
        _ => "",
    }
}

/// The name that a file should have which an editor has saved under another ending (`hose.yaml.txt`).
pub fn meant_name(path: &Path) -> Option<String> {
    let name = path.file_name()?.to_str()?;
    let lower = name.to_lowercase();
    let end = [".yaml", ".yml"].iter().find_map(|end| {
        let at = lower.rfind(end)?;
        Some(at + end.len())
    })?;
    let hidden = name.starts_with(['.', '#']);
    (end < name.len() && !hidden).then(|| name.get(..end).map(str::to_owned))?
}

/// The files of a folder that an editor has saved under another ending (`hose.yaml.txt`), which are not read, each with
/// the name that it should have. What lies beside a file of that name is its copy, and meant as one.
pub fn misnamed(folder: &Path) -> Vec<(PathBuf, String)> {
    let Ok(entries) = std::fs::read_dir(folder) else {
        return Vec::new();
    };
    let mut found: Vec<(PathBuf, String)> = entries
        .flatten()
        .map(|entry| entry.path())
        .filter(|path| path.is_file())
        .filter_map(|path| {
            let wanted = meant_name(&path)?;
            let copy = folder.join(&wanted).exists();
            (!copy).then_some((path, wanted))
        })
        .collect();
    found.sort();
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn endings_in_capitals_are_read_and_other_endings_are_named() {
        let folder = tempfile::tempdir().unwrap();
        for name in [
            "a.YML",
            "b.Yaml",
            "c.yaml.txt",
            "d.yaml",
            "d.yaml~",
            "e.yml.bak",
            "notes.txt",
            ".f.yaml.swp",
        ] {
            std::fs::write(folder.path().join(name), "").unwrap();
        }
        let names = |paths: Vec<PathBuf>| -> Vec<String> {
            let name = |path: &PathBuf| path.file_name().unwrap().to_string_lossy().into_owned();
            paths.iter().map(name).collect()
        };
        let read = flow_files(folder.path()).unwrap();
        assert_eq!(names(read), ["a.YML", "b.Yaml", "d.yaml"]);
        let (others, wanted): (Vec<PathBuf>, Vec<String>) =
            misnamed(folder.path()).into_iter().unzip();
        assert_eq!(names(others), ["c.yaml.txt", "e.yml.bak"]);
        assert_eq!(wanted, ["c.yaml", "e.yml"]);
    }
}
