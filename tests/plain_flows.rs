//! Every shipped flow can be walked in lines to an end: to a repair and through the retest's
//! beginning, and to where it is done or leads to another flow.

use std::sync::Mutex;

use crate::typist::{Next, Typist};
use crate::walks::plan::{Want, target};
use crate::walks::solver::Dice;
use crate::walks::{Leg, Walks, name, stops};
use ruleout::engine::standing::Standing;
use ruleout::flow::answer::Answer;
use ruleout::flow::model::Flow;
use ruleout::flow::shelf::Shelf;
use ruleout::flow::target::Target;

/// Types a leg to its end, and into the retest where it ends in a repair.
fn typed(flow: &Flow, leg: &Leg) {
    let mut typist = Typist::new(Shelf::shipped());
    typist.new_job("WLK 001", "as asked", "");
    typist.begins(&flow.id);
    let mut at = 0;
    loop {
        let unsure = leg.way.get(at).is_some_and(|stop| stop.1 == Want::Unsure);
        let fact = matches!(typist.model().standing(), Standing::Facts(_));
        let next = typist.next(&mut |prompt| {
            let stop = (!fact).then_some(at);
            match leg.script.get(&(stop, prompt.id.clone())) {
                _ if unsure && !fact => Some(Answer::CouldNotTell("too dark to see".to_owned())),
                Some(answer) => Some(answer.clone()),
                None if prompt.optional => None,
                None => panic!("{}: nothing to answer {} with", flow.id, prompt.id),
            }
        });
        match next {
            Next::Followed => at += 1,
            Next::Retest | Next::End => break,
            Next::Answered => {}
        }
    }
    let last = *leg.way.last().unwrap();
    assert_eq!(at, leg.way.len(), "{}\n{}", name(flow, last), typist.said);
    let model = typist.model();
    let job = &model.open.as_ref().unwrap().job;
    let arrived = match target(flow, last).unwrap() {
        Target::Repair(_) => job.test_number() == 2,
        Target::Done => matches!(model.standing(), Standing::Ended),
        Target::Flow(id) => matches!(model.standing(), Standing::LedTo(led) if led == id),
        Target::Step(_) => false,
    };
    assert!(arrived, "{}\n{}", name(flow, last), typist.said);
    assert_eq!(job.misfits, []);
}

/// Walks the first way found to a repair, and the first to another end.
fn walk(flow: &Flow) {
    let mut walks = Walks::of(flow);
    let repair = |target: &Target| matches!(target, Target::Repair(_));
    let end = |target: &Target| matches!(target, Target::Done | Target::Flow(_));
    let kinds: [&dyn Fn(&Target) -> bool; 2] = [&repair, &end];
    for (kind, fits) in kinds.into_iter().enumerate() {
        let leg = stops(flow)
            .into_iter()
            .filter(|stop| target(flow, *stop).is_some_and(fits))
            .find_map(|stop| walks.first(stop, &mut Dice(0x5eed + kind as u64)))
            .and_then(|route| route.into_iter().next());
        let leg = leg.unwrap_or_else(|| panic!("{}: no way to an end of kind {kind}", flow.id));
        typed(flow, &leg);
    }
}

#[test]
fn every_shipped_flow_is_walked_in_lines_to_its_ends() {
    let shelf = Shelf::shipped();
    let mut flows: Vec<_> = shelf.iter().map(|shelved| shelved.flow.clone()).collect();
    assert!(flows.len() >= 14, "only {} flows", flows.len());
    // Those with the most to work out first, so that they do not wait behind the quick ones.
    flows.sort_by_key(|flow| flow.worked.len());
    let left = Mutex::new(flows);
    std::thread::scope(|scope| {
        for _ in 0..std::thread::available_parallelism().map_or(2, usize::from) {
            scope.spawn(|| {
                loop {
                    let Some(flow) = left.lock().unwrap().pop() else {
                        break;
                    };
                    walk(&flow);
                }
            });
        }
    });
}
