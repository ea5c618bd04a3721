//! Which sets the look-ahead looks at, and in which order they lie in memory.

use super::case::Case;
use super::sets::Set;

/// Sets of less probability than this are left out.
const NEGLIGIBLE: f64 = 1e-6;

/// The sets that are looked at: those that are not all but impossible, and what is left of them
/// when some of their members are repaired.
pub(super) fn kept(case: &Case, masses: &[f64]) -> Vec<usize> {
    let total: f64 = masses.iter().sum();
    let mut keep = vec![false; masses.len()];
    for (n, mass) in masses.iter().enumerate() {
        if *mass >= NEGLIGIBLE * total && *mass > 0.0 {
            keep_with_parts(case, case.sets[n], &mut keep);
        }
    }
    (0..masses.len()).filter(|n| keep[*n]).collect()
}

/// The same places in an order in which neighbours share few causes: a sum by causes need not wait
/// at each set for the one before it.
pub(super) fn apart(places: &[usize]) -> Vec<usize> {
    let count = places.len();
    let common = |mut a: usize, mut b: usize| {
        while b > 0 {
            (a, b) = (b, a % b);
        }
        a
    };
    // A step of the golden section of the whole comes close to an earlier place as late as can be.
    let mut step = count * 618 / 1000 + 1;
    while common(step, count) > 1 {
        step += 1;
    }
    (0..count).map(|n| places[n * step % count]).collect()
}

fn keep_with_parts(case: &Case, set: Set, keep: &mut [bool]) {
    let Some(place) = case.place(set) else { return };
    if keep[place] {
        return;
    }
    keep[place] = true;
    for cause in set.members() {
        keep_with_parts(case, set.without(cause), keep);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_place_is_there_once_and_neighbours_are_apart() {
        for count in [0, 1, 2, 3, 8, 30, 465, 4525] {
            let places: Vec<usize> = (0..count).collect();
            let mut moved = apart(&places);
            if count > 100 {
                let near = |two: &[usize]| two[0].abs_diff(two[1]) < count / 4;
                assert!(!moved.windows(2).any(near), "{count}");
            }
            moved.sort_unstable();
            assert_eq!(moved, places);
        }
    }
}
