//! A smoke supply on a system: what its float and its gauge stand at.
//!
//! The supply is [`crate::physics::supply::Supply`]; here it gets a leak of its own (a hose, a clamp), and a float
//! whose scale is made for air at the barometer, so that it reads other gases by their density
//! ([`crate::physics::float_gauge`]).

use crate::physics::decay::Space;
use crate::physics::float_gauge::{Pair, factor};
use crate::physics::gas::{ATMOSPHERE, Gas, ROOM};
use crate::physics::supply::Supply;

/// A smoke unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unit {
    /// Set pressure, Pa.
    pub set: f64,
    /// Flow with the tip open, m3/s at 20 C and 101.325 kPa.
    pub open_flow: f64,
    /// Opening of its own hose and clamps, m2.
    pub own_leak: f64,
}

/// Where float and gauge stand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stand {
    /// Pressure against the barometer, Pa.
    pub pressure: f64,
    /// True flow, m3/s at 20 C and 101.325 kPa.
    pub flow: f64,
}

impl Unit {
    /// Where it settles on openings of this area, m2.
    pub fn on(&self, space: &Space, opening: f64) -> Stand {
        let supply = Supply::passing(self.set, self.open_flow, space);
        let all = opening + self.own_leak;
        let pressure = if all > 0.0 {
            supply.equilibrium(space, all)
        } else {
            supply.set
        };
        let flow = all * space.flux(pressure) / space.gas.density(ATMOSPHERE, ROOM);
        Stand { pressure, flow }
    }

    /// With its tip blocked.
    pub fn blocked(&self, space: &Space) -> Stand {
        self.on(space, 0.0)
    }

    /// With its tip open.
    pub fn open(&self) -> Stand {
        Stand {
            pressure: 0.0,
            flow: self.open_flow,
        }
    }
}

/// What a float with a scale for air at 20 C and the barometer reads for a true flow.
pub fn float_reads(flow: f64, space: &Space, pressure: f64) -> f64 {
    let same = |gas: Gas| gas.normal_density();
    flow / factor(
        Pair {
            scale: same(Gas::Air),
            here: same(space.gas),
        },
        Pair {
            scale: ATMOSPHERE,
            here: space.barometer + pressure,
        },
        Pair {
            scale: ROOM,
            here: space.temperature,
        },
    )
}
