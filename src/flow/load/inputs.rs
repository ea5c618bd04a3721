//! Loading the inputs of a worked value: each from a reading, a fact, another worked value or a
//! constant, with its dimension checked against what the calculation takes.

use super::super::finding::code;
use super::super::model::Arg;
use super::super::node::{Node, Place, Tree};
use super::fields::{Findings, text_of};
use super::meant;
use super::near::{listed, nearest};
use super::points::points;
use super::quantities::{a, parse_quantity};
use super::scope::{Meaning, Scope};
use crate::physics::calculation::{Calculation, Input, Kind};
use crate::units::{Dimension, Quantity, Unit};

pub(super) fn args(
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
            let meant = only_one_lacking(&pairs, calculation);
            let help = match (beside(name), nearest(name, &known)) {
                (Some(own), _) => format!(
                    "it stands beside the calculation, outside its braces: {{{}: ..., {own}: {}}}",
                    calculation.name,
                    value.text().unwrap_or("...")
                ),
                (None, Some(near)) => format!("did you mean `{near}`?"),
                (None, None) => match meant {
                    Some(meant) => format!(
                        "write {}: in its place, which `{}` needs; its inputs are: {}",
                        meant,
                        calculation.name,
                        known.join(", ")
                    ),
                    None => format!("its inputs are: {}", known.join(", ")),
                },
            };
            out.error(
                code::WRONG_INPUT,
                *place,
                format!("`{}` has no input `{name}`", calculation.name),
                help,
            );
            sound = false;
            continue;
        };
        if let Some((message, help)) = meant_for_another(value, input, calculation, scope) {
            out.error(code::WRONG_DIMENSION, value.place, message, help);
            sound = false;
            continue;
        }
        match arg(value, input, scope, out) {
            Some(arg) => loaded.push((input.name, arg)),
            None => sound = false,
        }
    }
    for input in calculation.inputs.iter().filter(|i| i.needed) {
        // Under another name it was reported as unknown, with this one as the remedy.
        let given = |name: &str| name == input.name || nearest(name, &[input.name]).is_some();
        let renamed = only_one_lacking(&pairs, calculation) == Some(input.name);
        if !renamed && !pairs.iter().any(|(name, ..)| given(name)) {
            out.error(
                code::WRONG_INPUT,
                node.place,
                format!("`{}` lacks its input `{}`", calculation.name, input.name),
                format!("add {}: with {}", input.name, input.help),
            );
            sound = false;
        }
    }
    let names: Vec<&str> = pairs.iter().map(|(name, ..)| *name).collect();
    sound &= has_points(&names, calculation, node.place, out);
    sound.then_some(loaded)
}

/// The input that was meant by another name: where one name is not known, and one input that is needed lacks.
fn only_one_lacking(
    pairs: &[(&str, Place, &Node)],
    calculation: &'static Calculation,
) -> Option<&'static str> {
    let is_known = |name: &str| calculation.inputs.iter().any(|input| input.name == name);
    let is_own = |name: &str| is_known(name) || beside(name).is_some();
    let unknown = pairs.iter().filter(|(name, ..)| !is_own(name)).count();
    let given = |name: &str| pairs.iter().any(|(other, ..)| *other == name);
    let mut lacking = calculation
        .inputs
        .iter()
        .filter(|i| i.needed && !given(i.name));
    match (unknown, lacking.next(), lacking.next()) {
        (1, Some(only), None) => Some(only.name),
        _ => None,
    }
}

/// Whether one set of points is given, where a calculation takes one of several and works nothing without.
fn has_points(
    names: &[&str],
    calculation: &'static Calculation,
    place: Place,
    out: &mut Findings,
) -> bool {
    let one_of = calculation.inputs.iter();
    let one_of = one_of.filter(|input| !input.needed && matches!(input.kind, Kind::Points(_)));
    let one_of: Vec<&str> = one_of.map(|input| input.name).collect();
    let [first, _, ..] = one_of[..] else {
        return true;
    };
    // Under another name it was reported as unknown, with this one as the remedy.
    let fine = names.iter().any(|name| nearest(name, &one_of).is_some());
    if !fine {
        out.error(
            code::WRONG_INPUT,
            place,
            format!(
                "`{}` lacks its points, and works nothing without them: `{}`",
                calculation.name,
                one_of.join("` or `")
            ),
            format!("add {first}: with the id of a reading that has `pairs`"),
        );
    }
    fine
}

/// Reports a list in which nothing stands.
pub(super) fn nothing_in(node: &Node, name: &str, out: &mut Findings) {
    out.error(
        code::NO_VALUE,
        node.place,
        format!("the list of `{name}` is empty"),
        "name in it what is read, or delete it",
    );
}

/// The key beside a calculation that is meant by a word among its inputs.
pub(super) fn beside(word: &str) -> Option<&'static str> {
    Some(match word {
        "unit" | "units" | "to" | "into" | "in" | "as" | "to unit" => "unit",
        "take" | "result" | "output" | "give" | "get" => "take",
        "name" | "title" => "name",
        _ => return None,
    })
}

/// Says of a value of another kind that there is an input for just that in place of this one: a throttle angle
/// where a share is wanted.
fn meant_for_another(
    node: &Node,
    input: &Input,
    calculation: &Calculation,
    scope: &Scope,
) -> Option<(String, String)> {
    let Kind::Quantity(wanted) = input.kind else {
        return None;
    };
    let text = node.text()?;
    let found = match scope.get(text) {
        Some(Meaning::Number(dimension, _)) => *dimension,
        Some(_) => return None,
        None => text.parse::<Quantity>().ok()?.dimension(),
    };
    let in_place = format!("in place of `{}`", input.name);
    let other = calculation
        .inputs
        .iter()
        .find(|other| other.kind == Kind::Quantity(found) && other.help.contains(&in_place));
    let other = other.filter(|_| found != wanted)?;
    Some((
        format!(
            "`{}` is {}, but `{text}` is {}",
            input.name,
            a(wanted),
            a(found)
        ),
        format!("there is an input for it: write {}: {text}", other.name),
    ))
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
        Kind::Text => {
            let text = text_of(node, input.name, out)?;
            Some(match scope.get(&text) {
                Some(Meaning::Broken) => return None,
                Some(Meaning::Words(_)) => Arg::Of(text),
                _ => Arg::Word(text),
            })
        }
        Kind::Points(fields) => points(node, fields, input.name, scope, out),
        // One value is a list of one.
        Kind::List(dimension) if node.text().is_some() => {
            scalar(node, Some(*dimension), input.name, scope, out).map(|arg| Arg::List(vec![arg]))
        }
        Kind::List(dimension) => list(node, Some(*dimension), input.name, scope, out),
        Kind::ListAny if stands_for_one(node, scope) => {
            scalar(node, None, input.name, scope, out).map(|arg| Arg::List(vec![arg]))
        }
        Kind::ListAny => list(node, None, input.name, scope, out),
    }
}

/// Whether a text is one number by itself: an id that has one, or a quantity.
fn stands_for_one(node: &Node, scope: &Scope) -> bool {
    node.text().is_some_and(|text| {
        matches!(scope.get(text), Some(Meaning::Number(..))) || text.parse::<Quantity>().is_ok()
    })
}

pub(super) fn scalar(
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
            match node.text().and_then(meant::two_parted) {
                Some((one, other)) => format!("write it in square brackets: [{one}, {other}]"),
                None => "write it in square brackets: [one, other]".to_owned(),
            },
        );
        return None;
    };
    if items.is_empty() {
        nothing_in(node, name, out);
        return None;
    }
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
            match (of(&args[0]), of(&args[odd])) {
                (Some(one), Some(other)) => format!(
                    "these are not of one kind: {} is {}, and {} is {}",
                    items[0].kind(),
                    a(one),
                    items[odd].kind(),
                    a(other)
                ),
                _ => format!(
                    "{} and {} are not of one kind",
                    items[0].kind(),
                    items[odd].kind()
                ),
            },
            "name values of one kind, such as two pressures",
        );
        return None;
    }
    Some(Arg::List(args))
}
