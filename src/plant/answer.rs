//! What answers a reading: a cause in words, physics, a signature, or what is usual; in this order.

use std::collections::BTreeMap;

use crate::flow::answer::Answer;
use crate::flow::condition::Condition;
use crate::flow::model::{Prompt, PromptKind, Step};

use super::car::Present;
use super::dice::Dice;
use super::drive::Drive;
use super::plan::shown;
use super::signature::{Drawn, Pusher};
use super::{invert, signature, usual};

impl Drive<'_> {
    /// One reading: what a cause without physics says of it, else physics, else a signature, else what is usual.
    pub(super) fn reading(
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
        if let Some(answer) = drawn.and_then(|drawn| self.answer(prompt, &drawn, &mut dice.clone()))
        {
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
    pub(super) fn fit_described(
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
                // What is fed stands as it is; what is left of it shows the leak.
                .filter(|prompt| {
                    self.is_what_is_left(prompt) || self.stands_at_fed(step, prompt).is_none()
                })
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
            .map(|present| Pusher::of(present, self.car.dice.fork(&present.cause, 5)))
            .collect()
    }

    /// Chance of what a sound car shows: it stays as it is until something is set up anew or repaired.
    pub(super) fn background(&self, id: &str) -> Dice {
        self.car.dice.fork(id, 10 + self.set_ups)
    }
}
