//! What all simulated cars show, finding by finding, as codes of one byte: a long row of them is weighed in no time.

use std::collections::{BTreeSet, HashMap};

use serde::{Deserialize, Serialize};

pub(super) use super::group::{Group, how_many};
use super::joined::Named;
use super::outcomes::{Raw, Shape, UNKNOWN};
use super::sets::Set;
pub(super) use weighing::mixed;

mod weighing;

/// Cars with each cause alone that the sets count with in what all cars together show.
const POOLED: usize = 500;

/// What all cars show. Cars of one group stand side by side.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub(super) struct Columns {
    #[serde(with = "super::group::in_a_list")]
    places: HashMap<Group, usize>,
    /// Where the cars of each group begin; the last one is the end.
    starts: Vec<usize>,
    /// One a finding; nothing for those that the cars do not know.
    shapes: Vec<Option<Shape>>,
    /// `codes[finding][car]`.
    codes: Vec<Vec<u8>>,
    /// Whether each car belongs to its group by whether it has the complaint.
    belongs: Vec<bool>,
    /// The causes of each car that make the complaint by themselves.
    enough: Vec<Set>,
    /// The causes that show at the place that was covered on each car; empty where none was.
    covered: Vec<Set>,
    /// `even[finding][set * codes + code]`: how often each outcome is before anything is read.
    even: Vec<Vec<f64>>,
    /// The same over all sets.
    pooled: Vec<Vec<f64>>,
}

impl Columns {
    /// For so many cars of each of the groups.
    pub(super) fn new(groups: &[(Group, usize)], shapes: Vec<Option<Shape>>) -> Self {
        let mut cars = 0;
        let mut starts = vec![0];
        for (_, count) in groups {
            cars += count;
            starts.push(cars);
        }
        let codes = shapes
            .iter()
            .map(|shape| vec![UNKNOWN; if shape.is_some() { cars } else { 0 }])
            .collect();
        Self {
            places: groups
                .iter()
                .enumerate()
                .map(|(n, (group, _))| (*group, n))
                .collect(),
            starts,
            codes,
            belongs: vec![false; cars],
            enough: vec![Set::EMPTY; cars],
            covered: vec![Set::EMPTY; cars],
            even: vec![Vec::new(); shapes.len()],
            pooled: vec![Vec::new(); shapes.len()],
            shapes,
        }
    }

    /// Whether everything fits together: what comes from a file may be cut off, or another program's.
    pub(super) fn sound(&self) -> bool {
        let (sets, findings) = (self.places.len(), self.shapes.len());
        let cars = self.belongs.len();
        let rows = self.codes.len() == findings
            && self.even.len() == findings
            && self.pooled.len() == findings;
        let starts = self.starts.len() == sets + 1
            && self.starts.first() == Some(&0)
            && self.starts.last() == Some(&cars)
            && self.starts.is_sorted();
        let share = |p: &f64| (0.0..=1.0).contains(p);
        let one = |finding: usize| match &self.shapes[finding] {
            None => true,
            Some(shape) if !shape.sound() => false,
            Some(shape) => {
                let outcomes = shape.codes();
                let told = |code: &u8| *code == UNKNOWN || usize::from(*code) < outcomes;
                self.codes[finding].len() == cars
                    && self.pooled[finding].len() == outcomes
                    && self.even[finding].len() == sets * outcomes
                    && self.codes[finding].iter().all(told)
                    && self.pooled[finding].iter().all(share)
                    && self.even[finding].iter().all(share)
            }
        };
        let places: BTreeSet<usize> = self.places.values().copied().collect();
        rows && starts
            && self.enough.len() == cars
            && self.covered.len() == cars
            && places.into_iter().eq(0..sets)
            && (0..findings).all(one)
    }

    /// Whether the outcomes are those of these findings.
    pub(super) fn fit(&self, findings: &[Named]) -> bool {
        let mut both = self.shapes.iter().zip(findings);
        self.shapes.len() == findings.len()
            && both.all(|(shape, named)| {
                let kind = &named.finding.kind;
                shape.as_ref().is_none_or(|shape| shape.is_of(kind))
            })
    }

    /// What a car shows at a finding.
    pub(super) fn note(&mut self, finding: usize, set: usize, car: usize, raw: &Raw) {
        if let Some(shape) = &mut self.shapes[finding] {
            self.codes[finding][self.starts[set] + car] = shape.code(raw);
        }
    }

    /// Which of a car's causes make the complaint by themselves, and whether it belongs to its group.
    pub(super) fn weigh(&mut self, set: usize, car: usize, enough: Set, belongs: bool) {
        let at = self.starts[set] + car;
        self.enough[at] = enough;
        self.belongs[at] = belongs;
    }

    /// Which causes show at the place that was covered on a car.
    pub(super) fn cover(&mut self, set: usize, car: usize, covered: Set) {
        let at = self.starts[set] + car;
        self.covered[at] = covered;
    }

    /// Counts, once all cars are noted.
    pub(super) fn finish(&mut self) {
        let mut usual = vec![None; self.places.len()];
        for (group, place) in self.places.iter().filter(|(group, _)| !group.quiet) {
            usual[*place] = Some(how_many(*group, POOLED) as f64);
        }
        let first: Vec<Vec<f64>> = (0..self.places.len()).map(|n| self.first(n)).collect();
        for finding in 0..self.shapes.len() {
            let Some(shape) = &self.shapes[finding] else {
                continue;
            };
            let outcomes = shape.codes();
            let mut even = Vec::with_capacity(self.places.len() * outcomes);
            let mut pooled = vec![1.0 / outcomes as f64; outcomes];
            for (set, weights) in first.iter().enumerate() {
                let counts = self.counts(finding, set, outcomes, weights);
                // Every set counts as if it had its usual number of cars.
                if let Some(usual) = usual[set] {
                    let each = usual / counts.iter().sum::<f64>().max(1.0);
                    for (sum, count) in pooled.iter_mut().zip(&counts) {
                        *sum += each * count;
                    }
                }
                even.extend(counts);
            }
            let total: f64 = pooled.iter().sum();
            for p in &mut pooled {
                *p /= total;
            }
            for row in even.chunks_mut(outcomes) {
                // One pseudo-count, spread as all cars together are (Dirichlet).
                let total: f64 = row.iter().sum::<f64>() + 1.0;
                for (p, all) in row.iter_mut().zip(&pooled) {
                    *p = (*p + all) / total;
                }
            }
            self.even[finding] = even;
            self.pooled[finding] = pooled;
        }
    }

    fn counts(&self, finding: usize, set: usize, outcomes: usize, weights: &[f64]) -> Vec<f64> {
        let mut counts = vec![0.0; 256];
        for (code, weight) in self.codes[finding][self.of(set)].iter().zip(weights) {
            counts[usize::from(*code)] += weight;
        }
        counts.truncate(outcomes);
        counts
    }

    fn of(&self, set: usize) -> std::ops::Range<usize> {
        self.starts[set]..self.starts[set + 1]
    }

    /// Where the cars of a group stand; nothing where there are none.
    pub(super) fn place(&self, set: Set, quiet: bool) -> Option<usize> {
        let place = self.places.get(&Group { set, quiet }).copied()?;
        let cars = &self.belongs[self.of(place)];
        // A set that never makes the complaint by the limits of the model is taken as it is; quiet cars are not.
        let any = !cars.is_empty() && (!quiet || cars.contains(&true));
        any.then_some(place)
    }

    /// The groups in their order, each with how many cars it has.
    pub(super) fn groups(&self) -> Vec<(Group, usize)> {
        let mut all: Vec<(Group, usize)> = self.places.iter().map(|(g, n)| (*g, *n)).collect();
        all.sort_unstable_by_key(|(_, place)| *place);
        for (_, place) in &mut all {
            *place = self.of(*place).len();
        }
        all
    }

    /// The same cars with room for more of some groups: so many of each in all, not fewer than there are.
    pub(super) fn with_room(&self, sizes: &[(Group, usize)]) -> Self {
        let mut wider = Self::new(sizes, self.shapes.clone());
        for (n, (group, _)) in sizes.iter().enumerate() {
            let Some(own) = self.places.get(group) else {
                continue;
            };
            let (from, to) = (self.of(*own), wider.starts[n]);
            let to = to..to + from.len();
            wider.belongs[to.clone()].copy_from_slice(&self.belongs[from.clone()]);
            wider.enough[to.clone()].copy_from_slice(&self.enough[from.clone()]);
            wider.covered[to.clone()].copy_from_slice(&self.covered[from.clone()]);
            for (wide, codes) in wider.codes.iter_mut().zip(&self.codes) {
                if !codes.is_empty() {
                    wide[to.clone()].copy_from_slice(&codes[from.clone()]);
                }
            }
        }
        wider
    }

    pub(super) fn shape(&self, finding: usize) -> Option<&Shape> {
        self.shapes.get(finding)?.as_ref()
    }

    pub(super) fn total(&self) -> usize {
        self.belongs.len()
    }

    pub(super) fn knows_any(&self) -> bool {
        self.shapes.iter().any(Option::is_some)
    }

    /// The weights of one group's cars before anything is read: 1 for those that belong to it, else 0; where none
    /// does, all count alike.
    pub(super) fn first(&self, set: usize) -> Vec<f64> {
        let belongs = &self.belongs[self.of(set)];
        let all = !belongs.contains(&true);
        let weight = |belongs: &bool| f64::from(u8::from(*belongs || all));
        belongs.iter().map(weight).collect()
    }

    /// What each car of one set shows at a finding.
    pub(super) fn codes_of(&self, finding: usize, set: usize) -> &[u8] {
        &self.codes[finding][self.of(set)]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cars_of_a_group_to_which_none_belongs_count_no_more_once_one_does() {
        let group = |quiet| Group {
            set: Set::of(&[0]),
            quiet,
        };
        let groups = [(group(false), 2), (group(true), 1)];
        let mut few = Columns::new(&groups, Vec::new());
        for (place, car) in [(0, 0), (0, 1), (1, 0)] {
            few.weigh(place, car, Set::EMPTY, false);
        }
        few.finish();
        assert_eq!(few.first(0), [1.0, 1.0]);
        let place = |columns: &Columns, quiet| columns.place(Set::of(&[0]), quiet);
        assert_eq!((place(&few, false), place(&few, true)), (Some(0), None));
        let mut more = few.with_room(&[(group(false), 4), (group(true), 1)]);
        more.weigh(0, 2, Set::EMPTY, false);
        more.weigh(0, 3, Set::of(&[0]), true);
        more.finish();
        assert_eq!(more.first(0), [0.0, 0.0, 0.0, 1.0]);
    }
}
