//! Every shipped flow, walked: for every outcome of every step, readings are found that make
//! exactly this outcome match, and every end of the flow (a repair with its retest, another flow,
//! done) is walked to through the engine, as a technician would.
//!
//! The readings come from a seeded search, so a run is the same as the one before. An outcome that
//! no readings reach is a mistake of the flow: a limit that cannot be met, a word that cannot be
//! chosen there, or an earlier outcome that takes all.

use std::sync::Mutex;

use crate::walks::plan::{Stop, target};
use crate::walks::solver::Dice;
use crate::walks::{Route, Walks, name, stops, walk};
use ruleout::flow::model::Flow;
use ruleout::flow::shelf::Shelf;
use ruleout::flow::target::Target;

/// What no readings reach in a flow; its ends are walked.
fn unreached(flow: &Flow) -> Vec<String> {
    let mut walks = Walks::of(flow);
    let mut later = Vec::new();
    for (n, stop) in stops(flow).into_iter().enumerate() {
        let mut dice = Dice(0x5eed + n as u64);
        match walks.first(stop, &mut dice) {
            Some(route) => walk_end(&walks, flow, stop, &route),
            None => later.push((stop, dice)),
        }
    }
    let mut missed = Vec::new();
    for (stop, mut dice) in later {
        match walks.after_repair(stop, &mut dice) {
            Some(route) => walk_end(&walks, flow, stop, &route),
            None => missed.push(name(flow, stop)),
        }
    }
    missed
}

fn walk_end(walks: &Walks, flow: &Flow, stop: Stop, route: &Route) {
    if !matches!(target(flow, stop), Some(Target::Step(_))) {
        walk(walks, route);
    }
}

#[test]
fn every_outcome_of_every_shipped_flow_is_reached_and_every_end_is_walked_to() {
    let shelf = Shelf::shipped();
    assert!(shelf.rejected.is_empty(), "{:?}", shelf.rejected);
    // Those with the most to work out first, so that they do not wait behind the quick ones.
    let mut flows: Vec<_> = shelf.iter().map(|s| s.flow.clone()).collect();
    flows.sort_by_key(|flow| flow.worked.len());
    let left = Mutex::new(flows);
    let missed = Mutex::new(Vec::new());
    std::thread::scope(|scope| {
        for _ in 0..std::thread::available_parallelism().map_or(2, usize::from) {
            scope.spawn(|| {
                loop {
                    let Some(flow) = left.lock().unwrap().pop() else {
                        break;
                    };
                    let found = unreached(&flow);
                    missed.lock().unwrap().extend(found);
                }
            });
        }
    });
    let missed = missed.into_inner().unwrap();
    assert!(
        missed.is_empty(),
        "no readings lead to:\n{}",
        missed.join("\n")
    );
}

#[test]
fn the_trade_is_covered_by_fourteen_flows() {
    let shelf = Shelf::shipped();
    let ids: Vec<&str> = shelf.iter().map(|s| s.flow.id.as_str()).collect();
    for wanted in [
        "smoke-unit-check",
        "vapour-large-leak",
        "vapour-small-leak",
        "vapour-self-vacuum",
        "purge-and-vent-valves",
        "intake-leak",
        "manifold-pressure-signal",
        "idle-misfire",
        "exhaust-leak",
        "recirculation-valve",
        "charge-air-leak",
        "crankcase-leak",
        "cooling-pressure-hold",
        "cabin-water-and-wind",
    ] {
        assert!(ids.contains(&wanted), "{wanted} is not among {ids:?}");
    }
}
