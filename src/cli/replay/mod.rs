//! `ruleout replay JOBFILE...`: plays job files through the engine and says where a record
//! disagrees with what the engine computes.

mod play;
mod print;

use std::io::{self, Write};
use std::path::PathBuf;

use clap::Args;

use super::{CliError, Common, Outcome, clean};
use crate::job::file::JobFile;

/// Play job files through the engine, step by step, and compare with what they recorded
///
/// Ends with 0 if every record agrees, 1 if one disagrees anywhere, 2 if a file cannot be read.
#[derive(Args, Clone, Debug)]
pub struct ReplayArgs {
    /// Job files, as `ruleout export` writes them
    #[arg(required = true, value_name = "JOBFILE")]
    pub files: Vec<PathBuf>,
    /// Print one JSON object
    #[arg(long)]
    pub json: bool,
}

/// Replays the files.
///
/// # Errors
/// If the result cannot be printed.
pub fn run(args: &ReplayArgs, _: &Common) -> Result<Outcome, CliError> {
    let (mut played, mut unread) = (Vec::new(), Vec::new());
    for path in &args.files {
        match JobFile::read(path) {
            Ok(file) => played.push(play::play(&path.display().to_string(), &file)),
            Err(error) => unread.push(format!("{}: {error}", path.display())),
        }
    }
    if args.json {
        super::print(&print::json(&played))?;
    } else if !played.is_empty() {
        super::print(&print::text(&played))?;
    }
    for line in &unread {
        let _ = writeln!(io::stderr(), "ruleout: {}", clean(line));
    }
    let agree = played.iter().all(|job| job.disagreements.is_empty());
    Ok(match (unread.is_empty(), agree) {
        (false, _) => Outcome::Misused,
        (true, false) => Outcome::No,
        (true, true) => Outcome::Fine,
    })
}
