//! The readings of a file into a job of the store.

use std::io::{self, IsTerminal, Write};

use chrono::Utc;
use uuid::Uuid;

use super::{ReadArgs, text};
use crate::cli::{CliError, Common, board, clean};
use crate::engine::event::Event;
use crate::engine::fold::fold;
use crate::engine::job::Job;
use crate::engine::standing::{Desk, Standing};
use crate::import::Import;
use crate::import::fill;
use crate::import::put::{File, Put, put};
use crate::job::find::find;
use crate::job::store::Store;

/// What was filled, and where.
pub struct Filled {
    /// The job's number.
    pub job: u64,
    /// The title of its flow.
    pub flow: String,
    /// What was filled, and what was not.
    pub put: Put,
}

/// Fills the readings of the job's flow. On a terminal what would be filled is shown, and asked
/// for, first.
///
/// # Errors
/// If no single job is meant, or it cannot take readings now.
pub fn fill(
    args: &ReadArgs,
    who: Option<&str>,
    common: &Common,
    asked: &str,
    name: &str,
    read: &Import,
) -> Result<Filled, CliError> {
    let Some(mut store) = common.store_if_there()? else {
        return Err(CliError::NoStore(common.folder()?));
    };
    let line = find(&store, asked)?;
    let events = store.read(line.id)?;
    let job = fold(&events);
    let no = |why: String| CliError::NoFill {
        job: line.number,
        why,
    };
    let flow = job.run().map(|run| run.flow.clone());
    let flow = flow.ok_or_else(|| no("begin a flow first".to_owned()))?;
    let who = args
        .who
        .as_deref()
        .or(who)
        .map_or_else(board::user, str::to_owned);
    let desk = Desk {
        who: &who,
        day: Utc::now().date_naive(),
    };
    let file = File {
        name,
        hash: hash(read),
    };
    let mut filled = Filled {
        job: line.number,
        flow: flow.title.clone(),
        put: put(&job, desk, &fill::fill(&flow, read), file, args.warm)
            .map_err(|why| no(why + by_whom(args, &job, desk)))?,
    };
    if !agreed(args, &filled)? {
        filled.put.filled.clear();
        return Ok(filled);
    }
    let what = std::mem::take(&mut filled.put.events);
    let new: Vec<Event> = (job.seq + 1..)
        .zip(what)
        .map(|(seq, what)| Event {
            id: Uuid::now_v7(),
            seq,
            at: Utc::now(),
            who: who.clone(),
            what,
        })
        .collect();
    if !new.is_empty() {
        store.append(line.id, job.seq, &new)?;
    }
    Ok(filled)
}

/// Cautions are accepted by each person for themselves: who did is said, if it was not this one.
fn by_whom(args: &ReadArgs, job: &Job, desk: Desk) -> &'static str {
    match job.standing(desk) {
        Standing::Cautions(_) if args.who.is_none() => {
            "; where somebody else did, --who NAME says that they fill it in"
        }
        _ => "",
    }
}

fn hash(read: &Import) -> &str {
    match read {
        Import::Log(log) => &log.hash,
        Import::Capture(capture) => &capture.hash,
    }
}

/// Shows what would be filled and asks, where there is somebody to ask.
fn agreed(args: &ReadArgs, filled: &Filled) -> Result<bool, CliError> {
    let somebody = io::stdin().is_terminal() && io::stderr().is_terminal();
    if !somebody || args.json || filled.put.filled.is_empty() {
        return Ok(true);
    }
    let mut err = io::stderr().lock();
    let mut line = String::new();
    write!(err, "{}", clean(&text::would_fill(filled)))
        .and_then(|()| write!(err, "Enter fills them in, n leaves them: "))
        .and_then(|()| err.flush())
        .and_then(|()| io::stdin().read_line(&mut line))
        .map_err(CliError::Print)?;
    let no = line.trim().to_lowercase().starts_with('n');
    Ok(!no && !line.is_empty())
}
