//! The hands at the car: steps done with what must come before them, and what is written down of it.

use std::collections::{BTreeMap, BTreeSet};

use super::led::{Act, End, Move, Reason};
use crate::flow::answer::Answer;
use crate::flow::meaning::{Plain, What};
use crate::flow::model::Step;
use crate::flow::target::Target;
use crate::plant::car::Car;
use crate::plant::drive::Drive;
use crate::plant::plan::Plan;
use crate::plant::walk::{Judged, judge};
use crate::rules::evidence::inquiry::Inquiry;
use crate::rules::evidence::told::{Repaired, Round};

/// How often the flow may send back to a step in one test before it is left as it is.
const MOST_BACK: usize = 3;
/// Steps of one way back.
const LONGEST_BACK: usize = 12;

pub(super) struct Hands<'p> {
    pub(super) plan: &'p Plan<'p>,
    pub(super) drive: Drive<'p>,
    pub(super) rounds: Vec<Round>,
    pub(super) moves: Vec<Move>,
    pub(super) believed: Vec<(String, f64)>,
    pub(super) cured: f64,
    /// Set-ups that are in place.
    in_place: BTreeSet<String>,
    /// Steps that were done in this test.
    done: BTreeSet<String>,
    /// How often the flow sent back to a step in this test.
    back: BTreeMap<String, usize>,
}

impl<'p> Hands<'p> {
    pub(super) fn new(plan: &'p Plan<'p>, car: Car) -> Self {
        let facts = Round {
            answers: car.facts.clone(),
            ..Round::default()
        };
        Self {
            plan,
            drive: Drive::new(plan, car),
            rounds: vec![facts],
            moves: Vec::new(),
            believed: Vec::new(),
            cured: 0.0,
            in_place: BTreeSet::new(),
            done: BTreeSet::new(),
            back: BTreeMap::new(),
        }
    }

    /// Whether a cause is on the car, and not repaired yet.
    pub(super) fn has(&self, cause: &str) -> bool {
        let mut causes = self.drive.car().causes.iter();
        causes.any(|present| present.cause == cause) && self.drive.left(cause)
    }

    /// After a repair everything is put together, and all readings are to be taken anew.
    pub(super) fn next_round(&mut self, repaired: Repaired) {
        if let Some(round) = self.rounds.last_mut() {
            round.repaired.push(repaired);
        }
        self.rounds.push(Round {
            answers: self.drive.car().facts.clone(),
            ..Round::default()
        });
        self.in_place.clear();
        self.done.clear();
        self.back.clear();
    }

    /// The last repair did not cure: the complaint itself is still there.
    pub(super) fn in_vain(&mut self) {
        let before = self.rounds.len().checked_sub(2);
        if let Some(round) = before.and_then(|n| self.rounds.get_mut(n)) {
            round.repaired.iter_mut().for_each(|r| r.in_vain = true);
        }
    }

    /// The step to which this one leads on the shortest way to the proof, past none of these.
    pub(super) fn towards_proof(&self, from: &str, not_by: &[String]) -> Option<String> {
        let flow = self.plan.flow;
        let next = |step: &Step| -> Vec<String> {
            let targets = step.outcomes.iter().map(|outcome| &outcome.go);
            let steps = targets.filter_map(|go| match go {
                Target::Step(id) => Some(id.clone()),
                _ => None,
            });
            steps.collect()
        };
        // Breadth first, each step with the neighbour by which it was reached.
        let mut open: Vec<(String, String)> = next(flow.step(from)?)
            .into_iter()
            .filter(|id| !not_by.contains(id))
            .map(|id| (id.clone(), id))
            .collect();
        let mut place = 0;
        while let Some((here, by)) = open.get(place).cloned() {
            place += 1;
            let step = flow.step(&here)?;
            if step.outcomes.iter().any(|outcome| outcome.proved) {
                return Some(by);
            }
            for id in next(step) {
                let known = open.iter().any(|(known, _)| *known == id);
                if id != from && !known && !not_by.contains(&id) {
                    open.push((id, by.clone()));
                }
            }
        }
        None
    }

    /// Writes a move down.
    pub(super) fn note(&mut self, act: Act, reason: Reason, minutes: f64, expected: Option<f64>) {
        self.moves.push(Move {
            act,
            reason,
            test: self.drive.test(),
            minutes,
            cautions: Vec::new(),
            taken: BTreeMap::new(),
            believed: self.believed.clone(),
            cured: self.cured,
            expected,
        });
    }

    /// A test, after what must come before it; the end, where the flow leads nowhere on the way.
    pub(super) fn test(
        &mut self,
        inquiry: &Inquiry,
        test: usize,
        expected: Option<f64>,
    ) -> Option<End> {
        let flow = self.plan.flow;
        let reading = &inquiry.steps.readings[test];
        let step = &flow.steps[reading.step];
        for need in reading.needs.iter() {
            let (_, place) = inquiry.steps.made_at[need];
            let before = &flow.steps[place];
            if place == reading.step || self.done.contains(&before.id) {
                continue;
            }
            let reason = Reason::Before(step.id.clone());
            let measures = inquiry.steps.readings.iter().any(|r| r.step == place);
            if measures {
                self.set_up_only(before, reason);
            } else if let Some(end) = self.prepare(before, reason) {
                return Some(end);
            }
        }
        let judged = self.step(&step.id, Reason::Suggested, expected);
        self.obey(step, &judged);
        None
    }

    /// What a measuring step puts in place, without its readings.
    fn set_up_only(&mut self, step: &Step, reason: Reason) {
        if !self.in_place.insert(step.id.clone()) {
            return;
        }
        let mut bare = step.clone();
        bare.record.clear();
        self.drive.at(&bare, &BTreeMap::new());
        let minutes = step.set_up.as_ref().map_or(0.0, |set_up| set_up.minutes);
        let act = Act::SetUp {
            step: step.id.clone(),
        };
        self.note(act, reason, minutes, None);
        self.caution(step);
    }

    /// A step that only prepares. Where the flow leads away from it, the test cannot be done.
    fn prepare(&mut self, step: &Step, reason: Reason) -> Option<End> {
        let judged = self.step(&step.id, reason, None);
        self.obey(step, &judged);
        match judged.target {
            Some(Target::Done) if judged.proved => Some(End::Proved),
            None => Some(End::Stuck(step.id.clone())),
            Some(Target::Done) => Some(End::HandedOn),
            // What is found in passing is left to the evidence; and what another flow is to say before this test comes
            // back with the car.
            Some(Target::Step(_) | Target::Repair(_) | Target::Flow(_)) => None,
        }
    }

    /// Does a step with its set-up and writes it down.
    pub(super) fn step(&mut self, id: &str, reason: Reason, expected: Option<f64>) -> Judged {
        let nowhere = Judged {
            target: None,
            outcome: String::new(),
            not_valid: false,
            proved: false,
        };
        let (Some(step), Some(round)) = (self.plan.flow.step(id), self.rounds.last_mut()) else {
            return nowhere;
        };
        let judged = judge(self.plan, &mut self.drive, step, &mut round.answers);
        let taken: BTreeMap<_, _> = step
            .record
            .iter()
            .filter_map(|id| Some((id.clone(), round.answers.get(id)?.clone())))
            .collect();
        for (id, answer) in &taken {
            let what = self.plan.meaning(id).map(|meaning| &meaning.what);
            if let (Some(What::Plain(Plain::CoveredPlace)), Answer::Choice(place)) = (what, answer)
            {
                round.covered.insert(place.clone());
            }
        }
        round.order.retain(|id| !step.record.contains(id));
        let in_order = step.record.iter().filter(|id| taken.contains_key(*id));
        round.order.extend(in_order.cloned());
        let set_up = step.set_up.as_ref().map_or(0.0, |set_up| set_up.minutes);
        let first = step.set_up.is_some() && self.in_place.insert(step.id.clone());
        let minutes = step.minutes + if first { set_up } else { 0.0 };
        self.done.insert(step.id.clone());
        let act = Act::Step {
            step: step.id.clone(),
            outcome: judged.outcome.clone(),
        };
        self.note(act, reason, minutes, expected);
        self.caution(step);
        if let Some(last) = self.moves.last_mut() {
            last.taken = taken;
        }
        judged
    }

    fn caution(&mut self, step: &Step) {
        if let Some(last) = self.moves.last_mut() {
            last.cautions.clone_from(&step.cautions);
        }
    }

    /// Where the flow sends back from a step: the way back, as its author wrote it.
    fn obey(&mut self, step: &Step, judged: &Judged) {
        let Some(Target::Step(to)) = &judged.target else {
            return;
        };
        let again = judged.not_valid || judged.outcome != "(unsure)";
        if !again || !self.done.contains(to) || !self.lies_before(to, step) {
            return;
        }
        let times = self.back.entry(step.id.clone()).or_default();
        *times += 1;
        if *times > MOST_BACK {
            return;
        }
        if judged.not_valid || *to == step.id {
            self.follow(to, step);
        } else {
            // The readings that sent back are open again: what they will be read of is another state.
            let reason = Reason::SentBack(step.id.clone());
            let judged = self.step(to, reason, None);
            self.forget(step);
            if let Some(there) = self.plan.flow.step(to) {
                self.obey(there, &judged);
            }
        }
    }

    /// Whether a step stands before another in the flow, or is the same: only then does an outcome send back to it. One
    /// that the flow does next, and that the evidence has had done already, is not to be done twice.
    fn lies_before(&self, id: &str, step: &Step) -> bool {
        let place = |id: &str| self.plan.flow.steps.iter().position(|s| s.id == id);
        place(id) <= place(&step.id)
    }

    /// The flow's own way from a step until this one was done again.
    fn follow(&mut self, from: &str, until: &Step) {
        let mut here = from.to_owned();
        for _ in 0..LONGEST_BACK {
            let reason = Reason::SentBack(until.id.clone());
            let judged = self.step(&here, reason, None);
            if here == until.id {
                self.obey(until, &judged);
                return;
            }
            match judged.target {
                Some(Target::Step(id)) => here = id,
                _ => return,
            }
        }
    }

    fn forget(&mut self, step: &Step) {
        self.done.remove(&step.id);
        if let Some(round) = self.rounds.last_mut() {
            for id in &step.record {
                round.answers.remove(id);
                round.order.retain(|other| other != id);
            }
        }
    }
}
