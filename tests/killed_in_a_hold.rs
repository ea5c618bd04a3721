//! A hold runs; the program is killed in the middle of it, without warning, and goes on with the clock that began as the
//! start was read. The real program in a pseudo-terminal.

use std::path::Path;

use std::thread;
use std::time::Duration;

use crate::laid::{PLATE, WHO, led_to, put};
use crate::pty::Terminal;
use chrono::TimeDelta;
use ruleout::engine::event::What;
use ruleout::flow::answer::Answer;
use ruleout::flow::model::Prompt;
use ruleout::job::sqlite::SqliteStore;
use ruleout::job::store::Store;
use uuid::Uuid;

fn fact(prompt: &Prompt) -> Answer {
    match prompt.id.as_str() {
        "sealed-tank" => Answer::Choice("no".to_owned()),
        "tank-volume" => Answer::Quantity("60 L".parse().unwrap()),
        _ => Answer::Quantity("200 m".parse().unwrap()),
    }
}

fn record(data: &Path, job: Uuid) -> Vec<What> {
    let events = SqliteStore::open(data).unwrap().read(job).unwrap();
    events.into_iter().map(|event| event.what).collect()
}

#[test]
fn the_clock_of_a_hold_runs_on_through_a_kill() {
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path();
    // As of ten minutes ago: a clock that ran from arrival at the step would be over.
    let job = put(
        data,
        led_to("vapour-small-leak", "cover", fact),
        TimeDelta::minutes(10),
    );
    let mut terminal = Terminal::start(data, WHO);
    terminal.wait_for(PLATE);
    terminal.press("\r");
    terminal.read_step("Place covered - gauge as the supply is shut");
    terminal.wait_for("02:00 from the start");
    terminal.enter("14");
    terminal.wait_for("left of 02:00");
    terminal.enter("20");
    terminal.wait_for("Type the gauge now and then");
    // Seconds into it, whichever the screen shows then.
    thread::sleep(Duration::from_secs(3));
    terminal.enter("13.9");
    terminal.wait_for("The sample is saved");
    terminal.kill();

    // The board knows of the clock, and asks what the walk asks.
    let mut terminal = Terminal::start(data, WHO);
    terminal.wait_for("waits for: Place covered - gauge 120 s later");
    terminal.wait_for(" left");
    terminal.press("\r");
    terminal.wait_for("left of 02:00");
    terminal.read_step("Place covered - gauge 120 s later");
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
    terminal.wait_for("once more if another clock");
    terminal.press("\u{17}");
    terminal.wait_for("TIME IS UP: read now");
    terminal.kill();
    let mut terminal = Terminal::start(data, WHO);
    terminal.wait_for(PLATE);
    terminal.press("\r");
    terminal.wait_for("TIME IS UP: read now");
    terminal.read_step("Place covered - gauge 120 s later");
    terminal.enter("13.5");
    terminal.wait_for("as it ends");
    terminal.enter("20");
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
