//! Values and answers as people read them: on screen, in the record, in a report.

use crate::flow::answer::{Answer, Strength};
use crate::physics::uncertainty::Estimate;
use crate::units::{Quantity, Unit, preferred};

/// "1.02 mm (0.95 to 1.08 mm)"; without the brackets where nothing is uncertain.
///
/// Screens, every edition of the report and the record word an interval by this alone: one number has one range. It
/// is rounded to the nearest, with digits enough that rounding moves no end by more than a sixth of the half-width.
pub fn estimate(estimate: &Estimate, unit: Option<Unit>) -> String {
    let Some(unit) = unit else {
        return format!("{:.3}", estimate.value);
    };
    let unit = preferred::shown_unit(unit);
    if is_certain(estimate, unit) {
        return unit.show(estimate.value);
    }
    let show = show_in(estimate, unit);
    let (middle, name) = (show(estimate.value), unit.behind());
    let (low, high) = (show(estimate.low), show(estimate.high));
    match (estimate.low.is_finite(), estimate.high.is_finite()) {
        // Of what is never below nothing, where none was found.
        (true, true) if estimate.value == 0.0 && estimate.low == 0.0 => {
            format!("{middle}{name} (up to {high}{name})")
        }
        (true, true) => format!("{middle}{name} ({low} to {high}{name})"),
        (true, false) => format!("{middle}{name} (at least {low}{name})"),
        (false, true) => format!("{middle}{name} (at most {high}{name})"),
        (false, false) => format!("{middle}{name} (cannot tell how sure)"),
    }
}

/// "about 1.02 mm (0.95 to 1.08 mm)" for whoever never read an interval; where an end is open, the other one alone:
/// "at least 0.5 mm".
pub fn about(estimate: &Estimate, unit: Option<Unit>) -> String {
    let Some(unit) = unit else {
        return self::estimate(estimate, unit);
    };
    let shown = preferred::shown_unit(unit);
    let (show, name) = (show_in(estimate, shown), shown.behind());
    match (estimate.low.is_finite(), estimate.high.is_finite()) {
        (true, true) if is_certain(estimate, shown) => self::estimate(estimate, Some(unit)),
        (true, true) => format!("about {}", self::estimate(estimate, Some(unit))),
        (true, false) => format!("at least {}{name}", show(estimate.low)),
        (false, true) => format!("at most {}{name}", show(estimate.high)),
        (false, false) => "unknown".to_owned(),
    }
}

/// Half the width of an interval, in a unit.
fn half_width(estimate: &Estimate, unit: Unit) -> f64 {
    unit.step_from_si(estimate.high - estimate.low) / 2.0
}

/// Whether nothing makes it uncertain.
fn is_certain(estimate: &Estimate, unit: Unit) -> bool {
    half_width(estimate, unit).abs() <= f64::EPSILON * unit.from_si(estimate.value).abs()
}

/// Words a number of an interval in a unit, with as many digits as its width leaves.
fn show_in(estimate: &Estimate, unit: Unit) -> impl Fn(f64) -> String {
    let decimals = decimals(half_width(estimate, unit), unit);
    move |si| number(unit.from_si(si), decimals)
}

/// As many decimals as leave the half-width one or two digits: more would feign what is not known.
fn decimals(half_width: f64, unit: Unit) -> usize {
    let most = unit.decimals() + 2;
    if !half_width.is_finite() || half_width <= 0.0 {
        return unit.decimals();
    }
    let mut decimals = 0;
    let mut scaled = half_width;
    while scaled < 2.95 && decimals < most {
        scaled *= 10.0;
        decimals += 1;
    }
    decimals
}

/// The first letter a capital.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// Words in a row, or "none".
pub fn words<T: AsRef<str>>(words: &[T]) -> String {
    if words.is_empty() {
        return "none".to_owned();
    }
    let words: Vec<&str> = words.iter().map(AsRef::as_ref).collect();
    words.join(", ")
}

/// Minutes up to which they are said as minutes alone.
const MINUTES: f64 = 90.0;

/// A stretch of time as people plan it: "45 min"; "7 h 31 min" beyond an hour and a half.
pub fn minutes(minutes: f64) -> String {
    if minutes.round() <= MINUTES {
        format!("{minutes:.0} min")
    } else {
        hours(minutes)
    }
}

/// Stretches of time that are to be compared, all in one form.
pub fn minutes_alike(all: &[f64]) -> Vec<String> {
    let longest = all.iter().copied().fold(0.0, f64::max);
    let form = if longest.round() <= MINUTES {
        minutes
    } else {
        hours
    };
    all.iter().copied().map(form).collect()
}

/// "7 h 31 min", "2 h".
fn hours(minutes: f64) -> String {
    let whole = minutes.round();
    match ((whole / 60.0).floor(), whole % 60.0) {
        (hours, 0.0) if hours > 0.0 => format!("{hours:.0} h"),
        (hours, left) => format!("{hours:.0} h {left:.0} min"),
    }
}

/// A number with so many decimals, and no minus sign before zero.
pub fn number(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    let zero = text
        .trim_start_matches('-')
        .chars()
        .all(|c| c == '0' || c == '.');
    if zero {
        text.trim_start_matches('-').to_owned()
    } else {
        text
    }
}

/// A quantity as people say it: two banks, not "2 count"; in the units that they want to read.
pub fn quantity(quantity: Quantity) -> String {
    preferred::said(quantity)
}

/// "5 to 120 kPa", or both ends with their own units.
pub fn range(from: Quantity, to: Quantity) -> String {
    preferred::said_range(from, to)
}

/// Two answers in words that differ: as they are shown; where that is the same, in the units in which they were
/// entered; where that is the same too, with all that was entered. Nothing where they are one and the same.
pub fn apart(one: &Answer, other: &Answer) -> Option<(String, String)> {
    let both = |say: &dyn Fn(&Answer) -> String| (say(one), say(other));
    let in_whole = |value: &Answer| match value {
        Answer::Quantity(quantity) => quantity.to_string(),
        other => answer(other),
    };
    let mut ways = [
        both(&answer),
        preferred::unconverted(|| both(&answer)),
        both(&in_whole),
    ]
    .into_iter();
    ways.find(|(one, other)| one != other)
}

/// An answer in words.
pub fn answer(answer: &Answer) -> String {
    match answer {
        Answer::Quantity(q) => quantity(*q),
        Answer::Choice(word) | Answer::Text(word) => word.clone(),
        Answer::Places(places) if places.is_empty() => "nowhere".to_owned(),
        Answer::Places(places) => places
            .iter()
            .map(|(place, strength)| format!("{place} ({})", self::strength(*strength)))
            .collect::<Vec<_>>()
            .join(", "),
        Answer::Pairs(pairs) => self::pairs(pairs),
        Answer::CouldNotTell(why) if why.is_empty() => "could not tell".to_owned(),
        Answer::CouldNotTell(why) => format!("could not tell: {why}"),
    }
}

/// Pairs one after the other; of a whole trace, how many and its ends.
fn pairs(pairs: &[(Quantity, Quantity)]) -> String {
    /// More pairs than a person reads in a line.
    const MANY: usize = 24;
    let show = |(a, b): &(Quantity, Quantity)| format!("{} = {}", quantity(*a), quantity(*b));
    match pairs {
        [first, .., last] if pairs.len() > MANY => {
            format!("{} pairs, {} to {}", pairs.len(), show(first), show(last))
        }
        _ => pairs.iter().map(show).collect::<Vec<_>>().join("; "),
    }
}

/// A strength in a word.
pub fn strength(strength: Strength) -> &'static str {
    match strength {
        Strength::Wisp => "wisp",
        Strength::Steady => "steady",
        Strength::Heavy => "heavy",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(value: f64, low: f64, high: f64, unit: &str) -> String {
        let unit = Unit::parse(unit).unwrap();
        let si = |x: f64| unit.to_si(x);
        estimate(
            &Estimate {
                value: si(value),
                low: si(low),
                high: si(high),
            },
            Some(unit),
        )
    }

    #[test]
    fn an_interval_has_as_many_digits_as_are_known() {
        assert_eq!(
            shown(1.0213, 0.951, 1.0849, "mm"),
            "1.02 mm (0.95 to 1.08 mm)"
        );
        assert_eq!(shown(0.751, 0.722, 0.781, "ratio"), "0.75 (0.72 to 0.78)");
        assert_eq!(shown(88.13, 61.0, 123.0, "%"), "88 % (61 to 123 %)");
        assert_eq!(shown(2.4, 0.696, 4.1, "%"), "2.4 % (0.7 to 4.1 %)");
        assert_eq!(shown(-0.01, -2.9, 2.9, "%"), "0.0 % (-2.9 to 2.9 %)");
        assert_eq!(shown(0.0, 0.0, 17.0, "%"), "0 % (up to 17 %)");
    }

    /// The customer, the workshop and the screen read one range.
    #[test]
    fn an_interval_is_the_same_in_simple_words() {
        let unit = Unit::parse("mm").unwrap();
        for (value, low, high) in [
            (0.4305, 0.3449, 0.5151),
            (1.683, 1.593, 1.791),
            (20.41, 18.61, 22.3),
        ] {
            let all = Estimate { value, low, high };
            let all = Estimate {
                value: unit.to_si(all.value),
                low: unit.to_si(all.low),
                high: unit.to_si(all.high),
            };
            let simple = about(&all, Some(unit));
            assert_eq!(simple, format!("about {}", estimate(&all, Some(unit))));
        }
    }

    #[test]
    fn long_times_are_said_in_hours() {
        let said = [4.4, 90.0, 90.6, 120.0, 451.0].map(minutes);
        assert_eq!(said, ["4 min", "90 min", "1 h 31 min", "2 h", "7 h 31 min"]);
        assert_eq!(minutes_alike(&[91.0, 45.0]), ["1 h 31 min", "0 h 45 min"]);
        assert_eq!(minutes_alike(&[60.0, 45.2]), ["60 min", "45 min"]);
    }

    #[test]
    fn what_is_certain_stands_alone_and_what_is_unbounded_says_so() {
        assert_eq!(shown(3.0, 3.0, 3.0, "kPa"), "3.00 kPa");
        assert_eq!(
            shown(1.0, 0.5, f64::INFINITY, "mm"),
            "1.00 mm (at least 0.50 mm)"
        );
        let open = Estimate {
            value: 2.0,
            low: 1.25,
            high: f64::INFINITY,
        };
        let unit = Unit::parse("m").unwrap();
        assert_eq!(about(&open, Some(unit)), "at least 1 m");
        let certain = Estimate::exact(3.0);
        assert_eq!(about(&certain, Some(unit)), "3 m");
    }
}
