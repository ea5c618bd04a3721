//! The minutes of the ways that the debrief lays side by side: one step costs the same on every way.
#![allow(
    missing_docs,
    clippy::unwrap_used,
    reason = "a test stops where something is not as expected"
)]

use crate::apprentice::Apprentice;
use ruleout::flow::model::{Flow, PromptKind, Step};
use ruleout::flow::shelf::Shelf;
use ruleout::plant::plan::Plan;
use ruleout::practice::bay::tried_at;
use ruleout::practice::debrief::Debrief;

/// Minutes of a step each time it is done, where that hangs on nothing else than the flow.
fn each_time(plan: &Plan, flow: &Flow, step: &Step) -> Option<f64> {
    let prompts = step.record.iter().filter_map(|id| flow.reading(id));
    for prompt in prompts {
        if let PromptKind::Places(places) = &prompt.kind {
            // Forty seconds at each place.
            let places = f64::from(u32::try_from(places.len()).unwrap());
            return Some(places * 40.0 / 60.0);
        }
        if tried_at(plan, step, prompt).is_some() {
            return None;
        }
    }
    Some(step.minutes)
}

#[test]
fn one_step_costs_the_same_by_the_flow_and_by_the_evidence_and_its_set_up_once_a_test() {
    let mut both = 0;
    for (id, seed, level) in [
        ("intake-leak", 7, 2),
        ("exhaust-leak", 7, 2),
        ("charge-air-leak", 7, 2),
        ("cooling-pressure-hold", 7, 2),
        ("vapour-large-leak", 7, 3),
        ("vapour-small-leak", 7, 3),
        ("crankcase-leak", 7, 4),
    ] {
        let shelf = Shelf::shipped();
        let shelved = shelf.find(id).unwrap();
        let flow = &shelved.flow;
        let plan = Plan::of(flow);
        let apprentice = Apprentice::begins(&plan, shelved, seed, level);
        let debrief = Debrief::with_evidence(&apprentice.session, None);
        for row in &debrief.beside.rows {
            let titled = flow.steps.iter().find(|step| step.title == row.what);
            let Some((step, each)) =
                titled.and_then(|step| Some((step, each_time(&plan, flow, step)?)))
            else {
                continue;
            };
            let set_up = step.set_up.as_ref().map_or(0.0, |set_up| set_up.minutes);
            for minutes in row.minutes[1..].iter().flatten() {
                let times = ((minutes - set_up) / each).round();
                assert!(
                    times >= 0.0 && (set_up + times * each - minutes).abs() < 1e-6,
                    "{id}: {row:?}, {each} each time and {set_up} to set up"
                );
            }
            both += usize::from(row.minutes[1..].iter().all(Option::is_some));
        }
        let text = debrief.lines(78).join("\n");
        assert!(
            text.contains("Minutes count alike on every way") && text.contains("its set-up once"),
            "{text}"
        );
    }
    assert!(both > 40, "{both}");
}

/// What hands do besides stands behind the steps of its test, and moves none of them.
#[test]
fn the_steps_of_the_flows_way_stand_in_the_order_in_which_it_does_them() {
    let shelf = Shelf::shipped();
    let shelved = shelf.find("intake-leak").unwrap();
    let plan = Plan::of(&shelved.flow);
    let apprentice = Apprentice::begins(&plan, shelved, 7, 2);
    let rows = apprentice.debrief().beside.rows;
    let own: Vec<&str> = rows
        .iter()
        .filter(|row| row.test == 1)
        .map(|row| row.what.as_str())
        .collect();
    let place = |what: &str| own.iter().position(|row| row.starts_with(what)).unwrap();
    assert!(place("Save what") < place("Search with the lamp"));
    assert!(place("Search with the lamp") < place("repair: "));
    assert_eq!(place("by hand besides"), own.len() - 1, "{own:?}");
}
