//! A sweep is typed pair by pair; the program is killed in the middle of it, without warning, and
//! goes on with every pair that was accepted. The real program in a pseudo-terminal.

use std::path::Path;

use crate::pty::Terminal;
use chrono::Utc;
use ruleout::engine::event::{Event, Opening, Vehicle, What};
use ruleout::flow::answer::Answer;
use ruleout::flow::model::PromptKind;
use ruleout::flow::shelf::Shelf;
use ruleout::flow::target::Target;
use ruleout::job::sqlite::SqliteStore;
use ruleout::job::store::Store;
use ruleout::units::Dimension;
use uuid::Uuid;

const WHO: &str = "Ines Harrow";

/// A job that stands at the sweep, its caution accepted.
fn at_the_sweep() -> Vec<What> {
    let shelf = Shelf::shipped();
    let shelved = shelf.find("manifold-pressure-signal").unwrap();
    let flow = &shelved.flow;
    let opening = Opening {
        vehicle: Vehicle {
            plate: "BRK 214".to_owned(),
            ..Vehicle::default()
        },
        complaint: "rough idle".to_owned(),
        ..Opening::default()
    };
    let begun = What::FlowBegun {
        flow: flow.id.clone(),
        revision: flow.revision,
        hash: shelved.hash.clone(),
        text: shelved.text.clone(),
    };
    let facts = flow.facts.iter().map(|fact| What::FactNoted {
        fact: fact.id.clone(),
        // What can be counted or chosen must be; the rest may stay untold.
        value: match &fact.kind {
            PromptKind::Quantity(q) if q.unit.dimension() == Dimension::Count => {
                Answer::Quantity("1 count".parse().unwrap())
            }
            PromptKind::Choice(words) => Answer::Choice(words[0].clone()),
            _ => Answer::CouldNotTell("for the test".to_owned()),
        },
        confirmed: false,
    });
    let to_the_sweep = What::StepSkipped {
        step: flow.steps[0].id.clone(),
        go: Target::Step("sweep".to_owned()),
        reason: "for the test".to_owned(),
    };
    let step = flow.step("sweep").unwrap();
    let cautions = flow.cautions.iter().chain(&step.cautions);
    let cautions = cautions.map(|id| What::CautionAccepted {
        caution: id.clone(),
    });
    let mut all = vec![What::JobOpened(opening), begun];
    all.extend(facts);
    all.push(to_the_sweep);
    all.extend(cautions);
    all
}

fn put(data: &Path, what: Vec<What>) -> Uuid {
    let events: Vec<Event> = (1..)
        .zip(what)
        .map(|(seq, what)| Event {
            id: Uuid::now_v7(),
            seq,
            at: Utc::now(),
            who: WHO.to_owned(),
            what,
        })
        .collect();
    let job = Uuid::now_v7();
    SqliteStore::open(data)
        .unwrap()
        .append(job, 0, &events)
        .unwrap();
    job
}

fn open(data: &Path) -> Terminal {
    let mut terminal = Terminal::start(data, WHO);
    terminal.wait_for("BRK 214");
    terminal.press("\r");
    // The board says as well what a job waits for.
    terminal.wait_for("Step 3 of 7");
    terminal.read_step("Absolute pressure at the sensor");
    terminal
}

#[test]
fn every_accepted_pair_is_there_after_a_kill_and_escape_empties_none() {
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path();
    let job = put(data, at_the_sweep());
    let mut terminal = open(data);
    for (n, pair) in ["101 = 4.6", "85 = 3.8", "70 = 3.1"]
        .into_iter()
        .enumerate()
    {
        terminal.enter(pair);
        terminal.wait_for(&format!(" {}  {}", n + 1, pair.replace(" =", " kPa =")));
    }
    terminal.press("55 = 2");
    terminal.wait_for("[55 = 2");
    terminal.kill();

    let mut terminal = open(data);
    terminal.wait_for("3  70 kPa = 3.1 V");
    terminal.press("5");
    terminal.wait_for("[5_");
    terminal.press("\u{1b}");
    terminal.wait_for("Emptied");
    terminal.wait_for("3  70 kPa = 3.1 V");
    terminal.enter("55 = 2.4");
    terminal.wait_for("4  55 kPa = 2.4 V");
    terminal.press("\r");
    terminal.wait_for("Did gauge and signal stand still");
    let events = SqliteStore::open(data).unwrap().read(job).unwrap();
    let Some(What::ReadingTaken {
        value: Answer::Pairs(pairs),
        ..
    }) = events.last().map(|e| e.what.clone())
    else {
        panic!("{:?}", events.last());
    };
    let shown: Vec<String> = pairs.iter().map(|(a, b)| format!("{a} = {b}")).collect();
    assert_eq!(
        shown,
        [
            "101 kPa = 4.6 V",
            "85 kPa = 3.8 V",
            "70 kPa = 3.1 V",
            "55 kPa = 2.4 V"
        ]
    );
}
