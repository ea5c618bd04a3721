//! A sound car comes to an end of the test that is no repair, and one with any of the causes to an end.
//!
//! A loop that reads anew what decides in it ends when that comes out otherwise. On a sound car it does
//! not: where by all that `healthy` says every way leads back, the technician goes round for ever. The
//! same is asked of each cause by what it shows itself. Whoever may come to an end by a reading of which
//! nothing is said, by `unsure` near a limit or by a skip, is left alone. Where words are likely and not certain, the
//! same is asked of cars that show just these.

use std::collections::BTreeSet;

use super::as_said::{Open, known, likeliest, walk};
use super::outcomes::cars;
use super::signatures::shows_what_is_healthy;
use super::signs::shown_as_sound;
use super::way::known::{Bound, Known};
use crate::flow::condition::Condition;
use crate::flow::finding::{Finding, code};
use crate::flow::model::{Cause, Flow, Step};
use crate::flow::place::Place;
use crate::flow::signature::Shows;
use crate::flow::target::Target;
use crate::flow::values::{TEST_NUMBER, Value, Values};

pub fn check(flow: &Flow) -> Vec<Finding> {
    let Some(first) = flow.steps.first() else {
        return Vec::new();
    };
    let first_test = |known: Known| known.with(TEST_NUMBER, Bound::only(1.0));
    // Steps that nobody at all can leave are a finding of their own.
    if round(flow, &first.id, &Known::default()).is_some() {
        return Vec::new();
    }
    let mut found: Vec<Finding> = sound_car(flow, first, first_test).into_iter().collect();
    for cause in flow.causes.iter().filter(|cause| !cause.shows.is_empty()) {
        let car = first_test(known(flow, &cause.shows));
        let back = round(flow, &first.id, &car);
        let news = |back: &Back| found.iter().all(|known| known.place != back.place);
        found.extend(
            back.filter(news)
                .map(|back| with_cause(cause, &back, "shows")),
        );
    }
    found.extend(likely(flow, first, first_test, &found));
    found
}

/// The same of cars that show what is likely, where it is not certain: most of them go round.
fn likely(
    flow: &Flow,
    first: &Step,
    first_test: fn(Known) -> Known,
    found: &[Finding],
) -> Vec<Finding> {
    let mut more: Vec<Finding> = Vec::new();
    let is_news = |more: &[Finding], back: &Back| {
        let mut known = found.iter().chain(more);
        known.all(|known| known.place != back.place)
    };
    if !flow.healthy.is_empty() {
        let car = first_test(likeliest(flow, &flow.healthy));
        let back = round(flow, &first.id, &car).filter(|back| is_news(&more, back));
        more.extend(back.map(|back| likely_sound(&back)));
    }
    for cause in &flow.causes {
        // What physics gives, nobody can say here.
        if cause.shows.is_empty() || !cause.effects.is_empty() {
            continue;
        }
        let sound = flow.healthy.iter();
        let silent = sound.filter(|sound| shown_as_sound(flow, cause, &sound.id).is_some());
        let shows: Vec<Shows> = silent.chain(&cause.shows).cloned().collect();
        let back = round(flow, &first.id, &first_test(likeliest(flow, &shows)));
        let back = back.filter(|back| is_news(&more, back));
        more.extend(back.map(|back| with_cause(cause, &back, "most likely shows")));
    }
    more
}

fn likely_sound(back: &Back) -> Finding {
    let to = &back.to;
    Finding::warning(
        code::GOES_ROUND,
        back.place,
        format!(
            "a sound car that shows what is likely by `healthy` is led back to `{to}` for ever, and never to an end"
        ),
        "let the outcome that fits it lead on, such as `go: done`; or mend what `healthy` says",
    )
}

/// A sound car: any, one of some kind, or one that was made sound and is tested again.
fn sound_car(flow: &Flow, first: &Step, first_test: fn(Known) -> Known) -> Option<Finding> {
    if flow.healthy.is_empty() {
        return None;
    }
    let sound = known(flow, &flow.healthy);
    if let Some(back) = round(flow, &first.id, &first_test(sound.clone())) {
        return Some(no_end("a sound car", "", &back));
    }
    if let Some(place) = only_repaired(flow, &first.id, &first_test(sound.clone())) {
        return Some(repaired(place));
    }
    for kind in kinds(flow) {
        let car = kind
            .iter()
            .fold(sound.clone(), |known, (id, word)| known.with_word(id, word));
        if let Some(back) = round(flow, &first.id, &first_test(car)) {
            let said: Vec<String> = kind
                .iter()
                .map(|(id, word)| format!("{id} {word}"))
                .collect();
            return Some(no_end(
                "a sound car",
                &format!(" with {}", said.join(" and ")),
                &back,
            ));
        }
    }
    let retest = flow.retest.as_ref()?;
    let back = round(flow, &retest.from, &sound.with_test_from(2.0))?;
    Some(no_end("a car that is sound after its repair", "", &back))
}

/// Every kind of car by the facts that its steps are judged by.
fn kinds(flow: &Flow) -> Vec<Vec<(String, String)>> {
    let outcomes = flow.steps.iter().flat_map(|step| &step.outcomes);
    let judged: BTreeSet<&str> = outcomes
        .flat_map(|o| Condition::subjects(&o.when))
        .collect();
    let mut all: Vec<Vec<(String, String)>> = Vec::new();
    for kind in cars::kinds(flow) {
        // A fact that is not asked of every car may be none.
        let counts = |id: &str| {
            judged.contains(id)
                && flow
                    .fact(id)
                    .is_some_and(|fact| fact.only_if.is_none() && !fact.optional)
        };
        let words = words_of(&kind);
        let kind: Vec<_> = words.into_iter().filter(|(id, _)| counts(id)).collect();
        if !kind.is_empty() && !all.contains(&kind) {
            all.push(kind);
        }
    }
    all
}

fn words_of(kind: &Values) -> Vec<(String, String)> {
    let word = |(id, value): (&str, &Value)| match value {
        Value::Word(word) => Some((id.to_owned(), word.clone())),
        _ => None,
    };
    kind.iter().filter_map(word).collect()
}

/// The way that leads a car back for ever.
struct Back {
    place: Place,
    /// The step that it leads back to.
    to: String,
}

/// Where a car goes round from here and comes to no end.
fn round(flow: &Flow, from: &str, car: &Known) -> Option<Back> {
    let (met, ends) = walk(flow, from, car);
    if ends {
        return None;
    }
    // All is known to lead on for ever, so that some step leads to one that was met before it, or to itself. What
    // an outcome leads back is at fault rather than a `not valid` that has a step done again.
    let met_at = |id: &str| met.iter().position(|(step, _)| step.id == id);
    let leads_back = |by_outcome: bool| {
        met.iter().enumerate().find_map(|(n, (_, ways))| {
            let back = |way: &Open| match way.go {
                Target::Step(id) if way.by_outcome == by_outcome => {
                    met_at(id).filter(|at| *at <= n).map(|_| Back {
                        place: way.place,
                        to: id.clone(),
                    })
                }
                _ => None,
            };
            ways.iter().find_map(back)
        })
    };
    leads_back(true).or_else(|| leads_back(false))
}

/// Where a car is sent to a repair, and every end that it may come to is one.
fn only_repaired(flow: &Flow, from: &str, car: &Known) -> Option<Place> {
    let (met, _) = walk(flow, from, car);
    let ways = || met.iter().flat_map(|(_, ways)| ways);
    let other_end = |way: &Open| matches!(way.go, Target::Flow(_) | Target::Done);
    if ways().any(other_end) || met.iter().any(|(step, _)| step.outcomes.is_empty()) {
        return None;
    }
    // That nothing tells a cause from a sound car is a finding of its own.
    let alike = |id: &str| {
        let cause = flow.cause(id);
        cause.is_some_and(|cause| shows_what_is_healthy(flow, cause))
    };
    let mut repairs = ways().filter(|way| matches!(way.go, Target::Repair(cause) if !alike(cause)));
    repairs.next().map(|way| way.place)
}

fn repaired(place: Place) -> Finding {
    Finding::warning(
        code::WRONG_REPAIR,
        place,
        "by what `healthy` says, a sound car is sent to a repair whatever is read on it",
        "let the outcome that fits a sound car lead on, such as `go: done`; or mend what `healthy` says",
    )
}

fn no_end(who: &str, which: &str, back: &Back) -> Finding {
    let to = &back.to;
    Finding::error(
        code::GOES_ROUND,
        back.place,
        format!(
            "by what `healthy` says, {who}{which} is led back to `{to}` for ever, and never to an end"
        ),
        "let the outcome that fits it lead on, such as `go: done`; or mend what `healthy` says",
    )
}

fn with_cause(cause: &Cause, back: &Back, shows: &str) -> Finding {
    let (id, to) = (&cause.id, &back.to);
    Finding::warning(
        code::GOES_ROUND,
        back.place,
        format!(
            "by what `{id}` {shows}, a car with it is led back to `{to}` for ever, and never to an end"
        ),
        format!(
            "let the outcome that fits it lead on, such as `go: {{repair: {id}}}`; or mend what `{id}` shows"
        ),
    )
}
