//! The named calculations, one a file, and the table of them all.
//!
//! Adding one is a file here with a `pub(super) static` [`Calculation`], and a line in the table.

use super::calculation::Calculation;

mod arithmetic;

/// Every calculation, in the order in which lists show them.
pub fn all() -> &'static [&'static Calculation] {
    ALL
}

static ALL: &[&Calculation] = &[
    &arithmetic::RATIO,
    &arithmetic::DIFFERENCE,
    &arithmetic::SUM,
];

/// The calculation of this name.
pub fn find(name: &str) -> Option<&'static Calculation> {
    ALL.iter()
        .copied()
        .find(|calculation| calculation.name == name)
}
