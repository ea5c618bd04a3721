//! The sums of a trial: by row, and for the whole flow with each row weighted by how often its like comes in.

use std::collections::BTreeMap;

use super::calibration::Calibration;
use super::fleet::{Job, Trial, Tried, World};
use super::ran::Ran;

/// Sums over the cars of one row, by one way.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tally {
    /// Cars.
    pub cars: u32,
    /// Cars whose cause was found.
    pub found: u32,
    /// Repairs of what was not broken.
    pub wrong: u32,
    /// Cars at which one was more than 95 % sure, and wrong.
    pub falsely_sure: u32,
    /// Cars called proved cured that are not.
    pub proved_wrongly: u32,
    /// Minutes, with what it costs to let a car go unproved.
    pub minutes: f64,
    /// Minutes at the car.
    pub spent: f64,
    /// Steps.
    pub steps: u32,
    /// Cautions that had to be accepted.
    pub cautions: u32,
    /// How the cars ended that were not found.
    pub lost: BTreeMap<String, u32>,
}

impl Tally {
    fn add(&mut self, ran: &Ran) {
        self.cars += 1;
        self.found += u32::from(ran.found);
        self.wrong += ran.wrong;
        self.falsely_sure += u32::from(ran.falsely_sure);
        self.proved_wrongly += u32::from(ran.proved_wrongly);
        self.minutes += ran.minutes;
        self.spent += ran.spent;
        self.steps += ran.steps;
        self.cautions += ran.cautions;
        if let Some(lost) = &ran.lost {
            *self.lost.entry(lost.clone()).or_default() += 1;
        }
    }

    /// A sum for each car.
    pub fn each(&self, sum: f64) -> f64 {
        sum / f64::from(self.cars.max(1))
    }

    /// The share of cars found.
    pub fn share(&self) -> f64 {
        self.each(f64::from(self.found))
    }
}

/// What one way comes to.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Whole {
    /// Minutes to a cured car, with what it costs to let one go unproved.
    pub minutes: f64,
    /// Share of cars whose cause was found.
    pub found: f64,
    /// Wrong repairs a car.
    pub wrong: f64,
    /// Share of cars at which one was more than 95 % sure, and wrong.
    pub falsely_sure: f64,
    /// Steps a car.
    pub steps: f64,
    /// Cautions a car.
    pub cautions: f64,
}

impl Whole {
    fn add(&mut self, tally: &Tally, weight: f64) {
        self.minutes += weight * tally.each(tally.minutes);
        self.found += weight * tally.share();
        self.wrong += weight * tally.each(f64::from(tally.wrong));
        self.falsely_sure += weight * tally.each(f64::from(tally.falsely_sure));
        self.steps += weight * tally.each(f64::from(tally.steps));
        self.cautions += weight * tally.each(f64::from(tally.cautions));
    }
}

/// Four figures, one for each way.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Ways<T> {
    /// The flow's own branches.
    pub branches: T,
    /// The evidence.
    pub evidence: T,
    /// Tests in random order.
    pub random: T,
    /// Repairs without a test.
    pub untested: T,
}

/// The sums over one kind of cars.
#[derive(Clone, Debug, PartialEq)]
pub struct Sums {
    /// Which kind.
    pub world: World,
    /// By row, in the trial's order.
    pub rows: Vec<Ways<Tally>>,
    /// The whole flow.
    pub whole: Ways<Whole>,
    /// How far the probabilities of the evidence can be believed.
    pub calibration: Calibration,
}

/// Adds up what was tried, in the order of the jobs.
pub fn sums(trial: &Trial, jobs: &[Job], tried: &[Tried]) -> Vec<Sums> {
    World::ALL
        .iter()
        .map(|world| {
            let own = jobs
                .iter()
                .zip(tried)
                .filter(|(job, _)| job.world == *world);
            of_world(trial, *world, own)
        })
        .collect()
}

fn of_world<'t>(
    trial: &Trial,
    world: World,
    tried: impl Iterator<Item = (&'t Job, &'t Tried)>,
) -> Sums {
    let mut rows = vec![Ways::<Tally>::default(); trial.rows.len()];
    let mut calibration = Calibration::default();
    for (job, tried) in tried {
        let row = &mut rows[job.row];
        row.branches.add(&tried.branches);
        row.evidence.add(&tried.evidence);
        tried.random.iter().for_each(|ran| row.random.add(ran));
        tried.untested.iter().for_each(|ran| row.untested.add(ran));
        if let Some(decision) = &tried.evidence.decision {
            calibration.add(decision, trial.rows[job.row].weight);
        }
    }
    let mut whole = Ways::<Whole>::default();
    for (row, tally) in trial.rows.iter().zip(&rows) {
        whole.branches.add(&tally.branches, row.weight);
        whole.evidence.add(&tally.evidence, row.weight);
        whole.random.add(&tally.random, row.weight);
        whole.untested.add(&tally.untested, row.weight);
    }
    Sums {
        world,
        rows,
        whole,
        calibration: calibration.mean(),
    }
}
