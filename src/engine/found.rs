//! Which causes were found where something showed, and were not repaired since.
//!
//! What shows at the place of a cause is found, whatever is made of it later: it is neither undecided nor
//! ruled out, and so every page and screen says the same of it.

use super::event::OutcomeTaken;
use super::job::{How, Job, Run, Taken, Visit, outcome_of};
use crate::flow::answer::{Answer, Strength};
use crate::flow::model::{Cause, Outcome, Phase, PromptKind};
use crate::flow::target::Target;

/// A cause that showed at its place when that was last looked at, and was not repaired since.
pub struct Found<'j> {
    /// The flow's run in which it was looked for.
    pub run: &'j Run,
    /// The cause.
    pub cause: &'j Cause,
    /// The places that speak for it, with how strongly it showed.
    pub places: Vec<(&'j str, Strength)>,
    /// Where the walk judged afterwards that the complaint comes from elsewhere, with what the flow says of it.
    pub judged: Option<(&'j Visit, &'j Outcome)>,
}

/// A place where something showed at the last look, and the cause that it speaks for.
struct Seen<'j> {
    run: &'j Run,
    taken: &'j Taken,
    cause: &'j Cause,
    place: &'j str,
    strength: Strength,
}

impl Job {
    /// Causes that showed when their places were last looked at along the way walked and were not repaired since, in
    /// the order in which they were seen. A place for which several causes are likely speaks for none of them.
    pub fn found(&self) -> Vec<Found<'_>> {
        let mut out: Vec<Found> = Vec::new();
        for seen in self.seen() {
            let place = (seen.place, seen.strength);
            let known = |found: &&mut Found| found.cause.id == seen.cause.id;
            if let Some(found) = out.iter_mut().find(known) {
                // Looked at again in a flow that came later, it is told by that one.
                if found.run.flow.id == seen.run.flow.id {
                    found.places.push(place);
                } else {
                    found.places = vec![place];
                }
                (found.run, found.judged) = (seen.run, judged(seen.run, seen.taken));
            } else if !self.repaired_since(&seen) {
                out.push(Found {
                    run: seen.run,
                    cause: seen.cause,
                    places: vec![place],
                    judged: judged(seen.run, seen.taken),
                });
            }
        }
        out
    }

    /// Whether a repair was agreed on, declined or done for what was seen, at that look or after it.
    fn repaired_since(&self, seen: &Seen) -> bool {
        let of_it = |cause: &str| cause == seen.cause.id;
        let mut repairs = self.repairs.iter();
        repairs.any(|repair| of_it(&repair.cause) && repair.test >= seen.taken.test)
    }

    /// Where something showed at the last look of each reading of places.
    fn seen(&self) -> Vec<Seen<'_>> {
        let mut last: Vec<(&Run, &Taken)> = Vec::new();
        for run in &self.runs {
            for visit in run.walked() {
                for taken in self.taken_in(visit.since_seq) {
                    if matches!(taken.value, Answer::Places(_)) {
                        last.retain(|(before, known)| {
                            before.flow.id != run.flow.id || known.reading != taken.reading
                        });
                        last.push((run, taken));
                    }
                }
            }
        }
        last.into_iter().flat_map(of_causes).collect()
    }
}

/// The causes for which the places of one look speak.
fn of_causes<'j>((run, taken): (&'j Run, &'j Taken)) -> Vec<Seen<'j>> {
    let places = match (&taken.value, run.flow.reading(&taken.reading)) {
        (Answer::Places(places), Some(prompt)) => match &prompt.kind {
            PromptKind::Places(listed) => Some((places, listed)),
            _ => None,
        },
        _ => None,
    };
    let Some((places, listed)) = places else {
        return Vec::new();
    };
    let seen = places.iter().filter_map(|(place, strength)| {
        let cause = run.flow.cause_at(&taken.reading, place, listed)?;
        Some(Seen {
            run,
            taken,
            cause,
            place,
            strength: *strength,
        })
    });
    seen.collect()
}

/// The last judgement after a look, in its test, by which the walk left the flow for another one.
fn judged<'j>(run: &'j Run, look: &Taken) -> Option<(&'j Visit, &'j Outcome)> {
    let after = run
        .walked()
        .iter()
        .skip_while(|visit| visit.since_seq != look.visit);
    let of_its_test = after.filter(|visit| visit.test == look.test);
    let led_on = of_its_test.filter_map(|visit| {
        let outcome = outcome_of(run, taken(visit)?)?;
        let step = run.flow.step(&taken(visit)?.step)?;
        let judges = step.phase == Phase::Judge && matches!(outcome.go, Target::Flow(_));
        judges.then_some((visit, outcome))
    });
    led_on.last()
}

fn taken(visit: &Visit) -> Option<&OutcomeTaken> {
    match &visit.left.as_ref()?.how {
        How::Outcome(taken) => Some(taken),
        _ => None,
    }
}
