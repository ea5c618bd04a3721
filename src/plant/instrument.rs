//! Gauges and sensors: from what is there to what is read.

use crate::flow::model::Tolerance;

use super::dice::Dice;
use super::fault::Wrong;

/// 97.5 % point of the normal distribution: a 95 % half-width is so many standard deviations.
pub const Z95: f64 = 1.959_963_985;

/// A gauge: one bias, a smallest step, and a scale that ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gauge {
    /// 95 % half-width of the bias that all its readings share.
    pub accuracy: Option<Tolerance>,
    /// How far its bias is off, in standard deviations of its accuracy.
    pub bias: f64,
    /// The smallest step, SI; 0: as fine as one likes.
    pub step: f64,
    /// Ends of its scale, SI.
    pub scale: (f64, f64),
}

impl Gauge {
    /// What it shows for a value, SI, with noise of one 95 % half-width.
    pub fn read(&self, true_value: f64, error: f64, dice: &mut Dice) -> f64 {
        let width = self.accuracy.map_or(0.0, |a| a.half_width(true_value));
        let biased = true_value + self.bias * width / Z95;
        let noisy = biased + dice.normal() * error / Z95;
        let stepped = if self.step > 0.0 {
            (noisy / self.step).round() * self.step
        } else {
            noisy
        };
        stepped.clamp(self.scale.0, self.scale.1)
    }
}

/// A sensor of the car.
#[derive(Clone, Debug, PartialEq)]
pub struct Sensor {
    /// What is wrong with it; several add up.
    pub wrong: Vec<Wrong>,
}

impl Sensor {
    /// A sensor that tells the truth.
    pub const SOUND: Self = Self { wrong: Vec::new() };

    /// What it makes of a value.
    pub fn tells(&self, true_value: f64, dice: &mut Dice) -> f64 {
        self.wrong
            .iter()
            .fold(true_value, |value, wrong| match wrong {
                Wrong::Offset(by) => value + by,
                Wrong::Gain(factor) => value * factor,
                Wrong::Noise(by) => value + by * dice.normal() / Z95,
                // One reading in three falls into a gap, where the signal lies at nothing.
                Wrong::DropOut => {
                    if dice.happens(1.0 / 3.0) {
                        0.0
                    } else {
                        value
                    }
                }
            })
    }
}

/// A number rounded as a display would show it: to a fifth of its error at the least, else three digits.
pub fn displayed(si: f64, error: f64) -> f64 {
    let size = if error > 0.0 {
        error / 5.0
    } else {
        si.abs() / 500.0
    };
    if size <= 0.0 || !size.is_finite() {
        return si;
    }
    let mut step = 1.0;
    while step > size {
        step /= 10.0;
    }
    while step * 10.0 <= size {
        step *= 10.0;
    }
    (si / step).round() * step
}
