//! How far cars and gauges differ from what a flow takes them to be.

use super::dice::Dice;
use crate::physics::orifice::Coefficient;

/// How widely the things are drawn that no reading tells.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// Holes pass more or less than their model: in standard deviations of the model where
    /// `even` is false, else evenly within this share of it.
    pub coefficient: f64,
    /// Spaces are larger or smaller than told, as a share: a normal deviation, or even.
    pub volume: f64,
    /// Bias of every gauge, in units of what its accuracy allows.
    pub bias: f64,
    /// Noise of every reading, in units of what its error allows.
    pub noise: f64,
    /// Even over the whole range, as for cars that the flow does not expect.
    pub even: bool,
}

impl Spread {
    /// Cars as the flow expects them: the model's own spread, gauges as accurate as they claim.
    pub const EXPECTED: Self = Self {
        coefficient: 1.0,
        volume: 0.05,
        bias: 1.0,
        noise: 1.0,
        even: false,
    };

    /// Cars that the flow does not expect: coefficient and volume off by up to 30 %, gauges biased up to twice
    /// what they claim, twice the noise.
    pub const UNEXPECTED: Self = Self {
        coefficient: 0.3,
        volume: 0.3,
        bias: 2.0,
        noise: 2.0,
        even: true,
    };

    /// Nothing differs, nothing is noisy: for looking at one effect alone.
    pub const NONE: Self = Self {
        coefficient: 0.0,
        volume: 0.0,
        bias: 0.0,
        noise: 0.0,
        even: false,
    };

    /// How far the discharge coefficient is off its model, in standard deviations of that model.
    pub fn deviations(&self, dice: &mut Dice) -> f64 {
        if self.even {
            let share = dice.between(-self.coefficient, self.coefficient);
            return share / Coefficient::Sharp.deviation();
        }
        self.coefficient * dice.normal()
    }

    /// The true volume over the told one.
    pub fn volume(&self, dice: &mut Dice) -> f64 {
        let off = if self.even {
            dice.between(-self.volume, self.volume)
        } else {
            self.volume * dice.normal()
        };
        (1.0 + off).max(0.1)
    }
}
