//! A car walked through a flow by the flow's own outcomes, as a technician would who believes every one of them.

use std::collections::{BTreeMap, BTreeSet};

use crate::flow::answer::Answer;
use crate::flow::choice::{Choice, choose};
use crate::flow::model::Step;
use crate::flow::target::Target;
use crate::flow::working::{Known, picture};

use super::car::Car;
use super::drive::Drive;
use super::plan::Plan;

/// A walk that has done so many steps goes round.
const MOST_STEPS: usize = 120;
/// Nobody repairs more often than this on one complaint.
const MOST_REPAIRS: usize = 6;

/// How a walk ended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum End {
    /// The flow is done; whether its author calls the complaint proved cured.
    Done {
        /// The complaint is proved cured.
        proved: bool,
    },
    /// On to another flow.
    OtherFlow(String),
    /// At this step nothing leads on: readings are missing, or no outcome fits.
    Stuck(String),
    /// It goes round; this step was next.
    GoesRound(String),
    /// More repairs than anybody does.
    TooManyRepairs,
}

/// A walk.
#[derive(Clone, Debug, PartialEq)]
pub struct Walk {
    /// How it ended.
    pub end: End,
    /// The steps in the order in which they were done, each with the outcome that was taken.
    pub steps: Vec<(String, String)>,
    /// The repairs that were ordered, in their order.
    pub repairs: Vec<String>,
    /// Minutes of steps, set-ups and repairs.
    pub minutes: f64,
    /// Nothing that makes the complaint is left on the car.
    pub cured: bool,
}

impl Walk {
    /// Whether a cause was repaired, and the retest proved the complaint cured, which it is.
    pub fn found_and_proved(&self, cause: &str) -> bool {
        self.cured
            && self.end == (End::Done { proved: true })
            && self.repairs.iter().any(|repaired| repaired == cause)
    }
}

/// Walks a car through its flow. Every repair takes.
pub fn walk(plan: &Plan, car: Car) -> Walk {
    walk_with(plan, car, |_, _| true)
}

/// Walks a car through its flow; `takes` says whether the n-th repair, of this cause, takes.
pub fn walk_with(plan: &Plan, car: Car, takes: impl Fn(usize, &str) -> bool) -> Walk {
    let facts = car.facts.clone();
    let mut walk = Walk {
        end: End::Stuck(String::new()),
        steps: Vec::new(),
        repairs: Vec::new(),
        minutes: 0.0,
        cured: false,
    };
    let mut drive = Drive::new(plan, car);
    let mut answers = facts.clone();
    let mut in_place: BTreeSet<String> = BTreeSet::new();
    let mut here = plan.flow.steps.first();
    while let Some(step) = here {
        if walk.steps.len() >= MOST_STEPS {
            walk.end = End::GoesRound(step.id.clone());
            break;
        }
        walk.minutes += minutes(step, &mut in_place);
        let judged = judge(plan, &mut drive, step, &mut answers);
        walk.steps.push((step.id.clone(), judged.outcome));
        here = match judged.target {
            None => {
                walk.end = End::Stuck(step.id.clone());
                None
            }
            Some(Target::Step(id)) => plan.flow.step(&id),
            Some(Target::Done) => {
                walk.end = End::Done {
                    proved: judged.proved,
                };
                None
            }
            Some(Target::Flow(id)) => {
                walk.end = End::OtherFlow(id);
                None
            }
            // Nobody does another.
            Some(Target::Repair(_)) if walk.repairs.len() >= MOST_REPAIRS => {
                walk.end = End::TooManyRepairs;
                None
            }
            Some(Target::Repair(cause)) => {
                drive.repair(&cause, takes(walk.repairs.len(), &cause));
                walk.minutes += plan.flow.cause(&cause).map_or(0.0, |c| c.minutes);
                walk.repairs.push(cause);
                answers.clone_from(&facts);
                in_place.clear();
                let from = plan.flow.retest.as_ref().map(|retest| retest.from.as_str());
                from.and_then(|from| plan.flow.step(from))
            }
        };
    }
    walk.cured = !drive.complains();
    walk
}

fn minutes(step: &Step, in_place: &mut BTreeSet<String>) -> f64 {
    let set_up = step.set_up.as_ref().map_or(0.0, |set_up| set_up.minutes);
    // What is in place costs nothing the second time.
    let first = step.set_up.is_some() && in_place.insert(step.id.clone());
    step.minutes + if first { set_up } else { 0.0 }
}

/// What a flow makes of a step.
#[derive(Clone, Debug, PartialEq)]
pub struct Judged {
    /// Where it leads on, if anywhere.
    pub target: Option<Target>,
    /// The outcome that was taken, or in brackets why there is none.
    pub outcome: String,
    /// Nothing may be drawn from the readings.
    pub not_valid: bool,
    /// The outcome calls the complaint proved cured.
    pub proved: bool,
}

/// Takes the readings of a step and lets the flow judge them.
pub fn judge(
    plan: &Plan,
    drive: &mut Drive,
    step: &Step,
    answers: &mut BTreeMap<String, Answer>,
) -> Judged {
    let taken = drive.at(step, answers);
    for id in &step.record {
        answers.remove(id);
    }
    answers.extend(taken);
    judge_by(plan, step, answers, drive.test())
}

/// What a flow makes of the answers at a step: where it leads, and by which outcome.
pub fn judge_by(
    plan: &Plan,
    step: &Step,
    answers: &BTreeMap<String, Answer>,
    test_number: u32,
) -> Judged {
    let known = Known {
        answers,
        test_number,
    };
    // Worked values that the step is not judged by cost time and change nothing.
    let judged = plan.judged.get(step.id.as_str()).unwrap_or(plan.flow);
    let picture = picture(judged, known);
    let choice = choose(plan.flow, step, &picture);
    Judged {
        outcome: match &choice {
            Choice::Matches(outcome) => outcome.id.clone(),
            Choice::NotValid { .. } => "(not valid)".to_owned(),
            Choice::Unsure { .. } => "(unsure)".to_owned(),
            Choice::Incomplete { missing, .. } => format!("(missing {})", missing.join(", ")),
            Choice::NoMatch => "(no match)".to_owned(),
        },
        not_valid: matches!(choice, Choice::NotValid { .. }),
        proved: matches!(&choice, Choice::Matches(outcome) if outcome.proved),
        target: choice.target().cloned(),
    }
}
