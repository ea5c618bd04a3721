//! Which reading moved which cause, and how far.

use super::belief::{Belief, Contradiction};
use super::case::Case;

/// What one reading did to every cause.
#[derive(Clone, Debug, PartialEq)]
pub struct Moved {
    /// The reading.
    pub reading: String,
    /// By how much it changed each cause's log odds (natural logarithm).
    pub by: Vec<f64>,
}

/// The log odds of a probability, kept finite at both ends.
pub fn log_odds(probability: f64) -> f64 {
    let p = probability.clamp(1e-300, 1.0 - 1e-16);
    p.ln() - (1.0 - p).ln()
}

/// A change of log odds in decibans: 5 is a factor of 3, 13 of 20, 22 of 150.
pub fn decibans(change: f64) -> f64 {
    10.0 * change / std::f64::consts::LN_10
}

/// What each reading did, in the order in which they were taken. The changes of a cause add up
/// exactly to its posterior log odds less its prior ones.
///
/// # Errors
/// [`Contradiction`] at the reading that no cause can have made.
pub fn moves(
    case: &Case,
    readings: &[(String, Vec<f64>)],
) -> Result<(Belief, Vec<Moved>), Contradiction> {
    let mut belief = Belief::prior(case);
    let mut before: Vec<f64> = belief.marginals(case).into_iter().map(log_odds).collect();
    let mut moved = Vec::new();
    for (reading, likelihood) in readings {
        belief = belief.after(reading, likelihood)?;
        let after: Vec<f64> = belief.marginals(case).into_iter().map(log_odds).collect();
        let by = after
            .iter()
            .zip(&before)
            .map(|(after, before)| after - before)
            .collect();
        moved.push(Moved {
            reading: reading.clone(),
            by,
        });
        before = after;
    }
    Ok((belief, moved))
}

/// A probability in whole percent; what is all but impossible or certain says so.
pub fn percent(p: f64) -> String {
    match 100.0 * p {
        p if p < 0.95 => "<1 %".to_owned(),
        p if p > 99.05 => ">99 %".to_owned(),
        p => format!("{p:.0} %"),
    }
}

/// A change of log odds in words: "speaks for it, 8 to 1".
pub fn words(change: f64) -> String {
    let ratio = change.abs().exp();
    let direction = if change >= 0.0 { "for" } else { "against" };
    match ratio {
        r if r < 1.25 => "says little about it".to_owned(),
        r if r < 10.0 => format!("speaks {direction} it, {r:.1} to 1"),
        r if r < 1000.0 => format!("speaks strongly {direction} it, {r:.0} to 1"),
        _ => format!("all but settles it {direction}, over 1000 to 1"),
    }
}
