//! Gases that leave through a hole, as ideal gases, and the conditions a volume flow refers to.

/// Molar gas constant, J/(mol K): 2019 SI, CODATA 2018 (from memory).
pub const GAS_CONSTANT: f64 = 8.314_462_618;

/// 20 C in kelvin: where a temperature is left out, and the reference of a volume flow.
pub const ROOM: f64 = 293.15;

/// The standard atmosphere at sea level, Pa, exact.
pub const ATMOSPHERE: f64 = 101_325.0;

/// A gas that a workshop feeds into a system, or that leaks into one by itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Gas {
    /// Dry air.
    Air,
    /// Nitrogen.
    Nitrogen,
    /// Carbon dioxide.
    CarbonDioxide,
}

impl Gas {
    /// The gases, each by one word: for a list to pick from.
    pub const NAMES: &'static [&'static str] = &["air", "nitrogen", "carbon dioxide"];
    /// The words that name a gas.
    pub const WORDS: &'static [&'static str] =
        &["air", "nitrogen", "carbon dioxide", "carbon-dioxide"];

    /// The gas of this name.
    pub fn named(word: &str) -> Option<Self> {
        match word {
            "air" => Some(Self::Air),
            "nitrogen" => Some(Self::Nitrogen),
            "carbon dioxide" | "carbon-dioxide" => Some(Self::CarbonDioxide),
            _ => None,
        }
    }

    /// Molar mass, kg/mol; `CoolProp` 8.0.0 (`tests/reference/gas_properties.csv`).
    pub const fn molar_mass(self) -> f64 {
        match self {
            Self::Air => 0.028_965_2,
            Self::Nitrogen => 0.028_013_48,
            Self::CarbonDioxide => 0.044_009_8,
        }
    }

    /// Ratio of the specific heats. 1.4 is the two-atom value that the standard equations use for
    /// air and nitrogen; for carbon dioxide the value at 20 C and one atmosphere (same table).
    pub const fn gamma(self) -> f64 {
        match self {
            Self::Air | Self::Nitrogen => 1.4,
            Self::CarbonDioxide => 1.296_7,
        }
    }

    /// Density of the real gas at 0 C and 101.325 kPa, kg/m3; `CoolProp` 8.0.0 (same table).
    pub const fn normal_density(self) -> f64 {
        match self {
            Self::Air => 1.293_066,
            Self::Nitrogen => 1.250_386,
            Self::CarbonDioxide => 1.976_813,
        }
    }

    /// Specific gas constant, J/(kg K).
    pub fn constant(self) -> f64 {
        GAS_CONSTANT / self.molar_mass()
    }

    /// Density of the ideal gas, kg/m3, at an absolute pressure in Pa and a temperature in K.
    pub fn density(self, pressure: f64, temperature: f64) -> f64 {
        pressure / (self.constant() * temperature)
    }
}
