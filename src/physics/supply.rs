//! A regulated supply that passes only so much, against openings, and the filling of a space.
//!
//! The supply is a regulator that holds its set pressure, followed by a restriction (hose, needle,
//! float) that passes the *open flow* when nothing is connected. Blocked it reads the set pressure
//! and no flow; open it reads full flow and no pressure; in between the gas that comes in is the
//! gas that goes out:
//!
//! ```text
//! A_s G(p_set -> p) = A G(p -> barometer)
//! ```
//!
//! | symbol | meaning | unit |
//! | --- | --- | --- |
//! | `A_s` | area of the restriction, from the open flow at the set pressure | m2 |
//! | `A` | all openings together, each with the coefficient | m2 |
//! | `G` | mass flux (`orifice`) | kg/(s m2) |
//!
//! At small pressures, with one coefficient: `p = p_set A_s^2 / (A_s^2 + A^2)`. Source: two orifices
//! in a row, any text on fluid mechanics. Left out: a regulator that droops, and a long hose whose
//! loss goes with the flow and not with its square. The float stands behind the regulator: at a
//! float before it the gas is denser, and its reading must be corrected (`gauge`).
//!
//! Worked example: openings with the restriction's own area settle at half the set pressure.

use super::decay::{Space, integral};
use super::gas::{ATMOSPHERE, ROOM};
use super::orifice::{Coefficient, Drop};

/// A regulated supply behind its restriction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Supply {
    /// Set pressure, difference to the barometer, Pa.
    pub set: f64,
    /// Area of the restriction, m2, with the coefficient that its flux is worked with.
    pub area: f64,
}

impl Supply {
    /// The supply that passes a volume flow (at 20 C and 101.325 kPa, m3/s) into the open air.
    pub fn passing(set: f64, open_flow: f64, space: &Space) -> Self {
        let mass_flow = open_flow * space.gas.density(ATMOSPHERE, ROOM);
        Self {
            set,
            area: mass_flow / restriction(space, set, 0.0),
        }
    }

    /// Mass flow into a space at a pressure difference to the barometer, kg/s.
    pub fn flow(&self, space: &Space, inside: f64) -> f64 {
        self.area * restriction(space, self.set, inside)
    }

    /// Pressure at which openings of this area pass what the supply gives, Pa. Halving: what comes
    /// in falls and what goes out rises with it, so that there is one.
    pub fn equilibrium(&self, space: &Space, opening: f64) -> f64 {
        let (mut low, mut high) = (0.0, self.set);
        for _ in 0..200 {
            let middle = f64::midpoint(low, high);
            if self.flow(space, middle) > opening * space.flux(middle) {
                low = middle;
            } else {
                high = middle;
            }
            if high - low <= 1e-13 * self.set {
                break;
            }
        }
        f64::midpoint(low, high)
    }

    /// Time to fill a space from the barometer to a pressure, s, against openings; infinite when
    /// they pass all that the supply gives before it is reached.
    pub fn time_to_fill(&self, space: &Space, volume: f64, opening: f64, goal: f64) -> f64 {
        let gain = |inside: f64| self.flow(space, inside) - opening * space.flux(inside);
        if goal > self.set || gain(goal) < 0.0 || (gain(goal) == 0.0 && opening > 0.0) {
            return f64::INFINITY;
        }
        // The root of what is missing as variable: the flow goes with it near the set pressure.
        let piece = |u: f64| 2.0 * u / gain(self.set - u * u);
        let (from, to) = ((self.set - goal).max(0.0).sqrt(), self.set.sqrt());
        let constant = space.gas.constant() * space.temperature;
        volume / constant * integral(piece, from, to, 40)
    }
}

/// Mass flux from the set pressure to a pressure inside; the restriction's coefficient is constant,
/// as its size follows from a flow and not from a diameter.
fn restriction(space: &Space, set: f64, inside: f64) -> f64 {
    Drop {
        gas: space.gas,
        upstream: space.barometer + set,
        downstream: space.barometer + inside,
        temperature: space.temperature,
    }
    .flux(Coefficient::Fixed(1.0), 0.0)
}
