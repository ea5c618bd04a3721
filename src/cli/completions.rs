//! `ruleout completions SHELL`: what a shell needs to complete commands and options.

use clap::Args;
use clap_complete::Shell;

use super::{CliError, Outcome, print};

/// Print what a shell needs to complete ruleout's commands and options
#[derive(Args, Clone, Debug)]
pub struct CompletionsArgs {
    /// The shell
    pub shell: Shell,
}

/// Prints the script.
///
/// # Errors
/// If it cannot be printed.
pub fn run(args: &CompletionsArgs) -> Result<Outcome, CliError> {
    let mut script = Vec::new();
    clap_complete::generate(
        args.shell,
        &mut super::line::command(),
        "ruleout",
        &mut script,
    );
    print(&String::from_utf8_lossy(&script))?;
    Ok(Outcome::Fine)
}
