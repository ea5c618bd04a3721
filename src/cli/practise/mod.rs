//! `ruleout practise`: exercises on a car that is not there, who has practised what, and exercise files.

mod by_line;

use std::io::IsTerminal;
use std::path::{Path, PathBuf};

use clap::Args;
use uuid::Uuid;

use super::board::{self, BoardArgs};
use super::rank::cars::made;
use super::{CliError, Common, Outcome, clean, clean_json, draw, files, print};
use crate::flow::node;
use crate::job::find::find;
use crate::job::sqlite::{FILE, SqliteStore};
use crate::job::store::Store;
use crate::practice::begin::begin;
use crate::practice::debrief::Debrief;
use crate::practice::exercise::{Exercise, check_level};
use crate::practice::kept::{exercised, folder};
use crate::practice::people::{self, csv};
use crate::practice::plans::Exercised;
use crate::practice::session::marks;
use crate::rules::advice::with_flows;
use crate::rules::evidence::simulated::CARS;

/// Practise a test on a car that is not there, with a debrief
///
/// Without a flow it shows the exercises done so far. Exercises are kept apart from the workshop's jobs, in the
/// folder `practice` beside them, and teach its odds nothing.
#[derive(Args, Clone, Debug)]
pub struct PractiseArgs {
    /// A flow's id, a flow file, or an exercise file (YAML)
    exercise: Option<String>,
    /// Which car: the same seed gives the same car to everybody
    #[arg(long, value_name = "NUMBER")]
    seed: Option<u64>,
    /// How hard, from 1 (one fault) to 4 (two faults, and much that misleads)
    #[arg(long, value_name = "1..4")]
    level: Option<u8>,
    /// Save the exercise to this file instead, to hand it on
    #[arg(long, value_name = "FILE")]
    save: Option<PathBuf>,
    /// Its name in the file
    #[arg(long, value_name = "NAME", requires = "save")]
    named: Option<String>,
    /// Read what is done line by line from the standard input, without screens; `help` lists the words. Exit status:
    /// 0 where every line was taken, 2 where one was refused (its answer begins with !)
    #[arg(long)]
    by_line: bool,
    /// Show who has practised what
    #[arg(long, conflicts_with_all = ["exercise", "save"])]
    who: bool,
    /// Print the debrief of an exercise, by its number
    #[arg(long, value_name = "NUMBER", conflicts_with_all = ["exercise", "save", "who"])]
    debrief: Option<String>,
    /// Write all results as CSV to this file, or to the standard output with -
    #[arg(long, value_name = "FILE", conflicts_with_all = ["exercise", "save", "who", "debrief"])]
    results: Option<PathBuf>,
    /// Print JSON, with --who and --debrief
    #[arg(long)]
    json: bool,
}

/// Columns of a table on the standard output.
const COLUMNS: usize = 78;

/// Why an exercise cannot be begun, read or told of.
#[derive(Debug, thiserror::Error)]
#[error("{0}")]
pub struct PractiseError(String);

impl PractiseError {
    fn because(why: impl Into<String>) -> CliError {
        CliError::Practise(Self(why.into()))
    }
}

/// Practises, or tells of it.
///
/// # Errors
/// For a flow or file that is not there, and what the store or the screens say.
pub fn run(args: &PractiseArgs, who: &BoardArgs, common: &Common) -> Result<Outcome, CliError> {
    if args.who {
        return people(args, common);
    }
    if let Some(number) = &args.debrief {
        return debrief(args, common, number);
    }
    if let Some(path) = &args.results {
        return results(path, common);
    }
    let own;
    let (exercise, common) = match &args.exercise {
        Some(named) if is_flow(Path::new(named)) => {
            let folder = Path::new(named).parent().map(Path::to_path_buf);
            let folder = folder.filter(|f| !f.as_os_str().is_empty());
            own = Common {
                flows: Some(folder.unwrap_or_else(|| PathBuf::from("."))),
                ..common.clone()
            };
            let id = draw::named(&own.shelf()?, named)?.id.clone();
            let args = PractiseArgs {
                exercise: Some(id),
                ..args.clone()
            };
            (exercise(&args)?, &own)
        }
        _ => (exercise(args)?, common),
    };
    if let Some(path) = &args.save {
        return save(path, args, exercise, common);
    }
    if args.by_line {
        let Some(exercise) = exercise else {
            return Err(PractiseError::because(
                "say which flow: ruleout practise intake-leak --by-line",
            ));
        };
        // Whom the settings name first, as on the screens.
        let first = common.settings_or_say().people.first().cloned();
        let who = who.who.clone().or(first).unwrap_or_else(board::user);
        return by_line::run(&exercise, &who, store(common)?, common);
    }
    board::practise(who, common, exercise)
}

/// The store of exercises, made if it is not there.
pub(super) fn store(common: &Common) -> Result<SqliteStore, CliError> {
    Ok(SqliteStore::open(&folder(&common.folder()?))?)
}

/// The store of exercises if it is there.
fn store_if_there(common: &Common) -> Result<Option<SqliteStore>, CliError> {
    let folder = folder(&common.folder()?);
    Ok(if folder.join(FILE).exists() {
        Some(SqliteStore::open(&folder)?)
    } else {
        None
    })
}

/// Whether a file is there and holds a flow, and no exercise.
fn is_flow(path: &Path) -> bool {
    let text = path
        .is_file()
        .then(|| files::flow_text(path).ok())
        .flatten();
    let tree = text.and_then(|text| node::parse(&text).ok());
    tree.is_some_and(|tree| tree.below("steps").is_some())
}

/// The exercise that is meant: a file's, or a flow's with seed and level.
fn exercise(args: &PractiseArgs) -> Result<Option<Exercise>, CliError> {
    let Some(named) = &args.exercise else {
        return Ok(None);
    };
    let path = Path::new(named);
    let is_file = path.extension().is_some_and(|e| e == "yaml" || e == "yml") || path.is_file();
    let exercise = if is_file {
        let text = files::flow_text(path).map_err(|error| CliError::Flow {
            path: path.to_owned(),
            error,
        })?;
        let named = Exercise::parse(&text)
            .map_err(|error| PractiseError::because(format!("{}: {error}", path.display())))?;
        return as_it_is(args, path, named).map(Some);
    } else {
        Exercise {
            exercise: String::new(),
            flow: named.clone(),
            seed: args.seed.unwrap_or_else(any_seed),
            level: args.level.unwrap_or(1),
            note: String::new(),
        }
    };
    check_level(exercise.level).map_err(|error| PractiseError::because(error.to_string()))?;
    Ok(Some(exercise))
}

/// An exercise that was handed on is the same car for everybody: seed and level are its own.
fn as_it_is(args: &PractiseArgs, path: &Path, own: Exercise) -> Result<Exercise, CliError> {
    let other = args.seed.is_some_and(|seed| seed != own.seed)
        || args.level.is_some_and(|level| level != own.level);
    if !other {
        return Ok(own);
    }
    let seed = args.seed.unwrap_or(own.seed);
    let level = args.level.unwrap_or(own.level);
    Err(PractiseError::because(format!(
        "{}: \"{}\" is the car of seed {} at level {}, and stays it; leave --seed and --level out, or practise the other \
         car by the flow: ruleout practise {} --seed {seed} --level {level}",
        path.display(),
        own.exercise,
        own.seed,
        own.level,
        own.flow
    )))
}

/// A seed that is short enough to be told to others.
fn any_seed() -> u64 {
    let name = Uuid::now_v7().as_u128();
    u64::try_from(name % 100_000).unwrap_or_default()
}

fn save(
    path: &Path,
    args: &PractiseArgs,
    exercise: Option<Exercise>,
    common: &Common,
) -> Result<Outcome, CliError> {
    let Some(mut exercise) = exercise else {
        return Err(PractiseError::because(
            "say which flow: ruleout practise intake-leak --save tuesday.yaml",
        ));
    };
    let stem = path
        .file_stem()
        .map(|stem| stem.to_string_lossy().into_owned());
    exercise.exercise = args
        .named
        .clone()
        .or((!exercise.exercise.is_empty()).then(|| exercise.exercise.clone()))
        .or(stem)
        .unwrap_or_else(|| "exercise".to_owned());
    // A file that nobody can practise is not worth handing on.
    begin(&common.shelf()?, &exercise).map_err(PractiseError::because)?;
    let file = std::fs::OpenOptions::new()
        .write(true)
        .create_new(true)
        .open(path);
    let written =
        file.and_then(|mut file| std::io::Write::write_all(&mut file, exercise.text().as_bytes()));
    written.map_err(|error| CliError::NewFile {
        path: path.to_owned(),
        error,
    })?;
    eprintln!(
        "ruleout: saved; everybody practises it with: ruleout practise {}",
        clean(&path.display().to_string())
    );
    Ok(Outcome::Fine)
}

fn people(args: &PractiseArgs, common: &Common) -> Result<Outcome, CliError> {
    let results = match store_if_there(common)? {
        Some(store) => exercised(&store)?,
        None => Vec::new(),
    };
    let text = if args.json {
        let text = serde_json::to_string_pretty(&results).unwrap_or_else(|_| "[]".to_owned());
        clean_json(&text) + "\n"
    } else {
        let words = people::Words {
            flow: &str::to_owned,
            day: &|at| at.format("%Y-%m-%d").to_string(),
        };
        let mut text = people::lines(&results, &words).join("\n") + "\n";
        if results.is_empty() {
            text += "begin one with: ruleout practise\n";
        }
        clean(&text)
    };
    print(&text)?;
    Ok(Outcome::Fine)
}

fn debrief(args: &PractiseArgs, common: &Common, number: &str) -> Result<Outcome, CliError> {
    let Some(store) = store_if_there(common)? else {
        return Err(PractiseError::because(
            "there are no exercises yet; begin one with: ruleout practise",
        ));
    };
    let Ok(line) = find(&store, number) else {
        return Err(PractiseError::because(format!(
            "no exercise is called `{number}`; its number stands on the board of exercises: ruleout practise"
        )));
    };
    let events = store.read(line.id)?;
    // Nobody looks behind the curtain while the exercise goes on.
    if marks(&events).is_none() {
        return Err(PractiseError::because(format!(
            "exercise {} has not ended; its debrief is told once it has",
            line.number
        )));
    }
    let text = told(&events, args.json, common)
        .ok_or_else(|| PractiseError::because(format!("job {} is no exercise", line.number)))?;
    print(&text)?;
    Ok(Outcome::Fine)
}

/// The debrief of an exercise, as text or JSON.
pub(super) fn told(
    events: &[crate::engine::event::Event],
    json: bool,
    common: &Common,
) -> Option<String> {
    let exercised = Exercised::of(events)?;
    let session = exercised.session();
    // The same cars as on the screens, so that the odds are those that the apprentice saw there.
    let settings = common.settings_or_say();
    let cars = settings
        .simulated_cars
        .then(|| with_flows(&session.job, |asked| made(asked, CARS, common).ok()))
        .flatten();
    let debrief = Debrief::with_evidence(session, cars.as_ref()).at(settings.labour_rate);
    Some(if json {
        let text = serde_json::to_string_pretty(&debrief).unwrap_or_else(|_| "{}".to_owned());
        clean_json(&text) + "\n"
    } else {
        clean(&(debrief.lines(COLUMNS).join("\n") + "\n"))
    })
}

fn results(path: &Path, common: &Common) -> Result<Outcome, CliError> {
    let results = match store_if_there(common)? {
        Some(store) => exercised(&store)?,
        None => Vec::new(),
    };
    let text = csv(&results);
    let head = csv(&[]);
    let head = head.trim_end();
    if path == Path::new("-") {
        // Control characters are taken out of every cell already.
        print(&text)?;
        return Ok(Outcome::Fine);
    }
    // An earlier table is written over, and nothing else that anybody may miss.
    let there = std::fs::read(path).unwrap_or_default();
    if !there.is_empty() && !there.starts_with(head.as_bytes()) {
        return Err(PractiseError::because(format!(
            "{}: this file is there already and is no table of results; choose another name, or move it away",
            path.display()
        )));
    }
    std::fs::write(path, &text).map_err(|error| CliError::NewFile {
        path: path.to_owned(),
        error,
    })?;
    if std::io::stderr().is_terminal() {
        eprintln!("ruleout: {} results written", results.len());
    }
    Ok(Outcome::Fine)
}
