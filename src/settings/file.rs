//! The settings as a file: read when the program starts, written when somebody changes them on the
//! screens. Written beside itself first and put in its place at once, so that a pulled battery
//! leaves the old file or the new one and nothing between.

use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use super::edit::{Change, EditError, change};
use super::{Settings, load};
use crate::flow::finding::{Finding, code};
use crate::flow::load::profile::{GaugeProfile, profile};
use crate::flow::place::Place;

/// The settings, where they came from, and what is wrong with them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Read {
    /// The file; none where the system knows no folder for it.
    pub path: Option<PathBuf>,
    /// What it says.
    pub settings: Settings,
    /// What is wrong in it.
    pub findings: Vec<Finding>,
}

/// Why the settings were not written.
#[derive(Debug, thiserror::Error)]
pub enum WriteError {
    /// There is no folder for them.
    #[error("there is no folder for settings here; name a file with --settings FILE")]
    NoPlace,
    /// The text of the file stands in the way.
    #[error("{}: {error}", .path.display())]
    Edit {
        /// The file.
        path: PathBuf,
        /// Why.
        error: EditError,
    },
    /// The system would not.
    #[error("{} cannot be written: {error}; make its folder writable, or name another file with --settings FILE", .path.display())]
    System {
        /// The file.
        path: PathBuf,
        /// Why.
        error: io::Error,
    },
}

/// Reads the settings. A file that is not there is one with every setting left out.
pub fn read(path: Option<PathBuf>) -> Read {
    let Some(path) = path else {
        return Read::default();
    };
    let (settings, findings) = match text(&path) {
        Ok(text) => load(&text),
        Err(error) => (Settings::default(), vec![unread(&path, &error)]),
    };
    let mut read = Read {
        path: Some(path),
        settings,
        findings,
    };
    read.findings.extend(flows_missing(&read));
    read
}

fn text(path: &Path) -> io::Result<String> {
    match fs::read(path) {
        Ok(bytes) => String::from_utf8(bytes)
            .map_err(|_| io::Error::new(io::ErrorKind::InvalidData, "it is not text in UTF-8")),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(String::new()),
        Err(error) => Err(error),
    }
}

fn unread(path: &Path, error: &io::Error) -> Finding {
    let (place, help) = if error.kind() == io::ErrorKind::InvalidData {
        let help = "save it as UTF-8 in the editor; until then nothing in it counts";
        (no_letter(path), help)
    } else {
        let help = "make it readable, or name another with --settings FILE";
        (Place::default(), help)
    };
    let message = format!("the file cannot be read: {error}");
    Finding::error(code::NOT_YAML, place, message, help)
}

/// Where the first byte stands that is no letter in UTF-8.
fn no_letter(path: &Path) -> Place {
    let bytes = fs::read(path).unwrap_or_default();
    let valid = match std::str::from_utf8(&bytes) {
        Ok(_) => return Place::default(),
        Err(error) => &bytes[..error.valid_up_to()],
    };
    let before = String::from_utf8_lossy(valid);
    let line = before.rsplit('\n').next().unwrap_or_default();
    Place {
        line: before.matches('\n').count() + 1,
        column: line.chars().count() + 1,
        start: valid.len(),
        end: valid.len() + 1,
    }
}

/// The folder with the workshop's own flows that the settings name. A relative one begins at the settings' own folder.
pub fn flows(read: &Read) -> Option<PathBuf> {
    let (name, _) = read.settings.flows.as_ref()?;
    let folder = read.path.as_deref().and_then(Path::parent);
    Some(folder.map_or_else(|| PathBuf::from(name), |folder| folder.join(name)))
}

/// What is wrong with that folder, if something is: the program goes on without it.
pub fn flows_missing(read: &Read) -> Option<Finding> {
    let folder = flows(read)?;
    let place = read
        .settings
        .flows
        .as_ref()
        .map_or_else(Place::default, |(_, place)| *place);
    (!folder.is_dir()).then(|| {
        Finding::error(
            code::UNKNOWN_WORD,
            place,
            format!("there is no folder {} with flows", folder.display()),
            "write its whole path, or make it; until then your own flows are not there",
        )
    })
}

/// Changes some settings in the file, and reads it anew.
///
/// # Errors
/// If the file has a mistake that stands in the way, or the disk refuses; the file is then as it was.
pub fn write(path: Option<&Path>, changes: &[Change]) -> Result<Read, WriteError> {
    let path = path.ok_or(WriteError::NoPlace)?;
    let system = |error| WriteError::System {
        path: path.to_owned(),
        error,
    };
    let before = text(path).map_err(system)?;
    let after = change(&before, changes).map_err(|error| WriteError::Edit {
        path: path.to_owned(),
        error,
    })?;
    put(path, &after).map_err(system)?;
    Ok(read(Some(path.to_owned())))
}

fn put(path: &Path, text: &str) -> io::Result<()> {
    // Whoever keeps the file elsewhere and links to it keeps the link.
    let path = &fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    if let Some(folder) = path
        .parent()
        .filter(|folder| !folder.as_os_str().is_empty())
    {
        fs::create_dir_all(folder)?;
    }
    let mut name = path.file_name().unwrap_or_default().to_owned();
    name.push(".new");
    let beside = path.with_file_name(name);
    let mut file = fs::File::create(&beside)?;
    file.write_all(text.as_bytes())?;
    file.sync_all()?;
    fs::rename(&beside, path)
}

/// The profiles of gauges that the settings name, and what is wrong with those that cannot be used.
/// A relative name begins at the settings' own folder.
pub fn gauges(read: &Read) -> (Vec<GaugeProfile>, Vec<String>) {
    let folder = read.path.as_deref().and_then(Path::parent);
    let (mut found, mut wrong) = (Vec::new(), Vec::new());
    for (name, place) in &read.settings.gauges {
        let path = folder.map_or_else(|| PathBuf::from(name), |folder| folder.join(name));
        match text_that_is_there(&path) {
            Ok(text) => {
                let loaded = profile(&text);
                found.extend(loaded.profile);
                wrong.extend(loaded.findings.iter().map(|f| {
                    format!(
                        "{}:{}:{}: {}; {}",
                        path.display(),
                        f.place.line,
                        f.place.column,
                        f.message,
                        f.help
                    )
                }));
            }
            Err(error) => wrong.push(format!(
                "line {}, column {}: {} cannot be read: {error}; write the whole path of a gauge's profile, or take it out",
                place.line,
                place.column,
                path.display()
            )),
        }
    }
    (found, wrong)
}

fn text_that_is_there(path: &Path) -> io::Result<String> {
    fs::metadata(path)?;
    text(path)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_that_is_not_there_is_made_whole_with_its_explanations() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("deep").join("settings.yaml");
        assert_eq!(read(Some(path.clone())).findings, []);
        let changes = [Change {
            key: "theme",
            value: Some("light".to_owned()),
        }];
        let read = write(Some(&path), &changes).unwrap();
        assert_eq!(read.settings.theme, super::super::Look::Light);
        let text = fs::read_to_string(&path).unwrap();
        assert!(text.contains("# The look:"), "{text}");
        assert_eq!(fs::read_dir(path.parent().unwrap()).unwrap().count(), 1);
    }

    #[test]
    fn a_file_that_cannot_be_read_is_no_reason_not_to_start() {
        let folder = tempfile::tempdir().unwrap();
        let read = super::read(Some(folder.path().to_owned()));
        assert_eq!(read.settings, Settings::default());
        assert_eq!(read.findings.len(), 1);
        let path = folder.path().join("s.yaml");
        fs::write(&path, b"theme: \xff").unwrap();
        let findings = super::read(Some(path.clone())).findings;
        assert_eq!(findings.len(), 1);
        let place = findings[0].place;
        assert_eq!((place.line, place.column), (1, 8));
        assert!(write(Some(&path), &[]).is_err());
        assert_eq!(fs::read(&path).unwrap(), b"theme: \xff");
    }

    #[test]
    fn the_folder_of_flows_lies_beside_the_settings_and_one_that_is_missing_is_named() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("settings.yaml");
        fs::write(&path, "flows: my-flows\n").unwrap();
        let read = || super::read(Some(path.clone()));
        assert_eq!(flows(&read()), Some(folder.path().join("my-flows")));
        assert_eq!(read().findings[0].place.line, 1);
        fs::create_dir(folder.path().join("my-flows")).unwrap();
        assert_eq!(read().findings, []);
        let whole = folder.path().join("my-flows");
        fs::write(&path, format!("flows: {}\n", whole.display())).unwrap();
        assert_eq!(flows(&read()), Some(whole));
    }

    #[test]
    fn gauges_are_found_beside_the_settings_and_mistakes_are_placed() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("settings.yaml");
        fs::write(&path, "gauges: [a.yaml, b.yaml, gone.yaml]\n").unwrap();
        let sound = "gauge: bay-two\npressure: 14 inH2O\npoints:\n  - {height: 0 %, hole: blocked}\n  - {height: 35 %, hole: 0.020 in}\n  - {height: 78 %, hole: 0.040 in}\n";
        fs::write(folder.path().join("a.yaml"), sound).unwrap();
        fs::write(folder.path().join("b.yaml"), "gauge: B\n").unwrap();
        let (found, wrong) = gauges(&read(Some(path)));
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].id, "bay-two");
        assert!(wrong.iter().any(|w| w.contains("b.yaml:1:8")), "{wrong:?}");
        assert!(
            wrong.iter().any(|w| w.contains("line 1, column 26")),
            "{wrong:?}"
        );
    }
}
