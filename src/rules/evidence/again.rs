//! A reading in words that is taken again after a repair: the car is still the same one.
//!
//! A leak that hid the first time hides the second time as well, and what a cause looks like stays as it is; so the
//! same reading once more says little that is new of a cause that is still there. Taken as a new reading it would
//! count twice. (Simulated cars know it themselves: it is the same car.)
//!
//! With a set `T` left after the repair of the cause `i`: either `i` was never there, and the reading is what it was,
//! or it was there, and the worst of what the others and `i` showed is now what the others show alone:
//! `P(now | then, T + i) = P(now | T) P_i(then) / P(then | T + i)`, where `P_i` is the probability that `i` shows
//! that, or no more than that where it is what the others show.

use super::case::Case;
use super::finding::Seen;
use super::likelihood::Before;
use super::sets::Set;

/// How often a reading is the same once more where nothing has changed (an assumption of ours).
const SAME_AGAIN: f64 = 0.8;

/// What a finding showed when it was last read, and the one cause that was repaired since, with the probability of
/// every set before that; nothing where it was not read before, or several causes were repaired since.
pub(super) fn before(now: &Before, finding: usize) -> Option<(&Seen, &(usize, Vec<f64>))> {
    let read = |(_, earlier): &(usize, &super::likelihood::Earlier)| {
        earlier.seen.iter().any(|(other, _)| *other == finding)
    };
    let (place, last) = now.earlier.iter().enumerate().rfind(read)?;
    let (_, seen) = last.seen.iter().rfind(|(other, _)| *other == finding)?;
    let mut since = now.earlier[place..]
        .iter()
        .flat_map(|earlier| &earlier.repaired);
    let repaired = since.next()?;
    since.next().is_none().then_some((seen, repaired))
}

/// The probability of what is seen now under each set that may be left, given what was seen then; both come with
/// their probability as a reading of its own.
pub(super) fn read_again(
    case: &Case,
    cause: usize,
    masses: &[f64],
    (was, then): (&Seen, &[f64]),
    (is, now): (&Seen, &[f64]),
) -> Vec<f64> {
    let same = alike(was, is);
    let alone = case.place(Set::of(&[cause]));
    let shows = alone.map_or(1.0, |alone| then[alone]).max(same);
    let success = case.suspects[cause].success;
    let of = |(n, set): (usize, &Set)| {
        let stays = SAME_AGAIN * same + (1.0 - SAME_AGAIN) * now[n];
        let from = case.place(set.with(cause)).filter(|_| !set.has(cause));
        let Some(from) = from else {
            return stays;
        };
        let (own, came) = (masses[n], success * masses[from]);
        let left = (now[n] * shows / then[from].max(f64::MIN_POSITIVE)).min(1.0);
        if own + came > 0.0 {
            (own * stays + came * left) / (own + came)
        } else {
            now[n]
        }
    };
    case.sets.iter().enumerate().map(of).collect()
}

/// How far two readings are the same, from 0 to 1.
fn alike(one: &Seen, other: &Seen) -> f64 {
    match (one, other) {
        (Seen::Weights(one), Seen::Weights(other)) => {
            one.iter().zip(other).map(|(a, b)| a.min(*b)).sum()
        }
        // Smoke is never twice as thick: where it shows counts, not how strongly.
        (Seen::Places(one), Seen::Places(other)) => f64::from(u8::from(
            one.at == other.at && one.unlisted == other.unlisted,
        )),
        _ => 0.0,
    }
}
