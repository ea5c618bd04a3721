//! `ruleout report JOB`: what leaves the workshop on paper, in its editions and forms.

use std::fs;
use std::path::{Path, PathBuf};

use chrono::Local;
use clap::{Args, ValueEnum};
use uuid::Uuid;

use super::learned::Seen;
use super::rank::cars::made as made_cars;
use super::{CliError, Common, Outcome, clean, print};
use crate::engine::event::Event;
use crate::engine::fold::fold;
use crate::engine::job::Job;
use crate::job::file::JobFile;
use crate::job::find::find;
use crate::job::store::Store;
use crate::report::edition::Edition;
use crate::report::{Made, Reached, RestsOn, Sheet, html, json, markdown, page};
use crate::rules::advice::{Lesson, with_flows};
use crate::rules::evidence::simulated::{CARS, Simulated};
use crate::tui::habits::Kept;
use crate::units::preferred::showing;

/// Write what leaves with the car: the report, the work order for parts, or a label
///
/// Without options it is the customer edition, as Markdown, on the screen.
#[derive(Args, Clone, Debug)]
pub struct ReportArgs {
    /// Its number, its plate, or its UUID or the beginning of it
    #[arg(required_unless_present = "file")]
    pub job: Option<String>,
    /// Take the job from this job file instead of the store
    #[arg(long, value_name = "JOBFILE", conflicts_with = "job")]
    pub file: Option<PathBuf>,
    /// Whom it is for
    #[arg(long = "for", value_name = "WHOM", default_value = "customer")]
    pub whom: Whom,
    /// The form; without it, what the name of the output says, or Markdown
    #[arg(long = "as", value_name = "FORM")]
    pub form: Option<Form>,
    /// Write to this file; without it, to the screen
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,
    /// The paper that an HTML page is set for; without it, whatever lies in the printer
    #[arg(long, value_name = "SIZE")]
    pub paper: Option<Paper>,
    /// The workshop's name at the head of the page, in place of the one in the settings
    #[arg(long, value_name = "NAME")]
    pub workshop: Option<String>,
}

/// Whom a report is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Whom {
    /// The car's owner: a page or two in plain words
    Customer,
    /// The workshop: every reading, event, choice and reason
    Workshop,
    /// Whoever orders and fits the parts: the work order
    Parts,
    /// A label of 62 by 100 mm
    Label,
}

impl From<Whom> for Edition {
    fn from(whom: Whom) -> Self {
        match whom {
            Whom::Customer => Self::Customer,
            Whom::Workshop => Self::Workshop,
            Whom::Parts => Self::Parts,
            Whom::Label => Self::Label,
        }
    }
}

/// Sizes of paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Paper {
    /// 210 by 297 mm
    A4,
    /// 8.5 by 11 in
    Letter,
}

impl From<Option<Paper>> for Sheet {
    fn from(paper: Option<Paper>) -> Self {
        match paper {
            None => Self::Printer,
            Some(Paper::A4) => Self::A4,
            Some(Paper::Letter) => Self::Letter,
        }
    }
}

/// The forms of the page.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Form {
    /// Markdown, which also reads as plain text
    Md,
    /// One HTML file, to look at and to print
    Html,
    /// One JSON object, for other programs
    Json,
}

/// Why a report was not written.
#[derive(Debug, thiserror::Error)]
pub enum WriteError {
    /// The name belongs to something else.
    #[error("this file is there already and is no report; choose another name, or move it away")]
    Taken,
    /// The system would not.
    #[error(transparent)]
    System(#[from] std::io::Error),
}

/// Writes the page.
///
/// # Errors
/// If no single job is meant, it cannot be read, or the page cannot be written.
pub fn run(args: &ReportArgs, common: &Common) -> Result<Outcome, CliError> {
    let (id, job, events) = events(args, common)?;
    let settings = common.settings_or_say();
    let own = Some(settings.workshop.clone()).filter(|name| !name.is_empty());
    let made = Made {
        at: Local::now().fixed_offset(),
        job,
        workshop: args.workshop.clone().or(own),
        reached: Reached::of(&settings),
    };
    let (job, edition) = (fold(&events), Edition::from(args.whom));
    let cars = cars(&job, edition, settings.simulated_cars, common);
    let own_jobs = own_jobs((&job, id), edition, common);
    let rests_on = RestsOn {
        cars: cars.as_ref(),
        own_jobs: &own_jobs,
    };
    let paper = || {
        showing(&settings.units, || {
            page(&job, &events, &made, edition, rests_on)
        })
    };
    let text = match form(args) {
        Form::Md => markdown(&paper()),
        Form::Html => html(&paper(), args.paper.into()),
        // Other programs rely on the units that flows are written in.
        Form::Json => json(&job, &events, &made, edition, rests_on),
    };
    match &args.output {
        None => print(&text)?,
        Some(path) => write(path, &text).map_err(|error| CliError::Write {
            path: path.clone(),
            error,
        })?,
    }
    Ok(Outcome::Fine)
}

/// The cars of the screens, where the page tells the evidence.
fn cars(job: &Job, edition: Edition, wanted: bool, common: &Common) -> Option<Simulated> {
    if !wanted || edition != Edition::Workshop {
        return None;
    }
    with_flows(job, |asked| made_cars(asked, CARS, common).ok()).filter(Simulated::knows_any)
}

/// What the workshop's own closed jobs teach, where the page tells the evidence and the screens count them. What keeps
/// them from being read is said, and the page goes by the authors' odds: one of a job file needs no store.
fn own_jobs((job, id): (&Job, Uuid), edition: Edition, common: &Common) -> Vec<Lesson> {
    if edition != Edition::Workshop || job.practised {
        return Vec::new();
    }
    let read = || -> Result<Vec<Lesson>, String> {
        let folder = common.folder().map_err(|error| error.to_string())?;
        let habits = Kept::in_folder(Some(&folder)).read()?;
        let store = common.store_if_there().map_err(|error| error.to_string())?;
        let Some(store) = store.filter(|_| !habits.ignore_own_jobs) else {
            return Ok(Vec::new());
        };
        let lessons = Seen::default().look(&store);
        lessons.map_err(|error| error.to_string())
    };
    match read() {
        // A job is no witness in its own case.
        Ok(lessons) => lessons.into_iter().filter(|l| l.job != id).collect(),
        Err(why) => {
            eprintln!(
                "ruleout: own jobs are left out of the evidence: {}",
                clean(&why)
            );
            Vec::new()
        }
    }
}

/// The job's own name, what it is called, and its events.
fn events(args: &ReportArgs, common: &Common) -> Result<(Uuid, String, Vec<Event>), CliError> {
    if let Some(path) = &args.file {
        let file = JobFile::read(path).map_err(|error| CliError::Read {
            path: path.clone(),
            error,
        })?;
        // The beginning of its name is what `--data` stores find it by, and fits on the page.
        let name: String = file.job.to_string().chars().take(13).collect();
        return Ok((file.job, name, file.events));
    }
    let Some(store) = common.store_if_there()? else {
        return Err(CliError::NoStore(common.folder()?));
    };
    let line = find(&store, args.job.as_deref().unwrap_or_default())?;
    Ok((
        line.id,
        format!("job {}", line.number),
        store.read(line.id)?,
    ))
}

fn form(args: &ReportArgs) -> Form {
    let named = |path: &PathBuf| {
        let end = path.extension()?.to_str()?.to_ascii_lowercase();
        match end.as_str() {
            "html" | "htm" => Some(Form::Html),
            "json" => Some(Form::Json),
            _ => None,
        }
    };
    let by_name = args.output.as_ref().and_then(named);
    args.form.or(by_name).unwrap_or(Form::Md)
}

/// Writes over an earlier report, and over nothing else that anybody may miss.
fn write(path: &Path, text: &str) -> Result<(), WriteError> {
    let there = path.metadata().is_ok_and(|there| there.is_file());
    if there && !is_report(&fs::read(path)?) {
        return Err(WriteError::Taken);
    }
    Ok(fs::write(path, text)?)
}

/// Every report says what made it: the page at its foot, the object by its format.
fn is_report(bytes: &[u8]) -> bool {
    const MARKS: [&[u8]; 2] = [b"Made with ruleout ", b"\"format\": \"ruleout-report\""];
    let says = |mark: &[u8]| bytes.windows(mark.len()).any(|window| window == mark);
    bytes.is_empty() || MARKS.iter().any(|mark| says(mark))
}
