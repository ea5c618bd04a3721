//! `calc gauge --profile FILE`: the workshop's own profile of a float, as inputs of the calculation.

use super::options::Asked;
use crate::cli::clean::one_line;
use crate::cli::files::flow_text;
use crate::flow::load::profile::{GaugeProfile, profile};
use crate::physics::calculation::CalcError;
use crate::physics::evaluate::{InputError, Size};
use crate::settings::file::{gauges, read as read_settings};
use crate::settings::place::settings_file;
use clap::{Arg, ArgMatches};
use std::path::{Path, PathBuf};

/// The calculation that takes a profile.
pub(super) const FOR: &str = "gauge";

pub(super) fn option() -> Arg {
    Arg::new("profile")
        .long("profile")
        .value_name("FILE")
        .help("Gauge profile (YAML) of a float without numbers, in place of its points: a file, or one that the settings name by its id")
}

/// Adds what the profile says to what was asked; an option goes before the profile.
pub(super) fn add(asked: &mut Asked, matches: &ArgMatches) -> Result<(), CalcError> {
    let Ok(Some(file)) = matches.try_get_one::<String>("profile") else {
        return Ok(());
    };
    let settings = matches.try_get_one::<PathBuf>("settings").ok().flatten();
    let loaded = match own(file, settings.map(PathBuf::as_path)) {
        Some(profile) => profile,
        None => read(file)?,
    };
    for (name, value) in loaded.given.iter() {
        if asked.given.get(name).is_none() {
            asked.given.set(name, value.clone());
        }
    }
    let own = asked.errors.iter().any(|error| error.input == "height");
    if !own && loaded.height_error > 0.0 {
        asked.errors.push(InputError {
            input: "height".to_owned(),
            column: 0,
            size: Size::Absolute(loaded.height_error),
        });
    }
    Ok(())
}

/// A profile that the settings name, by its id. A file of that name goes before it.
fn own(name: &str, settings: Option<&Path>) -> Option<GaugeProfile> {
    if Path::new(name).exists() {
        return None;
    }
    let (found, _) = gauges(&read_settings(settings_file(settings)));
    found.into_iter().find(|profile| profile.id == name)
}

fn read(file: &str) -> Result<GaugeProfile, CalcError> {
    let wrong = |problem: String, remedy: &str| CalcError::new("profile", problem, remedy);
    let text = flow_text(Path::new(file)).map_err(|error| {
        wrong(
            format!("{} cannot be read: {error}", one_line(file)),
            "check its name and place",
        )
    })?;
    let loaded = profile(&text);
    loaded.profile.ok_or_else(|| {
        let lines: Vec<String> = loaded
            .findings
            .iter()
            .map(|f| {
                format!(
                    "{}:{}:{}: {} ({})",
                    one_line(file),
                    f.place.line,
                    f.place.column,
                    one_line(&f.message),
                    one_line(&f.help)
                )
            })
            .collect();
        wrong(lines.join("\n  "), "mend the profile and try again")
    })
}
