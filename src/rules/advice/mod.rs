//! What the evidence of a job comes to, as plain data for a screen or a page: the causes, what
//! moved them, what could be done next, and how that compares with where the flow itself leads.
//!
//! Made from [`super::evidence`] and from the job; owns no reckoning of its own. [`ways`] is what
//! could be done next, [`beside`] the flow's own way beside it, [`figures`] how figures are written.

pub mod beside;
pub mod figures;
mod ways;

use std::collections::{BTreeMap, BTreeSet};

use uuid::Uuid;

use super::evidence::inquiry::{Asked, Inquiry, NoAnswer, inquire_with};
use super::evidence::joined::Joined;
use super::evidence::learned::{Learned, Proved, learned, odds};
use super::evidence::likelihood::{Both, Source};
use super::evidence::more::inquire_by_cars;
use super::evidence::of_job;
use super::evidence::reasons::moves;
use super::evidence::rows::{Taught, Witness};
use super::evidence::simulated::Simulated;
use super::evidence::told::Round;
use super::evidence::wary::warnings;
use super::evidence::why::log_odds;
use crate::engine::job::Job;
use crate::engine::saving;
use crate::engine::weighed::{Chosen, Odds, Way as Recorded, Weighed};
use crate::flow::model::Flow;

pub use beside::{Beside, Here};
pub use ways::{Branch, Way};

/// Where the likelihoods come from, with the version of the reckoning, as it is recorded.
const BY: [&str; 2] = ["words 4", "cars 4"];
/// Causes present together that are reckoned with.
const TOGETHER: usize = 2;
/// Causes whose odds are recorded with a choice.
const RECORDED: usize = 6;

/// What is asked beside the job itself.
#[derive(Clone, Copy, Debug, Default)]
pub struct Question<'a> {
    /// Gear that is not at hand, by its name in any flow.
    pub not_here: &'a [String],
    /// What the workshop's own closed jobs teach; none: the author's odds alone.
    pub own_jobs: &'a [Lesson],
    /// Simulated cars of the job's flows; without any, the author's words alone.
    pub cars: Option<&'a Simulated>,
}

/// What a closed job with a proved cause teaches.
#[derive(Clone, Debug)]
pub struct Lesson {
    /// The job.
    pub job: Uuid,
    /// The causes that were confirmed.
    pub proved: Proved,
    /// What its first test showed, where there was one cause.
    pub witness: Option<Witness>,
}

/// The answer.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Advice {
    /// The causes, the most likely to explain the complaint first.
    pub causes: Vec<CauseNow>,
    /// What each reading and repair did to them, in order.
    pub moved: Vec<Moved>,
    /// What can be done next, the suggestion first.
    pub ways: Vec<Way>,
    /// Steps that cannot be done for want of gear: title, and the gear.
    pub lacking: Vec<(String, Vec<String>)>,
    /// All gear that the job's flows name.
    pub gear: Vec<String>,
    /// What to be wary of.
    pub warnings: Vec<String>,
    /// Readings that say nothing, each with the reason.
    pub silent: Vec<(String, String)>,
    /// How many of the workshop's own jobs moved the odds.
    pub own_jobs: u32,
    /// How many simulated cars it rests on; 0: on the authors' words alone.
    pub cars: usize,
    /// Gear that was left out of account because it is not at hand.
    pub not_here: Vec<String>,
    /// Where the flow leads from here, and whether that is the same.
    pub beside: Beside,
    /// A repair was made: the probability that nothing is left that is big enough for the complaint.
    pub cured: Option<f64>,
    /// A repair was made, and nothing that was read since says that it was not all: the whole test comes first,
    /// whatever the evidence would do.
    pub retest_first: bool,
    /// The whole test was passed since the last repair.
    pub proved: bool,
    /// Nothing is saved of what the control unit knows: that comes before any way that may lose it.
    pub save_first: bool,
}

/// A cause as it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct CauseNow {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// The probability that it is there.
    pub present: f64,
    /// The probability that it is there and big enough for the complaint.
    pub explains: f64,
    /// The probability that it is there, before anything was read.
    pub before: f64,
    /// The author's odds.
    pub author: f64,
    /// What the workshop's own jobs say, where any count.
    pub own: Option<Learned>,
}

impl CauseNow {
    /// The change of its log odds from before anything was read (natural logarithm).
    pub fn change(&self) -> f64 {
        log_odds(self.present) - log_odds(self.before)
    }
}

/// What one reading or repair did.
#[derive(Clone, Debug, PartialEq)]
pub struct Moved {
    /// In words.
    pub words: String,
    /// By how much it changed the log odds of each of [`Advice::causes`], in their order.
    pub by: Vec<f64>,
}

/// Reckons for where a job stands.
///
/// # Errors
/// [`NoAnswer`], also where no flow was begun.
pub fn advise(job: &Job, question: Question) -> Result<Advice, NoAnswer> {
    let flows = of_job::flows(job);
    let flows: Vec<&Flow> = flows.iter().map(AsRef::as_ref).collect();
    let own = own_odds(job, &flows, question.own_jobs);
    let gear = gear(&flows);
    let not_here: Vec<String> = gear
        .iter()
        .filter(|gear| is_in(question.not_here, gear))
        .cloned()
        .collect();
    let rounds = of_job::rounds(job);
    let odds = odds(&own);
    let (inquiry, cars) = inquired(&asked(&rounds, &flows, &not_here, &odds), question)?;
    let repaired = job.repairs.iter().any(|repair| repair.done.is_some());
    let retest_first = repaired && inquiry.retest_first();
    let proved =
        repaired && rounds.last().is_some_and(|round| round.proved) && !job.repaired_in_this_test();
    // Whatever could still be tested or repaired, the complaint is gone.
    let ways = if proved {
        Vec::new()
    } else {
        ways::ways(job, &inquiry, retest_first)
    };
    let mut beside = beside::beside(job, &inquiry, &ways);
    beside.differs &= !retest_first;
    let order = inquiry.ranking();
    Ok(Advice {
        causes: causes(&inquiry, &order, &own),
        moved: moves(&inquiry)
            .into_iter()
            .map(|moved| Moved {
                by: order.iter().map(|n| moved.by[*n]).collect(),
                words: moved.words,
            })
            .collect(),
        lacking: lacking(&inquiry),
        warnings: warnings(&inquiry),
        silent: inquiry.told.silent.clone(),
        own_jobs: counted(&own),
        cars,
        ways,
        gear,
        not_here,
        beside,
        cured: repaired.then(|| inquiry.cured()),
        retest_first,
        proved,
        save_first: saving::is_due(job),
    })
}

/// Simulated cars and what closed jobs have shown, beside the words; nothing where there is neither.
pub fn source(
    joined: &Joined,
    cars: Option<&Simulated>,
    witnesses: &[Witness],
) -> Option<Box<dyn Source>> {
    match (cars, Taught::of(joined, witnesses)) {
        (None, None) => None,
        (Some(cars), None) => Some(Box::new(cars.source(joined))),
        (None, Some(taught)) => Some(Box::new(taught)),
        (Some(cars), Some(taught)) => Some(Box::new(Both(
            Box::new(cars.source(joined)),
            Box::new(taught),
        ))),
    }
}

/// The cars that the evidence of a job rests on: what they are made for, as [`Simulated::key`] names it.
pub fn with_flows<R>(job: &Job, then: impl FnOnce(&Asked) -> R) -> R {
    let flows = of_job::flows(job);
    let flows: Vec<&Flow> = flows.iter().map(AsRef::as_ref).collect();
    let rounds = of_job::rounds(job);
    then(&asked(&rounds, &flows, &[], &BTreeMap::new()))
}

/// The causes as the first test leaves them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct AtFirst {
    /// The causes, the most likely to explain the complaint first.
    pub causes: Vec<CauseNow>,
    /// How many simulated cars that rests on; 0: on the authors' words alone.
    pub cars: usize,
    /// How many of the workshop's own jobs moved the odds.
    pub own_jobs: u32,
}

/// The causes alone: what the readings of the first test come to, before any repair, by the odds, own jobs and cars of
/// [`advise`].
///
/// # Errors
/// As [`advise`].
pub fn causes_at_first(job: &Job, question: Question) -> Result<AtFirst, NoAnswer> {
    let flows = of_job::flows(job);
    let flows: Vec<&Flow> = flows.iter().map(AsRef::as_ref).collect();
    let mut rounds = of_job::rounds(job);
    rounds.truncate(1);
    for round in &mut rounds {
        round.repaired.clear();
    }
    let own = own_odds(job, &flows, question.own_jobs);
    let odds = odds(&own);
    let (inquiry, cars) = inquired(&asked(&rounds, &flows, &[], &odds), question)?;
    Ok(AtFirst {
        causes: causes(&inquiry, &inquiry.ranking(), &own),
        cars,
        own_jobs: counted(&own),
    })
}

/// What is asked, by cars where there are any, and by what own jobs have shown; and how many cars that rests on.
fn inquired<'f>(
    asked: &Asked<'_, 'f>,
    question: Question,
) -> Result<(Inquiry<'f>, usize), NoAnswer> {
    let witnesses = question.own_jobs.iter();
    let witnesses: Vec<Witness> = witnesses.filter_map(|l| l.witness.clone()).collect();
    let Some(cars) = question.cars.filter(|cars| cars.knows_any()) else {
        let inquiry = inquire_with(asked, |joined| source(joined, None, &witnesses))?;
        return Ok((inquiry, 0));
    };
    inquire_by_cars(asked, cars, |joined, cars| {
        source(joined, Some(cars), &witnesses)
    })
}

/// How many of the workshop's own jobs moved the odds.
fn counted(own: &[Learned]) -> u32 {
    own.iter().map(|l| l.jobs).max().unwrap_or(0)
}

fn asked<'a, 'f>(
    rounds: &'a [Round],
    flows: &'a [&'f Flow],
    not_here: &'a [String],
    odds: &'a BTreeMap<String, f64>,
) -> Asked<'a, 'f> {
    Asked {
        flows,
        rounds,
        together: TOGETHER,
        not_available: not_here,
        odds,
    }
}

/// Whether a piece of gear is among those marked, however it is written.
pub fn is_in(marked: &[String], gear: &str) -> bool {
    let lower = gear.trim().to_lowercase();
    marked
        .iter()
        .any(|other| other.trim().to_lowercase() == lower)
}

/// The odds that the workshop's own jobs have moved, each cause once.
fn own_odds(job: &Job, flows: &[&Flow], lessons: &[Lesson]) -> Vec<Learned> {
    let jobs: Vec<Proved> = lessons.iter().map(|l| l.proved.clone()).collect();
    let opening = job.opening.clone().unwrap_or_default();
    let codes = opening.codes.iter().map(|code| code.trim().to_uppercase());
    let symptoms = opening.symptoms.iter().map(|s| s.trim().to_lowercase());
    let complaint: BTreeSet<String> = codes.chain(symptoms).filter(|c| !c.is_empty()).collect();
    let mut all: Vec<Learned> = Vec::new();
    for flow in flows {
        for one in learned(flow, &complaint, &jobs) {
            // Jobs that nobody had yet change nothing.
            if one.jobs > 0 && !all.iter().any(|known| known.id == one.id) {
                all.push(one);
            }
        }
    }
    all
}

/// All gear that some flows name, each once.
pub fn gear(flows: &[&Flow]) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for flow in flows {
        let of_steps = flow.steps.iter().flat_map(|step| &step.gear);
        for gear in flow.gear.iter().chain(of_steps) {
            if !is_in(&all, gear) {
                all.push(gear.clone());
            }
        }
    }
    all
}

fn causes(inquiry: &Inquiry, order: &[usize], own: &[Learned]) -> Vec<CauseNow> {
    let before = inquiry.told.prior.marginals(&inquiry.joined.case);
    let cause = |n: &usize| {
        let listed = &inquiry.joined.causes[*n];
        CauseNow {
            id: listed.id.clone(),
            name: listed.name.clone(),
            present: inquiry.present[*n],
            explains: inquiry.explains[*n],
            before: before[*n],
            author: listed.author,
            own: own.iter().find(|l| l.id == listed.id).cloned(),
        }
    };
    order.iter().map(cause).collect()
}

fn lacking(inquiry: &Inquiry) -> Vec<(String, Vec<String>)> {
    let open = inquiry.steps.readings.iter();
    open.filter(|reading| !reading.done && !reading.lacks.is_empty())
        .map(|reading| {
            let step = &inquiry.joined.flows[reading.flow].steps[reading.step];
            (step.title.clone(), reading.lacks.clone())
        })
        .collect()
}

impl Advice {
    /// The suggestion.
    pub fn best(&self) -> Option<&Way> {
        self.ways.first()
    }

    /// Whether the evidence would do something else than the flow, from here.
    pub fn differs(&self) -> bool {
        self.beside.differs
    }

    /// What is recorded with a choice between the flow's way and one of these; nothing where there
    /// is no such way.
    pub fn weighed(&self, way: usize) -> Option<Weighed> {
        let chosen = self.ways.get(way)?;
        let minutes = |minutes: f64| (10.0 * minutes).round() / 10.0;
        let share = |p: f64| (1e4 * p).round() / 1e4;
        Some(Weighed {
            taken: if way == 0 {
                Chosen::Evidence
            } else {
                Chosen::Another
            },
            evidence: Recorded {
                words: chosen.words.clone(),
                go: chosen.go.clone(),
                minutes: Some(minutes(chosen.expected)),
            },
            flow: self.beside.flow.as_ref().map(|flow| Recorded {
                words: flow.words.clone(),
                go: flow.go.clone(),
                minutes: flow.expected.map(minutes),
            }),
            because: chosen.because.clone(),
            odds: self
                .causes
                .iter()
                .take(RECORDED)
                .map(|cause| Odds {
                    cause: cause.id.clone(),
                    present: share(cause.present),
                    explains: share(cause.explains),
                })
                .collect(),
            by: BY[usize::from(self.cars > 0)].to_owned(),
            own_jobs: self.own_jobs,
            not_here: self.not_here.clone(),
            taken_down: Vec::new(),
        })
    }
}
