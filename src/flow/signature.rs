//! What a cause looks like: its physical effect, and what each reading shows if it is the cause.
//!
//! Data only. The simulated car and the ranking of causes make likelihoods of it.

use super::node::Place;
use crate::units::Quantity;

/// What a reading or worked value shows.
#[derive(Clone, Debug)]
pub struct Shows {
    /// The reading or worked value.
    pub id: String,
    /// What it shows.
    pub what: Shown,
    /// Where it is written.
    pub place: Place,
}

/// Two are the same if they show the same, wherever they are written.
impl PartialEq for Shows {
    fn eq(&self, other: &Self) -> bool {
        self.id == other.id && self.what == other.what
    }
}

/// What is shown.
#[derive(Clone, Debug, PartialEq)]
pub enum Shown {
    /// A number in a range, whose ends are its 5th and 95th percentiles.
    Range(Quantity, Quantity),
    /// A number in this range or in its mirror image below zero, the one as likely as the other.
    EitherWay(Quantity, Quantity),
    /// Words or places, each with how likely it is.
    Words(Vec<(String, f64)>),
}

/// A physical effect on the car.
#[derive(Clone, Debug, PartialEq)]
pub enum Effect {
    /// A hole of a diameter in this range, at a place or in a system.
    Hole {
        /// Smallest and largest diameter.
        range: (Quantity, Quantity),
        /// Where.
        place: String,
    },
    /// A valve that does not do what it is told.
    Valve {
        /// Its name.
        name: String,
        /// What it does instead.
        state: ValveFault,
    },
    /// A sensor that reads wrong.
    Sensor {
        /// Its name.
        name: String,
        /// How.
        fault: SensorFault,
    },
}

/// What a valve does instead of obeying.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ValveFault {
    /// It stays open.
    StuckOpen,
    /// It stays shut.
    StuckShut,
    /// It moves late.
    Slow,
}

/// How a sensor reads wrong.
#[derive(Clone, Debug, PartialEq)]
pub enum SensorFault {
    /// Too high by an amount in this range (below zero: too low).
    Offset(Quantity, Quantity),
    /// Too high or too low, the one as likely as the other, by an amount in this range.
    EitherWay(Quantity, Quantity),
    /// Its slope is off by a factor in this range (1 is right).
    Gain(f64, f64),
    /// It jumps about by an amount in this range.
    Noise(Quantity, Quantity),
    /// It drops out now and then.
    DropOut,
}
