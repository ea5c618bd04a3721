//! Where something shows, how strongly, and how likely that is astray.

use crate::flow::answer::Strength;

/// How strong what shows astray is, wisp, steady, heavy: a draught, an old stain or smoke that drifts is a wisp, and
/// hardly ever pours (an assumption of ours, no source).
const STRAY_IS: [f64; 3] = [0.80, 0.18, 0.02];
/// The same of what shows where it leaks: each as often (an assumption of ours, no source).
const LEAK_IS: [f64; 3] = [1.0 / 3.0; 3];

/// Where something shows, and how strongly.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sighting {
    /// The places, as indices, ascending.
    pub at: Vec<usize>,
    /// How strongly it shows at each of them; empty where that is not known.
    pub strength: Vec<Strength>,
    /// How many places there are that are not on the list.
    pub unlisted: usize,
}

impl Sighting {
    /// At these places, however strongly.
    pub fn at(places: &[usize]) -> Self {
        Self {
            at: places.to_vec(),
            ..Self::default()
        }
    }

    /// How many times as often as on the whole what shows at the n-th place is astray, as far as its strength says.
    pub(super) fn stray(&self, n: usize) -> f64 {
        self.strength.get(n).map_or(1.0, |strength| {
            let place = match strength {
                Strength::Wisp => 0,
                Strength::Steady => 1,
                Strength::Heavy => 2,
            };
            STRAY_IS[place] / LEAK_IS[place]
        })
    }

    /// The same for all of it: no likelier astray than the strongest of it.
    pub(super) fn all_stray(&self) -> f64 {
        let each = (0..self.at.len()).map(|n| self.stray(n));
        each.reduce(f64::min).unwrap_or(1.0)
    }
}

#[cfg(test)]
mod tests {
    use super::super::finding::{Finding, Kind, Seen, of_places};
    use super::super::sets::hypotheses;
    use super::*;

    #[test]
    fn a_heavy_cloud_is_rarely_astray_and_a_wisp_easily() {
        let places = ["hose", "gasket"].map(str::to_owned).to_vec();
        let of = |place: &str| Some(of_places(&[(place.to_owned(), 0.875)], &places, false));
        let finding = Finding {
            kind: Kind::Places(places.clone()),
            healthy: Some(of_places(&[("nowhere".to_owned(), 1.0)], &places, true)),
            causes: vec![of("hose"), of("gasket")],
        };
        let sets = hypotheses(2, 1);
        // How much a sighting at the hose speaks for the hose against the gasket.
        let speaks = |strength: &[Strength]| {
            let seen = Sighting {
                strength: strength.to_vec(),
                ..Sighting::at(&[0])
            };
            let row = finding.likelihood(&Seen::Places(seen), &sets);
            row[0] / row[1]
        };
        let (heavy, steady, wisp) = (
            speaks(&[Strength::Heavy]),
            speaks(&[Strength::Steady]),
            speaks(&[Strength::Wisp]),
        );
        assert!(
            heavy > 2.0 * steady && steady > 2.0 * wisp && wisp > 20.0,
            "{heavy} {steady} {wisp}"
        );
        // Not noted how strongly: between the two.
        let untold = speaks(&[]);
        assert!(wisp < untold && untold < steady, "{untold}");
        // Of two places the strongest says whether all of it is astray.
        let both = Sighting {
            strength: vec![Strength::Wisp, Strength::Heavy],
            ..Sighting::at(&[0, 1])
        };
        assert!(both.all_stray() < 0.1 && both.stray(0) > 2.0);
    }
}
