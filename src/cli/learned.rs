//! `ruleout learned [FLOW]`: what the workshop's closed jobs have taught, beside the author's odds.

use std::collections::{BTreeSet, HashMap};
use std::fmt::Write;

use clap::Args;
use serde::Serialize;
use uuid::Uuid;

use super::layout::beside;
use super::{CliError, Common, Outcome, clean, clean_json, print};
use crate::engine::event::Event;
use crate::engine::fold::fold;
use crate::job::store::{JobState, Store, StoreError};
use crate::rules::advice::Lesson;
use crate::rules::evidence::learned::{Learned, Proved, learned, proved};
use crate::rules::evidence::rows::{LearnedRow, Several, Share, Witness, rows, several, witness};

const WIDTH: usize = 80;

/// Show what closed jobs with a proved cause have taught about the odds
#[derive(Args, Clone, Debug)]
pub struct LearnedArgs {
    /// A flow's id; without it, every flow that a counted job has walked
    flow: Option<String>,
    /// Only jobs with this code or symptom
    #[arg(long, value_name = "WORD")]
    complaint: Vec<String>,
    /// Print an array of objects, for export
    #[arg(long)]
    json: bool,
}

/// What the workshop's closed jobs with a proved cause say.
#[derive(Clone, Debug, Default)]
pub struct History {
    /// Their causes.
    pub proved: Vec<Proved>,
    /// What the first test showed, of those with one cause.
    pub witnesses: Vec<Witness>,
}

/// The workshop's closed jobs with a proved cause; none where there is no store.
///
/// # Errors
/// What the store says.
pub fn history(common: &Common) -> Result<History, CliError> {
    let Some(store) = common.store_if_there()? else {
        return Ok(History::default());
    };
    let mut history = History::default();
    for lesson in Seen::default().look(&store)? {
        history.proved.push(lesson.proved);
        history.witnesses.extend(lesson.witness);
    }
    Ok(history)
}

/// Closed jobs that were looked at before; one that has not changed is not read again.
#[derive(Default)]
pub struct Seen(HashMap<Uuid, (u64, Option<Lesson>)>);

impl Seen {
    /// The closed jobs of a store with a proved cause.
    ///
    /// # Errors
    /// What the store says.
    pub fn look(&mut self, store: &dyn Store) -> Result<Vec<Lesson>, StoreError> {
        let mut lessons = Vec::new();
        for line in store.search("")? {
            if line.state == JobState::Open {
                continue;
            }
            let known = self.0.get(&line.id).filter(|(n, _)| *n == line.events);
            let found = if let Some((_, found)) = known {
                found.clone()
            } else {
                let found = lesson(line.id, &store.read(line.id)?);
                self.0.insert(line.id, (line.events, found.clone()));
                found
            };
            lessons.extend(found);
        }
        Ok(lessons)
    }
}

/// What a job of the workshop teaches; an exercise teaches nothing.
fn lesson(id: Uuid, events: &[Event]) -> Option<Lesson> {
    let job = fold(events);
    if job.practised {
        return None;
    }
    Some(Lesson {
        job: id,
        proved: proved(&job)?,
        witness: witness(&job),
    })
}

#[derive(Serialize)]
struct OfFlow {
    flow: String,
    causes: Vec<Learned>,
    several: Several,
    rows: Vec<LearnedRow>,
}

/// Shows what was learned.
///
/// # Errors
/// What the store says, and for a flow that is not there.
pub fn run(args: &LearnedArgs, common: &Common) -> Result<Outcome, CliError> {
    common.settings_or_say();
    let History { proved, witnesses } = history(common)?;
    let shelf = common.shelf()?;
    let walked: BTreeSet<&String> = proved.iter().flat_map(|job| &job.flows).collect();
    let words = args
        .complaint
        .iter()
        .flat_map(|w| [w.to_uppercase(), w.to_lowercase()]);
    let complaint: BTreeSet<String> = words.collect();
    if let Some(flow) = &args.flow
        && shelf.find(flow).is_none()
    {
        return Err(CliError::no_flow(flow, &shelf));
    }
    let found: Vec<OfFlow> = shelf
        .iter()
        .filter(|s| match &args.flow {
            Some(flow) => s.flow.id == *flow,
            None => walked.contains(&s.flow.id),
        })
        .map(|s| OfFlow {
            flow: s.flow.id.clone(),
            causes: learned(&s.flow, &complaint, &proved),
            several: several(&s.flow.id, &proved),
            // A flow without causes has no rows.
            rows: rows(&s.flow, &witnesses).unwrap_or_default(),
        })
        .collect();
    let text = if args.json {
        let text = serde_json::to_string_pretty(&found).unwrap_or_else(|_| "[]".to_owned());
        clean_json(&text) + "\n"
    } else {
        clean(&text(&found))
    };
    print(&text)?;
    Ok(Outcome::Fine)
}

fn text(found: &[OfFlow]) -> String {
    let mut out = String::new();
    if found.is_empty() {
        out.push_str("no job was closed yet with a cause that its retest proved\n");
    }
    for of in found {
        let jobs = of.causes.first().map_or(0, |l| l.jobs);
        // Writing to a String cannot fail.
        let _ = writeln!(
            out,
            "{} ({jobs} job{})\n  author    now  found  cause",
            of.flow,
            if jobs == 1 { "" } else { "s" }
        );
        for l in &of.causes {
            let (author, now) = (100.0 * l.author, 100.0 * l.learned);
            let _ = writeln!(
                out,
                "  {author:>4.0} %  {now:>3.0} %  {:>5}  {}",
                l.found, l.id
            );
        }
        let several = &of.several;
        let _ = writeln!(
            out,
            "  two causes or more: {:.0} % by the program, {:.0} % now; {} of {} jobs",
            100.0 * several.before,
            100.0 * several.learned,
            several.found,
            several.jobs
        );
        if !of.rows.is_empty() {
            out.push_str("  shown before any repair, where one cause was proved:\n");
        }
        for row in &of.rows {
            out.push_str(&shown(row));
        }
    }
    out
}

fn shown(row: &LearnedRow) -> String {
    let outcome = |share: &Share| {
        format!(
            "{} {:.0} % by its author, {:.0} % now ({} of {})",
            share.outcome,
            100.0 * share.author,
            100.0 * share.learned,
            // A value near a limit counts on both sides, in parts.
            (10.0 * share.found).round() / 10.0,
            row.jobs
        )
    };
    let seen = row.outcomes.iter().filter(|share| share.found >= 0.05);
    let seen: Vec<String> = seen.map(outcome).collect();
    let text = format!("{}, {}: {}", row.cause, row.reading, seen.join("; "));
    beside("    ", &text, 6, WIDTH)
}
