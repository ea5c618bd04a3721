//! Where the store lies on this computer.
//!
//! A folder given on the command line wins; then, on Unix, the `XDG_DATA_HOME` of the XDG Base
//! Directory Specification 0.8 (people set it on macOS too, and expect it to count there); then
//! the platform's own folder for data. Nothing is created here.

use std::ffi::OsString;
use std::path::{Path, PathBuf};

/// The folder's name under the platform's folder for data.
const NAME: &str = "ruleout";

/// There is no folder to keep jobs in.
#[derive(Debug, PartialEq, Eq, thiserror::Error)]
#[error("there is no home folder to keep jobs in; choose a folder with --data DIR")]
pub struct NoPlace;

/// The folder of the store: `given` if there is one, else the platform's.
///
/// # Errors
/// [`NoPlace`] where the system knows no home folder and none was given.
pub fn data_folder(given: Option<&Path>) -> Result<PathBuf, NoPlace> {
    let xdg = if cfg!(unix) {
        std::env::var_os("XDG_DATA_HOME")
    } else {
        None
    };
    let platform =
        directories::ProjectDirs::from("", "", NAME).map(|dirs| dirs.data_dir().to_owned());
    choose(given, xdg, platform)
}

fn choose(
    given: Option<&Path>,
    xdg: Option<OsString>,
    platform: Option<PathBuf>,
) -> Result<PathBuf, NoPlace> {
    if let Some(given) = given {
        return Ok(given.to_owned());
    }
    // The specification has relative paths in the variable ignored.
    let xdg = xdg
        .map(PathBuf::from)
        .filter(|path| path.is_absolute())
        .map(|path| path.join(NAME));
    xdg.or(platform).ok_or(NoPlace)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_given_folder_wins_over_everything() {
        let got = choose(
            Some(Path::new("here")),
            Some("/xdg".into()),
            Some("/home/kim/.local/share/ruleout".into()),
        );
        assert_eq!(got, Ok(PathBuf::from("here")));
    }

    #[cfg(unix)]
    #[test]
    fn the_xdg_variable_comes_next_unless_it_is_relative() {
        let home = || Some(PathBuf::from("/home/kim/.local/share/ruleout"));
        assert_eq!(
            choose(None, Some("/xdg".into()), home()),
            Ok(PathBuf::from("/xdg/ruleout"))
        );
        assert_eq!(
            choose(None, Some("xdg".into()), home()),
            Ok(home().expect("given above"))
        );
        assert_eq!(
            choose(None, Some("".into()), home()),
            Ok(home().expect("given above"))
        );
    }

    #[test]
    fn without_any_folder_it_says_so() {
        assert_eq!(choose(None, None, None), Err(NoPlace));
    }
}
