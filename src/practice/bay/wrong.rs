//! What is wrong with a reading before it is taken: an opening left open, a supply that is not on, a cold engine, a
//! gauge in the wrong range, a plug still on the car that is driven.

use std::collections::BTreeSet;

use super::shown::is_on;
use super::{Bay, is_yours};
use crate::flow::log_key::LogKey;
use crate::flow::meaning::{Plain, State, What};
use crate::flow::model::{Phase, Prompt, PromptKind, Step};
use crate::plant::running::is_breathed_by;
use crate::practice::log::Wrong;
use crate::practice::traps::{
    Heat, is_fed, is_read_running, needs_supply, reads_running, runs_engine,
};

impl<'p> Bay<'p> {
    /// The gauge that a step reads on though it stands in a range that is too coarse.
    pub fn coarse_here(&self, step: &Step) -> Option<String> {
        let coarse = self.coarse.as_deref()?;
        self.reads_on(step, coarse).then(|| coarse.to_owned())
    }

    /// What is wrong with what is read at a step.
    pub(super) fn wrong(&self, step: &Step) -> Vec<Wrong> {
        let mut wrong = Vec::new();
        let fed = is_fed(self.plan.flow);
        if self.reads_system(step) && (!fed || needs_supply(self.plan, step)) {
            let open = self.wanted.iter().filter(|o| !self.drive.is_closed(o));
            wrong.extend(open.cloned().map(Wrong::Open));
        }
        if !self.can_show(step) {
            // Where nobody looked, only a gauge was read, or nothing but the question of the places.
            wrong.push(if self.at.looked_unfed.is_empty() {
                Wrong::NoSupply
            } else {
                Wrong::NothingFed
            });
        }
        if reads_running(self.plan, step) && self.heat == Heat::Cold {
            wrong.push(Wrong::Cold);
        }
        if let Some(coarse) = &self.coarse
            && self.reads_on(step, coarse)
        {
            wrong.push(Wrong::Coarse(coarse.clone()));
        }
        wrong.extend(self.left_on(step));
        wrong.extend(self.stands_wrongly(step));
        wrong
    }

    /// What steps open and no step closes off, such as a filler neck, and does not stand at a step as that wants it: still
    /// open where the car is driven, shut where something is looked at through it. Where a supply is connected it is open.
    pub(super) fn stands_wrongly(&self, step: &Step) -> Option<Wrong> {
        if self.is_driven(step) {
            let open = self.ports_open().into_iter().map(str::to_owned);
            let open: Vec<String> = open.collect();
            return (!open.is_empty()).then_some(Wrong::LeftOpen(open));
        }
        let through = matches!(step.phase, Phase::Pressurise | Phase::Inspect);
        if !through || needs_supply(self.plan, step) {
            return None;
        }
        let mut shut = self.wanted_open.iter().filter(|o| self.drive.is_closed(o));
        shut.next().cloned().map(Wrong::Shut)
    }

    /// What is wrong with one figure of the running engine: what steps of this test want shut for it, and is open. Other
    /// readings of the step do not hang on that.
    pub(super) fn wrong_with(&self, step: &Step, prompt: &Prompt) -> Vec<Wrong> {
        let meaning = self.plan.meaning(&prompt.id).map(|meaning| &meaning.what);
        if !matches!(meaning, Some(What::Log(LogKey::Mean(..)))) || self.is_driven(step) {
            return Vec::new();
        }
        let open = self.open_though_said(step).into_iter();
        open.map(|opening| Wrong::Open(opening.to_owned()))
            .collect()
    }

    /// Openings that are open, and steps of this test want them shut for the running engine.
    fn open_though_said(&self, step: &Step) -> BTreeSet<&'p str> {
        let before = self.plan.flow.steps.iter().chain([step]);
        let shut = before.flat_map(|step| self.said_shut(step));
        shut.filter(|opening| self.wanted.contains(*opening) && !self.drive.is_closed(opening))
            .collect()
    }

    /// Whether the car is put together and driven at a step, to see whether the complaint is gone.
    pub(super) fn is_driven(&self, step: &Step) -> bool {
        let mut meanings = step.record.iter().filter_map(|id| self.plan.meaning(id));
        step.phase == Phase::Retest
            && meanings.any(|meaning| meaning.what == What::Plain(Plain::Complaint))
    }

    /// Whether the engine runs at a step of a retest: what was closed for the test before is still where it was left.
    fn runs_again(&self, step: &Step) -> bool {
        self.test() > 1 && runs_engine(self.plan, step)
    }

    /// What is closed though it must be off at a step: everything where the car is driven; where it says that all comes
    /// off before the key is turned, or the engine runs after a repair, all but a purge line, which may stay shut until
    /// it is read; and wherever the running engine is read, what it breathes by.
    pub(super) fn still_closed(&self, step: &Step) -> Vec<String> {
        let driven = self.is_driven(step);
        let off = step.cautions.iter().any(|caution| caution == "smoke-off");
        let all = driven || off || self.runs_again(step);
        let runs = is_read_running(self.plan, step);
        let openings = self.plan.openings().iter();
        openings
            .filter(|opening| self.drive.is_closed(opening))
            .filter(|opening| all || runs && is_breathed_by(opening))
            .filter(|opening| driven || !opening.starts_with("purge"))
            // What a step of this test closes for the running engine is closed rightly.
            .filter(|opening| driven || off || !self.wanted.contains(**opening))
            .map(|opening| (*opening).to_owned())
            .collect()
    }

    /// Whether a place is covered though the car is driven at a step, or the engine runs there to show itself as it is.
    pub(super) fn still_covered(&self, step: &Step) -> bool {
        let covers = |id: &String| {
            let meaning = self.plan.meaning(id);
            meaning.is_some_and(|meaning| meaning.state == State::PlaceCovered)
        };
        let as_it_is = runs_engine(self.plan, step) && !step.record.iter().any(covers);
        (self.is_driven(step) || as_it_is) && self.drive.covered().next().is_some()
    }

    /// What is still on the car that must be off at a step.
    pub(super) fn left_on(&self, step: &Step) -> Option<Wrong> {
        let mut what = self.still_closed(step);
        if self.still_covered(step) {
            what.extend(self.covered());
        }
        (!what.is_empty()).then_some(Wrong::LeftOn(what))
    }

    /// Whether a step reads the closed system, so that an opening left open shows.
    pub(super) fn reads_system(&self, step: &Step) -> bool {
        if !matches!(
            step.phase,
            Phase::Pressurise | Phase::Inspect | Phase::Judge
        ) {
            return false;
        }
        let fed = is_fed(self.plan.flow);
        step.record.iter().any(|id| {
            let prompt = self.plan.flow.reading(id);
            let places = prompt.is_some_and(|p| matches!(p.kind, PromptKind::Places(_)));
            // What somebody only says is no reading of the car.
            let of_car = prompt.is_some_and(|prompt| !is_yours(self.plan, prompt));
            places
                || !fed && of_car
                || self.plan.meaning(id).is_some_and(|meaning| {
                    matches!(meaning.state, State::AsItStands | State::PlaceCovered)
                        && matches!(
                            meaning.what,
                            What::Plain(
                                Plain::SmokeFlow
                                    | Plain::SmokePressure
                                    | Plain::HoldStart
                                    | Plain::HoldEnd
                            )
                        )
                })
        })
    }

    pub(super) fn reads_on(&self, step: &Step, gauge: &str) -> bool {
        let mut prompts = step
            .record
            .iter()
            .filter_map(|id| self.plan.flow.reading(id));
        prompts.any(|prompt| is_on(prompt, gauge))
    }
}
