//! Loading worked values: a calculation by name, each input from a reading, a fact, another worked
//! value or a constant, and the dimensions of all of them checked.

use super::super::finding::code;
use super::super::model::{Arg, Work, Written};
use super::super::node::{Node, Place, Tree};
use super::super::values::TEST_NUMBER;
use super::fields::{Findings, text_of};
use super::ids::check_free;
use super::inputs::{args, beside};
use super::keys;
use super::meant;
use super::prompts::entries;
use super::quantities::{a, unknown_unit};
use super::scope::{Meaning, Scope};
use super::together::{that_go_together, unit_of};
use crate::physics::calculation::{Calculation, OutputKind, UnitBy};
use crate::units::{Dimension, Unit};

/// Whether a key of a worked value stands beside the calculation.
fn is_own(key: &Node) -> bool {
    key.text()
        .is_some_and(|word| keys::WORKED.key(word).is_some())
}

/// Loads worked values and adds them to the scope. They may be written in any order; the result is
/// ordered so that each needs only those before it.
pub fn worked(node: &Node, scope: &mut Scope, out: &mut Findings) -> Vec<Work> {
    let mut waiting: Vec<_> = entries(node, "worked values", out);
    let names: Vec<String> = waiting.iter().map(|(id, ..)| id.clone()).collect();
    let mut done: Vec<Work> = Vec::new();
    while !waiting.is_empty() {
        let before = waiting.len();
        let mut later = Vec::new();
        for (id, key, value) in waiting {
            let blocked = needs(value)
                .iter()
                .any(|n| names.iter().any(|name| name == n) && scope.get(n).is_none());
            if blocked {
                later.push((id, key, value));
                continue;
            }
            check_free(&id, key.place, out);
            if let Some((work, meaning)) = work(&id, key.place, value, scope, out) {
                scope.add(
                    &id,
                    if id == TEST_NUMBER {
                        Meaning::Broken
                    } else {
                        meaning
                    },
                );
                done.push(work);
            } else {
                // Known, so that what needs it is not reported as well.
                scope.add(&id, Meaning::Broken);
            }
        }
        if later.len() == before {
            let (_, key, _) = &later[0];
            let ring: Vec<&str> = later.iter().map(|(id, ..)| id.as_str()).collect();
            out.error(
                code::CIRCULAR,
                key.place,
                format!(
                    "these values need each other, so none can be worked first: {}",
                    ring.join(", ")
                ),
                "let one of them be made from readings alone",
            );
            scope.declared(&names);
            break;
        }
        waiting = later;
    }
    done
}

/// What a worked value may need: the texts in the inputs of its calculation.
fn needs(node: &Node) -> Vec<&str> {
    match &node.tree {
        Tree::Map(pairs) => pairs
            .iter()
            .filter(|(key, _)| !is_own(key))
            .flat_map(|(_, value)| mentioned(value))
            .collect(),
        _ => Vec::new(),
    }
}

/// All texts below a node.
fn mentioned(node: &Node) -> Vec<&str> {
    match &node.tree {
        Tree::Text(text) => vec![text],
        Tree::List(items) => items.iter().flat_map(mentioned).collect(),
        Tree::Map(pairs) => pairs
            .iter()
            .flat_map(|(_, value)| mentioned(value))
            .collect(),
        Tree::Empty => Vec::new(),
    }
}

fn work(
    id: &str,
    place: Place,
    node: &Node,
    scope: &Scope,
    out: &mut Findings,
) -> Option<(Work, Meaning)> {
    let Tree::Map(pairs) = &node.tree else {
        out.error(
            code::WRONG_SHAPE,
            node.place,
            format!(
                "`{id}` wants a calculation with its inputs, but here is {}",
                node.kind()
            ),
            match node.text().and_then(meant::as_calculation) {
                Some(written) => format!("write {{{written}}}"),
                None => "write for example {hole: {flow: smoke-flow, pressure: smoke-pressure}}"
                    .to_owned(),
            },
        );
        return None;
    };
    let own = |key: &str| {
        pairs
            .iter()
            .find(|(k, _)| k.text() == Some(key))
            .map(|(_, v)| v)
    };
    let mut named = pairs.iter().filter(|(k, _)| !is_own(k));
    let Some((key, inputs)) = named.next() else {
        out.error(
            code::MISSING_KEY,
            place,
            format!("`{id}` names no calculation"),
            format!("add one of these with its inputs: {}", known_calculations()),
        );
        return None;
    };
    if let Some((extra, _)) = named.next() {
        let word = extra.text().unwrap_or_default();
        out.error(
            code::UNKNOWN_KEY,
            extra.place,
            format!("`{word}` stands beside the calculation of `{id}`"),
            match beside(word) {
                Some(own) => format!("write `{own}`"),
                None => format!(
                    "put inputs inside the braces of `{}`; beside it may stand: {}",
                    key.text().unwrap_or_default(),
                    keys::WORKED.names().join(", ")
                ),
            },
        );
        return None;
    }
    let calculation = find(key, inputs, out)?;
    let take = take(own("take"), calculation, out);
    let args = args(inputs, calculation, scope, out);
    let (take, args) = (take?, args?);
    that_go_together(calculation, &args, inputs.place, scope, out)?;
    let (unit, meaning) = result(calculation, take, &args, own("unit"), place, scope, out)?;
    let name = match own("name") {
        Some(node) => text_of(node, "name", out)?,
        None => id.replace('-', " "),
    };
    Some((
        Work {
            id: id.to_owned(),
            name,
            calculation,
            take,
            inputs: args,
            unit,
            place,
            written: Written {
                calculation: key.place,
                take: own("take").map(|node| node.place),
                inputs: places_of(inputs),
            },
        },
        meaning,
    ))
}

/// Where the inputs are written by their names.
fn places_of(inputs: &Node) -> Vec<(String, Place)> {
    let Tree::Map(pairs) = &inputs.tree else {
        return Vec::new();
    };
    let named = pairs
        .iter()
        .filter_map(|(key, _)| Some((key.text()?.to_owned(), key.place)));
    named.collect()
}

fn known_calculations() -> String {
    let names: Vec<&str> = crate::physics::all().iter().map(|c| c.name).collect();
    names.join(", ")
}

fn find(key: &Node, inputs: &Node, out: &mut Findings) -> Option<&'static Calculation> {
    let word = key.text().unwrap_or_default();
    let found = crate::physics::find(word);
    if found.is_none() {
        if inputs.tree == Tree::Empty
            && let Some(written) = meant::as_calculation(word)
        {
            out.error(
                code::UNKNOWN_CALCULATION,
                key.place,
                format!("there is no calculation `{word}`"),
                format!("write {written} in its place"),
            );
            return None;
        }
        if let Some(written) = inputs.text().and_then(meant::as_calculation) {
            out.error(
                code::UNKNOWN_CALCULATION,
                key.place,
                format!("there is no calculation `{word}`"),
                format!("write {written} in its place"),
            );
            return None;
        }
        let known = crate::physics::all().iter().map(|c| c.name);
        out.unknown(
            code::UNKNOWN_CALCULATION,
            key.place,
            "calculation",
            word,
            known,
        );
    }
    found
}

fn take(node: Option<&Node>, calculation: &Calculation, out: &mut Findings) -> Option<usize> {
    let Some(node) = node else { return Some(0) };
    let word = text_of(node, "take", out)?;
    let found = calculation
        .outputs
        .iter()
        .position(|output| output.id == word);
    if found.is_none() {
        let known = calculation.outputs.iter().map(|o| o.id);
        out.unknown(code::WRONG_INPUT, node.place, "result", &word, known);
    }
    found
}

/// The unit that the result is shown in, and what it stands for.
fn result(
    calculation: &Calculation,
    take: usize,
    args: &[(&'static str, Arg)],
    unit: Option<&Node>,
    place: Place,
    scope: &Scope,
    out: &mut Findings,
) -> Option<(Option<Unit>, Meaning)> {
    let usual = match calculation.outputs[take].kind {
        OutputKind::OwnUnit(by) => written_unit(by, args, place, calculation, out)?,
        OutputKind::Text if calculation.outputs[take].words.is_empty() => {
            return free_result(calculation, take, place, out);
        }
        OutputKind::Text => {
            let words = calculation.outputs[take]
                .words
                .iter()
                .map(|w| (*w).to_owned())
                .collect();
            return Some((None, Meaning::Words(words)));
        }
        OutputKind::Quantity(dimension, name) => {
            Unit::parse(name).unwrap_or(Unit::default_for(dimension))
        }
        OutputKind::SameAsInput => args.iter().find_map(|(_, arg)| unit_of(arg, scope))?,
        OutputKind::StepOfInput => {
            let unit = args.iter().find_map(|(_, arg)| unit_of(arg, scope))?;
            // 8 degrees warmer is no temperature of 8 C: a scale with its own zero shows no steps.
            match unit.dimension() {
                Dimension::Temperature => kelvin(),
                _ => unit,
            }
        }
    };
    let Some(node) = unit else {
        return Some((Some(usual), Meaning::Number(usual.dimension(), usual)));
    };
    let text = text_of(node, "unit", out)?;
    // In K it may be so much warmer, which no scale with its own zero shows.
    let is_step = usual.dimension() == Dimension::Temperature
        && usual.has_true_zero()
        && of_inputs(calculation, take);
    let (message, help) = match Unit::parse(&text) {
        Ok(unit) if unit.dimension() == usual.dimension() => {
            if !is_step || unit.has_true_zero() {
                return Some((Some(unit), Meaning::Number(unit.dimension(), unit)));
            }
            (
                format!(
                    "the result is in kelvin, as differences of temperatures are, and {unit} is a scale with its own zero: \
                     8 K warmer is not {}",
                    unit.show(8.0)
                ),
                "write unit: K; so much in K is as much in steps of C, and 1.8 times as much in steps of F".to_owned(),
            )
        }
        _ => (
            format!(
                "the result is {}, which is not written in `{text}`",
                a(usual.dimension())
            ),
            unknown_unit(None, usual.name()),
        ),
    };
    out.error(code::WRONG_DIMENSION, node.place, message, help);
    None
}

/// Whether a result is of the kind of the inputs, whatever that is.
fn of_inputs(calculation: &Calculation, take: usize) -> bool {
    matches!(
        calculation.outputs[take].kind,
        OutputKind::StepOfInput | OutputKind::SameAsInput
    )
}

/// The unit that follows from a text which the flow itself writes.
fn written_unit(
    by: UnitBy,
    args: &[(&'static str, Arg)],
    place: Place,
    calculation: &Calculation,
    out: &mut Findings,
) -> Option<Unit> {
    let written = args.iter().find_map(|(name, arg)| match arg {
        Arg::Word(text) if *name == by.input => Some(text),
        _ => None,
    });
    let unit = written.and_then(|text| (by.unit)(text));
    if unit.is_none() {
        out.error(
            code::WRONG_INPUT,
            place,
            format!(
                "the unit of `{}` follows from its `{}`, which is not one known here",
                calculation.name, by.input
            ),
            format!("write its `{}` here, one of: {}", by.input, (by.known)()),
        );
    }
    unit
}

fn kelvin() -> Unit {
    Unit::parse("K").unwrap_or(Unit::default_for(Dimension::Temperature))
}

/// A result that no condition can be about, since what it says is not known beforehand.
fn free_result<T>(
    calculation: &Calculation,
    take: usize,
    place: Place,
    out: &mut Findings,
) -> Option<T> {
    let fixed: Vec<&str> = calculation
        .outputs
        .iter()
        .filter(|o| !(o.kind == OutputKind::Text && o.words.is_empty()))
        .map(|o| o.id)
        .collect();
    let id = calculation.outputs[take].id;
    out.error(
        code::WRONG_INPUT,
        place,
        format!(
            "`{id}` of `{}` is free text, so no flow can judge it",
            calculation.name
        ),
        format!(
            "say beside the calculation which result is taken: {{{}: ..., take: {}}}; one of: {}",
            calculation.name,
            fixed.first().unwrap_or(&"..."),
            fixed.join(", ")
        ),
    );
    None
}
