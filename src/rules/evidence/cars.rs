//! Simulated cars as a source of likelihoods: weighted particles, each of which goes through all
//! steps whole.
//!
//! The likelihood of all evidence under a set of causes is the mean, over that set's cars, of the
//! product over the readings; so the likelihood of one reading, given those before it, is the mean
//! over the cars weighted by how well they made those before. Smoothed by one pseudo-count spread
//! over the outcomes (Dirichlet), so that an outcome that no car made is rare and not impossible.
//!
//! The weights are carried along the readings: a reading more costs one pass over the cars.

use std::cell::RefCell;
use std::sync::Arc;

use super::columns::Columns;
use super::finding::Seen;
use super::likelihood::Source;
use super::sets::Set;

/// The cars of all sets of a case, weighed by what was read. Without any, no reading is known.
#[derive(Clone, Debug, Default)]
pub struct Cars {
    columns: Option<Arc<Columns>>,
    /// Where the cars of each of the case's sets stand.
    sets: Vec<Option<usize>>,
    memo: RefCell<Memo>,
}

/// The weights after some readings.
#[derive(Clone, Debug, Default)]
struct Memo {
    before: Vec<(usize, Seen)>,
    weights: Vec<Vec<f64>>,
}

impl Cars {
    pub(super) fn of(columns: Arc<Columns>, sets: &[Set]) -> Self {
        Self {
            sets: sets.iter().map(|set| columns.place(*set)).collect(),
            columns: Some(columns),
            memo: RefCell::default(),
        }
    }

    /// How many cars of each set what was read leaves to count on (Kish 1965, from memory); 0 for a
    /// set without cars.
    pub fn effective(&self, before: &[(usize, Seen)]) -> Vec<f64> {
        let Some(columns) = &self.columns else {
            return vec![0.0; self.sets.len()];
        };
        self.weighed(columns, before, |weights| {
            let left = |weights: &Vec<f64>| {
                let total: f64 = weights.iter().sum();
                let square: f64 = weights.iter().map(|w| w * w).sum();
                if square > 0.0 {
                    total * total / square
                } else {
                    0.0
                }
            };
            weights.iter().map(left).collect()
        })
    }

    /// Does something with the weights after some readings; readings that were weighed already are
    /// not weighed again.
    fn weighed<T>(
        &self,
        columns: &Columns,
        before: &[(usize, Seen)],
        then: impl FnOnce(&[Vec<f64>]) -> T,
    ) -> T {
        let mut memo = self.memo.borrow_mut();
        if memo.weights.len() != self.sets.len() || !before.starts_with(&memo.before) {
            memo.before.clear();
            memo.weights = self
                .sets
                .iter()
                .map(|set| set.map_or_else(Vec::new, |set| columns.first(set).to_vec()))
                .collect();
        }
        for (finding, seen) in &before[memo.before.len()..] {
            memo.before.push((*finding, seen.clone()));
            let Some(shape) = columns.shape(*finding) else {
                continue;
            };
            let fits = shape.fits(seen);
            if !columns.any_fits(*finding, &fits) {
                continue;
            }
            for (set, weights) in self.sets.iter().zip(&mut memo.weights) {
                if let Some(set) = set {
                    let chance = columns.chance(*finding, *set, &fits, weights);
                    columns.weigh_by(*finding, *set, &fits, chance, weights);
                }
            }
        }
        then(&memo.weights)
    }
}

/// What no cars are there for is as likely as for all others together: it is neither helped nor
/// harmed.
fn filled(row: Vec<Option<f64>>) -> Vec<f64> {
    let known: Vec<f64> = row.iter().copied().flatten().collect();
    let mean = known.iter().sum::<f64>() / known.len().max(1) as f64;
    row.into_iter().map(|p| p.unwrap_or(mean)).collect()
}

impl Source for Cars {
    fn likelihood(
        &self,
        finding: usize,
        seen: &Seen,
        before: &[(usize, Seen)],
    ) -> Option<Vec<f64>> {
        let columns = self.columns.as_ref()?;
        let fits = columns.shape(finding)?.fits(seen);
        // What no car of any set ever showed, they cannot weigh; the words may.
        if !columns.any_fits(finding, &fits) {
            return None;
        }
        let row = self.weighed(columns, before, |all| {
            let sets = self.sets.iter().zip(all);
            sets.map(|(set, weights)| Some(columns.chance(finding, (*set)?, &fits, weights)))
                .collect()
        });
        Some(filled(row))
    }

    fn chance(&self, finding: usize, before: &[(usize, Seen)]) -> Option<Vec<Vec<f64>>> {
        let columns = self.columns.as_ref()?;
        let shape = columns.shape(finding)?;
        let by_set: Vec<Option<Vec<f64>>> = self.weighed(columns, before, |all| {
            let sets = self.sets.iter().zip(all);
            sets.map(|(set, weights)| Some(columns.chances(finding, (*set)?, weights)))
                .collect()
        });
        let row =
            |code: usize| filled(by_set.iter().map(|row| Some(row.as_ref()?[code])).collect());
        Some(shape.spread((0..shape.codes()).map(row).collect()))
    }

    fn enough(&self, before: &[(usize, Seen)]) -> Option<Vec<Vec<(Set, f64)>>> {
        let columns = self
            .columns
            .as_ref()
            .filter(|columns| columns.knows_any())?;
        Some(self.weighed(columns, before, |all| {
            let sets = self.sets.iter().zip(all);
            sets.map(|(set, weights)| set.map_or_else(Vec::new, |set| columns.enough(set, weights)))
                .collect()
        }))
    }
}
