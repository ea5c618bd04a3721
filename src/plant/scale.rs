//! From a true value to what stands on the reading's scale.

use crate::flow::answer::Answer;
use crate::flow::model::{Prompt, PromptKind, QuantityPrompt};
use crate::units::{Dimension, Quantity, Unit};

use super::dice::Dice;
use super::drive::Drive;
use super::instrument::{Gauge, displayed};

impl Drive<'_> {
    /// A true value as it is read on the reading's gauge or display.
    pub(super) fn read(&self, prompt: &Prompt, si: f64, dice: &mut Dice) -> Option<Answer> {
        let PromptKind::Quantity(asked) = &prompt.kind else {
            return None;
        };
        let error = asked.error.map_or(0.0, |e| e.half_width(si)) * self.car.spread.noise;
        let bias = asked.gauge.as_deref().map_or(0.0, |gauge| self.bias(gauge));
        self.on_scale(asked, si, (bias, error), dice)
    }

    /// A value on the scale of a reading, with so much bias and error.
    fn on_scale(
        &self,
        asked: &QuantityPrompt,
        si: f64,
        (bias, error): (f64, f64),
        dice: &mut Dice,
    ) -> Option<Answer> {
        let gauge = asked
            .gauge
            .as_deref()
            .and_then(|id| self.plan.flow.gauge(id));
        let resolution = gauge.and_then(|gauge| gauge.resolution);
        let step = resolution.map_or(0.0, |r| r.unit().step_to_si(r.value()));
        let ends = |(low, high): (Quantity, Quantity)| (self.begins(low.si()), high.si());
        let scale = asked
            .plausible
            .map_or((f64::NEG_INFINITY, f64::INFINITY), ends);
        let shown = Gauge {
            accuracy: gauge.and_then(|gauge| gauge.accuracy),
            bias,
            step,
            scale,
        }
        .read(si, error, dice);
        let shown = if step > 0.0 {
            shown
        } else {
            displayed(shown, error)
        };
        let value = rounded(
            asked.unit.from_si(shown.clamp(scale.0, scale.1)),
            asked.unit,
        );
        Quantity::new(value, asked.unit).ok().map(Answer::Quantity)
    }

    /// Where a scale begins, SI. What is plausible of a reading is not what its gauge can show: in hands that forget the
    /// supply it stands at nothing. Steps that are followed as written never come there but by a leak too large for
    /// the test, and then read the least that is plausible.
    fn begins(&self, plausible: f64) -> f64 {
        if self.hands.is_some() {
            return plausible.min(0.0);
        }
        plausible
    }

    /// How far a gauge's bias is off, in standard deviations of its accuracy.
    fn bias(&self, gauge: &str) -> f64 {
        let spread = &self.car.spread;
        let mut own = self.car.dice.fork(gauge, 6);
        if spread.even {
            return spread.bias * own.between(-2.0, 2.0);
        }
        spread.bias * own.normal()
    }

    /// An answer that was worked out, as it would be read: rounded, and within its scale.
    pub(super) fn shown(&self, reading: &str, answer: Answer) -> Answer {
        let prompt = self.plan.flow.reading(reading).map(|prompt| &prompt.kind);
        match (&answer, prompt) {
            (Answer::Quantity(q), Some(PromptKind::Quantity(asked))) => self
                .on_scale(asked, q.si(), (0.0, 0.0), &mut Dice::new(0))
                .unwrap_or(answer),
            _ => answer,
        }
    }
}

/// A number as it is written down: whole where things are counted, else six digits.
pub(super) fn rounded(value: f64, unit: Unit) -> f64 {
    if unit.dimension() == Dimension::Count {
        return value.round();
    }
    format!("{value:.5e}").parse().unwrap_or(value)
}
