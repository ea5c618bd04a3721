//! What causes show is of a size that readings come to.
//!
//! A range wholly outside of what plausible readings give is a slip in a digit or a unit. Where nothing
//! bounds a value, only a size that no car has is named. Where everything that is shown of one value is
//! off, the value is at fault, and is named once.

use super::outcomes::example::{number, round};
use super::outcomes::reason::plausible;
use crate::flow::choice::name;
use crate::flow::finding::{Finding, code};
use crate::flow::model::Flow;
use crate::flow::signature::{Effect, Shown, Shows};
use crate::units::{Dimension, Quantity, Unit};

/// No opening of a car that leaks is wider than a charge-air hose that is off, m: an assumption of ours, no source.
const WIDEST_HOLE: f64 = 0.1;
/// Smoke and pressure find none that is smaller, m: an assumption of ours, no source.
const NARROWEST_HOLE: f64 = 0.000_05;
/// Nothing that is measured on a car is longer, m: an assumption of ours, no source.
const LONGEST: f64 = 20.0;
/// Digits of the ends of a range, which are shown and not worked with.
const DIGITS: usize = 4;

pub fn check(flow: &Flow) -> Vec<Finding> {
    let spans = plausible(flow);
    let all: Vec<&Shows> = flow
        .healthy
        .iter()
        .chain(flow.causes.iter().flat_map(|cause| &cause.shows))
        .collect();
    let mut found: Vec<Finding> = Vec::new();
    let mut whole: Vec<&str> = Vec::new();
    for shows in &all {
        let span = spans.get(shows.id.as_str()).copied();
        let Some(why) = why(flow, shows, span) else {
            continue;
        };
        let of_it = || all.iter().filter(|other| other.id == shows.id);
        let others_off = of_it().all(|other| self::why(flow, other, span).is_some());
        if others_off && of_it().count() > 1 {
            if whole.contains(&shows.id.as_str()) {
                continue;
            }
            whole.push(&shows.id);
        }
        let reading = flow
            .prompt(&shows.id)
            .filter(|_| whole.contains(&shows.id.as_str()));
        found.push(Finding::warning(
            code::FAR_OFF,
            reading.map_or(shows.place, |prompt| prompt.place),
            why,
            if others_off && of_it().count() > 1 {
                "so does everything else that is shown of it: mend its own unit or plausible range"
            } else {
                "mend the digit or unit that slipped, or the plausible ranges of what is read"
            },
        ));
    }
    found.extend(holes(flow));
    found
}

/// Holes that no car has.
fn holes(flow: &Flow) -> Vec<Finding> {
    let mut found = Vec::new();
    for cause in &flow.causes {
        for (effect, place) in cause.effects.iter().zip(&cause.effects_at) {
            let Effect::Hole {
                range: (_, widest), ..
            } = effect
            else {
                continue;
            };
            let id = &cause.id;
            let wrong = if widest.si() > WIDEST_HOLE {
                format!(
                    "the hole of `{id}` is up to {widest} wide, and nothing that leaks on a car is"
                )
            } else if widest.si() < NARROWEST_HOLE {
                format!(
                    "the hole of `{id}` is {widest} wide at most, and no test finds one so small"
                )
            } else {
                continue;
            };
            let help = "mend the digit or unit that slipped, such as 1..6 mm";
            found.push(Finding::warning(code::FAR_OFF, *place, wrong, help));
        }
    }
    found
}

/// Why what is shown of a value cannot be meant.
fn why(flow: &Flow, shows: &Shows, span: Option<(f64, f64)>) -> Option<String> {
    let (from, to) = match &shows.what {
        Shown::Range(from, to) | Shown::EitherWay(from, to) => (from, to),
        Shown::Words(_) => return None,
    };
    let either = matches!(shows.what, Shown::EitherWay(..));
    let name = name(flow, &shows.id);
    let span = span.filter(|(low, high)| low.is_finite() || high.is_finite());
    if let Some((low, high)) = span {
        let mirrored = either && !(-from.si() < low || -to.si() > high);
        let outside = from.si() > high || to.si() < low;
        return (outside && !mirrored).then(|| {
            format!(
                "{name} is shown as {from} to {to}, and plausible readings give {}",
                said(low, high, to.unit())
            )
        });
    }
    let most = match to.dimension() {
        Dimension::Length => LONGEST,
        dimension => dimension.absurd(),
    };
    let beyond = |q: &Quantity| q.si().abs() > most;
    (beyond(from) || beyond(to))
        .then(|| format!("{name} is shown as {from} to {to}, which no car has"))
}

fn said(low: f64, high: f64, unit: Unit) -> String {
    let end = |si: f64| number(round(si, DIGITS, unit), unit);
    match (low.is_finite(), high.is_finite()) {
        (true, true) => format!("{} to {}", end(low), end(high)),
        (true, false) => format!("{} and more", end(low)),
        _ => format!("{} and less", end(high)),
    }
}
