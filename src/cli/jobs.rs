//! `ruleout jobs [QUERY]`: the jobs in the store, newest activity first.

use std::fmt::Write;

use chrono::Local;
use clap::Args;

use super::{CliError, Common, Outcome, clean, clean_json, one_line, print};
use crate::job::store::{JobLine, Store};

/// List jobs, or those in which every given word occurs
#[derive(Args, Clone, Debug)]
pub struct JobsArgs {
    /// Words to look for: plate, model, complaint, code, repair, finding, remark, number
    pub query: Vec<String>,
    /// Print an array of objects
    #[arg(long)]
    pub json: bool,
}

/// Lists the jobs.
///
/// # Errors
/// What the store says.
pub fn run(args: &JobsArgs, common: &Common) -> Result<Outcome, CliError> {
    common.settings_or_say();
    let query = args.query.join(" ");
    let store = common.store_if_there()?;
    let lines = match &store {
        Some(store) => store.search(&query)?,
        None => Vec::new(),
    };
    if args.json {
        print(&json(&lines))?;
    } else if lines.is_empty() {
        let folder = common.folder()?;
        let named = common.data.is_some();
        say(&if named && !folder.is_dir() {
            format!(
                "there is no folder {}, and so there are no jobs in it; look at the name behind --data",
                folder.display()
            )
        } else if query.trim().is_empty() {
            format!("no jobs in {} yet", folder.display())
        } else {
            format!("no job in {} has all these words", folder.display())
        });
    } else {
        print(&lines.iter().map(text).collect::<String>())?;
    }
    Ok(Outcome::Fine)
}

/// A remark beside the result.
fn say(text: &str) {
    use std::io::Write as _;
    let _ = writeln!(std::io::stderr(), "{}", clean(text));
}

fn json(lines: &[JobLine]) -> String {
    // A list of plain fields always has a JSON form.
    let text = serde_json::to_string_pretty(lines).unwrap_or_else(|_| "[]".to_owned());
    clean_json(&text) + "\n"
}

/// A job in two or three lines of text: what it is called, what it is about, where it stands.
fn text(job: &JobLine) -> String {
    let mut out = format!("job {}  {}", job.number, one_line(&job.plate));
    let mut add = |between: &str, text: &str| {
        let text = one_line(text);
        if !text.is_empty() {
            out.push_str(between);
            out.push_str(&text);
        }
    };
    add("  ", &job.model);
    add("  ", &format!("({})", job.state));
    add("\n    ", &job.complaint);
    add("\n    ", &job.codes.join(" "));
    add("\n    ", &place(job));
    // Writing to a String cannot fail.
    let _ = writeln!(out);
    out
}

fn place(job: &JobLine) -> String {
    let mut parts = Vec::new();
    if !job.bay.trim().is_empty() {
        parts.push(format!("bay {}", job.bay));
    }
    if let Some(flow) = &job.flow {
        parts.push(format!("in {flow}"));
    }
    if let Some(step) = &job.step {
        parts.push(format!("step {step}"));
    }
    let when = job.last.with_timezone(&Local).format("%Y-%m-%d %H:%M");
    parts.push(format!("last entry {when}"));
    parts.push(match job.events {
        1 => "1 entry".to_owned(),
        count => format!("{count} entries"),
    });
    parts.join(", ")
}
