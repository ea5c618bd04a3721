//! A number with its unit, kept as it was written so that a file read and written back is unchanged.

use super::number::leading_number;
use super::{Dimension, Unit, UnitError};
use serde::de::{Error as _, Visitor};
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::fmt;
use std::str::FromStr;

/// A finite number in a unit: "14 inH2O".
///
/// ```
/// use ruleout::units::Quantity;
/// let hole: Quantity = "1/16 in".parse()?;
/// assert!((hole.si() - 0.001_587_5).abs() < 1e-12);
/// assert_eq!(hole.to_string(), "0.0625 in");
/// # Ok::<(), ruleout::units::UnitError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Quantity {
    value: f64,
    unit: Unit,
}

impl Quantity {
    /// A quantity of `value` in `unit`.
    ///
    /// # Errors
    /// [`UnitError::NotFinite`] when the value, or its SI value, is not a finite number.
    pub fn new(value: f64, unit: Unit) -> Result<Self, UnitError> {
        if value.is_finite() && unit.to_si(value).is_finite() {
            Ok(Self { value, unit })
        } else {
            Err(UnitError::NotFinite {
                text: format!("{value} {unit}"),
            })
        }
    }

    /// The number as written, in [`Self::unit`].
    pub const fn value(self) -> f64 {
        self.value
    }

    /// The unit as written.
    pub const fn unit(self) -> Unit {
        self.unit
    }

    /// What it measures.
    pub const fn dimension(self) -> Dimension {
        self.unit.dimension()
    }

    /// The value in SI units.
    pub fn si(self) -> f64 {
        self.unit.to_si(self.value)
    }

    /// The same quantity written in another unit; `None` when that unit measures something else.
    pub fn in_unit(self, unit: Unit) -> Option<Self> {
        if unit == self.unit {
            return Some(self);
        }
        let value = unit.from_si(self.si());
        (unit.dimension() == self.dimension() && value.is_finite()).then_some(Self { value, unit })
    }
}

impl FromStr for Quantity {
    type Err = UnitError;

    fn from_str(text: &str) -> Result<Self, UnitError> {
        let (value, unit) = leading_number(text)?;
        if unit.is_empty() {
            return Err(UnitError::NoUnit {
                text: text.trim().to_owned(),
            });
        }
        Self::new(value, Unit::parse(unit)?)
    }
}

impl fmt::Display for Quantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.value, self.unit)
    }
}

impl Serialize for Quantity {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Quantity {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Text;
        impl Visitor<'_> for Text {
            type Value = Quantity;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a number with its unit, for example \"14 kPa\"")
            }

            fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<Quantity, E> {
                text.parse().map_err(E::custom)
            }
        }
        deserializer.deserialize_str(Text).map_err(D::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<(f64, &'static str), UnitError> {
        text.parse::<Quantity>()
            .map(|q| (q.value(), q.unit().name()))
    }

    #[test]
    fn quantities_are_read_as_the_trade_writes_them() {
        assert_eq!(read("14kPa"), Ok((14.0, "kPa")));
        assert_eq!(read("  -10 % "), Ok((-10.0, "%")));
        assert_eq!(read("+3%"), Ok((3.0, "%")));
        assert_eq!(read("1e-3 m"), Ok((0.001, "m")));
        assert_eq!(read("1/16 in"), Ok((0.0625, "in")));
        assert_eq!(read("1 1/2\""), Ok((1.5, "in")));
        assert_eq!(read("-1 1/2 in"), Ok((-1.5, "in")));
        assert_eq!(read("\u{2212}5 °C"), Ok((-5.0, "C")));
        assert_eq!(read(".5 psi"), Ok((0.5, "psi")));
        assert_eq!(read("3.0 g/s"), Ok((3.0, "g/s")));
        assert_eq!(read("2 in H2O"), Ok((2.0, "inH2O")));
        assert_eq!(read("800 1/min"), Ok((800.0, "rpm")));
        assert_eq!(read("5 min"), Ok((5.0, "min")));
    }

    #[test]
    fn what_is_no_quantity_is_refused_with_a_reason() {
        assert!(matches!(read(""), Err(UnitError::Empty)));
        assert!(matches!(read("kPa"), Err(UnitError::NotANumber { .. })));
        assert!(matches!(read(" OL "), Err(UnitError::OffScale { .. })));
        assert!(matches!(read("O.L."), Err(UnitError::OffScale { .. })));
        assert!(matches!(read("olive"), Err(UnitError::NotANumber { .. })));
        assert!(matches!(read("nan kPa"), Err(UnitError::NotANumber { .. })));
        assert!(matches!(read("inf kPa"), Err(UnitError::NotANumber { .. })));
        assert!(matches!(
            read("1e999 kPa"),
            Err(UnitError::NotFinite { .. })
        ));
        assert!(matches!(
            read("1e306 kPa"),
            Err(UnitError::NotFinite { .. })
        ));
        assert!(matches!(read("1/0 in"), Err(UnitError::NotFinite { .. })));
        assert!(matches!(read("0/0 in"), Err(UnitError::NotFinite { .. })));
        assert!(matches!(read("14"), Err(UnitError::NoUnit { .. })));
        assert!(matches!(
            read("1,5 kPa"),
            Err(UnitError::DecimalComma { .. })
        ));
        assert!(matches!(read("--5 kPa"), Err(UnitError::NotANumber { .. })));
        assert!(matches!(
            read("14 kPaa"),
            Err(UnitError::UnknownUnit {
                nearest: Some("kPa"),
                ..
            })
        ));
    }

    #[test]
    fn a_quantity_survives_text_and_serde() {
        for text in ["14 inH2O", "0.1 L/min", "-0.25 %", "2.05 V", "1e-7 m"] {
            let quantity: Quantity = text.parse().expect("a quantity");
            assert_eq!(quantity.to_string().parse(), Ok(quantity), "{text}");
            let json = serde_json::to_string(&quantity).expect("a string");
            assert_eq!(
                serde_json::from_str::<Quantity>(&json).expect("the same"),
                quantity
            );
        }
        let error = serde_json::from_str::<Quantity>("\"14\"").expect_err("no unit");
        assert!(error.to_string().contains("no unit"), "{error}");
    }

    #[test]
    fn another_unit_of_the_same_dimension_can_be_asked_for() {
        let pressure: Quantity = "14 inH2O".parse().expect("a pressure");
        let kpa = pressure
            .in_unit(Unit::parse("kPa").expect("known"))
            .expect("a pressure");
        assert!((kpa.value() - 3.487_244_74).abs() < 1e-8);
        assert_eq!(pressure.in_unit(Unit::parse("mm").expect("known")), None);
    }
}
