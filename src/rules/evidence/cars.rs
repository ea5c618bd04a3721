//! Simulated cars as a source of likelihoods: weighted particles, each of which goes through all
//! steps whole.
//!
//! The likelihood of all evidence under a set of causes is the mean, over that set's cars, of the
//! product over the readings; so the likelihood of one reading, given those before it, is the mean
//! over the cars weighted by how well they made those before. Smoothed by one pseudo-count spread
//! over the outcomes (Dirichlet), so that an outcome that no car made is rare and not impossible.
//!
//! Of every set there are cars that have the complaint. What is left behind a repair need not make it: of the sets
//! that can be left there are *quiet* cars too, on which nothing is big enough for the complaint, and what was read
//! says how probable it is that this is one of them.
//!
//! The weights are carried along the readings: a reading more costs one pass over the cars.

use std::cell::RefCell;
use std::sync::Arc;

use super::case::Case;
use super::columns::Columns;
use super::finding::Seen;
use super::likelihood::{Before, Grouped, Source};
use super::mended::Mended;
use super::parts::Parts;
use super::sets::Set;

/// The cars of all sets of a case, weighed by what was read. Without any, no reading is known.
#[derive(Clone, Debug, Default)]
pub struct Cars {
    columns: Option<Arc<Columns>>,
    pub(super) all: Vec<Set>,
    /// Where the cars of each of the case's sets stand.
    pub(super) sets: Vec<Option<usize>>,
    /// Where its quiet cars stand.
    pub(super) quiet: Vec<Option<usize>>,
    /// The probability that the repair of each cause takes.
    pub(super) success: Vec<f64>,
    memo: RefCell<Memo>,
}

/// The weights after some readings.
#[derive(Clone, Debug, Default)]
struct Memo {
    before: Before,
    weighed: Vec<Weighed>,
}

/// The cars of one set, weighed.
#[derive(Clone, Debug, Default)]
pub(super) struct Weighed {
    pub(super) weights: Vec<f64>,
    /// Those of its quiet cars; empty where there are none, or it cannot be one of them.
    pub(super) quiet: Vec<f64>,
    /// How probable it is that the car has the complaint.
    pub(super) complains: f64,
}

impl Cars {
    pub(super) fn of(columns: Arc<Columns>, case: &Case) -> Self {
        let sets = case.sets.iter();
        let place = |quiet: bool| {
            let place = |set: &Set| columns.place(*set, quiet);
            sets.clone().map(place).collect()
        };
        Self {
            sets: place(false),
            quiet: place(true),
            all: case.sets.clone(),
            success: case.suspects.iter().map(|one| one.success).collect(),
            columns: Some(columns),
            memo: RefCell::default(),
        }
    }

    /// The cars of each set before anything is read in this test.
    fn fresh(&self, columns: &Columns, before: &Before) -> Vec<Weighed> {
        let Some((last, earlier)) = before.earlier.split_last() else {
            let mut weighed = self.first(columns, &before.complains);
            self.weigh_by_cover(columns, before.covered, &mut weighed);
            return weighed;
        };
        // What they showed in the tests before this one.
        let mut weighed = self.fresh(
            columns,
            &Before {
                seen: Vec::new(),
                complains: last.complains.clone(),
                earlier: earlier.to_vec(),
                covered: last.covered,
            },
        );
        for (finding, seen) in &last.seen {
            self.weigh_all(columns, *finding, seen, &mut weighed);
        }
        for (cause, masses) in &last.repaired {
            let mended = Mended {
                cause: *cause,
                masses,
            };
            weighed = self.after_repair(columns, &weighed, mended);
        }
        for (n, weighed) in weighed.iter_mut().enumerate() {
            weighed.complains = before.complains.get(n).copied().unwrap_or(1.0);
            if weighed.complains >= 1.0 {
                weighed.quiet.clear();
            }
        }
        self.weigh_by_cover(columns, before.covered, &mut weighed);
        weighed
    }

    /// What is read with a place covered is read at that place: cars on which another one was covered are no guide.
    fn weigh_by_cover(&self, columns: &Columns, covered: Set, all: &mut [Weighed]) {
        if covered.is_empty() {
            return;
        }
        for (n, weighed) in all.iter_mut().enumerate() {
            if let Some(set) = self.sets[n] {
                columns.weigh_by_cover(set, covered, &mut weighed.weights);
            }
            if let Some(place) = self.quiet[n].filter(|_| !weighed.quiet.is_empty()) {
                columns.weigh_by_cover(place, covered, &mut weighed.quiet);
            }
        }
    }

    /// All cars with the complaint, as they were drawn.
    fn first(&self, columns: &Columns, complains: &[f64]) -> Vec<Weighed> {
        let of = |(n, place): (usize, &Option<usize>)| Weighed {
            weights: place.map_or_else(Vec::new, |place| columns.first(place)),
            quiet: Vec::new(),
            complains: complains.get(n).copied().unwrap_or(1.0),
        };
        self.sets.iter().enumerate().map(of).collect()
    }

    fn weigh_all(&self, columns: &Columns, finding: usize, seen: &Seen, all: &mut [Weighed]) {
        let Some(shape) = columns.shape(finding) else {
            return;
        };
        let fits = shape.fits(seen);
        if columns.any_fits(finding, &fits) {
            let stray = stray(seen);
            for (n, weighed) in all.iter_mut().enumerate() {
                self.weigh(columns, n, finding, (&fits, stray), weighed);
            }
        }
    }

    /// Does something with the cars after some readings; readings that were weighed already are
    /// not weighed again.
    fn weighed<T>(
        &self,
        columns: &Columns,
        before: &Before,
        then: impl FnOnce(&[Weighed]) -> T,
    ) -> T {
        let mut memo = self.memo.borrow_mut();
        let known = memo.weighed.len() == self.sets.len()
            && before.complains == memo.before.complains
            && before.earlier == memo.before.earlier
            && before.covered == memo.before.covered
            && before.seen.starts_with(&memo.before.seen);
        if !known {
            memo.before = Before {
                seen: Vec::new(),
                ..before.clone()
            };
            memo.weighed = self.fresh(columns, before);
        }
        for (finding, seen) in &before.seen[memo.before.seen.len()..] {
            memo.before.seen.push((*finding, seen.clone()));
            self.weigh_all(columns, *finding, seen, &mut memo.weighed);
        }
        then(&memo.weighed)
    }

    fn weigh(
        &self,
        columns: &Columns,
        n: usize,
        finding: usize,
        (fits, stray): (&[f64], f64),
        weighed: &mut Weighed,
    ) {
        let Some(set) = self.sets[n] else { return };
        let loud = columns.chance(finding, set, (fits, stray), &weighed.weights);
        columns.weigh_by(finding, set, fits, loud, &mut weighed.weights);
        if let Some(place) = self.quiet[n].filter(|_| !weighed.quiet.is_empty()) {
            let quiet = columns.chance(finding, place, (fits, stray), &weighed.quiet);
            columns.weigh_by(finding, place, fits, quiet, &mut weighed.quiet);
            let with = weighed.complains * loud;
            weighed.complains = with / (with + (1.0 - weighed.complains) * quiet);
        }
    }

    /// A row for each outcome from what the cars of each set, or its quiet ones, show.
    fn rows(
        &self,
        columns: &Columns,
        before: &Before,
        quiet: bool,
        of: impl Fn(usize, &[f64]) -> Vec<f64>,
    ) -> Vec<Vec<f64>> {
        let by_set: Vec<Option<Vec<f64>>> = self.weighed(columns, before, |all| {
            let own = |(n, weighed): (usize, &Weighed)| {
                let loud = || Some(of(self.sets[n]?, &weighed.weights));
                let place = self.quiet[n].filter(|_| quiet && !weighed.quiet.is_empty());
                place.map_or_else(loud, |place| Some(of(place, &weighed.quiet)))
            };
            all.iter().enumerate().map(own).collect()
        });
        let outcomes = by_set.iter().flatten().map(Vec::len).max().unwrap_or(0);
        let row = |outcome: usize| {
            let all = by_set.iter().map(|row| Some(row.as_ref()?[outcome]));
            filled(all.collect())
        };
        (0..outcomes).map(row).collect()
    }
}

/// How many times as often as on the whole what was seen is astray.
fn stray(seen: &Seen) -> f64 {
    match seen {
        Seen::Places(seen) => seen.all_stray(),
        Seen::Weights(_) => 1.0,
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
    fn likelihood(&self, finding: usize, seen: &Seen, before: &Before) -> Option<Vec<f64>> {
        let columns = self.columns.as_ref()?;
        let fits = columns.shape(finding)?.fits(seen);
        // What no car of any set ever showed, they cannot weigh; the words may.
        if !columns.any_fits(finding, &fits) {
            return None;
        }
        let seen = (&fits[..], stray(seen));
        let row = self.weighed(columns, before, |all| {
            let own = |(n, weighed): (usize, &Weighed)| {
                let loud = columns.chance(finding, self.sets[n]?, seen, &weighed.weights);
                let Some(place) = self.quiet[n].filter(|_| !weighed.quiet.is_empty()) else {
                    return Some(loud);
                };
                let quiet = columns.chance(finding, place, seen, &weighed.quiet);
                Some(weighed.complains * loud + (1.0 - weighed.complains) * quiet)
            };
            all.iter().enumerate().map(own).collect()
        });
        Some(filled(row))
    }

    fn chance(&self, finding: usize, before: &Before) -> Option<Vec<Vec<f64>>> {
        let columns = self.columns.as_ref()?;
        let shape = columns.shape(finding)?;
        let of = |set: usize, weights: &[f64]| columns.chances(finding, set, weights);
        Some(shape.spread(self.rows(columns, before, false, of)))
    }

    fn hangs_together(&self, finding: usize) -> bool {
        let columns = self.columns.as_ref();
        columns.is_some_and(|columns| columns.shape(finding).is_some())
    }

    fn at_once(&self, findings: &[Grouped], quiet: bool, before: &Before) -> Option<Vec<Vec<f64>>> {
        let columns = self.columns.as_ref()?;
        if !findings
            .iter()
            .all(|grouped| self.hangs_together(grouped.finding))
        {
            return None;
        }
        let of = |set: usize, weights: &[f64]| columns.at_once(findings, set, weights);
        Some(self.rows(columns, before, quiet, of))
    }

    fn enough(&self, before: &Before) -> Option<Parts> {
        let columns = self
            .columns
            .as_ref()
            .filter(|columns| columns.knows_any())?;
        Some(self.weighed(columns, before, |all| {
            let own = |(n, weighed): (usize, &Weighed)| -> Vec<(Set, f64)> {
                let Some(set) = self.sets[n] else {
                    return Vec::new();
                };
                let mut parts = columns.enough(set, &weighed.weights);
                // A set that never makes the complaint by the limits of the model is taken as a whole.
                let whole = |part: &mut (Set, f64)| {
                    if part.0.is_empty() {
                        part.0 = self.all[n];
                    }
                };
                parts.iter_mut().for_each(whole);
                if weighed.complains < 1.0 {
                    for (_, p) in &mut parts {
                        *p *= weighed.complains;
                    }
                    parts.push((Set::EMPTY, 1.0 - weighed.complains));
                }
                parts
            };
            all.iter().enumerate().map(own).collect()
        }))
    }

    fn effective(&self, before: &Before) -> Option<Vec<f64>> {
        let columns = self
            .columns
            .as_ref()
            .filter(|columns| columns.knows_any())?;
        Some(self.weighed(columns, before, |all| {
            let left = |weighed: &Weighed| {
                let loud = Columns::left(&weighed.weights);
                // By what the car most probably is.
                if weighed.complains < 0.5 && !weighed.quiet.is_empty() {
                    Columns::left(&weighed.quiet)
                } else {
                    loud
                }
            };
            all.iter().map(left).collect()
        }))
    }
}
