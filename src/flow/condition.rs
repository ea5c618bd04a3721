//! Conditions: structured, with quantities, so that they can be reasoned about.
//!
//! They are evaluated to one of three answers ([`Truth`]), since a value whose interval straddles
//! a limit neither meets it nor misses it, and they print as English.

use std::collections::BTreeSet;

use super::values::{Value, Values};
use crate::units::{Quantity, preferred};

/// When an outcome applies.
#[derive(Clone, Debug, PartialEq)]
pub enum Condition {
    /// Always.
    Always,
    /// All of these hold.
    All(Vec<Condition>),
    /// At least one of these holds.
    Any(Vec<Condition>),
    /// None of these holds.
    None(Vec<Condition>),
    /// A check on one reading, fact or worked value.
    Test {
        /// Its id.
        subject: String,
        /// The check.
        check: Check,
    },
}

/// A check on one value.
#[derive(Clone, Debug, PartialEq)]
pub enum Check {
    /// `at least`: the limit itself counts.
    AtLeast(Quantity),
    /// `above`: the limit itself does not count.
    Above(Quantity),
    /// `at most`: the limit itself counts.
    AtMost(Quantity),
    /// `below`: the limit itself does not count.
    Below(Quantity),
    /// `between`: both ends count.
    Between(Quantity, Quantity),
    /// `is`: this word; for places, shown here.
    Is(String),
    /// `any of`: one of these words; for places, shown at one of these.
    AnyOf(Vec<String>),
    /// `none of`: not one of these words.
    NoneOf(Vec<String>),
}

/// The word for "looked everywhere, nothing showed" in a condition on places.
pub const NOWHERE: &str = "nowhere";

/// The word in a signature for a place that the reading does not list.
pub const ANOTHER_PLACE: &str = "another place";

/// What a condition comes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Truth {
    /// It holds, over the whole interval of every value.
    Yes,
    /// It does not hold, anywhere in the intervals.
    No,
    /// Some value's interval straddles a limit.
    Straddles,
    /// Something that it needs is not known.
    Unknown,
}

impl Truth {
    fn of(yes: bool) -> Self {
        if yes { Self::Yes } else { Self::No }
    }

    fn not(self) -> Self {
        match self {
            Self::Yes => Self::No,
            Self::No => Self::Yes,
            other => other,
        }
    }

    /// Both hold. What is missing outranks what straddles: nothing can be said before it is read.
    fn and(self, other: Self) -> Self {
        match (self, other) {
            (Self::No, _) | (_, Self::No) => Self::No,
            (Self::Unknown, _) | (_, Self::Unknown) => Self::Unknown,
            (Self::Straddles, _) | (_, Self::Straddles) => Self::Straddles,
            (Self::Yes, Self::Yes) => Self::Yes,
        }
    }
}

impl Condition {
    /// What it comes to with these values, their intervals taken into account.
    pub fn truth(&self, values: &Values) -> Truth {
        match self {
            Self::Always => Truth::Yes,
            Self::All(parts) => all(parts, values),
            Self::Any(parts) => parts
                .iter()
                .map(|part| part.truth(values).not())
                .fold(Truth::Yes, Truth::and)
                .not(),
            Self::None(parts) => parts
                .iter()
                .map(|part| part.truth(values).not())
                .fold(Truth::Yes, Truth::and),
            Self::Test { subject, check } => match values.get(subject) {
                Some(value) => check.truth(value),
                None => Truth::Unknown,
            },
        }
    }

    /// Whether it can still come to hold with more values than these, all of these staying as they
    /// are: not where one that it needs could not be told, or cannot be worked.
    pub fn can_hold(&self, values: &Values) -> bool {
        match self {
            Self::Always => true,
            Self::All(parts) => parts.iter().all(|part| part.can_hold(values)),
            Self::Any(parts) => parts.iter().any(|part| part.can_hold(values)),
            Self::None(parts) => parts.iter().all(|part| part.can_fail(values)),
            Self::Test { subject, check } => that_stands(values.get(subject))
                .is_none_or(|value| matches!(check.truth(value), Truth::Yes | Truth::Straddles)),
        }
    }

    fn can_fail(&self, values: &Values) -> bool {
        match self {
            Self::Always => false,
            Self::All(parts) => parts.iter().any(|part| part.can_fail(values)),
            Self::Any(parts) => parts.iter().all(|part| part.can_fail(values)),
            Self::None(parts) => parts.iter().any(|part| part.can_hold(values)),
            Self::Test { subject, check } => that_stands(values.get(subject))
                .is_none_or(|value| matches!(check.truth(value), Truth::No | Truth::Straddles)),
        }
    }

    /// The ids that it looks at, in the order of the text.
    pub fn subjects(&self) -> Vec<&str> {
        match self {
            Self::Always => Vec::new(),
            Self::All(parts) | Self::Any(parts) | Self::None(parts) => {
                parts.iter().flat_map(Self::subjects).collect()
            }
            Self::Test { subject, .. } => vec![subject],
        }
    }

    /// The checks whose limit a value straddles.
    pub fn straddled<'a>(&'a self, values: &Values) -> Vec<(&'a str, &'a Check)> {
        match self {
            Self::Always => Vec::new(),
            Self::All(parts) | Self::Any(parts) | Self::None(parts) => parts
                .iter()
                .flat_map(|part| part.straddled(values))
                .collect(),
            Self::Test { subject, check } => {
                let straddles = values
                    .get(subject)
                    .is_some_and(|value| check.truth(value) == Truth::Straddles);
                if straddles {
                    vec![(subject.as_str(), check)]
                } else {
                    Vec::new()
                }
            }
        }
    }

    /// The condition as English, with `name` giving each id's words.
    pub fn english(&self, name: &dyn Fn(&str) -> String) -> String {
        let join = |parts: &[Self], word: &str| {
            parts
                .iter()
                .map(|part| part.english(name))
                .collect::<Vec<_>>()
                .join(word)
        };
        match self {
            Self::Always => "always".to_owned(),
            Self::All(parts) => join(parts, " and "),
            Self::Any(parts) => format!("either {}", join(parts, ", or ")),
            Self::None(parts) => format!("none of these holds: {}", join(parts, "; ")),
            Self::Test { subject, check } => format!("{} {}", name(subject), check.english()),
        }
    }
}

/// A value that stands; what was left out may still be read.
fn that_stands(value: Option<&Value>) -> Option<&Value> {
    value.filter(|value| **value != Value::LeftOut)
}

fn all(parts: &[Condition], values: &Values) -> Truth {
    parts
        .iter()
        .map(|part| part.truth(values))
        .fold(Truth::Yes, Truth::and)
}

/// A quantity as it is said aloud: nobody says "2 count".
fn said(quantity: &Quantity) -> String {
    preferred::said(*quantity)
}

/// Whether something shows at one of these places; [`NOWHERE`] stands for nothing showing at all.
fn shows_at_one(shown: &BTreeSet<String>, places: &[String]) -> bool {
    places
        .iter()
        .any(|place| shown.contains(place) || (place == NOWHERE && shown.is_empty()))
}

impl Check {
    /// What the check comes to for a value.
    pub fn truth(&self, value: &Value) -> Truth {
        match value {
            Value::Number(estimate) => self.truth_of_number(estimate.low, estimate.high),
            Value::Word(word) => self.truth_of_word(word),
            Value::Places(shown) => match self {
                Self::Is(place) if place == NOWHERE => Truth::of(shown.is_empty()),
                Self::Is(place) => Truth::of(shown.contains(place)),
                Self::AnyOf(places) => Truth::of(shows_at_one(shown, places)),
                Self::NoneOf(places) => Truth::of(!shows_at_one(shown, places)),
                _ => Truth::Unknown,
            },
            // What is not asked on this car can hold no check.
            Value::NotApplicable => Truth::No,
            Value::Refused(_) | Value::Untold | Value::LeftOut => Truth::Unknown,
        }
    }

    fn truth_of_number(&self, low: f64, high: f64) -> Truth {
        let beyond = |limit: &Quantity, counts: bool| {
            let limit = limit.si();
            let (low_in, high_in) = if counts {
                (low >= limit, high >= limit)
            } else {
                (low > limit, high > limit)
            };
            match (low_in, high_in) {
                (true, true) => Truth::Yes,
                (false, false) => Truth::No,
                _ => Truth::Straddles,
            }
        };
        match self {
            Self::AtLeast(limit) => beyond(limit, true),
            Self::Above(limit) => beyond(limit, false),
            Self::AtMost(limit) => beyond(limit, false).not(),
            Self::Below(limit) => beyond(limit, true).not(),
            Self::Between(from, to) => beyond(from, true).and(beyond(to, false).not()),
            Self::Is(_) | Self::AnyOf(_) | Self::NoneOf(_) => Truth::Unknown,
        }
    }

    fn truth_of_word(&self, word: &str) -> Truth {
        match self {
            Self::Is(wanted) => Truth::of(wanted == word),
            Self::AnyOf(wanted) => Truth::of(wanted.iter().any(|w| w == word)),
            Self::NoneOf(unwanted) => Truth::of(!unwanted.iter().any(|w| w == word)),
            _ => Truth::Unknown,
        }
    }

    /// The check as English.
    pub fn english(&self) -> String {
        match self {
            Self::AtLeast(limit) => format!("is at least {}", said(limit)),
            Self::Above(limit) => format!("is above {}", said(limit)),
            Self::AtMost(limit) => format!("is at most {}", said(limit)),
            Self::Below(limit) => format!("is below {}", said(limit)),
            Self::Between(from, to) => format!("is between {} and {}", said(from), said(to)),
            Self::Is(word) => format!("is \"{word}\""),
            Self::AnyOf(words) => format!("is {}", quoted(words, " or ")),
            Self::NoneOf(words) => match &words[..] {
                [word] => format!("is not \"{word}\""),
                _ => format!("is neither {}", quoted(words, " nor ")),
            },
        }
    }
}

/// Words of a choice between quotes: many are phrases, and begin with "not" themselves.
fn quoted(words: &[String], last: &str) -> String {
    let quoted: Vec<String> = words.iter().map(|word| format!("\"{word}\"")).collect();
    match &quoted[..] {
        [before @ .., end] if !before.is_empty() => format!("{}{last}{end}", before.join(", ")),
        _ => quoted.concat(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::physics::uncertainty::Estimate;

    fn kpa(text: &str) -> Quantity {
        text.parse().unwrap()
    }

    fn held(low: f64, high: f64) -> Values {
        let mut values = Values::default();
        values.set(
            "p",
            Value::Number(Estimate {
                value: f64::midpoint(low, high),
                low,
                high,
            }),
        );
        values
    }

    fn test(check: Check) -> Condition {
        Condition::Test {
            subject: "p".to_owned(),
            check,
        }
    }

    #[test]
    fn an_interval_across_a_limit_straddles_and_one_beside_it_does_not() {
        let limit = test(Check::AtLeast(kpa("3 kPa")));
        assert_eq!(limit.truth(&held(2_900.0, 3_100.0)), Truth::Straddles);
        assert_eq!(limit.truth(&held(3_000.0, 3_100.0)), Truth::Yes);
        assert_eq!(limit.truth(&held(2_800.0, 2_999.0)), Truth::No);
        let below = test(Check::Below(kpa("3 kPa")));
        assert_eq!(below.truth(&held(3_000.0, 3_000.0)), Truth::No);
        assert_eq!(
            test(Check::AtMost(kpa("3 kPa"))).truth(&held(3_000.0, 3_000.0)),
            Truth::Yes
        );
    }

    #[test]
    fn at_least_and_below_leave_no_gap_and_no_overlap() {
        for si in [2_999.999, 3_000.0, 3_000.001] {
            let upper = test(Check::AtLeast(kpa("3 kPa"))).truth(&held(si, si));
            let lower = test(Check::Below(kpa("3 kPa"))).truth(&held(si, si));
            assert_ne!(upper, lower, "{si}");
        }
    }

    #[test]
    fn a_value_that_is_missing_decides_nothing_unless_another_part_fails() {
        let known = test(Check::Below(kpa("1 kPa")));
        let missing = Condition::Test {
            subject: "q".to_owned(),
            check: Check::Is("steady".to_owned()),
        };
        let both = Condition::All(vec![known.clone(), missing.clone()]);
        assert_eq!(both.truth(&held(5_000.0, 5_000.0)), Truth::No);
        assert_eq!(both.truth(&held(500.0, 500.0)), Truth::Unknown);
        let either = Condition::Any(vec![known, missing]);
        assert_eq!(either.truth(&held(500.0, 500.0)), Truth::Yes);
    }

    #[test]
    fn what_could_not_be_told_decides_only_where_nothing_else_can_make_up_for_it() {
        let steady = Condition::Test {
            subject: "q".to_owned(),
            check: Check::Is("steady".to_owned()),
        };
        let high = test(Check::AtLeast(kpa("3 kPa")));
        let mut values = Values::default();
        let both = Condition::All(vec![steady.clone(), high.clone()]);
        let either = Condition::Any(vec![steady.clone(), high.clone()]);
        let neither = Condition::None(vec![steady, high]);
        assert!(both.can_hold(&values) && either.can_hold(&values) && neither.can_hold(&values));
        values.set("q", Value::Untold);
        assert!(!both.can_hold(&values));
        assert!(either.can_hold(&values), "the other part may still hold");
        assert!(!neither.can_hold(&values));
    }

    #[test]
    fn conditions_print_as_english() {
        let condition = Condition::All(vec![
            test(Check::Above(kpa("3 kPa"))),
            Condition::Test {
                subject: "seen".to_owned(),
                check: Check::AnyOf(vec!["cap".to_owned(), "hose".to_owned()]),
            },
        ]);
        let words = condition.english(&|id| format!("the {id}"));
        assert_eq!(
            words,
            "the p is above 3 kPa and the seen is \"cap\" or \"hose\""
        );
        let none_of = |words: &[&str]| {
            let words = words.iter().map(|word| (*word).to_owned()).collect();
            Check::NoneOf(words).english()
        };
        assert_eq!(none_of(&["not run yet"]), "is not \"not run yet\"");
        assert_eq!(
            none_of(&["a", "b", "c"]),
            "is neither \"a\", \"b\" nor \"c\""
        );
    }
}
