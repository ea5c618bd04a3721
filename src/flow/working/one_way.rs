//! Which worked values do not turn their sign, by what they are worked from: the share that is left of a pressure is
//! never below nothing, while a trim or a difference goes either way.

use crate::flow::model::{Arg, Flow, PromptKind, Work};

/// Whether one result of a worked value's calculation stays on one side of zero.
pub(super) fn one_way(flow: &Flow, work: &Work, place: usize) -> bool {
    let output = &work.calculation.outputs[place];
    if output.one_way || output.floor() >= 0.0 {
        return true;
    }
    // A sum keeps its sign too where its parts do; those of the bundled flows go either way, so none is asked for.
    work.calculation.name == "ratio" && work.inputs.iter().all(|(_, arg)| keeps_sign(flow, arg))
}

/// Whether a value that a calculation is given stays on one side of zero: as far as the flow says what is plausible.
fn keeps_sign(flow: &Flow, arg: &Arg) -> bool {
    match arg {
        Arg::Constant(_) => true,
        Arg::List(items) => items.iter().all(|item| keeps_sign(flow, item)),
        Arg::Of(id) => match (flow.work(id), flow.prompt(id).map(|prompt| &prompt.kind)) {
            (Some(work), _) => one_way(flow, work, work.take),
            (None, Some(PromptKind::Quantity(asked))) => asked
                .plausible
                .is_some_and(|(from, to)| from.si() >= 0.0 || to.si() <= 0.0),
            _ => false,
        },
        Arg::Word(_) | Arg::Rows(_) | Arg::PairsOf(_) => false,
    }
}
