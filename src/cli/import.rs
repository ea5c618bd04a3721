//! `ruleout import FILE...`: job files into the store.

use std::fmt::Write;
use std::io;
use std::path::{Path, PathBuf};

use clap::Args;
use serde::Serialize;
use uuid::Uuid;

use super::progress::Progress;
use super::{CliError, Common, Outcome, clean, clean_json, print};
use crate::job::file::JobFile;
use crate::job::merge::merge;
use crate::job::sqlite::SqliteStore;

/// Take job files in; what is there already is not added again
#[derive(Args, Clone, Debug)]
pub struct ImportArgs {
    /// Job files; `-` reads one from standard input
    #[arg(required = true, value_name = "FILE")]
    pub files: Vec<PathBuf>,
    /// Print an array of objects
    #[arg(long)]
    pub json: bool,
}

/// What became of one file.
#[derive(Serialize)]
struct Taken {
    file: String,
    job: Uuid,
    number: u64,
    added: u64,
    known: u64,
}

/// Imports the files one by one. One that is refused leaves no trace and does not hold up the rest.
///
/// # Errors
/// If there is no store to import into, or the result cannot be printed.
pub fn run(args: &ImportArgs, common: &Common) -> Result<Outcome, CliError> {
    let mut store = common.store()?;
    let mut outcome = Outcome::Fine;
    let mut taken = Vec::new();
    let progress = Progress::over(args.files.len(), "taking jobs in");
    for path in &args.files {
        match take(path, &mut store) {
            Ok(one) => taken.push(one),
            Err(error) => {
                progress.suspend(|| error.report());
                outcome = Outcome::Misused;
            }
        }
        progress.inc();
    }
    drop(progress);
    print(&if args.json {
        json(&taken)
    } else {
        text(&taken)
    })?;
    Ok(outcome)
}

fn take(path: &Path, store: &mut SqliteStore) -> Result<Taken, CliError> {
    let stdin = path == Path::new("-");
    let file = if stdin {
        JobFile::read_from(io::stdin().lock())
    } else {
        JobFile::read(path)
    }
    .map_err(|error| CliError::Read {
        path: path.to_owned(),
        error,
    })?;
    let merged = merge(store, &file).map_err(|error| CliError::Merge {
        path: path.to_owned(),
        error,
    })?;
    Ok(Taken {
        file: path.display().to_string(),
        job: file.job,
        number: merged.number,
        added: merged.added,
        known: merged.known,
    })
}

fn json(taken: &[Taken]) -> String {
    // A list of plain fields always has a JSON form.
    clean_json(&serde_json::to_string_pretty(taken).unwrap_or_else(|_| "[]".to_owned())) + "\n"
}

fn text(taken: &[Taken]) -> String {
    let mut out = String::new();
    for one in taken {
        let what = match (one.added, one.known) {
            (0, known) => format!("nothing new, all of it was here ({known} events)"),
            (added, 0) => format!("added, {added} events"),
            (added, known) => format!("{added} events added to the {known} that were here"),
        };
        // Writing to a String cannot fail.
        let _ = writeln!(out, "{}: job {}, {what}", clean(&one.file), one.number);
    }
    out
}
