//! Simulated cars after a repair: which of them what is left on the car may be.
//!
//! The n-th car of every set is the same vehicle. So the cars of a set without the repaired cause are those that never
//! had it, and those with the same number that had it besides. What was repaired may have been all that was big
//! enough: then it is one of the quiet cars.

use super::cars::{Cars, Weighed};
use super::columns::Columns;
use super::sets::Set;

/// A little of every car, whatever it showed: a repair may change more than it should (an assumption of ours).
const EVEN: f64 = 0.3;

/// A repair: the cause, and the probability of each set before it.
#[derive(Clone, Copy)]
pub(super) struct Mended<'a> {
    pub(super) cause: usize,
    pub(super) masses: &'a [f64],
}

impl Cars {
    /// The cars of each set after a cause was repaired.
    pub(super) fn after_repair(
        &self,
        columns: &Columns,
        before: &[Weighed],
        mended: Mended,
    ) -> Vec<Weighed> {
        let of = |(n, own): (usize, &Weighed)| {
            let Some(mut after) = self.left(columns, before, mended, n) else {
                return own.clone();
            };
            let (loud, quiet) = (sum(&after.weights), sum(&after.quiet));
            after.complains = loud / (loud + quiet).max(f64::MIN_POSITIVE);
            near_one(&mut after.weights, &first_of(columns, self.sets[n]));
            near_one(&mut after.quiet, &first_of(columns, self.quiet[n]));
            after
        };
        before.iter().enumerate().map(of).collect()
    }

    /// What is left of a set without the cause: its weights add up to its probability with the complaint, those of its
    /// quiet cars to that without. Nothing where the repair does not touch it, or no cars are there.
    fn left(
        &self,
        columns: &Columns,
        before: &[Weighed],
        mended: Mended,
        n: usize,
    ) -> Option<Weighed> {
        let (Mended { cause, masses }, set) = (mended, self.all[n]);
        let with = |other: &Set| !set.has(cause) && *other == set.with(cause);
        let from = self.all.iter().position(with)?;
        self.sets[n]?;
        let mut loud = Part::of(first_of(columns, self.sets[n]));
        let mut quiet = Part::of(first_of(columns, self.quiet[n]));
        let own = &before[n];
        // Where nothing is wrong nothing can be too small.
        let complains = if set.is_empty() { 1.0 } else { own.complains };
        let mass = masses[n].max(f64::MIN_POSITIVE);
        loud.add(&own.weights, mass * complains);
        quiet.add(&own.quiet, mass * (1.0 - complains));
        // What had the cause besides, and the repair took.
        let (came, mass) = (&before[from], masses[from] * self.success[cause]);
        // Where nothing is left, the car is one without any cause.
        let too_small = if set.is_empty() {
            &mut loud
        } else {
            &mut quiet
        };
        too_small.add(&came.quiet, mass * (1.0 - came.complains));
        if let Some(place) = self.sets[from] {
            let (still, gone) = columns.left_behind(place, &came.weights, cause);
            let each = mass * came.complains / sum(&came.weights).max(f64::MIN_POSITIVE);
            too_small.add(&gone, each * sum(&gone));
            loud.add(&still, each * sum(&still));
        }
        Some(Weighed {
            weights: loud.weights,
            quiet: quiet.weights,
            complains: 1.0,
        })
    }
}

fn first_of(columns: &Columns, place: Option<usize>) -> Vec<f64> {
    place.map_or_else(Vec::new, |place| columns.first(place))
}

/// The cars of one group while they are put together.
struct Part {
    /// 1 for those that belong to the group.
    first: Vec<f64>,
    weights: Vec<f64>,
}

impl Part {
    fn of(first: Vec<f64>) -> Self {
        Self {
            weights: vec![0.0; first.len()],
            first,
        }
    }

    /// Adds cars by their numbers, so much in all. One group may have more cars than the other: those without a
    /// counterpart leave their share to the others; where none has one, nothing is known and all are as likely.
    fn add(&mut self, cars: &[f64], mass: f64) {
        let both = || self.first.iter().zip(cars).map(|(first, car)| first * car);
        let (total, all) = (both().sum::<f64>(), sum(&self.first));
        let shares: Vec<f64> = if total > 0.0 {
            both().map(|share| share / total).collect()
        } else {
            self.first.iter().map(|first| first / all).collect()
        };
        for (to, share) in self.weights.iter_mut().zip(shares) {
            *to += mass * share;
        }
    }
}

fn sum(weights: &[f64]) -> f64 {
    weights.iter().sum()
}

/// Weights near 1 again, with a little of each car of the group.
fn near_one(weights: &mut [f64], first: &[f64]) {
    let (total, all) = (sum(weights), sum(first));
    for (weight, first) in weights.iter_mut().zip(first) {
        let own = if total > 0.0 {
            *weight * all / total
        } else {
            *first
        };
        *weight = EVEN * first + (1.0 - EVEN) * own;
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::super::case::{Case, Suspect};
    use super::super::columns::Group;
    use super::*;

    const SUCCESS: f64 = 0.9;

    fn case() -> Case {
        let suspect = |id: &str| Suspect {
            id: id.to_owned(),
            odds: 0.2,
            repair: 30.0,
            verification: 10.0,
            success: SUCCESS,
            repairable: true,
        };
        let suspects = ["hose", "gasket", "shaft"].map(suspect).to_vec();
        Case::new(suspects, Some(60.0), 2).unwrap().with_cured()
    }

    /// Two loud cars and two quiet ones of each set, but six with the hose and the gasket; of those only the fourth and
    /// the sixth have a gasket that is big enough.
    fn cars(case: &Case) -> (Cars, Arc<Columns>) {
        let both = Set::of(&[0, 1]);
        let count = |set: Set| if set == both { 6 } else { 2 };
        let loud = case.sets.iter().map(|set| (*set, false));
        let quiet = case.sets.iter().filter(|set| set.len() == 1);
        let groups: Vec<(Group, usize)> = loud
            .chain(quiet.map(|set| (*set, true)))
            .map(|(set, quiet)| (Group { set, quiet }, count(set)))
            .collect();
        let mut columns = Columns::new(&groups, Vec::new());
        for (place, (group, count)) in groups.iter().enumerate() {
            for car in 0..*count {
                let enough = match group {
                    group if group.quiet => Set::EMPTY,
                    group if group.set == both && car % 2 == 0 => Set::of(&[0]),
                    group => group.set,
                };
                columns.weigh(place, car, enough, true);
            }
        }
        columns.finish();
        let columns = Arc::new(columns);
        (Cars::of(Arc::clone(&columns), case), columns)
    }

    fn even(cars: &Cars, complains: f64) -> Vec<Weighed> {
        let of = |set: &Set| Weighed {
            weights: vec![1.0; if *set == Set::of(&[0, 1]) { 6 } else { 2 }],
            quiet: vec![1.0; if set.len() == 1 { 2 } else { 0 }],
            complains,
        };
        cars.all.iter().map(of).collect()
    }

    fn near(weights: &[f64], wanted: f64) {
        assert!(
            (sum(weights) - wanted).abs() < 1e-12,
            "{weights:?} {wanted}"
        );
    }

    #[test]
    fn no_mass_is_lost_where_a_set_has_more_cars_than_what_is_left_of_it() {
        let case = case();
        let (cars, columns) = cars(&case);
        let place = |causes: &[usize]| case.place(Set::of(causes)).unwrap();
        let mut masses = vec![0.0; case.sets.len()];
        masses[place(&[1])] = 0.3;
        masses[place(&[0, 1])] = 0.5;
        masses[place(&[0])] = 0.2;
        let mended = Mended {
            cause: 0,
            masses: &masses,
        };
        let before = even(&cars, 1.0);
        let left = |n: usize| cars.left(&columns, &before, mended, n).unwrap();
        let gasket = left(place(&[1]));
        // Half of what was both had a gasket that is big enough.
        near(&gasket.weights, 0.3 + SUCCESS * 0.25);
        near(&gasket.quiet, SUCCESS * 0.25);
        // The second car of both is the only one left that has a counterpart.
        assert!(
            (gasket.weights[0] - 0.15).abs() < 1e-12,
            "{:?}",
            gasket.weights
        );
        near(&left(place(&[])).weights, SUCCESS * 0.2);
        // The repair has nothing to do with what has its cause still.
        assert!(cars.left(&columns, &before, mended, place(&[0])).is_none());
        // Nor is anything lost where no car that is left has a counterpart: then each is as likely.
        let mut rest = even(&cars, 1.0);
        rest[place(&[0, 1])].weights = vec![0.0, 0.0, 0.0, 1.0, 0.0, 1.0];
        let gasket = cars.left(&columns, &rest, mended, place(&[1])).unwrap();
        near(&gasket.weights, 0.3 + SUCCESS * 0.5);
        assert!((gasket.weights[0] - gasket.weights[1]).abs() < 1e-12);
    }

    #[test]
    fn what_was_too_small_stays_so_after_another_repair() {
        let case = case();
        let (cars, columns) = cars(&case);
        let place = |causes: &[usize]| case.place(Set::of(causes)).unwrap();
        let mut masses = vec![0.0; case.sets.len()];
        masses[place(&[1])] = 0.4;
        masses[place(&[0, 1])] = 0.6;
        let hose = Mended {
            cause: 0,
            masses: &masses,
        };
        let mut before = even(&cars, 1.0);
        before[place(&[1])].complains = 0.25;
        before[place(&[1])].quiet = vec![1.0, 3.0];
        let left = cars.left(&columns, &before, hose, place(&[1])).unwrap();
        near(&left.weights, 0.4 * 0.25 + SUCCESS * 0.3);
        near(&left.quiet, 0.4 * 0.75 + SUCCESS * 0.3);
        // Before the same retest the gasket is repaired too: both what was loud and what was quiet is cured.
        let after = cars.after_repair(&columns, &before, hose);
        let loud = 0.1 + SUCCESS * 0.3;
        let all = 0.4 + SUCCESS * 0.6;
        assert!((after[place(&[1])].complains - loud / all).abs() < 1e-12);
        let mut masses = vec![0.0; case.sets.len()];
        masses[place(&[1])] = all;
        let gasket = Mended {
            cause: 1,
            masses: &masses,
        };
        let cured = cars.left(&columns, &after, gasket, place(&[])).unwrap();
        near(&cured.weights, SUCCESS * all);
    }
}
