//! `ruleout` without a command, and `ruleout demo`: the screens.

use std::path::PathBuf;

use chrono::{DateTime, TimeDelta, Utc};
use clap::Args;
use include_dir::{Dir, include_dir};

use super::learned::Seen;
use super::rank::cars::made;
use super::stamps::Watch;
use super::{CliError, Common, Outcome, plain};
use crate::job::file::JobFile;
use crate::job::find::find;
use crate::job::merge::merge;
use crate::job::sqlite::SqliteStore;
use crate::job::store::Store;
use crate::practice::exercise::Exercise;
use crate::practice::kept::folder;
use crate::rules::evidence::simulated::CARS;
use crate::tui::Begin;
use crate::tui::driver::OpensStore;
use crate::tui::{self, Demo, Notes, Onward};

static DEMO: Dir<'static> = include_dir!("$CARGO_MANIFEST_DIR/demo-jobs");

/// Options of the screens.
#[derive(Args, Clone, Debug, Default)]
pub struct BoardArgs {
    /// Who is at the keyboard; what is done is recorded under this name
    #[arg(long, value_name = "NAME")]
    pub who: Option<String>,
    /// Walk line by line with numbered choices, nothing drawn again: for screen readers, pipes and slow links
    #[arg(long)]
    pub plain: bool,
    /// Go on with this job at once: its number, its plate, or the beginning of its UUID
    #[arg(long = "job", id = "open_job", value_name = "JOB")]
    pub job: Option<String>,
}

/// Try the screens on invented jobs that are gone afterwards
#[derive(Args, Clone, Debug, Default)]
pub struct DemoArgs {
    #[command(flatten)]
    board: BoardArgs,
}

/// Opens the board on the jobs of this workshop.
///
/// # Errors
/// What the store or the screens say.
pub fn run(args: &BoardArgs, common: &Common) -> Result<Outcome, CliError> {
    if !args.plain && !tui::has_terminal() {
        return Ok(no_terminal());
    }
    loop {
        if let Some(outcome) = own_board(args, common)? {
            return Ok(outcome);
        }
        // Whoever comes back from the demo jobs is at their own again.
        let board = DemoArgs {
            board: args.clone(),
        };
        if let Some(outcome) = demo_board(&board, common, Demo::BesideOwn)? {
            return Ok(outcome);
        }
    }
}

/// The board of the workshop's own jobs; nothing where somebody goes on to the demo jobs.
fn own_board(args: &BoardArgs, common: &Common) -> Result<Option<Outcome>, CliError> {
    let store = common.store()?;
    let place = store.file().display().to_string();
    let mut again = match &common.data {
        Some(folder) => format!("ruleout --data {}", folder.display()),
        None => "ruleout".to_owned(),
    };
    if args.plain {
        again.push_str(" --plain");
    }
    let notes = Notes {
        jobs: format!("kept in {place}; `{again}` goes on"),
        exercises: exercises_note(common)?,
    };
    let kept = store.file().parent().map(std::path::Path::to_path_buf);
    screens(
        args,
        common,
        Box::new(store),
        (kept, notes),
        Some(own_jobs(common)),
        (Begin::Jobs, Demo::No),
    )
}

/// Where exercises are kept.
fn exercises_note(common: &Common) -> Result<String, CliError> {
    let place = folder(&common.folder()?).display().to_string();
    Ok(format!("exercises are kept in {place}"))
}

/// Opens the exercises, and begins one if it is named.
///
/// # Errors
/// What the store or the screens say.
pub fn practise(
    args: &BoardArgs,
    common: &Common,
    exercise: Option<Exercise>,
) -> Result<Outcome, CliError> {
    if !tui::has_terminal() {
        eprintln!(
            "ruleout: the exercises need a terminal, and there is none here. Without one:\n\
             ruleout practise FLOW --by-line reads what is done from the standard input;\n\
             --who, --debrief and --results tell of exercises."
        );
        return Ok(Outcome::Misused);
    }
    let store = common.store()?;
    let kept = store.file().parent().map(std::path::Path::to_path_buf);
    let notes = Notes {
        jobs: format!("kept in {}; `ruleout` goes on", store.file().display()),
        exercises: exercises_note(common)?,
    };
    let begin = exercise.map_or(Begin::Exercises, Begin::Exercise);
    let ended = screens(
        args,
        common,
        Box::new(store),
        (kept, notes),
        Some(own_jobs(common)),
        (begin, Demo::No),
    )?;
    Ok(ended.unwrap_or(Outcome::Fine))
}

/// Opens the board on a throw-away store that holds the demo jobs.
///
/// # Errors
/// What the screens say.
pub fn demo(args: &DemoArgs, common: &Common) -> Result<Outcome, CliError> {
    if !args.board.plain && !tui::has_terminal() {
        return Ok(no_terminal());
    }
    let ended = demo_board(args, common, Demo::ByItself)?;
    Ok(ended.unwrap_or(Outcome::Fine))
}

/// The board of the demo jobs; nothing where somebody goes back to their own.
fn demo_board(args: &DemoArgs, common: &Common, demo: Demo) -> Result<Option<Outcome>, CliError> {
    let store = demo_store()?;
    let own = Seen::default().look(&store)?;
    let own: tui::OwnJobs = Box::new(move || Ok(own.clone()));
    let notes = Notes {
        jobs: "the demo jobs are gone now".to_owned(),
        exercises: "the exercises beside the demo jobs are gone now".to_owned(),
    };
    screens(
        &args.board,
        common,
        Box::new(store),
        (None, notes),
        Some(own),
        (Begin::Jobs, demo),
    )
}

/// A store in memory that holds the demo jobs.
///
/// # Errors
/// If one of them cannot be read, which a test rules out.
pub fn demo_store() -> Result<SqliteStore, CliError> {
    let mut store = SqliteStore::in_memory()?;
    let mut jobs = Vec::new();
    for file in DEMO
        .files()
        .filter(|f| f.path().extension().is_some_and(|e| e == "yaml"))
    {
        let path = file.path().to_owned();
        let text = file.contents_utf8().unwrap_or_default();
        let job = JobFile::parse(text).map_err(|error| CliError::Read {
            path: path.clone(),
            error,
        })?;
        jobs.push((path, job));
    }
    bring_up_to(Utc::now(), &mut jobs);
    for (path, job) in jobs {
        merge(&mut store, &job).map_err(|error| CliError::Merge { path, error })?;
    }
    Ok(store)
}

/// Moves the demo jobs by as many whole days as bring the last thing done on them to the day before a moment: a car that
/// has stood half way for a year is no example. On the day before, whatever the time of day: cautions of that day are
/// read again.
fn bring_up_to(now: DateTime<Utc>, jobs: &mut [(PathBuf, JobFile)]) {
    let events = jobs.iter().flat_map(|(_, job)| &job.events);
    let Some(last) = events.map(|event| event.at).max() else {
        return;
    };
    let days = (now.date_naive() - last.date_naive()).num_days() - 1;
    let later = TimeDelta::days(days.max(0));
    for event in jobs.iter_mut().flat_map(|(_, job)| &mut job.events) {
        event.at += later;
    }
}

/// The screens, or the walk in lines; nothing where somebody goes on to the demo jobs, or back from them.
fn screens(
    args: &BoardArgs,
    common: &Common,
    store: Box<dyn Store>,
    (kept, notes): (Option<PathBuf>, Notes),
    own_jobs: Option<tui::OwnJobs>,
    (begin, demo): (Begin, Demo),
) -> Result<Option<Outcome>, CliError> {
    let settings = common.settings();
    let first = settings.settings.people.first().cloned();
    let who = args.who.clone().or(first).unwrap_or_else(user);
    let flows = common.clone();
    let job = match &args.job {
        Some(asked) => Some(find(&*store, asked)?.id),
        None => None,
    };
    let options = tui::Options {
        offers_demo: kept.is_some() && !args.plain,
        demo,
        store,
        shelf: Box::new(move || flows.shelf().map_err(|error| error.to_string())),
        settings,
        flows: common
            .flows_folder()
            .map(|folder| changed_flows(common, folder)),
        who,
        who_is_guessed: args.who.is_none(),
        practice: Some(exercises(common, kept.is_some())),
        begin,
        kept,
        own_jobs_on_paper: own_jobs.is_some().then(|| self::own_jobs(common)),
        own_jobs,
        makes_cars: Some(makes_cars(common)),
        cars_on_paper: Some(makes_cars(common)),
        notes,
    };
    if args.plain {
        return plain::run(options, job).map(Some);
    }
    Ok(match tui::run(options, job)? {
        Onward::Away => Some(Outcome::Fine),
        Onward::Demo => None,
    })
}

/// Opens the store of exercises when it is wanted; one that is thrown away beside demo jobs.
fn exercises(common: &Common, kept: bool) -> OpensStore {
    let data = common.folder().ok();
    Box::new(move || {
        let store = match data.as_deref().filter(|_| kept) {
            Some(data) => SqliteStore::open(&folder(data))?,
            None => SqliteStore::in_memory()?,
        };
        Ok(Box::new(store) as Box<dyn Store>)
    })
}

/// Makes simulated cars, or takes those that were kept beside the jobs.
fn makes_cars(common: &Common) -> tui::MakesCars {
    let common = common.clone();
    Box::new(move |asked| {
        let cars = made(asked, CARS, &common).ok()?;
        cars.knows_any().then_some(cars)
    })
}

/// Reads the workshop's closed jobs, with a store of its own: the evidence is worked out beside the
/// screens.
fn own_jobs(common: &Common) -> tui::OwnJobs {
    let common = common.clone();
    let mut seen = Seen::default();
    Box::new(move || {
        let store = common.store_if_there().map_err(|error| error.to_string())?;
        match store {
            Some(store) => seen.look(&store).map_err(|error| error.to_string()),
            None => Ok(Vec::new()),
        }
    })
}

/// Reads the flows anew whenever a file in the owner's folder has changed.
fn changed_flows(common: &Common, folder: PathBuf) -> tui::Flows {
    let common = common.clone();
    let mut watch = Watch::new(vec![folder]);
    Box::new(move || {
        let changed = watch.has_changed();
        changed.then(|| common.shelf().map_err(|error| error.to_string()))
    })
}

/// The name that the computer knows the user by.
pub(super) fn user() -> String {
    ["USER", "USERNAME", "LOGNAME"]
        .iter()
        .filter_map(|name| std::env::var(name).ok())
        .map(|name| super::one_line(&name))
        .find(|name| !name.trim().is_empty())
        .unwrap_or_else(|| "technician".to_owned())
}

fn no_terminal() -> Outcome {
    eprintln!(
        "ruleout: the board of jobs needs a terminal, and there is none here.\n\
         `ruleout --plain` walks jobs line by line without one. These commands need none\n\
         either: jobs, report, replay, read, rank, trial, learned, practise, calc, check,\n\
         draw, new-flow, export, import, completions, man\n\
         (`ruleout --help` says what each does)."
    );
    Outcome::Misused
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_demo_holds_every_demo_job() {
        let store = demo_store().expect("the demo jobs are sound");
        assert_eq!(store.search("").expect("it can be searched").len(), 5);
    }
}
