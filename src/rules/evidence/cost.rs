//! Expected minutes of repairing without any further test, and the price of what is not known.
//!
//! After Heckerman, Breese and Rommelse, "Decision-theoretic troubleshooting", CACM 38(3), 1995
//! (from memory): take causes by probability over cost, until the car is cured. That order is a
//! good one, not always the best.
//!
//! The look-ahead asks for these figures hundreds of times, so the sets lie flat in memory
//! ([`Costs`]) and everything that does not change is worked out once.

use super::case::Case;
use super::sets::Set;
use super::weights::sum_of_products;

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
    marginals: ByCause<f64>,
    order: Vec<usize>,
    place: ByCause<u8>,
    cured: ByCause<f64>,
    passed_on: ByCause<f64>,
}

/// One value for each cause that a `u8` can name, so that no look-up can be out of bounds.
#[derive(Clone, Debug)]
struct ByCause<T>([T; 256]);

impl<T: Default + Copy> Default for ByCause<T> {
    fn default() -> Self {
        Self([T::default(); 256])
    }
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
    fn sort<'a, S: AsRef<[u8]> + ?Sized + 'a>(
        &self,
        sets: impl Iterator<Item = &'a S>,
        masses: &[f64],
        room: &mut Scratch,
    ) {
        let causes = self.minutes.len();
        let marginals = &mut room.marginals.0;
        marginals[..=causes].fill(0.0);
        for (members, mass) in sets.zip(masses) {
            for cause in members.as_ref() {
                marginals[usize::from(*cause)] += mass;
            }
        }
        for (marginal, worth) in marginals.iter_mut().zip(&self.worth) {
            *marginal *= worth;
        }
        room.order.clear();
        room.order
            .extend((0..causes).filter(|cause| self.worth[*cause] > 0.0));
        let worth = &room.marginals.0;
        room.order
            .sort_by(|a, b| worth[*b].total_cmp(&worth[*a]).then(a.cmp(b)));
    }

    /// The order in which causes are repaired.
    pub fn order(&self, masses: &[f64]) -> Vec<usize> {
        let mut room = Scratch::default();
        self.sort(self.members.chunks_exact(self.width), masses, &mut room);
        room.order
    }

    /// Expected minutes of walking down the repairs, handing the car on where that becomes cheaper.
    /// For masses that do not add up to one it scales with their sum.
    pub fn repairs_only(&self, masses: &[f64], room: &mut Scratch) -> f64 {
        let members = &self.members[..];
        // A width that is known when this is compiled takes two thirds of the time.
        match self.width {
            1 => self.repairs(members.as_chunks::<1>().0.iter(), masses, room),
            2 => self.repairs(members.as_chunks::<2>().0.iter(), masses, room),
            3 => self.repairs(members.as_chunks::<3>().0.iter(), masses, room),
            width => self.repairs(members.chunks_exact(width), masses, room),
        }
    }

    fn repairs<'a, S: AsRef<[u8]> + ?Sized + 'a>(
        &self,
        sets: impl Iterator<Item = &'a S> + Clone,
        masses: &[f64],
        room: &mut Scratch,
    ) -> f64 {
        self.sort(sets.clone(), masses, room);
        let causes = self.minutes.len();
        let place = &mut room.place.0;
        // The one that there is not stands first, so that it is never the last.
        place[..=causes].fill(0);
        for (n, cause) in room.order.iter().enumerate() {
            place[*cause] = u8::try_from(n).unwrap_or(u8::MAX);
        }
        // The mass that is cured by the first n + 1 repairs and not before, and what falls on
        // whoever is handed the car then.
        let (cured, left_over) = (&mut room.cured.0, &mut room.passed_on.0);
        cured[..=causes].fill(0.0);
        left_over[..=causes].fill(0.0);
        let (mut wrong, mut passed_on) = (0.0, 0.0);
        let sets = sets.zip(masses).zip(self.cure.iter().zip(&self.passed_on));
        for ((members, mass), (cure, left)) in sets {
            wrong += mass;
            passed_on += mass * left;
            let places = members.as_ref().iter().map(|c| place[usize::from(*c)]);
            let last = usize::from(places.fold(0, u8::max));
            cured[last] += mass * cure;
            left_over[last] += mass * cure * left;
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
            wrong = (wrong - room.cured.0[n]).max(0.0);
            passed_on = (passed_on - room.passed_on.0[n]).max(0.0);
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
        sum_of_products(masses, &self.known)
    }

    /// The cost to go: the cheaper of repairing without a test, and of knowing everything at the
    /// price of the bits that are missing. `known` is [`Self::if_known`] of the masses, `price`
    /// the minutes a bit and what tells how many are missing.
    pub fn to_go(
        &self,
        masses: &[f64],
        known: f64,
        (per_bit, bits): (Option<f64>, impl Fn() -> f64),
        room: &mut Scratch,
    ) -> f64 {
        let repairs = self.repairs_only(masses, room);
        match per_bit {
            // Where the rest is too dear already the bits are not counted.
            Some(per_bit) if known < repairs => repairs.min(known + per_bit * bits()),
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
pub fn entropy(masses: &[f64]) -> f64 {
    let (mut total, mut sum) = (0.0, 0.0);
    for mass in masses {
        if *mass > 0.0 {
            total += mass;
            sum += mass * mass.ln();
        }
    }
    if total <= 0.0 {
        return 0.0;
    }
    ((total * total.ln() - sum) / std::f64::consts::LN_2).max(0.0)
}
