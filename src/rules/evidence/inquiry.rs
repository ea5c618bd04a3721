//! The whole: from flows and what was read to the causes' probabilities and the next step.
//!
//! Two figures for each cause. *Present*: it is there. *Explains*: it is there and big enough for
//! the complaint; repairs and tests are ranked by this one. From words alone the two are the same,
//! unless the flow has measured how much of the complaint the place explains (`share`).

use std::collections::{BTreeMap, BTreeSet};

use super::belief::{Contradiction, marginals};
use super::case::BadCase;
use super::finding::{Finding, Kind, NOWHERE, Row, SEVERAL, normal};
use super::joined::{Joined, Named, join, limits};
use super::likelihood::{Beside, Source, Words};
use super::next::{Candidate, Plan};
use super::sets::Set;
use super::steps::{Reading, Steps, steps};
use super::table::{Bits, Test};
use super::told::{Round, Told, tell};
use crate::flow::answer::Answer;
use crate::flow::model::Flow;
use crate::flow::signature::Shown;
use crate::flow::values::Value;
use crate::units::{Unit, preferred};

/// Outcomes of one step, all its readings together, beyond which a reading is left out of the
/// look-ahead (never out of the evidence).
const OUTCOMES: usize = 48;
/// Bins of a number in the look-ahead.
const COARSE: usize = 3;
/// The share of the complaint from which a leak explains it, where the flow sets no limit.
const ENOUGH: f64 = 0.7;

/// What is asked.
#[derive(Clone, Copy, Debug)]
pub struct Asked<'a, 'f> {
    /// The flows that are walked, in the order in which they were begun.
    pub flows: &'a [&'f Flow],
    /// What was read and repaired, test by test.
    pub rounds: &'a [Round],
    /// How many causes may be present together.
    pub together: usize,
    /// Gear that is not at hand.
    pub not_available: &'a [String],
    /// Odds to use instead of the author's.
    pub odds: &'a BTreeMap<String, f64>,
}

/// Why there is no answer.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NoAnswer {
    /// The flows do not make a case.
    #[error(transparent)]
    Case(#[from] BadCase),
    /// The readings contradict everything.
    #[error(transparent)]
    Contradiction(#[from] Contradiction),
}

/// The answer.
#[derive(Clone, Debug)]
pub struct Inquiry<'f> {
    /// Causes and findings.
    pub joined: Joined<'f>,
    /// What was told, change by change.
    pub told: Told,
    /// The steps that read something.
    pub steps: Steps,
    /// The tests, in the order of [`Steps::readings`].
    pub tests: Vec<Test>,
    /// The probability of each set.
    pub sets: Vec<f64>,
    /// The probability of each set to be what explains the complaint.
    pub explaining: Vec<f64>,
    /// The probability of each cause to be present.
    pub present: Vec<f64>,
    /// The probability of each cause to be there and big enough.
    pub explains: Vec<f64>,
    /// What can be done next, the best first.
    pub candidates: Vec<Candidate>,
}

/// Reckons by words alone.
///
/// # Errors
/// [`NoAnswer`].
pub fn inquire<'f>(asked: &Asked<'_, 'f>) -> Result<Inquiry<'f>, NoAnswer> {
    inquire_with(asked, |_| None)
}

/// Reckons with simulated cars beside the words: `cars` is given the joint list and makes a source
/// for the readings that it knows.
///
/// # Errors
/// [`NoAnswer`].
pub fn inquire_with<'f>(
    asked: &Asked<'_, 'f>,
    cars: impl FnOnce(&Joined) -> Option<Box<dyn Source>>,
) -> Result<Inquiry<'f>, NoAnswer> {
    let joined = join(asked.flows, asked.odds, asked.together)?;
    let inquiry = inquire_joined(joined, asked.rounds, asked.not_available, cars)?;
    Ok(inquiry)
}

/// The same where the joint list is at hand.
///
/// # Errors
/// [`Contradiction`].
pub fn inquire_joined<'f>(
    mut joined: Joined<'f>,
    rounds: &[Round],
    not_available: &[String],
    cars: impl FnOnce(&Joined) -> Option<Box<dyn Source>>,
) -> Result<Inquiry<'f>, Contradiction> {
    if rounds.iter().flat_map(|r| &r.repaired).any(|r| !r.in_vain) {
        joined.case = joined.case.with_cured();
    }
    let cars = cars(&joined);
    let findings: Vec<&Finding> = joined.findings.iter().map(|named| &named.finding).collect();
    let words = Words {
        findings,
        sets: &joined.case.sets,
    };
    let both;
    let source: &dyn Source = match &cars {
        Some(cars) => {
            both = Beside(cars.as_ref(), &words);
            &both
        }
        None => &words,
    };
    let told = tell(&joined, source, rounds)?;
    let nothing = Round::default();
    let round = rounds.last().unwrap_or(&nothing);
    let steps = steps(&joined, &told.pictures, round, not_available);
    let tests = tests(&joined, &steps, &told, source);
    let sets = told.belief().probabilities();
    let explaining = match source.enough(&told.seen) {
        Some(enough) => by_cars(&joined, &sets, &enough),
        None => explaining(&joined, &sets, &enough(&joined, &told, round)),
    };
    let case = &joined.case;
    let mut inquiry = Inquiry {
        present: marginals(case, &sets),
        explains: marginals(case, &explaining),
        sets,
        explaining,
        candidates: Vec::new(),
        joined,
        told,
        steps,
        tests,
    };
    inquiry.candidates = inquiry.plan().candidates(&inquiry.explaining);
    Ok(inquiry)
}

impl Inquiry<'_> {
    /// The plan that the candidates come from.
    pub fn plan(&self) -> Plan<'_> {
        let at = |wanted: fn(&Reading) -> bool| {
            let readings = self.steps.readings.iter().enumerate();
            readings.filter(move |(_, r)| wanted(r)).map(|(n, _)| n)
        };
        Plan {
            case: &self.joined.case,
            tests: &self.tests,
            open: at(|r| !r.done && r.lacks.is_empty()).collect(),
            done: Bits::of(at(|r| r.done)),
            set_ups: &self.steps.set_ups,
            in_place: self.steps.in_place,
            again: true,
        }
    }

    /// Causes by how probable it is that they explain the complaint, the most first.
    pub fn ranking(&self) -> Vec<usize> {
        let mut order: Vec<usize> = (0..self.joined.causes.len()).collect();
        order.sort_by(|a, b| {
            let (a, b) = (*a, *b);
            let explains = self.explains[b].total_cmp(&self.explains[a]);
            explains
                .then(self.present[b].total_cmp(&self.present[a]))
                .then(a.cmp(&b))
        });
        order
    }
}

/// A test for each step that reads something, with its outcomes as coarse as a decision needs.
fn tests(joined: &Joined, steps: &Steps, told: &Told, source: &dyn Source) -> Vec<Test> {
    let sets = joined.case.sets.len();
    steps
        .readings
        .iter()
        .map(|reading| {
            let flow = joined.flows[reading.flow];
            let step = &flow.steps[reading.step];
            let mut test = Test {
                id: step.id.clone(),
                minutes: step.minutes,
                needs: reading.needs,
                after: reading.after,
                outcomes: vec![String::new()],
                chance: vec![vec![1.0; sets]],
            };
            let open = reading.findings.iter().filter(|finding| {
                let named = &joined.findings[**finding];
                told.pictures[named.flow].values.get(&named.id).is_none()
            });
            for finding in open {
                let named = &joined.findings[*finding];
                if let Some(fine) = source.chance(*finding, &told.seen) {
                    let (names, rows) = coarse(flow, named, &fine);
                    if test.outcomes.len() * names.len() <= OUTCOMES {
                        multiply(&mut test, &names, &rows);
                    }
                }
            }
            test
        })
        .collect()
}

/// All outcomes of one reading with all of another, as if independent once the causes are known.
fn multiply(test: &mut Test, names: &[String], rows: &[Vec<f64>]) {
    let mut outcomes = Vec::new();
    let mut chance = Vec::new();
    for (known, before) in test.outcomes.iter().zip(&test.chance) {
        for (name, row) in names.iter().zip(rows) {
            outcomes.push(if known.is_empty() {
                name.clone()
            } else {
                format!("{known}, {name}")
            });
            chance.push(before.iter().zip(row).map(|(a, b)| a * b).collect());
        }
    }
    test.outcomes = outcomes;
    test.chance = chance;
}

/// Names and rows of a finding's outcomes; a number in the bins that the flow's limits make.
fn coarse(flow: &Flow, named: &Named, fine: &[Vec<f64>]) -> (Vec<String>, Vec<Vec<f64>>) {
    match &named.finding.kind {
        Kind::Words(words) => {
            let names = words.iter().map(|word| format!("{} {word}", named.name));
            (names.collect(), fine.to_vec())
        }
        Kind::Places(places) => {
            let middle = places.iter().map(String::as_str);
            let all = std::iter::once(NOWHERE).chain(middle).chain([SEVERAL]);
            let names = all.map(|place| format!("{} {place}", named.name));
            (names.collect(), fine.to_vec())
        }
        Kind::Number(edges) => {
            let kept = kept_edges(&limits(flow, &named.id), edges);
            let mut rows = vec![vec![0.0; fine[0].len()]; kept.len() + 1];
            for (bin, row) in fine.iter().enumerate() {
                // The bin lies above all edges up to its own lower one.
                let group = kept
                    .iter()
                    .filter(|edge| bin > 0 && edges[bin - 1] >= **edge)
                    .count();
                rows[group]
                    .iter_mut()
                    .zip(row)
                    .for_each(|(sum, p)| *sum += p);
            }
            (bin_names(named, &kept), rows)
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

/// For each cause, how far it goes towards the complaint: 0 below the flow's lower limit of the
/// `share` of the complaint that it works out, 1 above the upper one, in between in proportion.
///
/// Before anything is measured, by what the cause is said to show there. The share that was measured
/// speaks of the place that was measured: of every cause that is likely to show where something was
/// seen, or at the place that was covered.
fn enough(joined: &Joined, told: &Told, round: &Round) -> Vec<Option<f64>> {
    let mut enough = vec![None; joined.causes.len()];
    let seen = places_seen(round);
    for named in &joined.findings {
        let (flow, picture) = (joined.flows[named.flow], &told.pictures[named.flow]);
        if flow
            .work(&named.id)
            .is_none_or(|work| work.calculation.name != "share")
        {
            continue;
        }
        let limits = limits(flow, &named.id);
        let from = limits.first().copied().unwrap_or(ENOUGH);
        let to = limits.last().copied().unwrap_or(ENOUGH);
        let measured = match picture.values.get(&named.id) {
            Some(Value::Number(e)) => {
                Some(ramp(e.value, (e.high - e.low) / (2.0 * 1.96), from, to))
            }
            _ => None,
        };
        for (cause, listed) in joined.causes.iter().enumerate() {
            let said = match &named.finding.causes[cause] {
                Some(Row::Normal(middle, deviation)) => Some(ramp(*middle, *deviation, from, to)),
                _ => None,
            };
            let at_the_place = measured.filter(|_| shows_one_of(flow, &listed.id, &seen));
            if let Some(p) = at_the_place.or(said).filter(|p| p.is_finite()) {
                enough[cause] = Some(p);
            }
        }
    }
    enough
}

/// The mean, over a normal distribution, of what rises from 0 at `from` to 1 at `to`.
fn ramp(middle: f64, deviation: f64, from: f64, to: f64) -> f64 {
    const PARTS: usize = 32;
    let above = |x: f64| {
        if deviation > 0.0 {
            normal((middle - x) / deviation)
        } else {
            f64::from(u8::from(middle >= x))
        }
    };
    // The mean is the mean of the probability of lying above, over the rise.
    let at = |part: usize| from + (to - from) * (part as f64 + 0.5) / PARTS as f64;
    (0..PARTS).map(|part| above(at(part))).sum::<f64>() / PARTS as f64
}

/// Where something showed, by reading. Words of other readings ("yes", "steady") name no place.
fn places_seen(round: &Round) -> BTreeSet<(&str, &str)> {
    let mut seen = BTreeSet::new();
    for (reading, answer) in &round.answers {
        if let Answer::Places(places) = answer {
            seen.extend(
                places
                    .keys()
                    .map(|place| (reading.as_str(), place.as_str())),
            );
        }
    }
    seen
}

/// Whether something showed where a cause shows more often than not.
fn shows_one_of(flow: &Flow, cause: &str, seen: &BTreeSet<(&str, &str)>) -> bool {
    let shows = flow.cause(cause).into_iter().flat_map(|cause| &cause.shows);
    shows
        .filter(|s| flow.reading(&s.id).is_some())
        .any(|s| match &s.what {
            Shown::Words(said) => said.iter().any(|(word, p)| {
                *p >= 0.5 && word != NOWHERE && seen.contains(&(s.id.as_str(), word.as_str()))
            }),
            Shown::Range(..) => false,
        })
}

/// The sets that explain the complaint. A member that is too small for it is there, but is not why
/// the car came: its weight goes to the set without it; where nothing is left, to the sets without
/// it in proportion to what is believed of them.
fn explaining(joined: &Joined, sets: &[f64], enough: &[Option<f64>]) -> Vec<f64> {
    let case = &joined.case;
    let mut masses = sets.to_vec();
    for (cause, enough) in enough.iter().enumerate() {
        let Some(enough) = enough else { continue };
        let mut after = masses.clone();
        let mut alone = 0.0;
        for (n, set) in case
            .sets
            .iter()
            .enumerate()
            .filter(|(_, set)| set.has(cause))
        {
            let small = (1.0 - enough) * masses[n];
            after[n] -= small;
            match case.place(set.without(cause)).filter(|_| set.len() > 1) {
                Some(rest) => after[rest] += small,
                None => alone += small,
            }
        }
        let without = |set: &Set| !set.has(cause) && !set.is_empty();
        let others: f64 = masses_of(&case.sets, &masses, &without);
        if others > 0.0 {
            for (n, _) in case.sets.iter().enumerate().filter(|(_, set)| without(set)) {
                after[n] += alone * masses[n] / others;
            }
        } else {
            after.clone_from(&masses);
        }
        masses = after;
    }
    masses
}

/// The sets that explain the complaint, by cars that know which of their causes make it. Where none of a
/// set's causes is big enough, its weight goes to the sets that have none of them.
fn by_cars(joined: &Joined, sets: &[f64], enough: &[Vec<(Set, f64)>]) -> Vec<f64> {
    let case = &joined.case;
    let mut masses = vec![0.0; sets.len()];
    let mut small: Vec<(usize, f64)> = Vec::new();
    for (n, set) in case.sets.iter().enumerate() {
        let parts = &enough[n];
        if set.is_empty() || parts.is_empty() {
            masses[n] += sets[n];
        }
        for (part, share) in parts.iter().filter(|_| !set.is_empty()) {
            match case.place(*part).filter(|_| !part.is_empty()) {
                Some(to) => masses[to] += share * sets[n],
                None => small.push((n, share * sets[n])),
            }
        }
    }
    let large = masses.clone();
    for (n, mass) in small {
        let own = case.sets[n];
        let without = |set: &Set| !set.is_empty() && own.members().all(|cause| !set.has(cause));
        let others = masses_of(&case.sets, &large, &without);
        if others > 0.0 {
            for (m, _) in case.sets.iter().enumerate().filter(|(_, set)| without(set)) {
                masses[m] += mass * large[m] / others;
            }
        } else {
            masses[n] += mass;
        }
    }
    masses
}

fn masses_of(sets: &[Set], masses: &[f64], wanted: &dyn Fn(&Set) -> bool) -> f64 {
    sets.iter()
        .zip(masses)
        .filter(|(set, _)| wanted(set))
        .map(|(_, m)| m)
        .sum()
}
