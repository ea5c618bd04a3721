//! The cars of a trial, and what both ways make of each of them.

use std::collections::BTreeMap;

use super::led::{Policy, UNLISTED, Way, walk};
use super::ran::{HandOn, Ran, of_led, of_walk};
use crate::flow::model::Flow;
use crate::plant::car::Car;
use crate::plant::dice::Dice;
use crate::plant::plan::Plan;
use crate::plant::spread::Spread;
use crate::plant::walk::walk_with;
use crate::rules::evidence::belief::Belief;
use crate::rules::evidence::case::BadCase;
use crate::rules::evidence::joined::{Joined, TAKES, join};

/// Pairs of causes less probable than this are not tried, and no more than so many.
const LIKELY_PAIR: f64 = 0.01;
const MOST_PAIRS: usize = 6;
/// How far the odds are off on cars that the model does not expect.
const ODDS_OFF: f64 = 3.0;

/// What is tried.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Settings {
    /// Cars for each cause and each pair, of each kind.
    pub runs: u32,
    /// The seed.
    pub seed: u64,
    /// How many causes may be present together, as the reasoning sees it.
    pub together: usize,
}

/// What kind of cars.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum World {
    /// As the flow expects them.
    Expected,
    /// Coefficient and volume up to 30 % off, gauges biased up to twice what they claim, twice the noise, and the
    /// odds wrong by a factor of 3.
    Unexpected,
}

impl World {
    /// Both.
    pub const ALL: [Self; 2] = [Self::Expected, Self::Unexpected];

    fn spread(self) -> Spread {
        match self {
            Self::Expected => Spread::EXPECTED,
            Self::Unexpected => Spread::UNEXPECTED,
        }
    }
}

/// The cars with one cause, or with one pair.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// The causes' ids.
    pub causes: Vec<String>,
    /// How probable these and no others are, among all rows, by the author's odds.
    pub weight: f64,
}

/// One car to be tried.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Job {
    /// Its row.
    pub row: usize,
    /// Its kind.
    pub world: World,
    /// Its number in the row.
    pub number: u32,
}

/// What all ways made of one car.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tried {
    /// The flow's own branches.
    pub branches: Ran,
    /// The evidence.
    pub evidence: Ran,
    /// Tests in random order.
    pub random: Ran,
    /// Repairs without a test.
    pub untested: Ran,
}

/// A trial of one flow.
#[derive(Debug)]
pub struct Trial<'f> {
    /// The flow, made ready.
    pub plan: Plan<'f>,
    /// What is tried.
    pub settings: Settings,
    /// The rows.
    pub rows: Vec<Row>,
    hand_on: HandOn,
    /// Odds that are wrong in two ways.
    wrong_odds: [BTreeMap<String, f64>; 2],
}

impl<'f> Trial<'f> {
    /// Makes a trial ready.
    ///
    /// # Errors
    /// For a flow without causes, or with too many.
    pub fn of(flow: &'f Flow, settings: Settings) -> Result<Self, BadCase> {
        let joined = join(&[flow], &BTreeMap::new(), settings.together)?;
        Ok(Self {
            plan: Plan::of(flow),
            settings,
            rows: rows(&joined),
            hand_on: HandOn::of(&joined.case),
            wrong_odds: [0, 1].map(|turn| wrong_odds(&joined, turn)),
        })
    }

    /// All cars, in order.
    pub fn jobs(&self) -> Vec<Job> {
        let mut jobs = Vec::new();
        for world in World::ALL {
            for row in 0..self.rows.len() {
                let numbers = 0..self.settings.runs;
                jobs.extend(numbers.map(|number| Job { row, world, number }));
            }
        }
        jobs
    }

    /// Draws a car and leads it all ways. Everything follows from the seed, the causes and the number.
    pub fn run(&self, job: Job) -> Tried {
        let car = self.car(job);
        let dice = self.dice(job).fork("ways", 0);
        let takes = |n: usize, _: &str| dice.fork("takes", n as u64).happens(TAKES);
        let flow = self.plan.flow;
        let branches = walk_with(&self.plan, car.clone(), takes);
        let odds = self.odds(job);
        let led = |way: Way| {
            let policy = Policy {
                way,
                together: self.settings.together,
                odds: &odds,
            };
            let led = walk(&self.plan, car.clone(), &policy, &dice);
            of_led(&car, &led, self.hand_on)
        };
        Tried {
            branches: of_walk(flow, &car, &branches, self.hand_on, takes),
            evidence: led(Way::Evidence),
            random: led(Way::Random),
            untested: led(Way::NoTests),
        }
    }

    /// The car of a job.
    pub fn car(&self, job: Job) -> Car {
        let causes: Vec<&str> = self.rows[job.row]
            .causes
            .iter()
            .map(String::as_str)
            .collect();
        let mut dice = self.dice(job);
        let facts = BTreeMap::new();
        Car::draw(&self.plan, &facts, &causes, &job.world.spread(), &mut dice)
    }

    fn dice(&self, job: Job) -> Dice {
        let name = self.rows[job.row].causes.join("+");
        Dice::new(self.settings.seed).fork(&name, u64::from(job.number))
    }

    /// The odds that the reasoning is given: the author's, or wrong ones.
    pub fn odds(&self, job: Job) -> BTreeMap<String, f64> {
        match job.world {
            World::Expected => BTreeMap::new(),
            World::Unexpected => self.wrong_odds[job.number as usize % 2].clone(),
        }
    }
}

/// Every cause alone, and the likely pairs of listed ones.
fn rows(joined: &Joined) -> Vec<Row> {
    let case = &joined.case;
    let prior = Belief::prior(case).probabilities();
    let id = |cause: usize| joined.causes[cause].id.clone();
    let row = |n: usize| Row {
        causes: case.sets[n].members().map(id).collect(),
        weight: prior[n],
    };
    let of_size = |size: usize| (0..case.sets.len()).filter(move |n| case.sets[*n].len() == size);
    let mut rows: Vec<Row> = of_size(1).map(row).collect();
    let mut pairs: Vec<Row> = of_size(2)
        .map(row)
        .filter(|row| row.weight >= LIKELY_PAIR && row.causes.iter().all(|c| c != UNLISTED))
        .collect();
    pairs.sort_by(|a, b| b.weight.total_cmp(&a.weight));
    pairs.truncate(MOST_PAIRS);
    rows.extend(pairs);
    let total: f64 = rows.iter().map(|row| row.weight).sum();
    for row in &mut rows {
        row.weight /= total;
    }
    rows
}

/// The author's odds, every other cause three times too likely and the rest three times too unlikely; the other way
/// round for the second turn.
fn wrong_odds(joined: &Joined, turn: usize) -> BTreeMap<String, f64> {
    let causes = joined.causes.iter().enumerate();
    causes
        .map(|(n, cause)| {
            let ratio = cause.author / (1.0 - cause.author);
            let off = if (n + turn) % 2 == 0 {
                ODDS_OFF
            } else {
                1.0 / ODDS_OFF
            };
            (cause.id.clone(), ratio * off / (1.0 + ratio * off))
        })
        .collect()
}
