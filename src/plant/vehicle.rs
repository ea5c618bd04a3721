//! The vehicle that a complaint comes in with: its facts, its engine, its sensor's line.

use std::collections::BTreeMap;

use crate::flow::answer::Answer;
use crate::flow::condition::Truth;
use crate::flow::meaning::Plain;
use crate::flow::model::{Prompt, PromptKind};
use crate::flow::values::{Value as Known, Values};
use crate::physics::atmosphere;
use crate::physics::sensor::Transfer;
use crate::physics::uncertainty::Estimate;
use crate::units::Quantity;

use super::dice::Dice;
use super::engine::{Engine, Metering, Point};
use super::plan::Plan;
use super::scale::rounded;
use super::usual;

/// Facts of a car on which these causes can be there at all: one without a sunroof has no blocked drain.
pub(super) fn fitting_facts(
    plan: &Plan,
    given: &BTreeMap<String, Answer>,
    present: &[&str],
    dice: &Dice,
) -> BTreeMap<String, Answer> {
    let mut drawn = facts(plan, given, dice);
    for again in 1..16 {
        if present.iter().all(|cause| can_be(plan, cause, &drawn)) {
            break;
        }
        drawn = facts(plan, given, &dice.fork("again", again));
    }
    drawn
}

/// Whether what a cause shows first is asked on a car with these facts.
fn can_be(plan: &Plan, cause: &str, facts: &BTreeMap<String, Answer>) -> bool {
    let shows = plan.flow.cause(cause).map_or(&[][..], |cause| &cause.shows);
    let first = shows.iter().find_map(|shows| plan.flow.reading(&shows.id));
    let Some(condition) = first.and_then(|prompt| prompt.only_if.as_ref()) else {
        return true;
    };
    let mut values = Values::default();
    for (id, answer) in facts {
        match answer {
            Answer::Choice(word) => values.set(id, Known::Word(word.clone())),
            Answer::Quantity(q) => values.set(id, Known::Number(Estimate::exact(q.si()))),
            _ => {}
        }
    }
    condition.truth(&values) != Truth::No
}

/// The facts that were given, and the rest as cars come in.
fn facts(plan: &Plan, given: &BTreeMap<String, Answer>, dice: &Dice) -> BTreeMap<String, Answer> {
    let mut facts = given.clone();
    for prompt in &plan.flow.facts {
        if let (false, Some(answer)) = (facts.contains_key(&prompt.id), fact(plan, prompt, dice)) {
            facts.insert(prompt.id.clone(), answer);
        }
    }
    facts
}

fn fact(plan: &Plan, prompt: &Prompt, dice: &Dice) -> Option<Answer> {
    let mut dice = dice.fork(&prompt.id, 2);
    match &prompt.kind {
        PromptKind::Choice(words) => {
            // What a technician does not know is drawn seldom: the last word is taken to be "unknown".
            let known = words.len() - usize::from(words.last().is_some_and(|w| w == "unknown"));
            words.get(dice.one_of(known)).cloned().map(Answer::Choice)
        }
        PromptKind::Quantity(asked) => {
            let is = |plain: Plain| plan.plain(plain).is_some_and(|p| p.id == prompt.id);
            let si = if is(Plain::SensorSlope) {
                dice.between(0.000_018, 0.000_05)
            } else if is(Plain::SensorZero) {
                dice.between(-0.4, 0.4)
            } else if is(Plain::Height) {
                dice.between(0.0, 1200.0)
            } else {
                usual::number(asked, None, &prompt.id, &mut dice)
            };
            let value = rounded(asked.unit.from_si(si), asked.unit);
            Quantity::new(value, asked.unit).ok().map(Answer::Quantity)
        }
        _ => None,
    }
}

fn quantity(plan: &Plan, facts: &BTreeMap<String, Answer>, plain: Plain) -> Option<f64> {
    match facts.get(&plan.plain(plain)?.id)? {
        Answer::Quantity(q) => Some(q.si()),
        _ => None,
    }
}

fn metering(plan: &Plan, facts: &BTreeMap<String, Answer>) -> Metering {
    let word = plan
        .plain(Plain::Metering)
        .and_then(|prompt| facts.get(&prompt.id));
    match word {
        Some(Answer::Choice(word)) if word == "manifold pressure" => Metering::ManifoldPressure,
        // A flow about the manifold pressure signal is walked on cars that are fuelled by it.
        None if plan.plain(Plain::KeyOnPressure).is_some() => Metering::ManifoldPressure,
        _ => Metering::AirMass,
    }
}

pub(super) fn engine(plan: &Plan, facts: &BTreeMap<String, Answer>, dice: &mut Dice) -> Engine {
    let banks = quantity(plan, facts, Plain::Banks).unwrap_or(1.0);
    let height = quantity(plan, facts, Plain::Height).unwrap_or(0.0);
    // The day's weather moves the barometer by some 3 % (95 %).
    let weather = 1.0 + 0.01 * dice.normal();
    let barometer = atmosphere::standard(height).pressure * weather;
    Engine {
        swept: dice.between(1.2e-3, 3.0e-3),
        efficiency: dice.between(0.42, 0.50),
        metering: metering(plan, facts),
        banks: if banks >= 2.0 { 2 } else { 1 },
        offset: 0.02 * dice.normal(),
        closes: 0.0,
        idle: Point {
            speed: dice.between(650.0, 850.0) / 60.0,
            pressure: dice.between(0.30, 0.38) * barometer,
        },
        fast: Point {
            speed: 2500.0 / 60.0,
            pressure: dice.between(0.28, 0.34) * barometer,
        },
        baseline: dice.between(0.15, 0.35),
        stop: 0.0,
        rest: dice.between(0.05, 0.15),
        barometer,
        temperature: crate::physics::gas::ROOM,
    }
}

pub(super) fn sensor_line(plan: &Plan, facts: &BTreeMap<String, Answer>) -> Transfer {
    Transfer {
        gain: quantity(plan, facts, Plain::SensorSlope).unwrap_or(0.000_04),
        offset: quantity(plan, facts, Plain::SensorZero).unwrap_or(0.0),
    }
}
