//! What a repair that was made changes of the belief.

use super::belief::{Belief, Contradiction};
use super::hidden;
use super::joined::Joined;
use super::parts;
use super::told::{Change, ChangeKind, Repaired, Told};
use crate::engine::event::PartWas;

/// The probability that a bad part looks bad when it is opened, and a good one good (an assumption
/// of ours).
const LOOKS_SO: f64 = 0.97;

/// The probability that a retest comes to its proof though the complaint is still there (an assumption of ours).
const MISSED: f64 = 0.05;

/// The proof that the complaint is gone: what still makes it is there only if the retest has missed it.
///
/// # Errors
/// [`Contradiction`] where nothing that is left could be so.
pub(super) fn proof(joined: &Joined, test: usize, told: &mut Told) -> Result<(), Contradiction> {
    let complains = parts::complains(&joined.case, &told.parts);
    let missed = |complains: &f64| 1.0 - complains + MISSED * complains;
    let likelihood: Vec<f64> = complains.iter().map(missed).collect();
    let before = told.belief();
    let after = before.after(PROOF, &likelihood)?;
    let chance = (after.log_total() - before.log_total()).exp();
    parts::after_proof(&mut told.parts, MISSED);
    told.changes.push(Change {
        kind: ChangeKind::Proof,
        id: PROOF.to_owned(),
        words: "the retest proved the complaint gone".to_owned(),
        test,
        chance: Some(chance),
        alone: None,
        after,
    });
    Ok(())
}

/// What the proof is called among the changes; a reading's id has no blank.
const PROOF: &str = "the proof";

/// A repair: how the part looked, what is left of the car, and where it was in vain, that the complaint is still there.
///
/// # Errors
/// [`Contradiction`] where nothing that is left could be so.
pub(super) fn repair(
    joined: &Joined,
    repaired: &Repaired,
    test: usize,
    last: bool,
    told: &mut Told,
) -> Result<(), Contradiction> {
    let case = &joined.case;
    let Some(cause) = joined.causes.iter().position(|c| c.id == repaired.cause) else {
        return Ok(());
    };
    let name = &joined.causes[cause].name;
    let (bad, good) = match repaired.part_was {
        PartWas::Bad => (LOOKS_SO, 1.0 - LOOKS_SO),
        PartWas::Good => (1.0 - LOOKS_SO, LOOKS_SO),
        PartWas::CouldNotTell => (1.0, 1.0),
    };
    let looks: Vec<f64> = case
        .sets
        .iter()
        .map(|set| if set.has(cause) { bad } else { good })
        .collect();
    let id = &repaired.cause;
    if repaired.part_was != PartWas::CouldNotTell {
        let word = if bad > good { "bad" } else { "good" };
        let before = told.belief();
        let after = before.after(id, &looks)?;
        let chance = (after.log_total() - before.log_total()).exp();
        told.changes.push(Change {
            kind: ChangeKind::Part,
            id: id.clone(),
            words: format!("{name}: the part was {word} when opened"),
            test,
            chance: Some(chance),
            alone: None,
            after,
        });
    }
    let prior = told.prior.probabilities();
    let masses = hidden::behind(case, &prior, &told.belief().probabilities(), cause);
    told.parts = parts::after_repair(case, &masses, &told.parts, cause);
    hidden::of_any_size(case, &mut told.parts, cause);
    let mut after = Belief::of(&masses).after_repair(case, cause);
    told.repaired.push((cause, masses));
    let mut words = format!("{name}: repaired");
    // Of several repairs before one retest it is the last after which one knows.
    if repaired.in_vain && last {
        let complains = parts::complains(case, &told.parts);
        after = after.after(id, &complains)?;
        parts::with_complaint(case, &mut told.parts);
        words.push_str(", and the complaint is still there");
    }
    told.changes.push(Change {
        kind: ChangeKind::Repair,
        id: id.clone(),
        words,
        test,
        chance: None,
        alone: None,
        after,
    });
    Ok(())
}
