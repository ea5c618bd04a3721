//! A car on which steps are done: what is sealed, covered and repaired, and the readings that follow.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::OnceLock;

use crate::flow::answer::Answer;
use crate::flow::meaning::{Plain, State, What};
use crate::flow::model::{Prompt, Step};
use crate::flow::values::{TEST_NUMBER, Value, Values};
use crate::flow::working::applies;
use crate::physics::uncertainty::Estimate;

use super::car::Car;
use super::hands::Hands;
use super::plan::Plan;
use super::seen::Covered;

/// Takes readings of one car, step by step, consistently.
#[derive(Clone, Debug)]
pub struct Drive<'p> {
    pub(super) plan: &'p Plan<'p>,
    pub(super) car: Car,
    /// Causes whose repair took.
    pub(super) mended: BTreeSet<String>,
    pub(super) sealed: BTreeSet<String>,
    forgotten: BTreeSet<String>,
    pub(super) covered: Vec<Covered>,
    /// Causes that came out as a place was worked, with that place.
    pub(super) revealed: BTreeMap<String, String>,
    test: u32,
    pub(super) set_ups: u64,
    pub(super) visits: BTreeMap<String, u64>,
    /// Somebody closes, covers and feeds by hand; without, everything is as the steps say.
    pub(super) hands: Option<Hands>,
    /// The space under test, m3, once it was asked for.
    pub(super) volume: OnceLock<f64>,
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
            hands: None,
            volume: OnceLock::new(),
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
        let mut known = self.car.facts.clone();
        known.extend(earlier.clone());
        for id in &step.record {
            known.remove(id);
        }
        let mut values = self.values(&known);
        self.take(step, &mut known, &mut values)
    }

    /// Does all of some steps, one after the other, as [`Self::at`] does each; what is read last counts. Quicker for
    /// thousands of cars, since nothing is written out anew for every step.
    pub fn through<'s>(
        &mut self,
        steps: impl Iterator<Item = &'s Step>,
    ) -> BTreeMap<String, Answer> {
        let mut known = self.car.facts.clone();
        let mut values = self.values(&known);
        for step in steps {
            let again = |id: &String| known.contains_key(id);
            if step.record.iter().any(again) {
                for id in &step.record {
                    known.remove(id);
                }
                values = self.values(&known);
            }
            self.take(step, &mut known, &mut values);
        }
        known
    }

    fn take(
        &mut self,
        step: &Step,
        known: &mut BTreeMap<String, Answer>,
        values: &mut Values,
    ) -> BTreeMap<String, Answer> {
        self.set_up(step);
        self.cover_for(step, known);
        let mut taken = BTreeMap::new();
        for prompt in step
            .record
            .iter()
            .filter_map(|id| self.plan.flow.reading(id))
        {
            if !applies(prompt, values) {
                continue;
            }
            let Some(answer) = self.reading(prompt, step, known) else {
                continue;
            };
            let answer = self.stands_at_fed(step, prompt).unwrap_or(answer);
            note(values, prompt, &answer);
            known.insert(prompt.id.clone(), answer.clone());
            taken.insert(prompt.id.clone(), answer);
        }
        let before = taken.clone();
        self.fit_described(step, known, &mut taken);
        for (id, answer) in taken
            .iter()
            .filter(|(id, answer)| before.get(*id) != Some(answer))
        {
            if let Some(prompt) = self.plan.flow.reading(id) {
                note(values, prompt, answer);
            }
        }
        taken
    }

    fn set_up(&mut self, step: &Step) {
        let Some(set_up) = &step.set_up else {
            return;
        };
        self.set_ups += 1;
        if self.hands.is_some() {
            return;
        }
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
        let covers = meanings().any(|m| match m.what {
            What::Plain(Plain::CoveredPlace) => true,
            What::Plain(_) => m.state == State::PlaceCovered,
            _ => false,
        });
        if self.hands.is_some() {
            return;
        }
        if as_it_stands(Plain::SmokeFlow) || as_it_stands(Plain::HoldStart) {
            self.covered.clear();
        }
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
                note(&mut values, prompt, answer);
            }
        }
        values
    }
}

/// Notes an answer among the values, without its interval.
fn note(values: &mut Values, prompt: &Prompt, answer: &Answer) {
    let value = match answer {
        Answer::Quantity(q) => Value::Number(Estimate::exact(q.si())),
        Answer::Choice(word) | Answer::Text(word) => Value::Word(word.clone()),
        Answer::Places(places) => Value::Places(places.keys().cloned().collect()),
        Answer::CouldNotTell(_) => Value::Untold,
        Answer::Pairs(_) => return,
    };
    values.set(&prompt.id, value);
}
