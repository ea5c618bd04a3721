//! What an hour of work costs in this workshop, in the owner's own words.

use serde::Serialize;

/// An hourly rate: a number, and a currency as the owner writes it.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Rate {
    /// For an hour.
    pub an_hour: f64,
    /// The currency, as written.
    pub currency: String,
}

/// So many characters of a currency at most.
const LONGEST: usize = 12;

impl Rate {
    /// Reads "84.50 EUR" or "EUR 84,50"; a number alone will do.
    ///
    /// # Errors
    /// What to write instead.
    pub fn parse(text: &str) -> Result<Self, &'static str> {
        let words: Vec<&str> = text.split_whitespace().collect();
        let rate = |an_hour: f64, rest: &[&str]| {
            let currency = rest.join(" ");
            // Digits there are thousands written apart, and words the hour that is meant anyway.
            let sound = an_hour.is_finite()
                && an_hour > 0.0
                && rest.len() <= 1
                && currency.chars().count() <= LONGEST
                && !currency.chars().any(|c| c.is_control() || c.is_numeric());
            sound.then_some(Self { an_hour, currency })
        };
        let found = match words.as_slice() {
            [first, rest @ ..] if number(first).is_some() => {
                number(first).and_then(|an_hour| rate(an_hour, rest))
            }
            [rest @ .., last] => number(last).and_then(|an_hour| rate(an_hour, rest)),
            [] => None,
        };
        found.ok_or(
            "write a number above nothing, no thousands set apart, with the currency in one word if you like, such as: 84.50 EUR",
        )
    }

    /// What so many minutes cost.
    pub fn of(&self, minutes: f64) -> f64 {
        self.an_hour * minutes / 60.0
    }

    /// As it is written in the settings: "84.50 EUR".
    pub fn written(&self) -> String {
        format!("{:.2} {}", self.an_hour, self.currency)
            .trim_end()
            .to_owned()
    }

    /// "84.50 EUR an hour".
    pub fn words(&self) -> String {
        let currency = &self.currency;
        let blank = if currency.is_empty() { "" } else { " " };
        format!("{:.2}{blank}{currency} an hour", self.an_hour)
    }
}

/// A number with up to two digits behind a point or a comma: three would be thousands to some.
fn number(word: &str) -> Option<f64> {
    let plain = word.replace(',', ".");
    let behind = plain.split_once('.').map_or("", |(_, behind)| behind);
    let sound = behind.len() <= 2 && plain.chars().all(|c| c.is_ascii_digit() || c == '.');
    plain.parse().ok().filter(|_| sound)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rate_is_a_number_with_a_currency_on_either_side() {
        for text in ["84.50 EUR", "EUR 84,50", "84.5 EUR"] {
            let rate = Rate::parse(text).unwrap();
            assert_eq!(rate.words(), "84.50 EUR an hour", "{text}");
            assert!((rate.of(40.0) - 56.333).abs() < 0.001);
        }
        assert_eq!(Rate::parse("70").unwrap().words(), "70.00 an hour");
        for text in [
            "",
            "EUR",
            "0 EUR",
            "-5 EUR",
            "inf EUR",
            "5 of a currency too long",
            "1,200 EUR",
            "1.200,50 EUR",
            "1 200 EUR",
            "90 EUR an hour",
            "1e3 EUR",
        ] {
            assert!(Rate::parse(text).is_err(), "{text}");
        }
    }
}
