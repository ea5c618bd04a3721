//! The one table of units. Adding a unit is adding a row.

use super::Dimension;
use std::f64::consts::PI;

/// One row of the table.
#[derive(Debug, Clone, Copy)]
pub(super) struct Row {
    pub(super) name: &'static str,
    pub(super) aliases: &'static [&'static str],
    pub(super) dimension: Dimension,
    /// SI value of one unit.
    pub(super) factor: f64,
    /// Added after the factor; only temperatures have one.
    pub(super) offset: f64,
    /// Digits shown after the point for a value of ordinary size.
    pub(super) decimals: usize,
    /// Case carries meaning: "mV" must not be taken from "MV".
    pub(super) exact_case: bool,
}

impl Row {
    pub(super) fn spellings(&self) -> impl Iterator<Item = &'static str> {
        std::iter::once(self.name).chain(self.aliases.iter().copied())
    }
}

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
pub(super) static ROWS: &[Row] = &[
    row("kPa", &["kilopascal"], D::Pressure, 1e3, 2),
    row("Pa", &["pascal"], D::Pressure, 1.0, 0),
    row("hPa", &["hectopascal"], D::Pressure, 100.0, 1),
    exact(row("MPa", &["megapascal"], D::Pressure, 1e6, 4)),
    row("bar", &[], D::Pressure, 1e5, 3),
    row("mbar", &["millibar"], D::Pressure, 100.0, 1),
    row("psi", &["lbf/in2", "lb/in2"], D::Pressure, PSI, 2),
    row("inH2O", &["in H2O", "inH₂O", "in H₂O", "inwc", "in wc", "iwg", "iwc", "\"H2O", "inches of water"], D::Pressure, INCH_OF_WATER, 2),
    row("inHg", &["in Hg", "\"Hg", "inches of mercury"], D::Pressure, INCH_OF_MERCURY, 2),
    row("mmHg", &["mm Hg"], D::Pressure, MM_OF_MERCURY, 1),
    row("mmH2O", &["mm H2O", "mmH₂O", "mmwc", "mm wc"], D::Pressure, 9.806_65, 1),
    row("cmH2O", &["cm H2O", "cmH₂O", "cmwc", "cm wc"], D::Pressure, 98.066_5, 1),
    row("oz/in2", &["ozf/in2", "oz/sq in", "osi"], D::Pressure, PSI / 16.0, 1),
    row("atm", &[], D::Pressure, 101_325.0, 3),
    row("L/min", &["lpm", "litre/min", "liter/min"], D::VolumeFlow, 1e-3 / 60.0, 2),
    row("L/h", &["litre/h", "liter/h"], D::VolumeFlow, 1e-3 / 3600.0, 1),
    row("L/s", &["litre/s", "liter/s"], D::VolumeFlow, 1e-3, 4),
    exact(row("mL/min", &["cc/min", "cm3/min", "cm³/min"], D::VolumeFlow, 1e-6 / 60.0, 0)),
    row("m3/h", &["m³/h"], D::VolumeFlow, 1.0 / 3600.0, 3),
    row("m3/s", &["m³/s"], D::VolumeFlow, 1.0, 6),
    row("cfm", &["ft3/min", "ft³/min"], D::VolumeFlow, CUBIC_FOOT / 60.0, 3),
    row("cfh", &["ft3/h", "ft³/h"], D::VolumeFlow, CUBIC_FOOT / 3600.0, 2),
    row("g/s", &[], D::MassFlow, 1e-3, 2),
    row("kg/s", &[], D::MassFlow, 1.0, 5),
    row("kg/h", &[], D::MassFlow, 1.0 / 3600.0, 2),
    row("g/min", &[], D::MassFlow, 1e-3 / 60.0, 1),
    row("lb/min", &[], D::MassFlow, 0.453_592_37 / 60.0, 3),
    row("mm", &["millimetre", "millimeter"], D::Length, 1e-3, 2),
    row("cm", &["centimetre", "centimeter"], D::Length, 1e-2, 2),
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
    exact(row("Mohm", &["MΩ", "megohm"], D::Resistance, 1e6, 3)),
    offset(row("C", &["°C", "degC", "deg C", "degrees C", "Celsius"], D::Temperature, 1.0, 1), 273.15),
    offset(row("F", &["°F", "degF", "deg F", "degrees F", "Fahrenheit"], D::Temperature, 5.0 / 9.0, 1), 459.67 * 5.0 / 9.0),
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
