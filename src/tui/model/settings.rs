//! The settings as the screens have them: what they change, and the words for what is wrong.

use std::path::PathBuf;

use super::Model;
use crate::flow::finding::Finding;
use crate::settings::file::Read;
use crate::tui::keys::own::Own;
use crate::tui::theme::{Role, Theme};

/// The file of the settings, as far as the screens know it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SettingsFile {
    /// Where it is; none where there is no folder for it.
    pub path: Option<PathBuf>,
    /// What is wrong in it, in words with line and column.
    pub wrong: Vec<String>,
    /// What is wrong with the gauge profiles that it names.
    pub gauges: Vec<String>,
}

impl Model {
    /// Takes settings over. What is wrong in them is said; the entry is then as if it were not there.
    pub fn take_settings(&mut self, read: Read, gauges: Vec<String>) {
        let (keys, clashes) = Own::read(&read.settings.keys);
        let findings = read.findings.iter().chain(&clashes);
        let mut wrong: Vec<String> = findings.map(in_words).collect();
        wrong.extend(gauges.iter().cloned());
        self.keys = keys;
        self.board.bays.clone_from(&read.settings.bays);
        self.theme = Theme::of(read.settings.theme, read.settings.drawing, self.able);
        self.settings = read.settings;
        self.guess_from_people();
        self.settings_file = SettingsFile {
            path: read.path,
            wrong,
            gauges,
        };
        if let Some(first) = self.settings_file.wrong.first() {
            let more = match self.settings_file.wrong.len() - 1 {
                0 => String::new(),
                n => format!(" ({n} more: see the settings)"),
            };
            let text = format!("Settings, {first}{more}");
            self.say(Role::Caution, text);
        }
    }
}

fn in_words(finding: &Finding) -> String {
    let place = finding.place;
    let (message, help) = (&finding.message, &finding.help);
    if place.line == 0 {
        return format!("{message}; {help}");
    }
    format!(
        "line {}, column {}: {message}; {help}",
        place.line, place.column
    )
}
