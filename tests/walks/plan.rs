//! Ways through a flow: which steps and outcomes lead from a beginning to one outcome.

use std::collections::{BTreeMap, VecDeque};

use ruleout::flow::answer::Answer;
use ruleout::flow::condition::Truth;
use ruleout::flow::model::{Flow, Outcome};
use ruleout::flow::target::Target;
use ruleout::flow::values::Values;
use ruleout::flow::working::{Known, picture};

/// How a step is to end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Want {
    /// By the outcome at this place of its list.
    Outcome(usize),
    /// By its way out where the readings are not valid.
    NotValid,
    /// By its way out where nothing can be told.
    Unsure,
}

/// One step of a way: its place in the flow, and how it is to end.
pub type Stop = (usize, Want);

/// Where a stop leads.
pub fn target(flow: &Flow, (step, want): Stop) -> Option<&Target> {
    let step = &flow.steps[step];
    match want {
        Want::Outcome(n) => Some(&step.outcomes[n].go),
        Want::NotValid => step.invalid.as_ref().map(|d| &d.go),
        Want::Unsure => step.unsure.as_ref().map(|d| &d.go),
    }
}

/// What is known of a test before anything is read: its number, and the facts that are settled.
pub fn beforehand(flow: &Flow, test: u32, facts: &BTreeMap<String, Answer>) -> Values {
    let known = Known {
        answers: facts,
        test_number: test,
    };
    picture(flow, known).values
}

/// Whether an outcome can apply at all, whatever is read.
pub fn possible(outcome: &Outcome, beforehand: &Values) -> bool {
    outcome.when.truth(beforehand) != Truth::No
}

/// Simple ways from a step to a stop, shortest first, at most `most` of them.
pub fn ways(
    flow: &Flow,
    from: usize,
    to: Stop,
    beforehand: &Values,
    most: usize,
) -> Vec<Vec<Stop>> {
    let mut found = Vec::new();
    let mut open: VecDeque<(usize, Vec<Stop>)> = VecDeque::from([(from, Vec::new())]);
    // Ways are simple, so this ends; the cap keeps a flow with many branches quick.
    let mut looked_at = 0;
    while let Some((here, way)) = open.pop_front() {
        looked_at += 1;
        if here == to.0 {
            let mut way = way.clone();
            way.push(to);
            found.push(way);
            if found.len() == most {
                break;
            }
            continue;
        }
        if looked_at > 4_000 {
            break;
        }
        for (n, outcome) in flow.steps[here].outcomes.iter().enumerate() {
            let Target::Step(id) = &outcome.go else {
                continue;
            };
            let next = flow.steps.iter().position(|s| s.id == *id).unwrap();
            let been = next == here || way.iter().any(|(step, _)| *step == next);
            if been || !possible(outcome, beforehand) {
                continue;
            }
            let mut longer = way.clone();
            longer.push((here, Want::Outcome(n)));
            open.push_back((next, longer));
        }
    }
    found
}
