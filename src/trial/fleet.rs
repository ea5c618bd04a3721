//! The cars of a trial, and what both ways make of each of them.

use std::collections::{BTreeMap, BTreeSet};

use super::led::{Policy, UNLISTED, Way, walk};
use super::ran::{Ran, of_led, of_walk};
use crate::flow::answer::Answer;
use crate::flow::model::Flow;
use crate::plant::car::Car;
use crate::plant::dice::Dice;
use crate::plant::plan::{Plan, without_other_values};
use crate::plant::spread::Spread;
use crate::plant::walk::walk_with;
use crate::rules::evidence::belief::Belief;
use crate::rules::evidence::case::BadCase;
use crate::rules::evidence::joined::{Joined, TAKES, join};
use crate::rules::evidence::simulated::Simulated;

/// Pairs of causes less probable than this are not tried, and no more than so many.
const LIKELY_PAIR: f64 = 0.01;
const MOST_PAIRS: usize = 6;
/// A car without the complaint is drawn again so often.
const MOST_DRAWS: u64 = 16;
/// The ways that nobody walks are tried on one car in so many.
const ONE_IN: u32 = 4;
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
    /// How many vehicles with known facts the cars are of.
    pub vehicles: u32,
    /// How many simulated cars of each set of causes the reasoning has of each vehicle; none: words alone.
    pub cars: usize,
    /// More of them are drawn where few of a likely set show what was read, as on the screens.
    pub more: bool,
}

/// What kind of cars.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum World {
    /// As the flow expects them.
    Expected,
    /// Coefficient and volume up to 30 % off, gauges biased up to twice what they claim, twice the noise, and the
    /// odds of the listed causes wrong by a factor of 3.
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
    /// Tests in random order; on some cars only.
    pub random: Option<Ran>,
    /// Repairs without a test; on some cars only.
    pub untested: Option<Ran>,
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
    /// Causes and findings with the author's odds.
    joined: Joined<'f>,
    /// The same with odds that are wrong in two ways.
    wrongly: [Joined<'f>; 2],
    /// Vehicles with the facts that are known of them.
    vehicles: Vec<Vehicle>,
}

/// A vehicle whose facts are known, with simulated cars of its kind.
#[derive(Debug)]
struct Vehicle {
    facts: BTreeMap<String, Answer>,
    cars: Option<Simulated>,
}

impl<'f> Trial<'f> {
    /// Makes a trial ready.
    ///
    /// # Errors
    /// For a flow without causes, or with too many.
    pub fn of(flow: &'f Flow, settings: Settings) -> Result<Self, BadCase> {
        let joined = join(&[flow], &BTreeMap::new(), settings.together)?;
        let wrongly = |turn| join(&[flow], &wrong_odds(&joined, turn), settings.together);
        let plan = Plan::of(flow);
        let vehicles = vehicles(&plan, &joined, settings)?;
        Ok(Self {
            plan,
            settings,
            rows: rows(&joined),
            wrongly: [wrongly(0)?, wrongly(1)?],
            joined,
            vehicles,
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
        let led = |way: Way| {
            let policy = Policy {
                way,
                joined: self.believed(job),
                cars: self.simulated(job),
                more: self.settings.more,
            };
            let led = walk(&self.plan, car.clone(), &policy, &dice);
            of_led(&car, &led, &self.joined.case)
        };
        let sample = job.number.is_multiple_of(ONE_IN);
        Tried {
            branches: of_walk(flow, &car, &branches, &self.joined.case, takes),
            evidence: led(Way::Evidence),
            random: sample.then(|| led(Way::Random)),
            untested: sample.then(|| led(Way::NoTests)),
        }
    }

    /// The car of a job.
    pub fn car(&self, job: Job) -> Car {
        let causes: Vec<&str> = self.rows[job.row]
            .causes
            .iter()
            .map(String::as_str)
            .collect();
        let dice = self.dice(job);
        let facts = &self.vehicle(job).facts;
        let spread = job.world.spread();
        let draw = |mut dice: Dice| Car::draw(&self.plan, facts, &causes, &spread, &mut dice);
        let mut car = draw(dice.clone());
        // Where a cause is hardly ever big enough, one draw need not come to a car that has the complaint.
        for turn in 0..MOST_DRAWS {
            if car.complains(|_| true) {
                break;
            }
            car = draw(dice.fork("once more", turn));
        }
        car
    }

    /// The simulated cars that the reasoning has for a job.
    pub fn simulated(&self, job: Job) -> Option<&Simulated> {
        self.vehicle(job).cars.as_ref()
    }

    fn vehicle(&self, job: Job) -> &Vehicle {
        &self.vehicles[job.number as usize % self.vehicles.len()]
    }

    fn dice(&self, job: Job) -> Dice {
        let name = self.rows[job.row].causes.join("+");
        Dice::new(self.settings.seed).fork(&name, u64::from(job.number))
    }

    /// What the reasoning believes beforehand: the author's odds, or wrong ones.
    pub fn believed(&self, job: Job) -> &Joined<'f> {
        match job.world {
            World::Expected => &self.joined,
            World::Unexpected => &self.wrongly[job.number as usize / self.vehicles.len() % 2],
        }
    }
}

/// The flow with no more worked values than its conditions and findings need: quicker, and the same otherwise.
pub fn lean(flow: &Flow) -> Flow {
    let steps = flow.steps.iter();
    let conditions = steps.flat_map(|step| {
        let outcomes = step.outcomes.iter().map(|outcome| &outcome.when);
        outcomes.chain(&step.valid_when)
    });
    let shown = flow
        .causes
        .iter()
        .flat_map(|cause| &cause.shows)
        .chain(&flow.healthy);
    let asked = flow.readings.iter().chain(&flow.facts);
    let ids: BTreeSet<&str> = conditions
        .chain(asked.filter_map(|prompt| prompt.only_if.as_ref()))
        .flat_map(|condition| condition.subjects())
        .chain(shown.map(|shows| shows.id.as_str()))
        .collect();
    Flow {
        worked: without_other_values(flow, ids).worked,
        ..flow.clone()
    }
}

/// Vehicles as they come in, with their facts.
fn vehicles(plan: &Plan, joined: &Joined, settings: Settings) -> Result<Vec<Vehicle>, BadCase> {
    let dice = Dice::new(settings.seed).fork("vehicles", 0);
    let vehicle = |number: u32| {
        let mut dice = dice.fork("vehicle", u64::from(number));
        let cause = number as usize % joined.causes.len();
        let present = [joined.causes[cause].id.as_str()];
        let none = BTreeMap::new();
        let facts = Car::draw(plan, &none, &present, &Spread::EXPECTED, &mut dice).facts;
        let cars = (settings.cars > 0).then(|| {
            Simulated::of(
                &[plan.flow],
                &facts,
                settings.together,
                dice.bits(),
                settings.cars,
            )
        });
        Ok(Vehicle {
            cars: cars.transpose()?,
            facts,
        })
    };
    (0..settings.vehicles.max(1)).map(vehicle).collect()
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

/// The author's odds, but of the listed causes every other one three times too likely and the rest three times too
/// unlikely; the other way round for the second turn.
fn wrong_odds(joined: &Joined, turn: usize) -> BTreeMap<String, f64> {
    let listed = joined.causes.iter().filter(|cause| cause.id != UNLISTED);
    listed
        .enumerate()
        .map(|(n, cause)| {
            let ratio = cause.author / (1.0 - cause.author);
            let off = if (n + turn).is_multiple_of(2) {
                ODDS_OFF
            } else {
                1.0 / ODDS_OFF
            };
            (cause.id.clone(), ratio * off / (1.0 + ratio * off))
        })
        .collect()
}
