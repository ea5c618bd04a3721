//! Fuel trims at several airflows, split into a leak and what is not a leak.
//!
//! ```text
//! 1 + t_i = (1 + a)(1 + A G_i / m_i)
//! ```
//!
//! | symbol | meaning | unit |
//! | --- | --- | --- |
//! | `t_i` | total trim at point i | 1 |
//! | `m_i` | metered air of the bank at point i | kg/s |
//! | `G_i` | mass flux into the manifold at point i, by its pressure; negative under boost | kg/(s m2) |
//! | `A` | area of the leak, the same at every point | m2 |
//! | `a` | error of metering or fuelling, the same at every point | 1 |
//!
//! Linear in `G_i / m_i`, so two points settle it and more leave a residual. Source: the mass
//! balance of an engine whose fuel follows the metered air times one plus the trim, and whose
//! oxygen signal holds the mixture where it belongs; our derivation, no printed source found.
//! Left out: an error `a` that changes with airflow, a leak that opens or shuts with vacuum,
//! unequal shares of the cylinders, vapour from the canister (so purge must be shut).
//!
//! Worked example: trims of 20 % at 4 g/s and 4 % at 20 g/s, both choked, `a` 0: a leak of
//! 0.8 g/s, since 0.8/4 = 20 % and 0.8/20 = 4 %.

use super::fit::{Line, line};

/// One point, ready to be fitted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Metered air of the bank, kg/s.
    pub metered: f64,
    /// Total trim.
    pub trim: f64,
    /// Mass flux into the manifold, kg/(s m2); negative when air goes out.
    pub flux: f64,
}

/// What the points say.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Split {
    /// The part of the trim that does not come from the leak.
    pub offset: f64,
    /// Area of the leak, m2; below zero when the trims ask for less than no leak.
    pub area: f64,
    /// Largest distance of a trim from the model.
    pub residual: f64,
}

impl Split {
    /// Total trim that the model gives at a metered air of the bank (kg/s) and a mass flux into the
    /// manifold (kg/(s m2)).
    pub fn trim(&self, metered: f64, flux: f64) -> f64 {
        (1.0 + self.offset) * (1.0 + self.area * flux / metered) - 1.0
    }
}

/// Why points give no split.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unsettled {
    /// The leak would have the same share of the air at every point.
    SameShare,
    /// What is left without the leak would be no fuel at all.
    NoFuel,
}

/// Splits the trims.
///
/// # Errors
/// [`Unsettled`] when the points do not settle it.
pub fn split(points: &[Point]) -> Result<Split, Unsettled> {
    let lined: Vec<_> = points
        .iter()
        .map(|p| (p.flux / p.metered, 1.0 + p.trim))
        .collect();
    let Line {
        intercept,
        slope,
        worst,
        ..
    } = line(&lined).ok_or(Unsettled::SameShare)?;
    if intercept <= 0.0 {
        return Err(Unsettled::NoFuel);
    }
    Ok(Split {
        offset: intercept - 1.0,
        area: slope / intercept,
        residual: worst,
    })
}
