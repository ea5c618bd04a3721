//! What several readings of one car show together.

use super::columns::{Columns, mixed};
use super::likelihood::Grouped;
use super::outcomes::UNKNOWN;

impl Columns {
    /// The joint probability of the groups of outcomes of some findings, those of the last one counting up first, for
    /// cars of one set that are weighed like this. As far as few cars are left it is mixed with the findings taken as
    /// independent, and so is what is noted astray.
    pub(super) fn at_once(&self, findings: &[Grouped], set: usize, weights: &[f64]) -> Vec<f64> {
        let by_code: Vec<Vec<usize>> = findings.iter().map(|f| self.group_of_codes(f)).collect();
        let alone: Vec<Vec<f64>> = findings
            .iter()
            .zip(&by_code)
            .map(|(grouped, by_code)| {
                let mut row = vec![0.0; grouped.groups];
                let chances = self.chances(grouped.finding, set, weights);
                for (code, p) in chances.iter().enumerate() {
                    row[by_code[code]] += p;
                }
                row
            })
            .collect();
        let independent = alone.iter().fold(vec![1.0], |all: Vec<f64>, row| {
            all.iter()
                .flat_map(|p| row.iter().map(move |q| p * q))
                .collect()
        });
        let mut joint = vec![0.0; independent.len()];
        let (mut total, mut square) = (0.0, 0.0);
        let codes: Vec<&[u8]> = findings
            .iter()
            .map(|grouped| self.codes_of(grouped.finding, set))
            .collect();
        'cars: for (car, weight) in weights.iter().enumerate() {
            let mut place = 0;
            for ((grouped, by_code), codes) in findings.iter().zip(&by_code).zip(&codes) {
                let code = codes[car];
                if code == UNKNOWN {
                    continue 'cars;
                }
                place = place * grouped.groups + by_code[usize::from(code)];
            }
            joint[place] += weight;
            total += weight;
            square += weight * weight;
        }
        let astray = 1.0
            - findings
                .iter()
                .map(|f| 1.0 - self.astray(f.finding))
                .product::<f64>();
        let mixed = joint.iter().zip(&independent).map(|(sum, alone)| {
            (1.0 - astray) * mixed(*sum, total, square, *alone) + astray * alone
        });
        mixed.collect()
    }

    /// For each code of a finding the group of its outcome.
    fn group_of_codes(&self, grouped: &Grouped) -> Vec<usize> {
        let Some(shape) = self.shape(grouped.finding) else {
            return Vec::new();
        };
        let of = |code| grouped.group.get(shape.outcome(code)).copied().unwrap_or(0);
        (0..shape.codes()).map(of).collect()
    }
}
