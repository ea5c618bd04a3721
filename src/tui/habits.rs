//! What the workshop has said once and for all about the evidence: gear that is not here, and
//! whether its own jobs count. Kept in a small file beside the jobs.

use std::fs;
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

/// Its name, inside the folder of jobs.
const NAME: &str = "evidence.yaml";

/// What was said.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields, default)]
pub struct Habits {
    /// Gear that is not here, by the names that flows give it.
    pub not_here: Vec<String>,
    /// Whether the workshop's own closed jobs are left out.
    pub ignore_own_jobs: bool,
}

/// The file.
#[derive(Clone, Debug, Default)]
pub struct Kept(Option<PathBuf>);

impl Kept {
    /// In the folder of jobs, if there is one.
    pub fn in_folder(folder: Option<&Path>) -> Self {
        Self(folder.map(|folder| folder.join(NAME)))
    }

    /// What stands in it; nothing said where there is none.
    ///
    /// # Errors
    /// In words, where it cannot be read; the file stays as it is until something is said anew.
    pub fn read(&self) -> Result<Habits, String> {
        let Some(path) = self.0.as_ref().filter(|path| path.exists()) else {
            return Ok(Habits::default());
        };
        let text = fs::read_to_string(path).map_err(|error| error.to_string());
        let read = text.and_then(|text| {
            serde_yaml::from_str::<Habits>(&text).map_err(|error| error.to_string())
        });
        read.map_err(|why| {
            let place = path.display();
            let why = why.lines().next().unwrap_or_default().to_owned();
            format!("{place}: {why}; mend or delete it (gear that is not here is not known now)")
        })
    }

    /// Writes it.
    ///
    /// # Errors
    /// In words, where it cannot be written.
    pub fn write(&self, habits: &Habits) -> Result<(), String> {
        let Some(path) = &self.0 else {
            return Ok(());
        };
        let text = serde_yaml::to_string(habits).map_err(|error| error.to_string())?;
        fs::write(path, text).map_err(|error| {
            format!(
                "{} cannot be written ({error}): what you marked counts until you leave",
                path.display()
            )
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_said_is_there_the_next_time() {
        let folder = tempfile::tempdir().unwrap();
        let kept = Kept::in_folder(Some(folder.path()));
        assert_eq!(kept.read(), Ok(Habits::default()));
        let habits = Habits {
            not_here: vec!["smoke unit: \"small\"".to_owned()],
            ignore_own_jobs: true,
        };
        kept.write(&habits).unwrap();
        assert_eq!(kept.read(), Ok(habits));
    }

    #[test]
    fn a_broken_file_is_named_and_stops_nobody() {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join(NAME), "not-here: {").unwrap();
        let why = Kept::in_folder(Some(folder.path())).read().unwrap_err();
        assert!(
            why.contains("evidence.yaml") && why.contains("mend or delete"),
            "{why}"
        );
    }
}
