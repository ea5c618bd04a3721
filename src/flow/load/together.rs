//! Which values may go into one calculation together: two where it is of two, and no temperatures where only their
//! differences add up or divide.

use super::super::finding::code;
use super::super::model::Arg;
use super::super::node::Place;
use super::fields::Findings;
use super::scope::{Meaning, Scope};
use crate::physics::calculation::Calculation;
use crate::units::Unit;

/// A difference and a ratio are of two values: with one or three the step could never be judged.
pub(super) fn that_go_together(
    calculation: &Calculation,
    args: &[(&'static str, Arg)],
    place: Place,
    scope: &Scope,
    out: &mut Findings,
) -> Option<()> {
    let [(_, Arg::List(items))] = args else {
        return Some(());
    };
    let units: Vec<Unit> = items
        .iter()
        .filter_map(|item| unit_of(item, scope))
        .collect();
    if let Some((message, help)) = temperatures(calculation.name, &units) {
        out.error(code::WRONG_INPUT, place, message, help);
        return None;
    }
    if !["difference", "ratio"].contains(&calculation.name) || items.len() == 2 {
        return Some(());
    }
    out.error(
        code::WRONG_INPUT,
        place,
        format!(
            "`{}` is of two values, but here {}",
            calculation.name,
            match items.len() {
                1 => "is one".to_owned(),
                n => format!("are {n}"),
            }
        ),
        format!("write the two: {{{}: [one, other]}}", calculation.name),
    );
    None
}

/// Why these do not go into one calculation, where they are temperatures: on a scale with its own zero
/// they neither add up nor divide, and with their differences, which are in K, they do not mix.
fn temperatures(calculation: &str, units: &[Unit]) -> Option<(&'static str, &'static str)> {
    let on_a_scale = units.iter().filter(|unit| !unit.has_true_zero()).count();
    if on_a_scale == 0 {
        return None;
    }
    match calculation {
        "sum" => Some((
            "temperatures do not add up: 20 C and 15 C are no 35 C",
            "take their `difference`, which is in K and adds up, or name other values",
        )),
        "ratio" => Some((
            "temperatures in C or F do not divide: 40 C is not twice as warm as 20 C",
            "take their `difference`; for the ratio of two temperatures from absolute zero, first turn each into K: \
             {convert: its-id, unit: K}",
        )),
        "difference" if on_a_scale < units.len() => Some((
            "one of these is a temperature and the other, in K, a difference of temperatures",
            "name two temperatures, both in C or F, or two differences",
        )),
        _ => None,
    }
}

/// The unit of what an input is taken from.
pub(super) fn unit_of(arg: &Arg, scope: &Scope) -> Option<Unit> {
    match arg {
        Arg::Of(id) => match scope.get(id)? {
            Meaning::Number(_, unit) => Some(*unit),
            _ => None,
        },
        Arg::Constant(q) => Some(q.unit()),
        Arg::List(items) => items.iter().find_map(|item| unit_of(item, scope)),
        _ => None,
    }
}
