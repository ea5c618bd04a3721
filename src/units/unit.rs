//! A unit, as it is found by its name, and how a number in it is shown.
//!
//! It is a row of the one static [`table`](super::table), so that comparing two is cheap and no two
//! places can disagree about a factor.

use super::digits::rounded;
use super::table::{ROWS, Row};
use super::{Dimension, UnitError};
use std::fmt;
use std::hash::{Hash, Hasher};

/// A unit of measure from the table of units that the trade writes.
#[derive(Debug, Clone, Copy)]
pub struct Unit(&'static Row);

/// A value this far below one unit is rounding noise: no gauge of the trade resolves it.
const NOISE: f64 = 1e-12;

impl Unit {
    /// Finds a unit by its name or one of its other spellings.
    ///
    /// Upper and lower case are one where that is not ambiguous.
    ///
    /// # Errors
    /// [`UnitError::UnknownUnit`], with the closest known name.
    pub fn parse(text: &str) -> Result<Self, UnitError> {
        let wanted = text.split_whitespace().collect::<Vec<_>>().join(" ");
        Self::named(&wanted).ok_or_else(|| UnitError::UnknownUnit {
            nearest: nearest(&wanted.to_lowercase()),
            text: wanted,
        })
    }

    /// The unit of this name or spelling, if there is one.
    pub fn named(wanted: &str) -> Option<Self> {
        let exact = |row: &&Row| row.spellings().any(|s| s == wanted);
        let folded = wanted.to_lowercase();
        let loose =
            |row: &&Row| !row.exact_case && row.spellings().any(|s| s.to_lowercase() == folded);
        let row = ROWS.iter().find(exact);
        row.or_else(|| ROWS.iter().find(loose)).map(Self)
    }

    /// The name that is printed.
    pub const fn name(self) -> &'static str {
        self.0.name
    }

    /// What it measures.
    pub const fn dimension(self) -> Dimension {
        self.0.dimension
    }

    /// Digits after the point that [`Self::show`] gives a value of ordinary size.
    pub const fn decimals(self) -> usize {
        self.0.decimals
    }

    /// The SI value of `value` in this unit, rounded to [`DIGITS`](super::digits::DIGITS) digits, so
    /// that one value written in two units is one number: 0.3 in and 7.62 mm.
    pub fn to_si(self, value: f64) -> f64 {
        rounded(value * self.0.factor + self.0.offset)
    }

    /// The value in this unit of an SI value.
    pub fn from_si(self, si: f64) -> f64 {
        (si - self.0.offset) / self.0.factor
    }

    /// Whether its zero is the zero of its kind: not so of C and F, which therefore cannot show a
    /// difference of two temperatures.
    pub fn has_true_zero(self) -> bool {
        self.0.offset == 0.0
    }

    /// The SI value of a *difference* written in this unit: 2 C is 2 K, not 275.15 K.
    pub fn step_to_si(self, value: f64) -> f64 {
        value * self.0.factor
    }

    /// The value in this unit of a *difference* in SI.
    pub fn step_from_si(self, si: f64) -> f64 {
        si / self.0.factor
    }

    /// An SI value as text in this unit: "1.02 mm".
    ///
    /// A small value gets more digits so that three always count; zero has no sign.
    pub fn show(self, si: f64) -> String {
        self.label(self.from_si(si))
    }

    /// A difference in SI as text in this unit.
    pub fn show_step(self, si: f64) -> String {
        self.label(self.step_from_si(si))
    }

    fn label(self, value: f64) -> String {
        format!("{}{}", self.number(value), self.behind())
    }

    /// What is written behind a number in this unit, with its blank: a bare number reads better than
    /// "4 count" and "0.93 ratio".
    pub fn behind(self) -> String {
        match self.0.name {
            "count" | "ratio" => String::new(),
            name => format!(" {name}"),
        }
    }

    /// The digits of a value already in this unit.
    fn number(self, value: f64) -> String {
        if value.is_nan() {
            return "unknown".to_owned();
        }
        if value.is_infinite() {
            return if value > 0.0 {
                "no upper limit".to_owned()
            } else {
                "no lower limit".to_owned()
            };
        }
        let magnitude = value.abs();
        if magnitude >= 1e9 {
            return format!("{value:.3e}");
        }
        let mut decimals = self.0.decimals;
        if magnitude < NOISE {
            return format!("{:.decimals$}", 0.0);
        }
        // Three digits that count, unless the unit's own habit gives more.
        while decimals < 14 && magnitude * power_of_ten(decimals) < 99.5 && magnitude < 1.0 {
            decimals += 1;
        }
        if self.0.dimension == Dimension::Count && magnitude.fract() != 0.0 {
            decimals = decimals.max(2);
        }
        let text = format!("{value:.decimals$}");
        if text.bytes().any(|b| b.is_ascii_digit() && b != b'0') {
            text
        } else {
            text.trim_start_matches('-').to_owned()
        }
    }

    /// Every unit, grouped by dimension.
    pub fn all() -> impl Iterator<Item = Self> {
        ROWS.iter().map(Self)
    }

    /// The units of one dimension, the default one first.
    pub fn of(dimension: Dimension) -> impl Iterator<Item = Self> {
        Self::all().filter(move |unit| unit.dimension() == dimension)
    }

    /// The unit in which a dimension is shown when nobody chose one.
    #[expect(
        clippy::missing_panics_doc,
        reason = "a test holds that every dimension has a unit"
    )]
    pub fn default_for(dimension: Dimension) -> Self {
        Self::of(dimension)
            .next()
            .expect("a test holds that every dimension has a unit")
    }
}

/// Ten to a small power; `powi` wants an `i32`.
fn power_of_ten(exponent: usize) -> f64 {
    (0..exponent).fold(1.0, |power, _| power * 10.0)
}

/// The unit of which what was written begins with the name in full or in letters: `kpascal` is kPa.
fn written_out(folded: &str) -> Option<&'static str> {
    const STEMS: [(&str, &str); 4] = [
        ("kpas", "kPa"),
        ("kilopas", "kPa"),
        ("hpas", "hPa"),
        ("mpa", "MPa"),
    ];
    let stem = STEMS.iter().find(|(stem, _)| folded.starts_with(stem));
    stem.map(|(_, name)| *name)
}

/// Units with a meaning that none of the table has, whose nearest name would be another size: absolute pressures, and
/// flows at other reference conditions.
const ELSEWHERE: [&str; 11] = [
    "psia", "bara", "inhga", "slm", "slpm", "sccm", "scfm", "scfh", "nl/min", "nlpm", "nm3/h",
];

/// The known name closest to what was written, if close enough to be a slip.
fn nearest(folded: &str) -> Option<&'static str> {
    if folded.chars().count() > 24 {
        return None;
    }
    if ELSEWHERE.contains(&folded) {
        return None;
    }
    // Beside a name that was cut short or spelt on, one a thousand times off may have more letters
    // in common.
    if let Some(meant) = written_out(folded) {
        return Some(meant);
    }
    ROWS.iter()
        .map(|row| {
            let score = row
                .spellings()
                .map(|s| strsim::jaro_winkler(&s.to_lowercase(), folded))
                .fold(0.0, f64::max);
            (score, row.name)
        })
        .filter(|(score, _)| *score >= 0.75)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, name)| name)
}

impl PartialEq for Unit {
    fn eq(&self, other: &Self) -> bool {
        self.0.name == other.0.name
    }
}

impl Eq for Unit {}

impl Hash for Unit {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.0.name.hash(state);
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.0.name)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_dimension_has_a_unit() {
        for dimension in Dimension::ALL {
            assert!(Unit::of(*dimension).next().is_some(), "{dimension}");
        }
    }

    #[test]
    fn no_spelling_belongs_to_two_units() {
        let mut seen = std::collections::BTreeMap::new();
        for row in ROWS {
            for spelling in row.spellings() {
                let key = if row.exact_case {
                    spelling.to_owned()
                } else {
                    spelling.to_lowercase()
                };
                assert_eq!(
                    seen.insert(key, row.name),
                    None,
                    "{spelling} is written twice"
                );
            }
        }
    }

    #[test]
    fn case_is_free_only_where_it_means_nothing() {
        assert_eq!(Unit::parse("KPA").map(Unit::name), Ok("kPa"));
        assert_eq!(Unit::parse("inh2o").map(Unit::name), Ok("inH2O"));
        assert_eq!(Unit::parse("mV").map(Unit::name), Ok("mV"));
        assert!(Unit::parse("MV").is_err());
    }

    #[test]
    fn an_unknown_unit_names_the_nearest() {
        let text = Unit::parse("inH20")
            .map(Unit::name)
            .map_err(|e| e.to_string());
        assert_eq!(
            text,
            Err("\"inH20\" is not a unit known here; did you mean inH2O?".to_owned())
        );
        assert!(matches!(
            Unit::parse("furlong-fortnight"),
            Err(UnitError::UnknownUnit { nearest: None, .. })
        ));
    }

    #[test]
    fn values_are_shown_with_digits_that_count() {
        let show = |unit: &str, value: f64| {
            let unit = Unit::parse(unit).expect("a known unit");
            unit.show(unit.to_si(value))
        };
        assert_eq!(show("mm", 1.016), "1.02 mm");
        assert_eq!(show("mm", 0.0123), "0.0123 mm");
        assert_eq!(show("kPa", -0.000_000_000_000_01), "0.00 kPa");
        assert_eq!(show("%", -0.0), "0.0 %");
        assert_eq!(show("C", 20.0), "20.0 C");
        assert_eq!(show("rpm", 812.4), "812 rpm");
        assert_eq!(show("count", 4.0), "4");
        assert_eq!(show("mm2", 0.000_811), "0.000811 mm2");
        assert_eq!(
            Unit::default_for(Dimension::Length).show(f64::INFINITY),
            "no upper limit mm"
        );
    }

    #[test]
    fn only_celsius_and_fahrenheit_have_a_zero_of_their_own() {
        for (unit, own) in [("C", true), ("F", true), ("K", false), ("kPa", false)] {
            assert_eq!(
                Unit::parse(unit).expect("known").has_true_zero(),
                !own,
                "{unit}"
            );
        }
    }

    #[test]
    fn a_step_of_temperature_has_no_offset() {
        let fahrenheit = Unit::parse("°F").expect("a known unit");
        assert!((fahrenheit.step_to_si(9.0) - 5.0).abs() < 1e-12);
        assert!((fahrenheit.to_si(32.0) - 273.15).abs() < 1e-9);
    }
}
