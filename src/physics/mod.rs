//! Pure calculations.
