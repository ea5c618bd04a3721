//! Pressure that a closed space loses through one hole, or that a vacuum in it gains.
//!
//! ```text
//! d(p V / (R T)) / dt = -A G(p)                 (mass balance; G from `orifice`, signed)
//! ```
//!
//! | symbol | meaning | unit |
//! | --- | --- | --- |
//! | `p`, `T` | absolute pressure and temperature of the gas inside | Pa, K |
//! | `V`, `A` | volume of the space, area of the hole | m3, m2 |
//! | `G`, `R` | mass flux through the hole, specific gas constant | kg/(s m2), J/(kg K) |
//!
//! At one temperature the variables part, and `F(p) = integral of dp / G` falls by `R T A / V` each
//! second: a *clock* that is exactly linear in time, whatever the coefficient does on the way. For
//! small pressures, with one coefficient and one density, it has the closed form
//!
//! ```text
//! sqrt(dp) = sqrt(dp0) - Cd A p_a / V * sqrt(2 / rho_a) / 2 * t
//! ```
//!
//! with `dp` the difference to the barometer `p_a` and `rho_a` the density there. The closed form
//! gives the first guess; the clock, worked by quadrature, gives the answer. Between two readings
//! the mean flux is the drop divided by the change of the clock, again exact at one temperature, so
//! that `p/T` against the sum of `mean flux x time` is a straight line of slope `-R A / V`.
//!
//! Source: mass balance and the isentropic orifice; our derivation, checked against a numerical
//! integration (fourth-order Runge-Kutta in a test; scipy in `tests/reference/decay_reference.csv`).
//! 40 CFR 1065.644 has the leak rate from two pressures, which is the same balance. Left out: walls
//! that give way, gas that cools as it expands (the walls of a tank hold it to their temperature
//! within seconds), fuel that evaporates (see `vapour`).
//!
//! Worked example: 10 L of air at 20 C, 14 inH2O, a hole of 0.010 in with `Cd` 0.61: 4.877 inH2O are
//! left after 120 s.

use super::fit::line;
use super::gas::Gas;
use super::orifice::{Coefficient, Drop, critical_ratio};

/// Nodes and weights of the Gauss-Legendre rule of eight points on -1 to 1, the positive half.
const GAUSS: [(f64, f64); 4] = [
    (0.183_434_642_495_649_8, 0.362_683_783_378_362),
    (0.525_532_409_916_329, 0.313_706_645_877_887_3),
    (0.796_666_477_413_626_7, 0.222_381_034_453_374_5),
    (0.960_289_856_497_536_3, 0.101_228_536_290_376_3),
];

/// Pressure differences up to this are integrated in one piece, Pa; beyond, in several.
const PIECE: f64 = 25_000.0;

/// The integral of `f` from `from` to `to`, by the eight-point rule in so many pieces.
pub fn integral(f: impl Fn(f64) -> f64, from: f64, to: f64, pieces: u32) -> f64 {
    let half = (to - from) / f64::from(pieces) / 2.0;
    (0..pieces)
        .map(|piece| {
            let middle = from + half * f64::from(2 * piece + 1);
            let sum: f64 = GAUSS
                .iter()
                .map(|(node, weight)| weight * (f(middle + half * node) + f(middle - half * node)))
                .sum();
            sum * half
        })
        .sum()
}

/// A closed space against the air around, and the kind of hole in it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Space {
    /// The gas inside; with a vacuum inside, air comes in and this is the air.
    pub gas: Gas,
    /// Absolute pressure around, Pa.
    pub barometer: f64,
    /// Temperature of the gas, K.
    pub temperature: f64,
    /// Kind of hole.
    pub coefficient: Coefficient,
    /// How far the coefficient is off its model, in standard deviations.
    pub deviations: f64,
}

impl Space {
    /// Mass flux, kg/(s m2), without sign, at a pressure difference to the barometer in Pa.
    pub fn flux(&self, inside: f64) -> f64 {
        let (upstream, downstream) = if inside < 0.0 {
            (self.barometer, self.barometer + inside)
        } else {
            (self.barometer + inside, self.barometer)
        };
        Drop {
            gas: self.gas,
            upstream,
            downstream: downstream.max(0.0),
            temperature: self.temperature,
        }
        .flux(self.coefficient, self.deviations)
    }

    /// The clock: integral of dp / flux from no pressure to `inside`, signed like it, s m2/kg Pa.
    pub fn clock(&self, inside: f64) -> f64 {
        if inside == 0.0 {
            return 0.0;
        }
        // With the root as variable the integrand is smooth down to zero, where flux goes with it.
        let piece = |u: f64| 2.0 * u / self.flux((u * u).copysign(inside));
        let part = |from: f64, to: f64| {
            let pieces = [1.0, 2.0, 4.0]
                .iter()
                .position(|n| to - from <= n * n * PIECE)
                .map_or(8, |place| 1 << place);
            integral(piece, from.sqrt(), to.sqrt(), pieces)
        };
        // The flux has a bend where it chokes: each side is integrated by itself.
        let (size, bend) = (inside.abs(), self.chokes_at(inside));
        let whole = if size > bend {
            part(0.0, bend) + part(bend, size)
        } else {
            part(0.0, size)
        };
        whole.copysign(inside)
    }

    /// Size of the pressure difference at which the flow chokes, Pa.
    fn chokes_at(&self, inside: f64) -> f64 {
        let critical = critical_ratio(self.gas.gamma());
        if inside < 0.0 {
            self.barometer * (1.0 - critical)
        } else {
            self.barometer * (1.0 / critical - 1.0)
        }
    }

    /// How fast the clock runs for a hole of this area in a space of this volume.
    fn rate(&self, area: f64, volume: f64) -> f64 {
        self.gas.constant() * self.temperature * area / volume
    }

    /// Pressure difference left after a time, by the closed form for small pressures.
    pub fn closed_form(&self, start: f64, area: f64, volume: f64, time: f64) -> f64 {
        let ratio =
            self.barometer.min(self.barometer + start) / self.barometer.max(self.barometer + start);
        let density = self.gas.density(self.barometer, self.temperature);
        let coefficient = self.coefficient.shifted(ratio, self.deviations);
        let fall =
            coefficient * area * self.barometer / volume * (2.0 / density).sqrt() / 2.0 * time;
        let root = (start.abs().sqrt() - fall).max(0.0);
        (root * root).copysign(start)
    }

    /// Pressure difference left after a time, Pa: exact but for the quadrature.
    ///
    /// An area below zero is a space that gains pressure; for that the clock runs on upwards.
    pub fn pressure_after(&self, start: f64, area: f64, volume: f64, time: f64) -> f64 {
        let goal = self.clock(start).abs() - self.rate(area, volume) * time;
        if goal <= 0.0 || start == 0.0 || !goal.is_finite() {
            return 0.0;
        }
        let mut pressure = self.closed_form(start, area, volume, time).abs();
        if pressure <= 0.0 {
            pressure = start.abs() * 1e-6;
        }
        // Newton in the root of the pressure, in which the clock is nearly a straight line.
        for _ in 0..40 {
            let signed = pressure.copysign(start);
            let step = (self.clock(signed).abs() - goal) * self.flux(signed);
            let root = pressure.sqrt();
            let next = (root - step / (2.0 * root)).max(root * 0.1).powi(2);
            if (next - pressure).abs() <= 1e-12 * pressure.max(1e-6) {
                return next.copysign(start);
            }
            pressure = next;
        }
        pressure.copysign(start)
    }

    /// Time for a hole to take a pressure difference from one value to another of the same sign, s.
    pub fn time_between(&self, from: f64, to: f64, area: f64, volume: f64) -> f64 {
        (self.clock(from) - self.clock(to)).abs() / self.rate(area, volume)
    }
}

/// A pressure at a time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// s.
    pub time: f64,
    /// Difference to the barometer, Pa.
    pub inside: f64,
    /// Of the gas inside, K.
    pub temperature: f64,
}

/// What timed pressures say.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fit {
    /// Area of the hole over the volume of the space, 1/m; below zero when pressure is gained.
    pub area_per_volume: f64,
    /// Largest distance of a pressure from the model, Pa.
    pub residual: f64,
}

/// Fits the hole by least squares; `None` when the readings settle nothing (fewer than two times,
/// or no pressure difference at all).
pub fn fit(space: &Space, readings: &[Reading]) -> Option<Fit> {
    let first = readings.first()?;
    let clocks: Vec<f64> = readings.iter().map(|r| space.clock(r.inside)).collect();
    let mut passed = 0.0;
    let mut points = vec![(0.0, (space.barometer + first.inside) / first.temperature)];
    for (pair, clock) in readings.windows(2).zip(clocks.windows(2)) {
        let [from, to] = pair else { continue };
        let change = clock[1] - clock[0];
        let middle = f64::midpoint(from.inside, to.inside);
        let flux = if change == 0.0 {
            space.flux(middle)
        } else {
            (to.inside - from.inside) / change
        };
        let temperature = f64::midpoint(from.temperature, to.temperature);
        let sign = if middle < 0.0 { -1.0 } else { 1.0 };
        passed += sign * flux * (space.temperature / temperature).sqrt() * (to.time - from.time);
        points.push((passed, (space.barometer + to.inside) / to.temperature));
    }
    let fitted = line(&points)?;
    Some(Fit {
        area_per_volume: -fitted.slope / space.gas.constant(),
        residual: fitted.worst * space.temperature,
    })
}
