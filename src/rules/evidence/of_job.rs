//! From a job to what the reasoning is told: its flows, and test by test what was read and repaired.

use std::sync::Arc;

use super::share::covers;
use super::told::{Repaired, Round};
use crate::engine::event::Verdict;
use crate::engine::job::{How, Job, Run, Station, Taken, Visit};
use crate::flow::answer::Answer;
use crate::flow::model::{Flow, Phase};

/// The flows of a job in the order in which they were begun, each once.
///
/// One that was left before anything was read in it was opened by mistake: its causes are nobody's suspicion.
pub fn flows(job: &Job) -> Vec<Arc<Flow>> {
    let mut flows: Vec<Arc<Flow>> = Vec::new();
    // Where somebody has stepped back from a flow, another one is walked than the last that was begun.
    let last = job.runs.len().saturating_sub(1);
    let now = job.current.unwrap_or(last);
    let counts = |(n, run): &(usize, &Run)| *n == now || was_walked(job, run);
    for (_, run) in job.runs.iter().enumerate().filter(counts) {
        match flows.iter_mut().find(|known| known.id == run.flow.id) {
            // Begun again, perhaps with a newer text: that one counts.
            Some(known) => *known = Arc::clone(&run.flow),
            None => flows.push(Arc::clone(&run.flow)),
        }
    }
    flows
}

/// Whether something was read or judged in a run that its flow decides by; a step with one way out, such as to save the
/// codes, decides nothing.
fn was_walked(job: &Job, run: &Run) -> bool {
    let decides = |visit: &&Visit| match &visit.station {
        Station::Step(id) => run
            .flow
            .step(id)
            .is_some_and(|step| step.outcomes.len() > 1),
        Station::Repair(_) => true,
        Station::LedTo(_) | Station::End => false,
    };
    run.path.iter().filter(decides).any(|visit| {
        let taken = job.readings.iter().map(|taken| taken.visit);
        let pairs = job.pairs.iter().map(|taken| taken.visit);
        let how = visit.left.as_ref().map(|left| &left.how);
        matches!(how, Some(How::Outcome(_) | How::Retest))
            || taken.chain(pairs).any(|opened| opened == visit.since_seq)
    })
}

/// What was read and repaired, one round for each test up to the present one.
///
/// Only what lies on the way counts, as everywhere. Whether a repair took is left to the retest's
/// readings to say, unless the retest came to its end and did not prove it: then the complaint is still there.
pub fn rounds(job: &Job) -> Vec<Round> {
    (1..=job.test_number().max(1))
        .map(|test| {
            let mut way = job.runs.iter().flat_map(|run| &run.path);
            let answers = way
                .rfind(|visit| visit.test == test)
                .map_or_else(|| job.facts.clone(), |visit| job.answers_at(visit));
            let mut order: Vec<String> = Vec::new();
            for taken in job.readings.iter().filter(|t| t.test == test) {
                if answers.contains_key(&taken.reading) {
                    order.retain(|id| *id != taken.reading);
                    order.push(taken.reading.clone());
                }
            }
            let place = |taken: &&Taken| {
                let mut runs = job.runs.iter();
                let asks = |run: &Run| run.flow.reading(&taken.reading).is_some_and(covers);
                taken.test == test && runs.any(asks)
            };
            let covered =
                job.readings
                    .iter()
                    .filter(place)
                    .filter_map(|taken| match &taken.value {
                        Answer::Choice(place) => Some(place.clone()),
                        _ => None,
                    });
            let covered = covered.collect();
            let done = job.repairs.iter().filter(|r| r.test == test);
            let repaired = done.filter_map(|repair| {
                let (_, part_was) = repair.done.as_ref()?;
                Some(Repaired {
                    cause: repair.cause.clone(),
                    part_was: *part_was,
                    in_vain: failed(job, test + 1),
                })
            });
            Round {
                answers,
                order,
                covered,
                repaired: repaired.collect(),
                proved: proved(job, test),
            }
        })
        .collect()
}

/// Whether a test came to the proof that the complaint is gone.
fn proved(job: &Job, test: u32) -> bool {
    job.runs.iter().any(|run| {
        let last = run.path.get(run.at).map(|visit| visit.test);
        run.verdict == Some(Verdict::Proved) && last == Some(test)
    })
}

/// Whether the retest of a test came to the step that can prove the complaint cured, and that step's own readings
/// said otherwise.
fn failed(job: &Job, test: u32) -> bool {
    let visits = job
        .runs
        .iter()
        .flat_map(|run| run.path.iter().map(move |visit| (run, visit)));
    visits
        .filter(|(_, visit)| visit.test == test)
        .any(|(run, visit)| {
            let Station::Step(id) = &visit.station else {
                return false;
            };
            let step = run.flow.step(id).filter(|step| step.phase == Phase::Retest);
            let taken = match visit.left.as_ref().map(|left| &left.how) {
                Some(How::Outcome(taken)) => taken.outcome.as_ref(),
                _ => None,
            };
            step.zip(taken).is_some_and(|(step, taken)| {
                let ends = step.outcomes.iter().any(|outcome| outcome.proved);
                let mut said = step.outcomes.iter().filter(|outcome| outcome.id == *taken);
                ends && said.any(|outcome| !outcome.proved)
            })
        })
}
