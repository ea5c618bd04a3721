//! What was put right in the record, what was ruled out, and what was not tested.

use std::collections::BTreeSet;

use super::case::Case;
use super::page::{Block, Item, Section, Table};
use super::text::{named, sentence, stopped};
use super::unmended;
use crate::engine::event::{Event, Verdict, What};
use crate::engine::job::How;
use crate::engine::{shown, words};
use crate::flow::answer::Answer;

/// What was corrected, readings, facts and what the job was opened with: what stood there, what stands there now, and why.
pub fn corrections(case: &Case) -> Option<Section> {
    let mut facts = case.job.opening_facts();
    let rows: Vec<Vec<String>> = case
        .events
        .iter()
        .filter_map(|event| {
            let [name, first, now, why] = match &event.what {
                What::ReadingCorrected { taken, value, why } => {
                    reading(case, event, *taken, value, why)?
                }
                What::ReadingTaken { reading, value, .. } => {
                    let before = words::answered_before(case.job, event.seq)?;
                    let (first, now) = shown::apart(&before.value, value)?;
                    let why = "answered again at the same step".to_owned();
                    [asked(case, reading), first, now, why]
                }
                What::RepairCorrected { why, .. } => {
                    let (repair, first, now) = words::repair_apart(case.job, event.seq)?;
                    let name = format!("Repair: {}", named(&repair.cause, &repair.name));
                    [name, first, now, why.clone()]
                }
                What::FactNoted { fact, value, .. } => {
                    let old = facts.insert(fact.clone(), value.clone())?;
                    let (first, now) = shown::apart(&old, value)?;
                    [asked(case, fact), first, now, String::new()]
                }
                What::OpeningCorrected { why, .. } => {
                    let name = "What the job was opened with".to_owned();
                    let (first, now) = opening(case, event)?;
                    [name, first, now, why.clone()]
                }
                _ => return None,
            };
            let by = format!("{}, {}", event.who, case.when(event.at));
            Some(vec![name, first, now, why, by])
        })
        .collect();
    let mut blocks = Vec::new();
    if !rows.is_empty() {
        let head = ["What", "First", "Corrected to", "Why", "By"];
        blocks.push(Block::Table(Table {
            title: String::new(),
            head: head.map(str::to_owned).to_vec(),
            rows,
            notes: Vec::new(),
        }));
    }
    blocks.extend(list(reopened(case)));
    Section::of("Corrections", blocks)
}

/// A reading or a fact as the flow asks for it.
fn asked(case: &Case, id: &str) -> String {
    let mut runs = case.job.runs.iter();
    let prompt = runs.find_map(|run| run.flow.prompt(id));
    prompt.map_or_else(|| id.replace('-', " "), |p| p.ask.clone())
}

/// The row of a reading; what stayed as it was is no correction.
fn reading(
    case: &Case,
    event: &Event,
    taken: u64,
    value: &Answer,
    why: &str,
) -> Option<[String; 4]> {
    let reading = case.job.readings.iter().find(|t| t.seq == taken)?;
    let old = reading.before.iter().find(|(_, by)| *by == event.seq);
    let (first, now) = match old {
        Some((old, _)) => shown::apart(old, value)?,
        None => (String::new(), shown::answer(value)),
    };
    Some([asked(case, &reading.reading), first, now, why.to_owned()])
}

/// What stood in the opening that was corrected, and what stands there since.
fn opening(case: &Case, event: &Event) -> Option<(String, String)> {
    let changed = words::opening_changes(event, case.job);
    let side = |now: bool| {
        let of = changed
            .iter()
            .map(|(name, was, is)| format!("{name}: {}", if now { is } else { was }));
        of.collect::<Vec<_>>().join("; ")
    };
    (!changed.is_empty()).then(|| (side(false), side(true)))
}

/// Handovers that were taken back.
fn reopened(case: &Case) -> Vec<Item> {
    let why = |event: &Event| match &event.what {
        What::Reopened { why } => Some(Item {
            head: format!("Taken up again on {}", case.when(event.at)),
            text: stopped(why),
            more: Vec::new(),
        }),
        _ => None,
    };
    case.events.iter().filter_map(why).collect()
}

/// Causes that were ruled out, each group with the reason.
pub fn ruled_out(case: &Case) -> Option<Section> {
    let mut items: Vec<Item> = Vec::new();
    let mut groups: Vec<(&str, Vec<String>)> = Vec::new();
    for (_, cause, because) in case.job.ruled_out() {
        match groups.iter_mut().find(|(words, _)| *words == because) {
            Some((_, names)) => names.push(named(&cause.id, &cause.name)),
            None => groups.push((because, vec![named(&cause.id, &cause.name)])),
        }
    }
    for (because, names) in groups {
        items.push(Item {
            head: stopped(&sentence(because)).trim_end_matches('.').to_owned(),
            text: format!("{}.", names.join("; ")),
            more: Vec::new(),
        });
    }
    Section::of("Ruled out", list(items))
}

fn list(items: Vec<Item>) -> Vec<Block> {
    if items.is_empty() {
        Vec::new()
    } else {
        vec![Block::List(items)]
    }
}

/// Steps that were skipped, readings that could not be told, flows that were left, and causes
/// about which nothing is known.
pub fn not_tested(case: &Case) -> Option<Section> {
    Section::of("Not tested, or not decided", list(not_tested_items(case)))
}

/// What [`not_tested`] lists.
pub fn not_tested_items(case: &Case) -> Vec<Item> {
    let mut items = Vec::new();
    let mut add = |head: &str, text: String| {
        items.push(Item {
            head: head.to_owned(),
            text,
            more: Vec::new(),
        });
    };
    for walked in case.walked() {
        if let Some(How::Skipped { reason, .. }) = walked.visit.left.as_ref().map(|l| &l.how) {
            let reason = stopped(reason);
            add("Step skipped", format!("{}: {reason}", walked.step.title));
        }
    }
    for taken in &case.job.readings {
        if let Answer::CouldNotTell(_) = taken.value {
            let prompt = case
                .job
                .runs
                .iter()
                .find_map(|run| run.flow.reading(&taken.reading));
            let ask = prompt.map_or_else(|| taken.reading.replace('-', " "), |p| p.ask.clone());
            add(
                "Could not be told",
                format!(
                    "{} {}",
                    stopped(&ask),
                    stopped(&sentence(&shown::answer(&taken.value)))
                ),
            );
        }
    }
    for run in &case.job.runs {
        match run.verdict {
            _ if case.is_begun_only(run) => {
                add(
                    "Begun and left at once, nothing tested",
                    format!("{}.", run.flow.title),
                );
            }
            Some(Verdict::Left) => add("Left before its end", format!("{}.", run.flow.title)),
            None => add("Not finished", format!("{}.", run.flow.title)),
            Some(_) => {}
        }
    }
    for flow in given_up(case) {
        add("Begun and given up", format!("{}.", flow.replace('-', " ")));
    }
    let codes = case.job.codes_left();
    if !codes.is_empty() {
        let head = if codes.len() == 1 {
            "Code not tested for"
        } else {
            "Codes not tested for"
        };
        items.push(Item {
            head: head.to_owned(),
            text: format!(
                "{}. No test that was made is for this; another fault may have stored it.",
                codes.join(", ")
            ),
            more: Vec::new(),
        });
    }
    items.extend(unmended::items(case));
    let undecided = undecided(case);
    if !undecided.is_empty() {
        items.push(Item {
            head: "Neither found nor ruled out".to_owned(),
            text: format!("{}.", undecided.join("; ")),
            more: Vec::new(),
        });
    }
    items
}

/// Flows that were begun and are not on the way that was walked in the end.
fn given_up<'j>(case: &Case<'j>) -> BTreeSet<&'j str> {
    let begun = case.events.iter().filter_map(|event| match &event.what {
        What::FlowBegun { flow, .. } => Some(flow.as_str()),
        _ => None,
    });
    begun
        .filter(|flow| !case.job.runs.iter().any(|run| run.flow.id == **flow))
        .collect()
}

/// Causes of the flows walked that were neither found nor repaired nor ruled out. After a proven repair they
/// are of no interest any more.
fn undecided(case: &Case) -> Vec<String> {
    let job = case.job;
    if job
        .runs
        .last()
        .is_none_or(|run| run.verdict == Some(Verdict::Proved))
    {
        return Vec::new();
    }
    let (ruled_out, found) = (job.ruled_out(), job.found());
    let waiting = unmended::waiting(job);
    let mut names: Vec<String> = Vec::new();
    for cause in job.runs.iter().flat_map(|run| &run.flow.causes) {
        let known = ruled_out.iter().any(|(_, c, _)| c.id == cause.id)
            || found.iter().any(|f| f.cause.id == cause.id)
            || waiting.iter().any(|w| w.id == cause.id)
            || job.repairs.iter().any(|r| r.cause == cause.id);
        let name = named(&cause.id, &cause.name);
        if !known && !names.contains(&name) && !cause.repair.is_empty() {
            names.push(name);
        }
    }
    names
}
