//! What can be physically wrong with a car, with its size drawn.

use crate::flow::signature::{Effect, SensorFault, ValveFault};

use super::dice::Dice;

/// What is physically wrong, with its size.
#[derive(Clone, Debug, PartialEq)]
pub enum Fault {
    /// A hole.
    Hole {
        /// Diameter, m.
        diameter: f64,
        /// The system that it is in, or a place of it.
        place: String,
    },
    /// A valve that does not do what it is told.
    Valve {
        /// Its name.
        name: String,
        /// What it does instead.
        state: ValveFault,
        /// What it lets through while it should be shut, as the diameter of a hole, m; 0 unless it is stuck open.
        rest: f64,
    },
    /// A sensor that reads wrong.
    Sensor {
        /// Its name.
        name: String,
        /// How.
        wrong: Wrong,
    },
    /// The complaint comes from something that no flow's cause names: a mixture, a charger, a bearing.
    Elsewhere {
        /// How strongly, from 0 to 1.
        strength: f64,
    },
}

/// How a sensor reads wrong.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Wrong {
    /// By an amount, SI.
    Offset(f64),
    /// By a factor.
    Gain(f64),
    /// It jumps about by an amount (95 %), SI.
    Noise(f64),
    /// It drops out now and then.
    DropOut,
}

impl Fault {
    /// Draws the size of an effect. `holes` are the least and the largest hole in question in that system: a valve
    /// that does not shut leaks like one of them.
    pub fn draw(effect: &Effect, holes: (f64, f64), dice: &mut Dice) -> Self {
        match effect {
            Effect::Hole { range, place } => Self::Hole {
                diameter: dice.rather_small(range.0.si(), range.1.si()),
                place: place.clone(),
            },
            Effect::Valve { name, state } => Self::Valve {
                name: name.clone(),
                state: *state,
                rest: match state {
                    ValveFault::StuckOpen => dice.rather_small(holes.0, holes.1),
                    ValveFault::StuckShut | ValveFault::Slow => 0.0,
                },
            },
            Effect::Sensor { name, fault } => Self::Sensor {
                name: name.clone(),
                wrong: match fault {
                    SensorFault::Offset(from, to) => {
                        Wrong::Offset(dice.between(step(from), step(to)))
                    }
                    SensorFault::EitherWay(from, to) => {
                        let by = dice.between(step(from), step(to));
                        Wrong::Offset(if dice.happens(0.5) { by } else { -by })
                    }
                    SensorFault::Gain(from, to) => Wrong::Gain(dice.between(*from, *to)),
                    SensorFault::Noise(from, to) => {
                        Wrong::Noise(dice.between(step(from), step(to)))
                    }
                    SensorFault::DropOut => Wrong::DropOut,
                },
            },
        }
    }

    /// How large it is, in SI units of its own kind, where that can be said in one number.
    pub fn size(&self) -> Option<f64> {
        match self {
            Self::Hole { diameter, .. } => Some(*diameter),
            Self::Valve { rest, .. } => (*rest > 0.0).then_some(*rest),
            Self::Sensor { wrong, .. } => match wrong {
                Wrong::Offset(by) | Wrong::Gain(by) | Wrong::Noise(by) => Some(*by),
                Wrong::DropOut => None,
            },
            Self::Elsewhere { .. } => None,
        }
    }
}

/// An amount is a step: 5 K is not a temperature.
fn step(amount: &crate::units::Quantity) -> f64 {
    amount.unit().step_to_si(amount.value())
}
