//! Gas through one small hole, from still gas on one side to the other side.
//!
//! Mass flux of an ideal gas that expands without friction or heat to the throat:
//!
//! ```text
//! G = Cd p0 sqrt( 2 g/(g-1) / (R T0) * r^(2/g) * (1 - r^((g-1)/g)) ),  r = max(p/p0, rc)
//! rc = (2/(g+1))^(g/(g-1))                                             (0.5283 for g = 1.4)
//! ```
//!
//! | symbol | meaning | unit | range |
//! | --- | --- | --- | --- |
//! | `p0`, `T0` | absolute pressure and temperature upstream, at rest | Pa, K | above 0 |
//! | `p` | absolute pressure downstream | Pa | 0 to `p0` |
//! | `g`, `R` | ratio of specific heats, specific gas constant | 1, J/(kg K) | of the gas |
//! | `Cd` | discharge coefficient | 1 | 0 to 1 |
//! | `G` | mass flow for each area of hole | kg/(s m2) | |
//!
//! Source: the isentropic nozzle equation of any text on gas dynamics; ISO 9300 has the choked
//! form and the critical ratio. Left out: speed on the upstream side (the hole is small against
//! the space it opens from), real-gas effects (under 0.2 % for air and nitrogen, 0.8 % for carbon
//! dioxide, against `tests/reference/orifice_reference.csv`), friction along a long or narrow
//! crack, moisture and smoke, and low Reynolds numbers: below some 2000 (a hole under about 0.3 mm
//! at smoke pressures; from memory) the coefficient of a sharp edge is no longer its curve's.
//!
//! Worked example: air at 101.325 kPa and 20 C into a vacuum, `Cd` 1: `G` = 239.17 kg/(s m2).

use super::calculation::CalcError;
use super::gas::Gas;
use std::f64::consts::PI;

/// How much of the ideal flow passes the hole.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Coefficient {
    /// A thin sharp-edged hole: rises as the pressure ratio falls (Perry 1949).
    Sharp,
    /// A well-rounded entry: 0.97.
    Rounded,
    /// A number that somebody measured or chose.
    Fixed(f64),
}

/// Perry, "Critical flow through sharp-edged orifices", 1949, for the ratio `r` of downstream to
/// upstream pressure from 0 to 1; coefficients read in a reprint. It gives 0.600 at 1, 0.737 at
/// 0.528 and 0.815 at 0.3, and goes on rising while choked, since the jet keeps on widening.
const PERRY: [f64; 6] = [0.8414, -0.1002, 0.8415, -3.9, 4.6001, -1.6827];

/// Of a well-rounded entry; the compressed-air handbook's note to its discharge table.
const ROUNDED: f64 = 0.97;

impl Coefficient {
    /// The model of this name.
    ///
    /// # Errors
    /// When the word names no model.
    pub fn parse(input: &str, word: &str) -> Result<Self, CalcError> {
        match word {
            "sharp" => Ok(Self::Sharp),
            "rounded" => Ok(Self::Rounded),
            _ => Err(CalcError::new(
                input,
                format!("\"{word}\" is not a coefficient known here"),
                "write sharp, rounded, or a number above 0 and up to 1",
            )),
        }
    }

    /// A number as the coefficient.
    ///
    /// # Errors
    /// When it is not above 0 and at most 1.
    pub fn fixed(input: &str, value: f64) -> Result<Self, CalcError> {
        if value > 0.0 && value <= 1.0 {
            return Ok(Self::Fixed(value));
        }
        Err(CalcError::new(
            input,
            format!("{value} cannot be a discharge coefficient"),
            "write sharp, rounded, or a number above 0 and up to 1",
        ))
    }

    /// The coefficient at a ratio of downstream to upstream pressure; outside 0 to 1 the nearer
    /// end is taken.
    pub fn at(self, ratio: f64) -> f64 {
        match self {
            Self::Sharp => {
                let r = ratio.clamp(0.0, 1.0);
                PERRY.iter().rev().fold(0.0, |sum, c| sum * r + c)
            }
            Self::Rounded => ROUNDED,
            Self::Fixed(value) => value,
        }
    }

    /// Relative standard deviation of the model.
    ///
    /// An assumption of ours, no source: a hole called sharp is within 10 % of the curve 95 times
    /// in 100 (edges are never quite sharp, and the wall of a small hole is not thin against it),
    /// one called rounded within 3 %. A number is taken at its word. These say how well the
    /// *model* fits a hole of its kind; a split or a porous gasket is neither, and its size is
    /// that of the hole that would pass the same gas.
    pub fn deviation(self) -> f64 {
        match self {
            Self::Sharp => 0.10 / super::uncertainty::DEVIATIONS,
            Self::Rounded => 0.03 / super::uncertainty::DEVIATIONS,
            Self::Fixed(_) => 0.0,
        }
    }

    /// The coefficient at a pressure ratio, so many standard deviations off its model.
    pub fn shifted(self, ratio: f64, deviations: f64) -> f64 {
        self.at(ratio) * (1.0 + deviations * self.deviation()).max(0.0)
    }
}

/// The ratio of downstream to upstream pressure below which the flow is choked.
pub fn critical_ratio(gamma: f64) -> f64 {
    (2.0 / (gamma + 1.0)).powf(gamma / (gamma - 1.0))
}

/// Ideal mass flux (coefficient 1), kg/(s m2), from `upstream` to `downstream`, absolute Pa, with
/// the upstream gas at `temperature` K. Zero when there is no drop.
pub fn ideal_flux(gas: Gas, upstream: f64, downstream: f64, temperature: f64) -> f64 {
    if upstream <= downstream {
        return 0.0;
    }
    let g = gas.gamma();
    let critical = critical_ratio(g);
    // Written with `ln_1p` and `exp_m1`: near a ratio of 1 the plain difference of two powers
    // loses half its digits, and that is where a smoke test works.
    let log_ratio = ((downstream - upstream) / upstream)
        .ln_1p()
        .max(critical.ln());
    let expansion = -((g - 1.0) / g * log_ratio).exp_m1();
    let throat = (2.0 / g * log_ratio).exp();
    upstream * (2.0 * g / (g - 1.0) / (gas.constant() * temperature) * throat * expansion).sqrt()
}

/// One side at a pressure, the other at another, and what lies between.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drop {
    /// The gas that flows.
    pub gas: Gas,
    /// Absolute pressure on the side that gas comes from, Pa.
    pub upstream: f64,
    /// Absolute pressure on the side that gas goes to, Pa.
    pub downstream: f64,
    /// Temperature upstream, K.
    pub temperature: f64,
}

impl Drop {
    /// Mass flux, kg/(s m2), with a coefficient so many standard deviations off its model.
    pub fn flux(&self, coefficient: Coefficient, deviations: f64) -> f64 {
        let ratio = self.downstream / self.upstream;
        coefficient.shifted(ratio, deviations)
            * ideal_flux(self.gas, self.upstream, self.downstream, self.temperature)
    }

    /// Whether the flow is choked: the downstream pressure no longer matters to the ideal flow.
    pub fn choked(&self) -> bool {
        self.downstream <= self.upstream * critical_ratio(self.gas.gamma())
    }
}

/// Area of a round hole of this diameter: m2 from m.
pub fn area(diameter: f64) -> f64 {
    PI / 4.0 * diameter * diameter
}

/// Diameter of the round hole of this area: m from m2; zero for an area of zero or less.
pub fn diameter(area: f64) -> f64 {
    (4.0 / PI * area.max(0.0)).sqrt()
}
