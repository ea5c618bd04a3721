//! What worked values can be at all, from what readings can be: interval arithmetic over the graph.
//!
//! `ratio`, `difference` and `sum` have exact interval forms. A calculation that rises or falls with
//! each of its inputs all the way, whatever the others are, is bounded by its values at the corners:
//! going to one end of each input in turn never makes it smaller, or never larger. [`MONOTONE`] lists
//! those, with the inputs of which that is so, and a test looks for a counter-example to each. Of any
//! other calculation, or input, nothing is said, so what
//! this module rules out is ruled out, and what it does not rule out may still be impossible.

use std::collections::{BTreeMap, BTreeSet};

use crate::flow::model::{Arg, Flow, Work};
use crate::physics::calculation::{Answer, Shifts};
use crate::physics::given::{Given, Value as Input};

/// From where to where.
pub type Span = (f64, f64);

/// Calculations whose main result rises or falls with each of these inputs all the way. Any other input
/// must have one value: the barometer, for one, moves both openings of `found`, and a test hole beside
/// the hole, so that what is left of it can turn round.
const MONOTONE: [(&str, &[&str]); 8] = [
    ("hole", &["flow", "pressure", "temperature"]),
    ("trim-total", &["short", "long"]),
    ("air", &["altitude"]),
    // A product or quotient of them, and the flux falls all the way as the manifold pressure rises.
    (
        "needed",
        &["leak", "trim", "airflow", "manifold", "temperature"],
    ),
    ("share", &["hole", "hole-area", "needed", "needed-area"]),
    // A difference of two openings, each with readings of its own.
    (
        "found",
        &[
            "open-flow",
            "open-pressure",
            "covered-flow",
            "covered-pressure",
        ],
    ),
    (
        "idle-air",
        &[
            "displacement",
            "speed",
            "manifold",
            "temperature",
            "efficiency",
        ],
    ),
    // The reading times the root of densities, pressures and temperatures.
    ("gauge", &["reading", "pressure", "temperature"]),
];
/// Inputs of which that holds on either side of zero alone: a pressure that is nothing needs an
/// endless hole, and below zero the flow turns round.
const NOT_THROUGH_ZERO: [&str; 4] = ["flow", "pressure", "open-pressure", "covered-pressure"];
/// More corners than this are not looked at.
const MOST_INPUTS: usize = 5;

/// Adds bounds of the worked values to those of the readings. What is `absent` is not asked or left
/// out on this car.
pub fn add_worked(flow: &Flow, absent: &BTreeSet<&str>, spans: &mut BTreeMap<String, Span>) {
    for work in &flow.worked {
        if let Some(span) = bound(work, absent, spans) {
            spans.insert(work.id.clone(), span);
        }
    }
}

fn bound(work: &Work, absent: &BTreeSet<&str>, spans: &BTreeMap<String, Span>) -> Option<Span> {
    match work.calculation.name {
        "ratio" => ratio(&list(work, spans)?),
        "difference" => match list(work, spans)?[..] {
            [(a, b), (c, d)] => Some((a - d, b - c)),
            _ => None,
        },
        "sum" => sum(work, absent, spans),
        name if work.take == 0 => {
            let (_, inputs) = MONOTONE.iter().find(|(known, _)| *known == name)?;
            corners(work, inputs, spans)
        }
        _ => None,
    }
}

/// A sum leaves out what is not there.
fn sum(work: &Work, absent: &BTreeSet<&str>, spans: &BTreeMap<String, Span>) -> Option<Span> {
    let [(_, Arg::List(items))] = &work.inputs[..] else {
        return None;
    };
    let is_there = |arg: &&Arg| !matches!(arg, Arg::Of(id) if absent.contains(id.as_str()));
    items
        .iter()
        .filter(is_there)
        .map(|item| span_of(item, spans))
        .reduce(|one, other| {
            let ((a, b), (c, d)) = (one?, other?);
            Some((a + c, b + d))
        })?
}

fn ratio(of: &[Span]) -> Option<Span> {
    let [(a, b), (c, d)] = *of else { return None };
    if c <= 0.0 && d >= 0.0 {
        return None;
    }
    hull([a / c, a / d, b / c, b / d])
}

fn hull(values: impl IntoIterator<Item = f64>) -> Option<Span> {
    let mut hull: Option<Span> = None;
    for value in values {
        if !value.is_finite() {
            return None;
        }
        let (low, high) = hull.unwrap_or((value, value));
        hull = Some((low.min(value), high.max(value)));
    }
    hull
}

/// The bounds of the list that arithmetic is done on; nothing where one of it is not bounded.
fn list(work: &Work, spans: &BTreeMap<String, Span>) -> Option<Vec<Span>> {
    let [(_, Arg::List(items))] = &work.inputs[..] else {
        return None;
    };
    items.iter().map(|item| span_of(item, spans)).collect()
}

fn span_of(arg: &Arg, spans: &BTreeMap<String, Span>) -> Option<Span> {
    match arg {
        Arg::Constant(q) => Some((q.si(), q.si())),
        Arg::Of(id) => spans.get(id).copied(),
        _ => None,
    }
}

fn corners(work: &Work, monotone: &[&str], spans: &BTreeMap<String, Span>) -> Option<Span> {
    let mut fixed = Given::new();
    let mut free: Vec<(&'static str, Span)> = Vec::new();
    for (name, arg) in &work.inputs {
        if let Arg::Word(word) = arg {
            let number = word.parse().map(Input::Number);
            fixed.set(name, number.unwrap_or_else(|_| Input::Word(word.clone())));
            continue;
        }
        let (low, high) = span_of(arg, spans)?;
        if low < high && !monotone.contains(name) {
            return None;
        }
        if NOT_THROUGH_ZERO.contains(name) && low <= 0.0 && high > 0.0 && low < high {
            // A flow of nothing is a hole of nothing: only a pressure may not reach zero.
            if *name != "flow" || low < 0.0 {
                return None;
            }
        }
        free.push((name, (low, high)));
    }
    if free.len() > MOST_INPUTS {
        return None;
    }
    let at = |corner: u32| {
        let mut given = fixed.clone();
        for (n, (name, (low, high))) in free.iter().enumerate() {
            let end = if corner >> n & 1 == 1 { *high } else { *low };
            given.set(name, Input::Number(end));
        }
        // What is refused in a corner has no value there, so nothing bounds the rest.
        (work.calculation.refuse)(&given).ok()?;
        match (work.calculation.run)(&given, &Shifts::none())
            .ok()?
            .results
            .first()?
        {
            Answer::Number(si) | Answer::Measured(si, _) => Some(*si),
            _ => None,
        }
    };
    let values: Option<Vec<f64>> = (0..1 << free.len()).map(at).collect();
    hull(values?)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn flow(worked: &str) -> Flow {
        let text = format!(
            "flow: one\ntitle: One\nreadings:\n  \
             a: {{ask: A, unit: kPa}}\n  b: {{ask: B, unit: kPa}}\n  q: {{ask: Q, unit: L/min}}\n  \
             s: {{ask: S, unit: \"%\"}}\n  l: {{ask: L, unit: \"%\"}}\n  \
             h: {{ask: H, unit: m}}\n  g: {{ask: G, unit: m}}\n  p: {{ask: P, unit: L/min}}\n  \
             m: {{ask: M, unit: g/s}}\n  v: {{ask: V, unit: L}}\n  n: {{ask: N, unit: rpm}}\n  \
             t: {{ask: T, unit: C}}\n\
             worked:\n  {worked}\n\
             steps:\n  - {{id: x, phase: symptom, do: Look., outcomes: [{{when: always, go: done}}]}}\n"
        );
        let loaded = crate::flow::load::load(&text);
        loaded
            .flow
            .unwrap_or_else(|| panic!("{:?}", loaded.findings))
    }

    fn point(work: &Work, at: &[(&str, f64)]) -> Option<f64> {
        let spans: BTreeMap<String, Span> = at
            .iter()
            .map(|(id, si)| ((*id).to_owned(), (*si, *si)))
            .collect();
        bound(work, &BTreeSet::new(), &spans).map(|(low, _)| low)
    }

    /// An input with the ends of its range.
    type Ends = (&'static str, f64, f64);

    /// Inputs, and the ranges in SI units that a workshop meets.
    const CASES: [(&str, &[Ends]); 15] = [
        ("r: {ratio: [a, b]}", &[("a", -1e5, 1e5), ("b", 10.0, 1e5)]),
        (
            "r: {difference: [a, b]}",
            &[("a", -1e5, 1e5), ("b", -1e5, 1e5)],
        ),
        (
            "r: {sum: [a, b, 2 kPa]}",
            &[("a", -1e5, 1e5), ("b", -1e5, 1e5)],
        ),
        (
            "r: {hole: {flow: q, pressure: a}}",
            &[("q", 1e-6, 2e-3), ("a", 100.0, 2e5)],
        ),
        (
            "r: {hole: {flow: q, pressure: a}}",
            &[("q", -2e-3, 2e-3), ("a", -5e3, 5e3)],
        ),
        (
            "r: {trim-total: {short: s, long: l}}",
            &[("s", -0.3, 0.3), ("l", -0.3, 0.3)],
        ),
        ("r: {air: {altitude: h}}", &[("h", -400.0, 4000.0)]),
        (
            "r: {hole: {flow: q, pressure: a, temperature: t}}",
            &[("q", 1e-6, 2e-3), ("a", 100.0, 2e5), ("t", 250.0, 330.0)],
        ),
        (
            "r: {needed: {trim: s, airflow: m, manifold: a}}",
            &[("s", 0.01, 0.5), ("m", 1e-3, 0.1), ("a", 2e4, 1e5)],
        ),
        (
            "r: {needed: {leak: m, manifold: a, temperature: t}}",
            &[("m", 1e-5, 0.01), ("a", 2e4, 1e5), ("t", 250.0, 330.0)],
        ),
        (
            "r: {share: {hole: h, needed: g}}",
            &[("h", 0.0, 0.01), ("g", 1e-4, 0.01)],
        ),
        (
            "r: {found: {open-flow: q, open-pressure: a, covered-flow: p, covered-pressure: b}}",
            &[
                ("q", 0.0, 2e-3),
                ("a", 100.0, 2e5),
                ("p", 0.0, 2e-3),
                ("b", 100.0, 2e5),
            ],
        ),
        (
            "r: {found: {open-flow: q, open-pressure: a, covered-flow: p, covered-pressure: b, gas: nitrogen}}",
            &[
                ("q", 0.0, 2e-3),
                ("a", -8e3, -100.0),
                ("p", 0.0, 2e-3),
                ("b", -8e3, -100.0),
            ],
        ),
        (
            "r: {idle-air: {displacement: v, speed: n, manifold: a, temperature: t}}",
            &[
                ("v", 5e-4, 8e-3),
                ("n", 5.0, 100.0),
                ("a", 2e4, 1e5),
                ("t", 250.0, 330.0),
            ],
        ),
        (
            "r: {gauge: {reading: q, pressure: a, temperature: t, gas: carbon-dioxide}}",
            &[("q", 1e-6, 2e-3), ("a", 100.0, 2e5), ("t", 250.0, 330.0)],
        ),
    ];

    proptest! {
        #![proptest_config(ProptestConfig { cases: 1500, failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn no_value_lies_outside_the_bounds(
            which in 0..CASES.len(),
            ends in prop::collection::vec((0.0..1.0f64, 0.0..1.0f64, 0.0..1.0f64), 4),
        ) {
            let (worked, inputs) = CASES[which];
            let flow = flow(worked);
            let work = &flow.worked[0];
            let mut spans = BTreeMap::new();
            let mut at = Vec::new();
            for ((id, from, to), (one, other, inside)) in inputs.iter().zip(&ends) {
                let (low, high) = (one.min(*other), one.max(*other));
                let si = |share: f64| from + (to - from) * share;
                spans.insert((*id).to_owned(), (si(low), si(high)));
                at.push((*id, si(low + (high - low) * inside)));
            }
            // Through zero a hole has no bounds; everywhere else there are some.
            let signed = spans.values().any(|(low, _)| *low <= 0.0) && worked.contains("hole");
            let Some((low, high)) = bound(work, &BTreeSet::new(), &spans) else {
                prop_assert!(signed, "no bounds of {worked}: {spans:?} {:?}", work.inputs);
                return Ok(());
            };
            let Some(value) = point(work, &at) else {
                prop_assert!(signed, "no value of {worked} at {at:?}");
                return Ok(());
            };
            let slack = 1e-9 * (low.abs() + high.abs());
            prop_assert!(low - slack <= value && value <= high + slack, "{worked}: {value} in {low}..{high}");
        }
    }
}
