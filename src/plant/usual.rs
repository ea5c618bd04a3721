//! What a careful technician enters where neither physics nor a signature says anything: what makes the step's
//! readings count.

use crate::flow::condition::{Check, Condition, Truth};
use crate::flow::model::{PromptKind, QuantityPrompt, Step};
use crate::flow::values::Value;

use super::dice::Dice;
use super::plan::together;

/// The checks that a reading must pass for the step's readings to count.
pub(crate) fn checks<'s>(step: Option<&'s Step>, id: &str) -> Vec<&'s Check> {
    let Some(condition) = step.and_then(|step| step.valid_when.as_ref()) else {
        return Vec::new();
    };
    let mut all = Vec::new();
    together(condition, &mut all);
    // With alternatives it is enough that the one that this reading decides holds.
    if let Condition::Any(parts) = condition {
        for part in parts {
            together(part, &mut all);
        }
    }
    all.into_iter()
        .filter(|(subject, _)| *subject == id)
        .map(|(_, check)| check)
        .collect()
}

/// The first of the choices with which the readings count: authors list the usual one first.
pub(super) fn choice(words: &[String], step: Option<&Step>, id: &str) -> Option<String> {
    let checks = checks(step, id);
    let counts = |word: &&String| {
        checks
            .iter()
            .all(|check| check.truth(&Value::Word((*word).clone())) != Truth::No)
    };
    words.iter().find(counts).or(words.first()).cloned()
}

/// A number from the middle third of what is plausible and counts, SI.
pub(super) fn number(
    asked: &QuantityPrompt,
    step: Option<&Step>,
    id: &str,
    dice: &mut Dice,
) -> f64 {
    let (low, high) = counting(asked, step, id);
    let third = (high - low) / 3.0;
    dice.between(low + third, high - third)
}

/// From where to where a number is plausible and counts at a step, SI.
pub(super) fn counting(asked: &QuantityPrompt, step: Option<&Step>, id: &str) -> (f64, f64) {
    let (mut low, mut high) = asked
        .plausible
        .map_or((0.0, asked.unit.to_si(1.0)), |(a, b)| (a.si(), b.si()));
    for check in checks(step, id) {
        match check {
            Check::AtLeast(limit) | Check::Above(limit) => low = low.max(limit.si()),
            Check::AtMost(limit) | Check::Below(limit) => high = high.min(limit.si()),
            Check::Between(from, to) => {
                low = low.max(from.si());
                high = high.min(to.si());
            }
            Check::Is(_) | Check::AnyOf(_) | Check::NoneOf(_) => {}
        }
    }
    (low, high)
}

/// Whether this kind is answered here at all; pairs and words need physics, or somebody who writes.
pub(super) fn answers(kind: &PromptKind) -> bool {
    matches!(kind, PromptKind::Quantity(_) | PromptKind::Choice(_))
}
