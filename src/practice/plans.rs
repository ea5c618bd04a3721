//! An exercise that stands by itself: the session with the plan and the flow that it borrows from, in one piece.
//!
//! A plan borrows from its flow and a simulated car from its plan, so a car can be kept beside the events of its
//! exercise only together with both. All of it goes when the exercise is closed. The plans of the last few flows are
//! kept for the next exercise: to make one takes longer than all that a key press does.

use std::sync::{Arc, Mutex, PoisonError};

use self_cell::self_cell;

use crate::engine::event::{Event, What};
use crate::flow::kept::kept;
use crate::flow::model::Flow;
use crate::plant::plan::Plan;

use super::session::{Session, exercise};

self_cell!(
    struct Planned {
        owner: Arc<Flow>,
        #[covariant]
        dependent: Plan,
    }
    impl {Debug}
);

self_cell!(
    struct Held {
        owner: Arc<Planned>,
        #[covariant]
        dependent: Session,
    }
    impl {Debug}
);

/// So many plans are kept, those that were wanted last.
const MOST: usize = 3;

/// A practice job and its car, with all that they rest on.
#[derive(Debug)]
pub struct Exercised(Held);

impl Exercised {
    /// From the events of a practice job. `None` where they are of none, or the text of its flow cannot be read.
    pub fn of(events: &[Event]) -> Option<Self> {
        let begun = exercise(events)?;
        let text = events.iter().find_map(|event| match &event.what {
            What::FlowBegun { flow, text, .. } if *flow == begun.flow => Some(text),
            _ => None,
        })?;
        let held = Held::try_new(planned(text)?, |planned| {
            Session::of(planned.borrow_dependent(), events).ok_or(())
        });
        held.ok().map(Self)
    }

    /// The session.
    pub fn session(&self) -> &Session<'_> {
        self.0.borrow_dependent()
    }

    /// Takes more events in.
    pub fn apply(&mut self, events: &[Event]) {
        self.0.with_dependent_mut(|_, session| {
            for event in events {
                session.apply(event);
            }
        });
    }
}

/// The plan of a flow by its text.
fn planned(text: &str) -> Option<Arc<Planned>> {
    static PLANS: Mutex<Vec<(String, Arc<Planned>)>> = Mutex::new(Vec::new());
    let plans = || PLANS.lock().unwrap_or_else(PoisonError::into_inner);
    let known = {
        let mut plans = plans();
        let place = plans.iter().position(|(other, _)| other == text);
        place.map(|place| {
            // The last wanted stands last.
            plans[place..].rotate_left(1);
            Arc::clone(&plans[plans.len() - 1].1)
        })
    };
    if known.is_some() {
        return known;
    }
    let flow = kept(text).ok()?;
    let made = Arc::new(Planned::new(flow, |flow| Plan::of(flow)));
    let mut plans = plans();
    if plans.len() >= MOST {
        plans.remove(0);
    }
    plans.push((text.to_owned(), Arc::clone(&made)));
    Some(made)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text(n: usize) -> String {
        let own = crate::flow::shelf::shipped_texts().next().unwrap().1;
        format!("{own}\n# {n}\n")
    }

    #[test]
    fn a_plan_is_kept_for_the_next_exercise_and_goes_when_others_are_wanted() {
        let first = planned(&text(0)).unwrap();
        assert!(Arc::ptr_eq(&first, &planned(&text(0)).unwrap()));
        let gone = Arc::downgrade(&first);
        drop(first);
        for n in 1..=MOST {
            planned(&text(n)).unwrap();
        }
        assert!(gone.upgrade().is_none());
    }
}
