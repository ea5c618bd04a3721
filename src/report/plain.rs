//! Numbers and terms in words that a car's owner understands.

use crate::flow::choice::unit_of;
use crate::flow::model::Flow;
use crate::flow::values::Value;
use crate::flow::working::Picture;
use crate::physics::orifice::diameter;
use crate::physics::uncertainty::Estimate;
use crate::units::{Dimension, Unit, preferred};

/// What a kind of number tells, in a sentence or two; nothing where its name says it all. A calculation can have other
/// results beside the one that it is known for, in another `unit`.
pub fn gloss(calculation: &str, unit: Option<Unit>) -> Option<&'static str> {
    let is_size = matches!(
        unit.map(Unit::dimension),
        Some(Dimension::Length | Dimension::Area)
    );
    Some(match calculation {
        "trim-total" => {
            "How much fuel the car's computer has to add (above 0) or take away (below 0) so that the \
             mixture is right. Near 0 is as it should be."
        }
        "hole" => {
            "All openings that gas can pass, as the width of one round hole. Every engine passes \
             some; less is tighter."
        }
        "found" | "decay" if is_size => "The leak, as the width or area of one round hole.",
        "raised-idle" => {
            "How far idle control has closed because air comes in elsewhere. Near 0 is as it should \
             be."
        }
        "share" => {
            "How much of the complaint the leak accounts for; 100 % is all of it. More than that means \
             that the leak is larger than the trouble needs: the two are measured in different ways."
        }
        _ => return None,
    })
}

/// "about 1.7 mm (1.5 to 1.8 mm)": fewer digits than a workshop wants, the range rounded outwards
/// so that it promises no more than was measured.
pub fn about(estimate: &Estimate, unit: Option<Unit>) -> String {
    let unit = unit.map(preferred::shown_unit);
    let (name, value, low, high) = match unit {
        Some(unit) => (
            format!("\u{a0}{}", unit.name()),
            unit.from_si(estimate.value),
            unit.from_si(estimate.low),
            unit.from_si(estimate.high),
        ),
        None => (String::new(), estimate.value, estimate.low, estimate.high),
    };
    let half = (high - low) / 2.0;
    if !half.is_finite() {
        return match (low.is_finite(), high.is_finite()) {
            (true, _) => format!("at least {}{name}", rounded(low, f64::floor, 0.0)),
            (_, true) => format!("at most {}{name}", rounded(high, f64::ceil, 0.0)),
            _ => "unknown".to_owned(),
        };
    }
    if half <= f64::EPSILON * value.abs() {
        // What nothing makes uncertain stands as it was given.
        return format!("{}{name}", (value * 1e3).round() / 1e3);
    }
    format!(
        "about {}{name} ({} to {}{name})",
        rounded(value, f64::round, half),
        rounded(low, f64::floor, half),
        rounded(high, f64::ceil, half)
    )
}

/// A number with as many decimals as its half-width leaves one digit for.
fn rounded(value: f64, way: fn(f64) -> f64, half: f64) -> String {
    let mut decimals = 0_usize;
    let mut scaled = half;
    while scaled > 0.0 && scaled < 0.95 && decimals < 6 {
        scaled *= 10.0;
        decimals += 1;
    }
    let power = 10_f64.powi(i32::try_from(decimals).unwrap_or(0));
    // What is a whole number but for rounding errors stays that number.
    let near = (value * power).round();
    let whole = if (value * power - near).abs() < 1e-9 * near.abs().max(1.0) {
        near
    } else {
        way(value * power)
    };
    let value = if whole == 0.0 { 0.0 } else { whole / power };
    format!("{value:.decimals$}")
}

/// A worked value in plain words; nothing where it is not known or not asked on this car.
pub fn value(flow: &Flow, id: &str, picture: &Picture) -> Option<String> {
    match picture.values.get(id)? {
        Value::Number(estimate) => {
            let shown = about(estimate, unit_of(flow, id));
            let more = flow.is_share(id) && estimate.value > 1.0;
            Some(if more {
                format!("{shown}, which is more than the trouble needs")
            } else {
                shown
            })
        }
        _ => crate::rules::suggest::value(flow, id, picture),
    }
}

/// A hole's size as the diameter of a round one: nobody pictures an area.
pub fn hole(flow: &Flow, id: &str, picture: &Picture) -> Option<String> {
    let unit = unit_of(flow, id)?;
    let Value::Number(size) = picture.values.get(id)? else {
        return value(flow, id, picture);
    };
    if unit.dimension() != Dimension::Area {
        return value(flow, id, picture);
    }
    let across = Estimate {
        value: diameter(size.value),
        low: diameter(size.low),
        high: diameter(size.high),
    };
    Some(about(&across, Some(Unit::default_for(Dimension::Length))))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(value: f64, low: f64, high: f64, unit: &str) -> String {
        let unit = Unit::parse(unit).expect("a unit");
        let si = |x| unit.to_si(x);
        let estimate = Estimate {
            value: si(value),
            low: si(low),
            high: si(high),
        };
        about(&estimate, Some(unit)).replace('\u{a0}', " ")
    }

    #[test]
    fn a_range_is_rounded_outwards_and_shows_no_digit_that_is_not_known() {
        assert_eq!(said(20.41, 18.61, 22.3, "%"), "about 20 % (18 to 23 %)");
        assert_eq!(
            said(1.683, 1.593, 1.791, "mm"),
            "about 1.7 mm (1.5 to 1.8 mm)"
        );
        assert_eq!(
            said(-5.96, -6.22, -5.69, "kPa"),
            "about -6.0 kPa (-6.3 to -5.6 kPa)"
        );
        assert_eq!(said(65.0, 47.0, 88.0, "%"), "about 65 % (47 to 88 %)");
    }

    #[test]
    fn what_nothing_bounds_says_so() {
        assert_eq!(said(2.0, 1.25, f64::INFINITY, "mm"), "at least 1 mm");
        assert_eq!(said(3.0, 3.0, 3.0, "kPa"), "3 kPa");
    }
}
