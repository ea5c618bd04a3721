//! The files that are to be checked: flows, files that are no text, and what cannot be read at all.
//!
//! A file that is no text is a mistake like any other: it is found at its place, beside the findings of the other files.

use std::path::{Path, PathBuf};

use super::super::files::{TextError, flow_files, flow_text, meant_name, misnamed, remedy};
use super::super::no_text::NoText;
use crate::check::{Checked, Source, check_each, in_place_of_shipped};
use crate::flow::finding::{Finding, code};
use crate::flow::place::Place;
use crate::flow::shelf::Shelf;

/// What the paths on the command line come to.
#[derive(Debug, Default)]
pub struct Given {
    texts: Vec<Source>,
    no_texts: Vec<Unreadable>,
    /// A line for each path that the system does not give.
    pub unread: Vec<String>,
    /// A line for each file that is passed over for its ending.
    pub passed_over: Vec<String>,
}

/// A file that is no text.
#[derive(Debug)]
struct Unreadable {
    /// Where it stands among all files.
    at: usize,
    /// Its name, and as much of it as can be read.
    source: Source,
    finding: Finding,
}

impl Given {
    /// Reads all files.
    pub fn read(paths: &[PathBuf]) -> Self {
        let mut given = Self::default();
        for path in paths {
            for (file, wanted) in misnamed(path) {
                given.passed_over.push(format!(
                    "{} is not read: the name of a flow file ends with .yaml; save it as {wanted}",
                    file.display()
                ));
            }
            if let Some(wanted) = meant_name(path).filter(|_| path.is_file()) {
                given.passed_over.push(format!(
                    "{} is checked by its name, and from a folder it is never read: the name of a flow file ends with .yaml; \
                     save it as {wanted}",
                    path.display()
                ));
            }
            match flow_files(path) {
                Ok(files) if files.is_empty() => {
                    given.cannot(path, &"there are no flow files (*.yaml) in this folder");
                }
                Ok(files) => files.iter().for_each(|file| given.add(file)),
                Err(error) => {
                    let error = TextError::from(error);
                    given.cannot(path, &format!("{error}{}", remedy(&error)));
                }
            }
        }
        given
    }

    fn cannot(&mut self, path: &Path, why: &dyn std::fmt::Display) {
        self.unread.push(format!("{}: {why}", path.display()));
    }

    fn add(&mut self, file: &Path) {
        let name = file.display().to_string();
        let mut known = self
            .texts
            .iter()
            .chain(self.no_texts.iter().map(|no| &no.source));
        // Named twice, by itself and by its folder, it is still one file.
        if known.any(|known| known.name == name) {
            return;
        }
        match flow_text(file) {
            Ok(text) => self.texts.push(Source { name, text }),
            Err(TextError::NoText { why, text }) => self.no_texts.push(Unreadable {
                at: self.len(),
                source: Source { name, text },
                finding: no_text(&why),
            }),
            Err(error) => self.cannot(file, &format!("{error}{}", remedy(&error))),
        }
    }

    /// What is worth knowing of the files as a whole: those that are passed over, and those of which the flow takes the
    /// place of a shipped one.
    pub fn notes(&self) -> Vec<String> {
        let in_place = in_place_of_shipped(&self.texts).into_iter().map(|(source, id)| {
            format!(
                "{}: its flow `{id}` takes the place of the one of that id that comes with the program; give it another \
                 id if both are meant",
                source.name
            )
        });
        self.passed_over.iter().cloned().chain(in_place).collect()
    }

    /// How many files there are.
    pub fn len(&self) -> usize {
        self.texts.len() + self.no_texts.len()
    }

    /// What is found in all files, in their order; `done` is called after each that is a text.
    pub fn checked(&self, shelf: &Shelf, done: &dyn Fn()) -> Vec<Checked<'_>> {
        let mut checked = check_each(&self.texts, shelf, done);
        for file in &self.no_texts {
            let findings = vec![file.finding.clone()];
            let source = &file.source;
            checked.insert(file.at, Checked { source, findings });
        }
        checked
    }
}

fn no_text(why: &NoText) -> Finding {
    let place = match why {
        NoText::Letter {
            line,
            column,
            start,
            ..
        } => Place {
            line: *line,
            column: *column,
            start: *start,
            end: *start + char::REPLACEMENT_CHARACTER.len_utf8(),
        },
        _ => Place {
            line: 1,
            column: 1,
            ..Place::default()
        },
    };
    Finding::error(code::NO_TEXT, place, why.what(), why.help())
}
