//! Flow files that change while the screens are open.
//!
//! The shelf is exchanged as a whole. A job that runs keeps the text with which its flow began, which
//! lies in its record: nothing of the job looks at the shelf. A file that is broken now keeps its
//! last good flow at hand, and is named with the place of its first mistake; on the board it stands until it
//! is mended. A flow that loads is
//! offered even where the checker finds mistakes in it, but never without a word about them: the board
//! says it as long as it is so, and the choice of a flow beside the flow.

use super::super::model::{Model, Over, Screen};
use super::super::theme::Role;
use crate::check::shelf::Found;
use crate::flow::finding::{Finding, Severity};
use crate::flow::shelf::{Rejected, Shelf, Shelved};

/// Takes flows that were read anew.
pub fn changed(model: &mut Model, read: Result<Shelf, String>) {
    let mut shelf = match read {
        Ok(shelf) => shelf,
        Err(why) => {
            model.say(Role::Caution, format!("{why}: the flows stay as they were"));
            return;
        }
    };
    shelf.keep_from(&model.shelf);
    let (role, said) = match broken(&shelf.rejected) {
        Some(said) => (Role::Caution, said),
        None => (Role::Strong, news(&model.shelf, &shelf)),
    };
    model.shelf = shelf;
    // What was picked may stand in another line now.
    for over in &mut model.overs {
        if let Over::List { at, .. } = over {
            *at = None;
        }
    }
    model.say(role, said);
}

/// Takes what the checker has found. On the board it stands there anyway.
pub fn checked(model: &mut Model, found: Vec<Found>) {
    for found in found {
        model.shelf.note(&found.hash, found.findings);
    }
    if let Some(said) = doubtful(&model.shelf)
        && model.screen != Screen::Board
    {
        model.say(Role::Caution, said);
    }
}

/// On the flows at hand in which the checker has found mistakes, with where to read them.
pub fn doubtful(shelf: &Shelf) -> Option<String> {
    let flows: Vec<&Shelved> = shelf.iter().filter(|flow| flow.has_mistakes()).collect();
    match flows[..] {
        [] => None,
        [one] => Some(format!(
            "Your flow {} has {}. It can be walked, but mend it first: {}",
            one.flow.id,
            counted(one),
            remedy(one)
        )),
        [first, ..] => {
            let named = flows.iter().map(|flow| flow.flow.id.as_str());
            Some(format!(
                "{} of your flows have mistakes: {}. They can be walked, but mend them first, beginning with: {}",
                flows.len(),
                named.collect::<Vec<_>>().join(", "),
                remedy(first)
            ))
        }
    }
}

/// What stands beside a flow that is offered though it has mistakes.
pub fn warning(shelved: &Shelved) -> Option<String> {
    let said = || format!("! It has {}: {}", counted(shelved), remedy(shelved));
    shelved.has_mistakes().then(said)
}

/// "2 mistakes and 1 warning".
fn counted(shelved: &Shelved) -> String {
    let count = |n: usize, word: &str| format!("{n} {word}{}", if n == 1 { "" } else { "s" });
    let errors = count(shelved.count(Severity::Error), "mistake");
    match shelved.count(Severity::Warning) {
        0 => errors,
        n => format!("{errors} and {}", count(n, "warning")),
    }
}

/// The command that shows what is wrong and what to write instead.
fn remedy(shelved: &Shelved) -> String {
    command(&shelved.origin)
}

/// The command that checks one file, with its whole path.
fn command(file: &str) -> String {
    if file.contains(char::is_whitespace) {
        return format!("`ruleout check \"{file}\"`");
    }
    format!("`ruleout check {file}`")
}

/// A line on the flows that have mistakes, with the place of the first.
pub fn broken(rejected: &[Rejected]) -> Option<String> {
    let first = rejected.first()?;
    let error = |finding: &&Finding| finding.severity == Severity::Error;
    let file = file_name(first);
    let mut said = match first.findings.iter().find(error) {
        Some(mistake) => format!(
            "{file}:{}:{}: {}",
            mistake.place.line, mistake.place.column, mistake.message
        ),
        None => format!("{file} cannot be read"),
    };
    if rejected.len() > 1 {
        said = format!("{said} (and {} more files)", rejected.len() - 1);
    }
    Some(format!("{said}; see {}", command(&first.origin)))
}

/// What stands on the board as long as flow files are broken: a notice is wiped away by the next key.
pub fn not_offered(shelf: &Shelf) -> Option<String> {
    let kept = |rejected: &Rejected| shelf.iter().any(|flow| flow.origin == rejected.origin);
    match &shelf.rejected[..] {
        [] => None,
        [one] => Some(format!(
            "Your flow file {} has a mistake, and {}. Mend it: {}",
            file_name(one),
            if kept(one) {
                "its last good state is offered"
            } else {
                "its flow is not offered"
            },
            command(&one.origin)
        )),
        many => {
            let names: Vec<&str> = many.iter().map(file_name).collect();
            Some(format!(
                "{} of your flow files have mistakes, and are not offered as they are: {}. Mend them, beginning \
                 with: {}",
                many.len(),
                names.join(", "),
                command(&many[0].origin)
            ))
        }
    }
}

/// What stands on the board as long as two of the owner's files have one id, or one lies there under an ending that is
/// not read.
pub fn overlooked(shelf: &Shelf) -> Option<String> {
    let two = shelf.replaced.iter().find(|two| !two.was_shipped());
    if let Some(two) = two {
        return Some(format!(
            "Two of your files have the id {}: {} is offered, {} is not. Give one of them another id.",
            two.id,
            last(&two.by),
            last(&two.gone)
        ));
    }
    let first = shelf.unread.first()?;
    Some(format!(
        "{} is not read: the name of a flow file ends with .yaml. Save it under such a name.",
        last(first)
    ))
}

/// What an owner's flow stands for that took the place of a shipped one.
pub fn in_place_of_shipped(shelf: &Shelf) -> Option<String> {
    let ids: Vec<&str> = shelf
        .replaced
        .iter()
        .filter(|replaced| replaced.was_shipped())
        .map(|replaced| replaced.id.as_str())
        .collect();
    match ids[..] {
        [] => None,
        [id] => Some(format!(
            "Your {id} takes the place of the flow of that id that came with the program."
        )),
        _ => Some(format!(
            "Your {} take the places of the flows of those ids that came with the program.",
            ids.join(", ")
        )),
    }
}

/// The file's name without its folders.
fn file_name(rejected: &Rejected) -> &str {
    last(&rejected.origin)
}

fn last(origin: &str) -> &str {
    let parts = origin.rsplit(['/', '\\']);
    parts.into_iter().next().unwrap_or_default()
}

/// What is new on the shelf.
fn news(before: &Shelf, after: &Shelf) -> String {
    let changed = after.iter().filter(|flow| {
        before
            .find(&flow.flow.id)
            .is_none_or(|old| old.hash != flow.hash)
    });
    let changed: Vec<String> = changed
        .map(|flow| format!("{} (revision {})", flow.flow.id, flow.flow.revision))
        .collect();
    match &changed[..] {
        [] => "The flows were read anew.".to_owned(),
        [one] => format!("Read anew: {one}. A running job keeps its own."),
        many => format!(
            "{} flows were read anew. A running job keeps its own.",
            many.len()
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::flow::shelf::shipped_texts;

    const LOOK: &str = "flow: look\ntitle: Look\nsteps:\n  - {id: a, phase: symptom, do: Look., outcomes: [{when: always, go: done}]}\n";

    #[test]
    fn of_two_files_with_one_id_it_is_said_which_one_is_offered() {
        let mut shelf = Shelf::shipped();
        shelf.put("my-flows/y.yaml", LOOK);
        assert_eq!(overlooked(&shelf), None);
        shelf.put("my-flows/z.yaml", LOOK);
        let said = overlooked(&shelf).expect("it is said");
        assert!(said.contains("z.yaml is offered, y.yaml is not"), "{said}");
        assert_eq!(in_place_of_shipped(&shelf), None);
    }

    #[test]
    fn a_file_under_an_ending_that_is_not_read_is_named() {
        let mut shelf = Shelf::shipped();
        shelf.unread.push("my-flows/hose.yaml.txt".to_owned());
        let said = overlooked(&shelf).expect("it is said");
        assert!(said.starts_with("hose.yaml.txt is not read"), "{said}");
    }

    #[test]
    fn a_flow_in_place_of_a_shipped_one_is_said() {
        let (_, text) = shipped_texts().next().expect("a flow");
        let mut shelf = Shelf::shipped();
        shelf.put("my-flows/mine.yaml", text);
        let said = in_place_of_shipped(&shelf).expect("it is said");
        assert!(said.contains("takes the place"), "{said}");
        assert_eq!(overlooked(&shelf), None);
    }
}
