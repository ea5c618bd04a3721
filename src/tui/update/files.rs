//! The picker of files: moving about in folders, and filling readings from the file picked.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::list;
use crate::import::{Channel, Import, ImportError, Look, Unasked};
use crate::tui::effect::Effect;
use crate::tui::model::{AT_ONCE, Files, Folder, ListKind, Model, Over, Preview};
use crate::tui::theme::Role;
use crate::units::Unit;

/// Opens the picker where files usually land.
pub fn open(model: &mut Model) -> Vec<Effect> {
    let files = Files {
        mapping: model.mapping.clone(),
        ..Files::default()
    };
    model.overs.push(Over::Files(Box::new(files)));
    vec![Effect::Mappings, Effect::Folder(None)]
}

/// The picker, wherever it lies.
pub(super) fn picker(model: &mut Model) -> Option<&mut Files> {
    model.overs.iter_mut().rev().find_map(|over| match over {
        Over::Files(files) => Some(&mut **files),
        _ => None,
    })
}

/// What lies in a folder.
pub fn folder(model: &mut Model, folder: Folder, places: Vec<PathBuf>) -> Vec<Effect> {
    let Some(files) = picker(model) else {
        return Vec::new();
    };
    let came_from = std::mem::replace(&mut files.folder, folder).path;
    files.places = places;
    files.filter.reset();
    // Back in the folder above, the cursor is where one came from.
    let there =
        |entry: &&crate::tui::model::FileEntry| entry.path == came_from && entry.name != "..";
    files.at = files
        .folder
        .entries
        .iter()
        .position(|e| there(&e))
        .unwrap_or_else(|| {
            // The way up is seldom what is wanted.
            usize::from(files.folder.entries.len() > 1)
        });
    looked_elsewhere(model)
}

/// The cursor stands elsewhere: what the file there holds is looked at.
pub fn looked_elsewhere(model: &mut Model) -> Vec<Effect> {
    let Some(files) = picker(model) else {
        return Vec::new();
    };
    let picked = files.picked().filter(|entry| !entry.folder);
    let path = picked.map(|entry| entry.path.clone());
    if path == files.path {
        return Vec::new();
    }
    let small = picked.is_some_and(|entry| entry.size <= AT_ONCE);
    files.turn_to(path);
    if small { read(files) } else { Vec::new() }
}

/// Reads the file under the cursor, with what was told of it.
pub(super) fn read(files: &Files) -> Vec<Effect> {
    let options = Box::new(files.options());
    let path = files.path.clone();
    path.map(|path| Effect::ReadFile { path, options })
        .into_iter()
        .collect()
}

/// A file is being read: so much of it by now.
pub fn is_being_read(model: &mut Model, path: &Path, percent: u8) {
    if let Some(files) = picker(model).filter(|files| files.path.as_deref() == Some(path)) {
        files.preview = Preview::Reading(percent);
    }
}

/// A file was read, or was not.
pub fn was_read(
    model: &mut Model,
    path: &Path,
    look: Option<Arc<Look>>,
    result: Result<Arc<Import>, Arc<ImportError>>,
) -> Vec<Effect> {
    let Some(files) = picker(model).filter(|files| files.path.as_deref() == Some(path)) else {
        return Vec::new();
    };
    // The columns stay to be picked from where what was told of them does not go together.
    files.look = look.or(files.look.take());
    files.asking = None;
    files.preview = match result {
        Ok(import) => Preview::Read(import),
        Err(error) => match &*error {
            ImportError::Unasked(unasked) => Preview::Unasked(unasked.clone()),
            other => {
                files.asking = unit_that_fits(other);
                Preview::Wrong(other.on_screen())
            }
        },
    };
    if std::mem::take(&mut files.ask_units) {
        // At once, even where something else is missing too.
        let look = files.look.as_ref();
        let unasked = look.map(|look| look.unasked(look.purpose()));
        let first = unasked.and_then(|unasked| unasked.into_iter().next());
        files.asking = files.asking.take().or(first);
        if files.asking.is_some() {
            return list(model, ListKind::Units);
        }
    }
    Vec::new()
}

/// The unit to be asked for where that of the header is of another kind than what the column holds.
fn unit_that_fits(error: &ImportError) -> Option<Unasked> {
    let ImportError::WrongUnit {
        column,
        channel,
        wanted,
        ..
    } = error
    else {
        return None;
    };
    Some(Unasked {
        column: column.clone(),
        channel: Channel::parse(channel)?,
        choices: Unit::of(*wanted).collect(),
    })
}

/// The names of mappings that are kept.
pub fn mappings(model: &mut Model, names: Vec<String>) -> Vec<Effect> {
    if let Some(files) = picker(model) {
        files.mappings = names;
    }
    Vec::new()
}

/// Enter: into the folder, or the readings of the file into the job.
pub fn accept(model: &mut Model) -> Vec<Effect> {
    let Some(files) = picker(model) else {
        return Vec::new();
    };
    let Some(entry) = files.picked() else {
        return Vec::new();
    };
    if entry.folder {
        return vec![Effect::Folder(Some(entry.path.clone()))];
    }
    match &files.preview {
        Preview::None => read(files),
        Preview::Reading(_) => {
            model.say(
                Role::Plain,
                "It is being read; another file can be looked at meanwhile.",
            );
            Vec::new()
        }
        Preview::Wrong(why) => {
            let why = why.clone();
            model.say(Role::Caution, why);
            Vec::new()
        }
        Preview::Unasked(_) => {
            files.ask_units = true;
            list(model, ListKind::Units)
        }
        Preview::Read(_) => fill(model),
    }
}

fn fill(model: &mut Model) -> Vec<Effect> {
    let Some(files) = picker(model).cloned() else {
        return Vec::new();
    };
    let put = match model.would_fill(&files) {
        Ok(put) => put,
        Err(why) => {
            model.say(Role::Caution, why);
            return Vec::new();
        }
    };
    if put.filled.is_empty() {
        if put.warmth_is_missing && !files.warm {
            return list(model, ListKind::Warm);
        }
        model.say(
            Role::Caution,
            "There is nothing in it that can be filled in now.",
        );
        return Vec::new();
    }
    let name = files.path.as_ref().and_then(|path| path.file_name());
    let name = name
        .map(|name| name.to_string_lossy().into_owned())
        .unwrap_or_default();
    let (n, left) = (put.filled.len(), put.left_out.len());
    let left = if left > 0 {
        format!(", {left} left out")
    } else {
        String::new()
    };
    model.say(Role::Pass, format!("Filled from {name}: {n}{left}."));
    let Some(open) = &model.open else {
        return Vec::new();
    };
    vec![
        Effect::KeepFolder(files.folder.path.clone()),
        Effect::Append {
            job: open.id,
            after: open.job.seq,
            who: model.who.clone(),
            what: put.events,
        },
    ]
}

/// The folder above, where nothing is typed that could be taken back.
pub fn up(model: &mut Model) -> Vec<Effect> {
    let above = picker(model).and_then(|files| files.folder.path.parent().map(PathBuf::from));
    above
        .map(|path| Effect::Folder(Some(path)))
        .into_iter()
        .collect()
}

/// The next of the folders to begin at.
pub fn next_place(model: &mut Model) -> Vec<Effect> {
    let Some(files) = picker(model) else {
        return Vec::new();
    };
    let here = files
        .places
        .iter()
        .position(|place| *place == files.folder.path);
    let next = here.map_or(0, |here| (here + 1) % files.places.len().max(1));
    let place = files.places.get(next).cloned();
    place
        .map(|path| Effect::Folder(Some(path)))
        .into_iter()
        .collect()
}

/// Somebody vouches for a warm engine, or not.
pub fn warm(model: &mut Model, warm: bool) -> Vec<Effect> {
    model.overs.pop();
    if let Some(files) = picker(model) {
        files.warm = warm;
    }
    if warm { fill(model) } else { Vec::new() }
}
