//! `ruleout check PATH...`: what is wrong with flow files, where, and what to write instead.
//!
//! `--explain` says more about one kind of finding ([`explain`]), `--watch` checks again whenever a
//! file is saved ([`watch`]). What is checked is [`given`]. How a finding looks is the business of [`text`].

mod explain;
mod given;
mod text;
mod watch;

use std::io::{self, Write};
use std::path::PathBuf;

use clap::Args;
use given::Given;
use serde_json::json;

use super::progress::Progress;
use super::{CliError, Common, Outcome, clean, clean_json, print};
use crate::check::Checked;
use crate::flow::finding::Severity;

/// Check flow files: every mistake with its place and what to write instead
///
/// Ends with 0 if there is none (warnings may be), 1 if there are errors, 2 if a file cannot be read.
#[derive(Args, Clone, Debug)]
pub struct CheckArgs {
    /// Flow files, or folders with flow files (*.yaml, *.yml)
    #[arg(required_unless_present = "explain", value_name = "PATH")]
    pub paths: Vec<PathBuf>,
    /// Print one JSON object
    #[arg(long)]
    pub json: bool,
    /// Say more about one kind of finding, such as `gap`; without a code, list them all
    #[arg(long, value_name = "CODE", num_args = 0..=1, default_missing_value = "", conflicts_with = "paths")]
    pub explain: Option<String>,
    /// Check again whenever a file is saved, until you press Ctrl-C
    #[arg(long, conflicts_with_all = ["json", "explain"])]
    pub watch: bool,
}

/// Checks the files.
///
/// # Errors
/// If the result cannot be printed, or the owner's folder of flows cannot be read.
pub fn run(args: &CheckArgs, common: &Common) -> Result<Outcome, CliError> {
    if let Some(code) = &args.explain {
        return explain::run(code, args.json);
    }
    if args.watch {
        return watch::run(&args.paths, common);
    }
    once(args, common)
}

fn once(args: &CheckArgs, common: &Common) -> Result<Outcome, CliError> {
    let given = Given::read(&args.paths);
    let shelf = common.shelf()?;
    let progress = Progress::over(given.len(), "checking flows");
    let checked = given.checked(&shelf, &|| progress.inc());
    drop(progress);
    if args.json {
        print(&json(&checked))?;
    } else if !checked.is_empty() {
        print(&text::shown(&checked))?;
    }
    say(&given.notes());
    say(&given.unread);
    let errors = checked.iter().any(|file| file.count(Severity::Error) > 0);
    Ok(match (given.unread.is_empty(), errors) {
        (false, _) => Outcome::Misused,
        (true, true) => Outcome::No,
        (true, false) => Outcome::Fine,
    })
}

/// Says on stderr what is to be said of files, such as which cannot be read.
fn say(unread: &[String]) {
    for line in unread {
        let _ = writeln!(io::stderr(), "ruleout: {}", clean(line));
    }
}

fn json(checked: &[Checked]) -> String {
    let findings: Vec<_> = checked
        .iter()
        .flat_map(|file| file.findings.iter().map(|f| (&file.source.name, f)))
        .map(|(file, f)| {
            json!({
                "severity": f.severity,
                "code": f.code,
                "file": file,
                "line": f.place.line,
                "column": f.place.column,
                "message": f.message,
                "help": f.help,
            })
        })
        .collect();
    clean_json(&format!("{:#}\n", json!({ "findings": findings })))
}
