//! A hold runs; the program is killed in the middle of it, without warning, and goes on with the clock that began as the
//! start was read. The real program in a pseudo-terminal.

use std::path::Path;

use crate::pty::Terminal;
use chrono::{TimeDelta, Utc};
use ruleout::engine::event::{Event, Opening, Vehicle, What};
use ruleout::flow::answer::Answer;
use ruleout::flow::shelf::Shelf;
use ruleout::flow::target::Target;
use ruleout::job::sqlite::SqliteStore;
use ruleout::job::store::Store;
use uuid::Uuid;

const WHO: &str = "Ines Harrow";

/// A job that stands at the hold with the place covered, all before it read.
fn at_the_hold() -> Vec<What> {
    let shelf = Shelf::shipped();
    let shelved = shelf.find("vapour-small-leak").unwrap();
    let flow = &shelved.flow;
    let opening = Opening {
        vehicle: Vehicle {
            plate: "BRK 214".to_owned(),
            ..Vehicle::default()
        },
        complaint: "smells of fuel".to_owned(),
        ..Opening::default()
    };
    let begun = What::FlowBegun {
        flow: flow.id.clone(),
        revision: flow.revision,
        hash: shelved.hash.clone(),
        text: shelved.text.clone(),
    };
    let fact = |fact: &str, value: Answer| What::FactNoted {
        fact: fact.to_owned(),
        value,
        confirmed: false,
    };
    let cautions = flow.cautions.iter();
    let cautions = cautions.map(|id| What::CautionAccepted {
        caution: id.clone(),
    });
    let mut all = vec![
        What::JobOpened(opening),
        begun,
        fact("sealed-tank", Answer::Choice("no".to_owned())),
        fact("tank-volume", Answer::Quantity("60 L".parse().unwrap())),
        fact("altitude", Answer::Quantity("200 m".parse().unwrap())),
        What::StepSkipped {
            step: flow.steps[0].id.clone(),
            go: Target::Step("cover".to_owned()),
            reason: "for the test".to_owned(),
        },
    ];
    all.extend(cautions);
    all
}

/// Stored as of ten minutes ago: a clock that ran from arrival at the step would be over.
fn put(data: &Path, what: Vec<What>) -> Uuid {
    let events: Vec<Event> = (1..)
        .zip(what)
        .map(|(seq, what)| Event {
            id: Uuid::now_v7(),
            seq,
            at: Utc::now() - TimeDelta::minutes(10),
            who: WHO.to_owned(),
            what,
        })
        .collect();
    let job = Uuid::now_v7();
    let mut store = SqliteStore::open(data).unwrap();
    store.append(job, 0, &events).unwrap();
    job
}

fn record(data: &Path, job: Uuid) -> Vec<What> {
    let events = SqliteStore::open(data).unwrap().read(job).unwrap();
    events.into_iter().map(|event| event.what).collect()
}

#[test]
fn the_clock_of_a_hold_runs_on_through_a_kill() {
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path();
    let job = put(data, at_the_hold());
    let mut terminal = Terminal::start(data, WHO);
    terminal.wait_for("BRK 214");
    terminal.press("\r");
    terminal.read_step("Place covered - gauge as the supply is shut");
    terminal.wait_for("02:00 from the start");
    terminal.enter("14");
    terminal.wait_for("left of 02:00");
    terminal.wait_for("01:58 left of 02:00");
    terminal.enter("13.9");
    terminal.wait_for("The sample is saved");
    terminal.kill();

    // The board knows of the clock, and asks what the walk asks.
    let mut terminal = Terminal::start(data, WHO);
    terminal.wait_for("waits for: Place covered - gauge 120 s later");
    terminal.wait_for(" left");
    terminal.press("\r");
    terminal.wait_for("left of 02:00");
    terminal.wait_for("Place covered - gauge 120 s later");
    let text = terminal.text();
    assert!(!text.contains("02:00 left of 02:00"), "{text}");
    assert!(!text.contains("from the start"), "{text}");
    // To look at the step before and come back begins nothing anew.
    terminal.press("\u{1b}[D");
    terminal.wait_for("Save what the control unit knows");
    terminal.press("\u{1b}[C");
    terminal.wait_for("left of 02:00");
    let text = terminal.text();
    assert!(!text.contains("02:00 left of 02:00"), "{text}");
    // Timed by another clock: that is in the record, and so it is after another kill.
    terminal.press("\u{17}");
    terminal.wait_for("TIME IS UP: read now");
    terminal.kill();
    let mut terminal = Terminal::start(data, WHO);
    terminal.wait_for("BRK 214");
    terminal.press("\r");
    terminal.wait_for("TIME IS UP: read now");
    terminal.enter("13.5");
    terminal.wait_for("Which part is it?");
    terminal.kill();
    let record = record(data, job);
    assert!(record.contains(&What::TimedElsewhere), "{record:?}");
    let starts = record.iter();
    let starts = starts.filter(
        |what| matches!(what, What::ReadingTaken { reading, .. } if reading == "covered-start"),
    );
    assert_eq!(starts.count(), 1);
}
