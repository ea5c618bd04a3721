//! A straight line through points, by least squares.
//!
//! `y = intercept + slope x`, with the sum of the squared distances in `y` at its least; any text
//! on statistics. All points weigh the same and `x` is taken as free of error: the errors of the
//! readings are carried through by whoever calls this, by fitting once more for each of them.

/// A fitted line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// Value at `x` = 0.
    pub intercept: f64,
    /// Rise for each unit of `x`.
    pub slope: f64,
    /// Mean of the points' `x`: where the line is known best.
    pub middle: f64,
    /// Largest distance of a point from the line, in `y`, without sign.
    pub worst: f64,
}

impl Line {
    /// Value of the line at `x`.
    pub fn at(&self, x: f64) -> f64 {
        self.intercept + self.slope * x
    }
}

/// Fits a line; `None` with fewer than two points, or when all stand at the same `x`.
pub fn line(points: &[(f64, f64)]) -> Option<Line> {
    let count = points.len() as f64;
    let mean = |pick: fn(&(f64, f64)) -> f64| points.iter().map(pick).sum::<f64>() / count;
    let (mean_x, mean_y) = (mean(|p| p.0), mean(|p| p.1));
    let spread_x: f64 = points.iter().map(|(x, _)| (x - mean_x).powi(2)).sum();
    let scale: f64 = points.iter().map(|(x, _)| x * x).sum();
    // Below this, `x` differs only by rounding and a slope would be noise.
    if points.len() < 2 || !spread_x.is_finite() || spread_x <= 1e-18 * scale {
        return None;
    }
    let slope = points
        .iter()
        .map(|(x, y)| (x - mean_x) * (y - mean_y))
        .sum::<f64>()
        / spread_x;
    let mut line = Line {
        intercept: mean_y - slope * mean_x,
        slope,
        middle: mean_x,
        worst: 0.0,
    };
    line.worst = points
        .iter()
        .map(|(x, y)| (y - line.at(*x)).abs())
        .fold(0.0, f64::max);
    Some(line)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn points_on_a_line_give_that_line() {
        let fitted = line(&[(0.0, 1.0), (1.0, 3.0), (2.0, 5.0)]).expect("a line");
        assert!((fitted.intercept - 1.0).abs() < 1e-12 && (fitted.slope - 2.0).abs() < 1e-12);
        assert!(fitted.worst < 1e-12);
    }

    #[test]
    fn a_stray_point_shows_in_the_worst_distance() {
        // By hand: slope 1/2, intercept 1/6, distances 1/6, 1/3, 1/6.
        let fitted = line(&[(0.0, 0.0), (1.0, 1.0), (2.0, 1.0)]).expect("a line");
        assert!((fitted.slope - 0.5).abs() < 1e-12 && (fitted.worst - 1.0 / 3.0).abs() < 1e-12);
    }

    #[test]
    fn points_that_settle_no_slope_are_refused() {
        assert_eq!(line(&[]), None);
        assert_eq!(line(&[(1.0, 2.0)]), None);
        assert_eq!(line(&[(1.0, 2.0), (1.0, 3.0)]), None);
    }
}
