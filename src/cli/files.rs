//! Reading files that are named on the command line: flow files, and all of a folder's.

use std::fs::File;
use std::io::{self, Read};
use std::path::{Path, PathBuf};

use super::no_text::{self, NoText};
use crate::flow::node::LARGEST_FILE;

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
        let yaml = file
            .extension()
            .is_some_and(|end| end == "yaml" || end == "yml");
        if yaml && !file.is_dir() {
            files.push(file);
        }
    }
    files.sort();
    Ok(files)
}
