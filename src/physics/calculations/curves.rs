//! The lines behind some calculations, as they are drawn: a decay, a split of trims, a sensor's
//! line, the lobes of a ripple.
//!
//! Nothing is fitted here: every function takes the inputs of its calculation and asks the very
//! functions that the calculation itself rests on, so that a picture and the number beside it
//! cannot part. All values are in SI units.

use super::decay_points::{fitted, readings, started};
use super::decay_verdicts::criterion;
use super::intake::{IDLE_MANIFOLD, bank_share, flux};
use super::{ripple, sensor, trims};
use crate::physics::calculation::{CalcError, Shifts};
use crate::physics::fit::{Line, line};
use crate::physics::given::Given;
use crate::physics::sensor::Transfer;
use crate::physics::trims::{Split, split};

/// Pieces that a curve is drawn in.
const PIECES: u32 = 48;

/// Points as read, and the line through them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Drawn {
    /// As read.
    pub points: Vec<(f64, f64)>,
    /// The model's curve, point after point.
    pub curve: Vec<(f64, f64)>,
}

/// A hold: pressure (Pa, against the barometer) over time (s).
#[derive(Clone, Debug, PartialEq)]
pub struct Hold {
    /// As read, and the hole's decay at the temperature that the gas started from.
    pub drawn: Drawn,
    /// The time criterion: from this pressure, this much must be left, after this time.
    pub criterion: Option<[f64; 3]>,
    /// How the criterion's own start would have fallen, where the hold did not start there.
    pub by_criterion: Vec<(f64, f64)>,
}

/// The curve behind `decay`.
///
/// # Errors
/// What the calculation itself refuses.
pub fn hold(given: &Given) -> Result<Hold, CalcError> {
    let read = readings(given, "at", 0.0)?;
    let space = started(given, &Shifts::none(), &read)?;
    let fit = fitted("at", &space, &read)?;
    let points: Vec<(f64, f64)> = read.iter().map(|r| (r.time, r.inside)).collect();
    let (first, last) = (read[0], read[read.len() - 1]);
    let criterion = criterion(given)?;
    let falls = |start: f64, from: f64, to: f64| -> Vec<(f64, f64)> {
        along(from, to)
            .map(|t| {
                let left = space.pressure_after(start, fit.area_per_volume, 1.0, t - from);
                (t, left)
            })
            .collect()
    };
    let until = criterion.map_or(last.time, |[_, _, within]| {
        last.time.max(first.time + within)
    });
    // A hundredth of the start is less than any gauge tells apart.
    let elsewhere = criterion.filter(|[from, ..]| (from - first.inside).abs() > 0.01 * from.abs());
    Ok(Hold {
        drawn: Drawn {
            points,
            curve: falls(first.inside, first.time, until),
        },
        criterion,
        by_criterion: elsewhere.map_or_else(Vec::new, |[from, _, within]| {
            falls(from, first.time, first.time + within)
        }),
    })
}

/// The largest distance of points from a curve, along the second coordinate; the curve goes straight from point to
/// point. What lies beside its ends is left out; `None` where all does.
pub fn farthest(points: &[(f64, f64)], curve: &[(f64, f64)]) -> Option<f64> {
    let at = |x: f64| {
        let piece = curve
            .windows(2)
            .find(|two| (two[0].0..=two[1].0).contains(&x))?;
        let ((x0, y0), (x1, y1)) = (piece[0], piece[1]);
        let part = if x1 > x0 { (x - x0) / (x1 - x0) } else { 0.0 };
        Some(y0 + part * (y1 - y0))
    };
    let off = points.iter().filter_map(|(x, y)| Some((y - at(*x)?).abs()));
    off.reduce(f64::max)
}

/// Trims: total trim over metered air (kg/s, of the whole engine).
#[derive(Clone, Debug, PartialEq)]
pub struct Trims {
    /// As read, and the split's curve between the first and the last airflow.
    pub drawn: Drawn,
    /// The part that is no leak, the same at every airflow.
    pub offset: f64,
}

/// The curve behind `trims`. Between two points the manifold pressure is taken to change evenly.
///
/// # Errors
/// What the calculation itself refuses.
pub fn trims(given: &Given) -> Result<Trims, CalcError> {
    let rows = &trims::alike(given, given.points("points")?)?;
    let read = trims::read_points(given, rows, &Shifts::none())?;
    let found: Split = split(&read).map_err(trims::unsettled)?;
    let share = bank_share(given)?;
    let mut ends: Vec<(f64, f64, f64)> = read
        .iter()
        .zip(rows)
        .map(|(point, row)| {
            let manifold = row.get(2).copied().flatten().unwrap_or(IDLE_MANIFOLD);
            (point.metered, manifold, point.trim)
        })
        .collect();
    ends.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut curve = Vec::new();
    for pair in ends.windows(2) {
        let (from, to) = (pair[0], pair[1]);
        for metered in along(from.0, to.0) {
            let part = (metered - from.0) / (to.0 - from.0);
            let manifold = from.1 + part * (to.1 - from.1);
            let flux = flux(given, manifold, &Shifts::none())?;
            curve.push((metered / share, found.trim(metered, flux)));
        }
    }
    Ok(Trims {
        drawn: Drawn {
            points: ends.iter().map(|end| (end.0 / share, end.2)).collect(),
            curve,
        },
        offset: found.offset,
    })
}

/// A sweep: signal (V) over pressure (Pa).
#[derive(Clone, Debug, PartialEq)]
pub struct Sweep {
    /// As read, and the fitted line over the swept range.
    pub drawn: Drawn,
    /// The line as it should be, where it is known, over the same range.
    pub expected: Vec<(f64, f64)>,
}

/// The lines behind `sensor`.
///
/// # Errors
/// What the calculation itself refuses.
pub fn sweep(given: &Given) -> Result<Sweep, CalcError> {
    let points = sensor::sweep(given)?;
    let fit: Line = line(&points).ok_or_else(sensor::no_line)?;
    let expected: Option<Transfer> = sensor::expected(given)?;
    let (lowest, highest) = sensor::range(&points);
    let ends = [lowest, highest];
    Ok(Sweep {
        drawn: Drawn {
            points,
            curve: ends.iter().map(|x| (*x, fit.at(*x))).collect(),
        },
        expected: expected
            .map(|line| ends.iter().map(|x| (*x, line.signal(*x))).collect())
            .unwrap_or_default(),
    })
}

/// Depth of each lobe of a ripple, V or Pa, in the order in which they come; empty where the capture does not tell.
///
/// # Errors
/// What the calculation itself refuses.
pub fn lobes(given: &Given) -> Result<Vec<f64>, CalcError> {
    ripple::depths(given)
}

/// Evenly spaced values from one to another, both ends with them.
fn along(from: f64, to: f64) -> impl Iterator<Item = f64> {
    (0..=PIECES).map(move |n| from + (to - from) * f64::from(n) / f64::from(PIECES))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::physics::calculations::find;
    use crate::physics::given::Value;

    const INCH: f64 = 249.088_908_333;

    fn rows(rows: &[[f64; 2]]) -> Value {
        let row = |r: &[f64; 2]| vec![Some(r[0]), Some(r[1]), None];
        Value::Points(rows.iter().map(row).collect())
    }

    fn held(start: f64, end: f64) -> Given {
        Given::new()
            .with_number("volume", 0.030)
            .with("at", rows(&[[0.0, start * INCH], [120.0, end * INCH]]))
    }

    #[test]
    fn a_decay_runs_through_the_readings_and_ends_where_the_calculation_says() {
        let given = held(14.0, 8.0);
        let hold = hold(&given).expect("a hold");
        let (t, left) = *hold.drawn.curve.last().expect("a curve");
        assert!(
            (t - 120.0).abs() < 1e-9 && (left / INCH - 8.0).abs() < 1e-3,
            "{left}"
        );
        assert!(hold.by_criterion.is_empty());
        let elsewhere = held(12.0, 8.0);
        let drawn = super::hold(&elsewhere).expect("a hold");
        let end = drawn.by_criterion.last().expect("the criterion's own").1;
        let decay = find("decay").expect("decay");
        let worked = decay.work(&elsewhere, &Shifts::none()).expect("worked");
        let (place, _) = decay.output("end-pressure").expect("an output");
        let number = worked.results[place].number().expect("a number");
        assert!((end - number).abs() < 1e-9 * number.abs(), "{end} {number}");
    }

    #[test]
    fn a_split_runs_through_its_two_points() {
        let row = |m: f64, t: f64, p: f64| vec![Some(m), Some(t), Some(p)];
        let points = vec![row(0.003_15, 0.204, 36_000.0), row(0.011, 0.055, 60_000.0)];
        let given = Given::new()
            .with("points", Value::Points(points))
            .with_number("banks", 2.0);
        let drawn = trims(&given).expect("a split").drawn;
        for (point, on) in [
            (drawn.points[0], drawn.curve[0]),
            (drawn.points[1], drawn.curve[drawn.curve.len() - 1]),
        ] {
            assert!((point.0 - on.0).abs() < 1e-12, "{point:?} {on:?}");
            assert!((point.1 - on.1).abs() < 1e-9, "{point:?} {on:?}");
        }
    }

    #[test]
    fn a_sweep_gives_the_fitted_and_the_expected_line() {
        let given = Given::new()
            .with(
                "points",
                Value::Points(vec![
                    vec![Some(20_000.0), Some(1.0)],
                    vec![Some(100_000.0), Some(4.0)],
                ]),
            )
            .with_number("expected-gain", 4e-5)
            .with_number("expected-offset", 0.0);
        let sweep = sweep(&given).expect("a line");
        assert!((sweep.drawn.curve[1].1 - 4.0).abs() < 1e-12);
        assert!((sweep.expected[0].1 - 0.8).abs() < 1e-12);
    }
}
