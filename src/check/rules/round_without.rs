//! Who could not take a reading does not come round to it again and again.
//!
//! A reading that may be left out, and was, leaves the step that hangs on it to its `unsure`. Where that leads
//! back, and the same readings lead from there to the step once more, the walk goes round: whoever could not
//! take it cannot take it the second time either. An `unsure` that leads back to its own step is the matter of
//! [`super::unsure`], and a ring in which nobody takes the reading that of [`super::closed`].

use super::outcomes::reason::plausible;
use super::some_ways::Missed;
use super::way::known::{Bound, Known};
use super::way::{Arrivals, conditions, follow};
use crate::engine::judge::rests_on;
use crate::flow::condition::Condition;
use crate::flow::finding::{Finding, Severity, code};
use crate::flow::model::{Detour, Flow, Step};
use crate::flow::target::Target;

/// Longer ways round are not looked for, as in [`super::closed`].
const LONGEST: usize = 6;

pub fn check(flow: &Flow) -> Vec<Finding> {
    let optional = || flow.readings.iter().filter(|reading| reading.optional);
    if optional().next().is_none() {
        return Vec::new();
    }
    let missed: Vec<Missed> = optional()
        .map(|reading| Missed::of(flow, reading))
        .collect();
    let rounds = Rounds {
        flow,
        arrivals: follow(flow, &|_| false),
        plausible: plausible(flow)
            .into_iter()
            .fold(Known::default(), |known, (id, (low, high))| {
                known.with(id, Bound::between(low, high))
            }),
    };
    let of_step = |step| {
        let mut by_each = missed.iter();
        by_each.find_map(|missed| rounds.finding(step, missed))
    };
    flow.steps.iter().filter_map(of_step).collect()
}

struct Rounds<'f> {
    flow: &'f Flow,
    arrivals: Arrivals,
    plausible: Known,
}

impl<'f> Rounds<'f> {
    fn finding(&self, step: &'f Step, missed: &Missed) -> Option<Finding> {
        let unsure = step.unsure.as_ref()?;
        let Target::Step(back) = &unsure.go else {
            return None;
        };
        // One that leads on has something else tried first.
        let from = self.flow.step(back);
        let from = from.filter(|from| from.place.start < step.place.start)?;
        let mut without = self.without(step, missed).into_iter();
        let (ring, known) = without.find_map(|known| {
            let mut path = vec![from];
            let known = self.leads(&mut path, step, &known)?;
            Some((path, known))
        })?;
        ring.iter()
            .any(|at| at.record.contains(&missed.reading.id))
            .then(|| self.said(step, missed, unsure, &ring, &known))
    }

    /// What is known where a step is left by `unsure` for want of the reading, and somebody comes to it so.
    fn without(&self, step: &Step, missed: &Missed) -> Vec<Known> {
        let arrives = |known: &Known| {
            let mut arrivals = self.arrivals.get(&step.id).into_iter().flatten();
            arrivals.any(|arrival| {
                let here = arrival.known.clone().without(self.flow, &step.record);
                here.meet(known).is_some()
            })
        };
        let hanging = step.outcomes.iter().map(|outcome| &outcome.when);
        let hanging = hanging.filter(|when| missed.hits(when));
        let known = hanging.filter_map(|when| {
            let known = Known::default().where_it(self.flow, when, true)?;
            let left_out = when.subjects().into_iter().filter(|id| missed.lacks(id));
            let known = left_out.fold(known, |known, id| known.with(id, Bound::LeftOut));
            self.nothing_else(step, missed, known)?
                .within(&self.plausible)
        });
        known.filter(arrives).collect()
    }

    /// The same where nothing else decides at the step.
    fn nothing_else(&self, step: &Step, missed: &Missed, known: Known) -> Option<Known> {
        let by_others = |(condition, _): &(&Condition, bool)| !missed.hits(condition);
        let valid = step.valid_when.iter().map(|valid| (valid, true));
        let whens = step.outcomes.iter().map(|outcome| (&outcome.when, false));
        let mut others = valid.chain(whens).filter(by_others);
        others.try_fold(known, |known, (condition, holds)| {
            let known = known.where_it(self.flow, condition, holds)?;
            let firm = if holds {
                known.settles(self.flow, condition)
            } else {
                known.excludes(self.flow, condition)
            };
            firm.then_some(known)
        })
    }

    /// Goes on from the last step of a path to one, by ways that the same readings leave no choice of.
    fn leads(&self, path: &mut Vec<&'f Step>, to: &'f Step, known: &Known) -> Option<Known> {
        let at = path.last().copied()?;
        for (n, outcome) in at.outcomes.iter().enumerate() {
            let Target::Step(next) = &outcome.go else {
                continue;
            };
            let taken = self.where_taken(at, n, known.clone());
            let (Some(known), Some(next)) = (taken, self.flow.step(next)) else {
                continue;
            };
            if next.id == to.id {
                path.push(next);
                return Some(known);
            }
            if path.len() < LONGEST && path.iter().all(|met| met.id != next.id) {
                path.push(next);
                if let Some(known) = self.leads(path, to, &known) {
                    return Some(known);
                }
                path.pop();
            }
        }
        None
    }

    /// What is known where an outcome is sure to be taken.
    fn where_taken(&self, step: &Step, n: usize, known: Known) -> Option<Known> {
        let outcome = step.outcomes.get(n)?;
        let valid = step.valid_when.iter().map(|valid| (valid, true));
        let before = step.outcomes[..n].iter().map(|other| (&other.when, false));
        let mut all = valid.chain([(&outcome.when, true)]).chain(before);
        let narrowed = all.try_fold(known, |known, (condition, holds)| {
            known.where_it(self.flow, condition, holds)
        })?;
        let before = &step.outcomes[..n];
        let firm = narrowed.settles(self.flow, &outcome.when)
            && step
                .valid_when
                .iter()
                .all(|valid| narrowed.settles(self.flow, valid))
            && before
                .iter()
                .all(|other| narrowed.excludes(self.flow, &other.when));
        narrowed.within(&self.plausible).filter(|_| firm)
    }

    fn said(
        &self,
        step: &Step,
        missed: &Missed,
        unsure: &Detour,
        ring: &[&Step],
        known: &Known,
    ) -> Finding {
        let (id, at) = (&missed.reading.id, &step.id);
        let judged = ring.iter().flat_map(|step| conditions(step));
        let judged: Vec<&str> = judged.flat_map(Condition::subjects).collect();
        let mut others = known.iter().map(|(id, _)| id);
        let may_turn = others.any(|id| {
            let mut taken = ring.iter().flat_map(|step| &step.record);
            !missed.lacks(id)
                && judged.contains(&id)
                && taken.any(|taken| rests_on(self.flow, id, taken))
        });
        let finding = Finding::error(
            code::NO_WAY_OUT,
            unsure.place,
            format!(
                "where `{id}` is left out, `unsure` leads back to `{}`, and the same readings lead from there to `{at}`, \
                 which hangs on it, again",
                ring[0].id
            ),
            format!(
                "let `unsure` lead to a step that does without `{id}`; or take `optional` out of `{id}`"
            ),
        );
        // What else is read anew on the way may come out otherwise.
        let severity = if may_turn {
            Severity::Warning
        } else {
            finding.severity
        };
        Finding {
            severity,
            ..finding
        }
    }
}
