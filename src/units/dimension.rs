//! What kind of thing a quantity measures. Two quantities can be compared only when these agree.

use std::fmt;

/// The kind of a quantity, named as the trade names it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Dimension {
    /// Pressure, absolute or as a difference: the use says which. SI: Pa.
    Pressure,
    /// Volume of gas a second at stated reference conditions. SI: m3/s.
    VolumeFlow,
    /// Mass a second. SI: kg/s.
    MassFlow,
    /// Length, diameter or height. SI: m.
    Length,
    /// Area of an opening. SI: m2.
    Area,
    /// Volume of a closed space, or swept by an engine. SI: m3.
    Volume,
    /// A share or a trim. SI: 1 (17 % is 0.17).
    Ratio,
    /// Signal voltage. SI: V.
    Voltage,
    /// Electrical current. SI: A.
    Current,
    /// Electrical resistance. SI: ohm.
    Resistance,
    /// Temperature on an absolute scale. SI: K.
    Temperature,
    /// Turning speed or frequency. SI: 1/s, so 60 rpm is 1.
    Speed,
    /// Time. SI: s.
    Time,
    /// Angle, crankshaft or throttle. SI: rad.
    Angle,
    /// A number of things: cylinders, banks. SI: 1.
    Count,
    /// Slope of a pressure sensor's line. SI: V/Pa.
    VoltagePerPressure,
}

impl Dimension {
    /// Every dimension, in the order in which lists show them.
    pub const ALL: &'static [Self] = &[
        Self::Pressure,
        Self::VolumeFlow,
        Self::MassFlow,
        Self::Length,
        Self::Area,
        Self::Volume,
        Self::Ratio,
        Self::Voltage,
        Self::Current,
        Self::Resistance,
        Self::Temperature,
        Self::Speed,
        Self::Time,
        Self::Angle,
        Self::Count,
        Self::VoltagePerPressure,
    ];
}

impl Dimension {
    /// Far more, in SI, than any workshop meets: what is larger was written with a slip.
    pub const fn absurd(self) -> f64 {
        match self {
            Self::Pressure => 1e9,
            Self::VolumeFlow | Self::MassFlow | Self::Area => 10.0,
            Self::Length => 2e4,
            Self::Volume | Self::VoltagePerPressure => 1e3,
            Self::Ratio | Self::Current | Self::Temperature | Self::Angle => 1e4,
            Self::Voltage | Self::Speed => 1e5,
            Self::Resistance => 1e10,
            Self::Time => 1e8,
            Self::Count => 1e6,
        }
    }

    /// Its name with the article before it: "a pressure", "an angle".
    pub fn with_article(self) -> String {
        let name = self.to_string();
        let article = if name.starts_with(['a', 'e', 'i', 'o', 'u']) {
            "an"
        } else {
            "a"
        };
        format!("{article} {name}")
    }
}

impl fmt::Display for Dimension {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::Pressure => "pressure",
            Self::VolumeFlow => "volume flow",
            Self::MassFlow => "mass flow",
            Self::Length => "length",
            Self::Area => "area",
            Self::Volume => "volume",
            Self::Ratio => "ratio",
            Self::Voltage => "voltage",
            Self::Current => "current",
            Self::Resistance => "resistance",
            Self::Temperature => "temperature",
            Self::Speed => "speed",
            Self::Time => "time",
            Self::Angle => "angle",
            Self::Count => "count",
            Self::VoltagePerPressure => "voltage per pressure",
        })
    }
}
