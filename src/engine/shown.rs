//! Values and answers as people read them: on screen, in the record, in a report.

use crate::flow::answer::{Answer, Strength};
use crate::physics::uncertainty::Estimate;
use crate::units::Unit;

/// "1.02 mm (0.95 to 1.08 mm)"; without the brackets where nothing is uncertain.
pub fn estimate(estimate: &Estimate, unit: Option<Unit>) -> String {
    let Some(unit) = unit else {
        return format!("{:.3}", estimate.value);
    };
    let middle = unit.show(estimate.value);
    if (estimate.low - estimate.high).abs() <= f64::EPSILON * estimate.value.abs() {
        return middle;
    }
    match (estimate.low.is_finite(), estimate.high.is_finite()) {
        (true, true) => {
            format!(
                "{middle} ({} to {})",
                unit.show(estimate.low),
                unit.show(estimate.high)
            )
        }
        (true, false) => format!("{middle} (at least {})", unit.show(estimate.low)),
        (false, true) => format!("{middle} (at most {})", unit.show(estimate.high)),
        (false, false) => format!("{middle} (cannot tell how sure)"),
    }
}

/// An answer in words.
pub fn answer(answer: &Answer) -> String {
    match answer {
        Answer::Quantity(quantity) => quantity.to_string(),
        Answer::Choice(word) | Answer::Text(word) => word.clone(),
        Answer::Places(places) if places.is_empty() => "nowhere".to_owned(),
        Answer::Places(places) => places
            .iter()
            .map(|(place, strength)| format!("{place} ({})", self::strength(*strength)))
            .collect::<Vec<_>>()
            .join(", "),
        Answer::Pairs(pairs) => pairs
            .iter()
            .map(|(a, b)| format!("{a} = {b}"))
            .collect::<Vec<_>>()
            .join("; "),
        Answer::CouldNotTell(why) if why.is_empty() => "could not tell".to_owned(),
        Answer::CouldNotTell(why) => format!("could not tell: {why}"),
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
