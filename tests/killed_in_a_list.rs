//! A sweep is typed pair by pair; the program is killed in the middle of it, without warning, and
//! goes on with every pair that was accepted. The real program in a pseudo-terminal.

use std::path::Path;

use crate::laid::{PLATE, WHO, led_to, put};
use crate::pty::Terminal;
use chrono::TimeDelta;
use ruleout::engine::event::What;
use ruleout::flow::answer::Answer;
use ruleout::flow::model::{Prompt, PromptKind};
use ruleout::job::sqlite::SqliteStore;
use ruleout::job::store::Store;
use ruleout::units::Dimension;

/// What can be counted or chosen must be; the rest may stay untold.
fn fact(prompt: &Prompt) -> Answer {
    match &prompt.kind {
        PromptKind::Quantity(q) if q.unit.dimension() == Dimension::Count => {
            Answer::Quantity("1 count".parse().unwrap())
        }
        PromptKind::Choice(words) => Answer::Choice(words[0].clone()),
        _ => Answer::CouldNotTell("for the test".to_owned()),
    }
}

fn open(data: &Path) -> Terminal {
    let mut terminal = Terminal::start(data, WHO);
    terminal.wait_for(PLATE);
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
    let all = led_to("manifold-pressure-signal", "sweep", fact);
    let job = put(data, all, TimeDelta::zero());
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
