//! `ruleout export JOB [-o FILE]`: a job as a job file.

use std::path::PathBuf;

use clap::Args;

use super::{CliError, Common, Outcome, print};
use crate::job::file::JobFile;
use crate::job::find::find;
use crate::job::save::save;
use crate::job::store::Store;

/// Write a job as a job file that people can read and `import` takes in again
#[derive(Args, Clone, Debug)]
pub struct ExportArgs {
    /// Its number, its plate, or its UUID or the beginning of it
    pub job: String,
    /// Write to this file; without it, to the screen
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,
}

/// Exports the job.
///
/// # Errors
/// If no single job is meant, or it cannot be read or written.
pub fn run(args: &ExportArgs, common: &Common) -> Result<Outcome, CliError> {
    let store = common
        .store_if_there()?
        .ok_or_else(|| common.folder().map_or_else(|e| e, CliError::NoStore))?;
    let line = find(&store, &args.job)?;
    let file = JobFile {
        job: line.id,
        events: store.read(line.id)?,
    };
    match &args.output {
        Some(path) => save(&file, path).map_err(|error| CliError::Save {
            path: path.clone(),
            error,
        })?,
        // Nothing in a job file's text is hidden, so it may go to a terminal as it is.
        None => print(&file.to_text()?)?,
    }
    Ok(Outcome::Fine)
}
