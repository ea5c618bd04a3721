//! `ruleout read FILE`: what a log or a capture holds, and, with `--job`, its readings in the job.

mod job;
mod json;
pub mod options;
mod text;

use std::fs::File;
use std::path::{Path, PathBuf};

use clap::Args;

use super::{CliError, Common, Outcome, calc, clean, clean_json, print};
use crate::import::{self, Import, ImportError, Look, Options, Purpose, saved};
use options::FileArgs;

/// Show what a log or a capture holds, and fill a job's readings from it
#[derive(Args, Clone, Debug)]
pub struct ReadArgs {
    /// A log of scan data, or a capture of a scope, as CSV
    #[arg(value_name = "FILE")]
    file: PathBuf,
    #[command(flatten)]
    how: FileArgs,
    /// Keep what the columns hold and their units under this name
    #[arg(long, value_name = "NAME")]
    save_mapping: Option<String>,
    /// Fill the readings of the flow that this job is in
    #[arg(long, value_name = "JOB")]
    job: Option<String>,
    /// The engine was warm, where the log does not show it
    #[arg(long, requires = "job")]
    warm: bool,
    /// Who fills them in
    #[arg(long, value_name = "NAME", requires = "job")]
    who: Option<String>,
    /// Cylinders of the engine, to count the lobes of a capture
    #[arg(long, value_name = "NUMBER", requires = "speed")]
    cylinders: Option<String>,
    /// Engine speed during the capture, such as "800 rpm"
    #[arg(long, value_name = "SPEED", requires = "cylinders")]
    speed: Option<String>,
    /// Print one JSON object
    #[arg(long)]
    json: bool,
}

/// Reads the file and shows it. The answer is "no" where nothing steady is found in a log, nothing
/// is held in a sweep, or nothing could be filled.
///
/// # Errors
/// If an option cannot be understood, the file cannot be read, or the job cannot take readings.
pub fn run(args: &ReadArgs, who: Option<&str>, common: &Common) -> Result<Outcome, CliError> {
    let mut options = args.how.options(common)?;
    // Lobes are counted in a capture only.
    options.purpose = args.cylinders.as_ref().map(|_| Purpose::Capture);
    let read = match open(&args.file, &options) {
        Ok(read) => read,
        Err(error) => {
            show_look(args, &options)?;
            return Err(error);
        }
    };
    let kept = match &args.save_mapping {
        Some(name) => {
            let folder = common.folder()?;
            let replaced = saved::path_of(&folder, name)?.is_file();
            Some((
                saved::keep(&folder, name, &look(&read).mapping())?,
                replaced,
            ))
        }
        None => None,
    };
    let worked = match &read {
        Import::Log(_) => None,
        Import::Capture(capture) => calc::captured(capture, lobes(args).as_ref())?,
    };
    let filled = match &args.job {
        Some(job) => Some(job::fill(args, who, common, job, &name(&args.file), &read)?),
        None => None,
    };
    let out = if args.json {
        let whole = json::file(&name(&args.file), &read, worked.as_ref(), filled.as_ref());
        clean_json(&format!("{whole:#}\n"))
    } else {
        clean(&text::file(
            &name(&args.file),
            &read,
            worked.as_ref(),
            filled.as_ref(),
        ))
    };
    print(&out)?;
    if let Some((path, replaced)) = kept {
        let path = clean(&path.display().to_string());
        let earlier = if replaced {
            ", in place of the earlier one"
        } else {
            ""
        };
        eprintln!("ruleout: the mapping is kept in {path}{earlier}");
    }
    let something = match (&filled, &read) {
        (Some(filled), _) => !filled.put.filled.is_empty(),
        (None, Import::Log(log)) => !log.windows.is_empty(),
        (None, Import::Capture(capture)) => worked.is_some() || !capture.points.is_empty(),
    };
    Ok(if something {
        Outcome::Fine
    } else {
        Outcome::No
    })
}

/// Reads a file as what it seems to be.
///
/// # Errors
/// With the file's name before what is wrong.
pub fn open(path: &Path, options: &Options) -> Result<Import, CliError> {
    let wrong = |error: ImportError| CliError::Import {
        path: path.to_owned(),
        error: Box::new(error),
    };
    let file = File::open(path).map_err(|error| wrong(error.into()))?;
    import::read(file, options).map_err(wrong)
}

/// What the file's columns are taken for, where it cannot be read further: it helps to say what
/// is missing. Nothing where the file is no table at all.
fn show_look(args: &ReadArgs, options: &Options) -> Result<(), CliError> {
    if args.json {
        return Ok(());
    }
    match File::open(&args.file).map(|file| import::look_at(file, options)) {
        Ok(Ok(look)) => print(&clean(&text::look(&look))),
        _ => Ok(()),
    }
}

fn look(read: &Import) -> &Look {
    match read {
        Import::Log(log) => &log.look,
        Import::Capture(capture) => &capture.look,
    }
}

/// A file's name, without the folders above it.
fn name(path: &Path) -> String {
    path.file_name().map_or_else(
        || path.display().to_string(),
        |name| name.to_string_lossy().into_owned(),
    )
}

fn lobes(args: &ReadArgs) -> Option<calc::Lobes> {
    Some(calc::Lobes {
        cylinders: args.cylinders.clone()?,
        speed: args.speed.clone()?,
    })
}
