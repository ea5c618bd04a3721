//! `ruleout jobs [QUERY]`: the jobs in the store, newest activity first.

use std::fmt::Write;

use chrono::Local;
use clap::Args;

use super::{CliError, Common, Outcome, clean_json, one_line, print};
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
    let query = args.query.join(" ");
    let store = common.store_if_there()?;
    let lines = store
        .as_ref()
        .map_or_else(|| Ok(Vec::new()), |store| store.search(&query))?;
    if args.json {
        print(&json(&lines))?;
    } else if lines.is_empty() {
        eprintln_quietly(if query.trim().is_empty() {
            "no jobs yet"
        } else {
            "no job has all these words"
        });
    } else {
        print(&lines.iter().map(text).collect::<String>())?;
    }
    Ok(Outcome::Fine)
}

fn eprintln_quietly(text: &str) {
    use std::io::Write as _;
    let _ = writeln!(std::io::stderr(), "{text}");
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
    let when = job.last.with_timezone(&Local).format("%Y-%m-%d %H:%M");
    add(
        "\n    ",
        &format!("{}, last entry {when}, {}", place(job), entries(job.events)),
    );
    // Writing to a String cannot fail.
    let _ = writeln!(out);
    out
}

fn place(job: &JobLine) -> String {
    let flow = match (&job.flow, &job.step) {
        (Some(flow), Some(step)) => format!("in {flow}, step {step}"),
        (Some(flow), None) => format!("in {flow}"),
        (None, _) => "in no flow".to_owned(),
    };
    if job.bay.trim().is_empty() {
        flow
    } else {
        format!("bay {}, {flow}", job.bay)
    }
}

fn entries(count: u64) -> String {
    if count == 1 {
        "1 entry".to_owned()
    } else {
        format!("{count} entries")
    }
}
