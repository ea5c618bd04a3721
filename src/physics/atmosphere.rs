//! Pressure and temperature of the open air at a height: US Standard Atmosphere 1976.
//!
//! ```text
//! H = r z / (r + z)
//! T = T0 - L H
//! p = p0 (T / T0)^(g M / (R L))
//! ```
//!
//! `z` geometric height above the sea in m, -1000 to 11000; `H` geopotential height, m; `r`
//! 6356766 m; `T0` 288.15 K; `L` 0.0065 K/m; `p0` 101325 Pa; `g` 9.80665 m/s2; `M` 0.0289644
//! kg/mol; `R` 8.31432 J/(mol K), the value that this standard uses. Left out: the day's weather,
//! which moves the barometer by up to some 4 kPa, and humidity. Worked example: 5000 ft (1524 m)
//! gives 84.311 kPa and 5.1 C.

/// Geometric heights for which the standard's lowest layer is used, m.
pub const HEIGHTS: std::ops::RangeInclusive<f64> = -1000.0..=11_000.0;

const EARTH_RADIUS: f64 = 6_356_766.0;
const SEA_TEMPERATURE: f64 = 288.15;
const LAPSE: f64 = 0.006_5;
const SEA_PRESSURE: f64 = 101_325.0;
const EXPONENT: f64 = 9.806_65 * 0.028_964_4 / (8.314_32 * LAPSE);

/// Air at a height.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Air {
    /// Absolute pressure, Pa.
    pub pressure: f64,
    /// Temperature, K.
    pub temperature: f64,
}

/// Standard air at a geometric height in m within [`HEIGHTS`]; beyond, the nearer end is taken.
pub fn standard(height: f64) -> Air {
    let temperature = SEA_TEMPERATURE - LAPSE * geopotential(height);
    Air {
        pressure: SEA_PRESSURE * (temperature / SEA_TEMPERATURE).powf(EXPONENT),
        temperature,
    }
}

/// Height, m, at which the standard air has a pressure in Pa; none outside [`HEIGHTS`].
pub fn height_of(pressure: f64) -> Option<f64> {
    let (mut low, mut high) = (*HEIGHTS.start(), *HEIGHTS.end());
    if !(standard(high).pressure..=standard(low).pressure).contains(&pressure) {
        return None;
    }
    // Each round halves the range: 60 are the last digit of any.
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if standard(middle).pressure > pressure {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(f64::midpoint(low, high))
}

/// Absolute pressure in Pa at a height in m, from an altimeter setting in Pa.
///
/// An altimeter set to this value shows the height of the field while it stands on it; so the
/// standard heights of the two pressures differ by the field's height. A weather report's
/// sea-level pressure is worked with the day's temperature and differs from it a little.
pub fn station(height: f64, altimeter_setting: f64) -> f64 {
    let power = 1.0 / EXPONENT;
    let at_sea = (altimeter_setting / SEA_PRESSURE).powf(power);
    let here = at_sea - LAPSE * geopotential(height) / SEA_TEMPERATURE;
    SEA_PRESSURE * here.max(0.0).powf(EXPONENT)
}

fn geopotential(height: f64) -> f64 {
    let height = height.clamp(*HEIGHTS.start(), *HEIGHTS.end());
    EARTH_RADIUS * height / (EARTH_RADIUS + height)
}
