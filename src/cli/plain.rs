//! The walk line by line: `ruleout --plain`.

use std::io::Write;

use super::{CliError, Outcome, clean};
use crate::tui::Options;
use crate::tui::plain::{self, Ended};
use uuid::Uuid;

/// Walks line by line.
///
/// # Errors
/// What the store or the output say.
pub fn run(options: Options, job: Option<Uuid>) -> Result<Outcome, CliError> {
    match plain::run(options, job)? {
        Ended::Left => Ok(Outcome::Fine),
        Ended::NotTaken { line, why } => {
            let text = format!(
                "ruleout: line {line} of the input was not taken: {why}\n\
                 What came before it is saved; nothing after it was read.\n"
            );
            let _ = std::io::stderr().write_all(clean(&text).as_bytes());
            Ok(Outcome::Misused)
        }
    }
}
