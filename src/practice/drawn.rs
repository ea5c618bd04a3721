//! A practice car: which faults are hidden on it, what is harmless beside them, what is not as it should be.
//!
//! A car is taken only if it can be solved: if the way that the program itself goes ([`super::way`]), with nothing
//! forgotten, repairs all that is hidden and nothing else, and proves it by the retest. Not every simulated car can
//! (a leak may hide, or a reading may lie too near a limit), and an apprentice who does everything right must be
//! able to reach full marks. Nor is one taken whose engine would not idle: with most of its air unmetered its trims
//! stand at their stops, and a share worked from them is a figure of nothing. So cars are drawn one after the other from
//! the seed until one can be solved; the number of that one goes into the record, and the same seed always gives the
//! same car.

use std::collections::BTreeMap;

use super::digits;
use super::traps::Traps;
use super::way::{self, Way};
use crate::flow::model::{Cause, Flow, PromptKind};
use crate::flow::signature::Effect;
use crate::physics::gas::{ATMOSPHERE, Gas, ROOM};
use crate::physics::orifice::diameter;
use crate::plant::car::{Car, NOT_LISTED, Present};
use crate::plant::dice::Dice;
use crate::plant::drive::Drive;
use crate::plant::fault::Fault;
use crate::plant::plan::Plan;
use crate::plant::spread::Spread;
use crate::plant::walk::walk;

/// So many cars are tried for one seed.
const TRIES: u32 = 90;
/// From here on a second fault is given up, and from there on the harmless place as well.
const WITHOUT_SECOND: u32 = 45;
const WITHOUT_DECOY: u32 = 70;

/// A practice car.
#[derive(Clone, Debug)]
pub struct Drawn {
    /// The car.
    pub car: Car,
    /// Causes that are hidden on it, each part of the complaint.
    pub hidden: Vec<String>,
    /// Causes that show and do no harm.
    pub decoys: Vec<String>,
    /// What is not as it should be.
    pub traps: Traps,
    /// Which of the seed's cars it is.
    pub attempt: u32,
    /// Chance for what only practice has.
    pub dice: Dice,
    /// The way that solves it, where it was walked already.
    pub way: Option<Box<Way>>,
}

/// Why there is no car.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoCar {
    /// No cause says what it shows.
    #[error(
        "the flow `{flow}` cannot be practised yet: none of its causes says what it shows; give {first} a `shows` or \
         an `effect` (flows/README.md says how)"
    )]
    NoSignatures {
        /// The flow.
        flow: String,
        /// Its first cause.
        first: String,
    },
    /// No end of the flow proves a repair.
    #[error(
        "the flow `{flow}` cannot be practised yet: no outcome says that a repair is proved, so that nobody could get \
         to its end; write proved: \"yes\" at the outcome to which the test comes again after a repair \
         (flows/README.md says how)"
    )]
    NothingProves {
        /// The flow.
        flow: String,
    },
    /// None of the cars could be solved.
    #[error(
        "the flow `{flow}` cannot be practised with seed {seed}: on {TRIES} cars its own outcomes did not lead to the \
         cause and a proved retest; try another seed, or look at the flow with: ruleout check"
    )]
    NotSolved {
        /// The flow.
        flow: String,
        /// The seed.
        seed: u64,
    },
}

/// The first car of a seed that can be solved, with the way that solves it.
///
/// # Errors
/// [`NoCar`].
pub fn find(plan: &Plan, seed: u64, level: u8) -> Result<(Drawn, Way), NoCar> {
    let flow = plan.flow;
    if known(flow).next().is_none() {
        let first = flow
            .causes
            .first()
            .map_or_else(|| "a cause".to_owned(), |c| format!("`{}`", c.id));
        return Err(NoCar::NoSignatures {
            flow: flow.id.clone(),
            first,
        });
    }
    let mut outcomes = flow.steps.iter().flat_map(|step| &step.outcomes);
    if !outcomes.any(|outcome| outcome.proved) {
        return Err(NoCar::NothingProves {
            flow: flow.id.clone(),
        });
    }
    for attempt in 0..TRIES {
        let mut drawn = Drawn::of(plan, seed, level, attempt);
        let leaks = drawn.car.intake_leaks(|_| true);
        if !drawn.car.engine.idles(&leaks, drawn.car.deviations) {
            continue;
        }
        // Quickly, with everything as the steps say; then with the traps and by hand.
        let quick = walk(plan, drawn.car.clone());
        let enough = |repairs: &[String]| {
            repairs.len() == drawn.hidden.len()
                && drawn.hidden.iter().all(|hidden| repairs.contains(hidden))
        };
        if !enough(&quick.repairs) || !quick.cured {
            continue;
        }
        let way = way::walk(plan, &drawn);
        if way.proved && way.cured && enough(&way.repairs) && way.slips == 0 && !way.goes_round {
            drawn.way = Some(Box::new(way.clone()));
            return Ok((drawn, way));
        }
    }
    Err(NoCar::NotSolved {
        flow: flow.id.clone(),
        seed,
    })
}

/// Causes that say what they show.
fn known(flow: &Flow) -> impl Iterator<Item = &Cause> {
    flow.causes
        .iter()
        .filter(|cause| cause.id != NOT_LISTED)
        .filter(|cause| !cause.shows.is_empty() || !cause.effects.is_empty())
}

impl Drawn {
    /// The car of a seed with this number, whether or not it can be solved.
    pub fn of(plan: &Plan, seed: u64, level: u8, attempt: u32) -> Self {
        let base = Dice::new(seed).fork(&plan.flow.id, u64::from(level));
        let mut dice = base.fork("car", u64::from(attempt));
        let second = level >= 4 && attempt < WITHOUT_SECOND;
        let hidden = causes(plan.flow, if second { 2 } else { 1 }, &mut dice);
        let ids: Vec<&str> = hidden.iter().map(String::as_str).collect();
        let mut car = Car::draw(plan, &BTreeMap::new(), &ids, &Spread::EXPECTED, &mut dice);
        for (fact, answer) in &mut car.facts {
            if let Some(prompt) = plan.flow.fact(fact) {
                digits::read(plan.flow, prompt, answer);
            }
        }
        let mut decoys = Vec::new();
        if level >= 2 && attempt < WITHOUT_DECOY {
            decoys.extend(add_decoy(plan, &mut car, &hidden, &mut dice));
        }
        let present: Vec<String> = hidden.iter().chain(&decoys).cloned().collect();
        let traps = Traps::of(plan, level, &present, &dice);
        Self {
            car,
            hidden,
            decoys,
            traps,
            attempt,
            dice,
            way: None,
        }
    }

    /// How much fuel the canister holds, from nothing to 1; on some three cars in ten it is empty.
    pub fn vapour(&self) -> f64 {
        self.dice.fork("canister", 0).between(-0.4, 1.0).max(0.0)
    }

    /// The way that solves it.
    pub fn way(&self, plan: &Plan) -> Way {
        match &self.way {
            Some(way) => (**way).clone(),
            None => way::walk(plan, self),
        }
    }
}

/// So many causes, each as often as its odds say.
fn causes(flow: &Flow, count: usize, dice: &mut Dice) -> Vec<String> {
    let mut left: Vec<&Cause> = known(flow).collect();
    let mut drawn = Vec::new();
    while drawn.len() < count && !left.is_empty() {
        let all: f64 = left.iter().map(|cause| cause.odds).sum();
        let weights = left.iter().map(|cause| cause.odds / all);
        let place = dice.weighed(weights).unwrap_or(left.len() - 1);
        drawn.push(left.remove(place).id.clone());
    }
    drawn
}

/// Puts a hole on the car that can be seen and is far too small for the complaint.
fn add_decoy(plan: &Plan, car: &mut Car, hidden: &[String], dice: &mut Dice) -> Option<String> {
    let system = plan.flow.system.as_str();
    let leaks = |cause: &&Cause| {
        cause.effects.iter().any(|effect| {
            matches!(effect, Effect::Hole { place, .. } if place == system || place.starts_with(&format!("{system} ")))
        })
    };
    let could: Vec<&Cause> = known(plan.flow)
        .filter(|cause| !hidden.contains(&cause.id))
        .filter(leaks)
        .filter(|cause| shows_somewhere(plan.flow, cause))
        .collect();
    if could.is_empty() || plan.kind.liquid || plan.kind.seen_from <= 0.0 {
        return None;
    }
    let cause = could[dice.one_of(could.len())];
    let space = car.space(Gas::Air);
    let pressure = Drive::new(plan, car.clone()).usual_pressure();
    let speed = space.flux(pressure) / Gas::Air.density(ATMOSPHERE, ROOM);
    let flow = plan.kind.seen_from * dice.between(2.0, 4.0);
    car.causes.push(Present {
        cause: cause.id.clone(),
        faults: vec![Fault::Hole {
            diameter: diameter(flow / speed),
            place: system.to_owned(),
        }],
        explains: false,
    });
    Some(cause.id.clone())
}

fn shows_somewhere(flow: &Flow, cause: &Cause) -> bool {
    let places = flow
        .readings
        .iter()
        .filter(|prompt| matches!(prompt.kind, PromptKind::Places(_)));
    places
        .into_iter()
        .any(|prompt| cause.shows.iter().any(|shows| shows.id == prompt.id))
}
