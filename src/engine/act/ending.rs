//! Ending a step, as the rules suggest, otherwise, or not at all; and ending a flow.

use super::not_now;
use crate::engine::event::{OutcomeTaken, Suggested, Verdict, What};
use crate::engine::job::{How, Job, Run, Station, outcome_of};
use crate::engine::refusal::Refusal;
use crate::engine::skip::{self, Ways};
use crate::engine::{judge, words};
use crate::flow::choice::Choice;
use crate::flow::model::{Outcome, Phase, Step};
use crate::flow::target::Target;

/// Takes what the rules suggest.
pub(super) fn follow(job: &Job, step: &Step) -> Result<Vec<What>, Refusal> {
    let picture = judge::picture_now(job).unwrap_or_default();
    let Some(choice) = judge::choice_now(job, &picture) else {
        return not_now("no step is being walked");
    };
    match &choice {
        Choice::Matches(outcome) => {
            refuse_unproved(job, Some(outcome))?;
            Ok(end(job, step, Some(outcome), &outcome.go, None))
        }
        Choice::Unsure {
            detour: Some(detour),
            ..
        }
        | Choice::NotValid {
            detour: Some(detour),
            ..
        } => Ok(end(job, step, None, &detour.go, None)),
        Choice::Unsure { .. } => not_now(
            "it cannot be told from these readings: repeat one of them, or choose an outcome and say why",
        ),
        Choice::NotValid { why, .. } => not_now(format!(
            "the readings are not valid ({why}): take them again, or choose an outcome and say why"
        )),
        Choice::Incomplete {
            read_at: Some(go), ..
        } => Ok(end(job, step, None, go, None)),
        Choice::Incomplete {
            missing,
            read_at: None,
        } => {
            let names = missing
                .iter()
                .map(|id| id.replace('-', " "))
                .collect::<Vec<_>>();
            not_now(format!("still to be read: {}", names.join(", ")))
        }
        Choice::NoMatch => {
            not_now("no outcome of this step fits these readings: choose one and say why")
        }
    }
}

pub(super) fn take(
    job: &Job,
    step: &Step,
    outcome: &str,
    reason: &str,
) -> Result<Vec<What>, Refusal> {
    let Some(outcome) = step.outcomes.iter().find(|o| o.id == outcome) else {
        return not_now("this step has no such outcome");
    };
    let picture = judge::picture_now(job).unwrap_or_default();
    let matches = matches!(
        judge::choice_now(job, &picture),
        Some(Choice::Matches(suggested)) if suggested.id == outcome.id
    );
    let reason = reason.trim();
    if !matches && reason.is_empty() {
        return Err(Refusal::NeedsReason(
            "this is not what the flow suggests: write why".to_owned(),
        ));
    }
    refuse_unproved(job, Some(outcome))?;
    if !matches && proves(outcome) {
        return not_now(
            "proof is what the readings say and no choice: read again what does not fit, or leave the flow and hand over without proof",
        );
    }
    let reason = (!matches).then(|| reason.to_owned());
    Ok(end(job, step, Some(outcome), &outcome.go, reason))
}

/// Whether an outcome says that a repair is proved.
fn proves(outcome: &Outcome) -> bool {
    outcome.proved && outcome.go == Target::Done
}

/// A repair that was made in the test that is walked now: nothing can be proved before the test
/// is repeated from the start.
pub(in crate::engine) fn refuse_unproved(
    job: &Job,
    outcome: Option<&Outcome>,
) -> Result<(), Refusal> {
    if outcome.is_none_or(|o| !proves(o)) {
        return Ok(());
    }
    if job.repaired_in_this_test() {
        return not_now(
            "a repair was made in this test: go forward to it, and repeat the test from the start; only that proves it",
        );
    }
    Ok(())
}

/// Nothing is built on a step that no longer leads here: not the next step, and no repair.
pub(super) fn refuse_unfounded(job: &Job) -> Result<(), Refusal> {
    match job.no_longer_follows() {
        None => Ok(()),
        Some((run, visit)) => not_now(words::no_longer_follows(run, visit)),
    }
}

/// The events that end a step: the outcome, and the flow's end where it leads there.
pub(super) fn end(
    job: &Job,
    step: &Step,
    outcome: Option<&Outcome>,
    go: &Target,
    reason: Option<String>,
) -> Vec<What> {
    let Some(run) = job.run() else {
        return Vec::new();
    };
    let picture = judge::picture_now(job).unwrap_or_default();
    let choice = judge::choice_now(job, &picture);
    let suggested = choice.as_ref().map_or(Suggested::NoMatch, judge::suggested);
    let unread = match choice {
        Some(Choice::Incomplete { missing, .. }) => missing,
        _ => Vec::new(),
    };
    let mut events = vec![What::OutcomeTaken(OutcomeTaken {
        step: step.id.clone(),
        outcome: outcome.map(|o| o.id.clone()),
        go: go.clone(),
        suggested,
        reason,
        unread,
        worked: judge::record_worked(&run.flow, step, &picture),
        weighed: None,
    })];
    if *go == Target::Done {
        events.push(close(run, verdict_of_outcome(outcome)));
    }
    events
}

pub(super) fn skip(
    job: &Job,
    step: &Step,
    reason: String,
    to: Option<Target>,
) -> Result<Vec<What>, Refusal> {
    if matches!(step.phase, Phase::Isolate | Phase::BlockOff) {
        return not_now(
            "this step makes the car safe or fit to test, and later steps count on it: do it, or leave the flow; where it is done already, go on",
        );
    }
    let go = match (skip::ways(step), to) {
        (Ways::Nowhere, _) => {
            return not_now(
                "without this step there is nothing to go on to: take the outcome that you mean and say why, or leave the flow",
            );
        }
        (Ways::To(go), None) => go,
        (Ways::To(go), Some(to)) if go == to => go,
        (Ways::Choose(ways), Some(to)) if ways.contains(&to) => to,
        (Ways::Choose(ways), _) => {
            let ways: Vec<String> = ways.iter().map(|go| words::target(job.run(), go)).collect();
            return not_now(format!(
                "where the walk goes on depends on this step: say where ({})",
                ways.join("; or ")
            ));
        }
        (Ways::To(go), Some(_)) => {
            return not_now(format!(
                "a skip of this step leads {}",
                words::target(job.run(), &go)
            ));
        }
    };
    if reason.trim().is_empty() {
        return Err(Refusal::NeedsReason(
            "write why the step is skipped".to_owned(),
        ));
    }
    let step = step.id.clone();
    Ok(vec![What::StepSkipped { step, go, reason }])
}

/// How a flow ends where its walk stands.
pub(in crate::engine) fn verdict_of(run: &Run) -> Verdict {
    let before = run.at.checked_sub(1).and_then(|at| run.path.get(at));
    let how = before.and_then(|visit| Some(&visit.left.as_ref()?.how));
    match (run.visit().map(|visit| &visit.station), how) {
        (Some(Station::End), Some(How::Outcome(taken))) => {
            verdict_of_outcome(outcome_of(run, taken))
        }
        _ => verdict_of_leaving(run),
    }
}

pub(super) fn verdict_of_outcome(outcome: Option<&Outcome>) -> Verdict {
    if outcome.is_some_and(|o| o.proved) {
        Verdict::Proved
    } else {
        Verdict::RuledOut
    }
}

pub(super) fn verdict_of_leaving(run: &Run) -> Verdict {
    match run.visit().map(|v| &v.station) {
        Some(Station::LedTo(_)) => Verdict::LedOn,
        _ => Verdict::Left,
    }
}

pub(super) fn close(run: &Run, result: Verdict) -> What {
    What::FlowClosed {
        flow: run.flow.id.clone(),
        result,
    }
}
