//! What everything costs on the simulated clock.

use super::Bay;
use crate::flow::model::{PromptKind, Step};
use crate::practice::log::costs;

impl Bay<'_> {
    pub(super) fn spend(&mut self, minutes: f64) {
        let test = self.test();
        let (id, what) = self
            .here
            .map_or(("", "between steps"), |step| (&step.id, &step.title));
        self.log.spend(id, what, test, minutes);
    }

    /// Spends minutes on what hands do beside the step's own.
    pub(super) fn spend_by_hand(&mut self, minutes: f64) {
        let test = self.test();
        self.log.spend_by_hand(test, minutes);
    }

    /// The set-up of the step where they are is put in place, and nothing is read.
    pub fn put_in_place(&mut self) {
        if let Some(step) = self.here {
            self.pay_set_up(step);
        }
    }

    /// The step's own minutes, once a visit. Where places are looked at or tried, each costs its own
    /// time instead.
    pub(super) fn charge(&mut self, step: &Step) {
        if self.at.charged {
            return;
        }
        self.at.charged = true;
        let minutes = if self.places(step).is_some() || self.tries_at(step).is_some() {
            0.0
        } else {
            step.minutes - self.waits(step).map_or(0.0, |(_, minutes)| minutes)
        };
        self.spend(minutes);
    }

    /// Waits until what this step's timer is for can be read, once a visit.
    pub(super) fn wait(&mut self, step: &Step) {
        if let Some((_, minutes)) = self.waits(step).filter(|_| !self.at.waited) {
            self.at.waited = true;
            self.spend(minutes);
        }
    }

    /// The reading for which the timer of a step runs, and for how many minutes of it: the second of two numbers of
    /// one kind, as on a gauge that is read, and read again. Any other timer, such as one until a scan value settles,
    /// is part of the step's own minutes.
    pub(super) fn waits<'s>(&self, step: &'s Step) -> Option<(&'s str, f64)> {
        let minutes = (step.timer? / 60.0).min(step.minutes);
        let number = |id: &'s String| {
            let prompt = self.plan.flow.reading(id)?;
            match &prompt.kind {
                PromptKind::Quantity(asked) => {
                    Some((id, asked.unit.dimension(), prompt.log.is_some()))
                }
                _ => None,
            }
        };
        let numbers: Vec<_> = step.record.iter().filter_map(number).collect();
        match numbers.as_slice() {
            [(_, one, false), (id, other, false)] if one == other => Some((id.as_str(), minutes)),
            _ => None,
        }
    }

    /// Minutes of the set-up, the first time in a test.
    pub(super) fn pay_set_up(&mut self, step: &Step) {
        if let Some(set_up) = &step.set_up
            && self.in_place.insert(step.id.clone())
        {
            self.spend(set_up.minutes);
        }
    }

    /// Hands on an opening: the set-up of the step, if that is not paid yet; else a minute.
    pub(super) fn pay_for_hands(&mut self) {
        match self.here {
            Some(step) if step.set_up.is_some() && !self.in_place.contains(&step.id) => {
                self.pay_set_up(step);
            }
            // In the course of one set-up each further opening is part of it.
            Some(step) if step.set_up.is_some() && self.at.shown.is_none() => {}
            _ => self.spend_by_hand(costs::AGAIN),
        }
    }
}
