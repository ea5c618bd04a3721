//! `ruleout check PATH...`: what is wrong with flow files, where, and what to write instead.

use std::io::{self, IsTerminal, Write};
use std::path::{Path, PathBuf};

use annotate_snippets::renderer::DEFAULT_TERM_WIDTH;
use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};
use clap::Args;
use serde_json::json;

use super::files::{flow_files, flow_text};
use super::layout::{counted, wrapped};
use super::{CliError, Common, Outcome, clean, clean_json, one_line, print};
use crate::check::{Checked, Source, check};
use crate::flow::finding::{Finding, Severity};

/// What stands before the words of a help line, with line numbers of up to four digits.
const HELP_MARGIN: usize = 15;

/// Check flow files: every mistake with its place and what to write instead
///
/// Ends with 0 if there is none (warnings may be), 1 if there are errors, 2 if a file cannot be read.
#[derive(Args, Clone, Debug)]
pub struct CheckArgs {
    /// Flow files, or folders with flow files (*.yaml, *.yml)
    #[arg(required = true, value_name = "PATH")]
    pub paths: Vec<PathBuf>,
    /// Print one JSON object
    #[arg(long)]
    pub json: bool,
}

/// Checks the files.
///
/// # Errors
/// If the result cannot be printed, or the owner's folder of flows cannot be read.
pub fn run(args: &CheckArgs, common: &Common) -> Result<Outcome, CliError> {
    let (sources, unread) = read(&args.paths);
    let shelf = common.shelf()?;
    let checked = check(&sources, &shelf);
    if args.json {
        print(&json(&checked))?;
    } else if !sources.is_empty() {
        let look = if colour() {
            Renderer::styled()
        } else {
            Renderer::plain()
        };
        print(&text(&checked, look, width()))?;
    }
    for line in &unread {
        let _ = writeln!(io::stderr(), "ruleout: {}", clean(line));
    }
    let errors = checked.iter().any(|file| file.count(Severity::Error) > 0);
    Ok(match (unread.is_empty(), errors) {
        (false, _) => Outcome::Misused,
        (true, true) => Outcome::No,
        (true, false) => Outcome::Fine,
    })
}

/// The texts of all files, and a line for each that cannot be read.
fn read(paths: &[PathBuf]) -> (Vec<Source>, Vec<String>) {
    let (mut sources, mut unread) = (Vec::new(), Vec::new());
    let mut say = |path: &Path, why: &dyn std::fmt::Display| {
        unread.push(format!("{}: {why}", path.display()));
    };
    for path in paths {
        let files = match flow_files(path) {
            Ok(files) if files.is_empty() => {
                say(path, &"there are no flow files (*.yaml) in this folder");
                continue;
            }
            Ok(files) => files,
            Err(error) => {
                say(path, &error);
                continue;
            }
        };
        for file in files {
            let name = file.display().to_string();
            // Named twice, by itself and by its folder, it is still one file.
            if sources.iter().any(|known: &Source| known.name == name) {
                continue;
            }
            match flow_text(&file) {
                Ok(text) => sources.push(Source { name, text }),
                Err(error) => say(&file, &error),
            }
        }
    }
    (sources, unread)
}

/// Colour only for somebody who looks on and has not asked for none.
fn colour() -> bool {
    io::stdout().is_terminal() && std::env::var_os("NO_COLOR").is_none_or(|value| value.is_empty())
}

fn width() -> usize {
    if !io::stdout().is_terminal() {
        return 80;
    }
    crossterm::terminal::size().map_or(80, |(columns, _)| {
        usize::from(columns).clamp(40, DEFAULT_TERM_WIDTH)
    })
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

/// Every finding with its source line, and a last line that counts them.
fn text(checked: &[Checked], look: Renderer, width: usize) -> String {
    let look = look.term_width(width);
    let mut out = String::new();
    for file in checked {
        for finding in &file.findings {
            out.push_str(&one(file.source, finding, &look, width));
            out.push_str("\n\n");
        }
    }
    out.push_str(&summary(checked));
    out.push('\n');
    out
}

fn one(source: &Source, finding: &Finding, look: &Renderer, width: usize) -> String {
    let level = match finding.severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
    };
    // Room for "warning[...]: " before the one, and for the margin before the other.
    let head = "warning[]: ".len() + finding.code.len();
    let message = wrapped(&one_line(&finding.message), width.saturating_sub(head));
    let help = wrapped(&one_line(&finding.help), width.saturating_sub(HELP_MARGIN));
    let title = level.primary_title(&message).id(finding.code);
    let place = finding.place;
    let mut group = Group::with_title(title);
    let name = one_line(&source.name);
    if place.line > 0 {
        let (line, start, end) = line_at(&source.text, place.start, place.end);
        group = group.element(
            Snippet::source(line)
                .line_start(place.line)
                .path(&name)
                .annotation(AnnotationKind::Primary.span(start..end)),
        );
    } else {
        group = group.element(annotate_snippets::Origin::path(&name));
    }
    look.render(&[group.element(Level::HELP.message(&help))])
}

/// The line that a stretch of the text begins in, and the part of the stretch that is in it.
fn line_at(text: &str, start: usize, end: usize) -> (&str, usize, usize) {
    let before = text.get(..start).unwrap_or_default();
    let line_start = before.rfind('\n').map_or(0, |at| at + 1);
    let line = text.get(line_start..).unwrap_or_default();
    let line = line.split('\n').next().unwrap_or_default();
    let line = line.trim_end();
    // A byte order mark is no column of its own.
    let mark = line.len() - line.trim_start_matches('\u{feff}').len();
    let line = &line[mark..];
    let within = |at: usize| at.saturating_sub(line_start + mark).min(line.len());
    (line, within(start), within(end).max(within(start)))
}

fn summary(checked: &[Checked]) -> String {
    let count = |severity| checked.iter().map(|file| file.count(severity)).sum();
    let files = counted(checked.len(), "file");
    let errors = match count(Severity::Error) {
        0 => "no errors".to_owned(),
        n => counted(n, "error"),
    };
    match count(Severity::Warning) {
        0 => format!("{files}, {errors}"),
        n => format!("{files}, {errors}, {}", counted(n, "warning")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(text_of_file: &str) -> String {
        let sources = [Source {
            name: "own/hose-\u{1b}[31mhold.yaml".to_owned(),
            text: text_of_file.to_owned(),
        }];
        let checked = check(&sources, &crate::flow::shelf::Shelf::default());
        text(&checked, Renderer::plain(), 80)
    }

    #[test]
    fn ten_mistakes_read_well_at_eighty_columns_without_colour() {
        let text = shown(include_str!(
            "../../tests/flows_with_mistakes/ten_mistakes.yaml"
        ));
        let widest = text.lines().map(|line| line.chars().count()).max();
        assert!(widest.is_some_and(|widest| widest <= 80), "{text}");
        assert!(text.is_ascii(), "{text}");
        insta::assert_snapshot!(text);
    }

    #[test]
    fn nothing_in_a_file_drives_the_terminal() {
        let text = shown("flow: a\u{1b}[31m\ntitle: \u{202e}x\nstep\u{9b}2Js: []\n");
        assert!(!text.contains('\u{1b}') && !text.contains('\u{202e}') && !text.contains('\u{9b}'));
        let text = shown("flow: hold\n\"tit\\e[31mle\": x\nsteps: []\n");
        assert!(!text.contains('\u{1b}'), "{text}");
    }

    #[test]
    fn the_last_line_counts() {
        let sound = include_str!("../../tests/flows_with_mistakes/nothing_wrong.yaml");
        assert_eq!(shown(sound), "1 file, no errors\n");
        let warned = shown(&sound.replace("Hose hold", "Hose #3"));
        assert!(
            warned.ends_with("1 file, no errors, 1 warning\n"),
            "{warned}"
        );
    }
}
