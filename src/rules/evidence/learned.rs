//! What the workshop's own jobs teach: odds moved by causes that were proved.
//!
//! A job counts when it was handed over with a repair proved by its retest; one that was closed
//! without proof says nothing. The author's odds weigh as ten jobs:
//! `odds = (10 * author + found) / (10 + jobs)`, the mean of a Beta distribution that begins with
//! the author's odds. A slice by complaint begins with what the flow's other jobs come to: each job
//! counts once. That the author is worth ten jobs is an assumption of ours.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use crate::engine::event::{PartWas, Verdict};
use crate::engine::job::Job;
use crate::flow::load::causes::NOT_LISTED;
use crate::flow::model::Flow;

/// Jobs that the author's odds are worth.
pub const AUTHOR: f64 = 10.0;

/// A closed job with a proved cause, as far as counting goes.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Proved {
    /// The flows that were walked.
    pub flows: BTreeSet<String>,
    /// The codes and symptoms that the car came with.
    pub complaint: BTreeSet<String>,
    /// The causes that were confirmed.
    pub causes: BTreeSet<String>,
}

/// What a job teaches; nothing where it was not closed with a proof.
pub fn proved(job: &Job) -> Option<Proved> {
    job.handed_over.as_ref()?;
    let proof = job
        .runs
        .iter()
        .any(|run| run.verdict == Some(Verdict::Proved));
    if !proof {
        return None;
    }
    let opening = job.opening.as_ref()?;
    let done: Vec<_> = job
        .repairs
        .iter()
        .filter_map(|r| Some((r, r.done.as_ref()?)))
        .collect();
    let last = done.len().checked_sub(1)?;
    // The last repair is what the passed retest proves, unless a good part came out. One before it was in vain, or was
    // not all; it counts where the part was plainly bad.
    let proved = |n: usize, part: PartWas| {
        part == PartWas::Bad || n == last && part == PartWas::CouldNotTell
    };
    let causes: BTreeSet<String> = done
        .iter()
        .enumerate()
        .filter(|(n, (_, (_, part)))| proved(*n, *part))
        .map(|(_, (repair, _))| repair.cause.clone())
        .collect();
    // What was cured without a bad part teaches nothing, least of all that it was on no list.
    if causes.is_empty() {
        return None;
    }
    let codes = opening.codes.iter().map(|code| code.trim().to_uppercase());
    let symptoms = opening.symptoms.iter().map(|s| s.trim().to_lowercase());
    Some(Proved {
        flows: walked(job),
        complaint: codes.chain(symptoms).filter(|c| !c.is_empty()).collect(),
        causes,
    })
}

/// The flows in which anything was read or answered: one begun by a slip and left at once has seen no car.
fn walked(job: &Job) -> BTreeSet<String> {
    let read_in = |visit: u64| job.taken_in(visit).next().is_some();
    let runs = job.runs.iter();
    let walked = runs.filter(|run| run.path.iter().any(|visit| read_in(visit.since_seq)));
    walked.map(|run| run.flow.id.clone()).collect()
}

/// A cause's odds, as the author gives them and as the jobs have moved them.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Learned {
    /// The cause.
    pub id: String,
    /// The author's odds.
    pub author: f64,
    /// The odds with the jobs counted.
    pub learned: f64,
    /// In how many jobs it was confirmed.
    pub found: u32,
    /// Of how many jobs.
    pub jobs: u32,
}

/// The odds of a flow's causes by all its jobs, or by those with a complaint in common.
///
/// `complaint` may be empty: then all jobs of the flow count alike.
pub fn learned(flow: &Flow, complaint: &BTreeSet<String>, jobs: &[Proved]) -> Vec<Learned> {
    let of_flow = jobs.iter().filter(|job| job.flows.contains(&flow.id));
    if complaint.is_empty() {
        return count(flow, &of_flow.collect::<Vec<_>>(), None);
    }
    let (alike, others): (Vec<&Proved>, Vec<&Proved>) =
        of_flow.partition(|job| !job.complaint.is_disjoint(complaint));
    // Each job counts once.
    count(flow, &alike, Some(&count(flow, &others, None)))
}

fn count(flow: &Flow, jobs: &[&Proved], before: Option<&[Learned]>) -> Vec<Learned> {
    let total = u32::try_from(jobs.len()).unwrap_or(u32::MAX);
    flow.causes
        .iter()
        .enumerate()
        .map(|(n, cause)| {
            let has = |job: &&&Proved| {
                if cause.id == NOT_LISTED {
                    // What was proved by another flow was, for this one, not on the list.
                    !job.causes.iter().any(|id| flow.cause(id).is_some())
                } else {
                    job.causes.contains(&cause.id)
                }
            };
            let found = u32::try_from(jobs.iter().filter(has).count()).unwrap_or(u32::MAX);
            let prior = before.map_or(cause.odds, |before| before[n].learned);
            Learned {
                id: cause.id.clone(),
                author: cause.odds,
                learned: (AUTHOR * prior + f64::from(found)) / (AUTHOR + f64::from(total)),
                found,
                jobs: total,
            }
        })
        .collect()
}

/// The odds by the id of the cause, for the reckoning.
pub fn odds(learned: &[Learned]) -> BTreeMap<String, f64> {
    learned.iter().map(|l| (l.id.clone(), l.learned)).collect()
}
