//! Simulated cars walked through every shipped flow by the flow's own outcomes: how many end with the cause found
//! and proved after the retest.
#![allow(
    missing_docs,
    clippy::unwrap_used,
    reason = "a test stops where something is not as expected"
)]

use std::collections::BTreeMap;

use ruleout::flow::shelf::Shelf;
use ruleout::plant::car::Car;
use ruleout::plant::dice::Dice;
use ruleout::plant::plan::Plan;
use ruleout::plant::spread::Spread;
use ruleout::plant::walk::walk;

const CARS: u64 = 50;

#[test]
fn table() {
    for shelved in Shelf::shipped().iter() {
        let plan = Plan::of(&shelved.flow);
        for cause in &shelved.flow.causes {
            let mut found = 0;
            let mut ends: BTreeMap<String, u32> = BTreeMap::new();
            for seed in 0..CARS {
                let mut dice = Dice::new(seed);
                let car = Car::draw(
                    &plan,
                    &BTreeMap::new(),
                    &[&cause.id],
                    &Spread::EXPECTED,
                    &mut dice,
                );
                let walk = walk(&plan, car);
                if walk.found_and_proved(&cause.id) {
                    found += 1;
                } else {
                    let last: Vec<_> = walk
                        .steps
                        .iter()
                        .rev()
                        .take(2)
                        .rev()
                        .map(|(s, o)| format!("{s}>{o}"))
                        .collect();
                    let key = format!(
                        "{:?} repairs {:?} cured {} .. {}",
                        walk.end,
                        walk.repairs.iter().take(3).collect::<Vec<_>>(),
                        walk.cured,
                        last.join(" ")
                    );
                    *ends.entry(key).or_default() += 1;
                }
            }
            println!("{:24} {:24} {found:3}/{CARS}", shelved.flow.id, cause.id);
            let mut ends: Vec<_> = ends.into_iter().collect();
            ends.sort_by_key(|(_, n)| std::cmp::Reverse(*n));
            for (end, n) in ends.into_iter().take(4) {
                println!("        {n:3} {end}");
            }
        }
    }
}
