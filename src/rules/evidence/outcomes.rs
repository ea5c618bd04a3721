//! What simulated cars can show at one finding, as few outcomes as tell something.
//!
//! With many narrow bins hardly a car would show the same as the one in the bay at every reading. So a number has
//! few: those between the author's limits, and a few more where the cars lie densest.

use serde::{Deserialize, Serialize};

use super::finding::{Kind, STRAY, Seen, Sighting};
use super::joined::{Named, limits};
use super::kinds;
use super::outlook::kept_edges;
use crate::flow::model::Flow;
use crate::flow::values::Value;
use crate::units::whole;

/// Most edges of a number.
const EDGES: usize = 4;
/// The code of a car that does not show this finding at all.
pub(super) const UNKNOWN: u8 = u8::MAX;
/// The code of places that are too seldom to have one of their own.
const OTHERS: u8 = u8::MAX - 1;

/// What a car shows, as it is.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Raw {
    /// Nothing: it is not asked on this car, or it cannot be worked out.
    Unknown,
    /// A number, SI.
    Number(f64),
    /// A word, by its place.
    Word(usize),
    /// Places, ascending.
    Places(Vec<usize>),
}

impl Raw {
    pub(super) fn of(named: &Named, value: Option<&Value>) -> Self {
        match (value, &named.finding.kind) {
            (Some(Value::Number(e)), Kind::Number(_)) if e.value.is_finite() => {
                Self::Number(e.value)
            }
            (Some(Value::Word(word)), Kind::Words(words)) => {
                let place = words.iter().position(|other| other == word);
                Self::Word(place.unwrap_or(words.len() - 1))
            }
            (Some(Value::Places(shown)), Kind::Places(places)) => {
                Self::Places(kinds::listed(places, shown).0)
            }
            _ => Self::Unknown,
        }
    }
}

/// The outcomes of a finding, and how they stand to those of the joint list.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub(super) enum Shape {
    /// A number: the joint list's bins that each of ours begins with, and the edges between ours.
    Number {
        first: Vec<usize>,
        edges: Vec<f64>,
        bins: usize,
    },
    /// Words, as in the joint list.
    Words(usize),
    /// Places: so many, and those that show together, by their codes from there on.
    Places(usize, Vec<Vec<usize>>),
}

impl Shape {
    /// For what the cars with one cause show.
    pub(super) fn of(flow: &Flow, named: &Named, raws: &[&Raw]) -> Option<Self> {
        if raws.iter().all(|raw| **raw == Raw::Unknown) {
            return None;
        }
        match &named.finding.kind {
            Kind::Number(all) => Some(Self::number(flow, named, all, raws)),
            Kind::Words(words) => Some(Self::Words(words.len())),
            Kind::Places(places) => Some(Self::places(places.len())),
        }
    }

    fn number(flow: &Flow, named: &Named, all: &[f64], raws: &[&Raw]) -> Self {
        let mut shown: Vec<f64> = raws
            .iter()
            .filter_map(|raw| match raw {
                Raw::Number(si) => Some(*si),
                _ => None,
            })
            .collect();
        shown.sort_by(f64::total_cmp);
        let mut edges = kept_edges(&limits(flow, &named.id), all);
        // The middle first, then the outer fifths.
        for share in [0.5, 0.2, 0.8, 0.35, 0.65] {
            let place = whole(share * shown.len() as f64);
            let Some(goal) = shown.get(place) else {
                continue;
            };
            let near = all
                .iter()
                .min_by(|a, b| (*a - goal).abs().total_cmp(&(*b - goal).abs()));
            if let Some(edge) = near
                && edges.len() < EDGES
                && !edges.contains(edge)
            {
                edges.push(*edge);
            }
        }
        edges.sort_by(f64::total_cmp);
        let first = std::iter::once(0)
            .chain(
                edges
                    .iter()
                    .map(|edge| 1 + all.iter().filter(|e| *e < edge).count()),
            )
            .collect();
        Self::Number {
            first,
            edges,
            bins: all.len() + 1,
        }
    }

    fn places(count: usize) -> Self {
        Self::Places(count, Vec::new())
    }

    /// How many outcomes there are now.
    pub(super) fn codes(&self) -> usize {
        match self {
            Self::Number { first, .. } => first.len(),
            Self::Words(words) => *words,
            // One for those that were too many.
            Self::Places(places, together) => places + 1 + together.len() + 1,
        }
    }

    /// Whether it can be reckoned with, wherever it comes from.
    pub(super) fn sound(&self) -> bool {
        let fits = match self {
            Self::Number { first, edges, bins } => {
                first.first() == Some(&0)
                    && first.is_sorted()
                    && first.last().is_some_and(|last| last < bins)
                    && first.len() == edges.len() + 1
                    && edges.is_sorted()
                    && edges.iter().all(|edge| edge.is_finite())
            }
            Self::Words(words) => *words > 0,
            Self::Places(places, together) => {
                let listed = |shown: &Vec<usize>| shown.iter().all(|place| place < places);
                *places < usize::from(OTHERS) && together.iter().all(listed)
            }
        };
        fits && self.codes() <= usize::from(UNKNOWN)
    }

    /// Whether its outcomes are those of a finding of this kind.
    pub(super) fn is_of(&self, kind: &Kind) -> bool {
        match (self, kind) {
            (Self::Number { bins, .. }, Kind::Number(edges)) => *bins == edges.len() + 1,
            (Self::Words(words), Kind::Words(all)) => *words == all.len(),
            (Self::Places(places, _), Kind::Places(all)) => *places == all.len(),
            _ => false,
        }
    }

    /// The joint list's outcome that a code stands for, or begins with.
    pub(super) fn outcome(&self, code: usize) -> usize {
        match self {
            Self::Number { first, .. } => first.get(code).copied().unwrap_or(0),
            Self::Words(_) => code,
            Self::Places(places, _) => code.min(places + 1),
        }
    }

    /// The code of what a car shows; places that show together for the first time get one.
    pub(super) fn code(&mut self, raw: &Raw) -> u8 {
        match (self, raw) {
            (Self::Number { edges, .. }, Raw::Number(si)) => {
                small(edges.iter().filter(|edge| *si >= **edge).count())
            }
            (Self::Words(_), Raw::Word(place)) => small(*place),
            (Self::Places(places, together), Raw::Places(shown)) => match shown[..] {
                [] => 0,
                [one] => small(1 + one),
                _ => {
                    let known = together.iter().position(|other| other == shown);
                    let place = known.unwrap_or(together.len());
                    let code = small(*places + 1 + place);
                    if known.is_none() && code < OTHERS {
                        together.push(shown.clone());
                    }
                    code
                }
            },
            _ => UNKNOWN,
        }
    }

    /// How well each code fits what was seen, from 0 to 1.
    pub(super) fn fits(&self, seen: &Seen) -> Vec<f64> {
        let mut fits = vec![0.0; 256];
        match (self, seen) {
            (Self::Number { first, .. }, Seen::Weights(weights)) => {
                let ends = first.iter().skip(1).copied().chain([weights.len()]);
                let total: f64 = weights.iter().sum::<f64>().max(f64::MIN_POSITIVE);
                let mut below = 0.0;
                let mut sum = 0.0;
                for (code, end) in ends.enumerate() {
                    let from = first[code].min(weights.len());
                    sum += weights[from..end.clamp(from, weights.len())]
                        .iter()
                        .sum::<f64>();
                    let up_to = total * sharper(sum / total);
                    fits[code] = (up_to - below).max(0.0);
                    below = up_to;
                }
            }
            (Self::Words(words), Seen::Weights(weights)) => {
                for (fit, weight) in fits.iter_mut().zip(weights.iter().take(*words)) {
                    *fit = *weight;
                }
            }
            (Self::Places(count, together), Seen::Places(seen)) if seen.unlisted == 0 => {
                match seen.at[..] {
                    [] => fits[0] = 1.0,
                    [one] => fits[usize::from(small(1 + one))] = 1.0,
                    _ => {
                        // One of several may be astray, and the car shows the rest.
                        for one in 0..*count {
                            fits[usize::from(small(1 + one))] = astray(seen, &[one], *count);
                        }
                        for (place, shown) in together.iter().enumerate() {
                            fits[usize::from(small(count + 1 + place))] =
                                astray(seen, shown, *count);
                        }
                    }
                }
            }
            _ => {}
        }
        fits
    }

    /// Rows by the joint list's outcomes from rows by code.
    pub(super) fn spread(&self, rows: Vec<Vec<f64>>) -> Vec<Vec<f64>> {
        let sets = rows.first().map_or(0, Vec::len);
        let add = |into: &mut Vec<f64>, row: &[f64]| {
            into.iter_mut().zip(row).for_each(|(sum, p)| *sum += p);
        };
        match self {
            Self::Number { first, bins, .. } => {
                let mut out = vec![vec![0.0; sets]; *bins];
                for (row, bin) in rows.iter().zip(first) {
                    add(&mut out[*bin], row);
                }
                out
            }
            Self::Words(_) => rows,
            Self::Places(places, _) => {
                let mut out = vec![vec![0.0; sets]; places + 2];
                for (code, row) in rows.iter().enumerate() {
                    add(&mut out[code.min(places + 1)], row);
                }
                out
            }
        }
    }
}

/// How well a car that shows at some places fits where it was seen: in whole, or with the rest astray.
fn astray(seen: &Sighting, shown: &[usize], places: usize) -> f64 {
    if !shown.iter().all(|place| seen.at.contains(place)) {
        return 0.0;
    }
    let each = STRAY / places.max(1) as f64;
    let rest = (0..seen.at.len()).filter(|n| !shown.contains(&seen.at[*n]));
    rest.map(|n| each * seen.stray(n)).product()
}

/// A reading's own error is in the cars' readings too. Counting it whole once more would blur what they say; half as
/// wide is enough to keep a value near an edge from jumping. In odds, since that needs no inverse of the normal
/// distribution: the logistic one is close to it.
fn sharper(below: f64) -> f64 {
    let (below, above) = (below.clamp(0.0, 1.0), (1.0 - below).clamp(0.0, 1.0));
    below * below / (below * below + above * above)
}

fn small(place: usize) -> u8 {
    u8::try_from(place).unwrap_or(OTHERS).min(OTHERS)
}
