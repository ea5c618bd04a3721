//! An engine at warm idle and at a steady 2500 rpm, with air that nobody metered.
//!
//! What it draws is speed-density ([`crate::physics::engine_air`]); what idle control does about extra air is
//! [`crate::physics::raised_idle`]; the trims are the model of [`crate::physics::trims`] read forwards:
//! `1 + trim = (1 + a)(1 + leak / metered)`, bank by bank. An engine metered by manifold pressure counts the extra
//! air, so that its trims show the error of its pressure sensor instead: `1 + trim = (1 + a) p / p read`.
//!
//! At the stop of idle control an engine lies between "pressure holds" and "speed holds", here midway
//! ([`crate::physics::raised_idle::Answered::midway`]). Left out: load, spark, a bank that breathes otherwise than
//! the other.

use crate::flow::log_key::LogWindow;
use crate::physics::engine_air::speed_density;
use crate::physics::gas::Gas;
use crate::physics::orifice::{Coefficient, Drop};
use crate::physics::raised_idle::{Answered, Idle};
use crate::physics::trims::Split;

/// How an engine meters its air.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Metering {
    /// By a meter in the inlet duct (with or without a pressure sensor besides).
    AirMass,
    /// By the pressure in the manifold.
    ManifoldPressure,
}

/// A steady point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// Engine speed, 1/s.
    pub speed: f64,
    /// Manifold pressure without a leak, absolute, Pa.
    pub pressure: f64,
}

/// An engine.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Engine {
    /// Swept volume, m3.
    pub swept: f64,
    /// Volumetric efficiency referred to the air in the manifold.
    pub efficiency: f64,
    /// How it meters its air.
    pub metering: Metering,
    /// Banks with a trim of their own.
    pub banks: u32,
    /// What of the trims is no leak: an error of metering or fuelling.
    pub offset: f64,
    /// By how much idle control stands below its baseline without any leak.
    pub closes: f64,
    /// Warm idle.
    pub idle: Point,
    /// Steady 2500 rpm without load.
    pub fast: Point,
    /// Idle-air command or throttle angle of this engine without a leak.
    pub baseline: f64,
    /// The least that the command can go to.
    pub stop: f64,
    /// Share of the idle's air that still passes at the stop.
    pub rest: f64,
    /// Barometer, Pa.
    pub barometer: f64,
    /// Temperature of the air, K.
    pub temperature: f64,
}

/// Extra air into the manifold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Leak {
    /// Area, m2.
    pub area: f64,
    /// The bank that it feeds, from 0; `None`: all alike.
    pub bank: Option<u32>,
}

/// What there is at a steady point.
#[derive(Clone, Debug, PartialEq)]
pub struct Running {
    /// Engine speed, 1/s.
    pub speed: f64,
    /// Manifold pressure, absolute, Pa.
    pub pressure: f64,
    /// Air past the meter (or throttle), kg/s.
    pub metered: f64,
    /// Total trim of each bank.
    pub trims: Vec<f64>,
    /// Idle-air command or throttle angle.
    pub command: f64,
}

/// Largest short-term and long-term trim: common practice, no source.
pub const STOP: f64 = 0.25;

/// The leanest mixture that still fires at idle, as air over the air that its fuel needs: petrol, from memory, no source
/// at hand.
pub const LEANEST: f64 = 1.3;

impl Engine {
    /// How it runs with these leaks, whose coefficient is so many standard deviations off its model; `reads` is what
    /// its pressure sensor makes of a pressure.
    pub fn runs(
        &self,
        window: LogWindow,
        leaks: &[Leak],
        deviations: f64,
        reads: impl Fn(f64) -> f64,
    ) -> Running {
        let area: f64 = leaks.iter().map(|leak| leak.area).sum();
        let point = match window {
            LogWindow::Idle => self.idle,
            LogWindow::Fast => self.fast,
        };
        let need = self.draws(point);
        let Answered { command, air } = match window {
            LogWindow::Idle => {
                let answered = self.answers(need, area, deviations);
                let lowest = self.stop.min(answered.command);
                Answered {
                    command: (answered.command - self.closes).max(lowest),
                    ..answered
                }
            }
            // The throttle is held by hand: more air past it is no business of the idle control.
            LogWindow::Fast => Answered {
                command: self.baseline,
                air: 1.0,
            },
        };
        let rise = Answered { command, air }.midway();
        let pressure = (point.pressure * rise).min(0.95 * self.barometer);
        let flux = self.flux(pressure, deviations);
        let total = need * air;
        let metered = (total - area * flux).max(self.rest.max(0.02) * need);
        let trims = (0..self.banks)
            .map(|bank| {
                let fed: f64 = leaks
                    .iter()
                    .map(|leak| match leak.bank {
                        Some(own) if own == bank => leak.area,
                        Some(_) => 0.0,
                        None => leak.area / f64::from(self.banks),
                    })
                    .sum();
                match self.metering {
                    Metering::AirMass => Split {
                        offset: self.offset,
                        area: fed,
                        residual: 0.0,
                    }
                    .trim(metered / f64::from(self.banks), flux),
                    Metering::ManifoldPressure => {
                        (1.0 + self.offset) * pressure / reads(pressure).max(1_000.0) - 1.0
                    }
                }
            })
            .collect();
        Running {
            speed: point.speed * rise,
            pressure,
            metered,
            trims,
            command,
        }
    }

    /// Whether it idles at all with these leaks: its trims add fuel up to their stops, and with what is missing beyond
    /// that the mixture must still fire.
    pub fn idles(&self, leaks: &[Leak], deviations: f64) -> bool {
        let most = (1.0 + STOP).powi(2) * LEANEST;
        let idle = self.runs(LogWindow::Idle, leaks, deviations, |pressure| pressure);
        idle.trims.iter().all(|trim| 1.0 + trim <= most)
    }

    /// Air that it draws at a point, kg/s.
    pub fn draws(&self, point: Point) -> f64 {
        speed_density(
            self.efficiency,
            point.pressure,
            self.temperature,
            self.swept,
            point.speed,
        )
    }

    /// Mass flux into the manifold, kg/(s m2).
    pub fn flux(&self, manifold: f64, deviations: f64) -> f64 {
        Drop {
            gas: Gas::Air,
            upstream: self.barometer,
            downstream: manifold,
            temperature: self.temperature,
        }
        .flux(Coefficient::Sharp, deviations)
    }

    /// Where the idle control ends up, and all the air over what the idle needs.
    fn answers(&self, need: f64, area: f64, deviations: f64) -> Answered {
        let mut settled = Answered {
            command: self.baseline,
            air: 1.0,
        };
        // Past its stop the pressure rises, and with it falls what the leak brings: a few rounds settle it.
        for _ in 0..40 {
            let pressure = (self.idle.pressure * settled.midway()).min(0.95 * self.barometer);
            let answered = Idle {
                need,
                leak: area * self.flux(pressure, deviations),
                baseline: self.baseline,
                stop: self.stop,
                rest: self.rest,
            }
            .answer();
            let air = f64::midpoint(settled.air, answered.air);
            let still = (air - settled.air).abs() <= 0.0;
            settled = Answered { air, ..answered };
            if still {
                break;
            }
        }
        settled
    }
}

/// A total trim as a control unit shows it: short-term and long-term, each up to its stop.
pub fn split_trim(total: f64) -> (f64, f64) {
    let long = (0.75 * total).clamp(-STOP, STOP);
    let short = ((1.0 + total) / (1.0 + long) - 1.0).clamp(-STOP, STOP);
    (short, long)
}
