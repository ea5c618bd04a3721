//! Scaling of the parameter bytes that a car's control unit sends.
//!
//! Each parameter has a number, so many bytes, and a straight line from the raw number to its value:
//! `value = (raw - zero) x step`, in the unit of the table. Source: SAE J1979 / ISO 15031-5, read in
//! reprints (manifold pressure and barometer from memory, vapour pressure second-hand). Left out:
//! parameters of bits and of states (such as 03, the fuelling loop), and road speed. Worked example: parameter 0C, bytes 1A F8: 6904 / 4 = 1726 rpm.

use crate::units::Unit;

/// How the bytes make a raw number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Raw {
    /// One byte.
    One,
    /// The first of two bytes; the other holds another value.
    FirstOfTwo,
    /// Two bytes, the first the higher.
    Two,
    /// Two bytes, below zero in two's complement.
    Signed,
    /// The first two of four bytes; the others hold another value.
    FirstOfFour,
}

/// One parameter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Parameter {
    /// Its number.
    pub number: u8,
    /// What it is.
    pub name: &'static str,
    raw: Raw,
    zero: f64,
    step: f64,
    unit: &'static str,
}

const fn row(
    number: u8,
    name: &'static str,
    raw: Raw,
    zero: f64,
    step: f64,
    unit: &'static str,
) -> Parameter {
    Parameter {
        number,
        name,
        raw,
        zero,
        step,
        unit,
    }
}

const PART: f64 = 100.0 / 255.0;
const TRIM: f64 = 100.0 / 128.0;

#[rustfmt::skip] // One row a line: a table is read down its columns.
static PARAMETERS: &[Parameter] = &[
    row(0x04, "calculated load", Raw::One, 0.0, PART, "%"),
    row(0x05, "coolant temperature", Raw::One, 40.0, 1.0, "C"),
    row(0x06, "short-term trim, bank 1", Raw::One, 128.0, TRIM, "%"),
    row(0x07, "long-term trim, bank 1", Raw::One, 128.0, TRIM, "%"),
    row(0x08, "short-term trim, bank 2", Raw::One, 128.0, TRIM, "%"),
    row(0x09, "long-term trim, bank 2", Raw::One, 128.0, TRIM, "%"),
    row(0x0A, "fuel pressure above the barometer", Raw::One, 0.0, 3.0, "kPa"),
    row(0x0B, "manifold pressure, absolute", Raw::One, 0.0, 1.0, "kPa"),
    row(0x0C, "engine speed", Raw::Two, 0.0, 0.25, "rpm"),
    row(0x0E, "timing advance of cylinder 1", Raw::One, 128.0, 0.5, "deg"),
    row(0x0F, "intake air temperature", Raw::One, 40.0, 1.0, "C"),
    row(0x10, "air flow", Raw::Two, 0.0, 0.01, "g/s"),
    row(0x11, "throttle position", Raw::One, 0.0, PART, "%"),
    row(0x14, "oxygen sensor 1 of bank 1", Raw::FirstOfTwo, 0.0, 0.005, "V"),
    row(0x15, "oxygen sensor 2 of bank 1", Raw::FirstOfTwo, 0.0, 0.005, "V"),
    row(0x18, "oxygen sensor 1 of bank 2", Raw::FirstOfTwo, 0.0, 0.005, "V"),
    row(0x19, "oxygen sensor 2 of bank 2", Raw::FirstOfTwo, 0.0, 0.005, "V"),
    row(0x1F, "time since the engine started", Raw::Two, 0.0, 1.0, "s"),
    row(0x23, "fuel rail pressure above the barometer", Raw::Two, 0.0, 10.0, "kPa"),
    row(0x24, "oxygen sensor 1, air over the air needed", Raw::FirstOfFour, 0.0, 2.0 / 65536.0, "ratio"),
    row(0x2C, "commanded exhaust recirculation", Raw::One, 0.0, PART, "%"),
    row(0x2D, "exhaust recirculation error", Raw::One, 128.0, TRIM, "%"),
    row(0x2E, "commanded purge", Raw::One, 0.0, PART, "%"),
    row(0x2F, "fuel level", Raw::One, 0.0, PART, "%"),
    row(0x32, "fuel vapour pressure", Raw::Signed, 0.0, 0.25, "Pa"),
    row(0x33, "barometer", Raw::One, 0.0, 1.0, "kPa"),
    row(0x3C, "catalyst temperature, bank 1, sensor 1", Raw::Two, 400.0, 0.1, "C"),
    row(0x42, "control unit voltage", Raw::Two, 0.0, 0.001, "V"),
    row(0x43, "absolute load", Raw::Two, 0.0, PART, "%"),
    row(0x44, "commanded air over the air needed", Raw::Two, 0.0, 2.0 / 65536.0, "ratio"),
    row(0x45, "relative throttle position", Raw::One, 0.0, PART, "%"),
    row(0x46, "temperature of the air around", Raw::One, 40.0, 1.0, "C"),
    row(0x4A, "accelerator pedal position E", Raw::One, 0.0, PART, "%"),
    row(0x4C, "commanded throttle", Raw::One, 0.0, PART, "%"),
    row(0x53, "fuel vapour pressure, absolute", Raw::Two, 0.0, 0.005, "kPa"),
    row(0x54, "fuel vapour pressure, wide range", Raw::Signed, 0.0, 1.0, "Pa"),
    row(0x5A, "relative accelerator pedal position", Raw::One, 0.0, PART, "%"),
    row(0x5C, "oil temperature", Raw::One, 40.0, 1.0, "C"),
    row(0x5E, "fuel rate", Raw::Two, 0.0, 0.05, "L/h"),
];

/// Every parameter known here.
pub fn all() -> &'static [Parameter] {
    PARAMETERS
}

/// The parameter of this number.
pub fn find(number: u8) -> Option<&'static Parameter> {
    PARAMETERS.iter().find(|p| p.number == number)
}

impl Parameter {
    /// How many bytes it takes.
    pub fn bytes(&self) -> usize {
        match self.raw {
            Raw::One => 1,
            Raw::Two | Raw::Signed | Raw::FirstOfTwo => 2,
            Raw::FirstOfFour => 4,
        }
    }

    /// The unit that it is shown in.
    pub fn unit(&self) -> Option<Unit> {
        Unit::parse(self.unit).ok()
    }

    /// Its value in SI; `None` for another number of bytes.
    pub fn value(&self, bytes: &[u8]) -> Option<f64> {
        if bytes.len() != self.bytes() {
            return None;
        }
        let raw = match (self.raw, bytes) {
            (Raw::One, [a]) | (Raw::FirstOfTwo, [a, _]) => f64::from(*a),
            (Raw::Two, [a, b]) | (Raw::FirstOfFour, [a, b, ..]) => {
                f64::from(u16::from_be_bytes([*a, *b]))
            }
            (Raw::Signed, [a, b]) => f64::from(i16::from_be_bytes([*a, *b])),
            _ => return None,
        };
        Some(self.unit()?.to_si((raw - self.zero) * self.step))
    }
}

/// Bytes from hexadecimal text, with or without spaces; `None` for anything else.
pub fn bytes_of(text: &str) -> Option<Vec<u8>> {
    let digits: Vec<u32> = text
        .chars()
        .filter(|c| !c.is_whitespace())
        .map(|c| c.to_digit(16))
        .collect::<Option<_>>()?;
    if digits.is_empty() || !digits.len().is_multiple_of(2) || digits.len() > 16 {
        return None;
    }
    digits
        .chunks(2)
        .map(|pair| u8::try_from(pair[0] * 16 + pair[1]).ok())
        .collect()
}
