//! When flow files were last written: what `check --watch` and the screens look at.
//!
//! Times and sizes need no help from the system, work on every kind of drive, and an owner's folder
//! holds a few dozen files.

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::time::SystemTime;

use super::files::flow_files;

/// When a file was last written, and how long it is; nothing where it cannot be looked at.
pub type Stamp = Option<(SystemTime, u64)>;
/// The stamps of all files that the paths mean.
pub type Stamps = BTreeMap<PathBuf, Stamp>;

/// The stamps now.
pub fn stamps(paths: &[PathBuf]) -> Stamps {
    let files = paths
        .iter()
        .flat_map(|path| flow_files(path).unwrap_or_default());
    files
        .map(|file| {
            let stamp = std::fs::metadata(&file)
                .and_then(|data| Ok((data.modified()?, data.len())))
                .ok();
            (file, stamp)
        })
        .collect()
}

/// Watches paths without waiting: each look says whether files have changed and stand still again.
pub struct Watch {
    paths: Vec<PathBuf>,
    known: Stamps,
    /// What the last look saw, where that was news.
    seen: Option<Stamps>,
}

impl Watch {
    /// Watches from now on.
    pub fn new(paths: Vec<PathBuf>) -> Self {
        let known = stamps(&paths);
        Self {
            paths,
            known,
            seen: None,
        }
    }

    /// Whether files have changed. Many editors write a file in two goes, or put a new one in its
    /// place: what has changed since the last look is believed at the next.
    pub fn has_changed(&mut self) -> bool {
        let now = stamps(&self.paths);
        self.believe(now)
    }

    fn believe(&mut self, now: Stamps) -> bool {
        if now == self.known {
            self.seen = None;
            return false;
        }
        if self.seen.as_ref() != Some(&now) {
            self.seen = Some(now);
            return false;
        }
        self.known = now;
        self.seen = None;
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(len: u64) -> Stamps {
        BTreeMap::from([(PathBuf::from("a.yaml"), Some((SystemTime::UNIX_EPOCH, len)))])
    }

    #[test]
    fn a_change_counts_once_it_stands_still() {
        let mut watch = Watch {
            paths: Vec::new(),
            known: at(1),
            seen: None,
        };
        assert!(!watch.believe(at(1)));
        assert!(!watch.believe(at(0)), "half written");
        assert!(!watch.believe(at(2)));
        assert!(watch.believe(at(2)));
        assert!(!watch.believe(at(2)), "it is known now");
        assert!(!watch.believe(BTreeMap::new()));
        assert!(!watch.believe(at(2)), "it came back as it was");
    }
}
