//! Where in a cycle a trigger rises, and which lobes can be meant by that.
//!
//! One place in a cycle names each lobe. A trigger on the crankshaft rises once a turn, at two places;
//! one on the ignition of all cylinders at as many as there are lobes, and names none.

/// Rises this far apart, as a share of a cycle, are at two places: half a lobe of an engine of ten.
const APART: f64 = 0.05;
/// A place at which it rises in fewer of the cycles than this share of the most frequent one's is noise.
const SELDOM: f64 = 0.25;

/// The places in a cycle at which a trigger rises, in cycles; the first is that of the first rise that counts.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Marks(Vec<f64>);

impl Marks {
    /// Of rises, in cycles from any zero.
    pub(super) fn of(rises: impl Iterator<Item = f64>) -> Self {
        let mut groups: Vec<(f64, f64)> = Vec::new();
        for rise in rises {
            let near = groups
                .iter_mut()
                .find(|(place, _)| away(rise, *place).abs() < APART);
            match near {
                Some((place, count)) => {
                    *count += 1.0;
                    *place += away(rise, *place) / *count;
                }
                None => groups.push((rise, 1.0)),
            }
        }
        let most = groups.iter().map(|group| group.1).fold(0.0, f64::max);
        let often = groups.iter().filter(|group| group.1 >= SELDOM * most);
        Self(often.map(|group| group.0).collect())
    }

    /// Where the lobes are counted from, in cycles.
    pub(super) fn start(&self) -> Option<f64> {
        self.0.first().copied()
    }

    /// The numbers that each lobe can have, by each place that the count may begin at. `first` is how far the middle of
    /// the first lobe lies behind the start, in cycles.
    pub(super) fn numbers(&self, first: f64, cylinders: usize) -> Vec<Vec<usize>> {
        let lobe = |n: usize| n as f64 / cylinders as f64;
        let number = |middle: f64, place: f64| {
            let behind = (middle - (place - self.0[0]) + 1e-9).rem_euclid(1.0);
            (1..=cylinders).find(|n| behind < lobe(*n)).unwrap_or(1)
        };
        let of = |n: usize| {
            let places = self.0.iter();
            let mut numbers: Vec<usize> = places
                .map(|place| number(first + lobe(n), *place))
                .collect();
            numbers.sort_unstable();
            numbers.dedup();
            numbers
        };
        (0..cylinders).map(of).collect()
    }
}

/// How far a phase lies behind another, from -0.5 to 0.5 of a cycle.
fn away(phase: f64, from: f64) -> f64 {
    (phase - from + 0.5).rem_euclid(1.0) - 0.5
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rises of ten cycles at places in each, a little off.
    fn marks(places: &[f64]) -> Marks {
        let cycles = (0..10).map(f64::from);
        Marks::of(cycles.flat_map(|cycle| places.iter().map(move |place| cycle * 1.0005 + place)))
    }

    #[test]
    fn a_place_names_a_lobe_and_two_leave_two() {
        let one = marks(&[0.1]);
        assert_eq!(one.numbers(0.125, 4), [[1], [2], [3], [4]]);
        let two = marks(&[0.1, 0.6]);
        assert_eq!(two.numbers(0.125, 4), [[1, 3], [2, 4], [1, 3], [2, 4]]);
        // Three lobes: half a cycle is a lobe and a half.
        assert_eq!(two.numbers(0.1, 3), [[1, 2], [2, 3], [1, 3]]);
        let each = marks(&[0.1, 0.35, 0.6, 0.85]);
        assert_eq!(each.numbers(0.125, 4), vec![vec![1, 2, 3, 4]; 4]);
    }

    #[test]
    fn a_pulse_too_many_is_not_a_second_place() {
        let rises = [0.3, 0.72, 1.3, 2.3, 3.3, 4.3, 5.3];
        assert_eq!(Marks::of(rises.into_iter()).0.len(), 1);
        assert_eq!(
            Marks::of(std::iter::empty()).numbers(0.1, 4),
            vec![vec![]; 4] as Vec<Vec<usize>>
        );
    }
}
