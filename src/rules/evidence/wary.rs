//! What to be wary of in an answer.

use super::cost::entropy;
use super::inquiry::Inquiry;
use super::next::Step;
use super::told::Change;
use crate::flow::load::causes::NOT_LISTED;
use crate::flow::values::Value;
use crate::physics::calculations::CANNOT_TELL;

/// Warned of from here on: the unlisted cause, a reading that was not expected, sets in question.
const WARN: (f64, f64, f64) = (0.30, 0.02, 8.0);

/// Warned of where a set of this probability rests on fewer simulated cars than this (assumptions of ours).
const THIN: (f64, f64) = (0.10, 20.0);

/// From this probability on something is rather there than not.
const RATHER: f64 = 0.5;

/// The probability that any of the listed causes is there.
fn listed(inquiry: &Inquiry, unlisted: Option<usize>) -> f64 {
    let sets = inquiry.joined.case.sets.iter().zip(&inquiry.sets);
    sets.filter(|(set, _)| set.members().any(|cause| Some(cause) != unlisted))
        .map(|(_, probability)| probability)
        .sum()
}

/// What to be wary of.
pub fn warnings(inquiry: &Inquiry) -> Vec<String> {
    let mut out = Vec::new();
    let unlisted = inquiry
        .joined
        .causes
        .iter()
        .position(|c| c.id == NOT_LISTED);
    let share = unlisted.map_or(0.0, |n| inquiry.explains[n]);
    if share > WARN.0 {
        let why = match listed(inquiry, unlisted) {
            there if there >= RATHER => format!(
                "something listed is there ({:.0} %), and may be too small for the complaint; ",
                100.0 * there
            ),
            _ => String::new(),
        };
        out.push(format!(
            "the cause may well be none of those listed ({:.0} %): {why}think of other systems too",
            100.0 * share
        ));
    }
    let now = inquiry.told.changes.last().map(|change| change.test);
    let changes = inquiry.told.changes.iter();
    for change in changes.filter(|change| Some(change.test) == now) {
        // A verdict that cannot tell stands near its limit: to read it again tells no more.
        let undecided = inquiry.told.pictures.iter().any(|picture| {
            matches!(picture.values.get(&change.id), Some(Value::Word(word)) if word == CANNOT_TELL)
        });
        if is_strange(change) && !undecided {
            out.push(format!(
                "{} was hardly to be expected: read it again",
                change.words
            ));
        }
    }
    if let Some(conflict) = conflict(inquiry) {
        out.push(conflict);
    }
    out.extend(thin(inquiry));
    let sets = entropy(&inquiry.sets).exp2();
    let repairing = inquiry
        .candidates
        .first()
        .is_some_and(|c| matches!(c.step, Step::Repair(_)));
    if sets > WARN.2 && repairing {
        out.push(format!(
            "about {sets:.0} combinations of causes are still in question, and no test that is left tells them apart cheaply"
        ));
    }
    out
}

/// How many times less likely than by itself a reading must be, beside what was read before it, to be called strange: an
/// assumption of ours.
const STRANGER: f64 = 4.0;

/// Whether a reading was hardly to be expected. What has many answers (two places of ten, each wisp or heavy) gives little
/// to any of them; so it must also be less likely than it is by itself.
fn is_strange(change: &Change) -> bool {
    change
        .chance
        .is_some_and(|p| p < WARN.1 && change.alone.is_none_or(|alone| p < alone / STRANGER))
}

/// The likeliest set of causes of which hardly any simulated car shows what was read.
fn thin(inquiry: &Inquiry) -> Option<String> {
    let is_thin = |n: &usize| inquiry.sets[*n] >= THIN.0 && inquiry.effective[*n] < THIN.1;
    let thin = (0..inquiry.effective.len()).filter(is_thin);
    let n = thin.max_by(|a, b| inquiry.sets[*a].total_cmp(&inquiry.sets[*b]))?;
    let set = inquiry.joined.case.sets[n];
    let names = set
        .members()
        .map(|c| inquiry.joined.causes[c].name.as_str());
    let names: Vec<&str> = names.collect();
    let with = if names.is_empty() {
        "without any cause".to_owned()
    } else {
        format!("with {}", names.join(" and "))
    };
    let left = inquiry.effective[n];
    Some(format!(
        "only about {left:.0} simulated cars {with} show what was read: its figures are rough"
    ))
}

/// From so far on readings of a test are said to contradict one another: together twenty times less
/// likely than each by itself (an assumption of ours; a little less is common on sound readings).
const CONFLICT: f64 = 20.0;

/// Readings of the present test that contradict one another: each by itself is far likelier than all
/// of them together. The one that fits the others least is named.
fn conflict(inquiry: &Inquiry) -> Option<String> {
    let changes = &inquiry.told.changes;
    let now = changes.last()?.test;
    let mut sum = 0.0;
    let mut worst: Option<(f64, &str)> = None;
    for change in changes.iter().filter(|change| change.test == now) {
        let (Some(together), Some(alone)) = (change.chance, change.alone) else {
            continue;
        };
        let by = alone.ln() - together.ln();
        sum += by;
        if worst.is_none_or(|(most, _)| by > most) {
            worst = Some((by, &change.words));
        }
    }
    let (_, words) = worst.filter(|_| sum > CONFLICT.ln())?;
    Some(format!(
        "the readings do not go well together; {words} fits the others least: read it again"
    ))
}
