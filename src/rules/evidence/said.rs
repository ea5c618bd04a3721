//! What a flow says in words or ranges, as distributions over outcomes.

use super::finding::{Kind, NOWHERE, Row, STRAY};
use crate::flow::signature::Shown;

/// The ends of a range are this many standard deviations from its middle (5th and 95th percentile).
const ENDS: f64 = 1.644_853_626_951_472_2;
/// A likelihood in words is kept inside these.
const LIKELY: (f64, f64) = (0.005, 0.995);

/// The standard normal distribution function.
pub fn normal(z: f64) -> f64 {
    0.5 * libm::erfc(-z / std::f64::consts::SQRT_2)
}

/// A range as middle and standard deviation.
pub fn of_range(from: f64, to: f64) -> Row {
    let (middle, deviation) = middle_of(from, to);
    Row::Normal(middle, deviation)
}

/// Middle and standard deviation of a range.
pub(super) fn middle_of(from: f64, to: f64) -> (f64, f64) {
    let half = (to - from).abs() / 2.0;
    let middle = f64::midpoint(from, to);
    (middle, (half / ENDS).max(1e-9 * middle.abs()).max(1e-12))
}

/// How much of a row over numbers lies in each bin.
pub fn spread(edges: &[f64], row: &Row) -> Vec<f64> {
    match row {
        Row::Normal(middle, deviation) => bins(edges, *middle, *deviation),
        Row::EitherWay(middle, deviation) => {
            let above = bins(edges, *middle, *deviation);
            let below = bins(edges, -middle, *deviation);
            above
                .iter()
                .zip(below)
                .map(|(a, b)| f64::midpoint(*a, b))
                .collect()
        }
        Row::Share(shares) => shares.clone(),
    }
}

/// How much of a normal distribution lies in each bin.
pub fn bins(edges: &[f64], middle: f64, deviation: f64) -> Vec<f64> {
    let mut below = 0.0;
    let mut shares: Vec<f64> = edges
        .iter()
        .map(|edge| {
            let up_to = normal((edge - middle) / deviation);
            let share = up_to - below;
            below = up_to;
            share.max(0.0)
        })
        .collect();
    shares.push((1.0 - below).max(0.0));
    shares
}

/// The weight of each bin for a value that was read with a 95 % interval. A value near an edge
/// belongs to both sides, by how far it may be off; nothing is cut hard unless it is certain.
///
/// Nothing where the interval has an open end: then it cannot be told how sure it is.
pub fn weights(edges: &[f64], value: f64, low: f64, high: f64) -> Option<Vec<f64>> {
    let sd = [(value - low) / 1.96, (high - value) / 1.96];
    if !value.is_finite() || sd.iter().any(|sd| !sd.is_finite()) {
        return None;
    }
    let mut below = 0.0;
    let mut weights: Vec<f64> = edges
        .iter()
        .map(|edge| {
            let sd = if *edge < value { sd[0] } else { sd[1] };
            let up_to = if sd > 0.0 {
                normal((edge - value) / sd)
            } else {
                f64::from(u8::from(*edge > value))
            };
            let weight = (up_to - below).max(0.0);
            below = up_to;
            weight
        })
        .collect();
    weights.push((1.0 - below).max(0.0));
    Some(weights)
}

/// A row over words from how likely each is said to be. What is left goes to the word of a sound
/// car where that is not named, else to all that are not.
pub fn of_words(said: &[(String, f64)], outcomes: &[String]) -> Row {
    let mut row: Vec<Option<f64>> = outcomes
        .iter()
        .map(|word| {
            let found = said.iter().find(|(name, _)| name == word)?;
            Some(found.1.clamp(LIKELY.0, LIKELY.1))
        })
        .collect();
    let rest = (1.0 - row.iter().flatten().sum::<f64>()).max(0.0);
    let open = row.iter().filter(|p| p.is_none()).count();
    if row.first() == Some(&None) {
        row[0] = Some(rest);
    } else if open > 0 {
        let each = rest / open as f64;
        for p in &mut row {
            *p = Some(p.unwrap_or(each));
        }
    }
    let row: Vec<f64> = row.into_iter().map(Option::unwrap_or_default).collect();
    let total: f64 = row.iter().sum();
    Row::Share(row.into_iter().map(|p| p / total).collect())
}

/// A row over places, `nowhere` last. What is left of a cause shows nowhere; of a sound car a
/// little shows astray.
pub fn of_places(said: &[(String, f64)], places: &[String], healthy: bool) -> Row {
    let of = |word: &str| said.iter().find(|(name, _)| name == word).map(|(_, p)| *p);
    let mut row: Vec<f64> = places.iter().map(|p| of(p).unwrap_or(0.0)).collect();
    let named: f64 = row.iter().sum();
    let nowhere = of(NOWHERE).unwrap_or((1.0 - named).max(0.0));
    row.push(nowhere);
    let total: f64 = row.iter().sum();
    let stray = if healthy { STRAY } else { 0.0 };
    let row = row.into_iter().map(|p| p / total.max(f64::MIN_POSITIVE));
    let each = stray / places.len().max(1) as f64;
    let last = places.len();
    Row::Share(
        row.enumerate()
            .map(|(n, p)| (1.0 - stray) * p + if n < last { each } else { 0.0 })
            .collect(),
    )
}

/// The row of what a flow says, for this kind of reading.
pub fn row(shown: &Shown, kind: &Kind, healthy: bool) -> Option<Row> {
    match (shown, kind) {
        (Shown::Range(from, to), Kind::Number(_)) => Some(of_range(from.si(), to.si())),
        (Shown::EitherWay(from, to), Kind::Number(_)) => {
            let (middle, deviation) = middle_of(from.si(), to.si());
            Some(Row::EitherWay(middle, deviation))
        }
        (Shown::Words(said), Kind::Words(outcomes)) => Some(of_words(said, outcomes)),
        (Shown::Words(said), Kind::Places(places)) => Some(of_places(said, places, healthy)),
        _ => None,
    }
}
