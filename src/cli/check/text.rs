//! Findings as text: each with its source line, a caret and what to write instead.

use std::fmt::Write;
use std::io::{self, IsTerminal};

use annotate_snippets::renderer::DEFAULT_TERM_WIDTH;
use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};

use super::super::layout::{counted, wrapped};
use super::super::one_line;
use crate::check::{Checked, Source};
use crate::flow::finding::{Finding, Severity};

/// What stands before the words of a help line, with line numbers of up to four digits.
const HELP_MARGIN: usize = 15;

/// What stands beside the words of a source line that is cut at both ends, with line numbers of up to
/// four digits.
const SOURCE_MARGIN: usize = 24;

/// The findings, for whoever looks on.
pub fn shown(checked: &[Checked]) -> String {
    let look = if colour() {
        Renderer::styled()
    } else {
        Renderer::plain()
    };
    text(checked, look, width())
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
    if let Some(finding) = checked.iter().flat_map(|file| &file.findings).next() {
        let _ = writeln!(
            out,
            "To read more: ruleout check --explain {}",
            finding.code
        );
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
        let end = shortened(line, start, end, width);
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

/// The end of what is underlined: the renderer cuts a line to the width, but never what it
/// underlines, so of a long stretch only the beginning is.
fn shortened(line: &str, start: usize, end: usize, width: usize) -> usize {
    let most = width.saturating_sub(SOURCE_MARGIN);
    let stretch = line.get(start..end).unwrap_or_default();
    let letter = stretch.char_indices().nth(most);
    letter.map_or(end, |(at, _)| start + at)
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
    use crate::check::check;

    fn printed(text_of_file: &str) -> String {
        let sources = [Source {
            name: "own/hose-\u{1b}[31mhold.yaml".to_owned(),
            text: text_of_file.to_owned(),
        }];
        let checked = check(&sources, &crate::flow::shelf::Shelf::default());
        text(&checked, Renderer::plain(), 80)
    }

    #[test]
    fn ten_mistakes_read_well_at_eighty_columns_without_colour() {
        let text = printed(include_str!(
            "../../../tests/flows_with_mistakes/ten_mistakes.yaml"
        ));
        let widest = text.lines().map(|line| line.chars().count()).max();
        assert!(widest.is_some_and(|widest| widest <= 80), "{text}");
        assert!(text.is_ascii(), "{text}");
        insta::assert_snapshot!(text);
    }

    #[test]
    fn a_whole_outcome_as_the_place_is_cut_to_the_width() {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/flows_with_mistakes");
        for entry in std::fs::read_dir(folder).expect("the folder") {
            let path = entry.expect("an entry").path();
            let text = printed(&std::fs::read_to_string(&path).expect("a text"));
            let widest = text.lines().map(|line| line.chars().count()).max();
            assert!(
                widest.is_some_and(|widest| widest <= 80),
                "{path:?}\n{text}"
            );
        }
    }

    #[test]
    fn nothing_in_a_file_drives_the_terminal() {
        let text = printed("flow: a\u{1b}[31m\ntitle: \u{202e}x\nstep\u{9b}2Js: []\n");
        assert!(!text.contains('\u{1b}') && !text.contains('\u{202e}') && !text.contains('\u{9b}'));
        let text = printed("flow: hold\n\"tit\\e[31mle\": x\nsteps: []\n");
        assert!(!text.contains('\u{1b}'), "{text}");
    }

    #[test]
    fn the_last_line_counts() {
        let sound = include_str!("../../../tests/flows_with_mistakes/nothing_wrong.yaml");
        assert_eq!(printed(sound), "1 file, no errors\n");
        let warned = printed(&sound.replace("Hose hold", "Hose #3"));
        assert!(
            warned.ends_with("1 file, no errors, 1 warning\n"),
            "{warned}"
        );
    }
}
