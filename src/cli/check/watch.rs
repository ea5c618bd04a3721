//! `ruleout check --watch`: check again whenever a file is saved.
//!
//! The times and sizes of the files are looked at three times a second. That needs no help from the
//! system, works on every kind of drive, and an owner's folder holds a few dozen files. Nothing is
//! cleared from the screen: what was found before can be scrolled back to.

use std::convert::Infallible;
use std::io::{self, Write};
use std::path::PathBuf;
use std::thread::sleep;
use std::time::Duration;

use super::super::stamps::{Stamps, stamps};
use super::super::{CliError, Common, Outcome, one_line};
use super::given::Given;
use super::{say, text};

const PAUSE: Duration = Duration::from_millis(300);

/// Checks, and checks again after every change, until it is stopped or nobody reads any more.
///
/// # Errors
/// If the owner's folder of flows cannot be read, or the result cannot be printed.
pub fn run(paths: &[PathBuf], common: &Common) -> Result<Outcome, CliError> {
    match watched(paths, common) {
        Err(CliError::Print(error)) if error.kind() == io::ErrorKind::BrokenPipe => {
            Ok(Outcome::Fine)
        }
        Err(error) => Err(error),
    }
}

fn watched(paths: &[PathBuf], common: &Common) -> Result<Infallible, CliError> {
    let mut known = stamps(paths);
    report(paths, common, "checked")?;
    loop {
        sleep(PAUSE);
        let now = stamps(paths);
        if now == known {
            continue;
        }
        let changed = settled(paths, &known, now);
        let what = what_changed(&known, &changed);
        known = changed;
        report(paths, common, &what)?;
    }
}

/// Waits until an editor has finished: many write a file in two goes, or put a new one in its place.
fn settled(paths: &[PathBuf], known: &Stamps, mut now: Stamps) -> Stamps {
    // A file that is gone for a moment is on its way back; one that stays away is reported then.
    for _ in 0..5 {
        sleep(PAUSE / 3);
        let next = stamps(paths);
        let gone = known
            .keys()
            .any(|path| next.get(path).is_none_or(Option::is_none));
        if next == now && !gone {
            break;
        }
        now = next;
    }
    now
}

fn what_changed(before: &Stamps, after: &Stamps) -> String {
    let all = after
        .keys()
        .chain(before.keys().filter(|path| !after.contains_key(*path)));
    let changed: Vec<String> = all
        .filter(|path| before.get(*path) != after.get(*path))
        .map(|path| path.display().to_string())
        .collect();
    match changed.as_slice() {
        [one] => format!("{one} has changed"),
        many => format!("{} files have changed", many.len()),
    }
}

fn report(paths: &[PathBuf], common: &Common, what: &str) -> Result<(), CliError> {
    let given = Given::read(paths);
    let shelf = common.shelf()?;
    let checked = given.checked(&shelf, &|| ());
    let time = chrono::Local::now().format("%H:%M:%S");
    let page = format!("-- {time}  {}\n{}\n", one_line(what), text::shown(&checked));
    let mut out = io::stdout().lock();
    out.write_all(page.as_bytes())
        .and_then(|()| out.flush())
        .map_err(CliError::Print)?;
    say(&given.unread);
    Ok(())
}

#[cfg(test)]
mod tests {
    use std::time::SystemTime;

    use super::*;

    fn at(files: &[(&str, u64)]) -> Stamps {
        let stamp = |len: u64| Some((SystemTime::UNIX_EPOCH, len));
        let files = files.iter();
        files
            .map(|(name, len)| (PathBuf::from(name), stamp(*len)))
            .collect()
    }

    #[test]
    fn one_change_is_named_and_several_are_counted() {
        let before = at(&[("a.yaml", 1), ("b.yaml", 1)]);
        assert_eq!(
            what_changed(&before, &at(&[("a.yaml", 1), ("b.yaml", 2)])),
            "b.yaml has changed"
        );
        assert_eq!(
            what_changed(&before, &at(&[("b.yaml", 1)])),
            "a.yaml has changed"
        );
        assert_eq!(
            what_changed(&before, &at(&[("a.yaml", 2), ("c.yaml", 2)])),
            "3 files have changed"
        );
    }
}
