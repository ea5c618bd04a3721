//! What can be done next, each with its minutes, what comes before it, and what it can lead to.

use crate::engine::elsewhere;
use crate::engine::job::{Job, Station};
use crate::engine::judge;
use crate::flow::cautions;
use crate::flow::choice::Choice;
use crate::flow::target::Target;
use crate::rules::evidence::guards::choice;
use crate::rules::evidence::inquiry::Inquiry;
use crate::rules::evidence::joined::retest_minutes;
use crate::rules::evidence::next::{Candidate, Step};
use crate::rules::evidence::reasons::{self, Suggestion};

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

impl Way {
    /// Whether the car is handed on, so that no repair is proved here.
    pub fn is_handing_on(&self) -> bool {
        self.go.is_none()
    }

    /// Whether something is unplugged or cleared on it before anybody asks for the codes: another flow asks anew.
    pub fn may_lose_codes(&self) -> bool {
        matches!(self.go, Some(Target::Step(_) | Target::Repair(_)))
    }
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

/// All candidates in the order of the reckoning, the suggestion first, and always the best that needs no test: it is
/// what the others are held against. A step that is read in whole is none any more.
///
/// After a repair the whole test comes first, then tests, then another repair, and last to give the car away unproved:
/// fewer minutes by the reckoning are no reason to skip the proof.
pub(super) fn ways(job: &Job, inquiry: &Inquiry, retest_first: bool) -> Vec<Way> {
    let chosen = choice(inquiry, false).map(|chosen| chosen.step);
    let mut order: Vec<&Candidate> = inquiry.candidates.iter().collect();
    if retest_first {
        order.sort_by_key(|candidate| kind(candidate));
    } else {
        order.sort_by_key(|candidate| Some(candidate.step) != chosen);
    }
    let read = read_in_whole(job);
    let mut ways: Vec<Way> = Vec::new();
    if retest_first {
        ways.extend(whole_test(job, inquiry));
    }
    // What the tests are held against always has its place.
    let mut without_test = inquiry.candidates.iter();
    let mut without_test = without_test.find(|c| kind(c) > 0).map(|c| c.step);
    for candidate in order {
        let needs_none = kind(candidate) > 0;
        let others = without_test.is_some_and(|step| step != candidate.step);
        let room = MOST - usize::from(others);
        if ways.len() >= room {
            continue;
        }
        let mut way = way(job, inquiry, candidate);
        let known = |other: &Way| other.words == way.words && other.go == way.go;
        let here = way.step.is_some() && way.step == read;
        if here || ways.iter().any(known) {
            continue;
        }
        if retest_first && needs_none {
            "the whole test comes first: only a test that passes from its start proves the repair"
                .clone_into(&mut way.because);
            if way.go.is_none() {
                way.words.push_str(", not proved");
            }
        }
        without_test = without_test.filter(|step| *step != candidate.step);
        ways.push(way);
    }
    ways
}

/// Tests, repairs, handing on.
fn kind(candidate: &Candidate) -> u8 {
    match candidate.step {
        Step::Test(_) | Step::SetUp(_) => 0,
        Step::Repair(_) => 1,
        Step::HandOn => 2,
    }
}

/// The test that proves the repair, from its start; nothing where it was begun already.
fn whole_test(job: &Job, inquiry: &Inquiry) -> Option<Way> {
    let run = job.run()?;
    let Station::Repair(cause) = &run.visit()?.station else {
        return None;
    };
    let mut repairs = job.repairs.iter();
    repairs.find(|r| r.cause == *cause && r.test == job.test_number() && r.done.is_some())?;
    let flow = &run.flow;
    let from = flow.step(&flow.retest.as_ref()?.from)?;
    let minutes = retest_minutes(flow);
    Some(Way {
        words: format!("the whole test again, from its start: {}", from.title),
        go: Some(Target::Step(from.id.clone())),
        step: None,
        first: None,
        minutes,
        expected: inquiry.with_retest(minutes),
        serves: Vec::new(),
        cautions: Vec::new(),
        branches: Vec::new(),
        because:
            "only a test that passes from its start proves the repair: one leak can hide another"
                .to_owned(),
    })
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
