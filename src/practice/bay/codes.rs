//! What the control unit has stored: codes stay until somebody clears them, and with them go freeze frame, readiness and
//! the long trims.
//!
//! A control unit clears a code by itself only after many drives without the fault (common practice, no source): more
//! than an exercise has.

use super::{Answers, Bay};
use crate::flow::answer::Answer;
use crate::flow::log_key::{LogKey, LogValue};
use crate::flow::meaning::What;
use crate::flow::model::Prompt;
use crate::practice::log::{Wrong, costs};
use crate::practice::traps::{Heat, burns};

/// How the codes stand with which the car came.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Codes {
    /// They were cleared.
    cleared: bool,
    /// The engine ran since with the complaint still there.
    back: bool,
    /// The long trims begin at nothing, and were not driven in since.
    unlearned: bool,
}

/// A long trim and the short one beside it.
const TRIMS: [(LogValue, LogValue); 2] = [
    (LogValue::LongTrim1, LogValue::ShortTrim1),
    (LogValue::LongTrim2, LogValue::ShortTrim2),
];

impl Bay<'_> {
    /// Clears the codes. What was not saved by then is lost.
    pub fn clear_codes(&mut self) {
        if !self.clears_within_step() {
            self.spend_by_hand(costs::CLEAR);
        }
        if self.test() == 1 && !self.are_codes_saved() {
            let step = self.here.map_or("", |step| &step.id);
            self.log.slip(step, 1, Wrong::NotSaved);
        }
        self.codes = Codes {
            cleared: true,
            back: false,
            unlearned: true,
        };
        self.changed();
    }

    /// Whether to clear the codes is part of the minutes of the step: before the drive that proves it.
    pub fn clears_within_step(&self) -> bool {
        self.here.is_some_and(|step| self.is_driven(step))
    }

    /// Whether the codes with which the car came are still stored.
    pub fn are_codes_stored(&self) -> bool {
        !self.codes.cleared
    }

    /// Whether they came back after they were cleared: pending, after one drive.
    pub fn came_back(&self) -> bool {
        self.codes.cleared && self.codes.back
    }

    /// The engine has run: what is still there is found again.
    pub(super) fn ran(&mut self) {
        self.codes.back |= self.codes.cleared && self.complains();
    }

    /// The car was driven: the trims are learned again.
    pub(super) fn was_driven(&mut self) {
        self.ran();
        self.codes.unlearned = false;
        if !burns(self.plan.flow) {
            self.heat = Heat::Warm;
        }
    }

    /// What cleared trims make of readings of the running engine: the long one begins at nothing, and the short one does
    /// all.
    pub(super) fn unlearn(&self, shown: &mut Answers) {
        if !self.codes.unlearned {
            return;
        }
        for prompt in &self.plan.flow.readings {
            let Some(What::Log(LogKey::Mean(window, value))) =
                self.plan.meaning(&prompt.id).map(|m| &m.what)
            else {
                continue;
            };
            let Some((_, short)) = TRIMS.iter().find(|(long, _)| long == value) else {
                continue;
            };
            let is_short = |other: &&Prompt| {
                let meaning = self.plan.meaning(&other.id).map(|m| &m.what);
                matches!(meaning, Some(What::Log(LogKey::Mean(w, v))) if w == window && v == short)
            };
            let beside = self.plan.flow.readings.iter().find(is_short);
            let (Some(beside), Some(Answer::Quantity(long))) = (beside, shown.get(&prompt.id))
            else {
                continue;
            };
            let long = long.si();
            if let Some(answer) = shown.get_mut(&beside.id) {
                super::shown::change(beside, answer, |short| (1.0 + short) * (1.0 + long) - 1.0);
                if let Some(answer) = shown.get_mut(&prompt.id) {
                    super::shown::change(prompt, answer, |_| 0.0);
                }
            }
        }
    }
}
