//! What a reading or worked value can show, and how likely each of that is with which causes.
//!
//! Made from what a flow says in words (`healthy` and each cause's `shows`). A number's range is a
//! normal distribution whose 5th and 95th percentiles are its ends, cut into bins; of two causes
//! that move it the one further from healthy wins. Words are noisy-MAX, from what a sound car
//! shows to what it does not. Of places, every cause that is present shows at one of its own.
//!
//! One in a thousand goes to every outcome alike, so that no single misread value rules out the
//! truth.

use super::sets::Set;
use super::side::Side;
use super::table::noisy_max;

/// What goes to every outcome alike.
pub(super) const MISREAD: f64 = 0.001;
/// What a sound car shows at all places together that nobody named (an assumption of ours).
pub(super) const STRAY: f64 = 0.02;
/// Places that show at once, beyond which only the first are looked at one by one.
const AT_ONCE: usize = 10;
pub use super::said::{bins, normal, of_places, of_range, of_words, row, spread, weights};
pub use super::sighting::Sighting;
/// The word for nothing showing anywhere.
pub use crate::flow::condition::NOWHERE;
/// The word for more than one place, or one that is not on the list.
pub const SEVERAL: &str = "several places, or another";

/// What a cause, or a sound car, shows.
#[derive(Clone, Debug, PartialEq)]
pub enum Row {
    /// A number: middle and standard deviation, in SI units.
    Normal(f64, f64),
    /// The same, or its mirror image below zero, the one as likely as the other.
    EitherWay(f64, f64),
    /// A distribution over the outcomes.
    Share(Vec<f64>),
}

/// What can be shown.
#[derive(Clone, Debug, PartialEq)]
pub enum Kind {
    /// A number, in bins with these edges between them (SI units, ascending).
    Number(Vec<f64>),
    /// One of these words; the first is what a sound car shows most.
    Words(Vec<String>),
    /// Any of these places.
    Places(Vec<String>),
}

/// A reading or worked value that says something about the causes.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// What can be shown.
    pub kind: Kind,
    /// What a sound car shows; where a flow does not say, anything is as likely.
    pub healthy: Option<Row>,
    /// What each cause shows; nothing where it does not touch this reading.
    pub causes: Vec<Option<Row>>,
}

/// What was seen.
#[derive(Clone, Debug, PartialEq)]
pub enum Seen {
    /// The weight of each bin or word: 1 for one that is certain.
    Weights(Vec<f64>),
    /// Where something shows.
    Places(Sighting),
}

impl Finding {
    /// How many outcomes there are.
    pub fn outcomes(&self) -> usize {
        match &self.kind {
            Kind::Number(edges) => edges.len() + 1,
            Kind::Words(words) => words.len(),
            Kind::Places(places) => places.len() + 2,
        }
    }

    /// Whether any cause touches it.
    pub fn tells(&self) -> bool {
        self.causes.iter().any(Option::is_some)
    }

    /// `chance[outcome][set]`.
    pub fn chance(&self, sets: &[Set]) -> Vec<Vec<f64>> {
        self.chance_on(sets, None)
    }

    /// The same where it is known on which side of zero causes show what they show either way.
    pub(super) fn chance_on(&self, sets: &[Set], side: Option<Side>) -> Vec<Vec<f64>> {
        let raw = match &self.kind {
            Kind::Number(edges) => self.numbers(edges, sets, side),
            Kind::Words(words) => self.words(words.len(), sets),
            Kind::Places(places) => self.each_place(places.len(), sets),
        };
        let even = MISREAD / raw.len() as f64;
        raw.into_iter()
            .map(|row| row.iter().map(|p| (1.0 - MISREAD) * p + even).collect())
            .collect()
    }

    /// The probability of what was seen, for every set.
    pub fn likelihood(&self, seen: &Seen, sets: &[Set]) -> Vec<f64> {
        match (seen, &self.kind) {
            (Seen::Weights(weights), _) => fit(&self.chance(sets), weights, sets.len()),
            (Seen::Places(seen), Kind::Places(all)) => {
                let even = MISREAD / (all.len() + 2) as f64;
                let of = |set: &Set| self.at_exactly(*set, seen, all.len());
                sets.iter()
                    .map(|set| (1.0 - MISREAD) * of(set) + even)
                    .collect()
            }
            // A flow that changed its kind of reading meanwhile: nothing can be said.
            (Seen::Places(_), _) => vec![1.0; sets.len()],
        }
    }

    fn numbers(&self, edges: &[f64], sets: &[Set], side: Option<Side>) -> Vec<Vec<f64>> {
        let spread = |row: &Row| match side {
            Some(side) => spread(edges, &side.of(row)),
            None => spread(edges, row),
        };
        let even = vec![1.0 / (edges.len() + 1) as f64; edges.len() + 1];
        let sound = self.healthy.as_ref().map_or(even, &spread);
        let rows: Vec<Option<Vec<f64>>> = self
            .causes
            .iter()
            .map(|row| row.as_ref().map(&spread))
            .collect();
        let shown = |set: &Set| -> &Vec<f64> {
            self.furthest(*set)
                .and_then(|cause| rows[cause].as_ref())
                .unwrap_or(&sound)
        };
        turned(sets, edges.len() + 1, |set| shown(set).clone())
    }

    /// The cause of a set that decides what a number is.
    pub(super) fn furthest(&self, set: Set) -> Option<usize> {
        let far = |cause: usize| self.far(self.causes[cause].as_ref());
        let touching = set.members().filter(|cause| self.causes[*cause].is_some());
        touching.max_by(|a, b| far(*a).total_cmp(&far(*b)).then(b.cmp(a)))
    }

    /// How far what a cause shows lies from what a sound car shows.
    fn far(&self, row: Option<&Row>) -> f64 {
        match (row, &self.healthy) {
            (Some(Row::Normal(middle, _)), Some(Row::Normal(healthy, _))) => {
                (middle - healthy).abs()
            }
            (Some(Row::EitherWay(middle, _)), Some(Row::Normal(..))) => middle.abs(),
            (Some(Row::Normal(..) | Row::EitherWay(..)), _) => 1.0,
            // A spread over everything gives way to a cause that says what it shows.
            (Some(Row::Share(_)), _) => 0.0,
            (None, _) => -1.0,
        }
    }

    fn words(&self, outcomes: usize, sets: &[Set]) -> Vec<Vec<f64>> {
        let share = |row: &Row| match row {
            Row::Share(shares) => shares.clone(),
            Row::Normal(..) | Row::EitherWay(..) => vec![1.0 / outcomes as f64; outcomes],
        };
        let mut quiet = vec![0.0; outcomes];
        quiet[0] = 1.0;
        if let Some(healthy) = &self.healthy {
            let effects: Vec<Vec<f64>> = self
                .causes
                .iter()
                .map(|row| row.as_ref().map_or_else(|| quiet.clone(), share))
                .collect();
            return noisy_max(sets, &share(healthy), &effects);
        }
        // Nobody says what is normal, so there is no better and worse: the present causes share.
        turned(sets, outcomes, |set| {
            let said: Vec<Vec<f64>> = set
                .members()
                .filter_map(|cause| self.causes[cause].as_ref().map(share))
                .collect();
            let n = said.len() as f64;
            (0..outcomes)
                .map(|o| {
                    if said.is_empty() {
                        1.0 / outcomes as f64
                    } else {
                        said.iter().map(|row| row[o]).sum::<f64>() / n
                    }
                })
                .collect()
        })
    }

    fn each_place(&self, places: usize, sets: &[Set]) -> Vec<Vec<f64>> {
        turned(sets, places + 2, |set| {
            let mut row: Vec<f64> = (0..places)
                .map(|place| self.at_exactly(*set, &Sighting::at(&[place]), places))
                .collect();
            row.insert(0, self.at_exactly(*set, &Sighting::default(), places));
            let rest = 1.0 - row.iter().sum::<f64>();
            row.push(rest.max(0.0));
            row
        })
    }

    /// The probability that it shows at exactly these places. Every present cause, and what a sound
    /// car shows, shows at one place or nowhere; seen is the union. Nowhere else than at `A` it
    /// shows with the product of each one's share of `A`; from that, by inclusion and exclusion.
    fn at_exactly(&self, set: Set, seen: &Sighting, places: usize) -> f64 {
        let at = &seen.at[..seen.at.len().min(AT_ONCE)];
        let stray = STRAY / places.max(1) as f64;
        let mut total = 0.0;
        for subset in 0..1_usize << at.len() {
            let chosen = || (0..at.len()).filter(|n| subset >> n & 1 == 1);
            let inside =
                |row: &[f64]| -> f64 { chosen().map(|n| row[at[n]]).sum::<f64>() + row[places] };
            // What is astray on a sound car, by how strong it is.
            let astray = || chosen().map(|n| stray * (seen.stray(n) - 1.0)).sum::<f64>();
            let mut p = 1.0;
            for cause in set.members() {
                if let Some(Row::Share(row)) = &self.causes[cause] {
                    p *= inside(row);
                }
            }
            if let Some(Row::Share(row)) = &self.healthy {
                p *= inside(row) + astray();
            }
            let missing = at.len() - subset.count_ones() as usize;
            total += if missing.is_multiple_of(2) { p } else { -p };
        }
        // A place that nobody thought of is as likely whatever the cause.
        let unlisted = i32::try_from(seen.unlisted.min(2)).unwrap_or(2);
        total.max(0.0) * MISREAD.powi(unlisted)
    }
}

/// The probability of what was seen under each of so many sets.
pub(super) fn fit(chance: &[Vec<f64>], weights: &[f64], sets: usize) -> Vec<f64> {
    let of = |set: usize| {
        let both = chance.iter().zip(weights);
        both.map(|(row, w)| row[set] * w).sum()
    };
    (0..sets).map(of).collect()
}

/// From a row for each set to a row for each outcome.
fn turned(sets: &[Set], outcomes: usize, row: impl Fn(&Set) -> Vec<f64>) -> Vec<Vec<f64>> {
    let mut turned = vec![Vec::with_capacity(sets.len()); outcomes];
    for set in sets {
        for (into, p) in turned.iter_mut().zip(row(set)) {
            into.push(p);
        }
    }
    turned
}

#[cfg(test)]
mod tests {
    use super::super::sets::hypotheses;
    use super::*;

    fn words(said: &[(&str, f64)]) -> Vec<(String, f64)> {
        said.iter().map(|(w, p)| ((*w).to_owned(), *p)).collect()
    }

    fn names(names: &[&str]) -> Vec<String> {
        names.iter().map(|n| (*n).to_owned()).collect()
    }

    fn adds_up(finding: &Finding, sets: &[Set]) {
        let chance = finding.chance(sets);
        assert_eq!(chance.len(), finding.outcomes());
        for set in 0..sets.len() {
            let total: f64 = chance.iter().map(|row| row[set]).sum();
            assert!((total - 1.0).abs() < 1e-12, "{total}");
            assert!(chance.iter().all(|row| row[set] > 0.0));
        }
    }

    #[test]
    fn the_ends_of_a_range_are_its_5th_and_95th_percentile() {
        let Row::Normal(middle, deviation) = of_range(5.0, 40.0) else {
            panic!("a range is a normal distribution");
        };
        let shares = bins(&[5.0, 40.0], middle, deviation);
        for (got, wanted) in shares.iter().zip([0.05, 0.90, 0.05]) {
            assert!((got - wanted).abs() < 1e-12, "{shares:?}");
        }
    }

    #[test]
    fn a_value_near_an_edge_counts_on_both_sides() {
        assert_eq!(weights(&[10.0], 9.0, 9.0, 9.0), Some(vec![1.0, 0.0]));
        let near = weights(&[10.0], 10.0, 8.0, 12.0).unwrap();
        assert!((near[0] - 0.5).abs() < 1e-12);
        let one_off = weights(&[10.0], 8.0, 6.04, 9.96).unwrap();
        assert!(
            (one_off[1] - 0.022_750_131_948).abs() < 1e-9,
            "two deviations away"
        );
        assert_eq!(weights(&[10.0], 8.0, f64::NEG_INFINITY, 9.0), None);
    }

    #[test]
    fn of_two_causes_the_one_further_from_healthy_is_read() {
        let finding = Finding {
            kind: Kind::Number(vec![5.0, 20.0]),
            healthy: Some(of_range(-8.0, 8.0)),
            causes: vec![Some(of_range(10.0, 14.0)), Some(of_range(25.0, 35.0)), None],
        };
        let sets = hypotheses(3, 2);
        adds_up(&finding, &sets);
        let chance = finding.chance(&sets);
        let of = |causes: &[usize]| sets.iter().position(|s| *s == Set::of(causes)).unwrap();
        let same = |outcome: usize, one: &[usize], other: &[usize]| {
            (chance[outcome][of(one)] - chance[outcome][of(other)]).abs() < 1e-15
        };
        assert!(same(2, &[0, 1], &[1]) && same(1, &[0, 2], &[0]));
        assert!(chance[0][of(&[2])] > 0.8);
    }

    #[test]
    fn words_that_are_left_over_go_to_what_a_sound_car_shows() {
        let outcomes = names(&["none", "wisp", "steady"]);
        let row = of_words(&words(&[("wisp", 0.5), ("steady", 0.325)]), &outcomes);
        let Row::Share(row) = row else {
            panic!("words are a distribution")
        };
        assert!((row[0] - 0.175).abs() < 1e-12, "{row:?}");
        let finding = Finding {
            healthy: Some(of_words(
                &words(&[("none", 0.675), ("wisp", 0.325)]),
                &outcomes,
            )),
            kind: Kind::Words(outcomes),
            causes: vec![Some(Row::Share(row)), None],
        };
        adds_up(&finding, &hypotheses(2, 2));
    }

    #[test]
    fn two_causes_show_at_two_places_and_one_seldom_does() {
        let places = names(&["hose", "gasket", "tailpipe"]);
        let kind = Kind::Places(places.clone());
        let of = |said: &[(&str, f64)], healthy| Some(of_places(&words(said), &places, healthy));
        let finding = Finding {
            kind,
            healthy: of(&[("nowhere", 0.675), ("tailpipe", 0.325)], true),
            causes: vec![
                of(&[("hose", 0.875)], false),
                of(&[("gasket", 0.875)], false),
            ],
        };
        let sets = hypotheses(2, 2);
        adds_up(&finding, &sets);
        let both = finding.likelihood(&Seen::Places(Sighting::at(&[0, 1])), &sets);
        assert!(
            both[2] > 20.0 * both[0] && both[2] > 20.0 * both[1],
            "{both:?}"
        );
        let hose = finding.likelihood(&Seen::Places(Sighting::at(&[0])), &sets);
        assert!(hose[0] > hose[2] && hose[2] > hose[1], "{hose:?}");
        // One place on its own is the same by both ways of asking.
        let chance = finding.chance(&sets);
        for set in 0..3 {
            assert!((hose[set] - chance[1][set]).abs() < 1e-12);
        }
    }

    #[test]
    fn everything_that_can_be_seen_at_places_adds_up_to_one() {
        let places = names(&["a", "b", "c"]);
        let of = |said: &[(&str, f64)], healthy| Some(of_places(&words(said), &places, healthy));
        let finding = Finding {
            kind: Kind::Places(places.clone()),
            healthy: of(&[("nowhere", 0.8), ("c", 0.2)], true),
            causes: vec![
                of(&[("a", 0.6), ("b", 0.3)], false),
                of(&[("b", 0.9)], false),
            ],
        };
        let all = Set::of(&[0, 1]);
        let total: f64 = (0..8_usize)
            .map(|bits| {
                let seen: Vec<usize> = (0..3).filter(|n| bits >> n & 1 == 1).collect();
                finding.at_exactly(all, &Sighting::at(&seen), 3)
            })
            .sum();
        assert!((total - 1.0).abs() < 1e-12, "{total}");
    }
}
