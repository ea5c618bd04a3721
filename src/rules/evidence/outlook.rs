//! What the steps that are still open may show: the tests of the look-ahead, with outcomes as coarse as a decision
//! needs.
//!
//! The readings of one step come from one car. Where simulated cars know them they are taken together, as those cars
//! show them; for words they are independent once the causes are known.

use super::finding::{Kind, NOWHERE, SEVERAL};
use super::joined::{Joined, Named, limits};
use super::likelihood::{Grouped, Source};
use super::sets::Set;
use super::steps::{Reading, Steps};
use super::table::Test;
use super::told::Told;
use crate::flow::model::Flow;
use crate::units::{Unit, preferred};

/// Outcomes of one step, all its readings together, beyond which a reading is left out of the
/// look-ahead (never out of the evidence).
const OUTCOMES: usize = 48;
/// Bins of a number in the look-ahead.
const COARSE: usize = 3;

/// What a test's outcomes are made of.
struct Outlook<'a> {
    joined: &'a Joined<'a>,
    told: &'a Told,
    /// The probability of each set.
    sets: &'a [f64],
    source: &'a dyn Source,
}

/// A test for each step that reads something; `sets` is the probability of each set.
pub(super) fn tests(
    joined: &Joined,
    steps: &Steps,
    told: &Told,
    sets: &[f64],
    source: &dyn Source,
) -> Vec<Test> {
    let outlook = Outlook {
        joined,
        told,
        sets,
        source,
    };
    let readings = steps.readings.iter();
    readings.map(|reading| outlook.test(reading)).collect()
}

impl Outlook<'_> {
    fn test(&self, reading: &Reading) -> Test {
        let step = &self.joined.flows[reading.flow].steps[reading.step];
        let mut test = Test {
            id: step.id.clone(),
            minutes: step.minutes,
            needs: reading.needs,
            after: reading.after,
            outcomes: vec![String::new()],
            chance: vec![vec![1.0; self.sets.len()]],
        };
        let open = reading.findings.iter().copied().filter(|finding| {
            let named = &self.joined.findings[*finding];
            let values = &self.told.pictures[named.flow].values;
            values.get(&named.id).is_none()
        });
        let (by_cars, by_words): (Vec<usize>, Vec<usize>) =
            open.partition(|finding| self.source.hangs_together(*finding));
        self.of_one_car(&by_cars, &mut test);
        for finding in by_words {
            let (names, grouped) = self.grouped(finding);
            let fits = test.outcomes.len() * names.len() <= OUTCOMES;
            if let Some(fine) = self.source.chance(finding, &self.told.now).filter(|_| fits) {
                multiply(&mut test, &names, &put_together(&grouped, &fine));
            }
        }
        test
    }

    /// Readings that cars know, taken together.
    fn of_one_car(&self, findings: &[usize], test: &mut Test) {
        let mut names = vec![String::new()];
        let mut all: Vec<Grouped> = Vec::new();
        for finding in findings {
            let (own, grouped) = self.grouped(*finding);
            if names.len() * own.len() <= OUTCOMES {
                names = both(&names, &own);
                all.push(grouped);
            }
        }
        if all.is_empty() {
            return;
        }
        let now = &self.told.now;
        let Some(mut rows) = self.source.at_once(&all, false, now) else {
            return;
        };
        self.nothing_big_enough(&all, &mut rows);
        test.outcomes = names;
        test.chance = rows;
    }

    /// A car on which nothing big enough is left is not as a sound one, as far as something small may be left on it.
    fn nothing_big_enough(&self, findings: &[Grouped], rows: &mut [Vec<f64>]) {
        let case = &self.joined.case;
        let Some(cured) = case.place(Set::EMPTY) else {
            return;
        };
        let small = |n: usize| {
            let none = self.told.parts[n]
                .iter()
                .filter(|(part, _)| part.is_empty());
            self.sets[n] * none.map(|(_, p)| p).sum::<f64>()
        };
        let small: Vec<(usize, f64)> = (0..self.sets.len())
            .map(|n| (n, if n == cured { self.sets[n] } else { small(n) }))
            .filter(|(_, mass)| *mass > 0.0)
            .collect();
        let total: f64 = small.iter().map(|(_, mass)| mass).sum();
        if total <= 0.0 || small.iter().all(|(n, _)| *n == cured) {
            return;
        }
        let Some(quiet) = self.source.at_once(findings, true, &self.told.now) else {
            return;
        };
        for (row, quiet) in rows.iter_mut().zip(quiet) {
            row[cured] = small.iter().map(|(n, mass)| mass / total * quiet[*n]).sum();
        }
    }

    /// The names of a finding's outcomes, and how they are put together: a number into the bins that the flow's
    /// limits make.
    fn grouped(&self, finding: usize) -> (Vec<String>, Grouped) {
        let named = &self.joined.findings[finding];
        let (names, group) = coarse(self.joined.flows[named.flow], named);
        let grouped = Grouped {
            finding,
            group,
            groups: names.len(),
        };
        (names, grouped)
    }
}

/// Rows of groups from rows of outcomes.
fn put_together(grouped: &Grouped, fine: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let mut rows = vec![vec![0.0; fine.first().map_or(0, Vec::len)]; grouped.groups];
    for (row, group) in fine.iter().zip(&grouped.group) {
        let into = &mut rows[*group];
        into.iter_mut().zip(row).for_each(|(sum, p)| *sum += p);
    }
    rows
}

/// All outcomes of one reading with all of another, as if independent once the causes are known.
fn multiply(test: &mut Test, names: &[String], rows: &[Vec<f64>]) {
    let mut chance = Vec::new();
    for before in &test.chance {
        for row in rows {
            chance.push(before.iter().zip(row).map(|(a, b)| a * b).collect());
        }
    }
    test.outcomes = both(&test.outcomes, names);
    test.chance = chance;
}

fn both(before: &[String], names: &[String]) -> Vec<String> {
    let with = |known: &String, name: &String| match known.as_str() {
        "" => name.clone(),
        known => format!("{known}, {name}"),
    };
    let all = before.iter();
    all.flat_map(|known| names.iter().map(|name| with(known, name)))
        .collect()
}

/// Names of a finding's outcomes, and for each fine one which it belongs to.
fn coarse(flow: &Flow, named: &Named) -> (Vec<String>, Vec<usize>) {
    match &named.finding.kind {
        Kind::Words(words) => {
            let names = words.iter().map(|word| format!("{} {word}", named.name));
            (names.collect(), (0..words.len()).collect())
        }
        Kind::Places(places) => {
            let middle = places.iter().map(String::as_str);
            let all = std::iter::once(NOWHERE).chain(middle).chain([SEVERAL]);
            let names = all.map(|place| format!("{} {place}", named.name));
            (names.collect(), (0..places.len() + 2).collect())
        }
        Kind::Number(edges) => {
            let kept = kept_edges(&limits(flow, &named.id), edges);
            // A bin lies above all edges up to its own lower one.
            let group = |bin: usize| {
                let below = |edge: &&f64| bin > 0 && edges[bin - 1] >= **edge;
                kept.iter().filter(below).count()
            };
            let groups = (0..=edges.len()).map(group).collect();
            (bin_names(named, &kept), groups)
        }
    }
}

/// Up to a few of the edges: the author's limits, else the thirds.
pub(super) fn kept_edges(limits: &[f64], edges: &[f64]) -> Vec<f64> {
    let mut kept: Vec<f64> = edges
        .iter()
        .copied()
        .filter(|e| limits.contains(e))
        .collect();
    if kept.is_empty() {
        let n = edges.len();
        kept = [n / 3, 2 * n / 3]
            .iter()
            .filter_map(|at| edges.get(*at).copied())
            .collect();
        kept.dedup();
    }
    kept.truncate(COARSE);
    kept
}

fn bin_names(named: &Named, edges: &[f64]) -> Vec<String> {
    let show = |si: f64| match named.unit {
        Some(unit) => rounded(unit, si),
        None => format!("{si:.3}"),
    };
    let Some((first, last)) = edges.first().zip(edges.last()) else {
        return vec![named.name.clone()];
    };
    let mut names = vec![format!("{} below {}", named.name, show(*first))];
    for pair in edges.windows(2) {
        names.push(format!(
            "{} {} to {}",
            named.name,
            show(pair[0]),
            show(pair[1])
        ));
    }
    names.push(format!("{} {} or more", named.name, show(*last)));
    names
}

fn rounded(unit: Unit, si: f64) -> String {
    let text = preferred::shown_unit(unit).show(si);
    // Limits are round numbers: "10 %", not "10.0 %".
    match text.split_once(' ') {
        Some((number, name)) if number.contains('.') => {
            let number = number.trim_end_matches('0').trim_end_matches('.');
            let number = if number == "-0" { "0" } else { number };
            format!("{number} {name}")
        }
        _ => text,
    }
}
