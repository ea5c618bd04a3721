//! Which causes of a set make the complaint by themselves, and what that says of the sets.
//!
//! A cause can be there and be too small for the complaint. While the car has the complaint, a set in which
//! nothing is big enough cannot be all that is there; after a repair it can, and the car is as good as cured.
//! So *explains* is never more than *present*: what explains the complaint is a part of what is there.

use super::case::Case;
use super::sets::Set;

/// For each set of a case, which of its members make the complaint by themselves, and how probably. The
/// probabilities of a set add up to 1; nothing for a set of which nothing is known: then all of it does.
pub type Parts = Vec<Vec<(Set, f64)>>;

/// Every set makes the complaint as a whole; the empty one does not.
pub fn whole(case: &Case) -> Parts {
    case.sets.iter().map(|set| vec![(*set, 1.0)]).collect()
}

/// How probable it is that something in each set is big enough for the complaint.
pub fn complains(case: &Case, parts: &Parts) -> Vec<f64> {
    let of = |(set, parts): (&Set, &Vec<(Set, f64)>)| {
        if set.is_empty() {
            return 0.0;
        }
        let none = parts.iter().filter(|(part, _)| part.is_empty());
        (1.0 - none.map(|(_, p)| p).sum::<f64>()).clamp(0.0, 1.0)
    };
    case.sets.iter().zip(parts).map(of).collect()
}

/// The parts after a retest that was proved: what is big enough was missed, with this probability.
pub fn after_proof(parts: &mut Parts, missed: f64) {
    for of_set in parts.iter_mut() {
        for (part, p) in of_set.iter_mut() {
            *p *= if part.is_empty() { 1.0 } else { missed };
        }
        let total: f64 = of_set.iter().map(|(_, p)| p).sum();
        if total > 0.0 {
            for (_, p) in of_set.iter_mut() {
                *p /= total;
            }
        }
    }
}

/// The parts where the car is known to have the complaint: something is big enough. A set that can hardly make it
/// is taken as a whole.
pub fn with_complaint(case: &Case, parts: &mut Parts) {
    const HARDLY: f64 = 1e-9;
    for (set, parts) in case.sets.iter().zip(parts) {
        parts.retain(|(part, _)| !part.is_empty());
        let total: f64 = parts.iter().map(|(_, p)| p).sum();
        if total > HARDLY {
            for (_, p) in parts.iter_mut() {
                *p /= total;
            }
        } else {
            *parts = vec![(*set, 1.0)];
        }
    }
}

/// Each set with the causes of which it is known how probably they are big enough, each for itself.
pub fn by_cause(case: &Case, enough: &[Option<f64>]) -> Parts {
    let of = |set: &Set| {
        let mut parts = vec![(Set::EMPTY, 1.0)];
        for cause in set.members() {
            let p = enough[cause].unwrap_or(1.0);
            let with = |(part, q): &(Set, f64)| [(part.with(cause), q * p), (*part, q * (1.0 - p))];
            parts = parts
                .iter()
                .flat_map(with)
                .filter(|(_, q)| *q > 0.0)
                .collect();
        }
        parts
    };
    case.sets.iter().map(of).collect()
}

/// The parts after a cause was repaired, for masses from before it: what is left of a set with it is added to
/// what is known of the set without it.
pub fn after_repair(case: &Case, masses: &[f64], parts: &Parts, cause: usize) -> Parts {
    let success = case.suspects[cause].success;
    let mut after = parts.clone();
    for (n, set) in case
        .sets
        .iter()
        .enumerate()
        .filter(|(_, set)| !set.has(cause))
    {
        let Some(from) = case.place(set.with(cause)) else {
            continue;
        };
        let (own, came) = (masses[n], success * masses[from]);
        if own + came <= 0.0 || set.is_empty() {
            continue;
        }
        let mut mixed: Vec<(Set, f64)> = Vec::new();
        let stays = parts[n].iter().map(|(part, p)| (*part, own * p));
        let comes = parts[from]
            .iter()
            .map(|(part, p)| (part.without(cause), came * p));
        for (part, mass) in stays.chain(comes) {
            let share = mass / (own + came);
            match mixed.iter_mut().find(|(known, _)| *known == part) {
                Some((_, p)) => *p += share,
                None => mixed.push((part, share)),
            }
        }
        after[n] = mixed;
    }
    after
}

/// The sets that explain the complaint, from the sets that are there: each gives its mass to what of it is big
/// enough. Where nothing is, nothing is left to be cured; without such a hypothesis it stays as it is.
pub fn explaining(case: &Case, sets: &[f64], parts: &Parts) -> Vec<f64> {
    let mut masses = vec![0.0; sets.len()];
    for (n, parts) in parts.iter().enumerate() {
        if parts.is_empty() {
            masses[n] += sets[n];
        }
        for (part, share) in parts {
            masses[case.place(*part).unwrap_or(n)] += share * sets[n];
        }
    }
    masses
}

#[cfg(test)]
mod tests {
    use super::super::case::Suspect;
    use super::*;

    fn case() -> Case {
        let suspect = |id: &str| Suspect {
            id: id.to_owned(),
            odds: 0.2,
            repair: 30.0,
            verification: 10.0,
            success: 1.0,
            repairable: true,
        };
        let suspects = ["hose", "shaft", "gasket"].map(suspect).to_vec();
        Case::new(suspects, Some(60.0), 2).unwrap().with_cured()
    }

    fn set(causes: &[usize]) -> Set {
        Set::of(causes)
    }

    #[test]
    fn a_wisp_that_is_left_after_the_repair_is_no_complaint() {
        let case = case();
        // The hose is large; the shaft, where it is there too, hardly ever is. Alone it is large, since the car came.
        let mut parts = by_cause(&case, &[None, Some(0.1), None]);
        with_complaint(&case, &mut parts);
        let place = |causes: &[usize]| case.place(set(causes)).unwrap();
        let mut masses = vec![0.0; case.sets.len()];
        masses[place(&[0, 1])] = 0.9;
        masses[place(&[1])] = 0.1;
        let after = after_repair(&case, &masses, &parts, 0);
        let left = complains(&case, &after)[place(&[1])];
        // 0.9 x 0.1 of what was behind the hose, and all of the 0.1 that was the shaft alone.
        assert!((left - 0.19).abs() < 1e-12, "{left}");
        let mut now = vec![0.0; case.sets.len()];
        now[place(&[1])] = 1.0;
        let explaining = explaining(&case, &now, &after);
        assert!(
            (explaining[place(&[])] - 0.81).abs() < 1e-12,
            "{explaining:?}"
        );
    }

    #[test]
    fn what_is_known_of_each_cause_adds_up_over_a_set() {
        let case = case();
        let parts = by_cause(&case, &[Some(0.5), Some(0.2), None]);
        let complains = complains(&case, &parts);
        let of = |causes: &[usize]| complains[case.place(set(causes)).unwrap()];
        assert!((of(&[0, 1]) - 0.6).abs() < 1e-12 && (of(&[1]) - 0.2).abs() < 1e-12);
        assert!((of(&[1, 2]) - 1.0).abs() < 1e-12 && of(&[]) <= 0.0);
        for parts in &parts {
            let total: f64 = parts.iter().map(|(_, p)| p).sum();
            assert!((total - 1.0).abs() < 1e-12);
        }
    }
}
