//! The numbered ways to go on, where the walk waits for a decision rather than for an answer.

use super::Model;
use super::lists::{Item, Then, flows};
use crate::engine::standing::{RepairStage, Standing};
use crate::tui::message::Act;

impl Model {
    /// The ways to go on from here; empty where the walk waits for an answer.
    pub fn ways(&self) -> Vec<Item> {
        let Some(open) = &self.open else {
            return Vec::new();
        };
        match self.standing() {
            Standing::NoFlow => self.flows_with_codes_first(),
            Standing::Stopped(_) => vec![Item::new(
                "It is let down, and the supply is set lower",
                "only this goes on; what was typed is in the record",
                Then::ClearLimit,
            )],
            Standing::Repair { cause, stage } => match stage {
                RepairStage::Ask => vec![
                    Item::new(
                        "The customer agrees to the repair",
                        "you note who, and how",
                        Then::Approve,
                    ),
                    Item::new(
                        "The customer declines",
                        "you note who, and why",
                        Then::Decline,
                    ),
                ],
                RepairStage::Work(_) => vec![Item::new(
                    format!("The work is done: {}", cause.repair),
                    "you note what was done and whether the part was bad",
                    Then::Repaired,
                )],
                RepairStage::Retest(_) => vec![Item::new(
                    "Begin the test again from the start",
                    "one leak can hide another",
                    Then::Retest,
                )],
                RepairStage::Declined(_) => vec![
                    hand_over(),
                    Item::new(
                        "The customer agrees after all",
                        "you note who, and how",
                        Then::Approve,
                    ),
                    other_flow(),
                ],
            },
            Standing::LedTo(flow) => {
                let title = self
                    .shelf
                    .find(flow)
                    .map(|shelved| shelved.flow.title.clone());
                let ahead = open.job.current.and_then(|at| open.job.runs.get(at + 1));
                match (ahead.filter(|run| run.flow.id == flow), title) {
                    (Some(run), _) => vec![
                        Item::new(
                            format!("Go on in: {}", run.flow.title),
                            "it was begun before",
                            onward(flow),
                        ),
                        other_flow(),
                    ],
                    (None, Some(title)) => vec![
                        Item::new(
                            format!("Begin: {title}"),
                            "readings of this test carry over",
                            onward(flow),
                        ),
                        other_flow(),
                    ],
                    (None, None) => vec![other_flow(), hand_over()],
                }
            }
            Standing::Ended => vec![hand_over(), other_flow()],
            Standing::HandedOver(_) => vec![
                Item::new("Back to all jobs", "", Then::Do(Act::Board)),
                Item::new("Read the record", "", Then::Do(Act::Record)),
            ],
            _ => Vec::new(),
        }
    }

    fn flows_with_codes_first(&self) -> Vec<Item> {
        let noted = self
            .open
            .as_ref()
            .is_some_and(|open| open.job.codes.is_some());
        let codes = Item::new(
            "Save stored and pending codes, freeze frame and readiness",
            "do this first, before anything is cleared or unplugged",
            Then::Do(Act::Codes),
        );
        (!noted)
            .then_some(codes)
            .into_iter()
            .chain(flows(self))
            .collect()
    }

    /// The way that is picked from the start: only where there is one that cannot surprise.
    pub fn likely_way(&self) -> Option<usize> {
        match self.standing() {
            Standing::NoFlow | Standing::LedTo(_) => (!self.ways().is_empty()).then_some(0),
            Standing::Repair {
                stage: RepairStage::Work(_) | RepairStage::Retest(_),
                ..
            } => Some(0),
            _ => None,
        }
    }
}

fn onward(flow: &str) -> Then {
    Then::Onward(flow.to_owned())
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
