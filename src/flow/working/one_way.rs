//! Which worked values do not turn their sign, by what they are worked from: the share that is left of a pressure is
//! never below nothing, while a trim or a difference goes either way.

use crate::flow::model::{Arg, Flow, PromptKind, Work};
use crate::physics::output::{OutputKind, Sign};
use crate::units::Dimension;

/// Whether one result of a worked value's calculation stays on one side of zero.
pub(super) fn one_way(flow: &Flow, work: &Work, place: usize) -> bool {
    let of_all = |holds: fn(&Flow, &Arg) -> bool| {
        let mut inputs = work.inputs.iter();
        inputs.all(|(_, arg)| holds(flow, arg))
    };
    begins_at_zero(work, place)
        || work.calculation.outputs[place].sign == Sign::OneWay
        || match work.calculation.name {
            "ratio" => of_all(keeps_sign),
            "sum" => of_all(never_below),
            _ => false,
        }
}

/// Whether less than nothing of a result has no meaning. An opening that comes out below zero says that there is none.
fn begins_at_zero(work: &Work, place: usize) -> bool {
    let output = &work.calculation.outputs[place];
    let opening = matches!(output.kind, OutputKind::Quantity(Dimension::Area, _));
    opening || output.floor() >= 0.0
}

/// Whether a value that a calculation is given stays on one side of zero, as far as the flow says what is plausible.
fn keeps_sign(flow: &Flow, arg: &Arg) -> bool {
    match arg {
        Arg::Constant(_) => true,
        Arg::List(items) => items.iter().all(|item| keeps_sign(flow, item)),
        Arg::Of(id) => match flow.work(id) {
            Some(work) => one_way(flow, work, work.take),
            None => plausible(flow, id).is_some_and(|(from, to)| from >= 0.0 || to <= 0.0),
        },
        Arg::Word(_) | Arg::Rows(_) | Arg::PairsOf(_) => false,
    }
}

/// The same of what stays above it.
fn never_below(flow: &Flow, arg: &Arg) -> bool {
    match arg {
        Arg::Constant(value) => value.si() >= 0.0,
        Arg::List(items) => items.iter().all(|item| never_below(flow, item)),
        Arg::Of(id) => match flow.work(id) {
            Some(work) => begins_at_zero(work, work.take),
            None => plausible(flow, id).is_some_and(|(from, _)| from >= 0.0),
        },
        Arg::Word(_) | Arg::Rows(_) | Arg::PairsOf(_) => false,
    }
}

/// From where to where (SI) a reading or a fact is plausible.
fn plausible(flow: &Flow, id: &str) -> Option<(f64, f64)> {
    match &flow.prompt(id)?.kind {
        PromptKind::Quantity(asked) => {
            let (from, to) = asked.plausible?;
            Some((from.si(), to.si()))
        }
        _ => None,
    }
}
