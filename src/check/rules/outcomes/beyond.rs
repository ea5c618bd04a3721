//! Limits that lie beyond all that is plausible, so that what is held against them always comes out one way.
//!
//! With 480 kPa for 48 kPa, an outcome takes everything or nothing, and those beside it are called never taken. It is
//! the limit that is at fault.

use std::collections::BTreeMap;

use super::bounds::Span;
use super::reason::{plausible, worded_range};
use crate::flow::choice::name;
use crate::flow::condition::{Check, Condition};
use crate::flow::finding::{Finding, Severity, code};
use crate::flow::model::{Flow, Outcome, Step};
use crate::flow::node::{Node, Place, Tree};

/// A check whose limit lies beyond what is plausible.
pub(in crate::check::rules) struct Beyond<'f> {
    /// The outcome in which it stands.
    pub(in crate::check::rules) outcome: &'f Outcome,
    /// What it is held against.
    pub(in crate::check::rules) subject: &'f str,
    check: &'f Check,
    span: Span,
    /// It holds whatever is read; or nothing that is read meets it.
    pub(in crate::check::rules) always: bool,
}

/// Such checks, by the step in whose outcomes they stand.
pub(in crate::check::rules) fn of(flow: &Flow) -> Vec<(&Step, Vec<Beyond<'_>>)> {
    let spans: BTreeMap<&str, Span> = plausible(flow);
    let of_outcome = |outcome| tests(outcome, &spans);
    let steps = flow.steps.iter();
    let each = steps.map(|step| (step, step.outcomes.iter().flat_map(of_outcome).collect()));
    each.filter(|(_, limits): &(_, Vec<Beyond>)| !limits.is_empty())
        .collect()
}

fn tests<'f>(outcome: &'f Outcome, spans: &BTreeMap<&str, Span>) -> Vec<Beyond<'f>> {
    let found = every(&outcome.when).into_iter();
    let found = found.filter_map(|(subject, check)| {
        let span = *spans.get(subject)?;
        Some(Beyond {
            outcome,
            subject,
            check,
            span,
            always: always(check, span)?,
        })
    });
    found.collect()
}

/// Whether a check on what lies in this span always holds, or never; nothing where its limit lies within.
fn always(check: &Check, (low, high): Span) -> Option<bool> {
    let upwards = matches!(check, Check::AtLeast(_) | Check::Above(_));
    let limit = limit(check)?;
    if limit > high {
        Some(!upwards)
    } else if limit < low {
        Some(upwards)
    } else {
        None
    }
}

/// The one limit of a check, SI.
fn limit(check: &Check) -> Option<f64> {
    match check {
        Check::AtLeast(q) | Check::Above(q) | Check::AtMost(q) | Check::Below(q) => Some(q.si()),
        Check::Between(..) | Check::Is(_) | Check::AnyOf(_) | Check::NoneOf(_) => None,
    }
}

fn every(condition: &Condition) -> Vec<(&str, &Check)> {
    match condition {
        Condition::Always => Vec::new(),
        Condition::All(parts) | Condition::Any(parts) | Condition::None(parts) => {
            parts.iter().flat_map(every).collect()
        }
        Condition::Test { subject, check } => vec![(subject, check)],
    }
}

impl Beyond<'_> {
    /// Whether it lies beyond by more than the whole of what is plausible: a slip in a digit or a unit.
    pub(in crate::check::rules) fn is_far(&self) -> bool {
        let (low, high) = self.span;
        let Some(limit) = limit(self.check) else {
            return false;
        };
        limit - high > high - low || low - limit > high - low
    }

    /// Whether a finding says of its outcome that it is never taken for this very limit.
    pub(in crate::check::rules) fn is_named_in(&self, finding: &Finding) -> bool {
        let wanted = worded_range(self.check, self.span).map(|(wanted, _)| wanted);
        let is_named = wanted.is_some_and(|wanted| finding.message.contains(&wanted));
        !self.always && is_named && finding.place == self.outcome.place
    }

    /// Where it stands.
    pub(in crate::check::rules) fn place(&self, tree: &Node) -> Place {
        let outcome = at(tree, self.outcome.place);
        let limit = outcome.and_then(|outcome| within(outcome, self.subject, word(self.check)));
        limit.map_or(self.outcome.place, |limit| limit.place)
    }

    /// What is said of one that always holds.
    pub(in crate::check::rules) fn finding(
        &self,
        flow: &Flow,
        tree: &Node,
        severity: Severity,
    ) -> Finding {
        let (wanted, range) = worded_range(self.check, self.span).unwrap_or_default();
        let (id, name) = (&self.outcome.id, name(flow, self.subject));
        Finding {
            severity,
            code: code::IDLE_LIMIT,
            place: self.place(tree),
            message: format!(
                "`{id}` asks for {name} {wanted}, and readings that are plausible give {range}: that is always so"
            ),
            help: format!(
                "mend the limit, which stands within {range}; or the plausible ranges of what is read"
            ),
        }
    }
}

/// The mapping that begins at a place.
fn at(node: &Node, place: Place) -> Option<&Node> {
    if node.place == place && matches!(node.tree, Tree::Map(_)) {
        return Some(node);
    }
    match &node.tree {
        Tree::Empty | Tree::Text(_) => None,
        Tree::List(items) => items.iter().find_map(|item| at(item, place)),
        Tree::Map(pairs) => pairs.iter().find_map(|(_, value)| at(value, place)),
    }
}

/// The value of a check on a subject, anywhere within a condition.
fn within<'n>(node: &'n Node, subject: &str, check: &str) -> Option<&'n Node> {
    match &node.tree {
        Tree::Empty | Tree::Text(_) => None,
        Tree::List(items) => items.iter().find_map(|item| within(item, subject, check)),
        Tree::Map(pairs) => pairs.iter().find_map(|(key, value)| {
            let own = (key.text() == Some(subject)).then(|| value.below(check));
            own.flatten().or_else(|| within(value, subject, check))
        }),
    }
}

/// How a check is written.
fn word(check: &Check) -> &'static str {
    match check {
        Check::AtLeast(_) => "at least",
        Check::Above(_) => "above",
        Check::AtMost(_) => "at most",
        Check::Below(_) => "below",
        Check::Between(..) => "between",
        Check::Is(_) => "is",
        Check::AnyOf(_) => "any of",
        Check::NoneOf(_) => "none of",
    }
}
