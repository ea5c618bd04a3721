//! Whether the process that claimed a job still runs.
//!
//! Each store that claims a job holds a lock on a small file of its own. The system lets go of the
//! lock when the process ends, however it ends, so a killed window is known to be gone at once and
//! nobody waits for its claim to grow old. Process numbers would not do: they are used again.

use std::fs::{self, File, TryLockError};
use std::path::{Path, PathBuf};

use uuid::Uuid;

/// The folder of these files, beside the store.
const FOLDER: &str = "open";

/// Held as long as this process lives.
#[derive(Debug)]
pub struct SignOfLife {
    path: PathBuf,
    _locked: File,
}

impl SignOfLife {
    /// Begins to give a sign of life under a name; `None` where the folder cannot lock files:
    /// then only the age of a claim counts.
    pub fn give(store: &Path, name: Uuid) -> Option<Self> {
        let path = path(store, name);
        fs::create_dir_all(path.parent()?).ok()?;
        let file = File::create(&path).ok()?;
        file.try_lock().ok()?;
        Some(Self {
            path,
            _locked: file,
        })
    }
}

impl Drop for SignOfLife {
    fn drop(&mut self) {
        // If it cannot be removed, the next one who looks finds it unlocked, which says the same.
        let _ = fs::remove_file(&self.path);
    }
}

/// Whether the process with this name may still run. Only "no" is certain.
pub fn may_be_alive(store: &Path, name: Uuid) -> bool {
    let path = path(store, name);
    match File::open(&path) {
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => false,
        Err(_) => true,
        Ok(file) => match file.try_lock() {
            Ok(()) => {
                let _ = fs::remove_file(&path);
                false
            }
            Err(TryLockError::WouldBlock | TryLockError::Error(_)) => true,
        },
    }
}

fn path(store: &Path, name: Uuid) -> PathBuf {
    store.join(FOLDER).join(name.to_string())
}
