//! Readings that make a way through a flow happen: a seeded random search over choices, places and
//! numbers, led by how far each condition on the way is from holding.

use std::collections::{BTreeMap, BTreeSet};

use ruleout::flow::answer::{Answer, Strength};
use ruleout::flow::choice::{Choice, choose};
use ruleout::flow::condition::Condition;
use ruleout::flow::model::{Arg, Flow, Limit, Prompt, PromptKind};
use ruleout::flow::values::Values;
use ruleout::flow::working::{Known, picture};
use ruleout::units::{Dimension, Quantity, Unit};

use super::distance::{limits_of, short};
use super::plan::{Stop, Want};

/// So many changes without any gain end a round.
const IN_VAIN: usize = 90;

/// A small generator (SplitMix64): the same readings in every run.
pub struct Dice(pub u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }
    fn below(&mut self, n: usize) -> usize {
        usize::try_from(self.next() % n.max(1) as u64).unwrap()
    }
    /// From 0 to 1.
    fn unit(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }
    fn between(&mut self, from: f64, to: f64) -> f64 {
        from + self.unit() * (to - from)
    }
}

/// Where an answer is given: a fact (no stop), or a reading at a stop of the way.
pub type Slot = (Option<usize>, String);

/// What is answered, and where.
pub type Script = BTreeMap<Slot, Answer>;

/// One stop with what its conditions rest on, so that nothing else is worked out for it.
struct Lens {
    flow: Flow,
    ids: BTreeSet<String>,
    stop: Stop,
}

/// A way and everything that is asked on it.
pub struct Search<'f> {
    flow: &'f Flow,
    test: u32,
    lenses: Vec<Lens>,
    /// Everything that may be answered.
    slots: Vec<Slot>,
    fixed: BTreeSet<Slot>,
}

/// Adds what an id is worked from.
fn rests_on(flow: &Flow, id: &str, ids: &mut BTreeSet<String>) {
    if !ids.insert(id.to_owned()) {
        return;
    }
    if let Some(work) = flow.work(id) {
        for (_, arg) in &work.inputs {
            arg_rests_on(flow, arg, ids);
        }
    }
    if let Some(prompt) = flow.prompt(id) {
        for id in prompt.only_if.iter().flat_map(Condition::subjects) {
            rests_on(flow, id, ids);
        }
        if let PromptKind::Quantity(q) = &prompt.kind
            && let Some(Limit::Fact(fact)) = &q.never_above
        {
            rests_on(flow, fact, ids);
        }
    }
}

fn arg_rests_on(flow: &Flow, arg: &Arg, ids: &mut BTreeSet<String>) {
    match arg {
        Arg::Constant(_) | Arg::Word(_) => {}
        Arg::Of(id) | Arg::PairsOf(id) => rests_on(flow, id, ids),
        Arg::List(items) => items.iter().for_each(|item| arg_rests_on(flow, item, ids)),
        Arg::Rows(rows) => {
            for item in rows.iter().flatten().flatten() {
                arg_rests_on(flow, item, ids);
            }
        }
    }
}

impl<'f> Search<'f> {
    /// A way in the first test, or in a later one; facts may be settled already.
    pub fn new(flow: &'f Flow, way: &[Stop], test: u32, facts: &Script) -> Self {
        let lenses: Vec<Lens> = way.iter().map(|stop| lens(flow, *stop)).collect();
        let mut slots: Vec<Slot> = flow.facts.iter().map(|f| (None, f.id.clone())).collect();
        for (n, (step, _)) in way.iter().enumerate() {
            for id in &flow.steps[*step].record {
                if !flow.reading(id).unwrap().optional {
                    slots.push((Some(n), id.clone()));
                }
            }
        }
        Self {
            flow,
            test,
            lenses,
            slots,
            fixed: facts.keys().cloned().collect(),
        }
    }

    /// Answers that lead along the way, if one round of the search finds any. `near` are answers
    /// to begin with, from a way that is the same for a while.
    pub fn solve(&self, facts: &Script, near: &Script, dice: &mut Dice) -> Option<Script> {
        let mut script = facts.clone();
        for slot in &self.slots {
            if !script.contains_key(slot) {
                let answer = near.get(slot).cloned();
                let answer = answer.unwrap_or_else(|| self.fresh(slot, &script, dice));
                script.insert(slot.clone(), answer);
            }
        }
        let stops = 0..self.lenses.len();
        let mut losses: Vec<f64> = stops.clone().map(|n| self.loss(n, &script)).collect();
        let mut in_vain = 0;
        while in_vain < IN_VAIN {
            let Some(worst) = some_unmet(&losses, dice) else {
                break;
            };
            let slot = self.lever(worst, dice)?;
            let old = script.insert(slot.clone(), self.moved(&slot, &script, dice));
            let mut anew = losses.clone();
            for n in stops.clone().filter(|n| self.touches(*n, &slot)) {
                anew[n] = self.loss(n, &script);
                if total(&anew[..=n]) > total(&losses) {
                    break; // It is worse already, whatever the later stops say.
                }
            }
            let (before, after) = (total(&losses), total(&anew));
            in_vain = if after < before { 0 } else { in_vain + 1 };
            if after <= before {
                losses = anew;
            } else if let Some(old) = old {
                script.insert(slot, old);
            }
        }
        let met = stops.clone().all(|n| self.happens(n, &script));
        met.then_some(script)
    }

    /// Something to change that a stop's conditions rest on.
    fn lever(&self, stop: usize, dice: &mut Dice) -> Option<Slot> {
        let levers: Vec<&Slot> = self
            .slots
            .iter()
            .filter(|slot| !self.fixed.contains(*slot) && self.touches(stop, slot))
            .collect();
        (!levers.is_empty()).then(|| levers[dice.below(levers.len())].clone())
    }

    fn touches(&self, stop: usize, (at, id): &Slot) -> bool {
        at.is_none_or(|at| at <= stop) && self.lenses[stop].ids.contains(id)
    }

    /// What is known at a stop, of what its conditions rest on.
    fn known(&self, stop: usize, script: &Script) -> BTreeMap<String, Answer> {
        let lens = &self.lenses[stop];
        let mut known = BTreeMap::new();
        for ((at, id), answer) in script {
            if at.is_none_or(|at| at <= stop) && lens.ids.contains(id) {
                known.insert(id.clone(), answer.clone());
            }
        }
        if lens.stop.1 == Want::Unsure {
            for id in &self.flow.steps[lens.stop.0].record {
                known.insert(id.clone(), Answer::CouldNotTell("dark".to_owned()));
            }
        }
        known
    }

    fn values(&self, stop: usize, script: &Script) -> Values {
        let answers = self.known(stop, script);
        let known = Known {
            answers: &answers,
            test_number: self.test,
        };
        picture(&self.lenses[stop].flow, known).values
    }

    /// How far a stop is from ending as wanted; 0 where it does.
    fn loss(&self, stop: usize, script: &Script) -> f64 {
        let lens = &self.lenses[stop];
        let step = &self.flow.steps[lens.stop.0];
        let values = self.values(stop, script);
        let valid = step.valid_when.as_ref();
        let limits = self.over_limits(stop, script);
        limits
            + match lens.stop.1 {
                Want::NotValid => valid.map_or(0.0, |c| short(c, false, &values)),
                Want::Unsure => 0.0,
                Want::Outcome(wanted) => {
                    let earlier = step.outcomes[..wanted].iter();
                    valid.map_or(0.0, |c| short(c, true, &values))
                        + short(&step.outcomes[wanted].when, true, &values)
                        + earlier.map(|o| short(&o.when, false, &values)).sum::<f64>()
                }
            }
    }

    /// Readings of this stop above a limit that a fact sets.
    fn over_limits(&self, stop: usize, script: &Script) -> f64 {
        let step = &self.flow.steps[self.lenses[stop].stop.0];
        let over = step.record.iter().filter_map(|id| {
            let PromptKind::Quantity(q) = &self.flow.reading(id)?.kind else {
                return None;
            };
            let Some(Limit::Fact(fact)) = &q.never_above else {
                return None;
            };
            let read = number(script.get(&(Some(stop), id.clone()))?)?;
            let limit = number(script.get(&(None, fact.clone()))?)?;
            Some((read - limit).max(0.0) / limit.abs().max(1.0))
        });
        over.sum()
    }

    /// Whether a stop ends as wanted, by the engine's own rule.
    fn happens(&self, stop: usize, script: &Script) -> bool {
        let lens = &self.lenses[stop];
        if self.over_limits(stop, script) > 0.0 {
            return false;
        }
        let answers = self.known(stop, script);
        let picture = picture(
            &lens.flow,
            Known {
                answers: &answers,
                test_number: self.test,
            },
        );
        let mut step = self.flow.steps[lens.stop.0].clone();
        step.record.retain(|id| lens.ids.contains(id));
        let choice = choose(&lens.flow, &step, &picture);
        match (choice, lens.stop.1) {
            (Choice::Matches(outcome), Want::Outcome(n)) => step.outcomes[n].id == outcome.id,
            (Choice::NotValid { .. }, Want::NotValid) | (Choice::Unsure { .. }, Want::Unsure) => {
                true
            }
            _ => false,
        }
    }

    fn prompt(&self, slot: &Slot) -> &'f Prompt {
        self.flow.prompt(&slot.1).unwrap()
    }

    fn fresh(&self, slot: &Slot, script: &Script, dice: &mut Dice) -> Answer {
        match &self.prompt(slot).kind {
            PromptKind::Quantity(q) => {
                let (from, to) = range(q);
                quantity(dice.between(from, to), q.unit)
            }
            PromptKind::Choice(words) => Answer::Choice(words[dice.below(words.len())].clone()),
            PromptKind::Places(places) => {
                let mut shown = BTreeMap::new();
                for _ in 0..[0, 1, 1, 1, 2][dice.below(5)] {
                    let place = places[dice.below(places.len())].clone();
                    shown.insert(place, Strength::Steady);
                }
                Answer::Places(shown)
            }
            PromptKind::Pairs(_) => self.sweep(slot, script, dice),
            PromptKind::Text => Answer::Text("noted".to_owned()),
        }
    }

    /// Another answer: a number moves a little, goes to a limit, or near one of its kind.
    fn moved(&self, slot: &Slot, script: &Script, dice: &mut Dice) -> Answer {
        let PromptKind::Quantity(q) = &self.prompt(slot).kind else {
            return self.fresh(slot, script, dice);
        };
        let now = script.get(slot).and_then(number).unwrap_or(0.0);
        let scale = [0.003, 0.02, 0.1, 0.4][dice.below(4)] * dice.between(-1.0, 1.0);
        let si = match dice.below(5) {
            0 => return self.fresh(slot, script, dice),
            1 => {
                let limits = self.limits(&slot.1);
                match limits.get(dice.below(limits.len())) {
                    Some(limit) => limit + scale * limit.abs().max(q.unit.step_to_si(1.0)),
                    None => return self.fresh(slot, script, dice),
                }
            }
            2 => {
                let alike = self.alike(slot, q.unit.dimension(), script);
                match alike.get(dice.below(alike.len())) {
                    Some(other) => other * (1.0 + scale),
                    None => return self.fresh(slot, script, dice),
                }
            }
            _ => now + scale * now.abs().max(q.unit.step_to_si(1.0)),
        };
        let (from, to) = range(q);
        quantity(q.unit.from_si(si).clamp(from, to), q.unit)
    }

    /// Other numbers of the same kind that were answered.
    fn alike(&self, slot: &Slot, dimension: Dimension, script: &Script) -> Vec<f64> {
        let others = self.slots.iter().filter(|other| *other != slot);
        others
            .filter_map(|other| match script.get(other)? {
                Answer::Quantity(q) if q.dimension() == dimension => Some(q.si()),
                _ => None,
            })
            .collect()
    }

    /// Every limit that a condition sets for an id.
    fn limits(&self, id: &str) -> Vec<f64> {
        let mut found = Vec::new();
        for lens in &self.lenses {
            let step = &self.flow.steps[lens.stop.0];
            let conditions = step.outcomes.iter().map(|o| &o.when);
            for condition in conditions.chain(&step.valid_when) {
                limits_of(condition, id, &mut found);
            }
        }
        found
    }

    /// A sweep near the line that the facts give, more or less off and bent.
    fn sweep(&self, slot: &Slot, script: &Script, dice: &mut Dice) -> Answer {
        let PromptKind::Pairs(pairs) = &self.prompt(slot).kind else {
            return Answer::Pairs(Vec::new());
        };
        let fact = |dimension: Dimension| {
            let mut facts = script.iter().filter(|((at, _), _)| at.is_none());
            facts.find_map(|(_, answer)| match answer {
                Answer::Quantity(q) if q.dimension() == dimension => Some(q.si()),
                _ => None,
            })
        };
        let gain = fact(Dimension::VoltagePerPressure).unwrap_or(4e-5);
        let zero = fact(Dimension::Voltage).unwrap_or(0.0);
        let off = [0.0, 0.001, 0.02, 0.3][dice.below(4)] * dice.between(-1.0, 1.0);
        let bend = [0.0, 0.0, 0.01, 0.4][dice.below(4)] * dice.between(-1.0, 1.0);
        let rows = (0..pairs.at_least.max(8)).map(|n| {
            let share = n as f64 / 7.0;
            let pressure = 30_000.0 + 70_000.0 * share;
            let line = zero + gain * pressure;
            let span = gain * 70_000.0;
            let signal = line + off * span + bend * span * share * (1.0 - share);
            let cell = |si: f64, unit: ruleout::units::Unit| {
                Quantity::new(unit.from_si(si), unit).unwrap()
            };
            (cell(pressure, pairs.first.1), cell(signal, pairs.second.1))
        });
        Answer::Pairs(rows.collect())
    }
}

fn lens(flow: &Flow, stop: Stop) -> Lens {
    let step = &flow.steps[stop.0];
    let mut ids = BTreeSet::new();
    let conditions = step.outcomes.iter().map(|o| &o.when);
    for condition in conditions.chain(&step.valid_when) {
        for id in condition.subjects() {
            rests_on(flow, id, &mut ids);
        }
    }
    let mut small = flow.clone();
    small.worked.retain(|work| ids.contains(&work.id));
    Lens {
        flow: small,
        ids,
        stop,
    }
}

/// A number with its unit; things are counted in whole numbers.
fn quantity(value: f64, unit: Unit) -> Answer {
    let value = if unit.dimension() == Dimension::Count {
        value.round()
    } else {
        value
    };
    Answer::Quantity(Quantity::new(value, unit).unwrap())
}

/// The range, in the prompt's unit, that a number is taken from.
fn range(q: &ruleout::flow::model::QuantityPrompt) -> (f64, f64) {
    let (from, mut to) = match &q.plausible {
        Some((from, to)) => (q.unit.from_si(from.si()), q.unit.from_si(to.si())),
        None => (0.0, 100.0),
    };
    if let Some(Limit::Constant(limit)) = &q.never_above {
        to = to.min(q.unit.from_si(limit.si()));
    }
    (from, to)
}

fn number(answer: &Answer) -> Option<f64> {
    match answer {
        Answer::Quantity(q) => Some(q.si()),
        _ => None,
    }
}

fn some_unmet(losses: &[f64], dice: &mut Dice) -> Option<usize> {
    let unmet: Vec<usize> = (0..losses.len()).filter(|n| losses[*n] > 0.0).collect();
    (!unmet.is_empty()).then(|| unmet[dice.below(unmet.len())])
}

fn total(losses: &[f64]) -> f64 {
    losses.iter().sum()
}
