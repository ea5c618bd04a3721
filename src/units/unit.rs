//! The one table of units, and how a number in a unit is shown.
//!
//! A unit is a row of a static table, so that comparing two is cheap and no two places can
//! disagree about a factor. Adding a unit is adding a row.

use super::{Dimension, UnitError};
use std::f64::consts::PI;
use std::fmt;
use std::hash::{Hash, Hasher};

/// One row of the table.
#[derive(Debug, Clone, Copy)]
struct Row {
    name: &'static str,
    aliases: &'static [&'static str],
    dimension: Dimension,
    /// SI value of one unit.
    factor: f64,
    /// Added after the factor; only temperatures have one.
    offset: f64,
    /// Digits shown after the point for a value of ordinary size.
    decimals: usize,
    /// Case carries meaning: "mV" must not be taken from "MV".
    exact_case: bool,
}

/// A unit of measure from the table of units that the trade writes.
#[derive(Debug, Clone, Copy)]
pub struct Unit(&'static Row);

const fn row(
    name: &'static str,
    aliases: &'static [&'static str],
    dimension: Dimension,
    factor: f64,
    decimals: usize,
) -> Row {
    Row {
        name,
        aliases,
        dimension,
        factor,
        offset: 0.0,
        decimals,
        exact_case: false,
    }
}

const fn exact(row: Row) -> Row {
    Row {
        exact_case: true,
        ..row
    }
}

const fn offset(row: Row, offset: f64) -> Row {
    Row { offset, ..row }
}

use Dimension as D;

/// Standard gravity times 1000 kg/m3 times 25.4 mm; NIST SP 811 B.8 prints 249.08891 (memory).
const INCH_OF_WATER: f64 = 9.806_65 * 1000.0 * 0.0254;
/// NIST SP 811 B.8 prints 3386.389 (memory); 13595.1 kg/m3 x 9.80665 m/s2 x 25.4 mm.
const INCH_OF_MERCURY: f64 = 13_595.1 * 9.806_65 * 0.0254;
/// 13595.1 kg/m3 x 9.80665 m/s2 x 1 mm, 133.3224 in NIST SP 811 (memory).
const MM_OF_MERCURY: f64 = 13_595.1 * 9.806_65 * 0.001;
/// Pound-force on a square inch, exact: 0.45359237 kg x 9.80665 m/s2 / (25.4 mm)2.
const PSI: f64 = 0.453_592_37 * 9.806_65 / (0.0254 * 0.0254);
/// International foot, exact, cubed.
const CUBIC_FOOT: f64 = 0.3048 * 0.3048 * 0.3048;
/// US liquid gallon, 231 cubic inches, exact.
const GALLON: f64 = 231.0 * 0.0254 * 0.0254 * 0.0254;

/// Within a dimension the first row is the default one.
#[rustfmt::skip] // One row a line: a table is read down its columns.
static ROWS: &[Row] = &[
    row("kPa", &["kilopascal"], D::Pressure, 1e3, 2),
    row("Pa", &["pascal"], D::Pressure, 1.0, 0),
    row("hPa", &["hectopascal"], D::Pressure, 100.0, 1),
    exact(row("MPa", &["megapascal"], D::Pressure, 1e6, 4)),
    row("bar", &[], D::Pressure, 1e5, 3),
    row("mbar", &["millibar"], D::Pressure, 100.0, 1),
    row("psi", &["lbf/in2", "lb/in2"], D::Pressure, PSI, 2),
    row("inH2O", &["in H2O", "inH₂O", "in H₂O", "inwc", "in wc", "\"H2O", "inches of water"], D::Pressure, INCH_OF_WATER, 2),
    row("inHg", &["in Hg", "\"Hg", "inches of mercury"], D::Pressure, INCH_OF_MERCURY, 2),
    row("mmHg", &["mm Hg"], D::Pressure, MM_OF_MERCURY, 1),
    row("atm", &[], D::Pressure, 101_325.0, 3),
    row("L/min", &["lpm", "litre/min", "liter/min"], D::VolumeFlow, 1e-3 / 60.0, 2),
    row("L/h", &["litre/h", "liter/h"], D::VolumeFlow, 1e-3 / 3600.0, 1),
    row("m3/h", &["m³/h"], D::VolumeFlow, 1.0 / 3600.0, 3),
    row("m3/s", &["m³/s"], D::VolumeFlow, 1.0, 6),
    row("cfm", &["ft3/min", "ft³/min"], D::VolumeFlow, CUBIC_FOOT / 60.0, 3),
    row("cfh", &["ft3/h", "ft³/h"], D::VolumeFlow, CUBIC_FOOT / 3600.0, 2),
    row("g/s", &[], D::MassFlow, 1e-3, 2),
    row("kg/s", &[], D::MassFlow, 1.0, 5),
    row("kg/h", &[], D::MassFlow, 1.0 / 3600.0, 2),
    row("lb/min", &[], D::MassFlow, 0.453_592_37 / 60.0, 3),
    row("mm", &["millimetre", "millimeter"], D::Length, 1e-3, 2),
    row("in", &["inch", "inches", "\""], D::Length, 0.0254, 3),
    row("um", &["µm", "μm"], D::Length, 1e-6, 0),
    row("m", &["metre", "meter"], D::Length, 1.0, 0),
    row("ft", &["feet", "foot"], D::Length, 0.3048, 0),
    row("mm2", &["mm²", "sq mm"], D::Area, 1e-6, 3),
    row("cm2", &["cm²"], D::Area, 1e-4, 3),
    row("in2", &["in²", "sq in"], D::Area, 0.0254 * 0.0254, 4),
    row("m2", &["m²"], D::Area, 1.0, 6),
    row("L", &["litre", "liter", "litres", "liters"], D::Volume, 1e-3, 2),
    row("mL", &["cc", "cm3", "cm³"], D::Volume, 1e-6, 1),
    row("m3", &["m³"], D::Volume, 1.0, 4),
    row("gal", &["gallon", "gallons"], D::Volume, GALLON, 2),
    row("ft3", &["ft³"], D::Volume, CUBIC_FOOT, 3),
    row("%", &["percent", "per cent"], D::Ratio, 0.01, 1),
    row("ratio", &[], D::Ratio, 1.0, 3),
    row("V", &["volt", "volts"], D::Voltage, 1.0, 3),
    exact(row("mV", &["millivolt"], D::Voltage, 1e-3, 1)),
    row("A", &["amp", "amps", "ampere"], D::Current, 1.0, 2),
    exact(row("mA", &["milliamp"], D::Current, 1e-3, 0)),
    row("ohm", &["ohms", "Ω"], D::Resistance, 1.0, 1),
    row("kohm", &["kΩ"], D::Resistance, 1e3, 3),
    offset(row("C", &["°C", "degC", "deg C"], D::Temperature, 1.0, 1), 273.15),
    offset(row("F", &["°F", "degF", "deg F"], D::Temperature, 5.0 / 9.0, 1), 459.67 * 5.0 / 9.0),
    row("K", &["kelvin"], D::Temperature, 1.0, 1),
    row("rpm", &["1/min", "rev/min", "r/min"], D::Speed, 1.0 / 60.0, 0),
    row("Hz", &["1/s"], D::Speed, 1.0, 2),
    row("s", &["sec", "second", "seconds"], D::Time, 1.0, 1),
    exact(row("ms", &["millisecond"], D::Time, 1e-3, 1)),
    row("us", &["µs", "μs", "microsecond"], D::Time, 1e-6, 0),
    row("min", &["minute", "minutes"], D::Time, 60.0, 1),
    row("h", &["hr", "hour", "hours"], D::Time, 3600.0, 2),
    row("deg", &["°", "degree", "degrees"], D::Angle, PI / 180.0, 1),
    row("rad", &[], D::Angle, 1.0, 4),
    row("count", &["1"], D::Count, 1.0, 0),
    row("V/kPa", &[], D::VoltagePerPressure, 1e-3, 5),
    exact(row("mV/kPa", &[], D::VoltagePerPressure, 1e-6, 2)),
    row("V/psi", &[], D::VoltagePerPressure, 1.0 / PSI, 4),
];

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

    /// The SI value of `value` in this unit.
    pub fn to_si(self, value: f64) -> f64 {
        value * self.0.factor + self.0.offset
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

impl Row {
    fn spellings(&self) -> impl Iterator<Item = &'static str> {
        std::iter::once(self.name).chain(self.aliases.iter().copied())
    }
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

/// The known name closest to what was written, if close enough to be a slip.
fn nearest(folded: &str) -> Option<&'static str> {
    if folded.chars().count() > 24 {
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
