//! Why an outcome's own condition can never hold, where that can be told from the ranges alone.
//!
//! The plausible ranges of readings and facts, and what follows from them for worked values, are
//! narrowed by the checks that must all hold. The check that leaves nothing is the reason. Checks
//! within `any` and `none` are not looked at, so that no reason is found for those.

use std::collections::BTreeMap;

use super::bounds::{Kept, Span, Told, add_worked};
use super::example::{number, round};
use crate::flow::choice::name;
use crate::flow::condition::{Check, Condition};
use crate::flow::model::{Flow, Outcome, PromptKind, Step};
use crate::units::Quantity;

/// Digits of the ends of a range, which are shown and not worked with.
const DIGITS: usize = 4;

/// Why a condition never holds, and what to do.
pub struct Reason {
    /// In words.
    pub words: String,
    /// The value whose whole plausible range lies beside the limit.
    pub beside: Option<String>,
    /// What to write instead.
    pub help: &'static str,
}

/// Which part of the outcome's condition can never hold, if ranges alone show it.
pub fn reason(flow: &Flow, step: &Step, outcome: &Outcome) -> Option<Reason> {
    let whole = plausible(flow);
    let mut left = whole.clone();
    for (subject, check) in step.valid_when.iter().flat_map(together) {
        if let Some(span) = left.get_mut(subject) {
            *span = narrowed(*span, check).unwrap_or(*span);
        }
    }
    let valid = left.clone();
    for (subject, check) in together(&outcome.when) {
        let Some(span) = left.get(subject).copied() else {
            continue;
        };
        match narrowed(span, check) {
            Some(narrow) => {
                left.insert(subject, narrow);
            }
            None => return said(flow, subject, check, &whole, &valid),
        }
    }
    None
}

fn said(
    flow: &Flow,
    subject: &str,
    check: &Check,
    whole: &BTreeMap<&str, Span>,
    valid: &BTreeMap<&str, Span>,
) -> Option<Reason> {
    let (wanted, _) = worded(check)?;
    let name = name(flow, subject);
    let range = |span: Span| {
        worded_range(check, span)
            .map(|(_, range)| range)
            .unwrap_or_default()
    };
    let (whole, valid) = (*whole.get(subject)?, *valid.get(subject)?);
    Some(if narrowed(whole, check).is_none() {
        Reason {
            words: format!(
                "{name} is never {wanted}, since readings that are plausible give {}",
                range(whole)
            ),
            beside: Some(subject.to_owned()),
            help: "mend the limit, or the plausible ranges of what is read",
        }
    } else if narrowed(valid, check).is_none() {
        Reason {
            words: format!(
                "{name} is never {wanted}, since `valid when` lets only {} pass",
                range(valid)
            ),
            beside: None,
            help: "mend the limit, or `valid when` of this step",
        }
    } else {
        Reason {
            words: format!("its own checks on {name} leave nothing that is {wanted} too"),
            beside: None,
            help: "look at its checks: they exclude one another; for either of them, write any: [...]",
        }
    })
}

/// A check on a number in words, and one of its limits.
fn worded(check: &Check) -> Option<(String, &Quantity)> {
    Some(match check {
        Check::AtLeast(q) => (format!("{q} or more"), q),
        Check::Above(q) => (format!("above {q}"), q),
        Check::AtMost(q) => (format!("{q} or less"), q),
        Check::Below(q) => (format!("below {q}"), q),
        Check::Between(from, to) => (format!("between {from} and {to}"), from),
        Check::Is(_) | Check::AnyOf(_) | Check::NoneOf(_) => return None,
    })
}

/// The part of a range in which a check holds; nothing where there is none. An end that does not
/// count itself is kept, so that a range is never called empty which is not.
fn narrowed((low, high): Span, check: &Check) -> Option<Span> {
    let (from, to) = match check {
        Check::Above(q) if high <= q.si() => return None,
        Check::Below(q) if low >= q.si() => return None,
        Check::AtLeast(q) | Check::Above(q) => (q.si(), high),
        Check::AtMost(q) | Check::Below(q) => (low, q.si()),
        Check::Between(from, to) => (from.si(), to.si()),
        Check::Is(_) | Check::AnyOf(_) | Check::NoneOf(_) => return Some((low, high)),
    };
    let (from, to) = (low.max(from), high.min(to));
    (from <= to).then_some((from, to))
}

/// Ranges by id.
pub(in crate::check::rules) type Spans<'f> = BTreeMap<&'f str, Span>;

/// The check of a condition that leaves nothing of these ranges, with its subject and what was left of that
/// before it; nothing where something is left of all.
pub(in crate::check::rules) fn nothing_left<'c>(
    condition: &'c Condition,
    spans: &Spans,
) -> Option<(&'c str, &'c Check, Span)> {
    let mut left = spans.clone();
    for (subject, check) in together(condition) {
        let Some(span) = left.get_mut(subject) else {
            continue;
        };
        match narrowed(*span, check) {
            Some(narrow) => *span = narrow,
            // Two checks that exclude one another are found as the flow is loaded.
            None => return Some((subject, check, *spans.get(subject)?)),
        }
    }
    None
}

/// What a check wants and what a range gives, both in words and in the unit of the check.
pub(in crate::check::rules) fn worded_range(
    check: &Check,
    (low, high): Span,
) -> Option<(String, String)> {
    let (wanted, limit) = worded(check)?;
    let end = |si: f64| number(round(si, DIGITS, limit.unit()), limit.unit());
    Some((wanted, format!("{} to {}", end(low), end(high))))
}

/// The ranges that make sense, of readings and facts as they are declared, of worked values as far
/// as they follow.
pub(in crate::check::rules) fn plausible(flow: &Flow) -> Spans<'_> {
    let prompts = flow.facts.iter().chain(&flow.readings);
    let mut spans: BTreeMap<String, Span> = prompts
        .filter_map(|prompt| match &prompt.kind {
            PromptKind::Quantity(q) => {
                let (low, high) = q.plausible?;
                Some((prompt.id.clone(), (low.si(), high.si())))
            }
            _ => None,
        })
        .collect();
    add_worked(flow, &Told::default(), &mut spans, &mut Kept::default());
    let prompts = flow.facts.iter().chain(&flow.readings);
    let ids = prompts
        .map(|prompt| prompt.id.as_str())
        .chain(flow.worked.iter().map(|work| work.id.as_str()));
    ids.filter_map(|id| Some((id, *spans.get(id)?))).collect()
}

/// The checks that must all hold.
fn together(condition: &Condition) -> Vec<(&str, &Check)> {
    match condition {
        Condition::All(parts) => parts.iter().flat_map(together).collect(),
        Condition::Test { subject, check } => vec![(subject, check)],
        Condition::Any(_) | Condition::None(_) | Condition::Always => Vec::new(),
    }
}
