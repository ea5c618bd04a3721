//! What is said of a step's outcomes beside one another: each kind of finding in its words.

use super::example::Example;
use super::reason::Reason;
use crate::flow::finding::{Finding, code};
use crate::flow::model::{Outcome, Step};

/// Readings that no outcome fits.
pub fn gap(step: &Step, example: &Example) -> Finding {
    Finding::error(
        code::GAP,
        step.place,
        format!("no outcome of `{}` fits {}", step.id, example.words),
        if example.in_doubt {
            "add an outcome for it: a verdict cannot tell where its limit lies within the error"
        } else if example.at_limit {
            "let one outcome take the limit in: `at least` beside `below`, `at most` beside `above`"
        } else if example.elsewhere {
            "for a place that is not in the list, add an outcome with none of: [...], and in it every place \
                     that the others name"
        } else {
            "add an outcome for it, or widen one"
        },
    )
}

/// Perhaps a gap: readings were searched for in vain.
pub fn may_be_a_gap(step: &Step, sketch: &str) -> Finding {
    Finding::warning(
        code::TOO_MANY,
        step.place,
        format!(
            "no outcome of `{}` fits {sketch}, and whether readings come to that could not be worked out",
            step.id
        ),
        "add an outcome for it; or, for all that the others leave, one at the end of the list with when: always",
    )
}

/// Perhaps an overlap: readings were searched for in vain.
pub fn may_overlap(step: &Step, one: &Outcome, other: &Outcome, sketch: &str) -> Finding {
    Finding::warning(
        code::TOO_MANY,
        step.place,
        format!(
            "`{}` and `{}` of `{}` both fit {sketch}, and whether readings come to that could not be worked out",
            one.id, other.id, step.id
        ),
        format!(
            "write into `{}` what keeps it apart, such as `below` beside `at least`; or, for all that the others leave, \
             make it the last of the list, with when: always",
            other.id
        ),
    )
}

/// Not all was looked through.
pub fn too_many(step: &Step) -> Finding {
    Finding::warning(
        code::TOO_MANY,
        step.place,
        format!(
            "`{}` looks at too many things at once: not all of it was looked through for gaps",
            step.id
        ),
        "split it into two steps, each with fewer conditions",
    )
}

/// What always fits stands before others.
pub fn always_before(step: &Step, n: usize) -> Finding {
    let (always, after) = (&step.outcomes[n], &step.outcomes[n + 1..]);
    let names: Vec<String> = after.iter().map(|o| format!("`{}`", o.id)).collect();
    let are = if after.len() == 1 { "is" } else { "are" };
    Finding::error(
        code::NEVER_TAKEN,
        always.place,
        format!(
            "`{}` always fits, so that {} after it {are} never taken",
            always.id,
            names.join(", ")
        ),
        "move it to the end of the list, where always stands for all that is left; or write under `when` what it asks for",
    )
}

/// An outcome asks for what one before it asks for.
pub fn asks_the_same(outcome: &Outcome, other: &Outcome) -> Finding {
    let (id, before) = (&outcome.id, &other.id);
    Finding::error(
        code::NEVER_TAKEN,
        outcome.place,
        format!("`{id}` is never taken: `{before}` before it asks for the very same"),
        format!(
            "mend what one of the two asks for, or delete one: most often `{before}` or `{id}` was copied"
        ),
    )
}

/// Those before it leave an outcome nothing.
pub fn never_taken(outcome: &Outcome) -> Finding {
    Finding::error(
        code::NEVER_TAKEN,
        outcome.place,
        format!(
            "`{}` is never taken: outcomes before it take everything that fits it",
            outcome.id
        ),
        "move it up, or narrow those before it",
    )
}

/// An outcome is never taken, for this reason.
pub fn never_holds(outcome: &Outcome, reason: &Reason) -> Finding {
    let (id, help) = (&outcome.id, reason.help);
    let message = format!("`{id}` is never taken: {}", reason.words);
    Finding::error(code::NEVER_TAKEN, outcome.place, message, help)
}

/// An outcome is never taken, and no single reason is known.
pub fn never_fits(outcome: &Outcome) -> Finding {
    Finding::error(
        code::NEVER_TAKEN,
        outcome.place,
        format!(
            "`{}` is never taken: nothing that is plausible here fits it",
            outcome.id
        ),
        "look at its limits beside the readings' plausible ranges, and at parts that exclude one another",
    )
}

/// Two outcomes hold together.
pub fn overlap(one: &Outcome, other: &Outcome, pair: &Example) -> Finding {
    let (message, help) = (
        format!("`{}` and `{}` both fit {}", one.id, other.id, pair.words),
        if pair.at_limit {
            "let one of them leave the limit out: `below` beside `at least`, `above` beside `at most`"
        } else {
            "narrow one of them; the first in the list wins otherwise"
        },
    );
    // Whichever way it overlaps, the walk goes on by the first that fits.
    Finding::warning(code::OVERLAP, other.place, message, help)
}
