//! The guards: where not the least expected minutes decide, but how sure it is (assumptions of ours).

use super::inquiry::Inquiry;
use super::next::{Candidate, Step};
use super::reasons::bits;
use crate::flow::load::causes::NOT_LISTED;
use crate::flow::model::Phase;

/// A repair of so many minutes is dear, and asks for this probability (an assumption of ours).
pub const DEAR: (f64, f64) = (120.0, 0.80);
/// From this probability of one listed cause a car is not handed on (an assumption of ours: the minutes alone come out
/// about even where a second cause is feared behind a first that is certain).
const KNOWN: f64 = 0.5;

/// Whether a repair is too dear for how sure it is.
pub(super) fn too_dear(inquiry: &Inquiry, candidate: &Candidate) -> bool {
    match candidate.step {
        Step::Repair(cause) => {
            let repair = inquiry.joined.case.suspects[cause].repair;
            repair >= DEAR.0 && inquiry.explains[cause] < DEAR.1
        }
        _ => false,
    }
}

/// Whether one of the listed causes explains the complaint more likely than not.
fn cause_is_known(inquiry: &Inquiry) -> bool {
    let mut causes = inquiry.joined.causes.iter().zip(&inquiry.explains);
    causes.any(|(cause, p)| cause.id != NOT_LISTED && *p > KNOWN)
}

/// The candidate to suggest: the best, unless it is a dear repair that is not sure enough, or handing the car on, and
/// a test still tells something (of the complaint itself, where it is sure enough that the cause is none of those
/// listed); or handing on a car whose cause is more likely known than not.
pub fn choice<'i>(inquiry: &'i Inquiry, dear_too: bool) -> Option<&'i Candidate> {
    let mut best = inquiry.candidates.first()?;
    let tells = |candidate: &&Candidate| match candidate.step {
        Step::Test(test) | Step::SetUp(test) => {
            let (now, then) = bits(inquiry, test);
            now - then > 0.01
        }
        _ => false,
    };
    if best.step == Step::HandOn {
        let mut tests = inquiry.candidates.iter().filter(tells);
        // What the complaint itself measures is known before a car is given away, whatever else is found.
        let test = if is_unlisted(inquiry) {
            tests.find(|test| is_symptom(inquiry, test))
        } else {
            tests.next()
        };
        if test.is_some() {
            return test;
        }
        if cause_is_known(inquiry) {
            let mut others = inquiry.candidates.iter();
            best = others.find(|c| c.step != Step::HandOn).unwrap_or(best);
        }
    }
    if dear_too || !too_dear(inquiry, best) {
        return Some(best);
    }
    inquiry.candidates.iter().find(tells).or(Some(best))
}

/// Whether a test reads the complaint itself.
fn is_symptom(inquiry: &Inquiry, candidate: &Candidate) -> bool {
    match candidate.step {
        Step::Test(test) | Step::SetUp(test) => {
            let reading = &inquiry.steps.readings[test];
            inquiry.joined.flows[reading.flow].steps[reading.step].phase == Phase::Symptom
        }
        _ => false,
    }
}

/// Whether it is sure enough that the cause is none of those listed. A car that is handed on does not come back by
/// itself, so it asks for as much as a dear repair, as long as a test tells anything.
pub(super) fn is_unlisted(inquiry: &Inquiry) -> bool {
    let mut causes = inquiry.joined.causes.iter().zip(&inquiry.explains);
    let unlisted = causes.find(|(cause, _)| cause.id == NOT_LISTED);
    let left = 1.0 - inquiry.cured();
    unlisted.is_none_or(|(_, p)| *p >= DEAR.1 * left)
}
