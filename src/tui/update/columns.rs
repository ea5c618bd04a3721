//! Telling what the file does not say: its separator, what its columns hold, their units; and
//! keeping that under a name.

use std::path::Path;

use super::files::{picker, read};
use super::forms::label;
use super::{forms, list};
use crate::import::mapping::Mapping;
use crate::import::saved::path_of;
use crate::tui::effect::Effect;
use crate::tui::model::{AboutFile, Form, FormKind, ListKind, Model, Over};
use crate::tui::theme::Role;
use crate::units::Unit;

/// Opens the list of columns.
pub fn open(model: &mut Model) -> Vec<Effect> {
    let on_file = picker(model).is_some_and(|files| files.path.is_some());
    if !on_file {
        model.say(Role::Caution, "Put the cursor on a file first.");
        return Vec::new();
    }
    list(model, ListKind::Columns)
}

/// Something was told of the file.
pub fn about(model: &mut Model, about: AboutFile) -> Vec<Effect> {
    let Some(files) = picker(model) else {
        return Vec::new();
    };
    match about {
        AboutFile::Separator(separator) => files.separator = separator,
        AboutFile::Decimal(decimal) => files.decimal = decimal,
        AboutFile::Mapping(None) => {
            files.mapping = None;
            model.mapping = None;
        }
        AboutFile::Mapping(Some(name)) => {
            model.overs.pop();
            return vec![Effect::Mapping(name)];
        }
        AboutFile::Column(name) => {
            files.column = Some(name);
            return list(model, ListKind::Holds);
        }
        AboutFile::Holds(holds) => {
            let Some(column) = files.column.clone() else {
                return Vec::new();
            };
            // The last word counts, of this column and of who else was said to hold the same.
            files
                .columns
                .retain(|(name, what)| *name != column && (holds.is_none() || *what != holds));
            files.units.retain(|(name, _)| *name != column);
            files.columns.push((column, holds));
            files.ask_units = true;
        }
        AboutFile::Keep => return forms::open(model, FormKind::Mapping),
    }
    model.overs.pop();
    picker(model).map(|files| read(files)).unwrap_or_default()
}

/// A unit was said for a column.
pub fn unit(model: &mut Model, column: String, unit: &str) -> Vec<Effect> {
    model.overs.pop();
    match (picker(model), Unit::parse(unit)) {
        (Some(files), Ok(unit)) => {
            files.asking = None;
            files.units.retain(|(name, _)| *name != column);
            files.units.push((column, unit));
            // Another may be missing too.
            files.ask_units = true;
            read(files)
        }
        _ => Vec::new(),
    }
}

/// A mapping was read, or cannot be.
pub fn mapping(model: &mut Model, name: String, result: Result<Mapping, String>) -> Vec<Effect> {
    match (result, picker(model)) {
        (Ok(mapping), Some(files)) => {
            files.mapping = Some((name, mapping));
            let used = files.mapping.clone();
            files.columns.clear();
            files.units.clear();
            files.ask_units = true;
            let effects = read(files);
            model.mapping = used;
            effects
        }
        (Err(why), _) => {
            model.say(Role::Caution, why);
            Vec::new()
        }
        _ => Vec::new(),
    }
}

/// The form that asks for a mapping's name.
pub fn form(model: &Model) -> Form {
    let names = crate::tui::model::picker(model).map(|files| files.mappings.join(", "));
    let hint = match names.filter(|names| !names.is_empty()) {
        Some(names) => format!("kept so far: {names}; the same name takes its place"),
        None => "such as the tool that writes these files".to_owned(),
    };
    Form::new(
        FormKind::Mapping,
        "Keep what the columns hold",
        "For the next file of this kind: it is picked by this name, here and by `ruleout read --mapping NAME`.",
    )
    .field_of(label::NAME, crate::tui::model::FieldKind::Needed, hint)
}

/// Keeps the mapping under the name in the form.
pub fn keep(model: &mut Model, form: &mut Form) -> Option<Vec<Effect>> {
    let name = form.text(label::NAME);
    if let Err(error) = path_of(Path::new(""), &name) {
        form.refuse(label::NAME, error.to_string());
        return None;
    }
    let look = picker(model)?.look.clone()?;
    let mapping = Box::new(look.mapping());
    Some(vec![Effect::KeepMapping { name, mapping }])
}

/// A mapping was kept, or was not.
pub fn kept(model: &mut Model, name: &str, result: Result<Mapping, String>) -> Vec<Effect> {
    model.saving = None;
    let mapping = match result {
        Ok(mapping) => mapping,
        Err(why) => {
            model.say(Role::Caution, why);
            return Vec::new();
        }
    };
    if let Some(Over::Form(form)) = model.overs.last()
        && form.kind == FormKind::Mapping
    {
        model.overs.pop();
    }
    model.mapping = Some((name.to_owned(), mapping.clone()));
    if let Some(files) = picker(model) {
        if !files.mappings.iter().any(|kept| kept == name) {
            files.mappings.push(name.to_owned());
            files.mappings.sort();
        }
        files.mapping = Some((name.to_owned(), mapping));
    }
    model.say(Role::Pass, format!("Kept as \"{name}\"."));
    Vec::new()
}
