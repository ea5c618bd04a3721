//! Expected minutes of repairing without any further test.
//!
//! After Heckerman, Breese and Rommelse, "Decision-theoretic troubleshooting", CACM 38(3), 1995
//! (from memory): take causes by probability over cost, until the car is cured. That order is a
//! good one, not always the best.

use super::belief::marginals;
use super::case::Case;

/// The order in which causes are repaired: by probability times success over minutes, ties in the
/// order of the case.
pub fn order(case: &Case, masses: &[f64]) -> Vec<usize> {
    let marginals = marginals(case, masses);
    let worth = |cause: usize| {
        let suspect = &case.suspects[cause];
        marginals[cause] * suspect.success / suspect.minutes().max(f64::MIN_POSITIVE)
    };
    let mut order: Vec<usize> = (0..case.suspects.len())
        .filter(|cause| case.suspects[*cause].repairable)
        .collect();
    order.sort_by(|a, b| worth(*b).total_cmp(&worth(*a)));
    order
}

/// Expected minutes of walking down the repairs, handing the car on where that becomes cheaper.
/// For masses that do not add up to one it scales with their sum.
pub fn repairs_only(case: &Case, masses: &[f64]) -> f64 {
    let order = order(case, masses);
    let mut place = vec![usize::MAX; case.suspects.len()];
    for (n, cause) in order.iter().enumerate() {
        place[*cause] = n;
    }
    // cured[n]: the mass that is cured by the first n + 1 repairs and not before.
    let mut cured = vec![0.0; order.len()];
    let mut total = 0.0;
    for (set, mass) in case.sets.iter().zip(masses) {
        total += mass;
        let (last, success) = set.members().fold((0, 1.0), |(last, success), cause| {
            (
                place[cause].max(last),
                success * case.suspects[cause].success,
            )
        });
        if last != usize::MAX {
            cured[last] += mass * success;
        }
    }
    let mut wrong = total;
    let mut spent = 0.0;
    let mut best = case
        .hand_on
        .map_or(f64::INFINITY, |minutes| wrong * minutes);
    for (n, cause) in order.iter().enumerate() {
        spent += wrong * case.suspects[*cause].minutes();
        wrong -= cured[n];
        let rest = case.hand_on.map_or(0.0, |minutes| wrong.max(0.0) * minutes);
        // Without a way of handing on, all repairs are walked.
        if case.hand_on.is_some() || n + 1 == order.len() {
            best = best.min(spent + rest);
        }
    }
    best
}

/// Entropy in bits over the sets, times the masses' sum.
pub fn entropy(masses: &[f64]) -> f64 {
    let total: f64 = masses.iter().sum();
    if total <= 0.0 {
        return 0.0;
    }
    masses
        .iter()
        .filter(|m| **m > 0.0)
        .map(|m| -m * (m / total).log2())
        .sum()
}

/// The cost to go: the cheaper of repairing without a test, and of knowing everything at the price
/// of the bits that are missing (`per_bit`, minutes a bit).
pub fn to_go(case: &Case, masses: &[f64], per_bit: Option<f64>) -> f64 {
    let repairs = repairs_only(case, masses);
    let Some(per_bit) = per_bit else {
        return repairs;
    };
    let known: f64 = case
        .sets
        .iter()
        .zip(masses)
        .map(|(set, mass)| mass * case.minutes_of(*set))
        .sum();
    repairs.min(known + per_bit * entropy(masses))
}
