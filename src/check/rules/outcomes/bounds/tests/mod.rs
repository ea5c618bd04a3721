//! A counter-example is looked for to every row of the table and to every formula: a value of the
//! calculation itself outside the bounds of its box.

mod cases;

use std::collections::BTreeSet;

use super::*;
use crate::check::rules::outcomes::realise::Draw;
use cases::{CASES, Case, READINGS};

/// Boxes looked at for each result.
const BOXES: usize = 120;
/// Points looked at in each.
const POINTS: usize = 6;

fn work(case: &Case, take: &str) -> Work {
    let (calculation, inputs) = case.work.split_once(": ").expect("a calculation");
    let take = match calculation {
        "ratio" | "difference" | "sum" => String::new(),
        _ => format!(", take: {take}"),
    };
    let text = format!(
        "flow: one\ntitle: One\nreadings:\n{READINGS}worked:\n  r: {{{calculation}: {inputs}{take}}}\n\
         steps:\n  - {{id: x, phase: symptom, do: Look., outcomes: [{{when: always, go: done}}]}}\n"
    );
    let loaded = crate::flow::load::load(&text);
    let flow = loaded
        .flow
        .unwrap_or_else(|| panic!("{}: {:?}", case.work, loaded.findings));
    flow.worked.into_iter().next().expect("one worked value")
}

/// A box within the range, narrow more often than not, and points in it.
fn boxes(case: &Case, draw: &mut Draw) -> (Spans, Vec<Spans>) {
    let narrow = if draw.next() < 0.3 {
        1.0
    } else {
        0.3 * draw.next()
    };
    let whole: Vec<(&str, Span)> = case
        .ends
        .iter()
        .map(|(id, from, to)| {
            let low = from + (to - from) * (1.0 - narrow) * draw.next();
            (*id, (low, low + (to - from) * narrow))
        })
        .collect();
    let points = (0..POINTS).map(|_| {
        let mut at = |(id, (low, high)): &(&str, Span)| {
            // The ends as well: that is where a row that is wrong would show first.
            let share = (1.4 * draw.next() - 0.2).clamp(0.0, 1.0);
            let si = low + (high - low) * share;
            ((*id).to_owned(), (si, si))
        };
        whole.iter().map(&mut at).collect()
    });
    let points = points.collect();
    let spans = whole.iter().map(|(id, span)| ((*id).to_owned(), *span));
    (spans.collect(), points)
}

#[test]
fn no_value_lies_outside_the_bounds() {
    let mut draw = Draw::new();
    let told = Told::default();
    for case in CASES {
        for take in case.take {
            let work = work(case, take);
            let (mut bounded, mut compared, mut points_of) = (0, 0, 0);
            for _ in 0..BOXES {
                let (spans, points) = boxes(case, &mut draw);
                let Some(bounds) = bound(&work, &told, &spans, &mut Kept::default()) else {
                    continue;
                };
                bounded += 1;
                for at in points {
                    points_of += 1;
                    // A calculation that refuses a point within gives no value there.
                    let Some(inside) = worked_at(&work, &told, &at) else {
                        continue;
                    };
                    compared += 1;
                    let holds = match (&bounds, &inside) {
                        (Bound::Span((low, high)), Bound::Span((value, _))) => {
                            let slack = 1e-9 * (low.abs() + high.abs());
                            (low - slack..=high + slack).contains(value)
                        }
                        (Bound::Word(one), Bound::Word(other)) => one == other,
                        _ => false,
                    };
                    assert!(
                        holds,
                        "{} {take}: {inside:?} in {bounds:?}, {at:?} of {spans:?}",
                        case.work
                    );
                }
            }
            assert!(
                bounded >= BOXES / 6,
                "{} {take}: bounds of only {bounded} boxes",
                case.work
            );
            assert!(
                2 * compared > points_of,
                "{} {take}: only {compared} of {points_of} points have a value",
                case.work
            );
        }
    }
}

/// What the calculation itself gives at one point, by no formula of this module.
fn worked_at(work: &Work, told: &Told, at: &Spans) -> Option<Bound> {
    const NOTHING_FREE: table::Row = table::Row {
        calculation: "",
        results: &[],
        inputs: &[],
    };
    of_all(&corners::corners(
        work,
        &NOTHING_FREE,
        told,
        at,
        &Shifts::none(),
    )?)
}

#[test]
fn every_row_is_tried() {
    let tried: BTreeSet<(&str, &str)> = CASES
        .iter()
        .flat_map(|case| {
            let calculation = case.work.split(':').next().unwrap_or_default();
            case.take.iter().map(move |take| (calculation, *take))
        })
        .collect();
    for (calculation, result) in table::all() {
        assert!(
            tried.contains(&(calculation, result)),
            "{calculation} {result} is not tried"
        );
    }
}
