//! A file written whole or not at all, and never over something that is not an older copy of it.

use std::fs::{self, File, OpenOptions};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use super::file::{FileError, JobFile};

/// Why a job file was not saved.
#[derive(Debug, thiserror::Error)]
pub enum SaveError {
    /// Something else has that name.
    #[error(
        "this file is there already and is no earlier copy of the job; choose another name, or move it away"
    )]
    Taken,
    /// The job cannot be written as a file.
    #[error(transparent)]
    File(#[from] FileError),
    /// The system would not write it.
    #[error("{0}; what was there before is untouched")]
    System(#[from] io::Error),
}

/// Writes a job file. An earlier copy of the same job is replaced in one step; a pipe or device is
/// written to as it is.
///
/// # Errors
/// [`SaveError::Taken`] if the name belongs to anything else; and what the disk says.
pub fn save(job: &JobFile, path: &Path) -> Result<(), SaveError> {
    let text = job.to_text()?;
    match fs::metadata(path) {
        Ok(there) if !there.is_file() => {
            OpenOptions::new()
                .write(true)
                .open(path)?
                .write_all(text.as_bytes())?;
            return Ok(());
        }
        Ok(_) if !is_earlier_copy(path, job) => return Err(SaveError::Taken),
        Ok(_) => {}
        Err(error) if error.kind() == io::ErrorKind::NotFound => {}
        Err(error) => return Err(error.into()),
    }
    // Through a link, the file that it names is meant, not the link.
    let target = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    Ok(replace(&target, text.as_bytes())?)
}

fn is_earlier_copy(path: &Path, job: &JobFile) -> bool {
    JobFile::read(path)
        .is_ok_and(|there| there.job == job.job && job.events.starts_with(&there.events))
}

/// Writes beside the target, makes that durable, and only then gives it the target's name.
fn replace(target: &Path, bytes: &[u8]) -> io::Result<()> {
    let part = part_of(target)?;
    let written = write_new(&part, bytes).and_then(|()| fs::rename(&part, target));
    if written.is_err() {
        let _ = fs::remove_file(&part);
    }
    written?;
    // The new name is durable once the folder is; not every system lets a folder be synced.
    if let Some(Ok(folder)) = target.parent().map(File::open) {
        let _ = folder.sync_all();
    }
    Ok(())
}

fn write_new(part: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut file = OpenOptions::new().write(true).create_new(true).open(part)?;
    file.write_all(bytes)?;
    file.sync_all()
}

fn part_of(target: &Path) -> io::Result<PathBuf> {
    let name = target.file_name().ok_or_else(|| {
        io::Error::new(io::ErrorKind::InvalidInput, "the path does not name a file")
    })?;
    let mut part = std::ffi::OsString::from(".");
    part.push(name);
    part.push(format!(".{}.part", uuid::Uuid::now_v7()));
    Ok(target.with_file_name(part))
}
