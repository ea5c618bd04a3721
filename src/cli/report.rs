//! `ruleout report JOB`: the handover page, as Markdown or as a page to print.

use std::fs;
use std::path::{Path, PathBuf};

use chrono::Local;
use clap::{Args, ValueEnum};

use super::{CliError, Common, Outcome, print};
use crate::engine::event::Event;
use crate::engine::fold::fold;
use crate::job::file::JobFile;
use crate::job::find::find;
use crate::job::store::Store;
use crate::report::{Made, html, markdown, page};

/// Write the handover page of a job: complaint, tests, judgement, repair, proof and limits
#[derive(Args, Clone, Debug)]
pub struct ReportArgs {
    /// Its number, its plate, or its UUID or the beginning of it
    #[arg(required_unless_present = "file")]
    pub job: Option<String>,
    /// Take the job from this job file instead of the store
    #[arg(long, value_name = "JOBFILE", conflicts_with = "job")]
    pub file: Option<PathBuf>,
    /// The form; without it, what the name of the output says, or Markdown
    #[arg(long = "as", value_name = "FORM")]
    pub form: Option<Form>,
    /// Write to this file; without it, to the screen
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,
    /// The workshop's name at the head of the page
    #[arg(long, value_name = "NAME")]
    pub workshop: Option<String>,
}

/// The forms of the page.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Form {
    /// Markdown, which also reads as plain text
    Md,
    /// One HTML file, to look at and to print
    Html,
}

/// Why a report was not written.
#[derive(Debug, thiserror::Error)]
pub enum WriteError {
    /// The name belongs to something else.
    #[error("this file is there already and is no report; choose another name, or move it away")]
    Taken,
    /// The system would not.
    #[error(transparent)]
    System(#[from] std::io::Error),
}

/// Writes the page.
///
/// # Errors
/// If no single job is meant, it cannot be read, or the page cannot be written.
pub fn run(args: &ReportArgs, common: &Common) -> Result<Outcome, CliError> {
    let (job, events) = events(args, common)?;
    let made = Made {
        at: Local::now().fixed_offset(),
        job,
        workshop: args.workshop.clone(),
    };
    let page = page(&fold(&events), &events, &made);
    let text = match form(args) {
        Form::Md => markdown(&page),
        Form::Html => html(&page),
    };
    match &args.output {
        None => print(&text)?,
        Some(path) => write(path, &text).map_err(|error| CliError::Write {
            path: path.clone(),
            error,
        })?,
    }
    Ok(Outcome::Fine)
}

/// What the job is called, and its events.
fn events(args: &ReportArgs, common: &Common) -> Result<(String, Vec<Event>), CliError> {
    if let Some(path) = &args.file {
        let file = JobFile::read(path).map_err(|error| CliError::Read {
            path: path.clone(),
            error,
        })?;
        // The beginning of its name is what `--data` stores find it by, and fits on the page.
        let name: String = file.job.to_string().chars().take(13).collect();
        return Ok((name, file.events));
    }
    let Some(store) = common.store_if_there()? else {
        return Err(CliError::NoStore(common.folder()?));
    };
    let line = find(&store, args.job.as_deref().unwrap_or_default())?;
    Ok((format!("job {}", line.number), store.read(line.id)?))
}

fn form(args: &ReportArgs) -> Form {
    let named = |path: &PathBuf| {
        let end = path.extension()?.to_str()?.to_ascii_lowercase();
        matches!(end.as_str(), "html" | "htm").then_some(Form::Html)
    };
    let by_name = args.output.as_ref().and_then(named);
    args.form.or(by_name).unwrap_or(Form::Md)
}

/// Writes over an earlier report, and over nothing else that anybody may miss.
fn write(path: &Path, text: &str) -> Result<(), WriteError> {
    let there = path.metadata().is_ok_and(|there| there.is_file());
    if there && !is_report(&fs::read(path)?) {
        return Err(WriteError::Taken);
    }
    Ok(fs::write(path, text)?)
}

/// Every report says at its foot what made it.
fn is_report(bytes: &[u8]) -> bool {
    const MARK: &[u8] = b"Made with ruleout ";
    bytes.is_empty() || bytes.windows(MARK.len()).any(|window| window == MARK)
}
