//! A variable-area float: its scale on another gas, pressure or temperature, and a scale made by
//! the workshop from known test holes.
//!
//! On another gas, with the same height of the float:
//!
//! ```text
//! Q_n = Q_scale sqrt( rho_n,scale / rho_n  *  p / p_scale  *  T_scale / T )
//! ```
//!
//! | symbol | meaning | unit |
//! | --- | --- | --- |
//! | `Q_n`, `Q_scale` | flow at reference conditions: true, and as the scale reads | m3/s |
//! | `rho_n` | density of the gas at 0 C and 101.325 kPa | kg/m3 |
//! | `p`, `T` | absolute pressure and temperature *at the float* | Pa, K |
//!
//! Source: VDI/VDE 3513 (from memory) and an instrument maker's technical note; a float is lifted
//! by `rho v^2`. Left out: viscosity (small floats at small flows feel it) and buoyancy of the gas.
//! Worked example: a scale for air at 2 bar and 20 C, used with carbon dioxide at 4 bar and
//! 50 C: factor 0.994, so that 5 m3/h reads 4.97 m3/h.
//!
//! A float that only shows a height is calibrated with test holes. Between them the flow is a
//! *monotone* cubic through the points (the condition of Fritsch and Carlson 1980, with the
//! harmonic-mean slopes of Fritsch and Butland 1984; from memory): the tube tapers smoothly, so that
//! straight pieces would read low on a bulging scale, and an ordinary spline may swing so far that
//! a higher float would mean less flow. How far the cubic and the straight pieces part is the
//! measure of what three or four points leave open.

/// The factor from a scale's reading to the true flow.
pub fn factor(density: Pair, pressure: Pair, temperature: Pair) -> f64 {
    (density.scale / density.here
        * (pressure.here / pressure.scale)
        * (temperature.scale / temperature.here))
        .sqrt()
}

/// One condition, as the scale was made for and as it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pair {
    /// What the scale was made for.
    pub scale: f64,
    /// What it is at the float.
    pub here: f64,
}

/// A curve through points that rise, and nowhere falls between them.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    points: Vec<(f64, f64)>,
    slopes: Vec<f64>,
}

impl Curve {
    /// The curve through points in rising order; `None` with fewer than two, where `x` does not
    /// rise, or where `y` falls.
    pub fn through(points: &[(f64, f64)]) -> Option<Self> {
        let rises = points
            .windows(2)
            .all(|p| p[1].0 > p[0].0 && p[1].1 >= p[0].1);
        let finite = points.iter().all(|(x, y)| x.is_finite() && y.is_finite());
        if points.len() < 2 || !rises || !finite {
            return None;
        }
        let secants: Vec<f64> = points
            .windows(2)
            .map(|p| (p[1].1 - p[0].1) / (p[1].0 - p[0].0))
            .collect();
        let last = secants.len();
        let slopes = (0..=last)
            .map(|place| {
                let (before, after) = (
                    secants[place.saturating_sub(1)],
                    secants[place.min(last - 1)],
                );
                // Harmonic mean: zero where the curve is level on one side, and never more than
                // three times the smaller secant, within which a cubic stays monotone.
                if before * after <= 0.0 {
                    0.0
                } else {
                    2.0 * before * after / (before + after)
                }
            })
            .collect();
        Some(Self {
            points: points.to_vec(),
            slopes,
        })
    }

    /// The piece that `x` lies in; the nearer end's outside.
    fn piece(&self, x: f64) -> usize {
        let inner = &self.points[1..self.points.len() - 1];
        inner.iter().filter(|(at, _)| x >= *at).count()
    }

    /// The cubic at `x`; beyond the ends, its value there.
    pub fn at(&self, x: f64) -> f64 {
        let piece = self.piece(x);
        let ((x0, y0), (x1, y1)) = (self.points[piece], self.points[piece + 1]);
        let width = x1 - x0;
        let t = ((x - x0) / width).clamp(0.0, 1.0);
        let (s, r) = (1.0 - t, t);
        let (m0, m1) = (self.slopes[piece] * width, self.slopes[piece + 1] * width);
        (1.0 + 2.0 * r) * s * s * y0
            + r * s * s * m0
            + r * r * (3.0 - 2.0 * r) * y1
            + r * r * (r - 1.0) * m1
    }

    /// The straight line between the neighbours of `x`.
    pub fn straight(&self, x: f64) -> f64 {
        let piece = self.piece(x);
        let ((x0, y0), (x1, y1)) = (self.points[piece], self.points[piece + 1]);
        y0 + (y1 - y0) * ((x - x0) / (x1 - x0)).clamp(0.0, 1.0)
    }

    /// The `x` that the curve is known for.
    pub fn range(&self) -> (f64, f64) {
        let last = self.points[self.points.len() - 1];
        (self.points[0].0, last.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_curve_meets_its_points_and_never_falls() {
        let points = [(0.0, 0.0), (0.3, 0.5), (0.4, 2.2), (1.0, 2.3)];
        let curve = Curve::through(&points).expect("a curve");
        for (x, y) in points {
            assert!((curve.at(x) - y).abs() < 1e-12, "{x}");
        }
        let steps: Vec<f64> = (0..=1000)
            .map(|i| curve.at(f64::from(i) / 1000.0))
            .collect();
        assert!(steps.windows(2).all(|s| s[1] >= s[0] - 1e-12));
    }

    #[test]
    fn a_straight_scale_stays_straight() {
        let curve = Curve::through(&[(0.0, 1.0), (1.0, 2.0), (3.0, 4.0)]).expect("a curve");
        assert!((curve.at(2.0) - 3.0).abs() < 1e-12 && (curve.straight(2.0) - 3.0).abs() < 1e-12);
    }

    #[test]
    fn points_that_are_no_scale_are_refused() {
        assert_eq!(Curve::through(&[(0.0, 0.0)]), None);
        assert_eq!(Curve::through(&[(0.0, 0.0), (0.0, 1.0)]), None);
        assert_eq!(Curve::through(&[(0.0, 1.0), (1.0, 0.5)]), None);
    }
}
