//! Boxes of readings, and where a point lies beside a limit.

use crate::flow::choice::unit_of;
use crate::flow::model::Flow;
use crate::flow::values::{TEST_NUMBER, Value, Values};
use crate::units::Unit;

/// A box of readings, with the point in it that was looked at.
pub(super) struct Box {
    pub(super) ranges: Vec<(f64, f64)>,
    pub(super) misses_by: f64,
}

/// The two halves of a box, across where it is widest; nothing where it is a point.
pub(super) fn halves(ranges: &[(f64, f64)], whole: &[(f64, f64)]) -> Option<[Vec<(f64, f64)>; 2]> {
    let share = |((low, high), (from, to)): (&(f64, f64), &(f64, f64))| {
        if to > from {
            (high - low) / (to - from)
        } else {
            0.0
        }
    };
    let shares = ranges.iter().zip(whole).map(share).enumerate();
    let (at, widest) = shares.max_by(|(_, a), (_, b)| a.total_cmp(b))?;
    if widest < 1e-9 {
        return None;
    }
    let (low, high) = ranges[at];
    let middle = f64::midpoint(low, high);
    let (mut one, mut other) = (ranges.to_vec(), ranges.to_vec());
    one[at] = (low, middle);
    other[at] = (middle, high);
    Some([one, other])
}

pub(super) fn number(values: &Values, id: &str) -> Option<f64> {
    match values.get(id) {
        Some(Value::Number(e)) => Some(e.value),
        _ => None,
    }
}

/// Below the limit, at it, or above.
pub(super) fn side(values: &Values, id: &str, limit: f64) -> Option<f64> {
    let off = number(values, id)? - limit;
    Some(if off == 0.0 { 0.0 } else { off.signum() })
}

/// Nearer than this to a limit, as a share of the largest number of that kind, only the last digits of
/// the arithmetic tell a value from it.
const NOISE: f64 = 1e-12;

/// Whether a worked value that is to lie beside a limit lies there by the noise of its arithmetic alone:
/// written with the digits that a gauge gives, it would be the limit.
pub(super) fn is_noise(flow: &Flow, values: &Values, targets: &[(String, (f64, f64))]) -> bool {
    let dimension = |id: &str| unit_of(flow, id).map(Unit::dimension);
    let largest = |id: &str| {
        let prompts = flow.facts.iter().chain(&flow.readings).map(|p| &p.id);
        let alike = prompts
            .chain(flow.worked.iter().map(|work| &work.id))
            .filter(|other| dimension(other) == dimension(id));
        let sizes = alike
            .filter_map(|other| number(values, other))
            .map(f64::abs);
        sizes.filter(|size| size.is_finite()).fold(0.0, f64::max)
    };
    let beside = targets.iter().filter(|(_, (from, to))| from < to);
    beside.into_iter().any(|(id, (from, to))| {
        number(values, id).is_some_and(|value| {
            let ends = [*from, *to].into_iter().filter(|end| end.is_finite());
            let near = |end: f64| (value - end).abs() <= NOISE * largest(id).max(end.abs());
            ends.into_iter().any(near)
        })
    })
}

pub(super) fn test_number(values: &Values) -> u32 {
    let number = number(values, TEST_NUMBER).unwrap_or(1.0);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "1 to 12"
    )]
    let number = number as u32;
    number
}
