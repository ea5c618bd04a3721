//! The simulated car in the bay, with the apprentice's hands on it.
//!
//! Nothing is set up by itself: openings are closed one by one, the supply is set and connected, places are covered
//! and looked at. What is forgotten shows in the readings and nowhere else. Every act costs its minutes.

use std::collections::{BTreeMap, BTreeSet};

use super::drawn::Drawn;
use super::harm::Harm;
use super::log::{Log, Misread, Repair, Wrong, costs};
use super::look::{self, There};
use super::traps::{Heat, burns, is_fed, needs_supply, reads_running};
use crate::flow::answer::{Answer, Strength};
use crate::flow::cautions::about_limit_of;
use crate::flow::meaning::{Plain, State, What};
use crate::flow::model::{Phase, Prompt, PromptKind, Step};
use crate::physics::gas::Gas;
use crate::plant::drive::Drive;
use crate::plant::hands::Fed;
use crate::plant::plan::Plan;
use crate::units::Dimension;

mod shown;

pub use shown::{Taken, is_yours};

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

/// The bay.
#[derive(Clone, Debug)]
pub struct Bay<'p> {
    plan: &'p Plan<'p>,
    drawn: Drawn,
    drive: Drive<'p>,
    here: Option<&'p Step>,
    visit: u64,
    /// The step's minutes are paid.
    charged: bool,
    /// What the car shows at this step, as it was last set up.
    shown: Option<Answers>,
    /// Seconds of looking at each place.
    looked: BTreeMap<String, u32>,
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
            charged: false,
            shown: None,
            looked: BTreeMap::new(),
            heat: drawn.traps.heat,
            draught: drawn.traps.draught,
            coarse: drawn.traps.coarse.clone(),
            said,
            fed: None,
            in_place: BTreeSet::new(),
            wanted: BTreeSet::new(),
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

    /// The places that are covered.
    pub fn covered(&self) -> Vec<String> {
        self.drive.covered().map(str::to_owned).collect()
    }

    /// Seconds of looking at a place at this step so far.
    pub fn looked(&self, place: &str) -> u32 {
        self.looked.get(place).copied().unwrap_or(0)
    }

    /// The apprentice comes to a step, or away from all steps.
    pub fn arrive(&mut self, step: Option<&str>, visit: u64) {
        if visit == self.visit && step == self.here.map(|here| here.id.as_str()) {
            return;
        }
        self.here = step.and_then(|id| self.plan.flow.step(id));
        self.visit = visit;
        self.charged = false;
        self.shown = None;
        self.looked.clear();
        if let Some(set_up) = self.here.and_then(|step| step.set_up.as_ref()) {
            self.wanted.extend(set_up.seal.iter().cloned());
            for name in &set_up.open {
                self.wanted.remove(name);
            }
        }
    }

    /// The apprentice leaves a step that they have done.
    pub fn leave(&mut self, earlier: &Answers) {
        let Some(step) = self.here else {
            return;
        };
        if self.shown.is_none() && step.set_up.is_some() {
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
    }

    /// Closes an opening.
    pub fn close(&mut self, opening: &str) -> Option<Harm> {
        self.pay_for_hands();
        if self.heat == Heat::Hot && burns(self.plan.flow) {
            let caution = match self.plan.flow.system.as_str() {
                "cooling" => "hot-cooling-system",
                _ => "exhaust-gas",
            };
            return self.harm(Harm::Hot(caution.to_owned()));
        }
        self.said.remove(opening);
        self.drive.close(opening);
        self.changed();
        None
    }

    /// Opens an opening again.
    pub fn open(&mut self, opening: &str) {
        self.pay_for_hands();
        self.said.remove(opening);
        self.drive.open(opening);
        self.changed();
    }

    /// Sets the supply and connects it. `missing` is a caution that nobody has accepted yet.
    pub fn feed(&mut self, fed: Fed, missing: Option<&str>) -> Option<Harm> {
        if let Some(caution) = missing {
            return self.harm(Harm::NotAccepted(caution.to_owned()));
        }
        let limit = self.drive.car().limit(self.plan);
        if limit.is_some_and(|limit| fed.pressure > limit * (1.0 + 1e-9)) {
            return self.harm(Harm::AboveLimit(self.of_pressure()));
        }
        if self.plan.kind.name == "fuel vapour" && fed.gas == Gas::Air {
            return self.harm(Harm::AirIntoVapour);
        }
        self.fed = Some(fed);
        self.drive.feed(Some(fed));
        self.changed();
        None
    }

    /// The caution of this flow that speaks of too high a pressure.
    fn of_pressure(&self) -> String {
        let flow = self.plan.flow;
        let named = |id: &str| {
            flow.cautions.iter().any(|c| c == id)
                || flow
                    .steps
                    .iter()
                    .any(|step| step.cautions.iter().any(|c| c == id))
        };
        let about = about_limit_of(Dimension::Pressure);
        let caution = about.iter().find(|id| named(id));
        (*caution.unwrap_or(&"eye-protection")).to_owned()
    }

    /// Takes the supply off.
    pub fn supply_off(&mut self) {
        self.fed = None;
        self.drive.feed(None);
        self.changed();
    }

    /// Covers a place.
    pub fn cover(&mut self, place: &str, earlier: &Answers) {
        if self.drive.covered().any(|covered| covered == place) {
            return;
        }
        self.spend(costs::COVER);
        self.drive.cover_place(place, earlier);
        self.changed();
    }

    /// Takes all covers off.
    pub fn uncover(&mut self) {
        self.spend(costs::COVER);
        self.drive.uncover();
        self.changed();
    }

    /// Looks at a place with the lamp; what is seen there by now.
    pub fn look(&mut self, place: &str, seconds: u32, earlier: &Answers) -> Option<Strength> {
        self.read(earlier);
        self.spend(f64::from(seconds) / 60.0);
        *self.looked.entry(place.to_owned()).or_default() += seconds;
        self.seen(place, earlier)
    }

    /// What is seen at a place after the looking so far.
    fn seen(&self, place: &str, earlier: &Answers) -> Option<Strength> {
        let step = self.here?;
        if needs_supply(self.plan, step) && self.fed.is_none() {
            return None;
        }
        let shown = self.shown.as_ref()?;
        let mut all = shown.values();
        let strength = all.find_map(|answer| match answer {
            Answer::Places(places) => places.get(place).copied(),
            _ => None,
        })?;
        let flows = self.drive.flows_out(earlier);
        let flow = flows
            .get(place)
            .map(|flow| (*flow, self.plan.kind.seen_from));
        let own = self.drawn.dice.fork(place, 100 + u64::from(self.test()));
        let takes = look::takes(There { strength, flow }, self.draught, &own);
        (f64::from(self.looked(place)) >= takes).then_some(strength)
    }

    /// Goes round every plug, cap and clamp: each opening, and whether it is closed.
    pub fn go_round(&mut self) -> Vec<(&'p str, bool)> {
        self.spend(costs::ROUND);
        self.said.clear();
        let openings = self.plan.openings().iter();
        openings
            .map(|opening| (*opening, self.drive.is_closed(opening)))
            .collect()
    }

    /// Runs the engine until it is warm.
    pub fn warm(&mut self) -> Option<Harm> {
        if self.fed.is_some() {
            return self.harm(Harm::RanWithSupply);
        }
        if self.heat == Heat::Cold {
            self.spend(costs::WARM);
            self.heat = Heat::Warm;
            self.changed();
        }
        None
    }

    /// Lets the engine cool.
    pub fn cool(&mut self) {
        if self.heat != Heat::Cold {
            self.spend(costs::COOL);
            self.heat = Heat::Cold;
            self.changed();
        }
    }

    /// Shuts the door of the bay.
    pub fn shut_door(&mut self) {
        if self.draught {
            self.spend(costs::DOOR);
            self.draught = false;
        }
    }

    /// Looks at the ranges of the gauges: each, and whether it fits.
    pub fn see_gauges(&mut self) -> Vec<(String, bool)> {
        self.spend(costs::GAUGES);
        let gauges = self.plan.flow.gauges.iter();
        gauges
            .map(|gauge| {
                let fits = self.coarse.as_deref() != Some(gauge.id.as_str());
                (gauge.name.clone(), fits)
            })
            .collect()
    }

    /// Sets a gauge to the range that fits.
    pub fn set_range(&mut self, gauge: &str) {
        self.spend(costs::RANGE);
        if self.coarse.as_deref() == Some(gauge) {
            self.coarse = None;
            self.changed();
        }
    }

    /// A cause is repaired. Everything is put together again for the next test.
    pub fn repair(&mut self, cause: &str) {
        let test = self.test();
        let hidden = self.drawn.hidden.iter().any(|hidden| hidden == cause);
        let needed = hidden && self.drive.left(cause);
        let flow = self.plan.flow;
        let (name, minutes) = flow
            .cause(cause)
            .map_or((cause, 0.0), |cause| (cause.name.as_str(), cause.minutes));
        self.log
            .spend(cause, &format!("repair: {name}"), test, minutes);
        self.log.repairs.push(Repair {
            cause: cause.to_owned(),
            needed,
            test,
        });
        self.drive.repair(cause, true);
        self.drive.feed(None);
        for port in ports(self.plan) {
            self.drive.close(port);
        }
        self.fed = None;
        self.said.clear();
        self.in_place.clear();
        self.wanted.clear();
        self.shown = None;
    }

    /// Whether a part that is opened looks bad: it is on the car and was not repaired.
    pub fn part_is_bad(&self, cause: &str) -> bool {
        let mut present = self.drawn.car.causes.iter();
        present.any(|present| present.cause == cause) && self.drive.left(cause)
    }

    /// What somebody wrote down for a reading; covering a place may go with it.
    pub fn said(&mut self, reading: &str, value: &Answer, earlier: &Answers) {
        let Some(prompt) = self.plan.flow.reading(reading) else {
            return;
        };
        let covered = Some(&What::Plain(Plain::CoveredPlace));
        if self.plan.meaning(reading).map(|m| &m.what) == covered {
            if let Answer::Choice(word) = value
                && !self.is_covered_as(prompt, word, earlier)
            {
                self.cover(word, earlier);
            }
            return;
        }
        if is_yours(self.plan, prompt) || matches!(prompt.kind, PromptKind::Pairs(_)) {
            return;
        }
        let stood = match self.taken(prompt, earlier) {
            Taken::Reads(stood) => stood,
            _ => return,
        };
        if stood != *value && !matches!(value, Answer::CouldNotTell(_)) {
            self.log.misread.push(Misread {
                reading: reading.to_owned(),
                stood,
                said: value.clone(),
            });
        }
    }

    /// Whether a place is covered that this reading calls so.
    fn is_covered_as(&self, prompt: &Prompt, word: &str, earlier: &Answers) -> bool {
        self.drive.covered().any(|place| {
            let said = self.drive.word_of_place(prompt, place, earlier);
            said.as_deref() == Some(word)
        })
    }

    pub(super) fn harm(&mut self, harm: Harm) -> Option<Harm> {
        self.log.harm = Some(harm.clone());
        Some(harm)
    }

    /// What was read at this step is no longer what the car shows.
    fn changed(&mut self) {
        if self.shown.take().is_some() {
            self.charged = false;
        }
    }

    fn spend(&mut self, minutes: f64) {
        let test = self.test();
        let (id, what) = self
            .here
            .map_or(("", "between steps"), |step| (&step.id, &step.title));
        self.log.spend(id, what, test, minutes);
    }

    /// The step's own minutes, once a visit. Where places are looked at, each look costs its own time instead.
    fn charge(&mut self, step: &Step) {
        if self.charged {
            return;
        }
        self.charged = true;
        let minutes = if self.places(step).is_some() {
            0.0
        } else {
            step.minutes
        };
        self.spend(minutes);
    }

    /// The reading of a step that shows places.
    pub fn places(&self, step: &Step) -> Option<&'p Prompt> {
        let mut prompts = step
            .record
            .iter()
            .filter_map(|id| self.plan.flow.reading(id));
        prompts.find(|prompt| matches!(prompt.kind, PromptKind::Places(_)))
    }

    /// Minutes of the set-up, the first time in a test.
    fn pay_set_up(&mut self, step: &Step) {
        if let Some(set_up) = &step.set_up
            && self.in_place.insert(step.id.clone())
        {
            self.spend(set_up.minutes);
        }
    }

    /// Hands on an opening: the set-up of the step, if that is not paid yet; else a minute.
    fn pay_for_hands(&mut self) {
        match self.here {
            Some(step) if step.set_up.is_some() && !self.in_place.contains(&step.id) => {
                self.pay_set_up(step);
            }
            // In the course of one set-up each further opening is part of it.
            Some(step) if step.set_up.is_some() && self.shown.is_none() => {}
            _ => self.spend(costs::AGAIN),
        }
    }

    /// What is wrong with what is read at a step.
    fn wrong(&self, step: &Step) -> Vec<Wrong> {
        let mut wrong = Vec::new();
        let fed = is_fed(self.plan.flow);
        if self.reads_system(step) && (!fed || needs_supply(self.plan, step)) {
            let open = self.wanted.iter().filter(|o| !self.drive.is_closed(o));
            wrong.extend(open.cloned().map(Wrong::Open));
        }
        if needs_supply(self.plan, step) && self.fed.is_none() {
            wrong.push(Wrong::NoSupply);
        }
        if reads_running(self.plan, step) && self.heat == Heat::Cold {
            wrong.push(Wrong::Cold);
        }
        if let Some(coarse) = &self.coarse
            && self.reads_on(step, coarse)
        {
            wrong.push(Wrong::Coarse(coarse.clone()));
        }
        wrong
    }

    /// Whether a step reads the closed system, so that an opening left open shows.
    fn reads_system(&self, step: &Step) -> bool {
        if !matches!(
            step.phase,
            Phase::Pressurise | Phase::Inspect | Phase::Judge
        ) {
            return false;
        }
        let fed = is_fed(self.plan.flow);
        step.record.iter().any(|id| {
            let places = self
                .plan
                .flow
                .reading(id)
                .is_some_and(|prompt| matches!(prompt.kind, PromptKind::Places(_)));
            places
                || !fed
                || self.plan.meaning(id).is_some_and(|meaning| {
                    matches!(meaning.state, State::AsItStands | State::PlaceCovered)
                        && matches!(
                            meaning.what,
                            What::Plain(Plain::SmokeFlow | Plain::SmokePressure)
                                | What::Plain(Plain::HoldStart | Plain::HoldEnd)
                        )
                })
        })
    }

    fn reads_on(&self, step: &Step, gauge: &str) -> bool {
        let mut prompts = step
            .record
            .iter()
            .filter_map(|id| self.plan.flow.reading(id));
        prompts.any(|prompt| shown::is_on(prompt, gauge))
    }
}

impl Bay<'_> {
    /// The gauge that a step reads on though it stands in a range that is too coarse.
    pub fn coarse_here(&self, step: &Step) -> Option<String> {
        let coarse = self.coarse.as_deref()?;
        self.reads_on(step, coarse).then(|| coarse.to_owned())
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

impl Bay<'_> {
    /// What somebody sees who glances round the bay, without looking at anything further.
    pub fn glance(&self) -> String {
        let supply = match self.fed {
            Some(fed) => format!(
                "{} connected at {:.1} kPa",
                fed.gas_word(),
                fed.pressure / 1000.0
            ),
            None => "no supply connected".to_owned(),
        };
        let door = if self.draught {
            "door open"
        } else {
            "no draught"
        };
        let mut words = vec![self.heat.words().to_owned(), supply, door.to_owned()];
        let covered = self.covered();
        if !covered.is_empty() {
            words.push(format!("covered: {}", covered.join(", ")));
        }
        words.join("; ")
    }
}
