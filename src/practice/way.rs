//! The way that the program itself goes on a practice car: by the flow's own outcomes, with nothing forgotten.
//!
//! It is held to the same clock as the apprentice, with the same traps, so that the two can be laid side by side.

use std::collections::BTreeMap;

use super::bay::Taken;
use super::bay::{Answers, Bay, is_saved, is_yours};
use super::drawn::Drawn;
use super::log::Spent;
use super::look::LONG_ENOUGH;
use super::traps::{Heat, burns, needs_supply, reads_running, runs_engine, wants_cold};
use crate::flow::answer::Answer;
use crate::flow::meaning::{Plain, State, What};
use crate::flow::model::{PromptKind, SetUp, Step};
use crate::flow::target::Target;
use crate::physics::gas::Gas;
use crate::plant::hands::Fed;
use crate::plant::plan::Plan;
use crate::plant::walk::judge_by;

const MOST_STEPS: u64 = 120;
const MOST_REPAIRS: usize = 6;
/// Nobody does a step more often than this in one test, in the hope that chance decides it.
const MOST_VISITS: u32 = 4;

/// A way through an exercise.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    /// Minutes, station by station.
    pub spent: Vec<Spent>,
    /// The repairs in their order.
    pub repairs: Vec<String>,
    /// The flow's last outcome proved the complaint cured.
    pub proved: bool,
    /// Nothing that makes the complaint is left.
    pub cured: bool,
    /// How often something was read that was not set up as it should be.
    pub slips: usize,
    /// A step was done again and again until chance decided it.
    pub goes_round: bool,
}

impl Way {
    /// Minutes in all.
    pub fn minutes(&self) -> f64 {
        self.spent.iter().map(|spent| spent.minutes).sum()
    }
}

/// Walks a practice car.
pub fn walk(plan: &Plan, drawn: &Drawn) -> Way {
    let mut bay = Bay::new(plan, drawn.clone());
    let facts = drawn.car.facts.clone();
    let mut answers = facts.clone();
    let mut repairs: Vec<String> = Vec::new();
    let mut proved = false;
    let mut visits: BTreeMap<(u32, &str), u32> = BTreeMap::new();
    let mut here = plan.flow.steps.first();
    for visit in 1..=MOST_STEPS {
        let Some(step) = here else {
            break;
        };
        bay.arrive(Some(&step.id), visit);
        *visits.entry((bay.test(), &step.id)).or_default() += 1;
        do_step(&mut bay, step, &mut answers);
        if bay.log.harm.is_some() {
            break;
        }
        let judged = judge_by(plan, step, &answers, bay.test());
        here = match judged.target {
            Some(Target::Step(id)) => plan.flow.step(&id),
            Some(Target::Repair(cause)) if repairs.len() < MOST_REPAIRS => {
                bay.repair(&cause);
                repairs.push(cause);
                answers.clone_from(&facts);
                let from = plan.flow.retest.as_ref().map(|retest| retest.from.as_str());
                from.and_then(|from| plan.flow.step(from))
            }
            Some(Target::Done) => {
                proved = judged.proved;
                None
            }
            _ => None,
        };
    }
    Way {
        repairs,
        goes_round: visits.values().any(|n| *n > MOST_VISITS),
        proved,
        cured: !bay.complains(),
        slips: bay.log.slips.len() + usize::from(bay.log.harm.is_some()),
        spent: bay.log.spent,
    }
}

/// One station of a way that somebody else chose.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stop<'a> {
    /// A step, by its id.
    Step(&'a str),
    /// The set-up of a step alone.
    SetUp(&'a str),
    /// The repair of a cause.
    Repair(&'a str),
}

/// Does what somebody else chose, with nothing forgotten, on the clock to which the apprentice is held; the minutes,
/// station by station.
pub fn timed<'a>(plan: &Plan, drawn: &Drawn, stops: impl Iterator<Item = Stop<'a>>) -> Vec<Spent> {
    let mut bay = Bay::new(plan, drawn.clone());
    let facts = drawn.car.facts.clone();
    let mut answers = facts.clone();
    for (visit, stop) in (1..).zip(stops) {
        match stop {
            Stop::Step(id) => {
                bay.arrive(Some(id), visit);
                if let Some(step) = plan.flow.step(id) {
                    do_step(&mut bay, step, &mut answers);
                }
            }
            Stop::SetUp(id) => {
                bay.arrive(Some(id), visit);
                if let Some(step) = plan.flow.step(id) {
                    put_in_place(&mut bay, step, &answers);
                }
            }
            Stop::Repair(cause) => {
                bay.repair(cause);
                answers.clone_from(&facts);
            }
        }
    }
    bay.log.spent
}

/// Sets a step up without reading anything at it: nothing is fed or run for that.
fn put_in_place(bay: &mut Bay, step: &Step, earlier: &Answers) {
    let sets_up = |hand: &Hand| {
        matches!(
            hand,
            Hand::Cool | Hand::SupplyOff | Hand::Uncover | Hand::Open(_) | Hand::Close(_)
        )
    };
    for hand in due(bay, step, earlier).into_iter().filter(sets_up) {
        hand.done(bay, earlier);
    }
    bay.put_in_place();
}

/// Does a step: sets up what it says, reads what it asks.
fn do_step(bay: &mut Bay, step: &Step, answers: &mut Answers) {
    let mut earlier = answers.clone();
    for id in &step.record {
        earlier.remove(id);
    }
    for act in due(bay, step, &earlier) {
        act.done(bay, &earlier);
    }
    for id in &step.record {
        answers.remove(id);
        if let Some(answer) = read(bay, id, &earlier) {
            answers.insert(id.clone(), answer);
        }
    }
    bay.leave(&earlier, true);
}

/// Reads one reading as somebody who does everything right: looks long enough, says what is so.
fn read(bay: &mut Bay, id: &str, earlier: &Answers) -> Option<Answer> {
    let plan = bay.plan();
    let prompt = plan.flow.reading(id)?;
    if let PromptKind::Places(places) = &prompt.kind {
        for place in places {
            bay.look(place, LONG_ENOUGH, earlier);
        }
    }
    if is_yours(plan, prompt) && !is_saved(plan, prompt) {
        return bay.would_say(id, earlier);
    }
    if bay.is_tried(prompt) {
        return try_all(bay, id, earlier);
    }
    match bay.take(id, earlier) {
        Ok(Taken::Reads(answer) | Taken::Saved(answer)) => Some(answer),
        _ => None,
    }
}

/// Tries one place after the other until one of them changes something, or all were tried.
fn try_all(bay: &mut Bay, id: &str, earlier: &Answers) -> Option<Answer> {
    for place in bay.to_cover() {
        if bay.try_place(place, earlier) == Some(true) {
            break;
        }
    }
    match bay.take(id, earlier) {
        Ok(Taken::Reads(answer)) => Some(answer),
        _ => None,
    }
}

/// Something that is to be done by hand at a step.
#[derive(Clone, Debug, PartialEq)]
pub enum Hand {
    /// Let it cool.
    Cool,
    /// Run it warm.
    Warm,
    /// Take the supply off.
    SupplyOff,
    /// Shut the door.
    Door,
    /// Set this gauge's range.
    Range(String),
    /// Open this.
    Open(String),
    /// Close this.
    Close(String),
    /// Connect the supply.
    Feed(Fed),
    /// Take all covers off.
    Uncover,
    /// Cover this place.
    Cover(String),
}

impl Hand {
    fn done(self, bay: &mut Bay, earlier: &Answers) {
        match self {
            Self::Cool => bay.cool(),
            Self::Warm => {
                bay.warm();
            }
            Self::SupplyOff => bay.supply_off(),
            Self::Door => bay.shut_door(),
            Self::Range(gauge) => bay.set_range(&gauge),
            Self::Open(opening) => {
                bay.open(&opening);
            }
            Self::Close(opening) => {
                bay.close(&opening);
            }
            Self::Feed(fed) => {
                bay.feed(fed, None);
            }
            Self::Uncover => bay.uncover(),
            Self::Cover(place) => bay.cover(&place, earlier),
        }
    }
}

/// All that somebody who does everything right does by hand at a step, before anything is read.
pub fn due(bay: &Bay, step: &Step, earlier: &Answers) -> Vec<Hand> {
    let plan = bay.plan();
    let mut hands = Vec::new();
    let set_up = step.set_up.as_ref();
    let seals = set_up.map_or(&[][..], |set_up| &set_up.seal);
    let touches = burns(plan.flow) && !seals.is_empty();
    if (touches || wants_cold(plan, step)) && bay.heat() != Heat::Cold {
        hands.push(Hand::Cool);
    }
    let all_off = bay.says_all_off(step);
    if (runs_engine(plan, step) || all_off) && bay.fed().is_some() {
        hands.push(Hand::SupplyOff);
    }
    if reads_running(plan, step) && bay.heat() == Heat::Cold {
        hands.push(Hand::Warm);
    }
    if bay.draught() && bay.is_hidden_by_draught(step) {
        hands.push(Hand::Door);
    }
    hands.extend(bay.coarse_here(step).map(Hand::Range));
    let undoes = |set_up: &SetUp| {
        let mut open = set_up.open.iter();
        open.any(|opening| bay.not_let_down(opening).is_some())
    };
    let let_down = set_up.is_some_and(undoes);
    if let_down {
        hands.push(Hand::SupplyOff);
    }
    let (opens, uncovers) = bay.to_take_off(step);
    hands.extend(opens.into_iter().map(Hand::Open));
    let ports = bay.to_shut(step).into_iter().map(str::to_owned);
    hands.extend(ports.map(Hand::Close));
    let shut = bay.said_shut(step).into_iter();
    let shut =
        shut.filter(|opening| !bay.is_closed(opening) && !seals.iter().any(|s| s == opening));
    hands.extend(shut.map(|opening| Hand::Close(opening.to_owned())));
    if let Some(set_up) = set_up {
        hands.extend(set_up.open.iter().cloned().map(Hand::Open));
        hands.extend(set_up.seal.iter().cloned().map(Hand::Close));
    }
    if needs_supply(plan, step) && (let_down || bay.fed().is_none()) {
        let gas = if plan.kind.name == "fuel vapour" {
            Gas::Nitrogen
        } else {
            Gas::Air
        };
        hands.push(Hand::Feed(Fed {
            gas,
            pressure: bay.usual_pressure(),
        }));
    }
    let covers = covers(bay, step);
    let as_it_stands = step
        .record
        .iter()
        .filter_map(|id| plan.meaning(id))
        .any(|m| {
            m.state == State::AsItStands
                && matches!(m.what, What::Plain(Plain::SmokeFlow | Plain::HoldStart))
        });
    let comes_off = as_it_stands || set_up.is_some() || uncovers;
    if !covers && !bay.covered().is_empty() && comes_off {
        hands.push(Hand::Uncover);
    }
    if covers {
        hands.extend(bay.shows_most(earlier).map(Hand::Cover));
    }
    hands
}

/// Whether a step wants a place covered: the next that shows most; on the running engine what is covered stays.
fn covers(bay: &Bay, step: &Step) -> bool {
    let plan = bay.plan();
    let mut meanings = step.record.iter().filter_map(|id| plan.meaning(id));
    meanings.any(|meaning| match meaning.what {
        What::Plain(Plain::CoveredPlace) => true,
        What::Plain(_) => meaning.state == State::PlaceCovered,
        What::Log(_) => meaning.state == State::PlaceCovered && bay.covered().is_empty(),
        _ => false,
    })
}
