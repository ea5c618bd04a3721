//! Starts the program.

use std::process::ExitCode;

use ruleout::cli::line;

fn main() -> ExitCode {
    match line::run() {
        Ok(outcome) => outcome.into(),
        Err(error) => {
            error.report();
            ExitCode::from(2)
        }
    }
}
