//! Where the settings lie on this computer: a file named on the command line, else `settings.yaml`
//! in the platform's folder for configuration (on Unix `XDG_CONFIG_HOME` of the XDG Base Directory
//! Specification 0.8 counts first). Nothing is created here.

use std::ffi::OsString;
use std::path::{Path, PathBuf};

/// The folder's name under the platform's folder for configuration.
const NAME: &str = "ruleout";
/// The file's name in it.
const FILE: &str = "settings.yaml";

/// The file of the settings; none where the system knows no home folder and none was given.
pub fn settings_file(given: Option<&Path>) -> Option<PathBuf> {
    let xdg = if cfg!(unix) {
        std::env::var_os("XDG_CONFIG_HOME")
    } else {
        None
    };
    let platform =
        directories::ProjectDirs::from("", "", NAME).map(|dirs| dirs.config_dir().to_owned());
    choose(given, xdg, platform)
}

fn choose(
    given: Option<&Path>,
    xdg: Option<OsString>,
    platform: Option<PathBuf>,
) -> Option<PathBuf> {
    if let Some(given) = given {
        return Some(given.to_owned());
    }
    // The specification has relative paths in the variable ignored.
    let xdg = xdg
        .map(PathBuf::from)
        .filter(|path| path.is_absolute())
        .map(|path| path.join(NAME));
    Some(xdg.or(platform)?.join(FILE))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_given_file_wins_then_the_variable_then_the_platform() {
        let platform = || Some(PathBuf::from("/home/kim/.config/ruleout"));
        let given = choose(
            Some(Path::new("here.yaml")),
            Some("/xdg".into()),
            platform(),
        );
        assert_eq!(given, Some(PathBuf::from("here.yaml")));
        let xdg = choose(None, Some("/xdg".into()), platform());
        assert_eq!(xdg, Some(PathBuf::from("/xdg/ruleout/settings.yaml")));
        let relative = choose(None, Some("xdg".into()), platform());
        let usual = PathBuf::from("/home/kim/.config/ruleout/settings.yaml");
        assert_eq!(relative, Some(usual));
        assert_eq!(choose(None, None, None), None);
    }
}
