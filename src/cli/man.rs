//! `ruleout man`: the manual pages, made from the command line itself.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use clap::{Args, Command};
use clap_mangen::Man;

use super::{CliError, Outcome, print};

/// Print the manual pages, or write each to a folder
///
/// Without -o all pages follow one another on the screen, the program's own first.
#[derive(Args, Clone, Debug)]
pub struct ManArgs {
    /// Write a file for each page to this folder, which is made where it is missing
    #[arg(short, long, value_name = "DIR")]
    pub output: Option<PathBuf>,
}

/// Prints or writes the pages.
///
/// # Errors
/// If they cannot be printed or written.
pub fn run(args: &ManArgs) -> Result<Outcome, CliError> {
    let pages = pages().map_err(CliError::Print)?;
    let Some(folder) = &args.output else {
        print(
            &pages
                .iter()
                .map(|(_, text)| text.as_str())
                .collect::<String>(),
        )?;
        return Ok(Outcome::Fine);
    };
    fs::create_dir_all(folder).map_err(|error| unwritten(folder, error))?;
    for (name, text) in &pages {
        let path = folder.join(format!("{name}.1"));
        fs::write(&path, text).map_err(|error| unwritten(&path, error))?;
    }
    let count = pages.len();
    print(&format!("{count} pages in {}\n", folder.display()))?;
    Ok(Outcome::Fine)
}

fn unwritten(path: &Path, error: io::Error) -> CliError {
    let path = path.to_owned();
    CliError::NewFile { path, error }
}

/// Every page with its name, the program's own first.
fn pages() -> io::Result<Vec<(String, String)>> {
    let mut command = super::line::command();
    command.build();
    let mut pages = Vec::new();
    add(&command, "ruleout", &mut pages)?;
    Ok(pages)
}

fn add(command: &Command, name: &str, pages: &mut Vec<(String, String)>) -> io::Result<()> {
    let mut text = Vec::new();
    Man::new(command.clone().name(name.to_owned())).render(&mut text)?;
    pages.push((name.to_owned(), String::from_utf8_lossy(&text).into_owned()));
    for below in command
        .get_subcommands()
        .filter(|one| one.get_name() != "help")
    {
        add(below, &format!("{name}-{}", below.get_name()), pages)?;
    }
    Ok(())
}
