//! Reading quantities and ranges, and saying what to write where one cannot be read.

use super::super::finding::code;
use super::super::node::{Node, Place, Tree};
use super::fields::{Findings, text_of, without_glue};
use super::meant;
use crate::units::{Dimension, Quantity, Unit, UnitError};

/// Reads a quantity, or reports why it cannot be read. `like` is a unit that would fit, for the remedy.
pub fn quantity_of(node: &Node, key: &str, like: &str, out: &mut Findings) -> Option<Quantity> {
    let text = text_of(node, key, out)?;
    parse_quantity(&text, node.place, key, like, out)
}

/// Reads a quantity out of a text that stands at a place.
pub fn parse_quantity(
    text: &str,
    place: Place,
    key: &str,
    like: &str,
    out: &mut Findings,
) -> Option<Quantity> {
    match text.parse::<Quantity>() {
        Ok(quantity) => Some(quantity),
        Err(error) => {
            let (message, mut help) = worded(text.trim(), key, like, &error);
            if let Some(figures) = meant::with_zeros(text)
                && figures.parse::<Quantity>().is_ok()
            {
                help = format!("write {figures}: a letter O stands there for a zero");
            }
            if let Some((value, remark)) = meant::glued_remark(text)
                && value.parse::<Quantity>().is_ok()
            {
                help = without_glue(value, remark);
            }
            out.error(code::BAD_QUANTITY, place, message, help);
            None
        }
    }
}

/// What ends a line in other texts.
const MARKS: [char; 3] = [',', ';', '.'];

fn worded(text: &str, key: &str, like: &str, error: &UnitError) -> (String, String) {
    // Nobody writes "2 ratio".
    let like = if like == "ratio" { "%" } else { like };
    match error {
        UnitError::Empty => (
            format!("`{key}`: nothing is written here"),
            format!("write a number and its unit, such as 2 {like}"),
        ),
        UnitError::NotANumber { .. } => (
            format!("`{key}` wants a number with a unit, not `{text}`"),
            match meant::without_about(text) {
                Some(figure) => format!("write {figure}, without a sign before it"),
                None => format!("write digits, a blank and the unit, such as 2 {like}"),
            },
        ),
        UnitError::OffScale { .. } => (
            format!("`{key}` wants a number with a unit, not `{text}`"),
            "write the top of the meter's range, such as 20 Mohm".to_owned(),
        ),
        UnitError::NotFinite { .. } => (
            format!("`{key}`: `{text}` is larger than can be worked with"),
            "check the number".to_owned(),
        ),
        UnitError::DecimalComma { .. } => (
            format!("`{key}`: there is a comma in `{text}`"),
            without_comma(text),
        ),
        UnitError::NoUnit { .. } => (
            format!("`{key}`: `{text}` has no unit"),
            match text.parse::<f64>() {
                // A share is most often written as a part of one; "0.9 %" would be another limit.
                Ok(share) if like == "%" && share.abs() <= 1.0 => {
                    format!("write the share in percent: {} %", meant::in_percent(share))
                }
                // A part of one that is a little more than one, or a percentage.
                Ok(share) if like == "%" && share.abs() < 3.0 => format!(
                    "write {} % if it is {text} times the other, or {text} % if it is a hundredth of that",
                    meant::in_percent(share)
                ),
                _ => format!("write the unit after the number, such as {text} {like}"),
            },
        ),
        UnitError::UnknownUnit {
            text: unit,
            nearest,
        } => (
            format!("`{key}`: there is no unit `{unit}`"),
            match (
                meant::by_the_clock(text),
                meant::summed(text).or_else(|| meant::last_unit_left_out(text)),
            ) {
                (Some(seconds), _) => format!("write it in seconds: {seconds} s"),
                (None, Some(sum)) => format!("write it in one unit: {sum}"),
                (None, None) if Unit::named(unit.trim_end_matches(MARKS)).is_some() => {
                    format!(
                        "write {}, without the mark behind it",
                        text.trim_end_matches(MARKS)
                    )
                }
                (None, None) if meant::is_degrees(unit) && is_temperature(like) => {
                    let figure = text.trim_end_matches(unit.as_str()).trim_end();
                    format!("write {figure} {like}")
                }
                (None, None) => {
                    meant::counted_from(unit).unwrap_or_else(|| unknown_unit(*nearest, like))
                }
            },
        ),
    }
}

fn is_temperature(unit: &str) -> bool {
    Unit::named(unit).is_some_and(|unit| unit.dimension() == Dimension::Temperature)
}

/// Reports a number that a comma has cut in two: the part after it reads as a key without a value.
pub fn cut_by_comma(first: &Node, rest: &Node, key: &str, out: &mut Findings) {
    let text = format!(
        "{},{}",
        first.text().unwrap_or_default(),
        rest.text().unwrap_or_default()
    );
    let place = Place {
        end: rest.place.end,
        ..first.place
    };
    out.error(
        code::BAD_QUANTITY,
        place,
        format!("`{key}`: there is a comma in `{text}`"),
        without_comma(&text),
    );
}

/// Whether this is the part of a number that a comma has cut off.
pub fn is_cut_off(key: &Node, value: &Node) -> bool {
    let digits = key
        .text()
        .is_some_and(|text| text.starts_with(|c: char| c.is_ascii_digit()));
    digits && value.tree == Tree::Empty
}

/// A comma before three digits may part thousands; any other is a decimal comma. Where there is a point as well,
/// the later of the two is before the decimals.
fn without_comma(text: &str) -> String {
    // The two points of a range part no decimals.
    let figures = text.replace("..", "  ");
    let (comma, point) = (figures.rfind(','), figures.rfind('.'));
    if comma.is_some() && point.is_some() {
        let plain = if comma > point {
            text.replace('.', "").replace(',', ".")
        } else {
            text.replace(',', "")
        };
        return format!("write a point for decimals, and nothing between thousands: {plain}");
    }
    let thousands = text
        .split_once(',')
        .is_some_and(|(_, after)| after.chars().take_while(char::is_ascii_digit).count() == 3);
    if thousands {
        "write a point for decimals, and nothing between thousands".to_owned()
    } else {
        format!("write a decimal point: {}", text.replacen(',', ".", 1))
    }
}

/// What to write for a unit that is not known.
pub fn unknown_unit(nearest: Option<&str>, like: &str) -> String {
    if let Some(name) = nearest {
        return format!("did you mean `{name}`?");
    }
    let names: Vec<&str> = match Unit::parse(like).map(Unit::dimension) {
        Ok(dimension) => Unit::of(dimension).map(Unit::name).collect(),
        Err(_) => Dimension::ALL
            .iter()
            .map(|d| Unit::default_for(*d).name())
            .collect(),
    };
    format!("units that fit here: {}", names.join(", "))
}

/// Whether a quantity has the dimension that is wanted; reports it otherwise.
pub fn fits(
    q: Quantity,
    dimension: Dimension,
    unit: &str,
    what: &str,
    place: Place,
    out: &mut Findings,
) -> bool {
    if q.dimension() == dimension {
        let step = dimension == Dimension::Temperature && unit == "K" && !q.unit().has_true_zero();
        if step {
            out.error(
                code::WRONG_DIMENSION,
                place,
                format!("`{what}` is in kelvin, as differences of temperatures are, but `{q}` is a temperature"),
                format!("write {} K", q.value()),
            );
        }
        return !step;
    }
    out.error(
        code::WRONG_DIMENSION,
        place,
        format!(
            "`{what}` is {}, but `{q}` is {}",
            a(dimension),
            a(q.dimension())
        ),
        match dimension {
            Dimension::Ratio => format!("write a share, such as {} %", q.value()),
            _ => format!(
                "write it in a unit of {dimension}, such as {} {unit}",
                q.value()
            ),
        },
    );
    false
}

/// Whether a limit of a temperature in C or F is one too: `20 K` is read as 20 degrees more, and would be
/// -253 C. Reports it otherwise.
pub fn is_no_step(q: Quantity, unit: &str, what: &str, place: Place, out: &mut Findings) -> bool {
    let scale = Unit::parse(unit)
        .ok()
        .filter(|unit| !unit.has_true_zero() && q.unit().has_true_zero());
    let Some(scale) = scale else { return true };
    out.error(
        code::WRONG_DIMENSION,
        place,
        format!(
            "`{what}` is a temperature in {unit}, and `{q}` is a difference of two, or far from it: {}",
            scale.show(q.si())
        ),
        format!(
            "write {} {unit}; to ask how much warmer it is than another, work their `difference`, which is in K",
            q.value()
        ),
    );
    false
}

/// A dimension with its article.
pub fn a(dimension: Dimension) -> String {
    dimension.with_article()
}

/// Reads the limit of a check. A count has no unit to write: `test-number: {at least: 2}`.
pub fn bound(
    node: &Node,
    dimension: Dimension,
    unit: &str,
    subject: &str,
    out: &mut Findings,
) -> Option<Quantity> {
    let text = text_of(node, subject, out)?;
    let count = (dimension == Dimension::Count)
        .then(|| text.parse().ok())
        .flatten();
    let quantity = match count.and_then(|n| Quantity::new(n, Unit::default_for(dimension)).ok()) {
        Some(quantity) => quantity,
        None => parse_quantity(&text, node.place, subject, unit, out)?,
    };
    let fits = fits(quantity, dimension, unit, subject, node.place, out)
        && is_no_step(quantity, unit, subject, node.place, out);
    if fits && dimension == Dimension::Count && quantity.value().fract() != 0.0 {
        out.warning(
            code::BAD_QUANTITY,
            node.place,
            format!("`{subject}` counts whole things, and `{quantity}` is none"),
            format!(
                "write {} or {}",
                quantity.value().floor(),
                quantity.value().ceil()
            ),
        );
    }
    fits.then_some(quantity)
}

/// Reads a range whose ends both have a dimension.
pub fn range(
    node: &Node,
    dimension: Dimension,
    unit: &str,
    subject: &str,
    out: &mut Findings,
) -> Option<(Quantity, Quantity)> {
    let (from, to) = span(node, subject, unit, out)?;
    let fits = fits(to, dimension, unit, subject, node.place, out)
        && is_no_step(to, unit, subject, node.place, out);
    fits.then_some((from, to))
}

/// Reads a range such as `0..30 kPa`, `-5 kPa..5 kPa` or `10 % .. 20 %`; the last unit serves both.
fn span(node: &Node, key: &str, like: &str, out: &mut Findings) -> Option<(Quantity, Quantity)> {
    if let Tree::List(_) | Tree::Map(_) = node.tree {
        out.error(
            code::WRONG_SHAPE,
            node.place,
            format!("`{key}` wants a range, but here is {}", node.kind()),
            match meant::as_range_of(node).or_else(|| meant::as_range_of_check(node)) {
                Some(written) => format!("write {written}"),
                None => {
                    format!("write the two ends with two points between them, such as 0..30 {like}")
                }
            },
        );
        return None;
    }
    let text = text_of(node, key, out)?;
    let ends = text.split_once("..").filter(|(_, to)| !to.starts_with('.'));
    let Some((from, to)) = ends else {
        out.error(
            code::BAD_QUANTITY,
            node.place,
            format!("`{key}` wants a range, not `{text}`"),
            match meant::as_range(&text) {
                Some(written) => format!("write two points between the ends: {written}"),
                None => match text.trim().parse::<Quantity>() {
                    // Up to it where a range is asked for, about it where something is shown.
                    Ok(one) if one.value() > 0.0 => format!(
                        "write the two ends with two points between them: 0..{one} for anything up to it, or from a little less to a little more for about that much"
                    ),
                    _ => format!(
                        "write the two ends with two points between them, such as 0..30 {like}"
                    ),
                },
            },
        );
        return None;
    };
    let to = parse_quantity(to.trim(), node.place, key, like, out)?;
    let from = match from.trim().parse::<f64>() {
        Ok(number) if number.is_finite() => Quantity::new(number, to.unit()).ok()?,
        _ => parse_quantity(from.trim(), node.place, key, like, out)?,
    };
    if from.dimension() != to.dimension() {
        out.error(
            code::WRONG_DIMENSION,
            node.place,
            format!(
                "this range begins with {} and ends with {}",
                a(from.dimension()),
                a(to.dimension())
            ),
            "write both ends in units of one kind",
        );
        return None;
    }
    if from.si() > to.si() {
        out.error(
            code::BAD_QUANTITY,
            node.place,
            format!("this range begins at {from}, which is more than {to}"),
            format!("write the smaller end first: {to}..{from}"),
        );
        return None;
    }
    Some((from, to))
}
