//! Choices with what the evidence said beside them: the flow's way taken all the same, or the
//! evidence's way.

use super::{act, not_now};
use crate::engine::action::Action;
use crate::engine::elsewhere;
use crate::engine::event::What;
use crate::engine::job::Job;
use crate::engine::refusal::Refusal;
use crate::engine::standing::Desk;
use crate::engine::weighed::{Chosen, Weighed};
use crate::engine::words;
use crate::flow::load::causes::NOT_LISTED;
use crate::flow::model::Step;
use crate::flow::target::Target;

/// Ends the step as the action does, and keeps what the evidence said beside it.
pub(super) fn weigh(
    job: &Job,
    desk: Desk,
    weighed: &Weighed,
    action: Action,
) -> Result<Vec<What>, Refusal> {
    if !matches!(action, Action::Follow | Action::Take { .. }) {
        return not_now("the evidence is weighed against what ends a step");
    }
    let mut events = act(job, desk, action)?;
    for event in &mut events {
        if let What::OutcomeTaken(taken) = event {
            taken.weighed = Some(Box::new(weighed.clone().with(Chosen::Flow)));
        }
    }
    Ok(events)
}

/// Leaves the step for where the evidence says.
pub(super) fn go_by(
    job: &Job,
    step: &Step,
    go: &Target,
    weighed: Box<Weighed>,
    taken_down: bool,
) -> Result<Vec<What>, Refusal> {
    let mut weighed = weighed;
    if weighed.taken == Chosen::Flow {
        weighed.taken = Chosen::Evidence;
    }
    refuse(job, step, go)?;
    if let Target::Step(to) = go {
        let left_over = elsewhere::left_over(job, to);
        if !left_over.is_empty() && !taken_down {
            return not_now(format!("take down first: {}", left_over.join("; ")));
        }
        weighed.taken_down = left_over;
    }
    let mut events = super::ending::end(job, step, None, go, None);
    for event in &mut events {
        if let What::OutcomeTaken(taken) = event {
            taken.weighed = Some(weighed.clone());
        }
    }
    Ok(events)
}

/// Why the walk may not go there from a step.
pub(in crate::engine) fn refuse(job: &Job, step: &Step, go: &Target) -> Result<(), Refusal> {
    let run = job.run();
    match go {
        Target::Step(to) if *to == step.id => not_now("the walk is at this step"),
        Target::Step(to) => match elsewhere::missing(job, to)?.first() {
            None => Ok(()),
            Some(first) => {
                let title = words::step_title(run, to);
                not_now(format!("before \"{title}\", first: {}", first.title))
            }
        },
        Target::Repair(cause) => match run.and_then(|run| run.flow.cause(cause)) {
            Some(cause) if cause.id != NOT_LISTED => Ok(()),
            _ => not_now("this flow lists no such cause to repair"),
        },
        Target::Flow(flow) if run.is_some_and(|run| run.flow.id == *flow) => {
            not_now("that flow is being walked")
        }
        Target::Flow(_) => Ok(()),
        Target::Done => not_now("a flow ends by its own outcomes only"),
    }
}
