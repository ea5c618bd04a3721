//! Practice cars: every shipped flow has one for every seed and level, and it can be solved.
#![allow(
    missing_docs,
    clippy::unwrap_used,
    reason = "a test stops where something is not as expected"
)]

use ruleout::flow::shelf::Shelf;
use ruleout::plant::plan::Plan;
use ruleout::practice::drawn::find;

#[test]
fn probe() {
    let shelf = Shelf::shipped();
    for shelved in shelf.iter() {
        let plan = Plan::of(&shelved.flow);
        for level in 1..=4 {
            let from = std::time::Instant::now();
            let mut attempts = Vec::new();
            let mut fails = 0;
            let mut two = 0;
            let mut decoys = 0;
            for seed in 0..12 {
                match find(&plan, seed, level) {
                    Ok((d, _)) => {
                        attempts.push(d.attempt);
                        two += usize::from(d.hidden.len() > 1);
                        decoys += d.decoys.len();
                    }
                    Err(_) => fails += 1,
                }
            }
            println!(
                "{:26} {level} fails {fails} two {two} decoys {decoys} {:?} {:?}",
                shelved.flow.id,
                attempts,
                from.elapsed() / 12
            );
        }
    }
}
