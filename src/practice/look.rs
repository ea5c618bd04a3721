//! Looking and listening: how long it takes until something shows at a place, whether smoke, foam, drops or dye.
//!
//! What pours is seen at once; a wisp only by whoever waits. The time goes with the root of what leaves, and a
//! draught makes it four times as long for smoke: both, the seconds below, and that they are the same for every search
//! are assumptions of ours, no source.

use crate::flow::answer::Strength;
use crate::plant::dice::Dice;

/// How long one looks at a place to see in still air all that can be seen there, s.
pub const LONG_ENOUGH: u32 = 40;

/// Seconds that a wisp at the very limit takes on average.
const WISP: f64 = 22.0;
/// How much longer a draught makes it.
const DRAUGHT: f64 = 4.0;

/// What there is to see.
#[derive(Clone, Copy, Debug)]
pub struct There {
    /// How strongly it shows.
    pub strength: Strength,
    /// What leaves, and the least that can be seen, m3/s, where physics gives it.
    pub flow: Option<(f64, f64)>,
}

/// Seconds of looking until it is seen, on this car at this place.
pub fn takes(there: There, draught: bool, dice: &Dice) -> f64 {
    let usual = match (there.flow, there.strength) {
        (Some((flow, least)), _) if least > 0.0 && flow > least => WISP * (least / flow).sqrt(),
        (Some(_), _) | (None, Strength::Wisp) => WISP,
        (None, Strength::Steady) => WISP / 3.0,
        (None, Strength::Heavy) => WISP / 8.0,
    };
    let own = dice.clone().between(0.3, 1.7);
    usual * own * if draught { DRAUGHT } else { 1.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn there(flow: f64) -> There {
        There {
            strength: Strength::Wisp,
            flow: Some((flow, 1e-6)),
        }
    }

    #[test]
    fn a_stronger_flow_is_seen_sooner_and_a_draught_hides_it_longer() {
        let dice = Dice::new(5);
        let wisp = takes(there(1.1e-6), false, &dice);
        assert!(takes(there(5e-5), false, &dice) < wisp / 5.0);
        assert!((takes(there(1.1e-6), true, &dice) - 4.0 * wisp).abs() < 1e-9);
    }

    #[test]
    fn long_enough_is_long_enough_for_everything_in_still_air() {
        for seed in 0..2000 {
            let dice = Dice::new(seed);
            assert!(takes(there(1.0e-6), false, &dice) <= f64::from(LONG_ENOUGH));
        }
    }
}
