//! What an author's reason tells the customer: the result, and not what the technician is to do next.

use crate::report::text::{sentence, stopped};

/// Words that begin an order to the technician, and "back", "first", "now", "otherwise", "then" before one.
const ORDERS: [&str; 28] = [
    "back",
    "check",
    "clamp",
    "clear",
    "come",
    "cover",
    "find",
    "first",
    "go",
    "hand",
    "hold",
    "leave",
    "let",
    "look",
    "measure",
    "mend",
    "now",
    "otherwise",
    "put",
    "read",
    "repeat",
    "search",
    "see",
    "seat",
    "take",
    "test",
    "then",
    "write",
];

/// A reason up to where it begins to say what is to be done or which test comes next, as a sentence; empty where it
/// says nothing else. A clause ends with a semicolon, a colon, or a full stop.
pub fn told(because: &str) -> String {
    let mut end = 0;
    for clause in because.split_inclusive([';', ':', '.']) {
        if orders(clause) {
            break;
        }
        end += clause.len();
    }
    let kept = because.get(..end).unwrap_or(because).trim();
    stopped(&sentence(kept.trim_end_matches([';', ':'])))
}

/// Whether a clause speaks to the technician: orders something, or asks.
fn orders(clause: &str) -> bool {
    if clause.trim_end().ends_with('?') {
        return true;
    }
    let mut words = clause
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_lowercase);
    let first = words.next().unwrap_or_default();
    ORDERS.contains(&first.as_str()) || words.any(|word| word == "next")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_to_be_done_next_is_left_out() {
        assert_eq!(
            told("No smoke shows; take the next test"),
            "No smoke shows."
        );
        assert_eq!(
            told("It is too small; it can be mended, but the cause lies elsewhere"),
            "It is too small; it can be mended, but the cause lies elsewhere."
        );
        assert_eq!(told("Look for it outside. Then take the next test"), "");
        assert_eq!(told("It lost 2.5 kPa. Test the sensor"), "It lost 2.5 kPa.");
        assert_eq!(told("it holds, and the rest comes next"), "");
        assert_eq!(
            told("It is a part of it; mend it, then the whole system again"),
            "It is a part of it."
        );
        assert_eq!(
            told("The unit sees the hole too small: is it the float or the hole?"),
            "The unit sees the hole too small."
        );
    }
}
