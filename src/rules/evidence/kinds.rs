//! The words or the bins that a reading can come out in: the author's own, and for numbers the limits that the flow
//! sets, with points between them.

use std::collections::BTreeSet;

use super::finding::{Kind, NOWHERE, normal};
use super::said::middle_of;
use crate::flow::condition::{ANOTHER_PLACE, Check, Condition};
use crate::flow::model::{Flow, PromptKind};
use crate::flow::signature::Shown;

/// The kind of a reading, with the words or the bins that it can come out in.
pub(super) fn kind(
    flow: &Flow,
    id: &str,
    healthy: Option<&Shown>,
    shown: &[Option<Shown>],
) -> Option<Kind> {
    let all: Vec<&Shown> = healthy.into_iter().chain(shown.iter().flatten()).collect();
    match flow.prompt(id).map(|prompt| &prompt.kind) {
        Some(PromptKind::Places(places)) => {
            return Some(Kind::Places(with_another(places.clone(), &all)));
        }
        Some(PromptKind::Choice(words)) => {
            return Some(Kind::Words(healthy_first(words.clone(), healthy)));
        }
        Some(PromptKind::Text | PromptKind::Pairs(_)) => return None,
        _ => {}
    }
    if !all.iter().any(|s| matches!(s, Shown::Words(_))) {
        return Some(Kind::Number(edges(flow, id, &all)));
    }
    let mut words: Vec<String> = Vec::new();
    for shown in all {
        let Shown::Words(said) = shown else { continue };
        for (word, _) in said.iter().filter(|(word, _)| word != NOWHERE) {
            if !words.contains(word) {
                words.push(word.clone());
            }
        }
    }
    words.push("anything else".to_owned());
    Some(Kind::Words(healthy_first(words, healthy)))
}

/// The places of a reading; where a cause says that it shows at one that is not listed, with that as
/// one more.
fn with_another(mut places: Vec<String>, shown: &[&Shown]) -> Vec<String> {
    let says = |shown: &&Shown| match shown {
        Shown::Words(said) => said.iter().any(|(place, _)| place == ANOTHER_PLACE),
        Shown::Range(..) | Shown::EitherWay(..) => false,
    };
    if shown.iter().any(says) && !places.iter().any(|place| place == ANOTHER_PLACE) {
        places.push(ANOTHER_PLACE.to_owned());
    }
    places
}

/// The places of a kind at which it shows, ascending, and how many are shown that it does not know.
/// One that is not listed is `another place` where that is among them.
pub(super) fn listed(places: &[String], shown: &BTreeSet<String>) -> (Vec<usize>, usize) {
    let mut listed: Vec<usize> = (0..places.len())
        .filter(|n| shown.contains(&places[*n]))
        .collect();
    let others = shown.len() - listed.len();
    match places.iter().position(|place| place == ANOTHER_PLACE) {
        Some(another) if others > 0 => {
            if !listed.contains(&another) {
                listed.push(another);
                listed.sort_unstable();
            }
            (listed, 0)
        }
        _ => (listed, others),
    }
}

/// The word that a sound car shows most goes first; the others keep their order.
fn healthy_first(mut words: Vec<String>, healthy: Option<&Shown>) -> Vec<String> {
    if let Some(Shown::Words(said)) = healthy
        && let Some((most, _)) = said.iter().max_by(|a, b| a.1.total_cmp(&b.1))
        && let Some(place) = words.iter().position(|word| word == most)
    {
        words[..=place].rotate_right(1);
    }
    words
}

/// Edges of the bins: the author's own limits, and points that part what causes show into equal
/// shares. Too close to another edge, a point is left out; a limit never.
fn edges(flow: &Flow, id: &str, shown: &[&Shown]) -> Vec<f64> {
    const PARTS: u8 = 10;
    let normals: Vec<(f64, f64)> = shown
        .iter()
        .flat_map(|s| match s {
            Shown::Range(from, to) => vec![middle_of(from.si(), to.si())],
            Shown::EitherWay(from, to) => {
                let (middle, deviation) = middle_of(from.si(), to.si());
                vec![(middle, deviation), (-middle, deviation)]
            }
            Shown::Words(_) => Vec::new(),
        })
        .collect();
    let from = normals
        .iter()
        .map(|(m, s)| m - 4.0 * s)
        .fold(f64::INFINITY, f64::min);
    let to = normals
        .iter()
        .map(|(m, s)| m + 4.0 * s)
        .fold(f64::NEG_INFINITY, f64::max);
    let below = |x: f64| -> f64 {
        let each = normals.iter().map(|(m, s)| normal((x - m) / s));
        each.sum::<f64>() / normals.len().max(1) as f64
    };
    let mut edges: Vec<f64> = limits(flow, id);
    edges.retain(|edge| (from..=to).contains(edge));
    for part in 1..PARTS {
        let point = quantile(&below, f64::from(part) / f64::from(PARTS), from, to);
        let close = 0.01 * (to - from);
        if edges.iter().all(|edge| (edge - point).abs() > close) {
            edges.push(point);
        }
    }
    edges.sort_by(f64::total_cmp);
    edges
}

fn quantile(below: &dyn Fn(f64) -> f64, share: f64, mut from: f64, mut to: f64) -> f64 {
    for _ in 0..60 {
        let middle = f64::midpoint(from, to);
        if below(middle) < share {
            from = middle;
        } else {
            to = middle;
        }
    }
    f64::midpoint(from, to)
}

/// The limits that a flow sets for a value, in SI units, ascending, each once.
pub fn limits(flow: &Flow, id: &str) -> Vec<f64> {
    let mut found = Vec::new();
    for step in &flow.steps {
        let conditions = step
            .outcomes
            .iter()
            .map(|o| &o.when)
            .chain(&step.valid_when);
        for condition in conditions {
            gather(condition, id, &mut found);
        }
    }
    found.sort_by(f64::total_cmp);
    found.dedup();
    found
}

fn gather(condition: &Condition, id: &str, found: &mut Vec<f64>) {
    match condition {
        Condition::All(parts) | Condition::Any(parts) | Condition::None(parts) => {
            for part in parts {
                gather(part, id, found);
            }
        }
        Condition::Test { subject, check } if subject == id => match check {
            Check::AtLeast(q) | Check::Above(q) | Check::AtMost(q) | Check::Below(q) => {
                found.push(q.si());
            }
            Check::Between(from, to) => found.extend([from.si(), to.si()]),
            _ => {}
        },
        Condition::Always | Condition::Test { .. } => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_that_is_not_listed_counts_where_a_cause_says_that_it_shows_there() {
        let places = |words: &[&str]| words.iter().map(|w| (*w).to_owned()).collect::<Vec<_>>();
        let shown = |words: &[&str]| {
            words
                .iter()
                .map(|w| (*w).to_owned())
                .collect::<BTreeSet<_>>()
        };
        let says = Shown::Words(vec![(ANOTHER_PLACE.to_owned(), 0.875)]);
        let more = with_another(places(&["joint"]), &[&says]);
        assert_eq!(more, places(&["joint", ANOTHER_PLACE]));
        assert_eq!(listed(&more, &shown(&["under the seat"])), (vec![1], 0));
        assert_eq!(
            listed(&more, &shown(&["joint", "lid", "sill"])),
            (vec![0, 1], 0)
        );
        assert_eq!(listed(&more, &shown(&["joint"])), (vec![0], 0));
        // Where no cause says so, it is a place that nobody thought of.
        assert_eq!(with_another(places(&["joint"]), &[]), places(&["joint"]));
        assert_eq!(listed(&places(&["joint"]), &shown(&["lid"])), (vec![], 1));
    }
}
