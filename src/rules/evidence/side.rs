//! Readings that a cause throws off either way: on one car it shows all of them too high, or all of them too low.
//!
//! Of a set of causes the one that lies furthest from healthy decides each number, so the side of every cause has its
//! own probability: one half at first, and after each reading that this cause decides by how well that fits either side
//! (Bayes). A reading to come is the mixture of both by that probability. So the joint probability of all that a cause
//! shows is the mean of two products, one with every row above zero and one with every row below.

use super::finding::{Finding, Row, Seen, fit};
use super::likelihood::Before;
use super::sets::Set;

/// On which side of zero a cause shows what it shows either way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Side {
    /// Above: as it is written.
    Above,
    /// Below: mirrored.
    Below,
}

impl Side {
    /// A row on this side; one that does not go either way stays as it is.
    pub(super) fn of(self, row: &Row) -> Row {
        match (row, self) {
            (Row::EitherWay(middle, deviation), Self::Above) => Row::Normal(*middle, *deviation),
            (Row::EitherWay(middle, deviation), Self::Below) => Row::Normal(-middle, *deviation),
            _ => row.clone(),
        }
    }
}

/// Whether some cause shows it either way.
fn goes_either_way(finding: &Finding) -> bool {
    let mut rows = finding.causes.iter().flatten();
    rows.any(|row| matches!(row, Row::EitherWay(..)))
}

/// The cause of a set that decides a finding, where it shows it either way.
fn leaning(finding: &Finding, set: Set) -> Option<usize> {
    let cause = finding.furthest(set)?;
    matches!(finding.causes[cause], Some(Row::EitherWay(..))).then_some(cause)
}

/// For each set, how probable it is that the cause that decides a finding shows it above zero, by all that was read
/// of the car. `None` where no cause shows it either way.
fn above(
    findings: &[&Finding],
    asked: &Finding,
    sets: &[Set],
    before: &Before,
) -> Option<Vec<f64>> {
    if !goes_either_way(asked) {
        return None;
    }
    let deciding: Vec<Option<usize>> = sets.iter().map(|set| leaning(asked, *set)).collect();
    let mut above = vec![0.5; sets.len()];
    let earlier = before.earlier.iter().flat_map(|test| &test.seen);
    for (n, seen) in earlier.chain(&before.seen) {
        let (Some(other), Seen::Weights(weights)) = (findings.get(*n), seen) else {
            continue;
        };
        if !goes_either_way(other) {
            continue;
        }
        let on = |side| fit(&other.chance_on(sets, Some(side)), weights, sets.len());
        let (high, low) = (on(Side::Above), on(Side::Below));
        for (n, p) in above.iter_mut().enumerate() {
            if deciding[n].is_some() && leaning(other, sets[n]) == deciding[n] {
                let total = *p * high[n] + (1.0 - *p) * low[n];
                if total > 0.0 {
                    *p *= high[n] / total;
                }
            }
        }
    }
    Some(above)
}

/// `chance[outcome][set]` of a finding, given all that was read of the car before it.
pub(super) fn chance(
    findings: &[&Finding],
    asked: &Finding,
    sets: &[Set],
    before: &Before,
) -> Vec<Vec<f64>> {
    let Some(above) = above(findings, asked, sets, before) else {
        return asked.chance(sets);
    };
    let on = |side| asked.chance_on(sets, Some(side));
    let mixed = |(high, low): (Vec<f64>, Vec<f64>)| -> Vec<f64> {
        let both = high.iter().zip(&low).zip(&above);
        both.map(|((high, low), p)| p * high + (1.0 - p) * low)
            .collect()
    };
    let both = on(Side::Above).into_iter().zip(on(Side::Below));
    both.map(mixed).collect()
}
