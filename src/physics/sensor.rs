//! A pressure sensor's line: what a sweep says of it against what it should be.
//!
//! The points of the sweep are fitted by least squares; the error of the sensor at a pressure is
//! that pressure as the *expected* line would read the fitted signal, less the true one. Both are
//! straight, so its largest value over the sweep stands at one of the ends; the ends are told
//! apart, since each has its own interval and the larger of the two has none that means anything
//! where they are alike. Left out: the error of the gauge that the pressures were read on, which is
//! carried as an error of the input.

use super::fit::Line;

/// A line `signal = offset + gain x pressure`: V from Pa.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Transfer {
    /// Slope, V/Pa.
    pub gain: f64,
    /// Signal at no pressure, V.
    pub offset: f64,
}

impl Transfer {
    /// The signal that this line gives at a pressure, V.
    pub fn signal(&self, pressure: f64) -> f64 {
        self.offset + self.gain * pressure
    }

    /// The pressure that this line reads from a signal, Pa.
    pub fn pressure(&self, signal: f64) -> f64 {
        (signal - self.offset) / self.gain
    }
}

/// How far a fitted line reads off an expected one, as pressure in Pa.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Deviation {
    /// At the middle of the sweep, where the fit is known best.
    pub middle: f64,
    /// At the lowest pressure of the sweep.
    pub low_end: f64,
    /// At the highest pressure of the sweep.
    pub high_end: f64,
    /// From one end of the sweep to the other: what a wrong slope alone does.
    pub tilt: f64,
}

impl Deviation {
    /// The largest over the sweep, whichever way.
    pub fn largest(&self) -> f64 {
        self.low_end.abs().max(self.high_end.abs())
    }
}

/// Compares a fit over a swept range of pressures in Pa with the line it should be.
pub fn deviation(fit: &Line, expected: Transfer, lowest: f64, highest: f64) -> Deviation {
    let off = |pressure: f64| expected.pressure(fit.at(pressure)) - pressure;
    let (low_end, high_end) = (off(lowest), off(highest));
    Deviation {
        middle: off(fit.middle),
        low_end,
        high_end,
        tilt: high_end - low_end,
    }
}

/// Largest difference in signal, at one pressure, between the way up and the way down, V.
///
/// The points are in the order in which they were read; a stretch in which the pressure rises is
/// compared with every one in which it falls, by straight pieces. `None` when it only goes one way.
pub fn hysteresis(points: &[(f64, f64)]) -> Option<f64> {
    let way = |up: bool| {
        points
            .windows(2)
            .filter(move |p| if up { p[1].0 > p[0].0 } else { p[1].0 < p[0].0 })
    };
    let on = |piece: &[(f64, f64)], x: f64| {
        let ((x0, y0), (x1, y1)) = (piece[0], piece[1]);
        let inside = (x0.min(x1)..=x0.max(x1)).contains(&x);
        inside.then(|| y0 + (y1 - y0) * (x - x0) / (x1 - x0))
    };
    way(true)
        .flat_map(|up| way(false).map(move |down| (up, down)))
        .flat_map(|(up, down)| {
            [up[0].0, up[1].0, down[0].0, down[1].0]
                .into_iter()
                .filter_map(move |x| Some((on(up, x)? - on(down, x)?).abs()))
        })
        .reduce(f64::max)
}

/// Largest distance of a point from the fitted line, as a share of the signal's span.
pub fn linearity(fit: &Line, lowest: f64, highest: f64) -> f64 {
    fit.worst / (fit.at(highest) - fit.at(lowest)).abs()
}
