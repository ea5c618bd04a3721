//! Expected minutes of repairing without any further test, and the price of what is not known.
//!
//! After Heckerman, Breese and Rommelse, "Decision-theoretic troubleshooting", CACM 38(3), 1995
//! (from memory): take causes by probability over cost, until the car is cured. That order is a
//! good one, not always the best.
//!
//! The look-ahead asks for these figures hundreds of times, so the sets lie flat in memory
//! ([`Costs`]) and everything that does not change is worked out once.

use std::f64::consts::LN_2;

use super::case::Case;
use super::sets::Set;

/// The sets of a case with what each costs.
#[derive(Clone, Debug)]
pub struct Costs {
    /// Members of all sets, one set after the other, each filled up to the same width with a cause
    /// that there is not.
    members: Vec<u8>,
    width: usize,
    /// Minutes of a set that is known.
    known: Vec<f64>,
    /// The probability that the repairs of all its members take; 0 where one has none, and for the
    /// set in which nothing is wrong.
    cure: Vec<f64>,
    /// The set in which nothing is wrong, where there is one.
    cured: Option<usize>,
    /// Minutes of each repair with its verification.
    minutes: Vec<f64>,
    /// The probability that each repair takes, a minute; 0 where there is none.
    worth: Vec<f64>,
    hand_on: Option<f64>,
    /// What falls on whoever is handed a car with each set.
    passed_on: Vec<f64>,
    /// What is left when all repairs were walked in vain and there is no handing on: walk them again.
    again: f64,
}

/// Room for one reckoning, used again and again.
#[derive(Clone, Debug, Default)]
pub struct Scratch {
    marginals: Vec<f64>,
    order: Vec<usize>,
    place: Vec<u8>,
    cured: Vec<f64>,
    passed_on: Vec<f64>,
}

impl Costs {
    /// For these sets of a case.
    pub fn of(case: &Case, sets: &[Set]) -> Self {
        let width = sets.iter().map(|set| set.len()).max().unwrap_or(0).max(1);
        let nobody = u8::try_from(case.suspects.len()).unwrap_or(u8::MAX);
        let mut members = Vec::with_capacity(width * sets.len());
        for set in sets {
            let own = set
                .members()
                .map(|cause| u8::try_from(cause).unwrap_or(nobody));
            members.extend(own.chain(std::iter::repeat(nobody)).take(width));
        }
        let flag = |yes: bool| f64::from(u8::from(yes));
        let repairable = |cause: &usize| case.suspects[*cause].repairable;
        let minutes: Vec<f64> = case
            .suspects
            .iter()
            .map(super::case::Suspect::minutes)
            .collect();
        let again = (0..minutes.len()).filter(repairable).map(|c| minutes[c]);
        Self {
            known: sets.iter().map(|set| case.minutes_of(*set)).collect(),
            cure: sets
                .iter()
                .map(|set| {
                    if case.repairable(*set) && !set.is_empty() {
                        set.members().map(|c| case.suspects[c].success).product()
                    } else {
                        0.0
                    }
                })
                .collect(),
            cured: sets.iter().position(|set| set.is_empty()),
            again: again.sum(),
            worth: case
                .suspects
                .iter()
                .map(|s| flag(s.repairable) * s.success / s.minutes().max(f64::MIN_POSITIVE))
                .collect(),
            minutes,
            hand_on: case.hand_on,
            passed_on: sets.iter().map(|set| case.passed_on(*set)).collect(),
            members,
            width,
        }
    }

    /// Puts the repairs into the order in which they are walked: by probability times success over
    /// minutes, ties in the order of the case.
    fn sort(&self, masses: &[f64], room: &mut Scratch) {
        let causes = self.minutes.len();
        room.marginals.clear();
        room.marginals.resize(causes + 1, 0.0);
        for (members, mass) in self.members.chunks_exact(self.width).zip(masses) {
            for cause in members {
                room.marginals[usize::from(*cause)] += mass;
            }
        }
        for (marginal, worth) in room.marginals.iter_mut().zip(&self.worth) {
            *marginal *= worth;
        }
        room.order.clear();
        room.order
            .extend((0..causes).filter(|cause| self.worth[*cause] > 0.0));
        let worth = &room.marginals;
        room.order
            .sort_by(|a, b| worth[*b].total_cmp(&worth[*a]).then(a.cmp(b)));
    }

    /// The order in which causes are repaired.
    pub fn order(&self, masses: &[f64]) -> Vec<usize> {
        let mut room = Scratch::default();
        self.sort(masses, &mut room);
        room.order
    }

    /// Expected minutes of walking down the repairs, handing the car on where that becomes cheaper.
    /// For masses that do not add up to one it scales with their sum.
    pub fn repairs_only(&self, masses: &[f64], room: &mut Scratch) -> f64 {
        self.sort(masses, room);
        room.place.clear();
        room.place.resize(self.minutes.len() + 1, 0);
        for (n, cause) in room.order.iter().enumerate() {
            room.place[*cause] = u8::try_from(n).unwrap_or(u8::MAX);
        }
        // cured[n]: the mass that is cured by the first n + 1 repairs and not before.
        room.cured.clear();
        room.cured.resize(self.minutes.len(), 0.0);
        // The same for what falls on whoever is handed the car.
        room.passed_on.clear();
        room.passed_on.resize(self.minutes.len(), 0.0);
        let (mut wrong, mut passed_on) = (0.0, 0.0);
        let members = self.members.chunks_exact(self.width);
        let sets = members
            .zip(masses)
            .zip(self.cure.iter().zip(&self.passed_on));
        for ((members, mass), (cure, left)) in sets {
            wrong += mass;
            passed_on += mass * left;
            // The one that there is not stands first, so that it is never the last.
            let last = members
                .iter()
                .fold(0, |last, cause| room.place[usize::from(*cause)].max(last));
            room.cured[usize::from(last)] += mass * cure;
            room.passed_on[usize::from(last)] += mass * cure * left;
        }
        if let Some(cured) = self.cured {
            wrong -= masses[cured];
        }
        self.walk(wrong, passed_on, room)
    }

    fn walk(&self, mut wrong: f64, mut passed_on: f64, room: &Scratch) -> f64 {
        let stop = |wrong: f64, passed_on: f64| {
            let minutes = self.hand_on?;
            Some(minutes * wrong + passed_on)
        };
        let mut spent = 0.0;
        let mut best = stop(wrong, passed_on).unwrap_or(f64::INFINITY);
        for (n, cause) in room.order.iter().enumerate() {
            spent += wrong * self.minutes[*cause];
            // Rounding must not leave less than nothing.
            wrong = (wrong - room.cured[n]).max(0.0);
            passed_on = (passed_on - room.passed_on[n]).max(0.0);
            match stop(wrong, passed_on) {
                Some(rest) => best = best.min(spent + rest),
                // Without a way of handing on, all repairs are walked.
                None if n + 1 == room.order.len() => best = spent + wrong * self.again,
                None => {}
            }
        }
        best
    }

    /// Minutes if everything were known.
    pub fn if_known(&self, masses: &[f64]) -> f64 {
        masses.iter().zip(&self.known).map(|(m, k)| m * k).sum()
    }

    /// The cost to go: the cheaper of repairing without a test, and of knowing everything at the
    /// price of the bits that are missing (`per_bit`, minutes a bit).
    pub fn to_go(&self, masses: &[f64], per_bit: Option<f64>, room: &mut Scratch) -> f64 {
        self.to_go_from(masses, self.if_known(masses), per_bit, room)
    }

    /// The same where [`Self::if_known`] is at hand.
    pub fn to_go_from(
        &self,
        masses: &[f64],
        known: f64,
        per_bit: Option<f64>,
        room: &mut Scratch,
    ) -> f64 {
        let repairs = self.repairs_only(masses, room);
        match per_bit {
            // The logarithms are the dearest part; where the rest is too dear already they are
            // spared.
            Some(per_bit) if known < repairs => repairs.min(known + per_bit * entropy(masses)),
            _ => repairs,
        }
    }
}

/// Expected minutes of repairing without a test, for all sets of a case.
pub fn repairs_only(case: &Case, masses: &[f64]) -> f64 {
    Costs::of(case, &case.sets).repairs_only(masses, &mut Scratch::default())
}

/// The order in which causes are repaired, for all sets of a case.
pub fn order(case: &Case, masses: &[f64]) -> Vec<usize> {
    Costs::of(case, &case.sets).order(masses)
}

/// Entropy in bits over the sets, times the masses' sum.
///
/// Most of the look-ahead's time goes into these logarithms: they are worked a few side by side, without a branch.
pub fn entropy(masses: &[f64]) -> f64 {
    let (mut totals, mut sums) = ([0.0; LANES], [0.0; LANES]);
    let (chunks, rest) = masses.as_chunks::<LANES>();
    let mut last = [0.0; LANES];
    last[..rest.len()].copy_from_slice(rest);
    for chunk in chunks.iter().chain([&last]) {
        let logarithms = logarithms(chunk);
        for lane in 0..LANES {
            totals[lane] += chunk[lane];
            sums[lane] += chunk[lane] * logarithms[lane];
        }
    }
    let (total, sum): (f64, f64) = (totals.iter().sum(), sums.iter().sum());
    if total <= 0.0 {
        return 0.0;
    }
    ((total * total.ln() - sum) / LN_2).max(0.0)
}

/// So many logarithms are worked side by side.
const LANES: usize = 4;

/// Natural logarithms of masses; of a mass too small for a normal number (2.2e-308) that of the smallest, finite, so
/// that it adds nothing to an entropy.
///
/// `x = 2^e m` with `m` from 0.7 to 1.4, and `ln m = 2 artanh((m - 1) / (m + 1))` by its series: Abramowitz and Stegun
/// 4.1.27 (from memory). With ten terms what is left out is below 1e-17.
#[inline]
fn logarithms(masses: &[f64; LANES]) -> [f64; LANES] {
    const FRACTION: u64 = (1 << 52) - 1;
    /// 2^52 as bits: with an exponent in its last places it is that exponent and 2^52.
    const WHOLE: u64 = 0x4330_0000_0000_0000;
    const BIAS: f64 = 1023.0;
    /// Added to the bits it brings the fraction of every number from sqrt(2) on over to the next exponent.
    const TO_NEXT: u64 = (1 << 52) - (0x3FF6_A09E_667F_3BCD & FRACTION);
    std::array::from_fn(|lane| {
        let bits = masses[lane].max(f64::MIN_POSITIVE).to_bits();
        let raised = bits + TO_NEXT;
        let exponent = f64::from_bits(WHOLE | (raised >> 52)) - f64::from_bits(WHOLE) - BIAS;
        let next = (raised >> 52) - (bits >> 52);
        let m = f64::from_bits((bits & FRACTION) | ((1023 - next) << 52));
        let s = (m - 1.0) / (m + 1.0);
        let square = s * s;
        let mut series = 0.0;
        for term in (0..10_u8).rev() {
            series = series * square + 1.0 / f64::from(2 * term + 1);
        }
        exponent * LN_2 + 2.0 * s * series
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// Against the standard library's.
        #[test]
        fn logarithms_are_those_of_the_library(exponent in -290.0..2.0_f64, near in 0.5..2.0_f64) {
            let masses = [10_f64.powf(exponent), near, std::f64::consts::SQRT_2, 1.0 - near / 1e9];
            for (ours, mass) in logarithms(&masses).into_iter().zip(masses) {
                let wanted = mass.ln();
                prop_assert!((ours - wanted).abs() <= 2e-15 * wanted.abs().max(1.0), "{mass}: {ours}, {wanted}");
            }
        }

        #[test]
        fn the_entropy_is_the_sum_over_the_masses(masses in proptest::collection::vec(prop_oneof![Just(0.0), 0.0..1.0_f64, 0.0..1e-200_f64], 0..30)) {
            let total: f64 = masses.iter().sum();
            let each = masses.iter().filter(|mass| **mass > 0.0);
            let wanted: f64 = each.map(|mass| mass * (total / mass).log2()).sum();
            prop_assert!((entropy(&masses) - wanted).abs() <= 1e-12 * total.max(1.0));
        }
    }

    #[test]
    fn nothing_has_no_entropy() {
        assert!(
            entropy(&[]).abs() < f64::MIN_POSITIVE && entropy(&[0.0; 7]).abs() < f64::MIN_POSITIVE
        );
        assert!((entropy(&[0.25; 4]) - 2.0).abs() < 1e-15);
    }
}
