//! Probabilities and what moved them, as short words and bars, the same wherever they are shown.

pub use crate::rules::evidence::why::percent;

use crate::rules::evidence::why::decibans;

/// Letters of a bar.
const BAR: usize = 10;
/// Decibans that fill half a bar: 20 is a factor of 100.
const FULL: f64 = 20.0;

/// A probability as a bar of ten letters.
pub fn share_bar(p: f64) -> String {
    let full = (0..BAR)
        .filter(|n| p > (*n as f64 + 0.5) / BAR as f64)
        .count();
    format!("{}{}", "\u{2588}".repeat(full), "\u{b7}".repeat(BAR - full))
}

/// A change of log odds as a bar: against to the left of the middle, for to the right.
pub fn balance(change: f64) -> String {
    let part = decibans(change).abs() / FULL;
    let half = BAR / 2;
    let full = (0..half)
        .filter(|n| part > (*n as f64 + 0.5) / half as f64)
        .count();
    let (full, empty) = ("\u{2588}".repeat(full), "\u{b7}".repeat(half - full));
    let rest = "\u{b7}".repeat(half);
    if change < 0.0 {
        format!("{empty}{full}|{rest}")
    } else {
        format!("{rest}|{full}{empty}")
    }
}
