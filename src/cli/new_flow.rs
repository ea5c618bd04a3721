//! `ruleout new-flow`: a complete, commented flow to begin with.

use std::fs::OpenOptions;
use std::io::Write;
use std::path::PathBuf;

use clap::Args;

use super::{CliError, Common, Outcome, print};

/// The flow that a new one begins as; its id is put in.
const TEMPLATE: &str = include_str!("../../assets/new-flow.yaml");
const PLACEHOLDER: &str = "NEW-FLOW";

/// Write a complete, commented flow to begin with
#[derive(Args, Clone, Debug)]
pub struct NewFlowArgs {
    /// Its id: small letters, digits and hyphens, such as roof-drain
    id: String,
    /// Write it to this file, which must not be there yet (otherwise it is printed)
    #[arg(short, long, value_name = "FILE")]
    out: Option<PathBuf>,
}

/// Writes the flow.
///
/// # Errors
/// For an id that cannot be one, or a file that is there or cannot be written.
pub fn run(args: &NewFlowArgs, _: &Common) -> Result<Outcome, CliError> {
    let text = text(&args.id).ok_or_else(|| CliError::FlowId(args.id.clone()))?;
    let Some(path) = &args.out else {
        print(&text)?;
        return Ok(Outcome::Fine);
    };
    // An owner's flow is never written over.
    let written = OpenOptions::new()
        .write(true)
        .create_new(true)
        .open(path)
        .and_then(|mut file| file.write_all(text.as_bytes()));
    written.map_err(|error| CliError::NewFile {
        path: path.clone(),
        error,
    })?;
    print(&format!(
        "{} is a complete flow. Change it line by line, and run: ruleout check {}\n",
        path.display(),
        path.display()
    ))?;
    Ok(Outcome::Fine)
}

/// The flow with an id; `None` where that cannot be one.
fn text(id: &str) -> Option<String> {
    let begins = id.starts_with(|c: char| c.is_ascii_lowercase());
    let letters = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
    let fits = begins && id.len() <= 60 && id.chars().all(letters);
    fits.then(|| TEMPLATE.replace(PLACEHOLDER, id))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::{Source, check};
    use crate::flow::shelf::Shelf;

    #[test]
    fn a_new_flow_is_complete_and_the_checker_finds_nothing_in_it() {
        let text = text("roof-drain").expect("an id");
        let sources = [Source {
            name: "roof-drain.yaml".to_owned(),
            text,
        }];
        let checked = check(&sources, &Shelf::shipped());
        assert_eq!(checked[0].findings, []);
    }

    #[test]
    fn an_id_that_cannot_be_one_is_refused() {
        for id in ["", "Roof", "1st", "a b", "a_b", "ä"] {
            assert_eq!(text(id), None, "{id}");
        }
    }
}
