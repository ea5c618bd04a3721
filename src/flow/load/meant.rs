//! What was probably meant: other people's words for checks, signs for them, and what a text would
//! be as a condition.
//!
//! Only help lines are made here: nothing is ever guessed into a flow.

use super::super::condition::NOWHERE;
use super::super::node::{Node, Tree};
use super::super::values::TEST_NUMBER;
use super::conditions::CHECKS;
use super::near::nearest;
use crate::units::{Dimension, Quantity, Unit};

use super::scope::Meaning;

/// Other words and signs for the checks.
const OTHERS: [(&str, &[&str]); 8] = [
    (
        "at least",
        &[
            ">=",
            "=>",
            "≥",
            "min",
            "minimum",
            "from",
            "not below",
            "not less than",
        ],
    ),
    (
        "above",
        &[
            ">",
            "over",
            "more than",
            "greater than",
            "larger than",
            "higher than",
            "exceeds",
        ],
    ),
    (
        "at most",
        &[
            "<=",
            "=<",
            "≤",
            "max",
            "maximum",
            "up to",
            "not above",
            "not more than",
        ],
    ),
    (
        "below",
        &["<", "under", "less than", "lower than", "smaller than"],
    ),
    ("between", &["in range", "range", "within"]),
    ("is", &["=", "==", "equals", "equal to", "equal"]),
    ("any of", &["one of", "in", "is one of", "is any of", "or"]),
    ("none of", &["not", "is not", "not in", "!=", "isn't", "no"]),
];

/// The check that a word or sign stands for.
pub fn check(word: &str) -> Option<&'static str> {
    let word = word.trim().to_lowercase().replace(['_', '-'], " ");
    let known = CHECKS.iter().map(|(check, _)| *check);
    if let Some(same) = known.clone().find(|check| *check == word) {
        return Some(same);
    }
    let others = OTHERS
        .iter()
        .find(|(_, others)| others.contains(&word.as_str()));
    others
        .map(|(check, _)| *check)
        .or_else(|| nearest(&word, &known.collect::<Vec<_>>()))
}

/// `>= 25 A`, `above 3` or `stiff` as a check on a subject, as it would be written.
pub fn as_check(subject: &str, text: &str, meaning: &Meaning) -> Option<String> {
    let text = text.trim();
    let digit = text.find(|c: char| c.is_ascii_digit() || c == '-' || c == '+');
    let (word, value) = match (meaning, digit) {
        (Meaning::Number(..), Some(0)) => ("at least", text),
        (Meaning::Number(..), Some(at)) => (check(&text[..at])?, text[at..].trim()),
        (Meaning::Words(known) | Meaning::Places(known), _) => {
            let nowhere = matches!(meaning, Meaning::Places(_)).then_some(NOWHERE);
            let value = known
                .iter()
                .map(String::as_str)
                .chain(nowhere)
                .find(|word| text == *word || text.ends_with(&format!(" {word}")))?;
            let before = text[..text.len() - value.len()].trim();
            let word = if before.is_empty() {
                "is"
            } else {
                check(before)?
            };
            let quoted = matches!(value, "yes" | "no");
            return Some(match word {
                "is" if quoted => format!("{subject}: {{is: \"{value}\"}}"),
                "any of" | "none of" => format!("{subject}: {{{word}: [{value}]}}"),
                _ => format!("{subject}: {{{word}: {value}}}"),
            });
        }
        _ => return None,
    };
    let Meaning::Number(dimension, unit) = meaning else {
        return None;
    };
    let plain = matches!(word, "is") || digit == Some(0);
    // Every test is the first or a later one.
    if subject == TEST_NUMBER && plain && value == "1" {
        return Some(format!("{subject}: {{below: 2}}"));
    }
    // Numbers are seldom met exactly.
    let word = if word == "is" { "at least" } else { word };
    let bare = value.parse::<f64>().is_ok();
    let value = if bare && *dimension != Dimension::Count {
        format!("{value} {}", unit.name())
    } else {
        value.to_owned()
    };
    Some(format!("{subject}: {{{word}: {value}}}"))
}

/// `turns-freely is stiff` as a condition, as it would be written.
pub fn as_condition<'m>(
    text: &str,
    meaning: impl Fn(&str) -> Option<&'m Meaning>,
) -> Option<String> {
    let checks: Vec<String> = text
        .split(" and ")
        .map(|part| {
            let (subject, rest) = part.trim().split_once([' ', ':'])?;
            match meaning(subject) {
                Some(known) => as_check(subject, rest, known),
                None => as_check_in_words(part, &meaning),
            }
        })
        .collect::<Option<_>>()?;
    Some(format!("{{{}}}", checks.join(", ")))
}

/// `seen at plug`, where the id is `seen-at`: ids are often written as they are spoken.
fn as_check_in_words<'m>(
    text: &str,
    meaning: &impl Fn(&str) -> Option<&'m Meaning>,
) -> Option<String> {
    let words: Vec<&str> = text.split_whitespace().collect();
    (2..words.len()).find_map(|n| {
        let subject = words[..n].join("-").to_lowercase();
        as_check(&subject, &words[n..].join(" "), meaning(&subject)?)
    })
}

/// `yes/no` or `it pulls or lack of pull` as several words.
pub fn strokes(text: &str) -> Option<Vec<&str>> {
    let by = ["/", "|", " or ", ";"]
        .iter()
        .find(|by| text.contains(**by))?;
    Some(text.split(by).map(str::trim).collect())
}

/// `plug and joint` or `plug/joint`: the words of a list, where each is one of those known.
pub fn parted(text: &str, known: &[String]) -> Option<Vec<String>> {
    [" and ", " or ", "/", ",", ";", "+", "&"]
        .iter()
        .find_map(|by| {
            let parts: Vec<String> = text.split(by).map(|part| part.trim().to_owned()).collect();
            (parts.len() > 1 && parts.iter().all(|part| known.contains(part))).then_some(parts)
        })
}

/// `otherwise` and its like: the outcome for all that is left.
pub fn is_otherwise(text: &str) -> bool {
    matches!(
        text.trim().to_lowercase().as_str(),
        "otherwise"
            | "else"
            | "default"
            | "rest"
            | "the rest"
            | "anything else"
            | "in all other cases"
    )
}

/// Other words that join conditions, and the one that is meant.
pub fn joint(word: &str) -> Option<&'static str> {
    Some(match word.to_lowercase().as_str() {
        "not" | "neither" | "none of" => "none",
        "or" | "either" | "any of" => "any",
        "and" | "both" | "all of" => "all",
        _ => return None,
    })
}

/// `end / start` as a calculation, as it would be written.
pub fn as_calculation(text: &str) -> Option<String> {
    [("/", "ratio"), (" - ", "difference"), ("+", "sum")]
        .iter()
        .find_map(|(sign, calculation)| {
            let (one, other) = text.split_once(sign)?;
            let (one, other) = (one.trim(), other.trim());
            (is_id(one) && is_id(other)).then(|| format!("{calculation}: [{one}, {other}]"))
        })
}

fn is_id(id: &str) -> bool {
    id.starts_with(|c: char| c.is_ascii_lowercase())
        && id.chars().all(|c| c.is_ascii_alphanumeric() || c == '-')
}

/// `end / start` or `end, start` as the two that a list is to hold.
pub fn two_parted(text: &str) -> Option<(&str, &str)> {
    [" / ", "/", ", ", " and ", " - ", " + ", " by ", " over "]
        .iter()
        .filter_map(|by| text.split_once(by))
        .map(|(one, other)| (one.trim(), other.trim()))
        .find(|(one, other)| is_id(one) && is_id(other))
}

/// `30# half an hour`: the value and the remark, which wants a blank before its number sign.
pub fn glued_remark(text: &str) -> Option<(&str, &str)> {
    let (value, remark) = text.split_at(text.find('#')?);
    let glued = !value.is_empty() && !value.ends_with(char::is_whitespace);
    glued.then_some((value, remark))
}

/// A share as a percentage, without the digits that a binary number leaves behind.
pub fn in_percent(share: f64) -> f64 {
    (share * 1e8).round() / 1e6
}

/// `1:30` on a clock, in seconds.
pub fn by_the_clock(text: &str) -> Option<u32> {
    let (minutes, seconds) = text.trim().split_once(':')?;
    let (minutes, seconds): (u32, u32) = (minutes.parse().ok()?, seconds.parse().ok()?);
    (seconds < 60 && minutes < 600).then(|| minutes * 60 + seconds)
}

/// `1 min 30 s` in one unit, the last.
pub fn summed(text: &str) -> Option<Quantity> {
    let words: Vec<&str> = text.split_whitespace().collect();
    let (pairs, rest) = words.as_chunks::<2>();
    if pairs.len() < 2 || !rest.is_empty() {
        return None;
    }
    let parts: Vec<Quantity> = pairs
        .iter()
        .map(|pair| pair.join(" ").parse().ok())
        .collect::<Option<_>>()?;
    let unit = parts.last()?.unit();
    let alike = |part: &Quantity| part.dimension() == unit.dimension();
    let sum = parts.iter().map(|part| part.si()).sum();
    (parts.iter().all(alike) && unit.has_true_zero())
        .then(|| Quantity::new(unit.from_si(sum), unit).ok())?
}

/// `15 Grad` or `15 deg`: degrees, and not said on which scale.
pub fn is_degrees(unit: &str) -> bool {
    matches!(
        unit.to_lowercase().as_str(),
        "°" | "deg" | "deg." | "degree" | "degrees" | "grad" | "grade"
    )
}

/// `bar absolute` or `psig`: a unit does not say from where a pressure is counted.
pub fn counted_from(unit: &str) -> Option<String> {
    let lower = unit.to_lowercase();
    let bare = [
        "absolute", "abs.", "abs", "gauge", "gage", "g", "a", "(abs)", "(g)", "(a)",
    ];
    let bare = bare
        .iter()
        .find_map(|behind| Unit::named(lower.strip_suffix(behind)?.trim()))?;
    (bare.dimension() == Dimension::Pressure).then(|| {
        format!(
            "write {bare}; whether it is absolute or against the open air, the question (`ask`) says, as on the gauge that \
             is read"
        )
    })
}

/// `+/- 2 kPa` or `ca. 4 kPa` as a plain quantity.
pub fn without_about(text: &str) -> Option<&str> {
    const ABOUT: [&str; 11] = [
        "±", "+/-", "+-", "+ -", "~", "about", "approx.", "approx", "ca.", "ca", "circa",
    ];
    let text = text.trim();
    let figure = ABOUT
        .iter()
        .find_map(|about| text.strip_prefix(about))?
        .trim();
    figure.parse::<Quantity>().ok().map(|_| figure)
}

/// `2O kPa` with a zero where a letter O stands among figures.
pub fn with_zeros(text: &str) -> Option<String> {
    let is_figure = |c: Option<&char>| c.is_some_and(|c| c.is_ascii_digit() || *c == '.');
    let letters: Vec<char> = text.trim().chars().collect();
    let mut out: Vec<char> = Vec::with_capacity(letters.len());
    for (n, c) in letters.iter().enumerate() {
        let beside = is_figure(out.last()) || n == 0 && is_figure(letters.get(1));
        let is_letter = matches!(c, 'o' | 'O') && beside;
        out.push(if is_letter { '0' } else { *c });
    }
    let figures: String = out.into_iter().collect();
    (figures != text.trim()).then_some(figures)
}

/// `1 h 5` or `5 min 30`, whose last figure has no unit: it counts in the next smaller one, as everybody reads it.
pub fn last_unit_left_out(text: &str) -> Option<Quantity> {
    let words: Vec<&str> = text.split_whitespace().collect();
    let [first, unit, last] = words[..] else {
        return None;
    };
    let smaller = match unit {
        "h" => "min",
        "min" => "s",
        _ => return None,
    };
    // More than fill the larger unit are no remainder of it.
    let rest = last
        .parse::<f64>()
        .ok()
        .filter(|n| (0.0..60.0).contains(n))?;
    summed(&format!("{first} {unit} {rest} {smaller}"))
}

/// `1.5 h` or `1 h 5` where plain minutes are wanted.
pub fn in_minutes(text: &str) -> Option<f64> {
    if let Some(sum) = summed(text).or_else(|| last_unit_left_out(text)) {
        return (sum.dimension() == Dimension::Time).then(|| sum.si() / 60.0);
    }
    let time: Quantity = text.trim().parse().ok()?;
    (time.dimension() == Dimension::Time).then(|| time.si() / 60.0)
}

/// `[5, 200]` or `[10 %, 90 %]` as a range, as it would be written.
pub fn as_range_of(node: &Node) -> Option<String> {
    let Tree::List(items) = &node.tree else {
        return None;
    };
    match &items[..] {
        [from, to] => Some(format!("{}..{}", from.text()?.trim(), to.text()?.trim())),
        _ => None,
    }
}

/// `{below: 85 %}` as a range, as it would be written.
pub fn as_range_of_check(node: &Node) -> Option<String> {
    let Tree::Map(pairs) = &node.tree else {
        return None;
    };
    let [(key, value)] = &pairs[..] else {
        return None;
    };
    let limit = value.text()?.trim();
    match key.text()? {
        "below" | "at most" => Some(format!("0..{limit}, or from what it is at least")),
        "between" => Some(limit.to_owned()),
        _ => None,
    }
}

/// `0-60 A`, `0 to 60 A` or `0…60 A` as a range, as it would be written.
pub fn as_range(text: &str) -> Option<String> {
    if let Some(around) = around(text) {
        return Some(around);
    }
    let ends = [
        "...", " to ", " and ", " bis ", " - ", "–", "—", "…", "-", ",", ";",
    ]
    .iter()
    .find_map(|between| text.split_once(between))
    .filter(|(from, to)| !from.trim().is_empty() && !to.trim().is_empty())?;
    let (from, to) = (ends.0.trim(), ends.1.trim());
    let begins =
        |text: &str| text.starts_with(|c: char| c.is_ascii_digit() || c == '-' || c == '.');
    (begins(from) && begins(to)).then(|| format!("{from}..{to}"))
}

/// `40 ± 5 kPa` by its two ends.
fn around(text: &str) -> Option<String> {
    let (middle, by) = ["±", "+/-", "+-"]
        .iter()
        .find_map(|sign| text.split_once(sign))?;
    let by: Quantity = by.trim().parse().ok()?;
    let figure = middle.trim().trim_end_matches(by.unit().name()).trim_end();
    let middle: f64 = figure.parse().ok()?;
    // Digits that a binary number leaves behind are nobody's.
    let end = |value: f64| (value * 1e6).round() / 1e6;
    let (from, to) = (end(middle - by.value()), end(middle + by.value()));
    Some(format!("{from}..{to} {}", by.unit().name()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_and_signs_of_others_are_understood() {
        for (word, check_word) in [
            (">=", Some("at least")),
            ("less than", Some("below")),
            ("Not", Some("none of")),
            ("atleast", Some("at least")),
            ("smells of", None),
        ] {
            assert_eq!(check(word), check_word, "{word}");
        }
    }

    #[test]
    fn checks_are_written_out_as_the_file_wants_them() {
        let amps = Unit::parse("A").unwrap();
        let number = Meaning::Number(amps.dimension(), amps);
        let words = Meaning::Words(vec!["stiff".to_owned(), "yes".to_owned()]);
        let of = |text, meaning| as_check("x", text, meaning);
        assert_eq!(
            of(">= 25 A", &number).as_deref(),
            Some("x: {at least: 25 A}")
        );
        assert_eq!(of("< 25", &number).as_deref(), Some("x: {below: 25 A}"));
        assert_eq!(of("25 A", &number).as_deref(), Some("x: {at least: 25 A}"));
        assert_eq!(of("stiff", &words).as_deref(), Some("x: {is: stiff}"));
        assert_eq!(
            of("is not stiff", &words).as_deref(),
            Some("x: {none of: [stiff]}")
        );
        assert_eq!(of("= yes", &words).as_deref(), Some("x: {is: \"yes\"}"));
        assert_eq!(of("hard", &words), None);
        let condition = as_condition("x is stiff", |_| Some(&words));
        assert_eq!(condition.as_deref(), Some("{x: {is: stiff}}"));
        let spoken = as_condition("valve arm is stiff", |id| {
            (id == "valve-arm").then_some(&words)
        });
        assert_eq!(spoken.as_deref(), Some("{valve-arm: {is: stiff}}"));
    }

    #[test]
    fn ranges_are_written_with_two_points() {
        assert_eq!(as_range("0-60 A").as_deref(), Some("0..60 A"));
        assert_eq!(as_range("0 to 60 A").as_deref(), Some("0..60 A"));
        assert_eq!(as_range("-5 - 5 kPa").as_deref(), Some("-5..5 kPa"));
        assert_eq!(as_range("40 ± 5 kPa").as_deref(), Some("35..45 kPa"));
        assert_eq!(
            as_range("0.4 kPa +/- 0.1 kPa").as_deref(),
            Some("0.3..0.5 kPa")
        );
        assert_eq!(as_range("60 A"), None);
        assert_eq!(as_range("-60 A"), None);
    }
}
