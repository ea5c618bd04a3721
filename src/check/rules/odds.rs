//! Odds that can be meant: what shares 100 % between it adds up to no more, and causes leave the car some
//! parts that are sound.
//!
//! Causes can stand together, so that their odds may well add up to more than 100 %. At twice that every
//! car would have two faults at once, which nobody means. Words of one answer exclude one another: where
//! already the lower ends of their ranges add up to more than 100 %, no odds within them do.

use crate::flow::finding::{Finding, code};
use crate::flow::likelihood::WORDS;
use crate::flow::model::{Flow, PromptKind};
use crate::flow::signature::{Shown, Shows};

/// So many causes at once, on average, nobody means: an assumption of ours, no source.
const AT_ONCE: f64 = 2.0;
/// Likelihoods of places that come to more than this are a slip: an assumption of ours, no source.
const FAR_BEYOND: f64 = 1.5;
/// What rounding may add to 100 %.
const ROUNDING: f64 = 0.015;

pub fn check(flow: &Flow) -> Vec<Finding> {
    let causes = flow.causes.iter().flat_map(|cause| &cause.shows);
    let shows = flow.healthy.iter().chain(causes);
    let mut found: Vec<Finding> = shows
        .filter_map(|shows| beyond_certain(flow, shows))
        .collect();
    found.extend(at_once(flow));
    found
}

fn at_once(flow: &Flow) -> Option<Finding> {
    let all: f64 = flow.causes.iter().map(|cause| cause.odds).sum();
    let first = flow.causes.first().filter(|_| all > AT_ONCE)?;
    Some(Finding::warning(
        code::ODDS_TOO_HIGH,
        first.place,
        format!(
            "the odds of the causes add up to {:.0} %, as if every car had {} of them at once",
            all * 100.0,
            if all < 3.0 { "two" } else { "several" }
        ),
        "lower them: they say how often each is behind this complaint, before any test, and in most cars it is one",
    ))
}

/// Words of one answer, of which only one can be given; or places, of which a cause shows at one on each car. What is
/// said of places is seldom weighed against one another, so that only what goes far beyond certain is named.
fn beyond_certain(flow: &Flow, shows: &Shows) -> Option<Finding> {
    let Shown::Words(words) = &shows.what else {
        return None;
    };
    let kind = flow.prompt(&shows.id).map(|prompt| &prompt.kind);
    let places = matches!(kind, Some(PromptKind::Places(_)));
    let least: f64 = words.iter().map(|(_, odds)| least(*odds)).sum();
    let total: f64 = words.iter().map(|(_, odds)| odds).sum();
    let beyond = if places {
        total > FAR_BEYOND
    } else {
        least > 1.0 + ROUNDING
    };
    let one = if places {
        "on one car it shows at one of them"
    } else {
        "only one of it can be so"
    };
    beyond.then(|| {
        Finding::warning(
            code::ODDS_TOO_HIGH,
            shows.place,
            format!(
                "what is shown of `{}` adds up to {:.0} %, and {one}",
                shows.id,
                total * 100.0
            ),
            format!(
                "they share 100 % between them: lower some, such as {{{}}}",
                shares(words, total)
            ),
        )
    })
}

/// The least share that is proposed, in percent: what an author wrote down can be.
const LEAST_SHARE: f64 = 1.0;

/// The same odds, lowered evenly until they come to 100 %, and none of them to nothing.
fn shares(words: &[(String, f64)], total: f64) -> String {
    // Rounded down, so that all together are not above.
    let shares = words
        .iter()
        .map(|(_, odds)| (odds / total * 100.0).floor().max(LEAST_SHARE));
    let mut shares: Vec<f64> = shares.collect();
    // What the least ones were raised by is taken from the largest.
    let above = shares.iter().sum::<f64>() - 100.0;
    if let Some(largest) = shares.iter_mut().max_by(|a, b| a.total_cmp(b)) {
        *largest = (*largest - above.max(0.0)).max(LEAST_SHARE);
    }
    let share = |((word, _), share): (&(String, f64), f64)| format!("{word}: {share:.0} %");
    let shares = words.iter().zip(shares).map(share);
    shares.collect::<Vec<_>>().join(", ")
}

/// The least that is meant by odds: of a word, the lower end of its range.
fn least(odds: f64) -> f64 {
    let word = WORDS
        .iter()
        .find(|(_, _, middle)| (middle - odds).abs() < 1e-12);
    word.map_or(odds, |(_, (from, _), _)| *from)
}
