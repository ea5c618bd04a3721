//! The store of exercises: a folder of its own beside the workshop's jobs, so that the two never mix.

use std::path::{Path, PathBuf};

use super::people::{Exercised, result};
use crate::job::store::{Store, StoreError};

/// The folder of exercises, in the folder of the workshop's data.
pub fn folder(data: &Path) -> PathBuf {
    data.join("practice")
}

/// What came of all exercises that were ended, the oldest first.
///
/// # Errors
/// What the store says.
pub fn exercised(store: &dyn Store) -> Result<Vec<Exercised>, StoreError> {
    let mut all = Vec::new();
    for line in store.search("")? {
        all.extend(result(line.number, &store.read(line.id)?));
    }
    all.sort_by_key(|result| (result.at, result.number));
    Ok(all)
}
