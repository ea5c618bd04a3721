//! The numbered ways to go on, where the walk waits for a decision rather than for an answer.

use super::lists::{Item, Then, flows, with_warning};
use super::{Model, Screen};
use crate::engine::job::Job;
use crate::engine::standing::{RepairStage, Standing};
use crate::flow::model::Cause;
use crate::rules::offer::offers;
use crate::tui::message::Act;

impl Model {
    /// The ways to go on from here; empty where the walk waits for an answer.
    pub fn ways(&self) -> Vec<Item> {
        let Some(open) = &self.open else {
            return Vec::new();
        };
        if self.is_held() {
            return held();
        }
        if let Some(ways) = self.ways_of_exercise() {
            return ways;
        }
        match self.standing() {
            Standing::NoFlow => self.flows_with_codes_first(),
            Standing::Stopped(_) => vec![
                Item::new(
                    "It is let down, and less will be fed or pumped",
                    "",
                    Then::ClearLimit,
                ),
                Item::new(
                    "I mistyped: the gauge never showed that",
                    "look at the gauge first; both stay in the record",
                    Then::Mistyped,
                ),
            ],
            Standing::Repair { cause, stage } => repair(cause, &stage),
            Standing::LedTo(flow) => self.onward(&open.job, flow),
            Standing::Ended => vec![hand_over(), other_flow()],
            Standing::HandedOver(_) => vec![
                Item::new("Back to all jobs", "", Then::Do(Act::Board)),
                Item::new("Read the record", "", Then::Do(Act::Record)),
                Item::new(
                    "Open the job again",
                    "it was handed over by mistake, or the car came back",
                    Then::Reopen,
                ),
                Item::new(
                    "Write a page to print",
                    "for the customer or the workshop, an order for parts, a label",
                    Then::Do(Act::Paper),
                ),
            ],
            _ => Vec::new(),
        }
    }

    /// Into the flow that this one leads to, if it was begun before or is at hand.
    fn onward(&self, job: &Job, flow: &str) -> Vec<Item> {
        let then = Then::Onward(flow.to_owned());
        let ahead = job.current.and_then(|at| job.runs.get(at + 1));
        if let Some(run) = ahead.filter(|run| run.flow.id == flow) {
            let label = format!("Go on in: {}", run.flow.title);
            return vec![Item::new(label, "it was begun before", then), other_flow()];
        }
        match self.shelf.find(flow) {
            Some(shelved) => {
                let label = format!("Begin: {}", self.shelf.title_of(&shelved.flow));
                let detail = with_warning(shelved, "readings of this test carry over");
                vec![Item::new(label, detail, then), other_flow()]
            }
            None => vec![other_flow(), hand_over()],
        }
    }

    /// The saving of what the control unit knows, then the flows. Nothing that is saved while the list is shown moves a
    /// number under the finger: the saving keeps its own, and the flows keep the order in which they were first shown.
    fn flows_with_codes_first(&self) -> Vec<Item> {
        let saved = self.has_codes();
        let codes = if saved {
            Item::new(
                "[saved] Stored and pending codes, freeze frame and readiness",
                "once more to correct it or to add to it",
                Then::Do(Act::Codes),
            )
        } else {
            Item::new(
                "Save stored and pending codes, freeze frame and readiness",
                "do this first, before anything is cleared or unplugged",
                Then::Do(Act::Codes),
            )
        };
        let best = self.flow_that_fits_best();
        let mut all = flows(self);
        if let Some(shown) = self.open.as_ref().and_then(|open| open.flows.as_ref()) {
            // One that has come to the shelf since stands after them.
            all.sort_by_key(|item| {
                shown
                    .iter()
                    .position(|id| begins(item, id))
                    .unwrap_or(shown.len())
            });
        }
        if let Some(best) = best.filter(|_| saved)
            && let Some(item) = all.iter_mut().skip(1).find(|item| begins(item, &best))
        {
            item.detail = format!("fits best by what is saved now: {}", item.detail);
        }
        std::iter::once(codes).chain(all).collect()
    }

    fn has_codes(&self) -> bool {
        self.open
            .as_ref()
            .is_some_and(|open| open.job.codes.is_some())
    }

    /// The flow that answers most of what is noted by now, if any is at hand.
    fn flow_that_fits_best(&self) -> Option<String> {
        let open = self.open.as_ref()?;
        let mut offers = offers(&open.job, &self.shelf).into_iter();
        offers.next().map(|offer| offer.shelved.flow.id.clone())
    }

    /// Keeps the order of the flows as they are first shown on a new job.
    pub fn keep_order_of_flows(&mut self) {
        let shown = self.screen == Screen::Walk && matches!(self.standing(), Standing::NoFlow);
        if let Some(open) = &mut self.open
            && shown
            && open.flows.is_none()
        {
            let offers = offers(&open.job, &self.shelf).into_iter();
            open.flows = Some(offers.map(|offer| offer.shelved.flow.id.clone()).collect());
        }
    }

    /// The way that is picked from the start: only where there is one that cannot surprise.
    pub fn likely_way(&self) -> Option<usize> {
        match self.standing() {
            _ if self.is_held() => None,
            // What hands do in an exercise is never done by an Enter too many.
            Standing::Repair { cause, .. } if self.is_part_to_open(cause) => None,
            // Once the codes are saved, the flow that answers most of what is noted.
            Standing::NoFlow if self.has_codes() => {
                let best = self.flow_that_fits_best()?;
                self.ways().iter().position(|item| begins(item, &best))
            }
            Standing::NoFlow | Standing::LedTo(_) => (!self.ways().is_empty()).then_some(0),
            Standing::Repair {
                stage: RepairStage::Work(_) | RepairStage::Retest(_),
                ..
            } => Some(0),
            _ => None,
        }
    }
}

/// Whether an item begins this flow.
fn begins(item: &Item, flow: &str) -> bool {
    matches!(&item.then, Then::Begin(id) if id == flow)
}

/// Where somebody else has the job open.
fn held() -> Vec<Item> {
    vec![
        Item::new(
            "Try again",
            "as soon as it is left there, it can be written here; read anew in any case",
            Then::Do(Act::TryAgain),
        ),
        Item::new(
            "Take it over",
            "what is entered there afterwards is refused; nothing that is saved is lost",
            Then::Do(Act::TakeOver),
        ),
        Item::new("Read the record", "", Then::Do(Act::Record)),
        Item::new("Back to all jobs", "", Then::Do(Act::Board)),
    ]
}

/// A repair that was agreed to is not made after all.
pub(super) fn changed_their_mind() -> Item {
    Item::new(
        "The customer has changed their mind: no repair",
        "you note who, and why",
        Then::Decline,
    )
}

fn repair(cause: &Cause, stage: &RepairStage) -> Vec<Item> {
    let agrees = |label: &str| Item::new(label, "you note who, and how", Then::Approve);
    match stage {
        RepairStage::Ask => vec![
            agrees("The customer agrees to the repair"),
            Item::new(
                "The customer declines",
                "you note who, and why",
                Then::Decline,
            ),
        ],
        RepairStage::Work(_) => vec![
            Item::new(
                format!("The work is done: {}", cause.repair),
                "you note what was done and whether the part was bad",
                Then::Repaired,
            ),
            changed_their_mind(),
        ],
        RepairStage::Retest(_) => vec![Item::new(
            "Begin the test again from the start",
            "every step of it, with every reading taken anew",
            Then::Retest,
        )],
        RepairStage::Declined(_) => vec![
            hand_over(),
            agrees("The customer agrees after all"),
            other_flow(),
        ],
    }
}

fn hand_over() -> Item {
    Item::new(
        "Hand the car over",
        "you note what the customer is told",
        Then::Do(Act::HandOver),
    )
}

fn other_flow() -> Item {
    Item::new(
        "Walk another flow",
        "readings of this test carry over",
        Then::Do(Act::Flows),
    )
}
