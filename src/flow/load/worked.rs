//! Loading worked values: a calculation by name, each input from a reading, a fact, another worked
//! value or a constant, and the dimensions of all of them checked.

use super::super::finding::code;
use super::super::model::{Arg, Work};
use super::super::node::{Node, Place, Tree};
use super::fields::{Findings, listed, nearest, text_of};
use super::prompts::entries;
use super::quantities::{a, parse_quantity, unknown_unit};
use super::scope::{Meaning, Scope};
use crate::physics::calculation::{Calculation, Field, Input, Kind, OutputKind};
use crate::units::{Dimension, Quantity, Unit};

/// Keys of a worked value that are not the name of a calculation.
const OWN_KEYS: [&str; 3] = ["name", "take", "unit"];

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
            if let Some((work, meaning)) = work(&id, key.place, value, scope, out) {
                scope.add(&id, meaning);
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
            .filter(|(key, _)| !OWN_KEYS.contains(&key.text().unwrap_or_default()))
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
            "write for example {hole: {flow: smoke-flow, pressure: smoke-pressure}}",
        );
        return None;
    };
    let own = |key: &str| {
        pairs
            .iter()
            .find(|(k, _)| k.text() == Some(key))
            .map(|(_, v)| v)
    };
    let mut named = pairs
        .iter()
        .filter(|(k, _)| !OWN_KEYS.contains(&k.text().unwrap_or_default()));
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
            format!(
                "put inputs inside the braces of `{}`; beside it may stand: name, take, unit",
                key.text().unwrap_or_default()
            ),
        );
        return None;
    }
    let calculation = find(key, out)?;
    let take = take(own("take"), calculation, out);
    let args = args(inputs, calculation, scope, out);
    let (take, args) = (take?, args?);
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
        },
        meaning,
    ))
}

fn known_calculations() -> String {
    let names: Vec<&str> = crate::physics::all().iter().map(|c| c.name).collect();
    names.join(", ")
}

fn find(key: &Node, out: &mut Findings) -> Option<&'static Calculation> {
    let word = key.text().unwrap_or_default();
    let found = crate::physics::find(word);
    if found.is_none() {
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

fn args(
    node: &Node,
    calculation: &'static Calculation,
    scope: &Scope,
    out: &mut Findings,
) -> Option<Vec<(&'static str, Arg)>> {
    // `{ratio: [a, b]}` is short for a calculation with one input.
    let single;
    let pairs: Vec<(&str, Place, &Node)> = match &node.tree {
        Tree::Map(pairs) => pairs
            .iter()
            .map(|(k, v)| (k.text().unwrap_or_default(), k.place, v))
            .collect(),
        _ if calculation.inputs.iter().filter(|i| i.needed).count() == 1 => {
            single = calculation.inputs.iter().find(|i| i.needed)?;
            vec![(single.name, node.place, node)]
        }
        _ => {
            let names: Vec<&str> = calculation.inputs.iter().map(|i| i.name).collect();
            out.error(
                code::WRONG_SHAPE,
                node.place,
                format!("`{}` needs its inputs by name", calculation.name),
                format!("its inputs are: {}", names.join(", ")),
            );
            return None;
        }
    };
    let mut loaded = Vec::new();
    let mut sound = true;
    for (name, place, value) in &pairs {
        let Some(input) = calculation.inputs.iter().find(|i| i.name == *name) else {
            let known: Vec<&str> = calculation.inputs.iter().map(|i| i.name).collect();
            let help = nearest(name, &known).map_or_else(
                || format!("its inputs are: {}", known.join(", ")),
                |near| format!("did you mean `{near}`?"),
            );
            out.error(
                code::WRONG_INPUT,
                *place,
                format!("`{}` has no input `{name}`", calculation.name),
                help,
            );
            sound = false;
            continue;
        };
        match arg(value, input, scope, out) {
            Some(arg) => loaded.push((input.name, arg)),
            None => sound = false,
        }
    }
    for input in calculation.inputs.iter().filter(|i| i.needed) {
        // Under another name it was reported as unknown, with this one as the remedy.
        let given = |name: &str| name == input.name || nearest(name, &[input.name]).is_some();
        if !pairs.iter().any(|(name, ..)| given(name)) {
            out.error(
                code::WRONG_INPUT,
                node.place,
                format!("`{}` lacks its input `{}`", calculation.name, input.name),
                format!("add {}: with {}", input.name, input.help),
            );
            sound = false;
        }
    }
    sound.then_some(loaded)
}

fn arg(node: &Node, input: &Input, scope: &Scope, out: &mut Findings) -> Option<Arg> {
    match &input.kind {
        Kind::Quantity(dimension) => scalar(node, Some(*dimension), input.name, scope, out),
        Kind::Count => scalar(node, Some(Dimension::Count), input.name, scope, out),
        Kind::Word(words) => word(node, words, input.name, scope, out),
        Kind::Coefficient => {
            let text = text_of(node, input.name, out)?;
            if matches!(text.as_str(), "sharp" | "rounded") || text.parse::<f64>().is_ok() {
                return Some(Arg::Word(text));
            }
            out.unknown(
                code::UNKNOWN_WORD,
                node.place,
                "coefficient",
                &text,
                ["sharp", "rounded", "a number such as 0.61"],
            );
            None
        }
        Kind::Text => text_of(node, input.name, out).map(Arg::Word),
        Kind::Points(fields) => points(node, fields, input.name, scope, out),
        // One value is a list of one.
        Kind::List(dimension) if node.text().is_some() => {
            scalar(node, Some(*dimension), input.name, scope, out).map(|arg| Arg::List(vec![arg]))
        }
        Kind::List(dimension) => list(node, Some(*dimension), input.name, scope, out),
        Kind::ListAny => list(node, None, input.name, scope, out),
    }
}

fn scalar(
    node: &Node,
    dimension: Option<Dimension>,
    name: &str,
    scope: &Scope,
    out: &mut Findings,
) -> Option<Arg> {
    let text = text_of(node, name, out)?;
    if let Some(meaning) = scope.get(&text) {
        return match (meaning, dimension) {
            (Meaning::Number(found, _), Some(wanted)) if *found != wanted => {
                out.error(
                    code::WRONG_DIMENSION,
                    node.place,
                    format!("`{name}` is {}, but `{text}` is {}", a(wanted), a(*found)),
                    like_it(scope, wanted),
                );
                None
            }
            (Meaning::Number(..), _) => Some(Arg::Of(text)),
            (Meaning::Broken, _) => None,
            _ => {
                out.error(
                    code::WRONG_DIMENSION,
                    node.place,
                    format!("`{name}` wants a number, and `{text}` is not one"),
                    "name a reading that has a unit",
                );
                None
            }
        };
    }
    if text.starts_with(|c: char| c.is_ascii_alphabetic()) {
        out.unknown(
            code::UNKNOWN_ID,
            node.place,
            "reading, fact or worked value",
            &text,
            scope.ids(),
        );
        return None;
    }
    let like = dimension.map_or("kPa", |d| Unit::default_for(d).name());
    let quantity: Quantity = parse_quantity(&text, node.place, name, like, out)?;
    match dimension {
        Some(wanted) if quantity.dimension() != wanted => {
            out.error(
                code::WRONG_DIMENSION,
                node.place,
                format!(
                    "`{name}` is {}, but `{quantity}` is {}",
                    a(wanted),
                    a(quantity.dimension())
                ),
                format!(
                    "write it in a unit of {wanted}, such as {} {like}",
                    quantity.value()
                ),
            );
            None
        }
        _ => Some(Arg::Constant(quantity)),
    }
}

/// Which ids have a dimension, for a remedy.
fn like_it(scope: &Scope, wanted: Dimension) -> String {
    let fits = |id: &&str| matches!(scope.get(id), Some(Meaning::Number(d, _)) if *d == wanted);
    let ids: Vec<&str> = scope.ids().filter(fits).collect();
    if ids.is_empty() {
        format!("no reading of this flow is {} yet: add one", a(wanted))
    } else {
        format!("these are of that kind: {}", listed(&ids))
    }
}

fn word(node: &Node, words: &[&str], name: &str, scope: &Scope, out: &mut Findings) -> Option<Arg> {
    let text = text_of(node, name, out)?;
    if words.contains(&text.as_str()) {
        return Some(Arg::Word(text));
    }
    match scope.get(&text) {
        Some(Meaning::Broken) => None,
        Some(Meaning::Words(choices)) => {
            if let Some(odd) = choices.iter().find(|c| !words.contains(&c.as_str())) {
                out.error(
                    code::UNKNOWN_WORD,
                    node.place,
                    format!("`{text}` can be `{odd}`, which `{name}` does not take"),
                    format!("its choices must be among: {}", words.join(", ")),
                );
                return None;
            }
            Some(Arg::Of(text))
        }
        _ => {
            out.unknown(
                code::UNKNOWN_WORD,
                node.place,
                "choice",
                &text,
                words.iter().copied(),
            );
            None
        }
    }
}

fn list(
    node: &Node,
    dimension: Option<Dimension>,
    name: &str,
    scope: &Scope,
    out: &mut Findings,
) -> Option<Arg> {
    let Tree::List(items) = &node.tree else {
        out.error(
            code::WRONG_SHAPE,
            node.place,
            format!("`{name}` is a list, but here is {}", node.kind()),
            "write it in square brackets: [one, other]",
        );
        return None;
    };
    let args: Vec<_> = items
        .iter()
        .map(|item| scalar(item, dimension, name, scope, out))
        .collect();
    let args: Vec<Arg> = args.into_iter().collect::<Option<_>>()?;
    let of = |arg: &Arg| match arg {
        Arg::Of(id) => match scope.get(id) {
            Some(Meaning::Number(dimension, _)) => Some(*dimension),
            _ => None,
        },
        Arg::Constant(q) => Some(q.dimension()),
        _ => None,
    };
    if let Some(odd) = args.iter().position(|arg| of(arg) != of(&args[0])) {
        out.error(
            code::WRONG_DIMENSION,
            items[odd].place,
            format!("the values of `{name}` are not of one kind"),
            "list values of one dimension",
        );
        return None;
    }
    Some(Arg::List(args))
}

fn points(
    node: &Node,
    fields: &'static [Field],
    name: &str,
    scope: &Scope,
    out: &mut Findings,
) -> Option<Arg> {
    match &node.tree {
        Tree::Text(id) => match scope.get(id) {
            Some(Meaning::Pairs(first, second))
                if [*first, *second] == [fields[0].dimension, fields[1].dimension] =>
            {
                Some(Arg::PairsOf(id.clone()))
            }
            Some(Meaning::Broken) => None,
            Some(_) => {
                out.error(
                    code::WRONG_DIMENSION,
                    node.place,
                    format!(
                        "`{name}` wants pairs of {} and {}, which `{id}` is not",
                        fields[0].dimension, fields[1].dimension
                    ),
                    "name a reading with `pairs` of these two",
                );
                None
            }
            None => {
                out.unknown(code::UNKNOWN_ID, node.place, "reading", id, scope.ids());
                None
            }
        },
        Tree::List(items) => {
            let rows: Vec<_> = items
                .iter()
                .map(|item| row(item, fields, scope, out))
                .collect();
            let rows: Option<Vec<_>> = rows.into_iter().collect();
            rows.map(Arg::Rows)
        }
        _ => {
            out.error(
                code::WRONG_SHAPE,
                node.place,
                format!("`{name}` is a list of points, but here is {}", node.kind()),
                "write one point a line: - {airflow: idle-airflow, trim: idle-trim}",
            );
            None
        }
    }
}

fn row(
    node: &Node,
    fields: &'static [Field],
    scope: &Scope,
    out: &mut Findings,
) -> Option<Vec<Option<Arg>>> {
    let keys: Vec<&str> = fields.iter().map(|f| f.name).collect();
    let read = super::fields::Fields::of(node, "a point", &keys, out)?;
    let mut row = Vec::new();
    for field in fields {
        let value = if field.needed {
            read.need(field.name, out)
        } else {
            read.get(field.name)
        };
        row.push(match value {
            Some(value) => Some(scalar(
                value,
                Some(field.dimension),
                field.name,
                scope,
                out,
            )?),
            None if field.needed => return None,
            None => None,
        });
    }
    Some(row)
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
        OutputKind::OwnUnit => return free_result(calculation, take, place, out),
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
        OutputKind::SameAsInput | OutputKind::StepOfInput => {
            args.iter().find_map(|(_, arg)| unit_of(arg, scope))?
        }
    };
    let Some(node) = unit else {
        return Some((Some(usual), Meaning::Number(usual.dimension(), usual)));
    };
    let text = text_of(node, "unit", out)?;
    match Unit::parse(&text) {
        Ok(unit) if unit.dimension() == usual.dimension() => {
            Some((Some(unit), Meaning::Number(unit.dimension(), unit)))
        }
        _ => {
            out.error(
                code::WRONG_DIMENSION,
                node.place,
                format!(
                    "the result is {}, which is not written in `{text}`",
                    a(usual.dimension())
                ),
                unknown_unit(None, usual.name()),
            );
            None
        }
    }
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
        .filter(|o| {
            !(o.kind == OutputKind::OwnUnit || o.kind == OutputKind::Text && o.words.is_empty())
        })
        .map(|o| o.id)
        .collect();
    let id = calculation.outputs[take].id;
    out.error(
        code::WRONG_INPUT,
        place,
        format!(
            "`{id}` of `{}` is free text or has no fixed unit, so no flow can judge it",
            calculation.name
        ),
        format!("take one of: {}", fixed.join(", ")),
    );
    None
}

fn unit_of(arg: &Arg, scope: &Scope) -> Option<Unit> {
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
