//! A space of the car: its openings, its holes, its valves.

use crate::flow::signature::ValveFault;
use crate::physics::decay::Space;
use crate::physics::orifice;

/// A space that can be put under pressure or vacuum.
#[derive(Clone, Debug, PartialEq)]
pub struct System {
    /// Its volume, m3.
    pub volume: f64,
    /// What leads out of it and can be closed.
    pub openings: Vec<Opening>,
    /// What leaks.
    pub holes: Vec<Hole>,
    /// What always passes some, as an area with the holes' own coefficient, m2: rings and open valves of a stopped
    /// engine, a crankcase, a seal as it should be.
    pub natural: f64,
}

/// A way out that a step can close.
#[derive(Clone, Debug, PartialEq)]
pub struct Opening {
    /// Its name, as the steps call it.
    pub name: String,
    /// Its area, m2.
    pub area: f64,
    /// Whether it is closed off.
    pub sealed: bool,
    /// The valve behind it, where there is one: what passes then depends on it as well.
    pub valve: Option<Valve>,
}

/// A hole.
#[derive(Clone, Debug, PartialEq)]
pub struct Hole {
    /// Its diameter, m.
    pub diameter: f64,
    /// Whether somebody covers it.
    pub covered: bool,
}

/// A valve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Valve {
    /// Whether it is told to be open.
    pub told_open: bool,
    /// What it does instead of obeying.
    pub fault: Option<ValveFault>,
    /// What it lets through though it should be shut, as a share of what it passes when open.
    pub rest: f64,
}

impl Valve {
    /// A valve that obeys.
    pub fn obeying(told_open: bool) -> Self {
        Self {
            told_open,
            fault: None,
            rest: 0.0,
        }
    }

    /// How far it is open once it had time, from 0 to 1.
    pub fn open(&self) -> f64 {
        match (self.fault, self.told_open) {
            (Some(ValveFault::StuckOpen), false) => self.rest,
            (Some(ValveFault::StuckShut), _) | (_, false) => 0.0,
            (_, true) => 1.0,
        }
    }

    /// How far it is open at the moment of the command: one that is slow still stands where it stood.
    pub fn open_at_once(&self) -> f64 {
        if self.fault == Some(ValveFault::Slow) {
            return if self.told_open { 0.0 } else { 1.0 };
        }
        self.open()
    }
}

impl Opening {
    /// The area that it lets through as it stands, m2.
    pub fn passes(&self) -> f64 {
        if self.sealed {
            return 0.0;
        }
        self.area * self.valve.map_or(1.0, |valve| valve.open())
    }
}

impl Hole {
    /// The area that it lets through as it stands, m2.
    pub fn passes(&self) -> f64 {
        if self.covered {
            0.0
        } else {
            orifice::area(self.diameter)
        }
    }
}

impl System {
    /// All that leads out as it stands: areas add.
    pub fn opening(&self) -> f64 {
        let open: f64 = self.openings.iter().map(Opening::passes).sum();
        let holes: f64 = self.holes.iter().map(Hole::passes).sum();
        self.natural + open + holes
    }

    /// The opening of this name.
    pub fn opening_named(&mut self, name: &str) -> Option<&mut Opening> {
        self.openings
            .iter_mut()
            .find(|opening| opening.name == name)
    }

    /// Mass flow through one area at a pressure inside, kg/s.
    pub fn leaks(area: f64, space: &Space, inside: f64) -> f64 {
        area * space.flux(inside)
    }

    /// Pressure that is left after a time with the supply shut, Pa against the barometer.
    pub fn holds(&self, space: &Space, start: f64, time: f64) -> f64 {
        space.pressure_after(start, self.opening(), self.volume, time)
    }
}
