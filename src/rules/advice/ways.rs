//! What can be done next, each with its minutes, what comes before it, and what it can lead to.

use crate::engine::elsewhere;
use crate::engine::job::Job;
use crate::engine::judge;
use crate::flow::cautions;
use crate::flow::choice::Choice;
use crate::flow::target::Target;
use crate::rules::evidence::inquiry::Inquiry;
use crate::rules::evidence::next::{Candidate, Step};
use crate::rules::evidence::reasons::{self, Suggestion, choice};

/// The most ways that are listed.
const MOST: usize = 9;

/// One thing that can be done next.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    /// In words.
    pub words: String,
    /// Where it leads from here; absent: hand the car on.
    pub go: Option<Target>,
    /// The step, where it is one: its flow and its id.
    pub step: Option<(String, String)>,
    /// The step of this flow to be done first, where something is not in place: its id and title.
    pub first: Option<(String, String)>,
    /// Its own minutes, with what must be set up for it.
    pub minutes: f64,
    /// Expected minutes to a proven repair if it is done first.
    pub expected: f64,
    /// Titles of further steps that its set-up serves.
    pub serves: Vec<String>,
    /// Titles of the cautions before it.
    pub cautions: Vec<String>,
    /// What it can lead to, the most probable first.
    pub branches: Vec<Branch>,
    /// Why.
    pub because: String,
}

/// What a way can lead to.
#[derive(Clone, Debug, PartialEq)]
pub struct Branch {
    /// The outcomes, in words.
    pub outcomes: Vec<String>,
    /// Their probability.
    pub probability: f64,
    /// What would be done then.
    pub then: String,
}

/// All candidates in the order of the reckoning, the suggestion first. A step that is read in
/// whole is none any more.
pub(super) fn ways(job: &Job, inquiry: &Inquiry) -> Vec<Way> {
    let chosen = choice(inquiry, false).map(|chosen| chosen.step);
    let mut order: Vec<&Candidate> = inquiry.candidates.iter().collect();
    order.sort_by_key(|candidate| Some(candidate.step) != chosen);
    let read = read_in_whole(job);
    let mut ways: Vec<Way> = Vec::new();
    for candidate in order {
        if ways.len() == MOST {
            break;
        }
        let way = way(job, inquiry, candidate);
        let known = |other: &Way| other.words == way.words && other.go == way.go;
        let here = way.step.is_some() && way.step == read;
        if !here && !ways.iter().any(known) {
            ways.push(way);
        }
    }
    ways
}

/// The present step, where nothing of it is left to be read.
fn read_in_whole(job: &Job) -> Option<(String, String)> {
    let run = job.run()?;
    let step = run.step()?;
    let picture = judge::picture_now(job)?;
    let choice = judge::choice_now(job, &picture)?;
    let read = !step.record.is_empty() && !matches!(choice, Choice::Incomplete { .. });
    read.then(|| (run.flow.id.clone(), step.id.clone()))
}

fn way(job: &Job, inquiry: &Inquiry, candidate: &Candidate) -> Way {
    let suggestion = reasons::of(inquiry, candidate);
    let mut way = Way {
        words: suggestion.what.words.clone(),
        go: None,
        step: None,
        first: None,
        minutes: candidate.minutes,
        expected: candidate.expected,
        serves: Vec::new(),
        cautions: titles(&suggestion),
        branches: branches(&suggestion),
        because: suggestion.because.clone(),
    };
    match candidate.step {
        Step::Test(test) | Step::SetUp(test) => {
            to_step(job, inquiry, test, &mut way);
            let others = candidate.tests.iter().filter(|other| **other != test);
            way.serves = others.map(|other| title(inquiry, *other)).collect();
        }
        Step::Repair(cause) => to_repair(job, inquiry, cause, &mut way),
        Step::HandOn => {}
    }
    way
}

fn title(inquiry: &Inquiry, test: usize) -> String {
    let reading = &inquiry.steps.readings[test];
    inquiry.joined.flows[reading.flow].steps[reading.step]
        .title
        .clone()
}

fn to_step(job: &Job, inquiry: &Inquiry, test: usize, way: &mut Way) {
    let reading = &inquiry.steps.readings[test];
    let flow = inquiry.joined.flows[reading.flow];
    let step = &flow.steps[reading.step];
    way.step = Some((flow.id.clone(), step.id.clone()));
    if job.run().is_some_and(|run| run.flow.id == flow.id) {
        way.go = Some(Target::Step(step.id.clone()));
        let missing = elsewhere::missing(job, &step.id).unwrap_or_default();
        let first = missing.first();
        way.first = first.map(|step| (step.id.clone(), step.title.clone()));
    } else {
        way.words = format!("{}, in {}", way.words, flow.title);
        way.go = Some(Target::Flow(flow.id.clone()));
    }
}

fn to_repair(job: &Job, inquiry: &Inquiry, cause: usize, way: &mut Way) {
    let listed = &inquiry.joined.causes[cause];
    let here = job
        .run()
        .is_some_and(|run| run.flow.cause(&listed.id).is_some());
    way.go = Some(if here {
        Target::Repair(listed.id.clone())
    } else {
        Target::Flow(inquiry.joined.flows[listed.flow].id.clone())
    });
}

fn titles(suggestion: &Suggestion) -> Vec<String> {
    let known = suggestion.cautions.iter();
    known
        .filter_map(|id| Some(cautions::find(id)?.title.to_owned()))
        .collect()
}

fn branches(suggestion: &Suggestion) -> Vec<Branch> {
    let branch = |branch: &reasons::Branch| Branch {
        outcomes: branch.outcomes.clone(),
        probability: branch.probability,
        then: branch.then.words.clone(),
    };
    suggestion.branches.iter().map(branch).collect()
}
