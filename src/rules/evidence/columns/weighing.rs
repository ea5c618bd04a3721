//! What simulated cars that are weighed say: how probable a reading is, and which cars are left by it.

use super::super::finding::{MISREAD, STRAY};
use super::super::group::how_many;
use super::super::outcomes::{Shape, UNKNOWN};
use super::super::sets::Set;
use super::{Columns, POOLED};

/// Cars that what all of them show before any reading is worth (an assumption of ours).
const FEW: f64 = 4.0;
/// How often a technician covers another place than the one that leaks most, though it showed most (an assumption of
/// ours).
const OTHER_COVER: f64 = 0.05;

impl Columns {
    /// Whether any car at all shows something that fits.
    pub(in crate::rules::evidence) fn any_fits(&self, finding: usize, fits: &[f64]) -> bool {
        let shown = self.pooled[finding].iter().zip(fits);
        let loud = self.places.keys().filter(|group| !group.quiet);
        let cars: usize = loud.map(|group| how_many(*group, POOLED)).sum();
        let unseen = 1.5 / (self.pooled[finding].len() as f64 * (cars as f64 + 1.0));
        shown
            .map(|(p, fit)| (p - unseen).max(0.0) * fit)
            .sum::<f64>()
            > 0.0
    }

    /// The probability of what fits, for cars of one set that are weighed like this; `stray`: how many times as often
    /// as on the whole what was seen is astray.
    pub(in crate::rules::evidence) fn chance(
        &self,
        finding: usize,
        set: usize,
        (fits, stray): (&[f64], f64),
        weights: &[f64],
    ) -> f64 {
        let (mut fit, mut total, mut square) = (0.0, 0.0, 0.0);
        for (code, weight) in self.codes[finding][self.of(set)].iter().zip(weights) {
            // A car that does not show this says nothing about it.
            if *code != UNKNOWN {
                fit += weight * fits[usize::from(*code)];
                total += weight;
                square += weight * weight;
            }
        }
        let even = self.even_row(finding, set).iter().zip(fits);
        let alone = even.map(|(p, fit)| p * fit).sum();
        let astray = self.astray(finding) * stray;
        let pooled = self.pooled[finding].iter().zip(fits);
        let any: f64 = pooled.map(|(p, fit)| p * fit).sum();
        (1.0 - astray) * mixed(fit, total, square, alone) + astray * any
    }

    /// How often something else is noted than what the car shows: what any car may show. So no single reading rules
    /// out the truth; at places a draught or an old stain does it more often. As words have it.
    pub(in crate::rules::evidence) fn astray(&self, finding: usize) -> f64 {
        match self.shapes[finding] {
            Some(Shape::Places(..)) => STRAY,
            _ => MISREAD,
        }
    }

    /// The probability of each code, for cars of one set that are weighed like this.
    pub(in crate::rules::evidence) fn chances(
        &self,
        finding: usize,
        set: usize,
        weights: &[f64],
    ) -> Vec<f64> {
        let mut sums = [0.0; 256];
        let (mut total, mut square) = (0.0, 0.0);
        for (code, weight) in self.codes[finding][self.of(set)].iter().zip(weights) {
            if *code != UNKNOWN {
                sums[usize::from(*code)] += weight;
                total += weight;
                square += weight * weight;
            }
        }
        let astray = self.astray(finding);
        let even = self.even_row(finding, set).iter().zip(&sums);
        even.zip(&self.pooled[finding])
            .map(|((alone, sum), any)| {
                (1.0 - astray) * mixed(*sum, total, square, *alone) + astray * any
            })
            .collect()
    }

    fn even_row(&self, finding: usize, set: usize) -> &[f64] {
        let outcomes = self.pooled[finding].len();
        &self.even[finding][set * outcomes..(set + 1) * outcomes]
    }

    /// Weighs the cars of one set by how well they fit; `chance` is what [`Self::chance`] gave. Cars that do not show
    /// this keep their place among the others.
    pub(in crate::rules::evidence) fn weigh_by(
        &self,
        finding: usize,
        set: usize,
        fits: &[f64],
        chance: f64,
        weights: &mut [f64],
    ) {
        // One car among them is what a reading that none of them made is worth.
        let count = weights.len() as f64;
        let slip = 1.0 / (count + 1.0);
        let mut total = 0.0;
        for (code, weight) in self.codes[finding][self.of(set)]
            .iter()
            .zip(weights.iter_mut())
        {
            let fit = if *code == UNKNOWN {
                chance
            } else {
                fits[usize::from(*code)]
            };
            *weight *= slip + (1.0 - slip) * fit;
            total += *weight;
        }
        // Kept near 1, so that a long job does not run out of numbers.
        let back = count / total;
        for weight in weights {
            *weight *= back;
        }
    }

    /// Leaves of one set's cars those on which these causes' place was covered: what the others show with a place
    /// covered was read at another place. Which place was covered says nothing of the set itself; where no car of it
    /// covers there, all stay as they are.
    pub(in crate::rules::evidence) fn weigh_by_cover(
        &self,
        set: usize,
        covered: Set,
        weights: &mut [f64],
    ) {
        let there = |own: &Set| !own.is_empty() && covered.members().all(|cause| own.has(cause));
        let cars = &self.covered[self.of(set)];
        let total: f64 = weights.iter().sum();
        let mut left = 0.0;
        for (own, weight) in cars.iter().zip(weights.iter()) {
            left += if there(own) { *weight } else { 0.0 };
        }
        if left <= 0.0 {
            return;
        }
        let other = OTHER_COVER * left / total;
        let back = total / (left + other * (total - left));
        for (own, weight) in cars.iter().zip(weights) {
            *weight *= back * if there(own) { 1.0 } else { other };
        }
    }

    /// Of cars weighed like this, those that still have the complaint without a cause, and those that do not.
    pub(in crate::rules::evidence) fn left_behind(
        &self,
        set: usize,
        weights: &[f64],
        cause: usize,
    ) -> (Vec<f64>, Vec<f64>) {
        let cars = self.enough[self.of(set)].iter().zip(weights);
        cars.map(|(enough, weight)| {
            if enough.without(cause).is_empty() {
                (0.0, *weight)
            } else {
                (*weight, 0.0)
            }
        })
        .unzip()
    }

    /// How many cars of one set what was read leaves to count on (Kish 1965, from memory).
    pub(in crate::rules::evidence) fn left(weights: &[f64]) -> f64 {
        let total: f64 = weights.iter().sum();
        let square: f64 = weights.iter().map(|w| w * w).sum();
        if square > 0.0 {
            total * total / square
        } else {
            0.0
        }
    }

    /// Which members of a set make the complaint by themselves, and how often, for cars weighed like this.
    pub(in crate::rules::evidence) fn enough(
        &self,
        set: usize,
        weights: &[f64],
    ) -> Vec<(Set, f64)> {
        let mut parts: Vec<(Set, f64)> = Vec::new();
        let total: f64 = weights.iter().sum();
        for (enough, weight) in self.enough[self.of(set)].iter().zip(weights) {
            match parts.iter_mut().find(|(part, _)| part == enough) {
                Some((_, sum)) => *sum += weight / total,
                None => parts.push((*enough, weight / total)),
            }
        }
        parts
    }
}

/// What the cars that are left say, and, as far as few are left, what they said before anything was read: the
/// readings are then taken as independent, as words take them. Kish's effective number (1965, from memory) says how
/// many are left.
pub(in crate::rules::evidence) fn mixed(fit: f64, total: f64, square: f64, alone: f64) -> f64 {
    if total <= 0.0 || square <= 0.0 {
        return alone;
    }
    let left = total * total / square;
    (left * fit / total + FEW * alone) / (left + FEW)
}
