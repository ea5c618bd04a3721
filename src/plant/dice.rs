//! Chance from a seed: the same numbers on every machine.
//!
//! xoshiro256++ (Blackman and Vigna 2019), seeded by `SplitMix64` (Steele, Lea and Flood 2014); both from memory.
//! Only integer steps, sums and products of floating point are used, so that no platform's logarithm enters. A
//! normal number is the sum of twelve even ones less six (Irwin and Hall): its standard deviation is 1 and its tails
//! end at 6, which is far beyond what a workshop's noise needs.

use crate::units::whole;

/// A source of chance.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Dice {
    seed: u64,
    state: [u64; 4],
}

impl Dice {
    /// A source that follows from a seed.
    pub fn new(seed: u64) -> Self {
        let mut mix = seed;
        let state = std::array::from_fn(|_| split_mix(&mut mix));
        Self { seed, state }
    }

    /// A source of its own for something that has a name: it does not matter what was drawn before it.
    #[must_use]
    pub fn fork(&self, name: &str, number: u64) -> Self {
        // FNV-1a over the name, then mixed with seed and number.
        let hash = name.bytes().fold(0xCBF2_9CE4_8422_2325_u64, |hash, byte| {
            (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01B3)
        });
        let mut mix = self.seed ^ hash.rotate_left(17) ^ number.wrapping_mul(0x9E37_79B9_7F4A_7C15);
        Self::new(split_mix(&mut mix))
    }

    /// 64 even bits.
    pub fn bits(&mut self) -> u64 {
        let s = &mut self.state;
        let result = s[0].wrapping_add(s[3]).rotate_left(23).wrapping_add(s[0]);
        let shifted = s[1] << 17;
        s[2] ^= s[0];
        s[3] ^= s[1];
        s[1] ^= s[2];
        s[0] ^= s[3];
        s[2] ^= shifted;
        s[3] = s[3].rotate_left(45);
        result
    }

    /// An even number from 0 up to but not including 1.
    pub fn share(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / 9_007_199_254_740_992.0
    }

    /// An even number between two ends.
    pub fn between(&mut self, from: f64, to: f64) -> f64 {
        from + (to - from) * self.share()
    }

    /// A number between two ends, the smaller the more often: a quarter of the way is the middle. Small leaks are
    /// more common than large ones (an assumption of ours, no source).
    pub fn rather_small(&mut self, from: f64, to: f64) -> f64 {
        let share = self.share();
        from + (to - from) * share * share
    }

    /// A normal number with mean 0 and standard deviation 1.
    pub fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.share()).sum::<f64>() - 6.0
    }

    /// Whether something of this probability happens.
    pub fn happens(&mut self, probability: f64) -> bool {
        self.share() < probability
    }

    /// One of so many, each as likely.
    pub fn one_of(&mut self, count: usize) -> usize {
        // The share is below 1, so the place is below the count, but for rounding.
        whole(self.share() * count as f64).min(count.saturating_sub(1))
    }

    /// One of some weights, which need not add up to 1; `None` where what is left to 1 is hit.
    pub fn weighed(&mut self, weights: impl IntoIterator<Item = f64>) -> Option<usize> {
        let mut left = self.share();
        for (place, weight) in weights.into_iter().enumerate() {
            if left < weight {
                return Some(place);
            }
            left -= weight;
        }
        None
    }
}

fn split_mix(state: &mut u64) -> u64 {
    *state = state.wrapping_add(0x9E37_79B9_7F4A_7C15);
    let mut mixed = *state;
    mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    mixed ^ (mixed >> 31)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn split_mix_gives_its_published_first_numbers() {
        // Seed 1234567: first outputs of the reference implementation (from memory, widely reprinted).
        let mut state = 1_234_567;
        assert_eq!(split_mix(&mut state), 6_457_827_717_110_365_317);
        assert_eq!(split_mix(&mut state), 3_203_168_211_198_807_973);
    }

    #[test]
    fn a_fork_does_not_depend_on_what_was_drawn_before() {
        let fresh = Dice::new(7);
        let mut used = fresh.clone();
        for _ in 0..5 {
            used.bits();
        }
        assert_eq!(fresh.fork("hose", 1), used.fork("hose", 1));
        assert_ne!(fresh.fork("hose", 1), fresh.fork("hose", 2));
        assert_ne!(fresh.fork("hose", 1), fresh.fork("cap", 1));
    }

    #[test]
    fn normal_numbers_have_their_mean_and_spread() {
        let mut dice = Dice::new(42);
        let drawn: Vec<f64> = (0..20_000).map(|_| dice.normal()).collect();
        let mean = drawn.iter().sum::<f64>() / drawn.len() as f64;
        let spread = drawn.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / drawn.len() as f64;
        assert!(mean.abs() < 0.03, "{mean}");
        assert!((spread - 1.0).abs() < 0.04, "{spread}");
    }

    #[test]
    fn what_is_left_of_the_weights_is_nobody() {
        let mut dice = Dice::new(3);
        let count = |dice: &mut Dice| {
            (0..4000)
                .filter(|_| dice.weighed([0.25, 0.5]).is_none())
                .count()
        };
        let none = count(&mut dice);
        assert!((850..1150).contains(&none), "{none}");
    }
}
