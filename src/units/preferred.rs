//! The units that people want to read, whatever a flow asks in and a technician types in.
//!
//! A workshop thinks in one set of units, but values are written in many places: in flows, in the
//! record, in conditions. Their text stays as it was written. What is *shown* is put into the
//! preferred units where it is worded, for as long as a closure runs ([`showing`]). It is kept for
//! the thread and not handed through every function that words a value, because a value is worded
//! deep inside a condition or a sentence; outside of such a closure everything is shown as written,
//! so that the core gives the same answer whoever looks.

use std::cell::RefCell;
use std::collections::BTreeMap;

use super::{Dimension, Quantity, Unit};

/// What a preferred unit can be set for. Pressures are three kinds to a workshop: nobody says
/// 0.5 psi for 14 inH2O. Which one a value is, its unit as written tells.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[expect(missing_docs, reason = "the names say it; `word` has them for people")]
pub enum Measure {
    Pressure,
    LowPressure,
    Vacuum,
    VolumeFlow,
    MassFlow,
    Length,
    Height,
    Area,
    Volume,
    Temperature,
    SensorSlope,
}

impl Measure {
    /// All of them.
    pub const ALL: [Self; 11] = [
        Self::Pressure,
        Self::LowPressure,
        Self::Vacuum,
        Self::VolumeFlow,
        Self::MassFlow,
        Self::Length,
        Self::Height,
        Self::Area,
        Self::Volume,
        Self::Temperature,
        Self::SensorSlope,
    ];

    /// Its name in the settings.
    pub fn word(self) -> &'static str {
        match self {
            Self::Pressure => "pressure",
            Self::LowPressure => "low-pressure",
            Self::Vacuum => "vacuum",
            Self::VolumeFlow => "volume-flow",
            Self::MassFlow => "mass-flow",
            Self::Length => "length",
            Self::Height => "height",
            Self::Area => "area",
            Self::Volume => "volume",
            Self::Temperature => "temperature",
            Self::SensorSlope => "sensor-slope",
        }
    }

    /// What it measures.
    pub fn dimension(self) -> Dimension {
        match self {
            Self::Pressure | Self::LowPressure | Self::Vacuum => Dimension::Pressure,
            Self::VolumeFlow => Dimension::VolumeFlow,
            Self::MassFlow => Dimension::MassFlow,
            Self::Length | Self::Height => Dimension::Length,
            Self::Area => Dimension::Area,
            Self::Volume => Dimension::Volume,
            Self::Temperature => Dimension::Temperature,
            Self::SensorSlope => Dimension::VoltagePerPressure,
        }
    }

    /// What a value in a unit is, if there is a choice of units for it. A kelvin stays: it stands
    /// for differences, which a scale with another zero cannot show.
    pub fn of(unit: Unit) -> Option<Self> {
        Some(match (unit.dimension(), unit.name()) {
            (Dimension::Pressure, "inH2O" | "mbar" | "hPa" | "Pa") => Self::LowPressure,
            (Dimension::Pressure, "inHg" | "mmHg") => Self::Vacuum,
            (Dimension::Pressure, _) => Self::Pressure,
            (Dimension::VolumeFlow, _) => Self::VolumeFlow,
            (Dimension::MassFlow, _) => Self::MassFlow,
            (Dimension::Length, "m" | "ft") => Self::Height,
            (Dimension::Length, _) => Self::Length,
            (Dimension::Area, _) => Self::Area,
            (Dimension::Volume, _) => Self::Volume,
            (Dimension::Temperature, _) if unit.has_true_zero() => return None,
            (Dimension::Temperature, _) => Self::Temperature,
            (Dimension::VoltagePerPressure, _) => Self::SensorSlope,
            _ => return None,
        })
    }
}

/// A whole set of units.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum System {
    /// As flows and technicians write them.
    #[default]
    AsWritten,
    /// As they are usual in the United States.
    Us,
    /// Metric.
    Metric,
}

impl System {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::AsWritten, Self::Us, Self::Metric];

    /// Its name in the settings.
    pub fn word(self) -> &'static str {
        match self {
            Self::AsWritten => "as written",
            Self::Us => "us",
            Self::Metric => "metric",
        }
    }

    /// The unit's name for a measure; none where it stays as written. Common practice, no source.
    fn unit(self, measure: Measure) -> Option<&'static str> {
        use Measure::{
            Area, Height, Length, LowPressure, MassFlow, Pressure, SensorSlope, Temperature,
            Vacuum, Volume, VolumeFlow,
        };
        match self {
            Self::AsWritten => None,
            Self::Us => Some(match measure {
                Pressure => "psi",
                LowPressure => "inH2O",
                Vacuum => "inHg",
                VolumeFlow => "cfh",
                MassFlow => "g/s",
                Length => "in",
                Height => "ft",
                Area => "in2",
                Volume => "gal",
                Temperature => "F",
                SensorSlope => "V/psi",
            }),
            Self::Metric => Some(match measure {
                Pressure | Vacuum => "kPa",
                LowPressure => "mbar",
                VolumeFlow => "L/min",
                MassFlow => "g/s",
                Length => "mm",
                Height => "m",
                Area => "mm2",
                Volume => "L",
                Temperature => "C",
                SensorSlope => "V/kPa",
            }),
        }
    }
}

/// The units that people want to read.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Preferred {
    /// The whole set.
    pub system: System,
    /// What goes before it, measure by measure.
    pub own: BTreeMap<Measure, Unit>,
}

impl Preferred {
    /// The unit in which a value that was written in `unit` is shown.
    pub fn unit(&self, unit: Unit) -> Unit {
        let Some(measure) = Measure::of(unit) else {
            return unit;
        };
        let own = self.own.get(&measure).copied();
        own.or_else(|| Unit::parse(self.system.unit(measure)?).ok())
            .filter(|own| own.dimension() == unit.dimension())
            .unwrap_or(unit)
    }
}

#[derive(Clone, Debug, Default)]
struct Showing {
    preferred: Preferred,
    /// The units in which what is worked out now is asked for: a flow's own.
    asked_in: Vec<Unit>,
    /// What was written stands first, the preferred unit in brackets.
    written_first: bool,
}

thread_local! {
    static SHOWING: RefCell<Showing> = RefCell::default();
}

/// Puts back what was shown before, on a panic too.
struct Before(Showing);

impl Drop for Before {
    fn drop(&mut self) {
        SHOWING.with(|now| std::mem::swap(&mut *now.borrow_mut(), &mut self.0));
    }
}

fn with<R>(showing: Showing, f: impl FnOnce() -> R) -> R {
    let _before = Before(SHOWING.with(|now| now.replace(showing)));
    f()
}

/// Shows values in the preferred units for as long as `f` runs.
pub fn showing<R>(preferred: &Preferred, f: impl FnOnce() -> R) -> R {
    let preferred = preferred.clone();
    with(
        Showing {
            preferred,
            ..Showing::default()
        },
        f,
    )
}

/// Shows values as they were written first, and in brackets in the preferred units, for as long as
/// `f` runs: a record must not look as if something else had been typed.
pub fn as_written_first<R>(f: impl FnOnce() -> R) -> R {
    let now = SHOWING.with(|now| now.borrow().clone());
    with(
        Showing {
            written_first: true,
            ..now
        },
        f,
    )
}

/// Words what is worked out while `f` runs in these units, unless others are preferred: a calculation knows what it
/// measures, and not in which unit its inputs were asked for.
pub fn asked_in<R>(units: Vec<Unit>, f: impl FnOnce() -> R) -> R {
    let now = SHOWING.with(|now| now.borrow().clone());
    with(
        Showing {
            asked_in: units,
            ..now
        },
        f,
    )
}

/// A value in SI as a calculation words it: in the unit that is preferred for what was asked, else in the one asked
/// in, else in `usual`. Only for what nobody compares later: notes and refusals, never a verdict.
pub fn worked(si: f64, usual: Unit) -> String {
    let asked = SHOWING.with(|now| {
        let now = now.borrow();
        let mut units = now.asked_in.iter();
        units
            .find(|unit| {
                unit.dimension() == usual.dimension()
                    && unit.has_true_zero() == usual.has_true_zero()
            })
            .copied()
    });
    shown_unit(asked.unwrap_or(usual)).show(si)
}

/// What values are shown in now, to tell whether words that hold values are still what they would be.
pub fn now() -> (Preferred, bool) {
    SHOWING.with(|now| {
        let now = now.borrow();
        (now.preferred.clone(), now.written_first)
    })
}

/// Shows values as they were written for as long as `f` runs: what goes into a record is the same
/// whoever looks.
pub fn unconverted<R>(f: impl FnOnce() -> R) -> R {
    with(Showing::default(), f)
}

/// The unit in which values written in this one are shown just now.
pub fn shown_unit(unit: Unit) -> Unit {
    SHOWING.with(|now| now.borrow().preferred.unit(unit))
}

/// A value as people say it, in the unit in which it is shown just now; nobody says "2 count".
pub fn said(quantity: Quantity) -> String {
    let written = written(quantity);
    let unit = shown_unit(quantity.unit());
    if unit == quantity.unit() {
        return written;
    }
    let shown = label(in_unit(quantity, unit), unit);
    if SHOWING.with(|now| now.borrow().written_first) {
        format!("{written} ({shown})")
    } else {
        shown
    }
}

/// A value exactly as it was written; nobody says "2 count".
pub fn written(quantity: Quantity) -> String {
    label(quantity.value(), quantity.unit())
}

/// "5 to 120 kPa", or both ends with their own units.
pub fn said_range(from: Quantity, to: Quantity) -> String {
    let unit = shown_unit(from.unit());
    if unit == shown_unit(to.unit()) {
        range_in(from, to, unit)
    } else {
        format!("{} to {}", said(from), said(to))
    }
}

/// A range with its unit once. In another unit than that in which it was written an end has three digits and lies a
/// little inside, so that what is outside the range is outside what is said of it too; where that turns a narrow one round,
/// both ends have four.
pub fn range_in(from: Quantity, to: Quantity, unit: Unit) -> String {
    let (low, high) = (inside(from, unit, true), inside(to, unit, false));
    let ends = if low <= high {
        (low, high)
    } else {
        (in_unit(from, unit), in_unit(to, unit))
    };
    format!("{} to {}", ends.0, label(ends.1, unit))
}

/// What noise of conversion an end may have.
const NOISE: f64 = 1e-9;

/// An end of a range in another unit, with three digits, rounded `up` or down.
fn inside(end: Quantity, unit: Unit, up: bool) -> f64 {
    if unit == end.unit() || unit.dimension() != end.dimension() {
        return end.value();
    }
    let exact = unit.from_si(end.si());
    let text = format!("{exact:.2e}");
    let nearest: f64 = text.parse().unwrap_or(exact);
    let beyond = (nearest - exact) * if up { 1.0 } else { -1.0 };
    if beyond >= -NOISE * exact.abs().max(NOISE) {
        return nearest;
    }
    let step = if up { 0.01 } else { -0.01 };
    let next = text.split_once('e').and_then(|(digits, power)| {
        let digits: f64 = digits.parse().ok()?;
        format!("{:.2}e{power}", digits + step).parse().ok()
    });
    next.unwrap_or(exact)
}

/// The number of a quantity in another unit of its kind; with four digits where that is not its
/// own, which is enough to tell a value from the limit that it has passed.
pub fn in_unit(quantity: Quantity, unit: Unit) -> f64 {
    if unit == quantity.unit() || unit.dimension() != quantity.dimension() {
        return quantity.value();
    }
    let four_digits = format!("{:.3e}", unit.from_si(quantity.si()));
    four_digits.parse().unwrap_or(quantity.value())
}

fn label(value: f64, unit: Unit) -> String {
    if unit.dimension() == Dimension::Count {
        value.to_string()
    } else {
        format!("{value} {unit}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn q(text: &str) -> Quantity {
        text.parse().unwrap()
    }

    fn us() -> Preferred {
        Preferred {
            system: System::Us,
            ..Preferred::default()
        }
    }

    #[test]
    fn a_value_is_shown_in_the_preferred_unit_only_while_asked() {
        assert_eq!(said(q("14 kPa")), "14 kPa");
        showing(&us(), || {
            assert_eq!(said(q("14 kPa")), "2.031 psi");
            assert_eq!(said(q("34.9 mbar")), "14.01 inH2O");
            assert_eq!(said(q("20 C")), "68 F");
            assert_eq!(said(q("1.5 K")), "1.5 K");
            assert_eq!(said(q("2 count")), "2");
            assert_eq!(said(q("12 %")), "12 %");
            assert_eq!(said_range(q("0 kPa"), q("100 kPa")), "0 to 14.5 psi");
            // 4.351 and 36.26 psi; -40 and 302 F.
            let (low, high) = (q("30 kPa"), q("250 kPa"));
            assert_eq!(said_range(low, high), "4.36 to 36.2 psi");
            assert_eq!(said_range(q("-40 C"), q("150 C")), "-40 to 302 F");
            assert_eq!(said_range(q("-21 C"), q("0 C")), "-5.8 to 32 F");
            // 14.504 and 20.595 psi; and one that is narrower than three digits tell.
            let (low, high) = (q("100 kPa"), q("142 kPa"));
            assert_eq!(said_range(low, high), "14.6 to 20.5 psi");
            let (low, high) = (q("30 kPa"), q("30.02 kPa"));
            assert_eq!(said_range(low, high), "4.351 to 4.354 psi");
            for end in 1..400 {
                let (from, to) = (f64::from(end), f64::from(end + 1));
                let kpa = |value| Quantity::new(value, low.unit()).unwrap();
                let psi = Unit::named("psi").unwrap();
                assert!(psi.to_si(inside(kpa(from), psi, true)) >= from * 1e3 - 1e-6);
                assert!(psi.to_si(inside(kpa(to), psi, false)) <= to * 1e3 + 1e-6);
            }
            as_written_first(|| assert_eq!(said(q("14 kPa")), "14 kPa (2.031 psi)"));
        });
        assert_eq!(said(q("14 kPa")), "14 kPa");
    }

    #[test]
    fn what_is_worked_out_is_worded_in_the_units_that_were_asked_in() {
        let (water, kpa) = (q("1 inH2O").unit(), q("1 kPa").unit());
        assert_eq!(worked(q("14 inH2O").si(), water), "14.00 inH2O");
        asked_in(vec![q("1 g/s").unit(), kpa], || {
            assert_eq!(worked(q("14 kPa").si(), water), kpa.show(q("14 kPa").si()));
            showing(&us(), || {
                assert!(worked(q("14 kPa").si(), water).ends_with(" inH2O"));
            });
        });
        showing(&us(), || {
            asked_in(vec![kpa], || {
                assert!(worked(q("14 kPa").si(), water).ends_with(" psi"));
            });
        });
    }

    #[test]
    fn one_measure_goes_before_the_set() {
        let mut preferred = us();
        preferred
            .own
            .insert(Measure::Pressure, Unit::parse("inHg").unwrap());
        showing(&preferred, || {
            assert_eq!(said(q("101.325 kPa")), "29.92 inHg");
            assert_eq!(said(q("3 mm")), "0.1181 in");
        });
    }

    #[test]
    fn every_unit_of_a_set_fits_its_measure_and_is_its_own() {
        for system in System::ALL {
            for measure in Measure::ALL {
                let Some(name) = system.unit(measure) else {
                    continue;
                };
                let unit = Unit::parse(name).unwrap();
                assert_eq!(unit.dimension(), measure.dimension(), "{name}");
                let preferred = Preferred {
                    system,
                    ..Preferred::default()
                };
                assert_eq!(
                    preferred.unit(unit),
                    unit,
                    "{name} would be shown otherwise"
                );
            }
        }
    }

    #[test]
    fn what_was_shown_before_comes_back_after_a_panic() {
        let fell = std::panic::catch_unwind(|| showing(&us(), || panic!("on purpose")));
        assert!(fell.is_err());
        assert_eq!(said(q("14 kPa")), "14 kPa");
    }
}
