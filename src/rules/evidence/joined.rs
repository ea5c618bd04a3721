//! From flows to a case: one list of causes for the whole job, and what each reading says of them.
//!
//! Causes that several flows share carry one id and are one cause; so are readings that are asked
//! in the same words, and values worked out in the same way. There is always `not-listed`: it looks
//! like a sound car, but for the complaint's own numbers, which can be anything that a cause can
//! make of them.

use std::collections::{BTreeMap, BTreeSet};

use super::belief::Belief;
use super::case::{BadCase, Case, Suspect};
use super::cost::order;
use super::finding::{Finding, Kind, Row, row, spread};
use super::kinds::kind;
pub use super::kinds::limits;
use super::sets::Set;
use crate::flow::choice::{name, unit_of};
use crate::flow::load::causes::NOT_LISTED;
use crate::flow::model::{Arg, Flow, Phase};
use crate::flow::signature::{Shown, Shows};
use crate::flow::target::Target;
use crate::units::Unit;

/// The probability that a repair takes.
pub const TAKES: f64 = 0.98;
/// Odds of a cause that is not listed, and minutes of handing on, where no flow says.
const UNLISTED: (f64, f64) = (0.10, 60.0);
/// How much a cause that is not listed makes the complaint's numbers look like those of the listed
/// ones; for the rest they are healthy (an assumption of ours).
const LIKE_THE_COMPLAINT: f64 = 0.5;
/// Minutes of a retest that no flow describes.
const RETEST: f64 = 15.0;

/// A cause of the joint list.
#[derive(Clone, Debug, PartialEq)]
pub struct Listed {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// What its repair is; empty for the one that is not listed.
    pub repair: String,
    /// Which of the flows lists it first.
    pub flow: usize,
    /// The author's odds.
    pub author: f64,
}

/// A reading or worked value that says something about the causes.
#[derive(Clone, Debug)]
pub struct Named {
    /// Its id.
    pub id: String,
    /// Which of the flows asks for it first.
    pub flow: usize,
    /// Its name in words.
    pub name: String,
    /// The unit that it is shown in.
    pub unit: Option<Unit>,
    /// Readings and facts that it rests on.
    pub leaves: BTreeSet<String>,
    /// What it says.
    pub finding: Finding,
}

/// Everything that the reasoning needs of some flows.
#[derive(Clone, Debug)]
pub struct Joined<'f> {
    /// The flows.
    pub flows: Vec<&'f Flow>,
    /// The causes, in the order of the case's suspects.
    pub causes: Vec<Listed>,
    /// The case.
    pub case: Case,
    /// What can be read.
    pub findings: Vec<Named>,
}

/// Joins flows, with other odds than the author's for some causes.
///
/// # Errors
/// [`BadCase`] for flows without causes, or with too many.
pub fn join<'f>(
    flows: &[&'f Flow],
    odds: &BTreeMap<String, f64>,
    together: usize,
) -> Result<Joined<'f>, BadCase> {
    let mut causes: Vec<Listed> = Vec::new();
    let mut suspects: Vec<Suspect> = Vec::new();
    let mut unlisted: Option<(f64, f64)> = None;
    for (n, flow) in flows.iter().enumerate() {
        let verification = retest_minutes(flow);
        for cause in &flow.causes {
            if cause.id == NOT_LISTED {
                // What one flow does not list, another may: the longer list leaves less out.
                let least = unlisted.map_or(cause.odds, |(odds, _)| odds.min(cause.odds));
                unlisted = Some((least, cause.minutes));
            } else if !causes.iter().any(|known| known.id == cause.id) {
                causes.push(Listed {
                    id: cause.id.clone(),
                    name: cause.name.clone(),
                    repair: cause.repair.clone(),
                    flow: n,
                    author: cause.odds,
                });
                suspects.push(suspect(&cause.id, cause.odds, cause.minutes, verification));
            }
        }
    }
    if suspects.is_empty() {
        return Err(BadCase::NoCauses);
    }
    let (share, hand_on) = unlisted.unwrap_or(UNLISTED);
    causes.push(Listed {
        id: NOT_LISTED.to_owned(),
        name: "Another cause, not listed".to_owned(),
        repair: String::new(),
        flow: 0,
        author: share,
    });
    suspects.push(Suspect {
        repairable: false,
        ..suspect(NOT_LISTED, share, 0.0, 0.0)
    });
    for suspect in &mut suspects {
        if let Some(learned) = odds.get(&suspect.id) {
            suspect.odds = learned.clamp(1e-4, 1.0 - 1e-4);
        }
    }
    let mut case = Case::new(suspects, Some(hand_on), together)?;
    case.left_over = without_a_test(&case);
    case.come_back = hand_on;
    let findings = findings(flows, &causes, &case);
    Ok(Joined {
        flows: flows.to_vec(),
        causes,
        case,
        findings,
    })
}

/// Whoever is handed a car with one of the listed causes is as badly off as with no test at all, and has its repair
/// to do; and the car comes back, so that the handing on costs as much again: assumptions of ours, so that handing on
/// is no cheap way out. For each set, the repairs that are walked until the last of its members is done.
fn without_a_test(case: &Case) -> Vec<f64> {
    let prior = Belief::prior(case).probabilities();
    let listed: Vec<f64> = case
        .sets
        .iter()
        .zip(&prior)
        .map(|(set, p)| if case.repairable(*set) { *p } else { 0.0 })
        .collect();
    let mut spent = 0.0;
    let mut by_then = vec![0.0; case.suspects.len()];
    for cause in order(case, &listed) {
        spent += case.suspects[cause].minutes();
        by_then[cause] = spent;
    }
    let last = |set: &Set| {
        set.members()
            .map(|cause| by_then[cause])
            .fold(0.0, f64::max)
    };
    case.sets.iter().map(last).collect()
}

fn suspect(id: &str, odds: f64, repair: f64, verification: f64) -> Suspect {
    Suspect {
        id: id.to_owned(),
        odds,
        repair,
        verification,
        success: TAKES,
        repairable: true,
    }
}

fn findings(flows: &[&Flow], causes: &[Listed], case: &Case) -> Vec<Named> {
    let mut found: Vec<Named> = Vec::new();
    for (n, flow) in flows.iter().enumerate() {
        let mut ids: Vec<&str> = Vec::new();
        for shows in flow
            .causes
            .iter()
            .flat_map(|cause| &cause.shows)
            .chain(&flow.healthy)
        {
            if !ids.contains(&shows.id.as_str()) {
                ids.push(&shows.id);
            }
        }
        for id in ids {
            let known = found
                .iter()
                .any(|f| f.id == id && same(flows[f.flow], flow, id));
            if !known && let Some(named) = named(flows, n, id, causes, case) {
                found.push(named);
            }
        }
    }
    found.retain(|named| named.finding.tells());
    found
}

/// Whether two flows mean the same by an id.
fn same(one: &Flow, other: &Flow, id: &str) -> bool {
    match (one.prompt(id), other.prompt(id)) {
        (Some(a), Some(b)) => format!("{:?}", a.kind) == format!("{:?}", b.kind),
        (None, None) => {
            let of = |flow: &Flow| {
                let work = flow.work(id)?;
                Some((work.calculation.name, work.take, work.inputs.clone()))
            };
            of(one) == of(other)
        }
        _ => false,
    }
}

fn named(flows: &[&Flow], n: usize, id: &str, causes: &[Listed], case: &Case) -> Option<Named> {
    let flow = flows[n];
    let alike = || flows.iter().filter(|other| same(flow, other, id));
    let of = |list: &[Shows]| list.iter().find(|s| s.id == id).map(|s| s.what.clone());
    let healthy = alike().find_map(|other| of(&other.healthy));
    let shown: Vec<Option<Shown>> = causes
        .iter()
        .map(|cause| alike().find_map(|other| of(&other.cause(&cause.id)?.shows)))
        .collect();
    let kind = kind(flow, id, healthy.as_ref(), &shown)?;
    let mut finding = Finding {
        healthy: healthy.as_ref().and_then(|s| row(s, &kind, true)),
        causes: shown
            .iter()
            .map(|s| s.as_ref().and_then(|s| row(s, &kind, false)))
            .collect(),
        kind,
    };
    let leaves = leaves(flow, id);
    if finding.tells() && is_complaint(flow, &leaves) {
        like_the_complaint(&mut finding, causes, case);
    }
    let name = match flow.work(id) {
        Some(_) => name(flow, id),
        None => flow
            .prompt(id)
            .map_or_else(|| name(flow, id), |p| p.id.replace('-', " ")),
    };
    Some(Named {
        id: id.to_owned(),
        flow: n,
        name,
        unit: unit_of(flow, id),
        leaves,
        finding,
    })
}

/// What a cause that is not listed makes of the complaint's own numbers.
fn like_the_complaint(finding: &mut Finding, causes: &[Listed], case: &Case) {
    let Some(unlisted) = causes.iter().position(|cause| cause.id == NOT_LISTED) else {
        return;
    };
    let outcomes = match &finding.kind {
        Kind::Places(places) => places.len() + 1,
        _ => finding.outcomes(),
    };
    let share = |row: Option<&Row>| -> Vec<f64> {
        match (row, &finding.kind) {
            (Some(Row::Share(shares)), _) => shares.clone(),
            (Some(row), Kind::Number(edges)) => spread(edges, row),
            _ => vec![1.0 / outcomes as f64; outcomes],
        }
    };
    let mut row: Vec<f64> = match &finding.kind {
        // A push to nothing, since what a sound car shows comes on top.
        Kind::Words(_) => unit(outcomes, 0),
        Kind::Places(_) => unit(outcomes, outcomes - 1),
        Kind::Number(_) => share(finding.healthy.as_ref()),
    };
    let of = |cause: usize| finding.causes[cause].as_ref().map(|row| (cause, row));
    let listed: Vec<(usize, &Row)> = (0..causes.len()).filter_map(of).collect();
    let total: f64 = listed
        .iter()
        .map(|(cause, _)| case.suspects[*cause].odds)
        .sum();
    for p in &mut row {
        *p *= 1.0 - LIKE_THE_COMPLAINT;
    }
    for (cause, said) in listed {
        let weight = LIKE_THE_COMPLAINT * case.suspects[cause].odds / total;
        for (p, q) in row.iter_mut().zip(share(Some(said))) {
            *p += weight * q;
        }
    }
    finding.causes[unlisted] = Some(Row::Share(row));
}

fn unit(n: usize, place: usize) -> Vec<f64> {
    (0..n).map(|m| f64::from(u8::from(m == place))).collect()
}

/// Whether a finding is made of the complaint's own numbers alone: read before anything is taken
/// apart.
fn is_complaint(flow: &Flow, leaves: &BTreeSet<String>) -> bool {
    let mut phases = flow
        .steps
        .iter()
        .filter(|step| step.record.iter().any(|id| leaves.contains(id)))
        .map(|step| step.phase)
        .peekable();
    phases.peek().is_some() && phases.all(|phase| phase == Phase::Symptom)
}

/// The readings and facts that an id rests on.
pub fn leaves(flow: &Flow, id: &str) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    let mut open = vec![id.to_owned()];
    // Worked values never need each other in a circle (the loader sees to it), so this ends.
    while let Some(id) = open.pop() {
        match flow.work(&id) {
            Some(work) => work
                .inputs
                .iter()
                .for_each(|(_, arg)| of_arg(arg, &mut open)),
            None => {
                found.insert(id);
            }
        }
    }
    found
}

fn of_arg(arg: &Arg, open: &mut Vec<String>) {
    match arg {
        Arg::Constant(_) | Arg::Word(_) => {}
        Arg::Of(id) | Arg::PairsOf(id) => open.push(id.clone()),
        Arg::List(items) => items.iter().for_each(|item| of_arg(item, open)),
        Arg::Rows(rows) => {
            for item in rows.iter().flatten().flatten() {
                of_arg(item, open);
            }
        }
    }
}

/// Minutes of a retest: the shortest way from its first step to an end that proves the repair.
pub fn retest_minutes(flow: &Flow) -> f64 {
    let Some(retest) = &flow.retest else {
        return RETEST;
    };
    let minutes = |n: usize| {
        let step = &flow.steps[n];
        step.minutes + step.set_up.as_ref().map_or(0.0, |s| s.minutes)
    };
    let place = |id: &str| flow.steps.iter().position(|s| s.id == id);
    let mut least = vec![f64::INFINITY; flow.steps.len()];
    let Some(first) = place(&retest.from) else {
        return RETEST;
    };
    least[first] = minutes(first);
    let mut best = f64::INFINITY;
    // Bellman and Ford: as many rounds as there are steps are enough.
    for _ in 0..flow.steps.len() {
        for n in 0..flow.steps.len() {
            for outcome in &flow.steps[n].outcomes {
                match &outcome.go {
                    Target::Done if outcome.proved => best = best.min(least[n]),
                    Target::Step(id) => {
                        if let Some(to) = place(id) {
                            least[to] = least[to].min(least[n] + minutes(to));
                        }
                    }
                    _ => {}
                }
            }
        }
    }
    if best.is_finite() { best } else { RETEST }
}
