//! Whether the proof of an exercise is one: what was on the car as it was made, and as the car was handed over.
//!
//! A car is proved as it goes out. With a plug, a cover or the supply still on it, or something open that is closed on
//! every car, it is another car that was proved.

use crate::engine::event::Verdict;
use crate::practice::log::Wrong;
use crate::practice::session::Session;

/// What speaks against the proof to which the flow came, in words: empty where it stands. Nothing where the flow came to
/// none, or the complaint is still there.
pub(super) fn of(session: &Session) -> Option<Vec<String>> {
    let proved = is_proved_by_flow(session) && !session.bay.complains();
    proved.then(|| {
        let left = session.bay.left_behind();
        if left.is_empty() {
            return stood_wrongly(session);
        }
        let named = left.join("; ");
        vec![format!("the car was handed over like this: {named}")]
    })
}

fn is_proved_by_flow(session: &Session) -> bool {
    let run = session.job.runs.first();
    run.is_some_and(|run| run.verdict == Some(Verdict::Proved))
}

/// How the car stood wrongly as something was read for the proof, and was not read again with that put right: with
/// something on it or open, or with nothing fed where only that shows anything.
fn stood_wrongly(session: &Session) -> Vec<String> {
    let flow = session.bay.plan().flow;
    let of_proof = session.bay.test();
    let slips = session.bay.log.slips.iter();
    let mut words: Vec<String> = Vec::new();
    for slip in slips.filter(|slip| slip.test == of_proof && !slip.put_right) {
        let speaks = matches!(
            slip.wrong,
            Wrong::LeftOn(_) | Wrong::LeftOpen(_) | Wrong::NoSupply | Wrong::NothingFed
        );
        let why = format!("as it was read, {}", slip.wrong.words(flow));
        if speaks && !words.contains(&why) {
            words.push(why);
        }
    }
    words
}

/// Whether the customer declined the last repair and drives the car off as it is, with nothing proved.
pub(super) fn is_driven_off(session: &Session) -> bool {
    let last = session.job.repairs.last();
    let declined = last.is_some_and(|repair| {
        repair.declined.is_some() && repair.approved.is_none() && repair.done.is_none()
    });
    declined && !is_proved_by_flow(session)
}

/// What would come on the road of what was left on a car that the flow called proved, or whose repair was declined.
pub(super) fn would_have(session: &Session) -> Option<&'static str> {
    let bay = &session.bay;
    let left = if bay.is_any_shut() {
        Wrong::LeftOn(Vec::new())
    } else if bay.ports_open().is_empty() {
        return None;
    } else {
        Wrong::LeftOpen(Vec::new())
    };
    let goes = is_proved_by_flow(session) || is_driven_off(session);
    goes.then(|| left.would_have(bay.plan().flow))?
}
