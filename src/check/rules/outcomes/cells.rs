//! The cells into which a step's conditions cut everything that can be read.
//!
//! A cell fixes one stretch of every axis that still matters, in the order in which things are
//! asked. Conditions have four answers, so most are settled long before everything is fixed: what
//! can no longer change any of them is left open, and a step with many readings has few cells.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::ControlFlow;

use super::axes::{Axis, AxisValue, axis};
use super::bounds::Kept;
use super::marks;
use super::realise;
use crate::check::rules::way::known::Known;
use crate::engine::judge::rests_on;
use crate::flow::condition::{Condition, Truth};
use crate::flow::model::{Flow, Step};
use crate::flow::values::{Value, Values};
use crate::flow::working::applies;

/// More branches than this are not followed.
const MOST: usize = 30_000;

/// Everything that a step's conditions look at.
pub struct Space<'f> {
    /// The flow, without what has no bearing on the step.
    pub flow: Flow,
    step: &'f Step,
    /// Readings and facts, what decides about others first.
    asked: Vec<Axis>,
    worked: Vec<Axis>,
    /// For each axis, by its id, the ids for which it decides whether they are there.
    decides: BTreeMap<String, BTreeSet<String>>,
    /// The ids that the step's own conditions name, in their order.
    pub named: Vec<String>,
    /// What is known of the values on each way here.
    known: Vec<Known>,
    /// What calculations came to in the corners of boxes that were searched.
    pub kept: RefCell<Kept>,
    /// Readings that a way here bounds and that worked values rest on.
    bounded: BTreeSet<String>,
}

/// One cell, by a point in it.
#[derive(Clone, Debug, Default)]
pub struct Cell {
    /// The point.
    pub values: Values,
    /// Where its numbers lie.
    pub spans: BTreeMap<String, (f64, f64)>,
}

impl Cell {
    /// Some number in it stands right at a limit.
    pub fn at_limit(&self) -> bool {
        self.spans.values().any(|(from, to)| from >= to)
    }

    fn with(&self, id: &str, choice: &AxisValue) -> Self {
        let mut cell = self.clone();
        if let Some(value) = &choice.value {
            cell.values.set(id, value.clone());
        }
        if let Some(span) = choice.span {
            cell.spans.insert(id.to_owned(), span);
        }
        cell
    }
}

/// The walk through the cells ended before all were seen.
pub struct TooMany;

impl<'f> Space<'f> {
    /// The space of a step; nothing where one axis alone has too many stretches.
    pub fn of(flow: &Flow, step: &'f Step, known: Vec<Known>) -> Option<Self> {
        let mut named: Vec<String> = Vec::new();
        for id in step.outcomes.iter().flat_map(|o| o.when.subjects()) {
            if !named.iter().any(|known| known == id) {
                named.push(id.to_owned());
            }
        }
        let mut looked = marks::of_step(step);
        let flow = marks::slim(flow, step, &looked);
        marks::add_what_decides_asking(&flow, &mut looked);
        let bounded = marks::add_ends(&flow, &known, &mut looked);
        let axes: Option<Vec<Axis>> = marks::in_order(&flow, looked)
            .into_iter()
            .map(|(id, marks)| axis(&flow, id, &marks))
            .collect();
        let (worked, asked): (Vec<Axis>, Vec<Axis>) =
            axes?.into_iter().partition(|a| flow.work(&a.id).is_some());
        let decides = decides(&flow, asked.iter().chain(&worked));
        Some(Self {
            flow,
            step,
            asked,
            worked,
            decides,
            named,
            known,
            kept: RefCell::default(),
            bounded,
        })
    }

    /// Whether a reading or fact is cut at this value.
    pub fn is_limit(&self, id: &str, si: f64) -> bool {
        let axis = self.asked.iter().find(|axis| axis.id == id);
        axis.is_some_and(|axis| axis.values.iter().any(|v| v.span == Some((si, si))))
    }

    /// Whether a way leads here on which the values can be those of a cell.
    pub fn is_met_on_a_way(&self, cell: &Cell) -> bool {
        let fits = |known: &Known| {
            known
                .iter()
                .all(|(id, bound)| bound.fits(cell.values.get(id)))
        };
        self.known.is_empty() || self.known.iter().any(fits)
    }

    /// Looks at one point of every cell that can come about, with cars that can come here.
    ///
    /// # Errors
    /// Where there are too many to look at them all.
    pub fn walk(
        &self,
        can_come: &dyn Fn(&Values) -> bool,
        look: &mut dyn FnMut(&Cell),
    ) -> Result<(), TooMany> {
        let mut walk = Walk {
            space: self,
            can_come,
            look,
            left: MOST,
        };
        match walk.ask(0, &Cell::default()) {
            ControlFlow::Continue(()) => Ok(()),
            ControlFlow::Break(()) => Err(TooMany),
        }
    }

    /// The conditions that are not settled yet.
    fn open<'s>(&'s self, values: &'s Values) -> impl Iterator<Item = &'s Condition> {
        let conditions = self.step.outcomes.iter().map(|o| &o.when);
        conditions
            .chain(&self.step.valid_when)
            .filter(|condition| condition.truth(values) == Truth::Unknown)
    }

    /// Whether fixing an axis can settle anything.
    fn matters(&self, axis: &Axis, values: &Values) -> bool {
        let decides = self.decides.get(&axis.id);
        let bounded = self.bounded.contains(&axis.id);
        self.open(values).any(|condition| {
            let subjects = condition.subjects();
            if bounded && subjects.iter().any(|id| rests_on(&self.flow, id, &axis.id)) {
                return true;
            }
            let by_others = |ids: &BTreeSet<String>| subjects.iter().any(|id| ids.contains(*id));
            subjects.contains(&axis.id.as_str()) || decides.is_some_and(by_others)
        })
    }
}

struct Walk<'w, 'f> {
    space: &'w Space<'f>,
    can_come: &'w dyn Fn(&Values) -> bool,
    look: &'w mut dyn FnMut(&Cell),
    left: usize,
}

impl Walk<'_, '_> {
    /// Fixes the readings and facts from the `n`th on.
    fn ask(&mut self, n: usize, cell: &Cell) -> ControlFlow<()> {
        let values = &cell.values;
        if !(self.can_come)(values) || self.settled(cell)? {
            return ControlFlow::Continue(());
        }
        let space = self.space;
        let Some(axis) = space.asked.get(n) else {
            return self.work_out(cell);
        };
        if !space.matters(axis, values) {
            return self.ask(n + 1, cell);
        }
        let prompt = space.flow.prompt(&axis.id);
        if prompt.is_some_and(|prompt| !applies(prompt, values)) {
            let mut cell = cell.clone();
            cell.values.set(&axis.id, Value::NotApplicable);
            return self.ask(n + 1, &cell);
        }
        axis.values
            .iter()
            .try_for_each(|choice| self.ask(n + 1, &cell.with(&axis.id, choice)))
    }

    /// Fixes the worked values. Which there are on such a car, the engine itself says.
    fn work_out(&mut self, cell: &Cell) -> ControlFlow<()> {
        let space = self.space;
        let mut cell = cell.clone();
        let mut there = Vec::new();
        if !space.worked.is_empty() {
            let absent = realise::worked_absent(&space.flow, &cell.values);
            for axis in &space.worked {
                match absent.get(&axis.id) {
                    Some(stands) => cell.values.set(&axis.id, stands.clone()),
                    None => there.push(axis),
                }
            }
        }
        self.work(&there, &cell)
    }

    fn work(&mut self, axes: &[&Axis], cell: &Cell) -> ControlFlow<()> {
        if self.settled(cell)? {
            return ControlFlow::Continue(());
        }
        let Some((axis, rest)) = axes.split_first() else {
            return ControlFlow::Continue(()); // Something is asked anew, or refused: no outcome is.
        };
        if !self.space.matters(axis, &cell.values) {
            return self.work(rest, cell);
        }
        axis.values
            .iter()
            .try_for_each(|choice| self.work(rest, &cell.with(&axis.id, choice)))
    }

    /// Looks at the cell where nothing is open any more, and passes over it where the step's
    /// readings do not count.
    fn settled(&mut self, cell: &Cell) -> ControlFlow<(), bool> {
        self.left = match self.left.checked_sub(1) {
            Some(left) => left,
            None => return ControlFlow::Break(()),
        };
        let (space, values) = (self.space, &cell.values);
        if !realise::is_valid(space.step, values) {
            return ControlFlow::Continue(true);
        }
        if space.open(values).next().is_some() {
            return ControlFlow::Continue(false);
        }
        (self.look)(cell);
        ControlFlow::Continue(true)
    }
}

/// For each axis the ids that are there, or not, by what it is.
fn decides<'a>(
    flow: &Flow,
    axes: impl Iterator<Item = &'a Axis> + Clone,
) -> BTreeMap<String, BTreeSet<String>> {
    let ids: Vec<&str> = axes.map(|axis| axis.id.as_str()).collect();
    let prompts: Vec<_> = flow.facts.iter().chain(&flow.readings).collect();
    let mut all: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for id in &ids {
        let mut decided: BTreeSet<String> = BTreeSet::new();
        let mut by: BTreeSet<&str> = BTreeSet::from([*id]);
        loop {
            let before = by.len();
            for prompt in &prompts {
                let asks = |c: &Condition| c.subjects().iter().any(|s| by.contains(s));
                if prompt.only_if.as_ref().is_some_and(asks) {
                    by.insert(&prompt.id);
                }
            }
            if by.len() == before {
                break;
            }
        }
        let optional = prompts.iter().any(|p| p.id == *id && p.optional);
        for other in &ids {
            let takes_along =
                |prompt: &&str| (optional || **prompt != **id) && rests_on(flow, other, prompt);
            if other != id && by.iter().any(takes_along) {
                decided.insert((*other).to_owned());
            }
        }
        all.insert((*id).to_owned(), decided);
    }
    all
}
