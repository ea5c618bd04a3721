//! Weights of the sets in the look-ahead, with their logarithms.
//!
//! A mass further down is a product of chances and of a mass at the root, so its logarithm is a sum
//! of logarithms that are at hand: the look-ahead takes each only once, not anew at every leaf.

/// Sums run in this many lanes, so that none waits for the one before it.
const LANES: usize = 4;

/// The mass of each set, or the chance of one outcome for each.
#[derive(Clone, Debug, Default)]
pub(super) struct Weights {
    masses: Vec<f64>,
    /// Natural logarithms; 0 where the mass is 0, which then counts nothing.
    logs: Vec<f64>,
}

impl Weights {
    /// For these masses, none below 0.
    pub(super) fn of(masses: Vec<f64>) -> Self {
        let log = |mass: &f64| if *mass > 0.0 { mass.ln() } else { 0.0 };
        Self {
            logs: masses.iter().map(log).collect(),
            masses,
        }
    }

    /// The masses.
    pub(super) fn masses(&self) -> &[f64] {
        &self.masses
    }

    /// Their sum.
    pub(super) fn total(&self) -> f64 {
        sum(&self.masses)
    }

    /// The mass of each set by which an outcome of these chances comes.
    pub(super) fn by(&self, chance: &Self) -> Self {
        let logs = chance.logs.iter().zip(&self.logs);
        Self {
            masses: times(&chance.masses, &self.masses).collect(),
            logs: logs.map(|(p, mass)| p + mass).collect(),
        }
    }

    /// Only the masses of [`Self::by`], into `part`.
    pub(super) fn masses_by(&self, chance: &Self, part: &mut Vec<f64>) {
        part.clear();
        part.extend(times(&chance.masses, &self.masses));
    }

    /// Entropy in bits over the sets, times the masses' sum.
    pub(super) fn entropy(&self) -> f64 {
        bits(self.total(), sum_of_products(&self.masses, &self.logs))
    }

    /// Entropy of `part`, the masses of [`Self::by`] for these chances.
    pub(super) fn entropy_by(&self, chance: &Self, part: &[f64]) -> f64 {
        let with_logs = sum_of_products(part, &self.logs) + sum_of_products(part, &chance.logs);
        bits(sum(part), with_logs)
    }
}

fn times<'a>(chance: &'a [f64], masses: &'a [f64]) -> impl Iterator<Item = f64> + 'a {
    chance.iter().zip(masses).map(|(p, mass)| p * mass)
}

/// Entropy in bits times the masses' sum, from that sum and the sum of each mass times its
/// logarithm.
fn bits(total: f64, with_logs: f64) -> f64 {
    if total <= 0.0 {
        return 0.0;
    }
    ((total * total.ln() - with_logs) / std::f64::consts::LN_2).max(0.0)
}

/// The sum, in lanes.
pub(super) fn sum(values: &[f64]) -> f64 {
    let (rows, rest) = values.as_chunks::<LANES>();
    let mut lanes = [0.0; LANES];
    for row in rows {
        for lane in 0..LANES {
            lanes[lane] += row[lane];
        }
    }
    lanes.iter().chain(rest).sum()
}

/// The sum of the products of two rows of the same length, in lanes.
pub(super) fn sum_of_products(one: &[f64], other: &[f64]) -> f64 {
    let (rows, rest) = one.as_chunks::<LANES>();
    let (others, more) = other.as_chunks::<LANES>();
    let mut lanes = [0.0; LANES];
    for (row, other) in rows.iter().zip(others) {
        for lane in 0..LANES {
            lanes[lane] += row[lane] * other[lane];
        }
    }
    lanes.iter().sum::<f64>() + times(rest, more).sum::<f64>()
}

#[cfg(test)]
mod tests {
    use super::super::cost::entropy;
    use super::*;

    #[test]
    fn sums_of_logarithms_give_the_entropy_of_the_products() {
        let root = Weights::of(vec![0.4, 0.0, 0.3, 1e-9, 0.2, 0.1]);
        let chance = Weights::of(vec![0.5, 0.7, 0.0, 1.0, 1e-12, 0.9]);
        let mut part = Vec::new();
        let leaf = root.by(&chance);
        leaf.masses_by(&chance, &mut part);
        assert!((sum(&part) - part.iter().sum::<f64>()).abs() < 1e-15);
        let near = |one: f64, other: f64| (one - other).abs() < 1e-14;
        assert!(near(root.entropy(), entropy(root.masses())));
        assert!(near(leaf.entropy(), entropy(leaf.masses())));
        assert!(near(leaf.entropy_by(&chance, &part), entropy(&part)));
        assert_eq!(part, leaf.by(&chance).masses());
        assert!(leaf.entropy() > 0.1, "{}", leaf.entropy());
    }

    #[test]
    fn what_cannot_be_has_no_entropy() {
        assert!(Weights::of(vec![0.0; 5]).entropy().abs() < 1e-15);
        assert!(Weights::of(vec![1.0]).entropy().abs() < 1e-15);
    }
}
