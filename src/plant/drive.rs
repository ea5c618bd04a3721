//! A car on which steps are done: what is sealed, covered and repaired, and the readings that follow.

use std::collections::{BTreeMap, BTreeSet};

use crate::flow::answer::Answer;
use crate::flow::condition::Condition;
use crate::flow::meaning::{Plain, State, What};
use crate::flow::model::{Flow, Prompt, PromptKind, Step};
use crate::flow::signature::ValveFault;
use crate::flow::values::{TEST_NUMBER, Value, Values};
use crate::flow::working::applies;
use crate::physics::decay::Space;
use crate::physics::gas::Gas;
use crate::physics::orifice::area;
use crate::physics::uncertainty::Estimate;

use super::car::{Car, Present};
use super::dice::Dice;
use super::fault::Fault;
use super::plan::{Plan, shown};
use super::seen::{Covered, Leaking};
use super::signature::{self, Drawn, Pusher};
use super::supply::{Stand, Unit};
use super::system::{Hole, Opening, System, Valve};
use super::{invert, usual};

/// Takes readings of one car, step by step, consistently.
#[derive(Clone, Debug)]
pub struct Drive<'p> {
    pub(super) plan: &'p Plan<'p>,
    pub(super) car: Car,
    /// Causes whose repair took.
    mended: BTreeSet<String>,
    sealed: BTreeSet<String>,
    forgotten: BTreeSet<String>,
    pub(super) covered: Vec<Covered>,
    /// Causes that came out as a place was worked, with that place.
    pub(super) revealed: BTreeMap<String, String>,
    test: u32,
    set_ups: u64,
    visits: BTreeMap<String, u64>,
}

impl<'p> Drive<'p> {
    /// A car as it comes in.
    pub fn new(plan: &'p Plan<'p>, car: Car) -> Self {
        Self {
            plan,
            car,
            mended: BTreeSet::new(),
            sealed: BTreeSet::new(),
            forgotten: BTreeSet::new(),
            covered: Vec::new(),
            revealed: BTreeMap::new(),
            test: 1,
            set_ups: 0,
            visits: BTreeMap::new(),
        }
    }

    /// The car.
    pub fn car(&self) -> &Car {
        &self.car
    }

    /// The number of the test: 1 at first, one more after every repair.
    pub fn test(&self) -> u32 {
        self.test
    }

    /// Whether a cause is still there.
    pub fn left(&self, cause: &str) -> bool {
        !self.mended.contains(cause)
    }

    /// Whether anything that is still there makes the complaint.
    pub fn complains(&self) -> bool {
        self.car.complains(|cause| self.left(cause))
    }

    /// From now on an opening stays open though a step says to seal it.
    pub fn forget(&mut self, opening: &str) {
        self.forgotten.insert(opening.to_owned());
    }

    /// A cause is repaired, or the repair does not take. Then the next test begins, with everything put together.
    pub fn repair(&mut self, cause: &str, takes: bool) {
        if takes {
            self.mended.insert(cause.to_owned());
        }
        self.sealed.clear();
        self.covered.clear();
        self.set_ups += 1;
        self.test += 1;
    }

    /// Does a step and takes its readings. `earlier` are the answers that count so far, facts among them.
    pub fn at(
        &mut self,
        step: &Step,
        earlier: &BTreeMap<String, Answer>,
    ) -> BTreeMap<String, Answer> {
        self.set_up(step);
        let mut known = self.car.facts.clone();
        known.extend(earlier.clone());
        for id in &step.record {
            known.remove(id);
        }
        self.cover_for(step, &known);
        let mut values = self.values(&known);
        let mut taken = BTreeMap::new();
        for prompt in step.record.iter().filter_map(|id| self.plan.flow.reading(id)) {
            if !applies(prompt, &values) {
                continue;
            }
            let Some(answer) = self.reading(prompt, step, &known) else {
                continue;
            };
            note(self.plan.flow, &mut values, prompt, &answer);
            known.insert(prompt.id.clone(), answer.clone());
            taken.insert(prompt.id.clone(), answer);
        }
        self.fit_described(step, &mut known, &mut taken);
        taken
    }

    fn set_up(&mut self, step: &Step) {
        let Some(set_up) = &step.set_up else {
            return;
        };
        self.set_ups += 1;
        self.covered.clear();
        for name in &set_up.seal {
            if !self.forgotten.contains(name) {
                self.sealed.insert(name.clone());
            }
        }
        for name in &set_up.open {
            self.sealed.remove(name);
        }
    }

    /// Covers come off before the system is read as it stands; a step that reads with a place covered covers one.
    fn cover_for(&mut self, step: &Step, known: &BTreeMap<String, Answer>) {
        let plan = self.plan;
        let meanings = || step.record.iter().filter_map(|id| plan.meaning(id));
        let as_it_stands = |plain: Plain| {
            meanings().any(|m| m.what == What::Plain(plain) && m.state == State::AsItStands)
        };
        if as_it_stands(Plain::SmokeFlow) || as_it_stands(Plain::HoldStart) {
            self.covered.clear();
        }
        let covers = meanings().any(|m| match m.what {
            What::Plain(Plain::CoveredPlace) => true,
            What::Plain(_) => m.state == State::PlaceCovered,
            _ => false,
        });
        if covers {
            self.cover(known);
        }
    }

    fn values(&self, known: &BTreeMap<String, Answer>) -> Values {
        let mut values = Values::default();
        let number = Estimate::exact(f64::from(self.test));
        values.set(TEST_NUMBER, Value::Number(number));
        for prompt in self.plan.flow.facts.iter().chain(&self.plan.flow.readings) {
            if let Some(answer) = known.get(&prompt.id) {
                note(self.plan.flow, &mut values, prompt, answer);
            }
        }
        values
    }

    /// One reading: what a cause without physics says of it, else physics, else a signature, else what is usual.
    fn reading(
        &mut self,
        prompt: &Prompt,
        step: &Step,
        known: &BTreeMap<String, Answer>,
    ) -> Option<Answer> {
        let visit = self.visits.entry(prompt.id.clone()).or_default();
        *visit += 1;
        let visit = *visit;
        let dice = self.car.dice.fork(&prompt.id, 1000 + visit);
        let plan = self.plan;
        if let Some(meaning) = plan.meaning(&prompt.id) {
            let in_words = self.says(&prompt.id, |present| present.faults.is_empty());
            if !in_words || matches!(prompt.kind, PromptKind::Places(_)) {
                let found = self.physical(prompt, meaning, step, known, &mut dice.clone());
                if found.is_some() {
                    return found;
                }
            }
        }
        let drawn = self.drawn(prompt, step, visit);
        if let Some(answer) = drawn.and_then(|drawn| self.answer(prompt, &drawn, &mut dice.clone())) {
            return Some(answer);
        }
        if matches!(prompt.kind, PromptKind::Places(_)) {
            return Some(self.places(prompt, known));
        }
        if prompt.optional || !usual::answers(&prompt.kind) {
            return None;
        }
        self.usual(prompt, step, dice)
    }

    fn usual(&self, prompt: &Prompt, step: &Step, mut dice: Dice) -> Option<Answer> {
        match &prompt.kind {
            PromptKind::Choice(words) => {
                usual::choice(words, Some(step), &prompt.id).map(Answer::Choice)
            }
            PromptKind::Quantity(asked) => {
                let mut own = self.car.dice.fork(&prompt.id, 3);
                let si = usual::number(asked, Some(step), &prompt.id, &mut own);
                self.read(prompt, si, &mut dice)
            }
            _ => None,
        }
    }

    fn drawn(&self, prompt: &Prompt, step: &Step, visit: u64) -> Option<Drawn> {
        let words: Vec<&str> = match &prompt.kind {
            PromptKind::Choice(words) => words.iter().map(String::as_str).collect(),
            PromptKind::Quantity(_) => Vec::new(),
            _ => return None,
        };
        let with_meaning = self.plan.meaning(&prompt.id).is_some();
        // Where physics gives a reading, a cause that has physics has its say there and not here.
        let pushers = self.pushers(|present| !with_meaning || present.faults.is_empty());
        let mut background = self.background(&prompt.id);
        let decides = |condition: &Condition| condition.subjects().contains(&prompt.id.as_str());
        if step.valid_when.as_ref().is_some_and(decides) {
            // What keeps the readings from counting is seen to before the step is done again.
            background = background.fork("seen to", visit);
        }
        signature::draw(self.plan.flow, &prompt.id, &words, &pushers, &background)
    }

    fn answer(&self, prompt: &Prompt, drawn: &Drawn, dice: &mut Dice) -> Option<Answer> {
        match (drawn, &prompt.kind) {
            (Drawn::Number(si), PromptKind::Quantity(_)) => self.read(prompt, *si, dice),
            (Drawn::Word(word), PromptKind::Choice(words)) if words.contains(word) => {
                Some(Answer::Choice(word.clone()))
            }
            _ => None,
        }
    }

    /// Worked values that signatures describe: the readings of this step that nothing else settles are chosen so
    /// that they come out as drawn.
    fn fit_described(
        &self,
        step: &Step,
        known: &mut BTreeMap<String, Answer>,
        taken: &mut BTreeMap<String, Answer>,
    ) {
        for of in &self.plan.described {
            let id = of.work.id.as_str();
            let in_words = self.says(id, |present| present.faults.is_empty());
            let free: Vec<&Prompt> = of
                .readings
                .iter()
                .filter(|reading| taken.contains_key(**reading))
                .filter(|reading| in_words || self.plan.meaning(reading).is_none())
                .filter(|reading| !self.describes(reading))
                .filter_map(|reading| self.plan.flow.reading(reading))
                .filter(|prompt| step.record.contains(&prompt.id))
                .collect();
            if free.is_empty() {
                continue;
            }
            let words = of.work.calculation.outputs[of.work.take].words;
            let pushers = self.pushers(|present| !in_words || present.faults.is_empty());
            let background = self.background(id);
            let Some(target) = signature::draw(self.plan.flow, id, words, &pushers, &background)
            else {
                continue;
            };
            let mut dice = background.fork(id, 4);
            if let Some(found) = invert::readings(of, &free, known, &target, &mut dice) {
                for (reading, answer) in found {
                    let answer = self.shown(&reading, answer);
                    known.insert(reading.clone(), answer.clone());
                    taken.insert(reading, answer);
                }
            }
        }
    }

    /// Whether a signature speaks of a reading itself.
    fn describes(&self, reading: &str) -> bool {
        shown(&self.plan.flow.healthy, reading).is_some() || self.says(reading, |_| true)
    }

    /// Whether the signature of a cause that is left says something of an id.
    fn says(&self, id: &str, which: impl Fn(&Present) -> bool) -> bool {
        let mut present = self.car.causes.iter();
        present.any(|present| {
            self.left(&present.cause)
                && which(present)
                && self
                    .plan
                    .flow
                    .cause(&present.cause)
                    .is_some_and(|cause| shown(&cause.shows, id).is_some())
        })
    }

    /// The causes that are left, each with chance of its own that never changes.
    pub(super) fn pushers(&self, which: impl Fn(&Present) -> bool) -> Vec<Pusher<'_>> {
        let present = self.car.causes.iter();
        present
            .filter(|present| self.left(&present.cause) && which(present))
            .map(|present| Pusher {
                cause: &present.cause,
                dice: self.car.dice.fork(&present.cause, 5),
            })
            .collect()
    }

    /// Chance of what a sound car shows: it stays as it is until something is set up anew or repaired.
    pub(super) fn background(&self, id: &str) -> Dice {
        self.car.dice.fork(id, 10 + self.set_ups)
    }

    /// What leaks out of the system under test, covered or not.
    pub(super) fn leaking(&self) -> Vec<Leaking> {
        let reading = self.plan.seen().next().map(|prompt| prompt.id.as_str());
        let mut leaking = Vec::new();
        for present in self.car.causes.iter().filter(|p| self.left(&p.cause)) {
            let area: f64 = present.faults.iter().map(|fault| self.lets_out(present, fault)).sum();
            if area <= 0.0 {
                continue;
            }
            let pusher = Pusher {
                cause: &present.cause,
                dice: self.car.dice.fork(&present.cause, 5),
            };
            let place = reading.and_then(|id| signature::place(self.plan.flow, id, &pusher));
            leaking.push(Leaking {
                cause: present.cause.clone(),
                place: place.or_else(|| self.revealed.get(&present.cause).cloned()),
                area,
            });
        }
        leaking
    }

    /// What a fault lets out of the system under test, m2.
    fn lets_out(&self, present: &Present, fault: &Fault) -> f64 {
        match fault {
            Fault::Hole { diameter, place } if self.plan.tests(place) => area(*diameter),
            Fault::Valve {
                name,
                state: ValveFault::StuckOpen,
                rest,
            } => match self.plan.seals.iter().find(|seal| behind(seal, name)) {
                Some(seal) if *seal != name && self.sealed.contains(*seal) => 0.0,
                Some(_) => area(*rest),
                // A valve that no step closes is a hole of the system, if it shows anywhere there.
                None => {
                    let reading = self.plan.seen().next();
                    let shows = reading.and_then(|prompt| {
                        signature::likeliest_place(self.plan.flow, &prompt.id, &present.cause)
                    });
                    shows.map_or(0.0, |_| area(*rest))
                }
            },
            _ => 0.0,
        }
    }

    /// The system under test as it stands; with what is covered covered, or open.
    pub(super) fn system(&self, known: &BTreeMap<String, Answer>, covered: bool) -> System {
        let openings = self.plan.seals.iter().map(|seal| self.opening(seal));
        // What passes a valve that no step closes, and every hole, counts as a hole of its area.
        let holes = self.leaking().into_iter().map(|leak| Hole {
            diameter: crate::physics::orifice::diameter(leak.area),
            covered: covered && self.is_covered(&leak.cause),
        });
        System {
            volume: self.volume(known),
            openings: openings.collect(),
            holes: holes.collect(),
            natural: self.car.natural,
        }
    }

    fn opening(&self, seal: &str) -> Opening {
        let sealed = self.sealed.contains(seal);
        let valve = self.plan.valves.iter().copied().chain(["purge"]).find(|name| behind(seal, name));
        // What passes a stuck valve is among the holes; here are those that nobody closed.
        let valve = valve.map(|name| Valve::obeying(seal == name && !sealed));
        Opening {
            name: seal.to_owned(),
            area: area(self.plan.kind.open),
            sealed,
            valve,
        }
    }

    /// The gas in the space under test, and what it is in.
    pub(super) fn space(&self, known: &BTreeMap<String, Answer>) -> Space {
        let word = self.plan.plain(Plain::SupplyGas).and_then(|prompt| known.get(&prompt.id));
        let gas = match word {
            Some(Answer::Choice(word)) => Gas::named(word).unwrap_or(Gas::Air),
            _ => Gas::Air,
        };
        self.car.space(gas)
    }

    /// The opening that counts for the gas: a liquid leaves a hole by the root of the densities' ratio more slowly.
    pub(super) fn passes(&self, system: &System, space: &Space, set: f64) -> f64 {
        /// Of coolant, kg/m3.
        const LIQUID: f64 = 1050.0;
        let opening = system.opening();
        if self.plan.kind.liquid {
            let density = space.gas.density(space.barometer + set, space.temperature);
            return opening * (density / LIQUID).sqrt();
        }
        opening
    }

    /// The smoke unit, or whatever supplies the pressure.
    pub(super) fn unit(&self) -> Unit {
        let mut own = self.car.dice.fork("smoke unit", 0);
        let own_leak = if self.plan.kind.name == "smoke unit" {
            self.car.natural + self.leaking().iter().map(|leak| leak.area).sum::<f64>()
        } else {
            area(own.between(0.0, 0.000_06))
        };
        Unit {
            set: self.set_pressure(),
            open_flow: self.plan.float_top() * own.between(0.75, 0.85),
            own_leak,
        }
    }

    /// What the supply is set to: the trade's usual value for the system, never near its limit.
    pub(super) fn set_pressure(&self) -> f64 {
        let limit = self.car.limit(self.plan);
        let usual = match (self.plan.kind.name, limit) {
            // 14 inH2O: EPA-AA-RSPD-IM-98-1 (from memory).
            ("fuel vapour", _) => 3_487.2,
            ("charge air", Some(limit)) => 0.5 * limit,
            ("crankcase", Some(limit)) => 0.8 * limit,
            ("cooling", Some(limit)) => 0.93 * limit,
            // About 0.5 psi: common practice, no source.
            _ => 3_400.0,
        };
        limit.map_or(usual, |limit| usual.min(0.95 * limit))
    }

    /// Where float and gauge stand on the system.
    pub(super) fn stand(&self, known: &BTreeMap<String, Answer>, covered: bool) -> Stand {
        let space = self.space(known);
        let unit = self.unit();
        let system = self.system(known, covered);
        unit.on(&space, self.passes(&system, &space, unit.set))
    }
}

/// Whether an opening is the valve of this name, or a line behind it.
fn behind(seal: &str, valve: &str) -> bool {
    seal == valve || seal.strip_prefix(valve).is_some_and(|rest| rest.starts_with(' '))
}

/// Notes an answer among the values, without its interval.
fn note(flow: &Flow, values: &mut Values, prompt: &Prompt, answer: &Answer) {
    let _ = flow;
    let value = match answer {
        Answer::Quantity(q) => Value::Number(Estimate::exact(q.si())),
        Answer::Choice(word) | Answer::Text(word) => Value::Word(word.clone()),
        Answer::Places(places) => Value::Places(places.keys().cloned().collect()),
        Answer::CouldNotTell(_) => Value::Untold,
        Answer::Pairs(_) => return,
    };
    values.set(&prompt.id, value);
}
