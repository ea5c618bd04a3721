//! Simulated cars as a source of likelihoods: weighted particles, each of which goes through all
//! steps whole.
//!
//! The likelihood of all evidence under a set of causes is the mean, over that set's cars, of the
//! product over the readings; so the likelihood of one reading, given those before it, is the mean
//! over the cars weighted by how well they made those before. Smoothed by one pseudo-count spread
//! over the outcomes (Dirichlet), so that an outcome that no car made is rare and not impossible.

use super::finding::Seen;
use super::likelihood::Source;

/// What one car shows at one finding.
#[derive(Clone, Debug, PartialEq)]
pub enum Outcome {
    /// Nothing: the finding does not apply to it, or the car does not know it.
    Unknown,
    /// The bin or word.
    At(usize),
    /// The places.
    Places(Vec<usize>),
}

/// A car.
#[derive(Clone, Debug, PartialEq)]
pub struct Car {
    /// How much it counts.
    pub weight: f64,
    /// What it shows, finding by finding.
    pub shows: Vec<Outcome>,
    /// For each cause, whether it is there and big enough for the complaint by itself.
    pub enough: Vec<bool>,
}

/// The cars of all sets.
#[derive(Clone, Debug, Default)]
pub struct Cars {
    /// Cars by set, in the order of the case's sets.
    pub of: Vec<Vec<Car>>,
    /// How many outcomes each finding has; 0 for one that the cars do not know.
    pub outcomes: Vec<usize>,
    /// Whether a finding is of places: its outcomes are then nowhere, each place, several.
    pub places: Vec<bool>,
}

impl Cars {
    fn knows(&self, finding: usize) -> Option<usize> {
        self.outcomes.get(finding).copied().filter(|n| *n > 0)
    }

    /// How well a car fits what was seen; smoothing keeps it above zero.
    fn fit(&self, car: &Car, seen: &[(usize, Seen)], slip: f64) -> f64 {
        seen.iter()
            .filter(|(finding, _)| self.knows(*finding).is_some())
            .map(|(finding, seen)| slip + (1.0 - slip) * fits(&car.shows[*finding], seen))
            .product()
    }

    /// The mean over a set's cars, weighted by how they fit what was seen before.
    fn mean(&self, set: usize, before: &[(usize, Seen)], of: impl Fn(&Car) -> f64) -> (f64, f64) {
        let cars = &self.of[set];
        // One pseudo-count among the cars is what a reading that none of them made is worth.
        let slip = 1.0 / (cars.len() as f64 + 1.0);
        let (mut sum, mut total, mut square) = (0.0, 0.0, 0.0);
        for car in cars {
            let weight = car.weight * self.fit(car, before, slip);
            sum += weight * of(car);
            total += weight;
            square += weight * weight;
        }
        if total <= 0.0 {
            return (0.0, 0.0);
        }
        // Effective number of cars (Kish 1965, from memory).
        (sum / total, total * total / square)
    }

    /// The fewest cars, over all sets, that what was seen leaves to count on.
    pub fn effective(&self, before: &[(usize, Seen)]) -> f64 {
        (0..self.of.len())
            .map(|set| self.mean(set, before, |_| 1.0).1)
            .fold(f64::INFINITY, f64::min)
    }
}

fn fits(shown: &Outcome, seen: &Seen) -> f64 {
    match (shown, seen) {
        (Outcome::At(outcome), Seen::Weights(weights)) => {
            weights.get(*outcome).copied().unwrap_or(0.0)
        }
        (Outcome::Places(shown), Seen::Places(seen, unlisted)) => {
            f64::from(u8::from(shown == seen && *unlisted == 0))
        }
        // A car that does not know the reading neither fits nor does not.
        (Outcome::Unknown, _) => 1.0,
        _ => 0.0,
    }
}

impl Source for Cars {
    fn likelihood(
        &self,
        finding: usize,
        seen: &Seen,
        before: &[(usize, Seen)],
    ) -> Option<Vec<f64>> {
        let outcomes = self.knows(finding)? as f64;
        let even = match seen {
            Seen::Weights(weights) => weights.iter().sum::<f64>() / outcomes,
            Seen::Places(..) => 1.0 / outcomes,
        };
        let of = |set: usize| {
            let (mean, n) = self.mean(set, before, |car| fits(&car.shows[finding], seen));
            (mean * n + even) / (n + 1.0)
        };
        Some((0..self.of.len()).map(of).collect())
    }

    fn chance(&self, finding: usize, before: &[(usize, Seen)]) -> Option<Vec<Vec<f64>>> {
        let outcomes = self.knows(finding)?;
        let places = self.places.get(finding) == Some(&true);
        let made = |car: &Car| match &car.shows[finding] {
            Outcome::At(outcome) => Some(*outcome),
            Outcome::Places(shown) if places => Some(match shown[..] {
                [] => 0,
                [one] => 1 + one,
                _ => outcomes - 1,
            }),
            _ => None,
        };
        let row = |outcome: usize| {
            (0..self.of.len())
                .map(|set| {
                    let (mean, n) = self.mean(set, before, |car| match made(car) {
                        Some(o) => f64::from(u8::from(o == outcome)),
                        None => 1.0 / outcomes as f64,
                    });
                    (mean * n + 1.0 / outcomes as f64) / (n + 1.0)
                })
                .collect()
        };
        Some((0..outcomes).map(row).collect())
    }

    fn enough(&self, before: &[(usize, Seen)]) -> Option<Vec<f64>> {
        let causes = self.of.iter().flatten().next()?.enough.len();
        // Of all cars that have the cause among theirs, weighted alike: sets are weighed elsewhere.
        let share = |cause: usize| {
            let means = (0..self.of.len()).filter_map(|set| {
                let has = self.of[set]
                    .first()
                    .is_some_and(|car| car.enough.len() > cause);
                has.then(|| {
                    self.mean(set, before, |car| f64::from(u8::from(car.enough[cause])))
                        .0
                })
            });
            means.fold(0.0, f64::max)
        };
        Some((0..causes).map(share).collect())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn car(weight: f64, shows: &[usize]) -> Car {
        Car {
            weight,
            shows: shows.iter().map(|o| Outcome::At(*o)).collect(),
            enough: vec![shows[0] == 1],
        }
    }

    fn at(outcome: usize) -> Seen {
        Seen::Weights((0..2).map(|o| f64::from(u8::from(o == outcome))).collect())
    }

    fn cars() -> Cars {
        // Two readings that hang together in the first set and not in the second.
        let tied = (0..1000).map(|n| car(1.0, &[n % 2, n % 2])).collect();
        let loose = (0..1000).map(|n| car(1.0, &[n % 2, (n / 2) % 2])).collect();
        Cars {
            of: vec![tied, loose],
            outcomes: vec![2, 2, 0],
            places: vec![false; 3],
        }
    }

    #[test]
    fn readings_of_one_car_hang_together() {
        let cars = cars();
        let first = cars.likelihood(0, &at(1), &[]).unwrap();
        assert!(first.iter().all(|p| (p - 0.5).abs() < 1e-9), "{first:?}");
        let second = cars.likelihood(1, &at(1), &[(0, at(1))]).unwrap();
        assert!(
            second[0] > 0.99 && (second[1] - 0.5).abs() < 0.01,
            "{second:?}"
        );
        let never = cars.likelihood(1, &at(0), &[(0, at(1))]).unwrap();
        assert!(never[0] > 0.0 && never[0] < 0.01, "{never:?}");
        assert!(cars.effective(&[(0, at(1))]) > 450.0);
    }

    #[test]
    fn outcomes_add_up_and_a_reading_that_the_cars_do_not_know_is_left_to_the_words() {
        let cars = cars();
        let chance = cars.chance(1, &[(0, at(1))]).unwrap();
        for set in 0..2 {
            assert!((chance[0][set] + chance[1][set] - 1.0).abs() < 1e-12);
        }
        assert!(cars.likelihood(2, &at(1), &[]).is_none() && cars.chance(2, &[]).is_none());
    }

    #[test]
    fn what_was_seen_says_whether_the_cause_is_big_enough() {
        let cars = cars();
        let enough = |seen: &[(usize, Seen)]| cars.enough(seen).unwrap()[0];
        assert!((enough(&[]) - 0.5).abs() < 1e-9);
        assert!(enough(&[(1, at(1))]) > 0.99, "the tied cars know");
    }
}
