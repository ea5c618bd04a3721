//! Sets of causes that may be present together.

/// The most causes that one case can hold: a set is the bits of a machine word.
pub const MOST_CAUSES: usize = 64;

/// A set of causes: bit `i` stands for cause `i`.
#[derive(
    Clone,
    Copy,
    Debug,
    Default,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    serde::Serialize,
    serde::Deserialize,
)]
pub struct Set(u64);

impl Set {
    /// Nothing is wrong (any more).
    pub const EMPTY: Self = Self(0);

    /// The set of these causes.
    pub fn of(causes: &[usize]) -> Self {
        Self(causes.iter().fold(0, |bits, cause| bits | 1 << cause))
    }

    /// Whether a cause is in it.
    pub fn has(self, cause: usize) -> bool {
        self.0 >> cause & 1 == 1
    }

    /// The set without a cause.
    #[must_use]
    pub fn without(self, cause: usize) -> Self {
        Self(self.0 & !(1 << cause))
    }

    /// The set with a cause.
    #[must_use]
    pub fn with(self, cause: usize) -> Self {
        Self(self.0 | 1 << cause)
    }

    /// How many causes are in it.
    pub fn len(self) -> usize {
        self.0.count_ones() as usize
    }

    /// Whether nothing is in it.
    pub fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// Its members, in ascending order.
    pub fn members(self) -> impl Iterator<Item = usize> {
        let mut bits = self.0;
        std::iter::from_fn(move || {
            (bits != 0).then(|| {
                let cause = bits.trailing_zeros() as usize;
                bits &= bits - 1;
                cause
            })
        })
    }
}

/// All sets of 1 to `together` of `causes` causes, the smaller first: the hypotheses of a case.
/// At least one cause is present, since the car is here with a complaint.
pub fn hypotheses(causes: usize, together: usize) -> Vec<Set> {
    let mut all = Vec::new();
    let mut chosen = Vec::new();
    for size in 1..=together.min(causes) {
        combine(causes, size, 0, &mut chosen, &mut all);
    }
    all
}

fn combine(causes: usize, size: usize, from: usize, chosen: &mut Vec<usize>, all: &mut Vec<Set>) {
    if chosen.len() == size {
        all.push(Set::of(chosen));
        return;
    }
    for cause in from..causes {
        chosen.push(cause);
        combine(causes, size, cause + 1, chosen, all);
        chosen.pop();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn there_are_as_many_sets_as_combinations() {
        assert_eq!(hypotheses(3, 2).len(), 3 + 3);
        assert_eq!(hypotheses(30, 3).len(), 30 + 435 + 4060);
        assert_eq!(hypotheses(2, 5).len(), 3);
        assert_eq!(hypotheses(0, 2).len(), 0);
    }

    #[test]
    fn a_set_gives_back_its_members() {
        let set = Set::of(&[5, 0, 63]);
        assert_eq!(set.members().collect::<Vec<_>>(), [0, 5, 63]);
        assert!(set.without(0).without(5).without(63).is_empty());
    }
}
