//! The simulated cars that a ranking rests on, and the file in which they are kept for the next time.

use std::fs;
use std::path::PathBuf;

use directories::ProjectDirs;

use crate::cli::Common;
use crate::rules::evidence::case::BadCase;
use crate::rules::evidence::inquiry::Asked;
use crate::rules::evidence::simulated::{Simulated, facts};

/// The same cars every time: two people who ask the same get the same answer.
const SEED: u64 = 1;
/// Files that are kept; the oldest go first.
const KEPT: usize = 40;

/// Cars for what is asked, on vehicles with the facts that are known: those that were kept, or new ones.
pub(in crate::cli) fn made(
    asked: &Asked,
    count: usize,
    common: &Common,
) -> Result<Simulated, BadCase> {
    let facts = facts(asked.flows, asked.rounds);
    let (flows, together) = (asked.flows, asked.together);
    let folder = folder(common);
    let file = folder.as_ref().map(|folder| {
        let key = Simulated::key(flows, &facts, together, SEED, count);
        folder.join(format!("{key}.json"))
    });
    // A file that is not there or broken is no trouble: the cars are drawn, and it is written anew.
    let kept = file.as_ref().and_then(|file| fs::read_to_string(file).ok());
    if let Some(cars) = kept.as_deref().and_then(Simulated::of_text) {
        return Ok(cars);
    }
    let cars = Simulated::of(flows, &facts, together, SEED, count)?;
    if let (Some(folder), Some(file)) = (folder, file)
        && cars.knows_any()
    {
        keep(&folder, &file, &cars);
    }
    Ok(cars)
}

/// Where cars are kept. A store that is not there is not made for them.
fn folder(common: &Common) -> Option<PathBuf> {
    match &common.data {
        Some(data) => data.is_dir().then(|| data.join("cars")),
        None => Some(
            ProjectDirs::from("", "", "ruleout")?
                .cache_dir()
                .join("cars"),
        ),
    }
}

/// Writes beside and moves, so that nobody ever reads half a file. Whatever fails costs only time the next time.
fn keep(folder: &PathBuf, file: &PathBuf, cars: &Simulated) {
    let part = file.with_extension(format!("{}.part", std::process::id()));
    let written = fs::create_dir_all(folder)
        .and_then(|()| fs::write(&part, cars.text()))
        .and_then(|()| fs::rename(&part, file));
    if written.is_err() {
        let _ = fs::remove_file(&part);
        return;
    }
    let Ok(entries) = fs::read_dir(folder) else {
        return;
    };
    let mut files: Vec<_> = entries
        .flatten()
        .filter_map(|entry| Some((entry.metadata().ok()?.modified().ok()?, entry.path())))
        .filter(|(_, path)| path.extension().is_some_and(|e| e == "json"))
        .collect();
    files.sort();
    let old = files.len().saturating_sub(KEPT);
    for (_, path) in files.into_iter().take(old) {
        let _ = fs::remove_file(path);
    }
}
