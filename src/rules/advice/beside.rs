//! The flow's own way from here, and whether the evidence would go another one.

use super::ways::Way;
use crate::engine::elsewhere;
use crate::engine::job::{Job, Station};
use crate::engine::judge;
use crate::engine::saving;
use crate::flow::choice::{Choice, choose};
use crate::flow::model::{Flow, Step};
use crate::flow::target::Target;
use crate::flow::working::Picture;
use crate::rules::evidence::inquiry::Inquiry;
use crate::rules::evidence::next;
use crate::rules::evidence::reasons::SURE;
use crate::rules::suggest;

/// The flow's way beside the evidence's.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Beside {
    /// Where the walk stands.
    pub here: Here,
    /// Where the flow leads, if it leads anywhere by itself.
    pub flow: Option<FlowWay>,
    /// Whether the evidence would do something else.
    pub differs: bool,
}

/// Where the walk stands, as far as a choice goes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Here {
    /// At a step of which nothing was read yet.
    Arrived,
    /// In the middle of a step's readings.
    Reading,
    /// At a step that was judged: its outcome is to be taken.
    Judged,
    /// At a repair, at the way to another flow, or nowhere.
    #[default]
    Elsewhere,
}

/// Where the flow leads.
#[derive(Clone, Debug, PartialEq)]
pub struct FlowWay {
    /// In words.
    pub words: String,
    /// Where to; absent: the present step itself.
    pub go: Option<Target>,
    /// Expected minutes to a proven repair that way, where the evidence can say it.
    pub expected: Option<f64>,
}

pub(super) fn beside(job: &Job, inquiry: &Inquiry, ways: &[Way]) -> Beside {
    let mut out = Beside {
        here: here(job),
        ..Beside::default()
    };
    let Some(run) = job.run() else {
        return out;
    };
    let Some((shown, picture)) = leads(job) else {
        return out;
    };
    let way = follow(&run.flow, &shown, &picture);
    let last = way.last().unwrap_or(&shown);
    let expected = expected(inquiry, &run.flow, last);
    let not_ready = || is_taken_again(job, &shown) || is_unready(job, inquiry);
    // What the control unit knows is saved before anything else is thought of.
    let saves = saving::is_due(job) && saving::is_here(job);
    let settled = saves || proves(job, &shown) || out.here == Here::Judged && not_ready();
    let untold = expected.is_none() && measures(&run.flow, last);
    out.differs = ways.first().is_some_and(|best| {
        let for_a_guess = untold && is_guess(inquiry, best);
        !settled && !for_a_guess && !same(job, best, &way)
    });
    out.flow = Some(FlowWay {
        words: suggest::target(&run.flow, &shown),
        go: (out.here == Here::Judged).then(|| shown.clone()),
        expected,
    });
    out
}

/// Whether the flow takes the same step again: what was read does not count yet, be it for the gear
/// that is to be mended first.
fn is_taken_again(job: &Job, to: &Target) -> bool {
    let picture = judge::picture_now(job).unwrap_or_default();
    let choice = judge::choice_now(job, &picture);
    let here = job.visit().map(|visit| visit.station.clone());
    let same = matches!((to, here), (Target::Step(to), Some(Station::Step(here))) if *to == here);
    same || matches!(choice, Some(Choice::NotValid { .. }))
}

/// Whether the walk stands at a step that only prepares, and what was read there says that nothing is ready: a smoke
/// unit that fails its own check is seen to before anything is measured with it.
fn is_unready(job: &Job, inquiry: &Inquiry) -> bool {
    let (Some(run), Some(visit)) = (job.run(), job.visit()) else {
        return false;
    };
    let flows = &inquiry.joined.flows;
    inquiry.steps.unready.iter().any(|(flow, step)| {
        let here = Station::Step(flows[*flow].steps[*step].id.clone());
        flows[*flow].id == run.flow.id && visit.station == here
    })
}

/// Whether a way is a repair on a probability that is not sure.
fn is_guess(inquiry: &Inquiry, way: &Way) -> bool {
    let Some(Target::Repair(id)) = &way.go else {
        return false;
    };
    let causes = &inquiry.joined.causes;
    let cause = causes.iter().position(|cause| cause.id == *id);
    cause.is_some_and(|cause| inquiry.explains[cause] < SURE)
}

/// Whether something is read there. Of a measurement that no cause says anything about, the evidence
/// cannot tell what it is worth; that is no reason to skip it for a guess.
fn measures(flow: &Flow, to: &Target) -> bool {
    let step = match to {
        Target::Step(id) => flow.step(id),
        _ => None,
    };
    step.is_some_and(|step| !step.record.is_empty())
}

fn here(job: &Job) -> Here {
    let Some(visit) = job.visit() else {
        return Here::Elsewhere;
    };
    if !matches!(visit.station, Station::Step(_)) {
        return Here::Elsewhere;
    }
    let picture = judge::picture_now(job).unwrap_or_default();
    match judge::choice_now(job, &picture) {
        Some(Choice::Incomplete {
            read_at: Some(_), ..
        }) => Here::Judged,
        Some(Choice::Incomplete { .. }) if job.taken_in(visit.since_seq).next().is_none() => {
            Here::Arrived
        }
        Some(Choice::Incomplete { .. }) => Here::Reading,
        _ => Here::Judged,
    }
}

/// Where the flow leads from here: by the present step's outcome, or, while it is not read in
/// whole, to the step itself.
fn leads(job: &Job) -> Option<(Target, Picture)> {
    let run = job.run()?;
    let picture = judge::picture_now(job)?;
    let to = match &run.visit()?.station {
        // What is repaired already is no way from here.
        Station::Repair(_) if is_done(job) => return None,
        Station::Repair(cause) => Target::Repair(cause.clone()),
        Station::LedTo(flow) => Target::Flow(flow.clone()),
        Station::End => return None,
        Station::Step(id) => match judge::choice_now(job, &picture)? {
            Choice::Incomplete { read_at: None, .. } => Target::Step(id.clone()),
            choice => choice.target()?.clone(),
        },
    };
    Some((to, picture))
}

/// Whether the repair at which the walk stands was made.
fn is_done(job: &Job) -> bool {
    let visit = job.visit().map_or(0, |visit| visit.since_seq);
    let mut repairs = job.repairs.iter();
    repairs.any(|repair| repair.visit == visit && repair.done.is_some())
}

/// A flow that ends with a proof is not weighed: the readings themselves said so.
fn proves(job: &Job, go: &Target) -> bool {
    let picture = judge::picture_now(job).unwrap_or_default();
    let proved = match judge::choice_now(job, &picture) {
        Some(Choice::Matches(outcome)) => outcome.proved,
        _ => false,
    };
    *go == Target::Done && proved
}

/// The stations that the flow goes through without anything being read: a step that only judges,
/// or only prepares, leads on by what is known.
fn follow(flow: &Flow, from: &Target, picture: &Picture) -> Vec<Target> {
    let mut way = vec![from.clone()];
    while let Some(Target::Step(id)) = way.last()
        && let Some(step) = flow.step(id).filter(|step| step.record.is_empty())
        && let Some(next) = choose(flow, step, picture).target()
        && !way.contains(next)
    {
        way.push(next.clone());
    }
    way
}

/// Whether the evidence's way begins where the flow's way leads.
fn same(job: &Job, best: &Way, way: &[Target]) -> bool {
    let ends = |wanted: fn(&Target) -> bool| way.last().is_some_and(wanted);
    let Some(go) = &best.go else {
        return ends(|to| matches!(to, Target::Flow(_) | Target::Done));
    };
    if way.contains(go) {
        return true;
    }
    let Target::Step(step) = go else {
        return false;
    };
    let missing: Vec<&Step> = elsewhere::missing(job, step).unwrap_or_default();
    way.iter().any(|to| match to {
        Target::Step(id) => missing.iter().any(|step| step.id == *id),
        _ => false,
    })
}

/// What the evidence expects of the flow's way. Another flow, and an end without proof, are handing
/// the car on as far as the flows of this job know.
fn expected(inquiry: &Inquiry, flow: &Flow, to: &Target) -> Option<f64> {
    let step = match to {
        Target::Step(id) => next::Step::Test(test(inquiry, flow, id)?),
        Target::Repair(id) => {
            let causes = &inquiry.joined.causes;
            next::Step::Repair(causes.iter().position(|cause| cause.id == *id)?)
        }
        Target::Flow(_) | Target::Done => next::Step::HandOn,
    };
    let listed = inquiry.candidates.iter().find(|c| c.step == step);
    listed
        .map(|candidate| candidate.expected)
        .or_else(|| inquiry.plan().expected(step, &inquiry.explaining))
}

/// The test of a step; of one that only prepares, the best of those that it serves.
fn test(inquiry: &Inquiry, flow: &Flow, id: &str) -> Option<usize> {
    let at = inquiry.joined.flows.iter().position(|f| f.id == flow.id)?;
    let step = inquiry.joined.flows[at]
        .steps
        .iter()
        .position(|s| s.id == id)?;
    let readings = &inquiry.steps.readings;
    let own = readings
        .iter()
        .position(|r| (r.flow, r.step) == (at, step) && !r.done);
    own.or_else(|| {
        let made = inquiry
            .steps
            .made_at
            .iter()
            .position(|m| *m == (at, step))?;
        let serves = |test: &usize| readings[*test].needs.has(made) && !readings[*test].done;
        let listed = inquiry.candidates.iter().filter_map(|c| match c.step {
            next::Step::Test(test) | next::Step::SetUp(test) => Some(test),
            _ => None,
        });
        listed.into_iter().find(serves)
    })
}
