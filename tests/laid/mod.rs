//! Jobs laid into a store, for tests that start the real program on them.

use std::path::Path;

use chrono::{TimeDelta, Utc};
use ruleout::engine::event::{Event, Opening, Vehicle, What};
use ruleout::flow::answer::Answer;
use ruleout::flow::model::Prompt;
use ruleout::flow::shelf::Shelf;
use ruleout::flow::target::Target;
use ruleout::job::sqlite::SqliteStore;
use ruleout::job::store::Store;
use uuid::Uuid;

/// Who works on them.
pub const WHO: &str = "Ines Harrow";

/// The plate of the car.
pub const PLATE: &str = "BRK 214";

/// A job that went from the first step of a shipped flow straight to another one, every caution up to it accepted.
pub fn led_to(flow: &str, step: &str, fact: impl Fn(&Prompt) -> Answer) -> Vec<What> {
    let shelf = Shelf::shipped();
    let shelved = shelf.find(flow).unwrap();
    let flow = &shelved.flow;
    let opening = Opening {
        vehicle: Vehicle {
            plate: PLATE.to_owned(),
            ..Vehicle::default()
        },
        complaint: "it does not do as it should".to_owned(),
        ..Opening::default()
    };
    let begun = What::FlowBegun {
        flow: flow.id.clone(),
        revision: flow.revision,
        hash: shelved.hash.clone(),
        text: shelved.text.clone(),
    };
    let facts = flow.facts.iter().map(|prompt| What::FactNoted {
        fact: prompt.id.clone(),
        value: fact(prompt),
        confirmed: false,
        by_settings: false,
    });
    let skipped = What::StepSkipped {
        step: flow.steps[0].id.clone(),
        go: Target::Step(step.to_owned()),
        reason: "for the test".to_owned(),
    };
    let cautions = flow
        .cautions
        .iter()
        .chain(&flow.step(step).unwrap().cautions);
    let cautions = cautions.map(|id| What::CautionAccepted {
        caution: id.clone(),
    });
    let mut all = vec![What::JobOpened(opening), begun];
    all.extend(facts);
    all.push(skipped);
    all.extend(cautions);
    all
}

/// Stores a job as of so long ago.
pub fn put(data: &Path, what: Vec<What>, ago: TimeDelta) -> Uuid {
    let events: Vec<Event> = (1..)
        .zip(what)
        .map(|(seq, what)| Event {
            id: Uuid::now_v7(),
            seq,
            at: Utc::now() - ago,
            who: WHO.to_owned(),
            what,
        })
        .collect();
    let job = Uuid::now_v7();
    let mut store = SqliteStore::open(data).unwrap();
    store.append(job, 0, &events).unwrap();
    job
}
