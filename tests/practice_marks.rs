//! What scripted apprentices are marked with: whoever does everything right, and whoever does not.
#![allow(
    missing_docs,
    clippy::unwrap_used,
    reason = "a test stops where something is not as expected"
)]

mod apprentice;

use apprentice::{Apprentice, Habits};
use ruleout::flow::shelf::Shelf;
use ruleout::plant::plan::Plan;
use ruleout::practice::debrief::Debrief;

fn lost(debrief: &Debrief) -> Vec<(&'static str, u32)> {
    let parts = debrief.parts.iter();
    parts
        .map(|part| (part.name, part.of - part.got))
        .filter(|(_, lost)| *lost > 0)
        .collect()
}

#[test]
fn who_does_everything_right_has_full_marks_on_every_flow() {
    let shelf = Shelf::shipped();
    let mut wrong = Vec::new();
    for shelved in shelf.iter() {
        let plan = Plan::of(&shelved.flow);
        for seed in 0..4 {
            let level = u8::try_from(seed % 4).unwrap() + 1;
            let debrief = Apprentice::begins(&plan, shelved, seed, level).walks().debrief();
            if debrief.got() != debrief.of_all() {
                wrong.push(format!("{} seed {seed} level {level}: {:?}\n{}", shelved.flow.id, lost(&debrief), debrief.lines().join("\n")));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n\n"));
}

#[test]
fn timing() {
    let shelf = Shelf::shipped();
    for shelved in shelf.iter() {
        let plan = Plan::of(&shelved.flow);
        let a = std::time::Instant::now();
        let new = Apprentice::begins(&plan, shelved, 3, 2);
        let b = a.elapsed();
        let done = new.walks();
        let c = a.elapsed();
        let _ = done.debrief();
        println!("{} {b:?} {:?} {:?} events {}", shelved.flow.id, c - b, a.elapsed() - c, done.events.len());
    }
}
