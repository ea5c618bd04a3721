//! The answer as one object.

use serde_json::{Value, json};

use super::Context;
use crate::cli::clean_json;
use crate::rules::evidence::inquiry::Inquiry;
use crate::rules::evidence::reasons::{Branch, Moved, Named, moves, suggestion};
use crate::rules::evidence::wary::warnings;
use crate::rules::evidence::why::{decibans, log_odds, words};

pub(super) fn print(inquiry: &Inquiry, context: &Context) -> String {
    let object = json!({
        "flow": context.flow.id,
        "causes": causes(inquiry, context),
        "next": next(inquiry, context),
        "sets": sets(inquiry),
        "rests_on": rests_on(context),
        "why": why(inquiry),
        "warnings": warnings(inquiry),
        "notes": context.notes,
    });
    let text = serde_json::to_string_pretty(&object).unwrap_or_else(|_| "{}".to_owned());
    clean_json(&text) + "\n"
}

fn rests_on(context: &Context) -> Value {
    match context.cars {
        None => json!({"cars": 0, "cars_in_all": 0, "by_cars": []}),
        Some(cars) => json!({
            "cars": cars.count(),
            "cars_in_all": context.rests_on,
            "by_cars": cars.knows(),
        }),
    }
}

/// The likeliest sets of causes, each with how many simulated cars are left to count on.
fn sets(inquiry: &Inquiry) -> Vec<Value> {
    const MOST: usize = 6;
    let case = &inquiry.joined.case;
    let mut order: Vec<usize> = (0..case.sets.len()).collect();
    order.sort_by(|a, b| inquiry.sets[*b].total_cmp(&inquiry.sets[*a]).then(a.cmp(b)));
    let of = |n: &usize| {
        let causes = case.sets[*n]
            .members()
            .map(|c| inquiry.joined.causes[c].id.clone());
        json!({
            "causes": causes.collect::<Vec<_>>(),
            "probability": inquiry.sets[*n],
            "cars_left": inquiry.effective.get(*n),
        })
    };
    order.iter().take(MOST).map(of).collect()
}

fn causes(inquiry: &Inquiry, context: &Context) -> Vec<Value> {
    let case = &inquiry.joined.case;
    let prior = inquiry.told.prior.marginals(case);
    let cause = |n: usize| {
        let listed = &inquiry.joined.causes[n];
        let learned = context.history.iter().find(|l| l.id == listed.id);
        json!({
            "id": listed.id,
            "name": listed.name,
            "present": inquiry.present[n],
            "explains": inquiry.explains[n],
            "before": prior[n],
            "log_odds_before": log_odds(prior[n]),
            "log_odds": log_odds(inquiry.present[n]),
            "author_odds": listed.author,
            "learned": learned,
        })
    };
    inquiry.ranking().into_iter().map(cause).collect()
}

fn next(inquiry: &Inquiry, context: &Context) -> Value {
    let Some(suggestion) = suggestion(inquiry, context.dear_too) else {
        return Value::Null;
    };
    let of = |what: &Named| json!({"kind": what.kind, "id": what.id});
    let branch = |branch: &Branch| {
        json!({
            "outcomes": branch.outcomes,
            "probability": branch.probability,
            "then": of(&branch.then),
        })
    };
    json!({
        "kind": suggestion.what.kind,
        "id": suggestion.what.id,
        "name": suggestion.what.words,
        "minutes": suggestion.minutes,
        "first": suggestion.first,
        "for_steps": suggestion.for_steps,
        "cautions": suggestion.cautions,
        "because": suggestion.because,
        "saves": suggestion.saves,
        "bits": suggestion.bits.map(|(now, then)| json!({"now": now, "then": then})),
        "outcomes": suggestion.branches.iter().map(branch).collect::<Vec<_>>(),
        "runner_up": suggestion.runner_up.as_ref().map(|(what, worse)| {
            json!({"kind": what.kind, "id": what.id, "worse_by": worse})
        }),
    })
}

fn why(inquiry: &Inquiry) -> Vec<Value> {
    let entry = |moved: &Moved| {
        let by = |n: usize| {
            json!({
                "cause": inquiry.joined.causes[n].id,
                "log_odds": moved.by[n],
                "decibans": decibans(moved.by[n]),
                "words": words(moved.by[n]),
            })
        };
        json!({
            "reading": moved.id,
            "text": moved.words,
            "moved": inquiry.ranking().into_iter().map(by).collect::<Vec<_>>(),
        })
    };
    moves(inquiry).iter().map(entry).collect()
}
