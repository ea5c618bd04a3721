//! How far values are from making a condition hold, so that a search knows whether it gets nearer.

use ruleout::flow::condition::{Check, Condition, Truth};
use ruleout::flow::values::{Value, Values};

/// How far a condition is from holding (`want`) or from not holding, over whole intervals.
pub fn short(condition: &Condition, want: bool, values: &Values) -> f64 {
    let each = |parts: &[Condition], want: bool| -> Vec<f64> {
        parts.iter().map(|p| short(p, want, values)).collect()
    };
    let least = |losses: Vec<f64>| losses.into_iter().fold(f64::INFINITY, f64::min);
    match condition {
        Condition::Always => f64::from(u8::from(!want)),
        Condition::All(parts) if want => sum(&each(parts, true)),
        Condition::All(parts) => least(each(parts, false)),
        Condition::Any(parts) if want => least(each(parts, true)),
        Condition::Any(parts) => sum(&each(parts, false)),
        Condition::None(parts) if want => sum(&each(parts, false)),
        Condition::None(parts) => least(each(parts, true)),
        Condition::Test { subject, check } => match values.get(subject) {
            Some(Value::Number(e)) => distance(check, want, e.low, e.high),
            Some(Value::NotApplicable) => f64::from(u8::from(want)),
            Some(value @ (Value::Word(_) | Value::Places(_))) => {
                let holds = check.truth(value) == Truth::Yes;
                f64::from(u8::from(holds != want))
            }
            _ => 3.0,
        },
    }
}

/// How far an interval is from lying wholly inside what a check asks, or wholly outside.
fn distance(check: &Check, want: bool, low: f64, high: f64) -> f64 {
    let scale = |limit: f64| limit.abs().max(high.abs().min(low.abs())).max(1e-9);
    let above = |limit: f64, counts: bool| {
        if low > limit || (counts && low >= limit) {
            0.0
        } else {
            ((limit - low) / scale(limit)).clamp(1e-6, 2.0)
        }
    };
    let below = |limit: f64, counts: bool| {
        if high < limit || (counts && high <= limit) {
            0.0
        } else {
            ((high - limit) / scale(limit)).clamp(1e-6, 2.0)
        }
    };
    match (check, want) {
        (Check::AtLeast(l), true) | (Check::Below(l), false) => above(l.si(), true),
        (Check::Above(l), true) | (Check::AtMost(l), false) => above(l.si(), false),
        (Check::AtMost(l), true) | (Check::Above(l), false) => below(l.si(), true),
        (Check::Below(l), true) | (Check::AtLeast(l), false) => below(l.si(), false),
        (Check::Between(a, b), true) => above(a.si(), true) + below(b.si(), true),
        (Check::Between(a, b), false) => below(a.si(), false).min(above(b.si(), false)),
        _ => 3.0,
    }
}

/// Adds every limit that a condition sets for an id.
pub fn limits_of(condition: &Condition, id: &str, found: &mut Vec<f64>) {
    match condition {
        Condition::All(parts) | Condition::Any(parts) | Condition::None(parts) => {
            for part in parts {
                limits_of(part, id, found);
            }
        }
        Condition::Test { subject, check } if subject == id => match check {
            Check::AtLeast(l) | Check::Above(l) | Check::AtMost(l) | Check::Below(l) => {
                found.push(l.si());
            }
            Check::Between(a, b) => {
                found.extend([a.si(), b.si(), f64::midpoint(a.si(), b.si())]);
            }
            _ => {}
        },
        Condition::Always | Condition::Test { .. } => {}
    }
}

fn sum(losses: &[f64]) -> f64 {
    losses.iter().sum()
}
