//! Starts the program: parses the command line and hands over.

use std::process::ExitCode;

use clap::{Parser, Subcommand};
use ruleout::cli::{Common, export, import, jobs};

/// Leak tests beside the car: the steps, the sums and the record
#[derive(Parser)]
#[command(name = "ruleout", version)]
struct Line {
    #[command(flatten)]
    common: Common,
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    Jobs(jobs::JobsArgs),
    Export(export::ExportArgs),
    Import(import::ImportArgs),
}

fn main() -> ExitCode {
    let Line { common, command } = Line::parse();
    let result = match &command {
        Command::Jobs(args) => jobs::run(args, &common),
        Command::Export(args) => export::run(args, &common),
        Command::Import(args) => import::run(args, &common),
    };
    match result {
        Ok(outcome) => outcome.into(),
        Err(error) => {
            error.report();
            ExitCode::from(2)
        }
    }
}
