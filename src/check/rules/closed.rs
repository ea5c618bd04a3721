//! Loops that conditions keep closed.
//!
//! A loop of steps ends where something in it is read anew and comes out otherwise. Where every way out
//! hangs on values that nobody takes anew within the loop, the same values lead round and round: two
//! steps that send each other by one reading, a step that is unsure about a number read elsewhere and
//! begins again with itself. The loops are followed outcome by outcome with what is known then
//! ([`Known`]); one in which a reading is taken that decides is left alone.

use std::collections::BTreeSet;

use super::outcomes::axes::within;
use super::outcomes::example::{number, round, unit_in};
use super::outcomes::reason::plausible;
use super::way::known::{Bound, Known};
use super::way::{Arrivals, conditions, follow};
use crate::engine::judge::rests_on;
use crate::flow::choice::{name, unit_of};
use crate::flow::condition::{Check, Condition};
use crate::flow::finding::{Finding, code};
use crate::flow::model::{Flow, Prompt, PromptKind, Step};
use crate::flow::target::Target;
use crate::flow::values::TEST_NUMBER;
use crate::units::Unit;

/// Longer loops are not looked for: nobody writes them by accident.
const LONGEST: usize = 6;
/// Digits of an example.
const DIGITS: usize = 6;
/// Ways that are followed in all before the search is given up.
const MOST: usize = 20_000;

pub fn check(flow: &Flow) -> Vec<Finding> {
    let arrivals = follow(flow, &|_| false);
    let ranges = plausible(flow).into_iter();
    let mut search = Search {
        flow,
        plausible: ranges.fold(Known::default(), |known, (id, (low, high))| {
            known.with(id, Bound::between(low, high))
        }),
        arrivals: &arrivals,
        left: MOST,
        found: Vec::new(),
    };
    for step in &flow.steps {
        search.from(&mut vec![step], &Known::default(), false);
    }
    search
        .found
        .into_iter()
        .map(|found| found.finding(flow))
        .collect()
}

struct Closed<'f> {
    ring: Vec<&'f Step>,
    /// What decides, as it is then, within what can be read.
    known: Known,
}

struct Search<'f, 's> {
    flow: &'f Flow,
    /// What is plausible of readings, and so of worked values: other values nobody meets.
    plausible: Known,
    arrivals: &'s Arrivals,
    left: usize,
    found: Vec<Closed<'f>>,
}

/// One way out of a step, and what must hold for it to be taken.
struct Way<'f> {
    go: &'f Target,
    known: Known,
    /// It hangs on a condition, and does not stand open to every car.
    decided: bool,
}

impl<'f> Search<'f, '_> {
    /// Goes on from the last step of a path that has not closed yet.
    fn from(&mut self, path: &mut Vec<&'f Step>, known: &Known, decided: bool) {
        let Some(step) = path.last().copied() else {
            return;
        };
        for way in ways(self.flow, step)
            .into_iter()
            .chain(unsure_ways(self.flow, step))
        {
            let Some(left) = self.left.checked_sub(1) else {
                return;
            };
            self.left = left;
            let Target::Step(to) = way.go else { continue };
            let Some(known) = known.clone().meet(&way.known) else {
                continue;
            };
            let decided = decided || way.decided;
            if *to == path[0].id {
                self.close(path, &known, decided);
                continue;
            }
            // Each ring is looked for from its first step in the file.
            let behind = |step: &&Step| place(self.flow, &step.id) > place(self.flow, &path[0].id);
            let next = self.flow.step(to).filter(behind);
            let known_already = |next: &&Step| path.iter().any(|step| step.id == next.id);
            if let Some(next) = next.filter(|next| path.len() < LONGEST && !known_already(next)) {
                path.push(next);
                if !retakes(self.flow, path, &known) {
                    self.from(path, &known, decided);
                }
                path.pop();
            }
        }
    }

    fn close(&mut self, path: &[&'f Step], known: &Known, decided: bool) {
        let same = |found: &Closed| {
            let ids = |ring: &[&Step]| ring.iter().map(|s| s.id.clone()).collect::<BTreeSet<_>>();
            ids(&found.ring) == ids(path)
        };
        if !decided || retakes(self.flow, path, known) || self.found.iter().any(same) {
            return;
        }
        // Somebody must come to it with such values, and read them.
        let Some(known) = known.clone().within(&self.plausible) else {
            return;
        };
        let comes = |step: &&Step| {
            let arrivals = self.arrivals.get(&step.id).into_iter().flatten();
            arrivals
                .into_iter()
                .any(|arrival| arrival.known.clone().meet(&known).is_some())
        };
        if path.iter().any(comes) {
            self.found.push(Closed {
                ring: path.to_vec(),
                known,
            });
        }
    }
}

fn place(flow: &Flow, id: &str) -> Option<usize> {
    flow.steps.iter().position(|step| step.id == id)
}

/// Whether a step of the path takes anew what decides in it.
fn retakes(flow: &Flow, path: &[&Step], known: &Known) -> bool {
    let taken = path.iter().flat_map(|step| &step.record);
    let mut taken = taken.filter(|reading| known.iter().any(|(id, _)| rests_on(flow, id, reading)));
    taken.next().is_some()
}

/// The ways out of a step of which a value decides that they and no others are taken.
fn ways<'f>(flow: &'f Flow, step: &'f Step) -> Vec<Way<'f>> {
    let mut ways = Vec::new();
    let all = Known::default();
    if let (Some(valid), Some(detour)) = (&step.valid_when, &step.invalid) {
        let fails = all.clone().where_it(flow, valid, false);
        ways.extend(
            fails
                .filter(|known| known.excludes(flow, valid))
                .map(|known| Way {
                    go: &detour.go,
                    known,
                    decided: true,
                }),
        );
    }
    let mut left = match &step.valid_when {
        Some(valid) => all
            .where_it(flow, valid, true)
            .filter(|known| known.settles(flow, valid)),
        None => Some(all),
    };
    for outcome in &step.outcomes {
        let Some(before) = left else { return ways };
        let taken = before.clone().where_it(flow, &outcome.when, true);
        let firm = |known: &Known| known.settles(flow, &outcome.when);
        ways.extend(taken.filter(firm).map(|known| Way {
            go: &outcome.go,
            known,
            decided: outcome.when != Condition::Always,
        }));
        let passed = before.where_it(flow, &outcome.when, false);
        left = passed.filter(|known| known.excludes(flow, &outcome.when));
    }
    ways
}

/// The ways by `unsure`: of a number that stands at a limit within its error, and of a reading that was
/// left out.
fn unsure_ways<'f>(flow: &'f Flow, step: &'f Step) -> Vec<Way<'f>> {
    let Some(detour) = &step.unsure else {
        return Vec::new();
    };
    let mut ways = Vec::new();
    for outcome in &step.outcomes {
        for (id, bound) in doubtful(flow, &outcome.when) {
            let known = Known::default().where_it(flow, &outcome.when, true);
            let known = known.and_then(|known| alone(flow, step, id, known));
            if !comes_in_doubt(flow, step, id, &bound) {
                continue;
            }
            ways.extend(known.map(|known| Way {
                go: &detour.go,
                known: known.with(id, bound),
                decided: true,
            }));
        }
    }
    ways
}

/// Whether a value that is in doubt comes as far as a step: one before it that judges by the same limit is
/// left by its own `unsure` alone.
fn comes_in_doubt(flow: &Flow, step: &Step, id: &str, bound: &Bound) -> bool {
    let judges = |at: &Step| {
        let mut doubts = at.outcomes.iter().flat_map(|o| doubtful(flow, &o.when));
        doubts.any(|(other, of)| other == id && of == *bound)
    };
    let mut met: BTreeSet<&str> = BTreeSet::new();
    let mut next: Vec<&str> = flow
        .steps
        .first()
        .map(|s| s.id.as_str())
        .into_iter()
        .collect();
    next.extend(flow.retest.iter().map(|retest| retest.from.as_str()));
    while let Some(at) = next.pop().and_then(|id| flow.step(id)) {
        if at.id == step.id {
            return true;
        }
        if !met.insert(&at.id) {
            continue;
        }
        let detours = at.unsure.iter().chain(&at.invalid).map(|d| &d.go);
        let outcomes = at.outcomes.iter().map(|o| &o.go).filter(|_| !judges(at));
        let on = detours.chain(&at.skip_to).chain(outcomes);
        next.extend(on.filter_map(|go| match go {
            Target::Step(id) => Some(id.as_str()),
            _ => None,
        }));
    }
    false
}

/// What must hold for nothing but this value to decide at a step.
fn alone(flow: &Flow, step: &Step, id: &str, known: Known) -> Option<Known> {
    let by_others = |condition: &&Condition| !condition.subjects().contains(&id);
    let valid = step.valid_when.iter().filter(by_others).map(|c| (c, true));
    let others = step.outcomes.iter().map(|outcome| &outcome.when);
    let others = others.filter(by_others).map(|c| (c, false));
    valid
        .chain(others)
        .try_fold(known, |known, (condition, holds)| {
            let known = known.where_it(flow, condition, holds)?;
            let firm = if holds {
                known.settles(flow, condition)
            } else {
                known.excludes(flow, condition)
            };
            firm.then_some(known)
        })
}

/// The values in a condition that may not settle it, each as it is then.
fn doubtful<'c>(flow: &Flow, condition: &'c Condition) -> Vec<(&'c str, Bound)> {
    match condition {
        Condition::Always => Vec::new(),
        Condition::All(parts) | Condition::Any(parts) | Condition::None(parts) => {
            parts.iter().flat_map(|part| doubtful(flow, part)).collect()
        }
        Condition::Test { subject, check } => {
            let left_out = flow.prompt(subject).is_some_and(|prompt| prompt.optional);
            let left_out = left_out.then_some((subject.as_str(), Bound::LeftOut));
            let near = limit(check).filter(|_| has_error(flow, subject));
            let near = near.map(|at| (subject.as_str(), Bound::only(at)));
            left_out.into_iter().chain(near).collect()
        }
    }
}

fn limit(check: &Check) -> Option<f64> {
    match check {
        Check::AtLeast(q)
        | Check::Above(q)
        | Check::AtMost(q)
        | Check::Below(q)
        | Check::Between(q, _) => Some(q.si()),
        Check::Is(_) | Check::AnyOf(_) | Check::NoneOf(_) => None,
    }
}

/// Whether a value is read, or worked from what is read, with an error.
fn has_error(flow: &Flow, id: &str) -> bool {
    let uncertain = |prompt: &&Prompt| match &prompt.kind {
        PromptKind::Quantity(q) => q.error.is_some() || q.gauge.is_some(),
        _ => false,
    };
    let prompts = flow.facts.iter().chain(&flow.readings);
    let mut uncertain = prompts.filter(uncertain);
    uncertain.any(|prompt| rests_on(flow, id, &prompt.id))
}

impl Closed<'_> {
    fn finding(&self, flow: &Flow) -> Finding {
        let names: Vec<&str> = self.ring.iter().map(|step| step.id.as_str()).collect();
        let readings: Vec<&str> = self
            .known
            .iter()
            .map(|(id, _)| id)
            .filter(|id| *id != TEST_NUMBER && flow.fact(id).is_none())
            .collect();
        let with = self.example(flow);
        let message = match names.as_slice() {
            [only] => format!(
                "with {with}, `{only}` leads to itself for ever: nothing in it reads anew what decides"
            ),
            names => format!(
                "with {with}, {} lead to one another for ever: nothing among them reads anew what decides",
                names.join(" and ")
            ),
        };
        let help = match readings.first() {
            Some(id) => format!(
                "let one of these steps read {} again, or let an outcome lead elsewhere then",
                read_for(flow, id)
            ),
            None => "let one of their outcomes lead elsewhere then".to_owned(),
        };
        Finding::error(code::NO_WAY_OUT, self.ring[0].place, message, help)
    }

    fn example(&self, flow: &Flow) -> String {
        let said: Vec<String> = self
            .known
            .iter()
            .filter_map(|(id, bound)| {
                Some(format!(
                    "{} {}",
                    name(flow, id),
                    one_of(flow, &self.ring, id, bound)?
                ))
            })
            .collect();
        if said.is_empty() {
            "these readings".to_owned()
        } else {
            said.join(" and ")
        }
    }
}

/// The reading that decides: itself, or the first that a worked value rests on.
fn read_for(flow: &Flow, id: &str) -> String {
    let mut rests = flow
        .readings
        .iter()
        .filter(|reading| rests_on(flow, id, &reading.id));
    rests
        .next()
        .map_or_else(|| id.to_owned(), |reading| reading.id.clone())
}

/// A value that is within what is known of it, in words.
fn one_of(flow: &Flow, ring: &[&Step], id: &str, bound: &Bound) -> Option<String> {
    match bound {
        Bound::Number(low, high) => {
            let own = flow.prompt(id).and_then(|_| unit_of(flow, id));
            let unit = own
                .or_else(|| unit_said(ring, id))
                .or_else(|| unit_of(flow, id));
            let si = if low.at < high.at {
                within(low.at, high.at, unit)
            } else {
                low.at
            };
            Some(unit.map_or_else(
                || si.to_string(),
                |unit| number(round(si, DIGITS, unit), unit),
            ))
        }
        Bound::Words(words) => words.first().cloned(),
        Bound::Places(shown, _, nothing) => match (shown.first(), nothing) {
            (Some(place), _) => Some(place.clone()),
            (None, Some(true)) => Some("nowhere".to_owned()),
            (None, _) => None,
        },
        Bound::LeftOut => Some("left out".to_owned()),
    }
}

fn unit_said(ring: &[&Step], id: &str) -> Option<Unit> {
    let mut said = ring.iter().flat_map(|step| conditions(step));
    said.find_map(|condition| unit_in(condition, id))
}
