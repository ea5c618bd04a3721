//! What closed jobs teach about readings: how often each cause showed what.
//!
//! A job counts when it was proved with one cause confirmed, and with what was read in its first test, before any
//! repair: with two causes nobody knows which of them a reading showed. What the author says weighs as twenty jobs:
//! `(20 * author + shown) / (20 + jobs)`, the mean of a Dirichlet distribution. That it is worth twenty is an
//! assumption of ours.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use super::case::BadCase;
use super::finding::{Finding, Kind, NOWHERE, Row, Seen, spread};
use super::joined::{Joined, join};
use super::learned::{Proved, proved};
use super::likelihood::{Before, Source};
use super::of_job;
use super::sets::Set;
use super::told::{Round, read};
use crate::engine::job::Job;
use crate::flow::load::causes::NOT_LISTED;
use crate::flow::model::Flow;
use crate::flow::working::{Known, picture};
use crate::units::preferred::shown_unit;

/// Jobs that what the author says of a reading is worth.
pub const AUTHOR: f64 = 20.0;

/// A closed job with one proved cause: what its first test showed.
#[derive(Clone, Debug)]
pub struct Witness {
    /// Ids of the flows that were walked.
    pub flows: BTreeSet<String>,
    /// The cause.
    pub cause: String,
    /// What was read before any repair.
    pub first: Round,
}

/// What a job shows of its one cause; nothing where it was closed without a proof, or with several causes.
pub fn witness(job: &Job) -> Option<Witness> {
    let proved = proved(job)?;
    let mut causes = proved.causes.into_iter();
    let (Some(cause), None) = (causes.next(), causes.next()) else {
        return None;
    };
    Some(Witness {
        flows: proved.flows,
        cause,
        first: of_job::rounds(job).into_iter().next()?,
    })
}

/// One outcome of a reading with a cause.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Share {
    /// The outcome.
    pub outcome: String,
    /// Its probability by the author.
    pub author: f64,
    /// Its probability with the jobs counted.
    pub learned: f64,
    /// In how many jobs it was shown; one that lay between two outcomes counts for both in parts.
    pub found: f64,
}

/// What a cause shows at a reading, as the jobs have moved it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LearnedRow {
    /// The cause.
    pub cause: String,
    /// The reading or worked value.
    pub reading: String,
    /// Jobs that count.
    pub jobs: u32,
    /// Its outcomes.
    pub outcomes: Vec<Share>,
}

/// Of jobs that were proved, how many had two causes or more: as a rate, beginning with one in twelve, Beta(1, 11).
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Several {
    /// The rate by the author of this program.
    pub before: f64,
    /// The rate with the jobs counted.
    pub learned: f64,
    /// Jobs with two confirmed causes or more.
    pub found: u32,
    /// Of how many jobs.
    pub jobs: u32,
}

/// Counts a flow's jobs by whether one cause was confirmed, or several.
pub fn several(flow: &str, jobs: &[Proved]) -> Several {
    let jobs = || jobs.iter().filter(|job| job.flows.contains(flow));
    let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
    let found = count(jobs().filter(|job| job.causes.len() > 1).count());
    let jobs = count(jobs().count());
    Several {
        before: 1.0 / 12.0,
        learned: (1.0 + f64::from(found)) / (12.0 + f64::from(jobs)),
        found,
        jobs,
    }
}

/// What the jobs say of one reading with one cause.
struct Counted {
    finding: usize,
    cause: usize,
    author: Vec<f64>,
    found: Vec<f64>,
    jobs: u32,
}

impl Counted {
    fn learned(&self, outcome: usize) -> f64 {
        (AUTHOR * self.author[outcome] + self.found[outcome]) / (AUTHOR + f64::from(self.jobs))
    }
}

/// The rows of a flow that some job has moved.
///
/// # Errors
/// [`BadCase`] for a flow without causes.
pub fn rows(flow: &Flow, jobs: &[Witness]) -> Result<Vec<LearnedRow>, BadCase> {
    let joined = join(&[flow], &BTreeMap::new(), 1)?;
    let rows = count(&joined, jobs).into_iter().map(|counted| {
        let named = &joined.findings[counted.finding];
        let share = |(n, outcome): (usize, String)| Share {
            outcome,
            author: counted.author[n],
            learned: counted.learned(n),
            found: counted.found[n],
        };
        let names = outcomes(&named.finding.kind, |si| match named.unit {
            Some(unit) => shown_unit(unit).show(si),
            None => format!("{si:.3}"),
        });
        LearnedRow {
            cause: joined.causes[counted.cause].id.clone(),
            reading: named.id.clone(),
            jobs: counted.jobs,
            outcomes: names.into_iter().enumerate().map(share).collect(),
        }
    });
    Ok(rows.collect())
}

fn outcomes(kind: &Kind, show: impl Fn(f64) -> String) -> Vec<String> {
    match kind {
        Kind::Words(words) => words.clone(),
        Kind::Places(places) => {
            let nowhere = std::iter::once(NOWHERE.to_owned());
            places.iter().cloned().chain(nowhere).collect()
        }
        Kind::Number(edges) => {
            let Some((first, last)) = edges.first().zip(edges.last()) else {
                return vec!["anything".to_owned()];
            };
            let between = edges
                .windows(2)
                .map(|pair| format!("{} to {}", show(pair[0]), show(pair[1])));
            std::iter::once(format!("below {}", show(*first)))
                .chain(between)
                .chain([format!("{} or more", show(*last))])
                .collect()
        }
    }
}

fn count(joined: &Joined, jobs: &[Witness]) -> Vec<Counted> {
    let mut all: BTreeMap<(usize, usize), Counted> = BTreeMap::new();
    for job in jobs {
        let place = joined.causes.iter().position(|c| c.id == job.cause);
        let Some(cause) = place.filter(|n| joined.causes[*n].id != NOT_LISTED) else {
            continue;
        };
        let known = Known {
            answers: &job.first.answers,
            test_number: 1,
        };
        let pictures: Vec<_> = joined.flows.iter().map(|f| picture(f, known)).collect();
        for (finding, named) in joined.findings.iter().enumerate() {
            if !job.flows.contains(&joined.flows[named.flow].id) {
                continue;
            }
            let Some(author) = author(&named.finding, cause) else {
                continue;
            };
            let value = pictures[named.flow].values.get(&named.id);
            let Some(shown) = value
                .and_then(|value| read(named, value).ok())
                .and_then(|seen| shown(&seen, &author))
            else {
                continue;
            };
            let counted = all.entry((cause, finding)).or_insert_with(|| Counted {
                finding,
                cause,
                found: vec![0.0; author.len()],
                author,
                jobs: 0,
            });
            counted.jobs += 1;
            for (sum, weight) in counted.found.iter_mut().zip(shown) {
                *sum += weight;
            }
        }
    }
    all.into_values().collect()
}

/// What the author says that a cause shows, as a distribution.
fn author(finding: &Finding, cause: usize) -> Option<Vec<f64>> {
    match (finding.causes.get(cause)?.as_ref()?, &finding.kind) {
        (Row::Share(shares), _) => Some(shares.clone()),
        (row, Kind::Number(edges)) => Some(spread(edges, row)),
        (Row::Normal(..) | Row::EitherWay(..), _) => None,
    }
}

/// Which outcomes of the row were shown; nothing where that cannot be told. Where several places show, the one that
/// the author expects most is taken to be the cause's, since others show on sound cars too.
fn shown(seen: &Seen, author: &[f64]) -> Option<Vec<f64>> {
    match seen {
        Seen::Weights(weights) => (weights.len() == author.len()).then(|| weights.clone()),
        Seen::Places(seen) => {
            let expected = seen.at.iter().copied().filter(|n| *n + 1 < author.len());
            let place = match expected.max_by(|a, b| author[*a].total_cmp(&author[*b])) {
                Some(place) => place,
                None => author.len().checked_sub(1)?,
            };
            Some(
                (0..author.len())
                    .map(|n| f64::from(u8::from(n == place)))
                    .collect(),
            )
        }
    }
}

/// The words of flows as closed jobs have moved them. Numbers stay the author's: physics knows more of them, and of
/// two causes the one that is said to lie further from healthy must go on to win.
#[derive(Clone, Debug)]
pub struct Taught {
    findings: Vec<Option<Finding>>,
    sets: Vec<Set>,
}

impl Taught {
    /// What the jobs teach about a joint list; nothing where they teach nothing.
    pub fn of(joined: &Joined, jobs: &[Witness]) -> Option<Self> {
        let mut findings: Vec<Option<Finding>> = vec![None; joined.findings.len()];
        for counted in count(joined, jobs) {
            let finding = &joined.findings[counted.finding].finding;
            if matches!(finding.kind, Kind::Number(_)) {
                continue;
            }
            let row = (0..counted.author.len())
                .map(|n| counted.learned(n))
                .collect();
            findings[counted.finding]
                .get_or_insert_with(|| finding.clone())
                .causes[counted.cause] = Some(Row::Share(row));
        }
        findings.iter().any(Option::is_some).then(|| Self {
            findings,
            sets: joined.case.sets.clone(),
        })
    }
}

impl Source for Taught {
    fn likelihood(&self, finding: usize, seen: &Seen, _: &Before) -> Option<Vec<f64>> {
        Some(
            self.findings
                .get(finding)?
                .as_ref()?
                .likelihood(seen, &self.sets),
        )
    }

    fn chance(&self, finding: usize, _: &Before) -> Option<Vec<Vec<f64>>> {
        Some(self.findings.get(finding)?.as_ref()?.chance(&self.sets))
    }
}
