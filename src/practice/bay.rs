//! The simulated car in the bay, with the apprentice's hands on it.
//!
//! Nothing is set up by itself: openings are closed one by one, the supply is set and connected, places are covered
//! and looked at. What is forgotten shows in the readings and nowhere else. Every act costs its minutes.

use std::collections::{BTreeMap, BTreeSet};

use super::drawn::Drawn;
use super::harm::Harm;
use super::log::Log;
use super::traps::{Heat, needs_supply, supply_unit};
use crate::flow::answer::Answer;
use crate::flow::model::{Prompt, PromptKind, Step};
use crate::plant::drive::Drive;
use crate::plant::hands::Fed;
use crate::plant::plan::Plan;
use crate::units::Quantity;

mod claims;
mod codes;
mod cost;
mod hands;
mod harmless;
mod repairs;
mod shown;
mod told;
mod tries;
mod written;
mod wrong;

use claims::Claim;
pub use harmless::Faint;
pub use shown::{Taken, is_saved, is_yours};
pub use tries::tried_at;

/// Answers that count where something is read.
pub type Answers = BTreeMap<String, Answer>;

/// An opening as the apprentice believes it to be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Believed {
    /// Open.
    Open,
    /// Closed with their own hands, or seen to be.
    Closed,
    /// A colleague said that it is closed.
    Said,
}

/// One visit of a step.
#[derive(Clone, Debug, Default)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "each is a yes or no of its own: any of them can be so without the others"
)]
struct AtStep {
    /// The step's minutes are paid.
    charged: bool,
    /// What its timer waits for is read, and the waiting paid.
    waited: bool,
    /// Something was answered here since they came.
    answered: bool,
    /// It was left once.
    left: bool,
    /// The car was changed elsewhere since it was read here: what is read now is read and paid anew, but a word that
    /// is only put right costs nothing.
    outdated: bool,
    /// What the car shows at this step, as it was last set up.
    shown: Option<Answers>,
    /// The state of the car in which it showed that.
    state: u64,
    /// Seconds of looking at each place with something there that can show.
    looked: BTreeMap<String, u32>,
    /// The same with nothing fed, where only what is fed shows: nobody can see anything then.
    looked_unfed: BTreeMap<String, u32>,
    /// Places tried on the running engine.
    tried: BTreeSet<String>,
    /// The readings for which the car was asked.
    asked: BTreeSet<String>,
    /// A figure was read or written down.
    figures: bool,
    /// What was said of how the car stands.
    claims: Vec<Claim>,
}

/// The bay.
#[derive(Clone, Debug)]
pub struct Bay<'p> {
    plan: &'p Plan<'p>,
    drawn: Drawn,
    drive: Drive<'p>,
    here: Option<&'p Step>,
    visit: u64,
    /// What was done at this visit of a step.
    at: AtStep,
    /// The same of the visits before: to go back and forth costs nothing and changes no reading.
    before: BTreeMap<u64, AtStep>,
    /// Raised whenever something on the car is changed.
    state: u64,
    heat: Heat,
    draught: bool,
    coarse: Option<String>,
    /// What a colleague said about openings and nobody has looked at since.
    said: BTreeSet<String>,
    fed: Option<Fed>,
    /// Steps whose set-up is in place.
    in_place: BTreeSet<String>,
    /// Openings that the steps so far close.
    wanted: BTreeSet<String>,
    /// What is closed on every car and the steps so far open.
    wanted_open: BTreeSet<String>,
    /// The test in which the control unit's memory was saved last; 0 before any.
    saved_in: u32,
    /// The codes, as they stand in the control unit.
    codes: codes::Codes,
    /// What was done.
    pub log: Log,
}

/// What is closed on every car until a step opens it, and is not closed off by any.
fn ports<'p>(plan: &Plan<'p>) -> impl Iterator<Item = &'p str> {
    let flow = plan.flow;
    let mut ports: Vec<&str> = Vec::new();
    for name in flow
        .steps
        .iter()
        .filter_map(|s| s.set_up.as_ref())
        .flat_map(|s| &s.open)
    {
        if !plan.openings().contains(&name.as_str()) && !ports.contains(&name.as_str()) {
            ports.push(name);
        }
    }
    ports.into_iter()
}

impl<'p> Bay<'p> {
    /// A car as it comes in.
    pub fn new(plan: &'p Plan<'p>, drawn: Drawn) -> Self {
        let mut drive = Drive::new(plan, drawn.car.clone()).by_hand();
        let mut said = BTreeSet::new();
        if let Some(forgotten) = &drawn.traps.forgotten {
            for opening in plan.openings() {
                said.insert((*opening).to_owned());
                if opening != forgotten {
                    drive.close(opening);
                }
            }
        }
        for port in ports(plan) {
            drive.close(port);
        }
        Self {
            plan,
            drive,
            here: None,
            visit: 0,
            at: AtStep::default(),
            before: BTreeMap::new(),
            state: 0,
            heat: drawn.traps.heat,
            draught: drawn.traps.draught,
            coarse: drawn.traps.coarse.clone(),
            said,
            fed: None,
            in_place: BTreeSet::new(),
            wanted: BTreeSet::new(),
            wanted_open: BTreeSet::new(),
            saved_in: 0,
            codes: codes::Codes::default(),
            log: Log::default(),
            drawn,
        }
    }

    /// What is hidden on it.
    pub fn drawn(&self) -> &Drawn {
        &self.drawn
    }

    /// The flow's plan.
    pub fn plan(&self) -> &'p Plan<'p> {
        self.plan
    }

    /// The step where the apprentice is.
    pub fn step(&self) -> Option<&'p Step> {
        self.here
    }

    /// Whether there is an engine: not where the smoke unit itself is tested.
    pub fn has_engine(&self) -> bool {
        self.plan.kind.name != "smoke unit"
    }

    /// How warm the engine is.
    pub fn heat(&self) -> Heat {
        self.heat
    }

    /// Whether there is a draught.
    pub fn draught(&self) -> bool {
        self.draught
    }

    /// The gauge that stands in a range that is too coarse.
    pub fn coarse(&self) -> Option<&str> {
        self.coarse.as_deref()
    }

    /// What the supply is set to, while it is connected.
    pub fn fed(&self) -> Option<Fed> {
        self.fed
    }

    /// Whether anything that is left on the car makes the complaint.
    pub fn complains(&self) -> bool {
        self.drive.complains()
    }

    /// The number of the test.
    pub fn test(&self) -> u32 {
        self.drive.test()
    }

    /// The openings, each as the apprentice believes it to be.
    pub fn openings(&self) -> Vec<(&'p str, Believed)> {
        let believed = |opening: &str| {
            if self.said.contains(opening) {
                Believed::Said
            } else if self.drive.is_closed(opening) {
                Believed::Closed
            } else {
                Believed::Open
            }
        };
        let openings = self.plan.openings().iter().copied();
        openings
            .chain(ports(self.plan))
            .map(|opening| (opening, believed(opening)))
            .collect()
    }

    /// Whether an opening is closed, whoever believes what.
    pub fn is_closed(&self, opening: &str) -> bool {
        self.drive.is_closed(opening)
    }

    /// The places that are covered.
    pub fn covered(&self) -> Vec<String> {
        self.drive.covered().map(str::to_owned).collect()
    }

    /// Seconds of looking at a place at this step so far, whether or not anything could show there.
    pub fn looked(&self, place: &str) -> u32 {
        let unfed = self.at.looked_unfed.get(place).copied().unwrap_or(0);
        self.looked_fed(place) + unfed
    }

    /// Seconds of looking at a place in which something could show there.
    fn looked_fed(&self, place: &str) -> u32 {
        self.at.looked.get(place).copied().unwrap_or(0)
    }

    /// Whether something is fed at a step at which only that shows anything. A supply that is set to nothing feeds
    /// nothing.
    fn can_show(&self, step: &Step) -> bool {
        !needs_supply(self.plan, step) || self.fed.is_some_and(|fed| fed.pressure > 0.0)
    }

    /// The apprentice comes to a step, or away from all steps.
    pub fn arrive(&mut self, step: Option<&str>, visit: u64) {
        if visit == self.visit && step == self.here.map(|here| here.id.as_str()) {
            return;
        }
        let left = std::mem::take(&mut self.at);
        if self.here.is_some() {
            self.before.insert(self.visit, left);
        }
        self.here = step.and_then(|id| self.plan.flow.step(id));
        self.visit = visit;
        if let Some(before) = self.here.and_then(|_| self.before.remove(&visit)) {
            self.at = before;
            self.at.answered = false;
            if self.at.state != self.state && self.at.shown.take().is_some() {
                self.at.outdated = true;
                self.at.asked.clear();
                self.at.tried.clear();
            }
        }
        if let Some(step) = self.here {
            let shut = self.said_shut(step).into_iter();
            self.wanted.extend(shut.map(str::to_owned));
        }
        if let Some(set_up) = self.here.and_then(|step| step.set_up.as_ref()) {
            self.wanted.extend(set_up.seal.iter().cloned());
            for name in &set_up.open {
                self.wanted.remove(name);
            }
            let opened = ports(self.plan).filter(|port| set_up.open.iter().any(|o| o == port));
            self.wanted_open.extend(opened.map(str::to_owned));
        }
    }

    /// Whether the step where they are asks for nothing: it is done, not answered.
    pub fn asks_nothing(&self) -> bool {
        self.here.is_some_and(|step| step.record.is_empty())
    }

    /// The apprentice leaves a step. Its minutes are paid where it was done: where something was read or answered,
    /// or where it asks for nothing and they go on as it says.
    pub fn leave(&mut self, earlier: &Answers, as_it_says: bool) {
        let Some(step) = self.here else {
            return;
        };
        self.log_claims(step);
        let done = self.at.shown.is_some() || self.at.answered || as_it_says;
        if self.at.left || !done {
            return;
        }
        self.at.left = true;
        if self.at.shown.is_none() && step.set_up.is_some() {
            self.drive.at(step, earlier);
        }
        let by_hand = step
            .set_up
            .as_ref()
            .is_some_and(|set_up| !set_up.seal.is_empty() || !set_up.open.is_empty());
        if !by_hand {
            self.pay_set_up(step);
        }
        self.charge(step);
        self.wait(step);
    }

    fn harm(&mut self, harm: Harm) -> Harm {
        self.log.harm = Some(harm.clone());
        harm
    }

    /// Something on the car was changed: what was read at this step, or at one before, is no longer what it shows.
    fn changed(&mut self) {
        self.state += 1;
        self.stale();
    }

    /// What was read at this step must be read anew, and is paid anew where it is.
    fn stale(&mut self) {
        self.at.asked.clear();
        self.at.tried.clear();
        if self.at.shown.take().is_some() || self.at.outdated {
            self.pay_anew();
        }
    }

    /// The step is done once more.
    fn pay_anew(&mut self) {
        self.at.outdated = false;
        self.at.answered = false;
        self.at.charged = false;
        self.at.waited = false;
        self.at.left = false;
    }

    /// The reading of a step that shows places.
    pub fn places(&self, step: &Step) -> Option<&'p Prompt> {
        let mut prompts = step
            .record
            .iter()
            .filter_map(|id| self.plan.flow.reading(id));
        prompts.find(|prompt| matches!(prompt.kind, PromptKind::Places(_)))
    }
}

impl Bay<'_> {
    /// What the supply must never be set above, in the unit in which it is read; nothing where no limit is known.
    pub fn limit(&self) -> Option<Quantity> {
        let limit = self.drive.car().limit(self.plan)?;
        let unit = supply_unit(self.plan.flow);
        let digits = format!("{:.4e}", unit.from_si(limit)).parse();
        Quantity::new(digits.ok()?, unit).ok()
    }

    /// Whether a pressure is above that.
    pub fn is_above_limit(&self, pressure: f64) -> bool {
        let limit = self.drive.car().limit(self.plan);
        limit.is_some_and(|limit| pressure > limit * (1.0 + 1e-9))
    }

    /// Whether the supply is a hand pump that presses a liquid: then there is no gas to choose.
    pub fn is_pumped(&self) -> bool {
        self.plan.kind.liquid
    }

    /// What the supply is usually set to for this system, Pa.
    pub fn usual_pressure(&self) -> f64 {
        self.drive.usual_pressure()
    }

    /// The place that shows most and is not covered yet.
    pub fn shows_most(&self, earlier: &Answers) -> Option<String> {
        self.drive.shows_most(earlier)
    }
}
