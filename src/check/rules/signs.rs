//! What a cause shows, held against what a condition asks for.

use super::as_said::known;
use super::way::known::Known;
use crate::engine::judge::rests_on;
use crate::flow::condition::{Check, Condition};
use crate::flow::model::{Cause, Flow};
use crate::flow::signature::{Shown, Shows};

/// What speaks for a cause and against it beyond doubt: all but certain, and never.
pub const SURELY: (f64, f64) = (0.95, 1e-9);

/// What a sound car shows of a value, where a cause says nothing of it, of what it is worked from or of what is
/// worked from it.
pub fn shown_as_sound<'f>(flow: &'f Flow, cause: &Cause, id: &str) -> Option<&'f Shows> {
    let speaks = |shows: &Shows| rests_on(flow, &shows.id, id) || rests_on(flow, id, &shows.id);
    if cause.shows.iter().any(speaks) {
        return None;
    }
    flow.healthy.iter().find(|shows| shows.id == id)
}

/// What a car with a cause shows of a value: what the cause says of it, or else what a sound car shows.
pub fn shown_or_sound<'f>(flow: &'f Flow, cause: &'f Cause, id: &str) -> Option<&'f Shows> {
    let own = cause.shows.iter().find(|shows| shows.id == id);
    own.or_else(|| shown_as_sound(flow, cause, id))
}

/// How far what is shown comes to a check, 0 to 1: of words their odds, of numbers all, nothing or one half.
pub fn share(flow: &Flow, shows: &Shows, check: &Check) -> f64 {
    if let (Shown::Words(words), Check::NoneOf(listed)) = (&shows.what, check) {
        let those = words.iter().filter(|(word, _)| listed.contains(word));
        return 1.0 - those.map(|(_, odds)| odds).sum::<f64>().min(1.0);
    }
    match odds(shows, check) {
        Some(odds) => odds.min(1.0),
        None => match speaks(flow, shows, check, SURELY) {
            Some(true) => 1.0,
            Some(false) => 0.0,
            None => 0.5,
        },
    }
}

/// Whether what is shown speaks for a check, or against it; nothing where it does neither.
pub fn speaks(flow: &Flow, shows: &Shows, check: &Check, limits: (f64, f64)) -> Option<bool> {
    match check {
        Check::Is(_) | Check::AnyOf(_) => by_odds(odds(shows, check)?, limits),
        Check::NoneOf(_) => None,
        Check::AtLeast(_)
        | Check::Above(_)
        | Check::AtMost(_)
        | Check::Below(_)
        | Check::Between(..) => {
            let test = Condition::Test {
                subject: shows.id.clone(),
                check: check.clone(),
            };
            let known: Known = known(flow, std::slice::from_ref(shows));
            let (holds, fails) = (known.settles(flow, &test), known.excludes(flow, &test));
            (holds || fails).then_some(holds)
        }
    }
}

/// The odds of the words that a check asks for.
fn odds(shows: &Shows, check: &Check) -> Option<f64> {
    let (Shown::Words(words), Check::Is(_) | Check::AnyOf(_)) = (&shows.what, check) else {
        return None;
    };
    let asked = |word: &String| match check {
        Check::Is(asked) => asked == word,
        Check::AnyOf(listed) => listed.contains(word),
        _ => false,
    };
    let those = words.iter().filter(|(word, _)| asked(word));
    Some(those.map(|(_, odds)| odds).sum())
}

fn by_odds(odds: f64, (least, most): (f64, f64)) -> Option<bool> {
    (odds >= least || odds < most).then_some(odds >= least)
}

/// The checks that must all hold.
pub fn together(condition: &Condition) -> Vec<(&str, &Check)> {
    match condition {
        Condition::All(parts) => parts.iter().flat_map(together).collect(),
        Condition::Test { subject, check } => vec![(subject, check)],
        Condition::Any(_) | Condition::None(_) | Condition::Always => Vec::new(),
    }
}
