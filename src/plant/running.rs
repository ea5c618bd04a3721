//! Readings of the running engine and of its pressure sensor.

use crate::flow::answer::Answer;
use crate::flow::log_key::{LogValue, LogWindow};
use crate::flow::model::{Prompt, PromptKind};
use crate::units::{Quantity, Unit};

use super::dice::Dice;
use super::drive::Drive;
use super::engine::{Running, split_trim};
use super::scale::rounded;

/// What an engine takes its air in by, in the words of the flows: with one of them shut it does not run.
const BREATHES_BY: [&str; 3] = ["air inlet", "compressor outlet", "throttle inlet"];

/// Whether an engine breathes by this opening.
pub fn is_breathed_by(opening: &str) -> bool {
    BREATHES_BY.contains(&opening)
}

impl Drive<'_> {
    /// Whether what somebody left shut keeps the engine from running.
    pub fn chokes(&self) -> bool {
        self.hands.is_some() && BREATHES_BY.iter().any(|opening| self.is_closed(opening))
    }

    fn running(&self, window: LogWindow, covered: bool, dice: &mut Dice) -> Running {
        // What is covered by hand stays covered until somebody takes the cover off.
        let covered = covered || self.hands.is_some();
        let leaks = self
            .car
            .intake_leaks(|cause| self.left(cause) && !(covered && self.is_covered(cause)));
        let sensor = self.sensor("manifold-pressure");
        let mut engine = self.car.engine;
        if !self.left(super::car::NOT_LISTED) {
            engine.offset = 0.0;
            engine.closes = 0.0;
        }
        let noise = dice.clone();
        engine.runs(window, &leaks, self.car.deviations, |p| {
            sensor.tells(p, &mut noise.clone())
        })
    }

    pub(super) fn scan(
        &self,
        window: LogWindow,
        value: LogValue,
        covered: bool,
        dice: &mut Dice,
    ) -> Option<f64> {
        let running = self.running(window, covered, dice);
        let trim = |bank: usize| running.trims.get(bank).map(|total| split_trim(*total));
        match value {
            LogValue::Airflow => Some(self.sensor("air-mass").tells(running.metered, dice)),
            LogValue::Manifold => Some(
                self.sensor("manifold-pressure")
                    .tells(running.pressure, dice),
            ),
            LogValue::ShortTrim1 => trim(0).map(|(short, _)| short),
            LogValue::LongTrim1 => trim(0).map(|(_, long)| long),
            LogValue::ShortTrim2 => trim(1).map(|(short, _)| short),
            LogValue::LongTrim2 => trim(1).map(|(_, long)| long),
            LogValue::Speed => Some(running.speed),
            LogValue::Throttle => Some(running.command),
            LogValue::Load => None,
        }
    }

    /// The sweep of the sensor: from the barometer down to 30 kPa and up again.
    pub(super) fn sweep(&self, prompt: &Prompt, dice: &mut Dice) -> Option<Answer> {
        let PromptKind::Pairs(asked) = &prompt.kind else {
            return None;
        };
        let (top, low) = (self.car.engine.barometer, super::reading::HELD);
        let sensor = self.sensor("manifold-pressure");
        let noise = self.car.spread.noise;
        let error = |tolerance: Option<crate::flow::model::Tolerance>, si: f64| {
            tolerance.map_or(0.0, |t| t.half_width(si)) * noise / super::instrument::Z95
        };
        let mut pairs = Vec::new();
        for place in [0, 1, 2, 3, 4, 5, 4, 3, 2, 1, 0] {
            let pressure = top + (low - top) * f64::from(place) / 5.0;
            let signal = self.car.sensor_line.signal(sensor.tells(pressure, dice));
            let read = pressure + dice.normal() * error(asked.errors.0, pressure);
            let seen = signal + dice.normal() * error(asked.errors.1, signal);
            let shown =
                |si: f64, unit: Unit| Quantity::new(rounded(unit.from_si(si), unit), unit).ok();
            pairs.push((shown(read, asked.first.1)?, shown(seen, asked.second.1)?));
        }
        Some(Answer::Pairs(pairs))
    }
}
