//! Loading what causes look like: `shows` and `healthy`, reading by reading, and `effect`.

use super::super::condition::{ANOTHER_PLACE, NOWHERE};
use super::super::finding::code;
use super::super::likelihood;
use super::super::model::Cause;
use super::super::node::{Node, Place, Tree};
use super::super::signature::{Effect, SensorFault, Shown, Shows, ValveFault};
use super::super::system;
use super::fields::{Findings, text_of};
use super::meant;
use super::near::nearest;
use super::quantities::{cut_by_comma, fits, is_cut_off, parse_quantity, range};
use super::scope::{Meaning, Scope};
use crate::units::{Dimension, Quantity};

/// Loads `shows` or `healthy`: what readings and worked values show.
pub fn shows(node: &Node, what: &str, scope: &Scope, out: &mut Findings) -> Vec<Shows> {
    let Tree::Map(pairs) = &node.tree else {
        out.error(
            code::WRONG_SHAPE,
            node.place,
            format!(
                "{what} says reading by reading what it shows, but here is {}",
                node.kind()
            ),
            "write for example {smoke-flow: 3..9 L/min, seen-at: {cap: very likely}}",
        );
        return Vec::new();
    };
    let mut cut = false;
    pairs
        .iter()
        .enumerate()
        .filter_map(|(n, (key, value))| {
            // The other part of a number that a comma has cut in two.
            if std::mem::take(&mut cut) {
                return None;
            }
            let id = key.text().unwrap_or_default();
            if let Some((rest, _)) = pairs.get(n + 1).filter(|(k, v)| is_cut_off(k, v))
                && value
                    .text()
                    .is_some_and(|text| text.ends_with(|c: char| c.is_ascii_digit()))
            {
                cut = true;
                cut_by_comma(value, rest, id, out);
                return None;
            }
            let Some(meaning) = scope.get(id) else {
                if ["odds", "repair", "hand-on"]
                    .iter()
                    .any(|own| value.below(own).is_some())
                {
                    out.error(
                        code::UNKNOWN_ID,
                        key.place,
                        format!("`{id}` is a cause, and {what} says what is read"),
                        "write a line causes: above the first cause, in column 1",
                    );
                    return None;
                }
                out.unknown(
                    code::UNKNOWN_ID,
                    key.place,
                    "reading or worked value",
                    id,
                    scope.ids(),
                );
                return None;
            };
            let what = shown(id, meaning, value, out)?;
            Some(Shows {
                id: id.to_owned(),
                what,
                place: value.place,
            })
        })
        .collect()
}

fn shown(id: &str, meaning: &Meaning, node: &Node, out: &mut Findings) -> Option<Shown> {
    match meaning {
        Meaning::Number(dimension, unit) => {
            let (range_alone, either_way) = either_way(node);
            let (from, to) = range(&range_alone, *dimension, unit.name(), id, out)?;
            if either_way {
                let point = !unit.has_true_zero() || !to.unit().has_true_zero();
                let fine = if point {
                    no_point(id, node.place, out)
                } else {
                    mirrors(from, to, id, node.place, out)
                };
                fine.then_some(())?;
            }
            Some(if either_way {
                Shown::EitherWay(from, to)
            } else {
                Shown::Range(from, to)
            })
        }
        Meaning::Words(known) => words(node, known, &[], out).map(Shown::Words),
        Meaning::Places(known) => {
            words(node, known, &[NOWHERE, ANOTHER_PLACE], out).map(Shown::Words)
        }
        Meaning::Broken => None,
        Meaning::Pairs(..) => {
            out.error(
                code::WRONG_SHAPE,
                node.place,
                format!("`{id}` is a set of pairs, which shows nothing by itself"),
                "name a worked value that is made from it",
            );
            None
        }
    }
}

/// A word by itself, or the first of a list.
fn first_word(node: &Node) -> Option<&str> {
    match &node.tree {
        Tree::List(items) => items.first()?.text(),
        _ => node.text(),
    }
}

fn words(
    node: &Node,
    known: &[String],
    extra: &[&str],
    out: &mut Findings,
) -> Option<Vec<(String, f64)>> {
    let Tree::Map(pairs) = &node.tree else {
        out.error(
            code::WRONG_SHAPE,
            node.place,
            format!("a word's likelihood is wanted, but here is {}", node.kind()),
            match first_word(node) {
                Some(word) if known.iter().any(|k| k == word) || extra.contains(&word) => {
                    format!("write how likely it is: {{{word}: very likely}}")
                }
                _ => "write for example {cap: very likely}".to_owned(),
            },
        );
        return None;
    };
    let mut loaded = Vec::new();
    for (key, value) in pairs {
        let word = key.text().unwrap_or_default();
        if !known.is_empty() && !known.iter().any(|k| k == word) && !extra.contains(&word) {
            let known = known
                .iter()
                .map(String::as_str)
                .chain(extra.iter().copied());
            let what = if extra.is_empty() { "choice" } else { "place" };
            out.unknown(code::UNKNOWN_WORD, key.place, what, word, known);
            continue;
        }
        let text = text_of(value, word, out)?;
        let Some(likely) = likelihood::parse(&text) else {
            bad_likelihood(&text, value.place, out);
            continue;
        };
        loaded.push((word.to_owned(), likely));
    }
    Some(loaded)
}

/// The shares that can be meant.
const BETWEEN: &str = "write a share above 0 % and below 100 %";

/// Reports words that are no likelihood.
pub fn bad_likelihood(text: &str, place: Place, out: &mut Findings) {
    let words = likelihood::WORDS.map(|(word, ..)| word);
    let figure: Option<f64> = text
        .trim_end_matches(['%', ' '])
        .replacen(',', ".", 1)
        .parse()
        .ok();
    let even = [
        "fifty-fifty",
        "50-50",
        "50:50",
        "50/50",
        "half",
        "maybe",
        "possible",
    ];
    let help = match nearest(text, &words) {
        // What is impossible is no cause, and nothing is certain before it is seen.
        None if figure.is_some_and(|share| share <= 0.0 || share >= 100.0) || text == "1" => {
            BETWEEN.to_owned()
        }
        None if even.contains(&text.to_lowercase().as_str()) => {
            "write roughly even chance".to_owned()
        }
        // A part of one; 1 by itself may be either.
        None if figure.is_some_and(|share| (0.0..1.0).contains(&share)) && !text.contains('%') => {
            format!("write {} %", meant::in_percent(figure.unwrap_or_default()))
        }
        None if text.contains(['%', ',']) && figure.is_some() => {
            format!("{BETWEEN}, with a point before decimals, such as 12.5 %")
        }
        Some(near) => format!("did you mean `{near}`?"),
        None if text
            .parse::<f64>()
            .is_ok_and(|share| (1.0..100.0).contains(&share)) =>
        {
            format!("write {text} %")
        }
        None => format!(
            "write one of: {}; or a share such as 15 %",
            words.join(", ")
        ),
    };
    let message = format!("`{text}` does not say how likely");
    out.error(code::UNKNOWN_WORD, place, message, help);
}

/// Loads the signatures of causes that are loaded already, once readings and worked values are known.
pub fn of_causes(node: &Node, causes: &mut [Cause], scope: &Scope, out: &mut Findings) {
    let Tree::Map(pairs) = &node.tree else { return };
    for (key, value) in pairs {
        let Some(cause) = causes
            .iter_mut()
            .find(|c| Some(c.id.as_str()) == key.text())
        else {
            continue;
        };
        if let Some(node) = value.below("shows") {
            cause.shows = shows(node, "`shows`", scope, out);
        }
        if let Some(node) = value.below("effect") {
            (cause.effects, cause.effects_at) = effects(node, out).into_iter().unzip();
        }
    }
}

fn effects(node: &Node, out: &mut Findings) -> Vec<(Effect, Place)> {
    const LIKE: &str = "write for example {hole: 1..6 mm at intake}, {valve purge: stuck open} or {sensor manifold-pressure: offset 6..12 kPa}";
    let Tree::Map(pairs) = &node.tree else {
        out.error(
            code::WRONG_SHAPE,
            node.place,
            format!(
                "`effect` says what is wrong physically, but here is {}",
                node.kind()
            ),
            LIKE,
        );
        return Vec::new();
    };
    pairs
        .iter()
        .filter_map(|(key, value)| {
            let word = key.text().unwrap_or_default();
            let effect = match word.split_once(' ') {
                None if word == "hole" => hole(value, out),
                Some(("valve", name)) => valve(name, value, out),
                Some(("sensor", name)) => sensor(name, value, out),
                _ => {
                    let kinds = ["hole", "valve NAME", "sensor NAME"];
                    out.unknown(code::UNKNOWN_KEY, key.place, "effect", word, kinds);
                    None
                }
            };
            // What a hole lies at stands in its value, a valve and a sensor in their keys.
            let place = if word == "hole" { value } else { key }.place;
            Some((effect?, place))
        })
        .collect()
}

fn hole(node: &Node, out: &mut Findings) -> Option<Effect> {
    let text = text_of(node, "hole", out)?;
    let Some((ends, place)) = text.split_once(" at ") else {
        out.error(
            code::BAD_QUANTITY,
            node.place,
            format!("`hole` does not say where: `{text}`"),
            "write a range and a place, such as 1..6 mm at intake",
        );
        return None;
    };
    let range = range(&part(node, ends), Dimension::Length, "mm", "hole", out)?;
    has_width(range, node.place, out).then_some(())?;
    Some(Effect::Hole {
        range,
        place: system::written(place.trim()),
    })
}

/// Whether a hole is one from the lower end of its range on. Simulated cars draw its width from there.
fn has_width((from, to): (Quantity, Quantity), place: Place, out: &mut Findings) -> bool {
    let fine = from.si() > 0.0;
    if !fine {
        let unsigned = Quantity::new(-from.value(), from.unit()).ok();
        let meant = unsigned.filter(|meant| meant.si() > 0.0 && meant.si() <= to.si());
        let least = "begin above zero, with the smallest hole in question, such as 1..6 mm";
        out.error(
            code::BAD_QUANTITY,
            place,
            format!("`hole` begins at {from}, and a hole is wider than nothing"),
            match meant {
                Some(meant) => format!("write {meant}..{to}, without the minus sign; or {least}"),
                None => least.to_owned(),
            },
        );
    }
    fine
}

/// A part of a node's text, at the node's place.
fn part(node: &Node, text: &str) -> Node {
    Node {
        place: node.place,
        tree: Tree::Text(text.trim().to_owned()),
    }
}

fn valve(name: &str, node: &Node, out: &mut Findings) -> Option<Effect> {
    let text = text_of(node, "valve", out)?;
    let state = match text.as_str() {
        "stuck open" => ValveFault::StuckOpen,
        "stuck shut" => ValveFault::StuckShut,
        "slow" => ValveFault::Slow,
        other => {
            let known = ["stuck open", "stuck shut", "slow"];
            out.unknown(
                code::UNKNOWN_WORD,
                node.place,
                "fault of a valve",
                other,
                known,
            );
            return None;
        }
    };
    Some(Effect::Valve {
        name: name.to_owned(),
        state,
    })
}

fn sensor(name: &str, node: &Node, out: &mut Findings) -> Option<Effect> {
    let text = text_of(node, "sensor", out)?;
    let (kind, rest) = text.split_once(' ').unwrap_or((text.as_str(), ""));
    let fault = match kind {
        "offset" => {
            let (range_alone, either_way) = either_way(&part(node, rest));
            let (from, to) = by_amount(&range_alone, out)?;
            if either_way {
                mirrors(from, to, "the fault", node.place, out).then_some(())?;
                SensorFault::EitherWay(from, to)
            } else {
                SensorFault::Offset(from, to)
            }
        }
        "noise" => by_amount(&part(node, rest), out).map(|(a, b)| SensorFault::Noise(a, b))?,
        "gain" => gain(rest, node.place, out)?,
        "drop-out" => SensorFault::DropOut,
        other => {
            let known = ["offset", "gain", "noise", "drop-out"];
            out.unknown(
                code::UNKNOWN_WORD,
                node.place,
                "fault of a sensor",
                other,
                known,
            );
            return None;
        }
    };
    Some(Effect::Sensor {
        name: name.to_owned(),
        fault,
    })
}

/// `4..15 kPa either way`: the range alone, and whether its mirror image is meant as well.
fn either_way(node: &Node) -> (Node, bool) {
    match &node.tree {
        Tree::Text(text) => match text.trim_end().strip_suffix("either way") {
            Some(alone) => (part(node, alone), true),
            None => (node.clone(), false),
        },
        _ => (node.clone(), false),
    }
}

/// Whether a range has a mirror image of its own: it begins at zero or above.
fn mirrors(from: Quantity, to: Quantity, what: &str, place: Place, out: &mut Findings) -> bool {
    let fine = from.value() >= 0.0;
    if !fine {
        out.error(
            code::BAD_QUANTITY,
            place,
            format!("`{what}` is to lie {from}..{to} or its mirror image, but that begins below zero"),
            format!(
                "write by how much it is off, such as 0..{to} either way; or {from}..{to} alone, where no mirror image is meant"
            ),
        );
    }
    fine
}

/// Reports a mirror image of a temperature, whose zero is nothing special.
fn no_point(what: &str, place: Place, out: &mut Findings) -> bool {
    out.error(
        code::WRONG_DIMENSION,
        place,
        format!("`{what}` is a temperature in C or F, which has no mirror image below zero"),
        "write its range alone, such as 30..40 C; or work out a `difference` of two temperatures and say by how many K that is off, such as 3..8 K either way",
    );
    false
}

/// A range in the unit of the sensor, whichever that is.
fn by_amount(node: &Node, out: &mut Findings) -> Option<(Quantity, Quantity)> {
    let text = text_of(node, "the fault", out)?;
    let last = text.rsplit("..").next().unwrap_or_default().trim();
    let unit = parse_quantity(last, node.place, "the fault", "kPa", out)?.unit();
    range(node, unit.dimension(), unit.name(), "the fault", out)
}

/// `0.8..0.9`, or `80 %..90 %`: the factor by which the slope is off.
fn gain(text: &str, place: Place, out: &mut Findings) -> Option<SensorFault> {
    let (from, to) = text.split_once("..").unwrap_or((text, text));
    let mut factor = |text: &str| match text.trim().parse::<f64>() {
        Ok(number) if number.is_finite() && number >= 0.0 => Some(number),
        _ => {
            let quantity = parse_quantity(text.trim(), place, "gain", "%", out)?;
            fits(quantity, Dimension::Ratio, "%", "gain", place, out).then(|| quantity.si())
        }
    };
    Some(SensorFault::Gain(factor(from)?, factor(to)?))
}
