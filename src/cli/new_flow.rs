//! `ruleout new-flow`: a complete, commented flow to begin with.

use std::fs::OpenOptions;
use std::io::Write;
use std::path::{Path, PathBuf};

use clap::Args;

use super::{CliError, Common, Outcome, clean, print};
use crate::check::schema;
use crate::flow::shelf::Shelf;

/// The flow that a new one begins as; its id is put in.
const TEMPLATE: &str = include_str!("../../assets/new-flow.yaml");
/// How a flow is written, key by key.
const GUIDE: &str = include_str!("../../flows/README.md");
const PLACEHOLDER: &str = "NEW-FLOW";

/// What editors with a YAML language server complete and explain keys from.
const SCHEMA: &str = "flow.schema.json";

/// Write a complete, commented flow to begin with
///
/// With --out the folder is made where it is missing, and flow.schema.json is put beside the flow: an
/// editor that knows YAML schemas then completes and explains the keys. What every key can be, with examples, says the
/// guide (flows/README.md in the program's source): --guide prints it.
#[derive(Args, Clone, Debug)]
pub struct NewFlowArgs {
    /// Its id: small letters, digits and hyphens, such as roof-drain
    #[arg(required_unless_present_any = ["schema", "guide"])]
    id: Option<String>,
    /// Write it to this file, which must not be there yet (otherwise it is printed)
    #[arg(short, long, value_name = "FILE")]
    out: Option<PathBuf>,
    /// Write the JSON Schema of flows instead
    #[arg(long, conflicts_with = "id")]
    schema: bool,
    /// Write the guide to writing flows instead
    #[arg(long, conflicts_with_all = ["id", "schema"])]
    guide: bool,
}

/// Writes the flow.
///
/// # Errors
/// For an id that cannot be one, or a file that is there or cannot be written.
pub fn run(args: &NewFlowArgs, _: &Common) -> Result<Outcome, CliError> {
    if args.schema {
        return write_over(args.out.as_deref(), &schema::text());
    }
    if args.guide {
        return write_over(args.out.as_deref(), GUIDE);
    }
    let id = args.id.clone().unwrap_or_default();
    let text = text(&id).ok_or_else(|| CliError::FlowId(id.clone()))?;
    if Shelf::shipped().find(&id).is_some() {
        let said = format!(
            "ruleout: `{id}` is the id of a flow that comes with the program, and this one will take its place; choose \
             another id if both are meant"
        );
        let _ = writeln!(std::io::stderr(), "{}", clean(&said));
    }
    let Some(path) = &args.out else {
        print(&text)?;
        return Ok(Outcome::Fine);
    };
    let folder = path
        .parent()
        .filter(|folder| !folder.as_os_str().is_empty());
    if let Some(folder) = folder {
        std::fs::create_dir_all(folder).map_err(|error| CliError::NewFile {
            path: path.clone(),
            error,
        })?;
    }
    write_new(
        path,
        &format!("# yaml-language-server: $schema={SCHEMA}\n{text}"),
    )?;
    // What an owner's folder has already stays: `--schema` writes it anew.
    let beside = path.with_file_name(SCHEMA);
    if !beside.exists() {
        write_new(&beside, &schema::text())?;
    }
    print(&format!(
        "{} is a complete flow. Change it line by line, and run: ruleout check {}\n",
        clean(&path.display().to_string()),
        clean(&path.display().to_string())
    ))?;
    Ok(Outcome::Fine)
}

/// Prints the schema or the guide, or writes it over the one that is there: nobody edits them.
fn write_over(out: Option<&Path>, text: &str) -> Result<Outcome, CliError> {
    let Some(path) = out else {
        print(text)?;
        return Ok(Outcome::Fine);
    };
    std::fs::write(path, text).map_err(|error| CliError::NewFile {
        path: path.to_owned(),
        error,
    })?;
    Ok(Outcome::Fine)
}

/// An owner's flow is never written over.
fn write_new(path: &Path, text: &str) -> Result<(), CliError> {
    let written = OpenOptions::new()
        .write(true)
        .create_new(true)
        .open(path)
        .and_then(|mut file| file.write_all(text.as_bytes()));
    written.map_err(|error| CliError::NewFile {
        path: path.to_owned(),
        error,
    })
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
    use crate::flow::load::causes::NOT_LISTED;
    use crate::flow::load::load;

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
    fn a_new_flow_finds_each_of_its_causes_by_its_branches() {
        use crate::trial::fleet::{Settings, Trial, Tried, lean};
        use crate::trial::sums::sums;
        let flow = load(&text("hose").expect("an id"))
            .flow
            .expect("it is sound");
        let flow = lean(&flow);
        let settings = Settings {
            runs: 10,
            seed: 1,
            together: 1,
            vehicles: 1,
            cars: 0,
            more: false,
        };
        let trial = Trial::of(&flow, settings).expect("it has causes");
        let tried: Vec<Tried> = trial.jobs().into_iter().map(|job| trial.run(job)).collect();
        let sums = sums(&trial, &trial.jobs(), &tried);
        for (row, ways) in trial.rows.iter().zip(&sums[0].rows) {
            let listed = row.causes.len() == 1 && row.causes[0] != NOT_LISTED;
            let found = ways.branches.share();
            assert!(!listed || found > 0.85, "{:?}: {found}", row.causes);
        }
    }

    #[test]
    fn an_id_that_cannot_be_one_is_refused() {
        for id in ["", "Roof", "1st", "a b", "a_b", "ä"] {
            assert_eq!(text(id), None, "{id}");
        }
    }
}
