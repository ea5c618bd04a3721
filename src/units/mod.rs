//! Quantities and unit names.
